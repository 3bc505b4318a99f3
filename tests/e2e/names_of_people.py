"""Names of people stand beside the chain. Who typed is recorded by itself when it changes, and is in no owner's file. A name
that was removed is in no byte of the book, nor of what it makes from then on; `check` holds, bundles and merges go on, and
neither an old copy nor an old bundle brings it back."""
import csv
import glob
import io
import os
import re
import shutil
import sqlite3

from book import Book, sql

NAME, TYPIST, LATER = "Ottoline Brackwater", "Wendeline Quarrymoss", "Theobald Fenwick"
NOW = "2026-06-%02dT15:00:00Z"


def says(book, **settings):
    folder = os.path.join(book.folder, ".config", "tarebook")
    os.makedirs(folder, exist_ok=True)
    with open(os.path.join(folder, "config"), "w", encoding="utf-8") as f:
        f.writelines("%s = %s\n" % one for one in settings.items())


def files_of(folder):
    for path in glob.glob(os.path.join(folder, "**"), recursive=True, include_hidden=True):
        if os.path.isfile(path):
            with open(path, "rb") as f:
                yield path, f.read()


def bytes_of(book):
    return b"".join(open(p, "rb").read() for p in glob.glob(book.path + "*") if os.path.isfile(p))


def kinds(book):
    with sql(book.path) as db:
        return [row[0] for row in db.execute("SELECT kind FROM event WHERE body LIKE '%' ORDER BY id")]


def body(book, kind):
    with sql(book.path) as db:
        return db.execute("SELECT body FROM event WHERE kind = ? ORDER BY id DESC LIMIT 1", (kind,)).fetchone()[0]


office = Book().small_register()
assert "typist" not in kinds(office), "where no one is named, nothing is said"
office.ok("technician", "add", "ob", "--name", NAME, "--certificate", "UNI-1", "--certificate-type", "universal", "--own-id", "ob-1")
assert NAME not in body(office, "entry") and '"name":"person:' in body(office, "entry")
assert NAME in office.ok("technician", "show", "ob").stdout and NAME in office.ok("technician", "list").stdout
again = office.ok("technician", "add", "ob", "--name", NAME, "--certificate", "UNI-1", "--certificate-type", "universal", "--own-id", "ob-1")
assert "already recorded" in again.stdout, again

# Who types: an event when it changes, in the same transaction, before what was typed; never twice.
says(office, typist=TYPIST, device="front desk")
before = kinds(office)
done = office.ok("weigh", "RC-01", "--gross", "30lb", "--job", "7", now=NOW % 2)
assert kinds(office)[len(before):] == ["typist", "weigh"] and "typist" not in done.stdout, done
number = re.search(r"recorded as (E\d+)", done.stdout)[1]
office.ok("weigh", "RC-02", "--gross", "30lb", "--job", "7", now=NOW % 2)
assert kinds(office)[len(before):] == ["typist", "weigh", "weigh"]
assert office.run("weigh", "NONE", "--gross", "1lb", "--typist", LATER, now=NOW % 2).returncode == 1
assert kinds(office).count("typist") == 1, "what is refused writes nothing"
office.ok("weigh", "RC-02", "--gross", "31lb", "--typist", LATER, now=NOW % 3)
assert kinds(office).count("typist") == 2
said = office.ok("report", "event", number).stdout
assert "typed by %s on front desk" % TYPIST in said, said
assert office.json("report", "event", number)["events"][0]["typed_by"] == TYPIST
rows = list(csv.DictReader(io.StringIO(office.ok("export", "events", "--format", "csv").stdout)))
assert [r["typed_by"] for r in rows[-4:]] == [TYPIST, TYPIST, LATER, LATER], rows[-4:]
assert rows[0]["typed_by"] == "" and NAME in [r for r in rows if r["cylinder"] == "" and "UNI-1" in r["values"]][0]["values"]
for name in (NAME, TYPIST, LATER):
    assert name not in office.ok("export", "events", "--format", "json").stdout
assert not office.run("weigh", "RC-02", "--gross", "31lb", "--typist", "=1+1").returncode == 0
os.remove(os.path.join(office.folder, ".config", "tarebook", "config"))
office.ok("weigh", "RC-02", "--gross", "32lb", now=NOW % 4)  # no one is named: that is said as well
assert kinds(office)[-2:] == ["typist", "weigh"] and '"what":{}' in body(office, "typist")
office.ok("weigh", "RC-02", "--gross", "32lb", now=NOW % 4)
assert kinds(office)[-2:] == ["weigh", "weigh"]
says(office, typist=TYPIST, device="front desk")
office.ok("weigh", "RC-02", "--gross", "33lb", now=NOW % 5)

# What an owner gets has neither.
office.ok("export", "year", "2026", "--owner", "Quillpost Markets", "--to", os.path.join(office.folder, "year"), now=NOW % 6)
office.ok("pages", "--to", os.path.join(office.folder, "pages"), "--owner", "Quillpost Markets", now=NOW % 6)
for part in ("year", "pages"):
    for path, content in files_of(os.path.join(office.folder, part)):
        for name in (TYPIST, LATER, "front desk"):
            assert name.encode() not in content, (path, name)

# A truck gets the names with the events, and who typed there.
truck = Book(start=False)
truck.ok("start", "--company", "Fernhollow Refrigeration", "--zone", "America/Chicago", "--shop", office.ok("books", "card").stdout.strip())
office.ok("books", "trust", "truck", "--card", truck.ok("books", "card").stdout.strip(), now=NOW % 6)
old_bundle = os.path.join(office.folder, "old.bundle")
office.ok("send", "--to", old_bundle, now=NOW % 6)
assert open(old_bundle).readline().startswith('{"bundle":2,')
truck.ok("merge", old_bundle, now=NOW % 6)
assert NAME in truck.ok("technician", "show", "ob").stdout and TYPIST in truck.ok("people", "list").stdout
old_copy = os.path.join(truck.folder, "copy.tarebook")
truck.ok("backup", "--to", old_copy, now=NOW % 6)
assert office.ok("check").returncode == 0 and truck.ok("check").returncode == 0

# What is salvaged of a damaged book has its names.
rescued = os.path.join(office.folder, "rescued.bundle")
office.ok("salvage", "--to", rescued)
assert NAME.encode().hex() in open(rescued).read()

# The removal.
assert office.run("people", "remove", NAME, "--asked", "by %s herself" % NAME, now=NOW % 7).returncode == 1, "words with the name"
assert office.run("people", "remove", "no one", "--asked", "by letter", now=NOW % 7).returncode == 1
told = office.ok("people", "remove", "ob", "--asked", "by the person, in a letter of 2026-06-06", now=NOW % 7).stdout
assert "(name removed)" in office.ok("technician", "show", "ob").stdout
# An open book of another program: the name is gone from its answers, and the bytes are told of.
held = sqlite3.connect(office.path)
held.execute("BEGIN")
held.execute("SELECT count(*) FROM event").fetchone()
told = office.ok("people", "remove", TYPIST, "--asked", "by the person", "--typist", LATER, now=NOW % 7).stdout
assert "another program has the book open" in told and "this machine's setting" not in told, told
held.close()
says(office)
assert "LOOK AT names: " in office.run("doctor", now=NOW % 7).stdout
assert office.run("people", "remove", "--tidy", now=NOW % 7).returncode == 0
for name in (NAME, TYPIST):
    assert name.encode() not in bytes_of(office), "in the file, or in its log"
    assert name.encode().hex().encode() not in bytes_of(office)
assert "names" not in office.run("doctor", now=NOW % 7).stdout
assert LATER.encode() in bytes_of(office)
assert office.ok("check").returncode == 0
rows = list(csv.DictReader(io.StringIO(office.ok("export", "events", "--format", "csv").stdout)))
assert [r["typed_by"] for r in rows if r["event"] == number] == ["(name removed)"]
for words in (("export", "events", "--format", "csv"), ("people", "list"), ("report", "event", number), ("list", "exceptions"), ("due",)):
    assert not any(name in office.ok(*words).stdout for name in (NAME, TYPIST)), words
# The same words again are the same event, or refused: they do not bring the name in.
assert office.run("technician", "add", "ob", "--name", NAME, "--certificate", "UNI-1", "--certificate-type", "universal", "--own-id", "ob-1").returncode == 1

# Neither an old bundle, nor what was salvaged, nor an old copy brings it back.
for bundle in (old_bundle, rescued):
    office.ok("merge", bundle, now=NOW % 8)
assert NAME.encode() not in bytes_of(office)
new_bundle = os.path.join(office.folder, "new.bundle")
office.ok("send", "--to", new_bundle, now=NOW % 8)
assert NAME.encode().hex() not in open(new_bundle).read() and LATER.encode().hex() in open(new_bundle).read()
truck.ok("merge", new_bundle, now=NOW % 8)
assert NAME.encode() not in b"".join(open(p, "rb").read() for p in (truck.path,)), "the truck removes it, too"
restored = Book(start=False)
restored.ok("restore", old_copy, "--to", restored.path, now=NOW % 9)
assert NAME in restored.ok("technician", "show", "ob").stdout, "a copy of before has the name"
restored.ok("merge", new_bundle, now=NOW % 9)
assert NAME not in restored.ok("technician", "show", "ob").stdout
assert NAME.encode() not in open(restored.path, "rb").read() and restored.ok("check").returncode == 0
office.ok("books", "trust", "restored", "--card", restored.ok("books", "card").stdout.strip(), now=NOW % 9)

# All made anew from the events: what was removed stays removed.
office.ok("check", "--rebuild", now=NOW % 9)
assert NAME.encode() not in bytes_of(office) and office.ok("check").returncode == 0

# A name that is put back into the file by hand is seen, and so is another one in its place.
code, salt = None, None
with sql(old_copy) as db:
    code, salt = db.execute("SELECT code, salt FROM person WHERE name = ?", (NAME,)).fetchone()
with sql(office.path) as db:
    db.execute("UPDATE person SET salt = ?, name = ? WHERE code = ?", (salt, NAME, code))
done = office.run("check")
assert done.returncode == 3 and "its name was to go, and is not removed" in done.stdout, done
with sql(office.path) as db:
    db.execute("UPDATE person SET salt = NULL, name = NULL WHERE code = ?", (code,))
    db.execute("UPDATE person SET name = 'Another' WHERE name = ?", (LATER,))
done = office.run("check")
assert done.returncode == 3 and "the name that is here is not the one that was recorded" in done.stdout, done

# What an older program recorded has the name in its words: that is said, with the events.
plain = Book()
with sql(plain.path) as db:
    assert db.execute("SELECT count(*) FROM person").fetchone() == (0,)
plain.ok("note", "%s called" % NAME, now=NOW % 2)
plain.ok("technician", "add", "ob", "--name", NAME, now=NOW % 2)
shutil.copy(plain.path, plain.path + ".old")
told = plain.ok("people", "remove", NAME, "--asked", "by the person", now=NOW % 3).stdout
assert "1 event with the name in the words as typed, which never change: E2" in told, told
assert "a file with the name: " + plain.path + ".old" in told, told
done = plain.run("people", "remove", NAME, "--asked", "by the person", now=NOW % 3)
assert done.returncode == 1 and "in 1 event alone" in done.stderr, done
print("names of people: who typed is said once a change; a removed name is in no byte of the book and does not come back")
