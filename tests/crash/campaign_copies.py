"""What must hold of any book, tried on copies of one: a flipped bit, a stranger's bundle, a log that belongs elsewhere."""
import os
import re
import sqlite3
import sys

from campaign_files import content
from campaign_world import ids_of_bundle
from point import must
from program import KILLED

sys.path.insert(0, os.path.join(os.environ["TAREBOOK_SOURCE"], "tests", "e2e"))
from sender import Sender, weigh  # noqa: E402

COMMENT = re.compile(r"--[^\n]*|\s+")
OF_THE_RUN = ("log_base",)  # where the last log began depends on what was left lying


def dump(path, leave_out=()):
    """Every row of every table, and the schema. Of the tables in `leave_out` nothing is looked at."""
    db = sqlite3.connect("file:%s?immutable=1" % path, uri=True)
    db.text_factory = lambda text: text.decode("utf-8", "surrogateescape")
    try:
        out = {"": db.execute("PRAGMA user_version").fetchall() + [
            (*row[:4], COMMENT.sub("", row[4]) if isinstance(row[4], str) else row[4]) for row in db.execute("SELECT * FROM sqlite_schema ORDER BY name")]}
        for (name,) in db.execute("SELECT name FROM sqlite_schema WHERE type = 'table'").fetchall():
            if name not in leave_out:
                rows = db.execute('SELECT * FROM "%s" ORDER BY 1, 2' % name).fetchall()
                out[name] = [r for r in rows if r[0] not in OF_THE_RUN]
        return out
    finally:
        db.close()


def at_rest(world, party, name):
    """A copy of the book, its log in it."""
    path = world.copied(party.held.path, name)
    if any(os.path.exists(path + s) for s in ("-wal", "-journal")):
        db = sqlite3.connect(path)
        db.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchall()
        db.close()
    return path


def one(db, question, *values):
    try:
        return db.execute(question, values).fetchone()
    except (sqlite3.Error, UnicodeDecodeError):
        return None


def vouched_for(whole, flipped):
    """Bodies that can still be read one by one, and that a head vouches for which can still be read: all from the event to
    the head are there."""
    good, there = [sqlite3.connect("file:%s?immutable=1" % path, uri=True) for path in (whole, flipped)]
    try:
        out = set()
        heads = {r for r in good.execute("SELECT origin, seq, digest, signature FROM head")
                 if one(there, "SELECT digest, signature FROM head WHERE origin = ? AND seq = ?", r[0], r[1]) == r[2:]}
        signed, follows = {(r[0], r[1]) for r in heads}, {}
        rows = good.execute("SELECT rowid, origin, seq, digest, body FROM event ORDER BY origin, seq DESC")
        for row, origin, seq, digest, body in rows:
            here = one(there, "SELECT body, digest FROM event NOT INDEXED WHERE rowid = ?", row) == (body, digest)
            follows[origin, seq] = here and ((origin, seq) in signed or follows.get((origin, seq + 1), False))
            if follows[origin, seq]:
                out.add(body)
        return out
    finally:
        good.close(), there.close()


def flip(world, party):
    """After one flipped bit `check` is clean only where every row is as it was, and salvage keeps what a head vouches for."""
    whole = at_rest(world, party, "whole")
    bytes_ = bytearray(content(whole))
    # the first bytes of a page, where it says what it is, more often than the others
    at = world.dice.randrange(len(bytes_))
    if world.dice.random() < 0.3:
        at = at // 4096 * 4096 + world.dice.randrange(64)
    bit = world.dice.randrange(8)
    bytes_[at] ^= 1 << bit
    flipped = os.path.join(world.desk, "flipped")
    with open(flipped, "wb") as f:
        f.write(bytes_)
    where = "byte %d, bit %d: " % (at, bit)
    try:
        check = world.run(["--book", flipped, "check"], plain=True)
        must(check.code in (0, 3, 4), where + "another exit code", check)
        if check.code in (0, 4):
            reworded = ("finding",) if "in other words" in check.out else ()  # told in a remark, and made anew by --rebuild
            try:
                same = dump(flipped, reworded) == dump(whole, reworded)
            except sqlite3.Error:
                same = False
            must(same, where + "check is clean, and a row is another one", check)
        world.counts["flips found" if check.code == 3 else "flips of nothing"] += 1
        to = os.path.join(world.desk, "saved")
        if os.path.exists(to):
            os.unlink(to)
        saved = world.run(["--book", flipped, "salvage", "--to", to], plain=True)
        must(saved.code in (0, 3, 4), where + "another exit code", saved)
        lines = set(content(to).decode().split("\n")) if os.path.exists(to) else set()
        lost = vouched_for(whole, flipped) - lines
        must(not lost, where + "%d events are readable under a good head, and not saved: %s" % (len(lost), sorted(lost)[:1]), saved)
    finally:
        for ending in ("", "-wal", "-journal", "-shm"):
            if os.path.exists(flipped + ending):
                os.unlink(flipped + ending)


def stranger(world, party):
    """A bundle that no trusted key covers, under a truck's id or its own, changes nothing of what a merge makes."""
    theirs = [(sender, path) for sender, path in world.mail if sender in world.trucks]
    if not theirs:
        return
    sender, path = world.dice.choice(theirs[-6:])
    shop, book = sender.card.split(".")[1:3]
    forger = Sender(shop, world.dice.choice([book, None, book[:12] + world.dice.randbytes(10).hex()]))
    own = sorted(sender.own)[-1] if sender.own else "own-1"
    kind = world.dice.randrange(3)
    if kind == 0:
        lines = forger.chain([(*weigh(44), own), weigh(45)], world.dice.choice([1, 40, 2 ** 53 - 2]), "ab" * 32)[0]
        events = 2
    elif kind == 1:
        lines, events = forger.chain([forger.start(), (*weigh(31), own)])[0], 2
    else:
        lines, events = [line for n in range(64) for line in forger.chain([weigh(n + 1)])[0]], 64
    forged = os.path.join(world.desk, "forged")
    with open(forged, "w", encoding="utf-8") as f:
        f.write(forger.bundle(lines, events))
    plain, tried = at_rest(world, world.office, "plain"), at_rest(world, world.office, "tried")
    first = world.run(["--book", tried, "merge", forged], plain=True)
    must(first.code in (1, 4), "a stranger's bundle is taken as one of a trusted book", first)
    ran = [world.run(["--book", b, "merge", path], plain=True) for b in (plain, tried)]
    must(ran[0].code == ran[1].code, "merged otherwise than without the stranger", first, *ran)
    a, b = dump(plain, ("quarantine",)), dump(tried, ("quarantine",))
    must(a == b, "other rows than without the stranger: %s" % [t for t in a if a[t] != b.get(t)], first, *ran)


def strange_log(world, party):
    """A book whose log was left beside it, and another file in its place: nothing of that file is lost by the log."""
    left = world.copied(party.held.path, "left")
    own = "own-%d" % world.next()
    killed = world.program.more_env.get("TAREBOOK_FAULT_FOLDER")
    world.room, room = world.desk, world.room
    ran = world.run(["--book", left, "machine", "add", "M-" + own, "--own-id", own], "kill:%s:1" % world.dice.choice("TD"))
    world.room = room
    must(killed is None or ran.code in (KILLED, 0, 4), "another exit code", ran)
    if not os.path.exists(left + "-wal"):
        return
    everything = [h for h in world.files.values() if os.path.exists(h.path) and not os.path.exists(h.path + "-wal")
                  and not os.path.exists(h.path + "-journal")]
    if not everything:
        return
    other = world.dice.choice([h for h in party.backups if h in everything] + everything)
    log = bytearray(content(left + "-wal"))
    if world.dice.random() < 0.3:
        log[world.dice.randrange(len(log))] ^= 1 << world.dice.randrange(8)
    book = os.path.join(world.desk, "put-back")
    for ending, what in (("", content(other.path)), ("-wal", bytes(log))):
        with open(book + ending, "wb") as f:
            f.write(what)
    if os.path.exists(book + "-shm"):
        os.unlink(book + "-shm")
    if world.log:
        world.copied(book, "as-put")
    whole, ids = content(book), world.own_ids(book, alone=True)
    saved = book + ".saved"
    words = world.dice.choice([["check"], ["machine", "add", "M-" + own, "--own-id", own], ["salvage", "--to", saved],
                               ["backup", "--to", book + ".copy"], ["check", "--rebuild"]])
    ran = world.run(["--book", book, *words], plain=True)
    if words[0] == "salvage":
        must(ran.code in (0, 4) and ids <= (ids_of_bundle(saved) or set()), "in the book, and not in what is saved of it", ran)
        must(ids <= world.own_ids(book, alone=content(book) == whole), "a log took events out of the book", ran)
    elif ran.code == 3 and "-wal" in ran.err:
        must(content(book) == whole and content(book + "-wal") == bytes(log), "refused, and a file is another one", ran)
    else:
        must(ran.code in (0, 4) or "DAMAGED" not in ran.out, "a log got into a book that it damages", ran)
        must(ids <= world.own_ids(book), "a log took events out of the book", ran)
        world.check(book, ran)
    for name in os.listdir(world.desk):
        if name.startswith("put-back"):
            os.unlink(os.path.join(world.desk, name))
