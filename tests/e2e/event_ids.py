"""The number that a file gives an event (schema/book/0010) says nothing: a book whose numbers were drawn anew, and one that
SQLite's VACUUM laid out anew, answer every question as the book itself does, and take the same commands with the same words."""
import filecmp
import os
import random
import re
import shutil

from book import Book, demo, sql
from sender import Sender

NOW = "2026-12-30T15:00:00Z"
NAMED_BY = {"ineffective": ("event", "by"), "posting": ("event",), "step": ("event",), "finding": ("event",),
            "resolved": ("about", "event"), "naming": ("event",), "settlement": ("event", "returned")}
ASKED = [("report", "inventory"), ("report", "cylinder", "RC-01"), ("report", "cylinder", "CC-01"), ("report", "truck", "truck-1"),
         ("report", "job", "4102"), ("report", "appliance", "OAK/RACK-A"), ("report", "site", "OAK"), ("report", "year", "2026"),
         ("report", "retention"), ("due",), ("list", "exceptions"), ("books",), ("books", "head"), ("room", "RC-01"),
         ("export", "events")]
TOLD = [("weigh", "RC-01", "--gross", "40lb", "--anyway", "it was looked at"),
        ("weigh", "RC-01", "--gross", "41lb", "--at", "2026-06-03 10:00", "--anyway", "told late"),
        ("void", "E60", "--why", "typed twice"), ("resolve", "gap/RC-01/E85", "--why", "the other scale was right"),
        ("cylinder", "correct", "RC-01", "--tare", "27.6lb", "--anyway", "weighed empty"),
        ("recover", "--circuit", "OAK/RACK-A/4", "--into", "RC-04", "--before", "28.2lb", "--after", "31.2lb", "--by", "ana"),
        ("books", "withdraw", "truck-9", "--why", "sold"), ("list", "exceptions"), ("report", "inventory"),
        ("report", "cylinder", "RC-01"), ("export", "events")]


def with_a_truck():
    """The demo week, and a truck that weighs, merged in two parts."""
    b = demo(Book(start=False))
    shop, own = b.ok("books", "card", now=NOW).stdout.strip().split(".")[1:3]
    truck = Sender(shop, os.urandom(14).hex() + own[-4:])  # of the same purpose as the demo's book
    weighing = [("weigh", {"cylinder": "RC-01", "gross": {"count": str(pounds * 362873896000), "typed": "%dlb" % pounds}},
                 "2026-06-0%dT12:00:00Z" % day) for pounds, day in ((41, 2), (44, 4), (39, 5))]
    b.ok("books", "trust", "truck-9", "--card", truck.card, now=NOW)
    first, end = truck.chain([truck.start(), weighing[0]])
    second, _ = truck.chain(weighing[1:], first=3, previous=end)
    for lines, n in ((first, 2), (second, 2)):
        path = os.path.join(b.folder, "bundle-%d" % n)
        with open(path, "w", encoding="utf-8") as f:
            f.write(truck.bundle(lines, n))
        b.ok("merge", path, now=NOW)
    return b


def copy_of(b):
    other = Book(start=False)
    shutil.copyfile(b.path, other.path)
    os.chmod(other.path, 0o600)
    return other


def number_anew(b, dice):
    with sql(b.path) as db:
        triggers = db.execute("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'").fetchall()
        for name, _ in triggers:
            db.execute("DROP TRIGGER " + name)
        ids = [row[0] for row in db.execute("SELECT id FROM event ORDER BY id")]
        drawn = ids[:]
        dice.shuffle(drawn)
        db.execute("CREATE TEMP TABLE drawn (old INTEGER PRIMARY KEY, new INTEGER)")
        db.executemany("INSERT INTO drawn VALUES (?, ?)", [*zip(ids, drawn), (0, 0)])
        for table, columns in {"event": ("id",), **NAMED_BY}.items():
            for column in columns:
                # in two steps, as a number may be one that another row still has
                db.execute("UPDATE %s SET %s = -(SELECT new FROM drawn WHERE old = %s)" % (table, column, column))
                db.execute("UPDATE %s SET %s = -%s" % (table, column, column))
        for _, text in triggers:
            db.execute(text)
        return sum(a != b for a, b in zip(ids, drawn))


def answer(b, words):
    done = b.run(*words, now=NOW)
    assert done.returncode in (0, 4), (words, done)
    # what is recorded is signed with a time and follows a head of its own: digests differ from here on
    return done.returncode, re.sub(r"\b[0-9a-f]{12,64}\b", "digest", (done.stdout + done.stderr).replace(b.folder, "<folder>"))


begun = with_a_truck()
drawn, vacuumed = copy_of(begun), copy_of(begun)
moved = number_anew(drawn, random.Random(20261129))
with sql(vacuumed.path, isolation_level=None) as db:
    db.execute("VACUUM")
assert moved > 50, moved
assert vacuumed.run("check", now=NOW).returncode == begun.run("check", now=NOW).returncode == 0
for words in ASKED:
    said = answer(begun, words)
    for other in (drawn, vacuumed):
        assert answer(other, words) == said, (words, said, answer(other, words))
folders = []
for b in (begun, drawn, vacuumed):
    folders.append(os.path.join(b.folder, "year"))
    b.ok("export", "year", "2026", "--to", folders[-1], now=NOW)
same, other, failed = filecmp.cmpfiles(folders[0], folders[1], os.listdir(folders[0]), shallow=False)
assert not other and not failed and len(same) > 5, (other, failed)
for words in TOLD:
    said = answer(begun, words)
    for other in (drawn, vacuumed):
        assert answer(other, words) == said, (words, said, answer(other, words))
print("event numbers: %d drawn anew and all kept by VACUUM: %d pages, a year and %d commands say the same" % (moved, len(ASKED), len(TOLD)))
