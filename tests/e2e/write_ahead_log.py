"""Who reads and who records do not wait for each other; the file alone is the whole book once it is closed; a log that a
killed program left is taken in, and one of another file is refused."""
import os
import shutil
import sqlite3
import subprocess
import sys

from book import BIN, Book

HOLD = """
import sqlite3, sys
db = sqlite3.connect(sys.argv[1], isolation_level=None)
db.execute("BEGIN")
db.execute("SELECT count(*) FROM event").fetchone()
print("open", flush=True)
sys.stdin.read()
"""
LONG_TABLES = """
import os, signal, sqlite3, sys
db = sqlite3.connect(sys.argv[1], isolation_level=None)
db.execute("PRAGMA journal_mode = WAL")
db.execute("CREATE TABLE filler (x)")
db.execute("INSERT INTO filler VALUES (zeroblob(4096 * 38))")
for n in range(4):
    db.execute("CREATE TABLE table_%d (x /* %s */)" % (n, "long " * 500))
db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
db.execute("PRAGMA user_version = 9")
os.kill(os.getpid(), signal.SIGKILL)
"""


def events(path):
    db = sqlite3.connect(path)
    try:
        return db.execute("SELECT count(*) FROM event").fetchone()[0]
    finally:
        db.close()


def beside(b):
    return sorted(f for f in os.listdir(b.folder) if f.startswith("shop.tarebook-"))


def recorded_beside_a_reader(b, *words):
    """The log stays as long as somebody has the book open; then that one is killed, and leaves it."""
    holder = subprocess.Popen([sys.executable, "-c", HOLD, b.path], stdin=subprocess.PIPE, stdout=subprocess.PIPE)
    assert holder.stdout.readline() == b"open\n"
    b.ok(*words)
    holder.kill()
    holder.wait()
    assert beside(b) == ["shop.tarebook-shm", "shop.tarebook-wal"] and os.path.getsize(b.path + "-wal") > 4096, beside(b)


def content(b):
    out = {}
    for name in ["shop.tarebook", *beside(b)]:
        with open(os.path.join(b.folder, name), "rb") as f:
            out[name] = f.read()
    return out


def put(b, files):
    for name in beside(b):
        os.remove(os.path.join(b.folder, name))
    for name, data in files.items():
        with open(os.path.join(b.folder, name), "wb") as f:
            f.write(data)


def flipped(data, bit):
    return data[:bit // 8] + bytes([data[bit // 8] ^ 1 << bit % 8]) + data[bit // 8 + 1:]


b = Book().small_register()
assert beside(b) == []
n = events(b.path)

# a reader that holds an older look keeps nobody from recording, and a writer keeps nobody from reading
holder = sqlite3.connect(b.path, isolation_level=None)
holder.execute("BEGIN")
assert holder.execute("SELECT count(*) FROM event").fetchone()[0] == n
b.ok("weigh", "RC-01", "--gross", "28.1lb")
assert holder.execute("SELECT count(*) FROM event").fetchone()[0] == n
holder.execute("COMMIT")
holder.execute("BEGIN IMMEDIATE")
assert "28.10 lb" in b.ok("report", "cylinder", "RC-01").stdout
holder.execute("ROLLBACK")
holder.close()
b.ok("report", "inventory")
assert beside(b) == [], beside(b)

# a killed program leaves file and log: together they are the book, for a reader and for who records
friday = content(b)
n = events(b.path)
recorded_beside_a_reader(b, "weigh", "RC-01", "--gross", "28.2lb")
left = content(b)
for words, more in ((("check",), 0), (("weigh", "RC-01", "--gross", "28.3lb"), 1)):
    for without_index in (False, True):
        put(b, {name: data for name, data in left.items() if not (without_index and name.endswith("-shm"))})
        b.ok(*words)
        assert beside(b) == [], (words, beside(b))
        assert events(b.path) == n + 1 + more, words
        assert "in order" in b.ok("check").stdout
# the file alone, copied without its log, is the book as it was before
put(b, {"shop.tarebook": left["shop.tarebook"]})
assert "in order" in b.ok("check").stdout and events(b.path) == n

# a log of another file: of a newer book, of an older one, of a copy that went on otherwise, of another book
put(b, friday)
b.ok("weigh", "RC-01", "--gross", "28.4lb")
b.ok("weigh", "RC-01", "--gross", "28.5lb")
monday = content(b)
recorded_beside_a_reader(b, "weigh", "RC-01", "--gross", "28.6lb")
newer_log = content(b)["shop.tarebook-wal"]
other = Book().small_register()
recorded_beside_a_reader(other, "weigh", "RC-01", "--gross", "28.7lb")
other_log = content(other)["shop.tarebook-wal"]
with_log = "shop.tarebook-wal"
# of another database, its first page alone, which leads to others behind the end of the book: with it nothing can be read
subprocess.run([sys.executable, "-c", LONG_TABLES, os.path.join(b.folder, "tables")])
with open(os.path.join(b.folder, "tables-wal"), "rb") as f:
    unreadable_log = f.read()
no_log = sqlite3.connect(b.path)
no_log.execute("PRAGMA journal_mode = DELETE")
no_log.close()
rollback = {"shop.tarebook": content(b)["shop.tarebook"]}
for name, file, log in (("newer", friday, newer_log), ("older", monday, left[with_log]), ("other", friday, other_log),
                        ("unreadable", friday, unreadable_log), ("no log in the header", rollback, newer_log), ("no log at all", friday, b"words of a list\n" * 9),
                        *(("bit %d of its header" % bit, {"shop.tarebook": left["shop.tarebook"]}, flipped(left[with_log], bit))
                          for bit in (1, 70, 90, 130, 180, 255))):
    put(b, {**file, with_log: log})
    before = content(b)
    for words in (("check",), ("weigh", "RC-01", "--gross", "29lb"), ("report", "inventory"), ("upgrade",),
                  ("upgrade", "--dry-run"), ("backup", "--to", "{}")):
        done = b.run(*[w.format(os.path.join(b.folder, "copy")) for w in words])
        if name == "no log at all":  # SQLite takes no page from it; only what is a log can be strange
            assert done.returncode in (0, 3, 4), (name, words, done.stderr)
            continue
        assert done.returncode == 3 and b.path + "-wal" in done.stderr and "is not its log" in done.stderr, \
            (name, words, done.returncode, done.stdout, done.stderr)
        now = content(b)
        now.pop("shop.tarebook-shm", None)
        assert now == before, (name, words)
        put(b, before)
    # what a strange log hides is saved all the same, and both files stay as they are
    put(b, before)
    db = sqlite3.connect("file:%s?immutable=1" % b.path, uri=True)
    bodies = {row[0] for row in db.execute("SELECT body FROM event")}
    db.close()
    saved = os.path.join(b.folder, "saved")
    done = b.run("salvage", "--to", saved)
    assert done.returncode in (0, 4), (name, done.returncode, done.stderr)
    with open(saved, encoding="utf-8") as f:
        left_out = bodies - set(f.read().split("\n"))
    os.remove(saved)
    assert not left_out, (name, len(left_out), done.stdout)
    now = content(b)
    now.pop("shop.tarebook-shm", None)
    assert now == before or name == "no log at all", name

# what a power cut leaves where a log was never written down holds nothing
put(b, {**friday, with_log: bytes(9000)})
assert "in order" in b.ok("check").stdout

# of a damaged book a reader leaves what it found
put(b, {"shop.tarebook": monday["shop.tarebook"][:-4096] + bytes(4096)})
b.ok("salvage", "--to", os.path.join(b.folder, "rescued"))
assert beside(b) == [], beside(b)

# in a folder that cannot be written: the file alone where there is no log, all that was told with one, or a sentence
as_nobody = ["setpriv", "--reuid=65534", "--regid=65534", "--clear-groups"] if os.getuid() == 0 else []
program = os.path.join(b.folder, "tarebook")
shutil.copy(BIN, program)


def read_only(files):
    os.chmod(b.folder, 0o755)
    put(b, files)
    for name in files:
        os.chmod(os.path.join(b.folder, name), 0o444)
    os.chmod(b.folder, 0o555)
    return subprocess.run(as_nobody + [program, "report", "cylinder", "RC-01"], env=b.env("2026-06-01T15:00:00Z"),
                          stdin=subprocess.DEVNULL, capture_output=True, text=True)


done = read_only(friday)
assert done.returncode in (0, 4) and "28.10 lb" in done.stdout, (done.returncode, done.stderr)
done = read_only(left)
assert done.returncode in (0, 4) and "28.20 lb" in done.stdout or b.path + "-wal" in done.stderr, (done.stdout, done.stderr)
done = read_only({name: left[name] for name in ("shop.tarebook", with_log)})
assert done.returncode == 3 and b.path + "-wal" in done.stderr and "28." not in done.stdout, (done.stdout, done.stderr)
os.chmod(b.folder, 0o755)
print("write-ahead log: nobody waits; what was left is taken in, what is strange is refused")
