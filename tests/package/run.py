"""The Debian packages, from outside: two makings with the same bytes, lintian without errors or warnings, and in a new minimal Debian
their installation, an upgrade with a book at hand, README's first recovery by copy and paste, the demo week, a book on a
PostgreSQL server once libpq5 is there, removal. Then
the library: a program over the installed archives is linked by g++ and by clang++ in under five seconds. `cmake --install`
has the same files, and its uninstall leaves none.

    sh cli/package/make.sh deb                  # builds build/package and makes both packages
    python3 tests/package/run.py [BUILD]        # as root; BUILD: build/package

By hand, not in CI: mmdebstrap fetches a minimal Debian (70 s) and apt what the packages depend on. TAREBOOK_MINBASE names
an archive that `mmdebstrap --variant=minbase bookworm` made before, and spares the first. TAREBOOK_LAST names a program of
version 0.1.0, built from its commit: what is upgraded then is a package with it and a book that it wrote here; without it
these files under its number, and a book of that time (tests/e2e/kept_books). Needs lintian, mmdebstrap, clang and postgresql."""
import csv
import glob
import gzip
import hashlib
import os
import re
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import time

from office_server import OfficeServer

SOURCE = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
BUILD = os.path.abspath(sys.argv[1] if len(sys.argv) > 1 else os.path.join(SOURCE, "build/package"))
WORK = tempfile.mkdtemp(prefix="tarebook-package-")
started = time.time()


def told(text):
    print("%4d s  %s" % (time.time() - started, text), flush=True)


def run(*words, codes=(0,), **more):
    done = subprocess.run(words, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, **more)
    assert done.returncode in codes, "%s ended with %d:\n%s" % (" ".join(words), done.returncode, done.stdout[-3000:])
    return done.stdout


def digest(path):
    with open(path, "rb") as f:
        return hashlib.sha256(f.read()).hexdigest()


with open(os.path.join(SOURCE, "CMakeLists.txt")) as f:
    version = re.search(r"project\(tarebook VERSION ([0-9.]+)", f.read()).group(1)


def pack(to):
    run("cpack", "-G", "DEB", "-B", to, cwd=BUILD, umask=0o022)
    found = {os.path.basename(path).split("_")[0]: path for path in glob.glob(to + "/*.deb")}
    assert set(found) == {"tarebook", "libtarebook-dev"} and all("_%s_" % version in p for p in found.values()), found
    return found


packages, again = pack(WORK + "/one"), pack(WORK + "/two")
for name in packages:
    assert digest(packages[name]) == digest(again[name]), name + " is made twice and differs"
assert "packages are made by umask 022" in run("cpack", "-G", "DEB", "-B", WORK + "/three", cwd=BUILD, umask=0o077, codes=(1,))
assert not glob.glob(WORK + "/three/*.deb")
told("two packages, made twice with the same bytes: " + ", ".join(
    "%s %.1f MB" % (name, os.path.getsize(path) / 1e6) for name, path in packages.items()))

run("lintian", "--fail-on", "error,warning", *packages.values())
told("lintian: no errors, no warnings")

# --- what is in them ---
fields = {name: run("dpkg-deb", "-f", path) for name, path in packages.items()}
depends = re.search(r"^Depends: (.*)", fields["tarebook"], re.M).group(1)
for wanted in ("libxlsxwriter", "tzdata", "libc6 (>= ", "libsqlite3-0", "libstdc++6"):
    assert wanted in depends, (wanted, depends)
files = {name: [line.split(None, 5)[5].split(" -> ")[0].lstrip(".") for line in run("dpkg-deb", "-c", path).splitlines()]
         for name, path in packages.items()}
for wanted in ("/usr/bin/tarebook", "/usr/share/man/man1/tarebook.1.gz", "/usr/share/bash-completion/completions/tarebook",
               "/usr/share/zsh/vendor-completions/_tarebook", "/usr/share/fish/vendor_completions.d/tarebook.fish",
               "/usr/share/doc/tarebook/README.md", "/usr/share/doc/tarebook/copyright", "/usr/share/doc/tarebook/changelog.gz",
               "/usr/share/tarebook/schema/job-sheet.schema.yaml", "/usr/share/doc/tarebook/fixtures/demo-week.sh"):
    assert wanted in files["tarebook"], wanted
for wanted in ("/usr/include/tarebook/tarebook.hpp", "/usr/include/tarebook/version.hpp", "tarebook-config.cmake", "pkgconfig/tarebook.pc",
               "/usr/share/doc/libtarebook-dev/examples/one_day.cpp", "libtarebook_report.a"):
    assert any(path.endswith(wanted) for path in files["libtarebook-dev"]), wanted
tree = WORK + "/tree"
for path in packages.values():
    run("dpkg-deb", "-x", path, tree)
with gzip.open(tree + "/usr/share/doc/tarebook/changelog.gz", "rt") as f:
    changes = f.read()
assert changes.startswith("tarebook (%s) " % version) and run("dpkg-parsechangelog", "-l", "-", input=changes)
for archive in glob.glob(tree + "/usr/lib/**/libtarebook_*.a", recursive=True):
    sections = run("objdump", "-h", archive)
    assert ".text" in sections and ".gnu.lto_" not in sections, archive + " holds link-time code"
for shell, file in (("bash", "bash-completion/completions/tarebook"), ("zsh", "zsh/vendor-completions/_tarebook"),
                    ("fish", "fish/vendor_completions.d/tarebook.fish")):
    if shutil.which(shell):
        run(shell, "-n", tree + "/usr/share/" + file)

# --- a program over the archives, by two compilers, as pkg-config and as CMake find them ---
here = dict(os.environ, PKG_CONFIG_PATH=os.path.dirname(glob.glob(tree + "/usr/lib/**/tarebook.pc", recursive=True)[0]))
flags = run("pkg-config", "--cflags", "--libs", "tarebook", env=here).split()
example = tree + "/usr/share/doc/libtarebook-dev/examples/one_day.cpp"
for compiler in ("g++", "clang++"):
    run(compiler, "-std=c++20", "-O1", "-c", example, "-o", WORK + "/one_day.o", *[f for f in flags if f.startswith("-I")])
    before, wall = os.times(), time.time()
    run(compiler, WORK + "/one_day.o", "-o", WORK + "/one_day", *[f for f in flags if f[:2] in ("-L", "-l")])
    after = os.times()
    cost = after.children_user + after.children_system - before.children_user - before.children_system
    assert cost < 5, "%s takes %.1f s of CPU to link" % (compiler, cost)
    assert "the book is in order" in run(WORK + "/one_day", "%s/%s.tarebook" % (WORK, compiler))
    told("%s links the example in %.2f s of CPU, %.1f s in all" % (compiler, cost, time.time() - wall))
run("cmake", "-S", os.path.dirname(example), "-B", WORK + "/cmake", "-DCMAKE_PREFIX_PATH=" + tree + "/usr")
run("cmake", "--build", WORK + "/cmake")
assert "the book is in order" in run(WORK + "/cmake/one_day", WORK + "/cmake.tarebook")
told("CMake finds the package, and its program runs")

# --- a prefix has the same files, and its uninstall leaves none ---
prefix = WORK + "/prefix"
run("cmake", "--install", BUILD, "--prefix", prefix, "--strip")
have = {os.path.relpath(os.path.join(top, file), prefix) for top, folders, names in os.walk(prefix)
        for file in names + [f for f in folders if os.path.islink(os.path.join(top, f))]}
packed = {path[len("/usr/"):].replace("zsh/vendor-completions", "zsh/site-functions") for paths in files.values() for path in paths
          if not path.endswith("/")}
assert have == packed, sorted(have ^ packed)[:10]
run("cmake", "--build", BUILD, "--target", "uninstall")
left = [os.path.join(top, name) for top, _, names in os.walk(prefix) for name in names]
assert not left and not os.path.exists(prefix + "/include/tarebook"), left
told("a prefix has the same %d files, and uninstall leaves none" % len(have))

# --- the last version: it had no packages, so these files under its number, and its own program where there is one ---
old = WORK + "/old"
last = os.environ.get("TAREBOOK_LAST")
run("dpkg-deb", "-R", packages["tarebook"], old)
if last:
    assert run(last, "--version").strip() == "0.1.0"
    shutil.copy(last, old + "/usr/bin/tarebook")
with open(old + "/DEBIAN/control") as f:
    control = f.read()
with open(old + "/DEBIAN/control", "w") as f:
    f.write(control.replace("Version: " + version, "Version: 0.1.0"))
run("dpkg-deb", "-b", old, WORK + "/tarebook_0.1.0.deb")

# --- a minimal Debian ---
root = WORK + "/root"
minbase = os.environ.get("TAREBOOK_MINBASE")
if not minbase:
    minbase = WORK + "/minbase.tar"
    run("mmdebstrap", "--variant=minbase", "bookworm", minbase, "http://deb.debian.org/debian")
os.makedirs(root)
run("tar", "-xpf", minbase, "-C", root, "--exclude=./dev/*")
run("cp", "-L", "/etc/resolv.conf", root + "/etc/resolv.conf")
os.makedirs(root + "/dev", exist_ok=True)
run("mknod", "-m", "666", root + "/dev/null", "c", "1", "3")
run("mknod", "-m", "666", root + "/dev/urandom", "c", "1", "9")
told("a minimal Debian")


def inside(line, **more):
    """A shell's lines in the minimal Debian, with /proc for as long as they run."""
    return run("env", "-i", "PATH=/usr/sbin:/usr/bin:/sbin:/bin", "HOME=/root", "LC_ALL=C.UTF-8", "DEBIAN_FRONTEND=noninteractive",
               "unshare", "-m", "sh", "-c", 'mount -t proc proc "$0/proc" && exec chroot "$0" sh -euc "$1"', root, line, **more)


for path in [WORK + "/tarebook_0.1.0.deb", *packages.values()]:
    shutil.copy(path, root + "/root")
inside("apt-get update -qq && apt-get install -qq -y --no-install-recommends /root/tarebook_0.1.0.deb")
assert inside("dpkg-query -W -f='${Version}' tarebook") == "0.1.0"
# A book that the program of an older schema wrote, as it stands beside an upgrade of the package.
with open(os.path.join(SOURCE, "tests/e2e/kept_books/schema-12.sql"), encoding="utf-8") as f:
    db = sqlite3.connect(root + "/root/shop.tarebook", isolation_level=None)
    db.executescript(f.read())
    db.close()
if last:  # and a book that it writes now
    inside("tarebook --book /root/last.tarebook start --company Fernhollow --zone America/Chicago; "
           "export TAREBOOK=/root/last.tarebook; tarebook site add OAK --owner Quillpost; "
           "tarebook appliance add OAK/RACK-A --category commercial-refrigeration --refrigerant R-448A --full-charge 900lb "
           "--charge-basis calculated; tarebook circuit add OAK/RACK-A/4 --serves produce; "
           "tarebook cylinder add RC-01 --use recovery --refrigerant R-448A --wc 47.6lb --tare 27.5lb --spec DOT-4BA400 "
           "--tested 2024-04; tarebook recover --circuit OAK/RACK-A/4 --into RC-01 --before 27.5lb --after 43.25lb --job 2207")
    inventory = inside("tarebook --book /root/last.tarebook report inventory --format csv")
    assert "RC-01" in inventory
kept = digest(root + "/root/shop.tarebook")
inside("apt-get install -qq -y --no-install-recommends /root/tarebook_%s_*.deb" % version)
assert inside("tarebook --version").strip() == version and digest(root + "/root/shop.tarebook") == kept
inside("tarebook --book /root/shop.tarebook upgrade")
assert "the book is in order" in inside("tarebook --book /root/shop.tarebook check")
if last:
    now = inside("tarebook --book /root/last.tarebook report inventory --format csv")
    one, two = ([row for row in csv.DictReader(text.splitlines()) if row["cylinder"] == "RC-01"][0] for text in (inventory, now))
    assert one["net_lb"] == two["net_lb"] == "15.75", (inventory, now)
    inside("tarebook --book /root/last.tarebook recover --circuit OAK/RACK-A/4 --into RC-01 --before 43.25lb --after 45lb --job 2208")
    assert "the book is in order" in inside("tarebook --book /root/last.tarebook check")
told("installed, upgraded from 0.1.0%s; the book of an older version goes on" % (" (its own program)" if last else ""))

# README's first recovery, as it stands, by copy and paste.
with open(root + "/usr/share/doc/tarebook/README.md", encoding="utf-8") as f:
    block = re.search(r"\n## A first recovery\n\n((?:    .*\n)+)", f.read()).group(1)
lines = re.sub(r"^    ", "", block, flags=re.M)
shown = inside("cd /root\n" + lines)
assert lines.count("tarebook ") >= 7 and "STOP AT" in shown and "15.75 lb recovered into RC-01" in shown, shown
inside("tarebook report inventory --format xlsx --file /root/inventory.xlsx && test -s /root/inventory.xlsx")
told("README's first recovery by copy and paste, and a sheet for a spreadsheet")

week = inside("cd /usr/share/doc/tarebook && sh fixtures/demo-week.sh /root/week")
assert "the book is in order: 87 events" in week and os.path.exists(root + "/root/week/pages/index.html")
told("the demo week, from the installed program: %d lines" % week.count("\n"))

# A book on a server: the library for it is what the package suggests, and the program says so where it is not there.
with OfficeServer() as office:
    office.create("shop")
    book = office.address("shop")
    asked = inside("! tarebook --book '%s' report inventory" % book)
    assert "lacks the library that talks to a PostgreSQL server" in asked and "libpq5" in asked, asked
    inside("apt-get install -qq -y --no-install-recommends libpq5")
    shown = inside("cd /root && export TAREBOOK='%s'\n%s\ntarebook check" % (book, lines))
    assert "15.75 lb recovered into RC-01" in shown and "the book is in order" in shown, shown
told("a book on a server, over TLS, once libpq5 is installed")

# Removed: nothing of the package is left, and no book is touched.
before = inside("dpkg-query -L tarebook").split()
book = digest(root + "/root/shop.tarebook")
inside("apt-get purge -qq -y tarebook")
left = [path for path in before if os.path.lexists(root + path) and ("tarebook" in path or not os.path.isdir(root + path))]
assert not left, left
assert digest(root + "/root/shop.tarebook") == book and os.path.exists(root + "/root/week/demo.tarebook")
told("removed: none of its %d files is left, the books are as they were" % len(before))
shutil.rmtree(WORK)
print("packages: all of it holds, %.0f s" % (time.time() - started))
