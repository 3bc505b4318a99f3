"""SQLite finds a journal by its name alone: a new file never takes a name beside which another file's journal lies."""
import os
import shutil
import subprocess

from book import Book

STOP = r"""
import os, signal, sqlite3, sys
db = sqlite3.connect(sys.argv[1], isolation_level=None)
db.execute("PRAGMA journal_mode = DELETE")
db.execute("PRAGMA cache_size = 1")
db.execute("PRAGMA cache_spill = 1")
db.execute("BEGIN IMMEDIATE")
db.execute("UPDATE step SET gap = gap + 1")
db.execute("CREATE TABLE filler (x)")
for _ in range(200):
    db.execute("INSERT INTO filler VALUES (zeroblob(4000))")
os.kill(os.getpid(), signal.SIGKILL)
"""


def left_by_a_killed_program(b):
    """The hot journal of a book that was being recorded in when the machine went down."""
    for pounds in range(5):
        b.ok("weigh", "RC-01", "--gross", "%d.5lb" % (28 + pounds))
    copy = os.path.join(b.folder, "other")
    shutil.copy(b.path, copy)
    subprocess.run(["python3", "-c", STOP, copy])
    assert os.path.getsize(copy + "-journal") > 512, "no journal was left"
    with open(copy + "-journal", "rb") as f:
        return f.read()


b = Book().small_register()
friday = os.path.join(b.folder, "friday")
b.ok("backup", "--to", friday)
journal = left_by_a_killed_program(b)
new = os.path.join(b.folder, "new")
makers = {
    "restore": ("restore", friday, "--to", new),
    "backup": ("backup", "--to", new),
    "start": ("--book", new, "start", "--company", "Fernhollow Refrigeration", "--zone", "America/Chicago"),
}
for ending in ("-journal", "-wal", "-shm"):
    for name, words in makers.items():
        with open(new + ending, "wb") as f:
            f.write(journal)
        done = b.run(*words)
        assert done.returncode == 3 and new + ending in done.stderr and "Nothing was written" in done.stderr, \
            (name, ending, done.returncode, done.stdout, done.stderr)
        assert not os.path.exists(new) and open(new + ending, "rb").read() == journal, (name, ending)
        os.remove(new + ending)
        assert not [f for f in os.listdir(b.folder) if f.startswith("new")], (name, os.listdir(b.folder))
# without the journal each goes through
for name, words in makers.items():
    b.ok(*words)
    assert b.run("--book", new, "check").returncode == 0
    os.remove(new)

# a backup that was being replaced by a killed program is a book with a journal of its own: it is rolled back, then goes
shutil.copy(os.path.join(b.folder, "other"), friday)
with open(friday + "-journal", "wb") as f:
    f.write(journal)
b.ok("backup", "--to", friday)
assert not os.path.exists(friday + "-journal")
assert "in order" in b.ok("--book", friday, "check").stdout

# an empty log, left by a disk that failed when it was removed, holds nothing that could get into a book
for name in (friday, new):
    open(name + "-wal", "wb").close()
    b.ok("backup", "--to", name)
    assert not os.path.exists(name + "-wal") or os.path.getsize(name + "-wal") == 0
    assert "in order" in b.ok("--book", name, "check").stdout

print("side files: no strange journal gets into a book")
