"""One flipped bit of what a page says of where its rows lie: every event that its own number still finds is saved."""
import os

from book import Book, sql

b = Book().small_register()
for n in range(12):
    b.ok("weigh", "RC-01", "--gross", "31.%dlb" % n, "--own-id", "w%d" % n)


def rows(path):
    """{number: (body, digest)} of the events that are found one by one."""
    out = {}
    with sql("file:%s?immutable=1" % path, uri=True) as db:
        for number in range(1, 60):
            try:
                row = db.execute("SELECT body, digest FROM event NOT INDEXED WHERE rowid = ?", (number,)).fetchone()
            except Exception:
                continue
            if row:
                out[number] = row
    return out


whole = rows(b.path)
data = open(b.path, "rb").read()
with sql("file:%s?mode=ro" % b.path, uri=True) as db:
    page_size = db.execute("PRAGMA page_size").fetchone()[0]
at = data.find(whole[len(whole)][0].encode())
page = at // page_size * page_size
assert at > 0 and data[page] == 0x0D, "a table leaf page"
cells = int.from_bytes(data[page + 3:page + 5], "big")
assert cells > 3, cells
flips = saved = 0
for byte in range(page + 8, page + 8 + 2 * cells):
    for bit in range(8):
        path, to = os.path.join(b.folder, "flipped"), os.path.join(b.folder, "saved")
        spoilt = bytearray(data)
        spoilt[byte] ^= 1 << bit
        with open(path, "wb") as f:
            f.write(spoilt)
        os.path.exists(to) and os.unlink(to)
        done = b.run("--book", path, "salvage", "--to", to)
        assert done.returncode in (0, 3, 4), (byte, bit, done)
        lines = set(open(to).read().split("\n")) if os.path.exists(to) else set()
        lost = [n for n, row in rows(path).items() if row == whole.get(n) and row[0] not in lines]
        assert not lost, "byte %d, bit %d: events %s are found by their numbers, and not saved" % (byte - page, bit, lost)
        flips, saved = flips + 1, saved + len(lines)
print("salvage: %d flipped bits of where rows lie, nothing lost that could be found" % flips)
