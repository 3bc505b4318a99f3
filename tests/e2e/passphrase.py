"""A passphrase lies in memory once, in a page that is not dumped, and no core is written; what a failing disk did to a key
is told as it is."""
import os
import re
import signal
import sqlite3
import subprocess
import time

from book import BIN, Book

SECRET = "quern and tern and bourn"
b = Book().small_register()
locked = {"TAREBOOK_PASSPHRASE": SECRET, "TAREBOOK_NEW_PASSPHRASE": SECRET}
env = dict(b.env("2026-06-01T15:00:00Z"), **locked)
assert subprocess.run([BIN, "books", "lock"], env=env, capture_output=True).returncode == 0


def copies_in(pid):
    """How often it stands in the memory of the process; 0 where nobody may look."""
    found = 0
    try:
        with open("/proc/%d/maps" % pid) as maps, open("/proc/%d/mem" % pid, "rb", 0) as memory:
            for line in maps:
                begin, end, rights = re.match(r"([0-9a-f]+)-([0-9a-f]+) (\S+)", line).groups()
                if "rw" not in rights or "[v" in line:
                    continue
                memory.seek(int(begin, 16))
                try:
                    found += memory.read(int(end, 16) - int(begin, 16)).count(SECRET.encode())
                except OSError:
                    pass
    except PermissionError:
        pass
    return found


def dump_of(pid):
    with open("/proc/%d/limits" % pid) as f:
        return re.search(r"Max core file size +(\S+)", f.read()).group(1)


# it waits for the book, with its passphrase in hand
holder = sqlite3.connect(b.path, isolation_level=None)
holder.execute("BEGIN IMMEDIATE")
waits = subprocess.Popen([BIN, "weigh", "RC-01", "--gross", "27.5lb"],
                         env={k: v for k, v in env.items() if k != "TAREBOOK_NEW_PASSPHRASE"}, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
time.sleep(2)
copies, core = copies_in(waits.pid), dump_of(waits.pid)
holder.execute("ROLLBACK")
out, err = waits.communicate()
assert waits.returncode in (0, 4), (out, err)
assert core == "0", "a core dump of %s bytes may be written" % core
watched = b"__asan" in open(BIN, "rb").read()
assert copies <= (3 if watched else 2), "%d copies of the passphrase" % copies


def limited(kind, value):
    """The soft limits that a shell would give."""
    def before():
        import resource
        resource.setrlimit(kind, (value, value))
    return before


# a book that others can read, and whose key is not locked, is remarked on
subprocess.run([BIN, "books", "unlock"], env=env, check=True, capture_output=True)
os.chmod(b.path, 0o644)
assert "other users of this machine can read the file" in " ".join(b.ok("check").stdout.split())
os.chmod(b.path, 0o600)
assert "other users" not in b.ok("check").stdout
print("passphrase: no core, no copies; a key that others can read is remarked on")
