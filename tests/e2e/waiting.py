"""A command that waits for the book says for whom, goes on when it gets the book, and Ctrl-C ends it with nothing written.
What is wrong with a file is said at once, whoever has the book."""
import contextlib
import json
import os
import signal
import sqlite3
import subprocess
import time

from book import BIN, Book

b = Book().small_register()
WEIGH = ["weigh", "RC-01", "--gross", "28.00lb"]


def waiting(*words):
    held = sqlite3.connect(b.path, isolation_level=None)
    held.execute("BEGIN IMMEDIATE")
    p = subprocess.Popen([BIN, *words], env=b.env("2026-06-01T15:00:00Z"), stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
                         stderr=subprocess.PIPE, text=True)
    told = p.stderr.readline()  # comes after the first second, while the book is still held
    assert told.startswith("waiting for the book: "), told
    assert "process %d" % os.getpid() in told or "another program" in told, told
    assert "nothing is written" in told, told
    return held, p


before = b.digest()
held, p = waiting(*WEIGH)
p.send_signal(signal.SIGINT)
out, err = p.communicate(timeout=20)
held.execute("ROLLBACK")
held.close()
assert p.returncode == -signal.SIGINT, p.returncode
assert "was ended" in err and "Nothing was written" in err, err
assert b.digest() == before and b.json("check")["ok"] is True

held, p = waiting(*WEIGH)
time.sleep(0.2)
held.execute("ROLLBACK")
held.close()
out, err = p.communicate(timeout=20)
assert p.returncode in (0, 4), (p.returncode, err)
assert "recorded as" in out, out
assert b.json("check")["ok"] is True

# --- files: what is wrong with one is said while another program has the book; a good one waits ---
truck = Book(start=False)
truck.ok("start", "--company", "Fernhollow Refrigeration", "--zone", "America/Chicago", "--shop", b.ok("books", "card").stdout.strip())
truck.ok("cylinder", "add", "TK-01", "--use", "recovery", "--refrigerant", "R-448A", "--wc", "47.6lb", "--tare", "27.5lb",
         "--spec", "DOT-4BA400", "--tested", "2024-04")
b.ok("books", "trust", "truck-1", "--card", truck.ok("books", "card").stdout.strip())


def file(name, content):
    path = os.path.join(b.folder, name)
    with open(path, "wb") as f:
        f.write(content)
    return path


def read(path):
    with open(path, "rb") as f:
        return f.read()


def sent(name, *words):
    path = os.path.join(b.folder, name)
    truck.ok("send", "--to", path, *words)
    return path


def flipped(path, at, name="-flipped"):
    content = bytearray(read(path))
    content[at] = ord("1") if content[at] == ord("0") else ord("0")  # a digit, also where one of hex stands
    return file(os.path.basename(path) + name, bytes(content))


office = Book(start=False)  # what the truck seals to is the office's key
truck.ok("books", "trust", "office", "--card", b.ok("books", "card").stdout.strip())
plain, sealed = sent("plain"), sent("sealed", "--seal-to", "office")
TARE = read(plain).index(b"27.5lb")
columns = "kind,date,time,site,appliance,circuit,cylinder,refrigerant,gross_before_lb,gross_after_lb,technician,job\n"
row = "recover,2026-05-30,10:00,OAK,RACK-A,4,RC-01,R-448A,%s,30.00,Ada,J-7\n"
good_rows, bad_rows = file("rows.csv", (columns + row % "28.00").encode()), file("bad.csv", (columns + row % "heavy").encode())
theirs = file("theirs.csv", b"Cyl,Kind,TW\nRC-31,recovery,27 lb\nRC-32,recovery,heavy\n")
mapping = file("map.yaml", b"import: cylinders\nfields:\n  cylinder: Cyl\n  use: Kind\n  tare: TW\n")


@contextlib.contextmanager
def book_held():
    held = sqlite3.connect(b.path, isolation_level=None)
    held.execute("BEGIN IMMEDIATE")
    yield
    held.execute("ROLLBACK")
    held.close()


before = b.digest()
for name, place, *words in (("bundle-chain", "plain-flipped:6", "merge", flipped(plain, TARE)),
                            ("bundle-signature", "plain-unsigned:7", "merge", flipped(plain, -10, "-unsigned")),
                            ("bundle-torn", "torn:7", "merge", file("torn", read(plain)[:-40])),
                            ("bundle-sealed", "sealed-flipped:1", "merge", flipped(sealed, -200)),
                            ("bundle-sealed", "sealed-flipped:1", "merge", plain, sealed + "-flipped"),
                            ("weight-number", "bad.csv:2", "import", "movements", bad_rows),
                            ("weight-number", "theirs.csv:3", "import", "cylinders", theirs, "--map", mapping)):
    with book_held():
        done = b.run(*words, "--format", "json")
    assert done.returncode in (1, 2) and done.stdout == "" and "waiting" not in done.stderr, (words, done)
    said = json.loads(done.stderr)
    found = [(p["error"], "%s:%d" % (os.path.basename(p["file"]), p["line"])) for p in said["file_problems"]]
    assert found == [(name, place)] and said["written"] is False and b.digest() == before, (words, found)



def after_wait(*words, meanwhile=lambda: None):
    """How a command ends that waited, and got the book."""
    held, p = waiting(*words)
    meanwhile()
    held.execute("ROLLBACK")
    held.close()
    out, err = p.communicate(timeout=20)
    return p.returncode, out, err


# what the file became while the merge waited is not what was verified
going = os.path.join(b.folder, "going")
for meanwhile, code, says in ((lambda: file("going", read(plain + "-flipped")), 1, "is not the one that was verified a moment ago"),
                              (lambda: file("going", read(plain)[:-40]), 1, "is not the one that was verified a moment ago"),
                              (lambda: os.unlink(going), 2, "going cannot be read")):
    file("going", read(plain))
    ended, out, err = after_wait("merge", going, meanwhile=meanwhile)
    assert ended == code and out == "" and says in err and "Nothing was written" in err, (ended, out, err)
    assert b.digest() == before and b.json("check")["ok"] is True

# the good ones
ended, out, err = after_wait("merge", plain, sealed)
assert ended in (0, 4) and "truck-1: 3 events, 3 new" in out and "all here already" in out, (ended, out, err)
ended, out, err = after_wait("import", "movements", good_rows)
assert ended in (0, 4) and "1 row: 1 recorded" in out, (ended, out, err)
assert b.json("check")["ok"] is True
print("waiting: told by whom; Ctrl-C ends it with nothing written; else it goes on; a bad file is refused at once")
