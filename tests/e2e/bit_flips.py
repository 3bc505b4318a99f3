"""One bit flipped anywhere in an event row is reported by `check` with the event named (I3, I4), but for one: the type of the
row's number, which SQLite keeps elsewhere, may say "0" for "nothing" (schema/book/0010), and every column reads as before.
TAREBOOK_FLIPS (100) says how many of the row's bits; "all" takes every one."""
import os
import random
import shutil

from book import Book, sql

seed = int(os.environ.get("TAREBOOK_SEED", "1"))
want = os.environ.get("TAREBOOK_FLIPS", "100")
b = Book().small_register()
b.ok("recover", "--circuit", "OAK/RACK-A/4", "--into", "RC-01", "--before", "27.5lb", "--after", "31.2lb", "--job", "77",
     "--own-id", "mine")
b.ok("weigh", "RC-01", "--gross", "31.2lb")
with sql("file:%s?mode=ro" % b.path, uri=True) as db:
    seq, body = db.execute("SELECT seq, body FROM event WHERE own_id = 'mine'").fetchone()
    page_size = db.execute("PRAGMA page_size").fetchone()[0]
data = bytearray(open(b.path, "rb").read())
at = data.find(body.encode())
assert at > 0 and data.find(body.encode(), at + 1) < 0, "the body lies once in the file"
page = at // page_size * page_size
assert data[page] == 0x0D, "a table leaf page"
cells = int.from_bytes(data[page + 3:page + 5], "big")
starts = [page + int.from_bytes(data[page + 8 + 2 * i:page + 10 + 2 * i], "big") for i in range(cells)]
start = max(s for s in starts if s <= at)
end = at + len(body.encode())
bits = [(byte, bit) for byte in range(start, end) for bit in range(8)]
if want != "all":
    rnd = random.Random(seed)
    head = [x for x in bits if x[0] < start + 16]  # sizes, number and types: the ones that can fool the reader
    bits = head + rnd.sample(bits, min(int(want), len(bits)))


def behind(at):
    """The byte after a number of SQLite's, seven bits a byte."""
    while data[at] & 0x80:
        at += 1
    return at + 1


def row(path):
    with sql("file:%s?mode=ro" % path, uri=True) as db:
        return db.execute("SELECT * FROM event WHERE own_id = 'mine'").fetchone()


number_is_elsewhere = behind(behind(behind(start)))  # after the sizes of row and header, and the number
assert data[number_is_elsewhere] == 0, "the type of the row's number"
original = b.path
missed = []
for byte, bit in bits:
    b.path = os.path.join(b.folder, "flipped.tarebook")
    flipped = bytearray(data)
    flipped[byte] ^= 1 << bit
    open(b.path, "wb").write(flipped)
    done = b.run("check")
    if (byte, bit) == (number_is_elsewhere, 3):
        assert done.returncode == 0 and row(b.path) == row(original), done
        continue
    if done.returncode == 0 or "E%d" % seq not in done.stdout + done.stderr:
        missed.append((byte - start, bit, done.returncode, (done.stdout + done.stderr)[:300]))
b.path = original
shutil.rmtree(b.folder)
for m in missed[:10]:
    print(m)
assert not missed, "%d of %d flips were not reported with the event" % (len(missed), len(bits))
print("bit flips: %d tried, each but one reported with the event named, seed %d" % (len(bits), seed))
