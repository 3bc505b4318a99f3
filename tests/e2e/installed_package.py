"""Installs the library, builds the example program against the installed package and holds what it did against the
command line; --version, the header and the package say one version, and the package refuses what it is not."""
import datetime
import glob
import gzip
import json
import os
import re
import shutil
import subprocess

import manual_style
from book import BIN, SOURCE, Book

with open(os.path.join(SOURCE, "CMakeLists.txt")) as f:
    version = re.search(r"project\(tarebook VERSION ([0-9.]+)", f.read()).group(1)
shown = subprocess.run([BIN, "--version"], capture_output=True, text=True).stdout.strip()
assert shown == version, (shown, version)
book = Book(start=False)
folder = book.folder
quiet = dict(check=True, stdout=subprocess.DEVNULL)
subprocess.run(["cmake", "--install", os.environ["TAREBOOK_BUILD"], "--prefix", folder + "/prefix"], **quiet)
with open(os.path.join(folder, "prefix/include/tarebook/version.hpp")) as f:
    assert 'version = "%s"' % version in f.read()

# Beside program and library: what a shell, man and a reader look for; where the week of the demo shop is.
share = os.path.join(folder, "prefix/share")
for name in ("man/man1/tarebook.1.gz", "bash-completion/completions/tarebook", "zsh/site-functions/_tarebook",
             "fish/vendor_completions.d/tarebook.fish", "doc/tarebook/README.md", "doc/tarebook/fixtures/demo-week.sh",
             "doc/tarebook/schema/job-sheet.schema.yaml", "tarebook/schema/output/room.schema.json",
             "doc/libtarebook-dev/examples/one_day.cpp"):
    assert os.path.getsize(os.path.join(share, name)) > 100, name
# README and its pages stand there as they stand here: each link leads to a file that is installed.
for name in manual_style.pages() + ["DEVELOPERS.md"]:
    with open(os.path.join(share, "doc/tarebook", name), encoding="utf-8") as f:
        text = f.read()
    assert text == manual_style.read(name), name
    gone = manual_style.broken(name, text, share + "/doc/tarebook")
    assert not gone, gone
with gzip.open(share + "/doc/tarebook/changelog.gz", "rt") as f:
    changes = f.read()
# deb-changelog(5): versions, the newest first, each closed by who and when, with the right day of the week.
assert changes.startswith("tarebook (%s) stable; urgency=medium\n\n  * " % version), changes[:80]
closed = re.findall(r"^ -- .* <.*>  (\w{3}), (\d\d \w{3} \d{4}) 12:00:00 \+0000$", changes, re.M)
days = [datetime.datetime.strptime(day, "%d %b %Y") for _, day in closed]
assert len(closed) == changes.count("tarebook (") >= 2 and [w for w, _ in closed] == [d.strftime("%a") for d in days], closed
assert days == sorted(days, reverse=True) and max(len(line) for line in changes.splitlines() if not line.startswith(" --")) <= 80
with gzip.open(share + "/man/man1/tarebook.1.gz", "rt") as f:
    assert f.readline().startswith(".TH TAREBOOK 1 %s" % days[0].strftime("%Y-%m-%d"))

# pkg-config names every room, the highest first.
pc = subprocess.run(["pkg-config", "--libs", "tarebook"], capture_output=True, text=True, check=True,
                    env=dict(os.environ, PKG_CONFIG_PATH=glob.glob(folder + "/prefix/lib/**/pkgconfig", recursive=True)[0])).stdout
rooms = re.findall(r"-ltarebook_(\w+)", pc)
archives = glob.glob(folder + "/prefix/lib/**/libtarebook_*.a", recursive=True)
assert len(rooms) == len(archives) > 12 and rooms.index("report") < rooms.index("book") and rooms[-1] == "units", (rooms, archives)

# The example: only what is installed, and what is written beside it.
with open(os.path.join(os.environ["TAREBOOK_BUILD"], "CMakeCache.txt")) as f:
    cache = f.read()
sanitized = "ON" if "TAREBOOK_SANITIZE:BOOL=ON" in cache else "OFF"
compiler = re.search(r"CMAKE_CXX_COMPILER:\w+=(.*)", cache).group(1)  # two compilers' sanitizers do not mix
shutil.copytree(os.path.join(SOURCE, "tests/example"), folder + "/example")
subprocess.run(["cmake", "-S", folder + "/example", "-B", folder + "/b", "-G", "Ninja", "-DEXAMPLE_SANITIZED=" + sanitized,
                "-DCMAKE_CXX_COMPILER=" + compiler,
                "-DCMAKE_PREFIX_PATH=" + folder + "/prefix", "-DCMAKE_CXX_FLAGS=-Wall -Wextra -Werror"], **quiet)
subprocess.run(["cmake", "--build", folder + "/b"], **quiet)
example = folder + "/b/tarebook_example"
done = subprocess.run([example, book.path], capture_output=True, text=True)
assert done.returncode == 0, (done.stdout, done.stderr)
for line in ("stop at 63.50 lb gross (stamped-limit)", "STOP AT 63.50 lb", "15.75 lb recovered into RC-01", "limit 80-percent-at-77F: 41.83 lb",
             "again: already recorded", "E1 is a start", "too much: fill-limit", "the book is in order: 6 events"):
    assert line in done.stdout, (line, done.stdout)
# The program of the command line reads the same book, and says the same.
inventory = book.ok("report", "inventory", "--format", "json").stdout
assert inventory in done.stdout, (inventory, done.stdout)
assert json.loads(inventory)["cylinders"][0]["net_lb"] == 15.75
assert book.json("room", "RC-01")["stop_gross_lb"] == json.loads(inventory)["cylinders"][0]["stop_gross_lb"] == 63.5
assert book.json("check")["ok"] is True
again = subprocess.run([example, book.path], capture_output=True, text=True)
assert again.returncode == 3 and "the book failed" in again.stderr, again  # a book is never written over

# What the library refuses of a program, by each way in.
hostile = subprocess.run([folder + "/b/tarebook_hostile", folder + "/hostile.tarebook"], capture_output=True, text=True)
assert hostile.returncode == 0 and " 0 failures" in hostile.stdout, (hostile.stdout, hostile.stderr)

# Versions: the same minor number is taken, another one is not.
major, minor, _ = (int(n) for n in version.split("."))
for wanted, taken in (("%d.%d" % (major, minor), True), (version, True), ("%d.%d" % (major, minor + 1), False),
                      ("%d.0" % (major + 1), False)):
    probe = os.path.join(folder, "probe.cmake")
    with open(probe, "w") as f:
        f.write("set(PACKAGE_FIND_VERSION %s)\nset(CMAKE_SIZEOF_VOID_P 8)\n" % wanted)
        parts = wanted.split(".")
        f.write("set(PACKAGE_FIND_VERSION_MAJOR %s)\nset(PACKAGE_FIND_VERSION_MINOR %s)\n" % (parts[0], parts[1]))
        f.write('include("${PACKAGE}")\nmessage("compatible: ${PACKAGE_VERSION_COMPATIBLE}")\n')
    package = os.path.join(folder, "prefix/lib")
    files = [os.path.join(at, n) for at, _, names in os.walk(package) for n in names if n == "tarebook-config-version.cmake"]
    assert len(files) == 1, files
    said = subprocess.run(["cmake", "-DPACKAGE=" + files[0], "-P", probe], capture_output=True, text=True).stderr
    assert ("compatible: TRUE" in said) == taken, (wanted, said)
print("installed package %s: the example builds against it and works on a book" % version)

# Uninstalled: nothing is left but folders that are not ours.
subprocess.run(["cmake", "--build", os.environ["TAREBOOK_BUILD"], "--target", "uninstall"], **quiet)
left = [os.path.join(top, name) for top, folders, names in os.walk(folder + "/prefix") for name in names + [f for f in folders if "tarebook" in f]]
assert not left, left
