"""Bundles that another program writes, from the description in DEVELOPERS.md alone (hashlib, json, libsodium by ctypes), and
a book to merge them into."""
import ctypes
import ctypes.util
import hashlib
import json
import os

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
        for number, (kind, what, at, *own_id) in enumerate(acts, first):
            said = {"own_id": own_id[0]} if own_id else {}
            lines.append(canonical({"at": at, "book": self.book, "date": at[:10], "kind": kind, "offset_min": 0, "prev": previous,
                                    "recorded": at, "seq": number, "v": 1, "what": what, "zone": "UTC", **said}))
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
    return {k["name"]: k for k in json.loads(b.run("--format", "json", "books").stdout)["books"]}


def trust(b, name, sender):
    assert b.run("books", "trust", name, "--card", sender.card, now=NOW).returncode in (0, 4)
