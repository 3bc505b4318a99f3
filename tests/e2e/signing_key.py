"""A signing key with one flipped bit: `check` and `backup` say so, nothing more is recorded with it, and `salvage` keeps
all that a good head covers."""
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
