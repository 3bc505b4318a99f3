"""Bundles that another program writes, from the description in DEVELOPERS.md alone (hashlib, json, libsodium by ctypes):
a true one is taken and counts; what a stranger, or a trusted book that lies, can sign changes nothing that it must not."""
import ctypes
import ctypes.util
import hashlib
import json
import os
import sys

from book import Book

sodium = ctypes.CDLL(ctypes.util.find_library("sodium") or "libsodium.so.23")
sodium.sodium_init()


def canonical(value):
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def digest(text):
    return hashlib.sha256(text.encode()).hexdigest()


class Sender:
    """A book of its own, or somebody who says so: `book` is the id that the events carry."""

    def __init__(self, shop, book=None):
        public, self.secret = ctypes.create_string_buffer(32), ctypes.create_string_buffer(64)
        sodium.crypto_sign_keypair(public, self.secret)
        self.key, self.shop, self.book = public.raw.hex(), shop, book or os.urandom(16).hex()
        self.card = "card1.%s.%s.%s" % (shop, self.book, self.key)

    def sign(self, text):
        signature = ctypes.create_string_buffer(64)
        sodium.crypto_sign_detached(signature, None, text.encode(), ctypes.c_ulonglong(len(text)), self.secret)
        return signature.raw.hex()

    def chain(self, acts, first=1, previous="0" * 64):
        """The lines of a run of events, its head among them; and the digest that the next one follows."""
        lines = [canonical({"chain": self.book, "first": first, "key": self.key, "previous": previous})]
        for number, (kind, what, at) in enumerate(acts, first):
            lines.append(canonical({"at": at, "book": self.book, "date": at[:10], "kind": kind, "offset_min": 0, "prev": previous,
                                    "recorded": at, "seq": number, "v": 1, "what": what, "zone": "UTC"}))
            previous = digest(lines[-1])
        head = first + len(acts) - 1
        lines.append(canonical({"digest": previous, "head": head,
                                "signature": self.sign("tarebook head\n%s\n%d\n%s\n" % (self.book, head, previous))}))
        return lines, previous

    def register(self, entries, seq):
        text = "".join(e + "\n" for e in entries)
        return [canonical({"register": self.book, "seq": seq}), *entries,
                canonical({"register_end": len(entries), "signature":
                           self.sign("tarebook register\n%s\n%d\n%s\n" % (self.book, seq, digest(text)))})]

    def bundle(self, lines, events):
        lines = [canonical({"bundle": 1, "key": self.key, "made": "2026-06-02T15:00:00Z", "sender": self.book, "shop": self.shop}),
                 *lines]
        text = "".join(line + "\n" for line in lines)
        return text + canonical({"digest": digest(text), "end": len(lines), "events": events,
                                 "signature": self.sign("tarebook bundle\n%s\n" % digest(text))}) + "\n"

    def start(self):
        return ("start", {"company": "Wrenfield", "public_key": self.key, "shop": self.shop, "units": "lb", "zone": "UTC"}, AT)


AT = "2026-06-01T15:00:00Z"
NOW = "2026-06-05T15:00:00Z"


def weigh(pounds, at=AT):
    return ("weigh", {"cylinder": "RC-01", "gross": {"count": str(pounds * 362873896000), "typed": "%dlb" % pounds}}, at)


def office():
    b = Book().small_register()
    b.card = b.run("books", "card").stdout.strip()
    b.shop, b.id = b.card.split(".")[1:3]
    return b


def merge(b, text, *codes):
    path = os.path.join(b.folder, "bundle")
    with open(path, "w", encoding="utf-8") as f:
        f.write(text)
    done = b.run("merge", path, now=NOW)
    assert done.returncode in codes, (done.returncode, done.stdout, done.stderr)
    whole = b.run("check", now=NOW)
    assert whole.returncode == 0, whole.stdout


def books(b):
    return {k["called"]: k for k in json.loads(b.run("--format", "json", "books").stdout)["books"]}


def trust(b, name, sender):
    assert b.run("books", "trust", name, "--card", sender.card, now=NOW).returncode in (0, 4)



# --- another program's bundle counts as soon as its book is trusted ---
b = office()
truck = Sender(b.shop)
true, end = truck.chain([truck.start(), weigh(30)])
merge(b, truck.bundle(true, 2), 4)
assert books(b)[None]["not_counted"] == 2
trust(b, "truck-1", truck)
assert books(b)["truck-1"]["not_counted"] == 0 and "30.00" in b.run("report", "cylinder", "RC-01").stdout

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
b = office()
truck = Sender(b.shop)
trust(b, "truck-1", truck)
merge(b, truck.bundle(truck.chain([truck.start(), ("inspect", {"appliance": "OAK/RACK-A", "method": "detector", "result": "leak"}, AT),
                                   weigh(30)])[0], 3), 0, 4)
assert "malformed" not in b.run("list", "exceptions", now=NOW).stdout

# --- true events under a stranger's head first: the true head makes them count, whichever came first ---
for order in (1, -1):
    b = office()
    truck = Sender(b.shop)
    trust(b, "truck-1", truck)
    stranger = Sender(b.shop, truck.book)
    acts = [truck.start(), weigh(30)]
    for text in [stranger.bundle(stranger.chain(acts)[0], 2), truck.bundle(truck.chain(acts)[0], 2)][::order]:
        merge(b, text, 0, 4)
    assert books(b)["truck-1"]["not_counted"] == 0, order

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
    assert books(b)["good"]["not_counted"] == 0 and books(b)["good"]["events"] == 3

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
assert books(b)["truck-1"]["events"] == 0, books(b)
print("bundles of another program: taken, and held to their own words")
sys.exit(0)
