"""The folder that runs on any Linux, from outside: in a root that has nothing but it, not even a shell or time zones, its
program starts a book, records README's first recovery, writes pages and a spreadsheet, and checks the book, in a file and on a
PostgreSQL server over TLS; then the same as on old kernels: what Linux got since 4.4 (January 2016), then since 3.10 (2013), is
answered "no such call"; then in other roots that are named, where their shell plays the demo week, too. What was taken out of
it, it says that it lacks.

    python3 tests/package/folder.py TAR [ROOT...]     as root; ROOT: a folder with a Linux in it (mmdebstrap, musl_root.sh)

Where the machine's processor is another than the folder's, qemu-user is used (qemu-aarch64-static). By hand, not in CI.
Needs a PostgreSQL server's programs and openssl (Debian: postgresql, openssl)."""
import gzip
import itertools
import os
import platform
import re
import shlex
import shutil
import subprocess
import sys
import tempfile
import zipfile

SOURCE = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
sys.path.insert(0, SOURCE + "/tests/e2e")
from old_calls import as_on_kernel
from office_server import OfficeServer

tar, roots = os.path.abspath(sys.argv[1]), sys.argv[2:]
name = os.path.basename(tar).split(".tar")[0]
_, version, arch = name.split("-")
emulated = {"arm64": "aarch64", "amd64": "x86_64"}[arch] != platform.machine()
WORK = tempfile.mkdtemp(prefix="tarebook-folder-")


def run(*words, codes=(0,), **more):
    done = subprocess.run(words, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, **more)
    assert done.returncode in codes, "%s ended with %d:\n%s" % (" ".join(words), done.returncode, done.stdout[-3000:])
    return done.stdout


with open(os.path.join(SOURCE, "README.md"), encoding="utf-8") as f:
    block = re.search(r"\n## A first recovery\n\n((?:    .*\n)+)", f.read()).group(1)
recovery = [shlex.split(line) for line in re.sub(r"\\\n", " ", block).splitlines()]
assert len(recovery) >= 7 and all(line[0] == "tarebook" for line in recovery)


def emulator(qemu, folder, root):
    """What the launcher does, for a processor that is emulated: the emulator does not follow to another program."""
    lib = folder + "/lib"
    zones = [] if os.path.exists(root + "/usr/share/zoneinfo") else ["--preload", lib + "/zones.so"]
    return [qemu, lib + "/loader", "--inhibit-cache", "--library-path", lib, *zones, lib + "/program"]


def one_program(path, words):
    """A script that stands for these words."""
    with open(path, "w") as f:
        f.write('#!/bin/sh\nexec %s "$@"\n' % shlex.join(words))
    os.chmod(path, 0o755)


databases = map("shop%d".__mod__, itertools.count())


def tried(root, what, kernel=None):
    """The folder at /opt of a root, and what it does there, on that old kernel if one is named."""
    os.makedirs(root + "/opt", exist_ok=True)
    os.makedirs(root + "/proc", exist_ok=True)
    os.makedirs(root + "/dev", exist_ok=True)
    os.makedirs(root + "/tmp", exist_ok=True)
    home = tempfile.mkdtemp(dir=root + "/opt")
    run("tar", "-xf", tar, "-C", home)
    for node, minor in (("null", "3"), ("random", "8"), ("urandom", "9")):
        if not os.path.exists(root + "/dev/" + node):
            run("mknod", "-m", "666", root + "/dev/" + node, "c", "1", minor)
    inside = home[len(root):]
    # By a link of another name in another folder, as on a PATH. An emulator starts the loader itself, as the launcher does.
    os.makedirs(home + "/bin")
    os.symlink("../%s/tarebook" % name, home + "/bin/tarebook")
    start = [inside + "/bin/tarebook"]
    if emulated:
        shutil.copy(shutil.which("qemu-aarch64-static"), home + "/qemu")
        start = emulator(inside + "/qemu", inside + "/" + name, root)

    def in_root(*words, codes, **settings):
        line = ["env", "-i", "HOME=" + inside, *("%s=%s" % one for one in settings.items()), "unshare", "-m", "-i", "/bin/sh", "-c",
                'root=$1; shift; mount -t proc proc "$root/proc" && exec /usr/sbin/chroot "$root" "$@"', "sh", root, *words]
        return run(*line, codes=codes, preexec_fn=kernel and (lambda: as_on_kernel(kernel)))

    def command(*words, codes=(0, 4), book=inside + "/shop.tarebook"):
        return in_root(*start, *words, codes=codes, TAREBOOK=book)

    if emulated:
        launcher = subprocess.run([home + "/qemu", home + "/" + name + "/tarebook"], capture_output=True, text=True)
        assert launcher.returncode == 3 or "tarebook" in launcher.stdout + launcher.stderr, launcher  # it starts; its loader is another's
    assert command("--version").strip() == version
    shown = "".join(command(*line[1:]) for line in recovery)
    assert "STOP AT" in shown and "15.75 lb recovered into RC-01" in shown, shown
    local = command("report", "event", "--format", "json")
    assert re.search(r'"at": "\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d-0[56]:00"', local), local  # Chicago's clock
    command("pages", "--to", inside + "/pages")
    assert os.path.exists(home + "/pages/index.html")
    command("report", "inventory", "--format", "xlsx", "--file", inside + "/inventory.xlsx")
    with zipfile.ZipFile(home + "/inventory.xlsx") as sheets:
        assert b"RC-01" in sheets.read("xl/sharedStrings.xml")
    command("label", "RC-01", "--format", "html")
    assert "the book is in order" in command("check")
    assert "no such time zone" in command("site", "add", "ELM", "--owner", "X", "--zone", "America/Nowhere", codes=(1, 2))
    week = ""
    if os.path.exists(root + "/bin/sh"):
        one_program(home + "/start", start)
        week = ", the demo week"
        shown = in_root("/bin/sh", inside + "/" + name + "/share/doc/tarebook/fixtures/demo-week.sh", inside + "/week", codes=(0,),
                        PATH="/usr/bin:/bin", TAREBOOK_BIN=inside + "/start")
        assert "the book is in order: 87 events" in shown, shown
    database = next(databases)
    office.create(database)
    shown = "".join(command(*line[1:], book=office.address(database)) for line in recovery)
    assert "STOP AT" in shown and "15.75 lb recovered into RC-01" in shown, shown
    assert "the book is in order" in command("check", book=office.address(database))
    assert int(office.ask(database, "SELECT count(*) FROM tarebook.event")) > 0
    os.remove(home + "/" + name + "/lib/libpq.so.5")
    asked = command("report", "inventory", book=office.address(database), codes=(3,))
    assert "lacks the library that talks to a PostgreSQL server: libpq.so.5" in asked, asked
    [sheets] = [file for file in os.listdir(home + "/" + name + "/lib") if file.startswith("libxlsxwriter.so.")]
    os.remove("%s/%s/lib/%s" % (home, name, sheets))
    asked = command("report", "inventory", "--format", "xlsx", "--file", inside + "/no.xlsx", codes=(3,))
    assert "lacks the library that writes spreadsheets: " + sheets in asked and "--format csv" in asked, asked
    assert not os.path.exists(home + "/no.xlsx")
    shutil.rmtree(home)
    print("%s: README's first recovery in a file and on a server%s, pages, a spreadsheet, a label, check, what it lacks" % (what, week),
          flush=True)


empty = WORK + "/empty"
os.makedirs(empty)
with OfficeServer() as office:
    tried(empty, "a root with nothing else")
    if not emulated:
        for kernel in ("4.4", "3.10"):
            tried(empty, "a root with nothing else, as on Linux " + kernel, kernel)
    for root in roots:
        with open(root + "/etc/os-release") as f:
            called = re.search(r'^PRETTY_NAME="(.*)"', f.read(), re.M).group(1)
        tried(os.path.abspath(root), called)

# What stands in it: the licences of all that it holds, completions, the page for man, the demo week.
run("tar", "-xf", tar, "-C", WORK)
folder = os.path.join(WORK, name)
for file in os.listdir(folder + "/lib"):
    assert not os.path.islink(folder + "/lib/" + file)
licences = set(os.listdir(folder + "/licences"))
assert {"tarebook", "libc6", "libstdc++6", "libsqlite3-0", "libsodium-dev", "libxlsxwriter4", "libpq5", "tzdata"} <= licences, licences
with gzip.open(folder + "/share/man/man1/tarebook.1.gz", "rt") as f:
    assert f.read().startswith(".TH TAREBOOK")
if not emulated:
    # Libraries that a person's settings name are those of the machine, and do not reach it.
    os.makedirs(WORK + "/others")
    for library in os.listdir(folder + "/lib"):
        with open(WORK + "/others/" + library, "w") as f:
            f.write("of another C library")
    assert run("env", "LD_LIBRARY_PATH=" + WORK + "/others", "LD_PRELOAD=" + WORK + "/others/libc.so.6", folder + "/tarebook",
               "--version") == version + "\n"
start = [folder + "/tarebook"] if not emulated else emulator(shutil.which("qemu-aarch64-static"), folder, "/")
one_program(WORK + "/start", start)
week = run("sh", folder + "/share/doc/tarebook/fixtures/demo-week.sh", WORK + "/week", env=dict(os.environ, TAREBOOK_BIN=WORK + "/start"))
assert "the book is in order: 87 events" in week
shutil.rmtree(WORK)
print("folder: all of it holds")
