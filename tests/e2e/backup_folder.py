"""`backup --into FOLDER --keep N` removes only older copies of the same book, by its own names, after the new copy was checked;
what may hold events that the book does not have stays and is named. `backup --verify FOLDER` looks at each copy."""
import os
import re
import shutil

from book import Book

b = Book().small_register()
folder = os.path.join(b.folder, "copies")
hour = iter(range(24 * 28))


def now():
    n = next(hour)
    return "2026-06-%02dT%02d:00:00Z" % (2 + n // 24, n % 24)


def backup(*words, book=b, code=0):
    done = book.run("backup", "--into", folder, *words, now=now())
    assert done.returncode == code, done
    return done.stdout


def weigh(pounds, book=b):
    book.ok("weigh", "RC-01", "--gross", "%dlb" % pounds, "--anyway", "for a test", now=now())


def copies():
    return sorted(n for n in os.listdir(folder) if n.startswith("tarebook-"))


def made(told):
    return re.match(r"(\S+): the whole book, checked", told)[1]


# A folder that is not there may be a disk that is not mounted: it is not made.
assert b.run("backup", "--into", folder).returncode == 3 and not os.path.exists(folder)
os.makedirs(folder)
for words in ((), ("--to", "x", "--into", folder), ("--to", "x", "--keep", "3"), ("--verify", folder, "--keep", "3"), ("--into", folder, "--keep", "0")):
    assert b.run("backup", *words).returncode == 2, words
assert b.run("backup", "--verify", folder).returncode == 1, "no copies"

# What is not a copy of this book, by name or by what is in it, is left alone.
strange = {"shop.tarebook": b"", "notes.txt": b"mine", "tarebook-0123456789ab-20260101T000000Z.tarebook": b"not mine",
           "tarebook-old.tarebook": b"old"}
for name, content in strange.items():
    with open(os.path.join(folder, name), "wb") as f:
        f.write(content)
first = made(backup("--keep", "3"))
for n in range(5):
    weigh(40 + n)
    backup("--keep", "3")
mine = [n for n in copies() if n not in strange]
assert len(mine) == 3 and os.path.basename(first) not in mine, mine
for name, content in strange.items():
    with open(os.path.join(folder, name), "rb") as f:
        assert f.read() == content, name
for name in strange:
    os.unlink(os.path.join(folder, name))

# A copy in which somebody recorded: its last event is not in the book.
gone_on = os.path.join(folder, mine[0])
other = Book(start=False)
other.path = gone_on
weigh(31, other)
weigh(50)
told = backup("--keep", "1", code=4)
assert "KEPT, look at it: %s: its last event, E" % gone_on in told and "is not in this book" in told, told
assert copies() == sorted([os.path.basename(gone_on), os.path.basename(made(told))])

# A damaged copy, and one of another book under such a name.
broken = made(backup("--keep", "9", code=4))
with open(broken, "r+b") as f:
    f.write(b"no book any more")
stranger = Book()
strangers = os.path.join(folder, os.path.basename(broken)[:-len("20260101T000000Z.tarebook")] + "20260101T000000Z.tarebook")
shutil.copyfile(stranger.path, strangers)
weigh(51)
told = backup("--keep", "1", code=4)
assert "%s: it cannot be read as a book" % broken in told and "%s: it is of another book" % strangers in told, told
assert len(copies()) == 4 and os.path.exists(made(told))

# A log beside a copy: perhaps a program records in it.
weigh(52)
newest = made(backup("--keep", "1", code=4))
for path in (broken, strangers, gone_on):
    os.unlink(path)
open(newest + "-wal", "wb").close()
weigh(53)
told = backup("--keep", "1", code=4)
assert "%s: a log is beside it" % newest in told and os.path.exists(newest), told
os.unlink(newest + "-wal")

# A clock that was set back: the copy that was just made stays, whatever it is called.
weigh(54)
done = b.run("backup", "--into", folder, "--keep", "1", now="2026-01-01T00:00:00Z")
assert done.returncode == 0 and copies() == [os.path.basename(made(done.stdout))], (done, copies())

# Each copy is looked at; what is wrong with one is told with its name.
weigh(55)
backup("--keep", "2")
done = b.ok("backup", "--verify", folder)
assert done.stdout.count(": in order, up to E") == 2, done.stdout
with open(os.path.join(folder, copies()[0]), "r+b") as f:
    f.seek(20000)
    f.write(bytes(4000))
done = b.run("backup", "--verify", folder)
assert done.returncode == 3 and done.stdout.count(": in order") == 1 and "%s: DAMAGED: " % os.path.join(folder, copies()[0]) in done.stdout, done
assert b.json("check")["ok"]

# check --quiet prints nothing where all is well, and all where it is not.
assert b.run("check", "--quiet").stdout == "" and b.run("check", "--quiet").returncode == 0
other.path = os.path.join(folder, copies()[0])
done = other.run("check", "--quiet")
assert done.returncode == 3 and (done.stdout or done.stderr), done
print("a folder of backups: the newest stay, what may hold more than the book is kept and named")
