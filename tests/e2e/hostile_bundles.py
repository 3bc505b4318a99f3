"""What another program writes as a bundle (sender.py): a true one is taken and counts; what a stranger, or a trusted book that
lies, can sign changes nothing that it must not."""
import json
import os
import sys

from sender import AT, NOW, Sender, books, canonical, digest, merge, office, trust, weigh

# --- another program's bundle counts as soon as its book is trusted ---
b = office()
truck = Sender(b.shop)
true, end = truck.chain([truck.start(), weigh(30)])
merge(b, truck.bundle(true, 2), 4)
assert books(b)[None]["events_quarantined"] == 2 and books(b)[None]["number_of_events"] == 0
trust(b, "truck-1", truck)
assert books(b)["truck-1"]["events_not_counted"] == 0 and "30.00" in b.run("report", "cylinder", "RC-01").stdout

# --- what has not the form of its kind is kept, and listed as an exception; a recording would refuse it ---
b = office()
truck = Sender(b.shop)
trust(b, "truck-1", truck)
odd = [truck.start(), ("inspect", {"appliance": "OAK/RACK-A", "method": "detector", "result": "perhaps"}, AT),
       ("weigh", {"cylinder": "RC-01", "gross": {"count": str(30 * 362873896000), "typed": "999kg"}}, AT)]
merge(b, truck.bundle(truck.chain(odd)[0], 3), 0, 4)
listed = b.run("list", "exceptions", now=NOW).stdout
assert "malformed/inspect" in listed and "malformed/weigh" in listed, listed
assert b.run("check", now=NOW).returncode == 0
# an audit passes or fails, and an inspection finds a leak or none: a word of the other list is none of its own
for what in ({"result": "pass"}, {"of": "detection-system", "result": "no-leak"}):
    b = office()
    truck = Sender(b.shop)
    trust(b, "truck-1", truck)
    merge(b, truck.bundle(truck.chain([truck.start(), ("inspect", {"appliance": "OAK/RACK-A", "method": "detector", **what}, AT)])[0], 2), 0, 4)
    assert "malformed/inspect" in b.run("list", "exceptions", now=NOW).stdout, what
b = office()
truck = Sender(b.shop)
trust(b, "truck-1", truck)
merge(b, truck.bundle(truck.chain([truck.start(), ("inspect", {"appliance": "OAK/RACK-A", "method": "detector", "result": "leak"}, AT),
                                   weigh(30)])[0], 3), 0, 4)
assert "malformed" not in b.run("list", "exceptions", now=NOW).stdout

# --- kinds of a newer program: kept, told how many, not counted; the rest counts ---
b = office()
truck = Sender(b.shop)
trust(b, "truck-1", truck)
newer = [truck.start(), ("weigh-in-orbit", {"cylinder": "RC-01"}, AT), weigh(30), ("blend", {"parts": "2"}, AT)]
text = truck.bundle(truck.chain(newer)[0], 4)
merge(b, text, 4)
told = b.run("--format", "json", "merge", os.path.join(b.folder, "bundle"), now=NOW)
assert json.loads(told.stdout)["books"][0]["events_of_unknown_kind"] == 0, "nothing of it is new the second time"
b = office()
truck = Sender(b.shop)
trust(b, "truck-1", truck)
with open(os.path.join(b.folder, "bundle"), "w") as f:
    f.write(truck.bundle(truck.chain([truck.start(), *newer[1:]])[0], 4))
told = b.run("merge", os.path.join(b.folder, "bundle"), now=NOW)
assert told.returncode == 4 and "2 new events are of a kind that this program does not know" in " ".join(told.stdout.split()), told
whole = b.run("check", now=NOW)
assert whole.returncode == 0 and " ".join(whole.stdout.split()).count("is not known to this program") == 2, whole.stdout
assert "30.00" in b.run("report", "cylinder", "RC-01").stdout

# --- true events under a stranger's head first: the true head makes them count, whichever came first ---
for order in (1, -1):
    b = office()
    truck = Sender(b.shop)
    trust(b, "truck-1", truck)
    stranger = Sender(b.shop, truck.book)
    acts = [truck.start(), weigh(30)]
    for text in [stranger.bundle(stranger.chain(acts)[0], 2), truck.bundle(truck.chain(acts)[0], 2)][::order]:
        merge(b, text, 0, 4)
    assert books(b)["truck-1"]["events_not_counted"] == 0, order

# --- what comes in under the own id is no part of the own chain ---
b = office()
stranger = Sender(b.shop, b.id)
head = json.loads(b.run("books", "head").stdout)
merge(b, stranger.bundle(stranger.chain([weigh(44)], head["head"] + 1, head["digest"])[0], 1), 4)
assert "44.00" not in b.run("report", "cylinder", "RC-01").stdout
done = b.run("weigh", "RC-01", "--gross", "27.5lb", now=NOW)
assert done.returncode == 0 and b.run("check", now=NOW).returncode == 0, done

# --- a trusted book's register does not speak for the own one ---
b = office()
truck = Sender(b.shop)
trust(b, "truck-1", truck)
entry = canonical({"at": "2026-06-04T15:00:00Z", "book": b.id, "date": "2026-06-04", "kind": "entry", "offset_min": 0,
                   "prev": "0" * 64, "recorded": "2026-06-04T15:00:00Z", "seq": 99, "v": 1, "zone": "UTC",
                   "what": {"code": "RC-01", "entry": "cylinder", "values": {"tare": {"count": "362873896000", "typed": "1lb"}}}})
merge(b, truck.bundle(truck.register([entry], 7), 0), 0, 4)
assert "1.00 lb" not in b.run("report", "cylinder", "RC-01").stdout.splitlines()[1]

# --- a trusted book drops no chain that has no second branch ---
b = office()
good, evil = Sender(b.shop), Sender(b.shop)
trust(b, "good", good), trust(b, "evil", evil)
lines, end = good.chain([good.start(), weigh(30), weigh(31, "2026-06-02T15:00:00Z")])
merge(b, good.bundle(lines, 3), 0, 4)
for target in (digest(lines[1]), digest(lines[2]), head["digest"], json.loads(b.run("books", "head").stdout)["digest"]):
    liar = Sender(b.shop)
    trust(b, "liar-" + target[:6], liar)
    drop = ("resolve", {"finding": "branch/" + target, "why": "no reason"}, "2026-06-03T15:00:00Z")
    merge(b, liar.bundle(liar.chain([liar.start(), drop])[0], 2), 0, 4)
    assert books(b)["good"]["events_not_counted"] == 0 and books(b)["good"]["number_of_events"] == 3

# --- what a terminal would obey is shown instead ---
b = office()
truck = Sender(b.shop)
trust(b, "truck-1", truck)
act = ("weigh", {"cylinder": "RC\x1b[31m", "gross": {"count": "362873896000", "typed": "1lb"}}, AT)
merge(b, truck.bundle(truck.chain([truck.start(), act])[0], 2), 4)
shown = b.run("list", "exceptions").stdout
assert "\x1b" not in shown and "RC\\x1b[31m" in shown, shown

# --- a mass that no book can hold: nothing is written, and the event that says it is named ---
b = office()
truck = Sender(b.shop)
trust(b, "truck-1", truck)
huge = ("weigh", {"cylinder": "RC-01", "gross": {"count": str(2 ** 63 - 1), "typed": "much"}}, AT)
low = ("weigh", {"cylinder": "RC-01", "gross": {"count": str(2 - 2 ** 63), "typed": "little"}}, "2026-06-02T15:00:00Z")
lines, end = truck.chain([truck.start(), huge, low])
merge(b, truck.bundle(lines, 3), 2)
said = b.run("merge", os.path.join(b.folder, "bundle"), now=NOW).stderr
assert "of book " + truck.book[:12] in said and "Nothing was written" in said, said
assert books(b)["truck-1"]["number_of_events"] == 0, books(b)
print("bundles of another program: taken, and held to their own words")
sys.exit(0)
