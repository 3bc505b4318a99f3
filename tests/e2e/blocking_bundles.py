"""One bundle from a stranger, merged once, takes no place in the book: the trusted bundle that it was made to block comes in
as if the stranger's had never come, and salvage of that book ends and names no row that never was."""
import json
import os
import subprocess

from book import BIN, sql
from sender import AT, NOW, Sender, books, merge, office, trust, weigh


def with_own_id(act, own_id):
    return (*act, own_id)


def true_truck(shop):
    truck = Sender(shop)
    lines, end = truck.chain([truck.start(), with_own_id(weigh(30), "W-1"), weigh(31, "2026-06-02T15:00:00Z")])
    return truck, truck.bundle(lines, 3)


def own_id_twice(b, truck):
    """Under the truck's id, somewhere far on, the own id that it is going to use."""
    stranger = Sender(b.shop, truck.book)
    lines, end = stranger.chain([with_own_id(weigh(44), "W-1")], first=40, previous="ab" * 32)
    return stranger.bundle(lines, 1)


def too_many_branches(b, truck):
    """As many first events as a book may have branches."""
    stranger = Sender(b.shop, truck.book)
    lines = []
    for n in range(64):
        lines += stranger.chain([("weigh", weigh(n + 1)[1], AT)])[0]
    return stranger.bundle(lines, 64)


def look_alike(b, truck):
    """Another id that begins as the truck's does."""
    stranger = Sender(b.shop, truck.book[:12] + os.urandom(10).hex())
    lines, end = stranger.chain([stranger.start()])
    return stranger.bundle(lines, 1)


def huge_number(b, truck):
    """An event with the largest number that a line may say."""
    stranger = Sender(b.shop, truck.book)
    lines, end = stranger.chain([weigh(44)], first=2 ** 53 - 1, previous="ab" * 32)
    return stranger.bundle(lines, 1)


def as_told(b):
    """What must not depend on the stranger: balances, cylinders, exceptions, and each book that is trusted."""
    known = [k for k in books(b).values() if k["standing"] == "trusted"]
    return [b.run(*words, now=NOW).stdout for words in (("report", "cylinder", "RC-01"), ("list", "exceptions"), ("report", "stock"))] + known


def salvaged(b):
    to = os.path.join(b.folder, "salvaged-%d" % len(os.listdir(b.folder)))
    done = subprocess.run([BIN, "salvage", "--to", to], env=b.env(NOW), stdin=subprocess.DEVNULL, capture_output=True, text=True,
                          timeout=20)
    assert done.returncode in (0, 4), done
    return done.stdout


def same(template):
    """A book of its own that begins as another one is."""
    b = office()
    with open(template.path, "rb") as f, open(b.path, "wb") as g:
        g.write(f.read())
    b.card, b.shop, b.id = template.card, template.shop, template.id
    return b


begin = office()
for attack in (own_id_twice, too_many_branches, look_alike, huge_number):
    truck, true = true_truck(begin.shop)
    forged = attack(begin, truck)
    plain = same(begin)
    trust(plain, "truck-1", truck)
    merge(plain, true, 0, 4)
    for trusted_before in (True, False):
        b = same(begin)
        if trusted_before:
            trust(b, "truck-1", truck)
        head = json.loads(b.run("books", "head").stdout)
        merge(b, forged, 4)
        assert json.loads(b.run("books", "head").stdout) == head, attack  # the own chain says nothing about it
        merge(b, forged, 0, 4)
        if not trusted_before:
            trust(b, "truck-1", truck)
        merge(b, true, 0, 4)
        listed = {k: v for k, v in books(b)["truck-1"].items() if k not in ("quarantined", "not_counted")}
        assert listed["events"] == 3 and listed["branches"] == 1 and listed["missing"] == [], (attack, listed)
        assert as_told(b)[:3] == as_told(plain)[:3], attack
        said = salvaged(b)
        assert "cannot be read" not in said and "no signed head" not in said, (attack, said)
        with sql(b.path) as db:
            assert db.execute("SELECT count(*) FROM event").fetchone() == db.execute("SELECT max(rowid) FROM event").fetchone()
    print("%s: the truck's bundle comes in" % attack.__name__)

# --- a trusted book that numbers an event so does not keep salvage walking either ---
b = office()
truck = Sender(b.shop)
trust(b, "truck-1", truck)
merge(b, truck.bundle(truck.chain([weigh(30)], first=2 ** 53 - 1, previous="ab" * 32)[0], 1), 0, 4)
said = salvaged(b)
assert "cannot be read" not in said, said

# --- two trusted books that look alike are refused, as they cannot both be ranked ---
b = office()
truck, true = true_truck(b.shop)
double = Sender(b.shop, truck.book[:12] + os.urandom(10).hex())
trust(b, "truck-1", truck), trust(b, "truck-2", double)
merge(b, true, 0, 4)
merge(b, double.bundle(double.chain([double.start()])[0], 1), 1)
