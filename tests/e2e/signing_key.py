"""A signing key with one flipped bit: `check` and `backup` say so, nothing more is recorded with it, and `salvage` keeps
all that a good head covers."""
import hashlib
import json
import os
import random
import shutil

from book import Book, sql

seed = int(os.environ.get("TAREBOOK_SEED", "1"))
rnd = random.Random(seed)
b = Book().small_register()
for pounds in range(3):
    b.ok("weigh", "RC-01", "--gross", "%d.5lb" % (28 + pounds))
whole = b.path
EVENTS = 14


def key_of(path):
    with sql("file:%s?mode=ro" % path, uri=True) as db:
        return db.execute("SELECT secret_key FROM secret").fetchone()[0]


def with_flip(bit, of):
    """A copy of the book in which this bit of its key is another one."""
    data = bytearray(open(whole, "rb").read())
    at = data.find(of)
    assert at > 0 and data.find(of, at + 1) < 0, "the key lies once in the file"
    data[at + bit // 8] ^= 1 << bit % 8
    b.path = os.path.join(b.folder, "flipped.tarebook")
    with open(b.path, "wb") as f:
        f.write(data)


def damaged_key_is_told(bit):
    before = b.digest()
    done = b.run("check")
    assert done.returncode == 3 and "signing key is damaged" in done.stdout, (bit, done.stdout, done.stderr)
    for words in (("weigh", "RC-01", "--gross", "33lb"), ("backup", "--to", os.path.join(b.folder, "copy")),
                  ("send", "--to", os.path.join(b.folder, "bundle")), ("books", "unlock")):
        done = b.run(*words)
        assert done.returncode == 3, (bit, words, done.stdout, done.stderr)
        assert "othing was written" in done.stderr, (bit, words, done.stderr)
    assert b.digest() == before, "bit %d: something was written" % bit


def salvage(want):
    bundle = os.path.join(b.folder, "rescued")
    done = b.ok("salvage", "--to", bundle)
    assert ": %d events in 1 run; 0 unreadable, 0 altered, %d without" % (want, EVENTS - want) in done.stdout, done.stdout
    os.remove(bundle)


# any bit of the key, and of the public key beside it
key = key_of(whole)
for bit in rnd.sample(range(256), 6) + rnd.sample(range(256, 512), 3):
    with_flip(bit, key)
    damaged_key_is_told(bit)
    salvage(EVENTS)

# what a program without that look recorded with a damaged key: its heads do not hold, the earlier ones do
with_flip(11, key)
with sql(b.path) as db:
    db.execute("UPDATE head SET signature = zeroblob(64) WHERE seq > 12")
salvage(12)

# an event is damaged, and of those before it no head is left: the key signs them again, as a later head holds. Not what
# another program put beside them.
b.path = os.path.join(b.folder, "gap.tarebook")
shutil.copy(whole, b.path)
with sql(b.path) as db:
    db.execute("DROP TRIGGER event_is_never_changed")
    db.execute("DELETE FROM head WHERE seq < %d" % EVENTS)
    db.execute("UPDATE event SET body = substr(body, 1, 40) WHERE seq = 9")


def salvaged(words):
    bundle = os.path.join(b.folder, "rescued")
    done = b.ok("salvage", "--to", bundle)
    assert words in done.stdout, done.stdout
    text = open(bundle).read()
    os.remove(bundle)
    return text


assert '"seq":8,' in salvaged(": %d events in 2 runs; 1 unreadable, 0 altered, 0 without" % (EVENTS - 1))
with sql(b.path) as db:
    origin, previous = db.execute("SELECT origin, digest FROM event WHERE seq = 7").fetchone()
    db.execute("INSERT INTO origin(id, book, branch, parent, parent_seq) SELECT id + 1, book, 1, id, 7 FROM origin")
    event = json.loads(db.execute("SELECT body FROM event WHERE seq = 8").fetchone()[0])
    event["by"] = "somebody else"
    text = json.dumps(event, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    db.execute("INSERT INTO event(origin, seq, at, day, kind, digest, body) SELECT origin + 1, seq, at, day, kind, ?, ? "
               "FROM event WHERE seq = 8", (hashlib.sha256(text.encode()).digest(), text))
text = salvaged("1 unreadable, 0 altered, 2 without a signed head")
assert "somebody else" not in text and '"seq":7,' in text and '"seq":8,' not in text

# the table of signed heads cannot be read: its rows still lie in the file
data = bytearray(open(whole, "rb").read())
with sql("file:%s?mode=ro" % whole, uri=True) as db:
    page, size = db.execute("SELECT rootpage, (SELECT page_size FROM pragma_page_size) FROM sqlite_schema WHERE name = "
                            "'head'").fetchone()
data[(page - 1) * size] ^= 1
b.path = os.path.join(b.folder, "flipped.tarebook")
with open(b.path, "wb") as f:
    f.write(data)
salvage(EVENTS)

# under a passphrase: without it, the sum that was noted when it was locked says it
b.path = whole
os.environ["TAREBOOK_NEW_PASSPHRASE"] = "quern and tern"
env = b.env
b.env = lambda now=None: dict(env(now), TAREBOOK_NEW_PASSPHRASE="quern and tern")
b.ok("books", "lock")
b.ok("check")
key = key_of(whole)
for bit in rnd.sample(range(len(key) * 8), 4):
    with_flip(bit, key)
    done = b.run("check")
    assert done.returncode == 3 and "signing key is damaged" in done.stdout, (bit, done.stdout, done.stderr)
# a book that was locked before there was a sum: a remark, and with the passphrase the news
shutil.copy(whole, b.path)
with sql(b.path) as db:
    db.execute("DELETE FROM book WHERE name = 'locked_key'")
assert "whether it is whole" in b.ok("check").stdout
b.env = lambda now=None: dict(env(now), TAREBOOK_PASSPHRASE="quern and tern")
assert "whether it is whole" not in b.ok("check").stdout
with sql(b.path) as db:
    db.execute("UPDATE secret SET secret_key = CAST(substr(secret_key, 1, 135) || x'00' AS BLOB)")
assert b.run("check").returncode == 3
print("signing key: a flipped bit is told, signs nothing, and costs no event; seed %d" % seed)
