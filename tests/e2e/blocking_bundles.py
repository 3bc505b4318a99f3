"""One bundle from a stranger, merged once, takes no place in the book: the trusted bundle that it was made to block comes in
as if the stranger's had never come, and salvage of that book ends and names no row that never was."""
import json
import os
import subprocess

from book import BIN, sql
from sender import AT, NOW, Sender, books, canonical, digest, merge, office, trust, weigh


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
    known = [k for k in books(b).values() if k["trust"] == "trusted"]
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
        assert listed["number_of_events"] == 3 and listed["number_of_branches"] == 1 and listed["missing"] == [], (attack, listed)
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

# --- quarantine is bounded: what does not fit is not kept, and is told until it comes again ---
b = office()
strangers = [Sender(b.shop) for _ in range(3)]
long = [("later-kind", {"note": "x" * 60000}, AT)] * 150  # nine million bytes
sizes = []
for stranger in strangers:
    merge(b, stranger.bundle(stranger.chain([stranger.start(), *long])[0], 151), 4)
    sizes.append(os.path.getsize(b.path))
assert sizes[1] - sizes[0] < 1 << 16 and sizes[2] - sizes[0] < 1 << 16, sizes
told = {k["book"]: k for k in json.loads(b.run("--format", "json", "books").stdout)["books"]}
assert [told[s.book]["events_quarantined"] for s in strangers] == [151, 0, 0], told
assert [told[s.book]["not_kept"] for s in strangers] == [[], [{"first_seq": 1, "last_seq": 151}], [{"first_seq": 1, "last_seq": 151}]], told
again = strangers[1].bundle(strangers[1].chain([strangers[1].start(), *long])[0], 151)
said = b.run("books", "trust", "truck-1", "--card", strangers[1].card, now=NOW).stdout
assert "its events 1 to 151 were not kept" in said and "Merge again" in said, said
merge(b, again, 0, 4)
assert books(b)["truck-1"]["number_of_events"] == 151 and books(b)["truck-1"]["not_kept"] == [], books(b)
# what was kept comes in with the word of trust, and makes room
said = b.run("books", "trust", "truck-0", "--card", strangers[0].card, now=NOW).stdout
assert "151 events came out of quarantine" in said, said
assert books(b)["truck-0"]["number_of_events"] == 151 and books(b)["truck-0"]["events_quarantined"] == 0
merge(b, strangers[2].bundle(strangers[2].chain([strangers[2].start(), *long])[0], 151), 4)
assert books(b)[None]["events_quarantined"] == 151 and books(b)[None]["not_kept"] == [], books(b)

# --- and in age: by the clock of what is recorded ---
stranger = Sender(b.shop)
path = os.path.join(b.folder, "late")
with open(path, "w", encoding="utf-8") as f:
    f.write(stranger.bundle(stranger.chain([stranger.start()])[0], 1))
assert b.run("merge", path, now="2026-12-05T15:00:00Z").returncode == 4
left = {k["book"]: k["events_quarantined"] for k in json.loads(b.run("--format", "json", "books").stdout)["books"]}
assert left[stranger.book] == 1 and strangers[2].book not in left, left

# --- a register of a stranger ---
b = office()
stranger = Sender(b.shop)
entry = {"at": AT, "book": stranger.book, "date": AT[:10], "kind": "entry", "offset_min": 0, "prev": "0" * 64, "recorded": AT, "v": 1,
         "zone": "UTC"}
def register(entries, note):
    return [canonical({**entry, "seq": n, "what": {"code": "SITE-%d" % n, "entry": "site", "values": {"owner": note}}})
            for n in range(2, entries + 2)]
size = os.path.getsize(b.path)
merge(b, stranger.bundle(stranger.register(register(400, "y" * 60000), 402), 0), 4)
assert os.path.getsize(b.path) - size < 1 << 16
assert "not kept" in b.run("books").stdout
small = stranger.bundle(stranger.register(register(3, "Quillpost Markets"), 403), 0)
merge(b, small, 4)
assert "SITE-2" not in b.run("site", "list").stdout
trust(b, "truck-1", stranger)
assert b.run("check", now=NOW).returncode == 0
assert "SITE-2" in b.run("site", "list").stdout, b.run("site", "list").stdout

# --- a change in quarantine is found by check ---
b = office()
truck, true = true_truck(b.shop)
merge(b, true, 4)
with sql(b.path) as db:
    db.execute("UPDATE quarantine SET lines = replace(lines, '30lb', '31lb')")
done = b.run("check", now=NOW)
assert done.returncode != 0 and "quarantine, row 1" in done.stdout + done.stderr, done

# of a register, too: its number, kept with its lines and without
for entries in (3, 400):
    for change in ("last = last + 1", "signature = zeroblob(64)", "digest = zeroblob(32)", "key = replace(key, substr(key, 1, 1), 'g')"):
        b = office()
        stranger = Sender(b.shop)
        merge(b, stranger.bundle(stranger.register(register(entries, "y" * 60000), 403), 0), 4)
        assert b.run("check", now=NOW).returncode == 0
        with sql(b.path) as db:
            assert db.execute("UPDATE quarantine SET %s WHERE first = 0" % change).rowcount == 1
        done = b.run("check", now=NOW)
        assert done.returncode != 0 and "quarantine, row 1" in done.stdout + done.stderr, (entries, change, done)

# --- a key that was stolen: after the withdrawal nothing that it signs takes a place; what was lost on the way still comes ---
b = office()
truck = Sender(b.shop)
acts = [truck.start()] + [weigh(30 + n, "2026-06-01T15:%02d:00Z" % n) for n in range(1, 9)]
acts[6] = with_own_id(acts[6], "W-7")
lines, end = truck.chain(acts)
digests = [digest(line) for line in lines[1:-1]]
trust(b, "truck-1", truck)
def part(first, last):
    previous = digests[first - 2] if first > 1 else "0" * 64
    return truck.bundle(truck.chain(acts[first - 1:last], first, previous)[0], last - first + 1)
merge(b, part(8, 9), 0, 4)
assert b.run("books", "withdraw", "truck-1", "--why", "stolen", "--last", "8", now=NOW).returncode in (0, 4)
merge(b, truck.bundle(truck.chain([with_own_id(weigh(44), "W-7")], first=20, previous="cd" * 32)[0], 1), 4)
branches = []
for n in range(64):
    branches += truck.chain([weigh(50 + n)])[0]
merge(b, truck.bundle(branches, 64), 4)
for first, last in ((1, 3), (6, 7), (4, 5)):
    merge(b, part(first, last), 0, 4)
after = books(b)["truck-1"]
assert after["missing"] == [] and after["number_of_branches"] == 1 and "44.00" not in b.run("report", "cylinder", "RC-01").stdout, after
shown = b.run("report", "cylinder", "RC-01").stdout
assert all("%d.00 lb" % (30 + n) in shown for n in range(1, 8)) and "38.00 lb" not in shown, shown
print("quarantine is bounded, and what is withdrawn stays out")

# --- what was trusted once and is withdrawn takes no place either, and is back where it is trusted again ---
for attack in (own_id_twice, too_many_branches, look_alike, huge_number):
    b = office()
    truck, true = true_truck(b.shop)
    evil = Sender(b.shop, truck.book[:12] + os.urandom(10).hex() if attack is look_alike else truck.book)
    acts = {own_id_twice: [with_own_id(weigh(44), "W-1")], look_alike: [evil.start()], huge_number: [weigh(44)]}
    if attack is too_many_branches:
        lines = [line for n in range(64) for line in evil.chain([weigh(100 + n)])[0]]
        text = evil.bundle(lines, 64)
    else:
        first = {own_id_twice: 40, look_alike: 1, huge_number: 2 ** 53 - 1}[attack]
        text = evil.bundle(evil.chain(acts[attack], first, "ab" * 32 if first > 1 else "0" * 64)[0], 1)
    trust(b, "evil", evil)
    merge(b, text, 0, 4)
    before = books(b)["evil"]
    assert b.run("books", "withdraw", "evil", "--why", "a stranger", now=NOW).returncode in (0, 4)
    assert books(b)["evil"]["events_not_counted"] == before["number_of_events"] and books(b)["evil"]["number_of_branches"] == 0, books(b)
    trust(b, "truck-1", truck)
    merge(b, true, 0, 4)
    known = books(b)["truck-1"]
    assert known["number_of_branches"] == 1 and known["missing"] == [] and "31.00" in b.run("report", "cylinder", "RC-01").stdout, known
    assert known["number_of_events"] - known["events_not_counted"] == 3, known
    b.ok("check", "--rebuild", now=NOW, codes=(0,))
    b.ok("check", now=NOW, codes=(0,))
    if attack is look_alike:  # what is trusted again does not push out who has the place, and is back when that one goes
        trust(b, "evil", evil)
        assert books(b)["evil"]["events_not_counted"] == 1 and books(b)["truck-1"]["events_not_counted"] == 0, books(b)
        assert b.run("check", now=NOW).returncode == 0
        assert b.run("books", "withdraw", "truck-1", "--why", "lost", now=NOW).returncode in (0, 4)
        assert books(b)["evil"]["events_not_counted"] == 0 and b.run("check", now=NOW).returncode == 0, books(b)
print("what is withdrawn takes no place")
