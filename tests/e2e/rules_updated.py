"""A program with other rule packs than the last one: the first look at what is due says which clocks moved, and why; the
next one is silent. Nothing of it is in the book, and a cache that is gone or damaged stops nothing."""
import os
import re

from book import SOURCE, Book

b = Book().small_register()
cache = os.path.join(b.folder, "cache")
os.environ["XDG_CACHE_HOME"] = cache
env = b.env
b.env = lambda now: dict(env(now), XDG_CACHE_HOME=cache, **more)
more = {}
b.ok("appliance", "add", "OAK/CASE", "--category", "commercial-refrigeration", "--refrigerant", "R-448A", "--full-charge", "100lb",
     "--charge-basis", "maker")
b.ok("circuit", "add", "OAK/CASE/1")
b.ok("charge", "--circuit", "OAK/CASE/1", "--from", "outside:Brine", "--net", "30lb", "--job", "7")
before = b.digest()
# 40 CFR 84.106(d): 30 days; the 45 of the other edition are invented for this test
with open(os.path.join(SOURCE, "schema/rules/us-84c.yaml")) as f:
    text = f.read()
other = os.path.join(b.folder, "us-84c.yaml")
with open(other, "w") as f:
    f.write(re.sub('(?m)^date: .*', 'date: "2027-02-01"', re.sub(r"(?m)^    within: 30 days", "    within: 45 days", text, count=1)))

first = b.ok("due")
assert "this program has other rules" not in first.stdout and "2026-07-01  repair of a leak  OAK/CASE" in first.stdout, first.stdout
assert "this program has other rules" not in b.ok("due").stdout
kept = os.path.join(cache, "tarebook", os.listdir(os.path.join(cache, "tarebook"))[0])
more = {"TAREBOOK_TEST_PACK": other}
told = b.ok("due").stdout
for words in ("this program has other rules than when due was last run on this machine: ", "rule pack us-84c: ", " then, 2027-02-01 now",
              "moved  due/us-84c/repair/OAK/CASE/", "2026-07-01 then, 2026-07-16 now"):
    assert words in told, (words, told)
assert "this program has other rules" not in b.ok("due").stdout
assert b.ok("check").returncode == 0 and b.digest() == before
# what is damaged is made anew, and tells nothing
for spoilt in (b"", b"{", b'{"on": 1}', os.urandom(300)):
    with open(kept, "wb") as f:
        f.write(spoilt)
    assert "this program has other rules" not in b.ok("due").stdout
    assert b'"items"' in open(kept, "rb").read(), spoilt
print("rules updated: told once, in no book")
