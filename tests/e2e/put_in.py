"""What another program put into the file: an event without a signed head, SQL that would run inside each command, words
about the book that no event says, numbers that no Tarebook writes. Each is refused or named, and never a crash."""
import hashlib
import json
import os
import shutil
import sqlite3
import subprocess

from book import BIN, Book, sql

b = Book().small_register()
b.ok("weigh", "RC-01", "--gross", "30lb")
whole = b.path
b.path = os.path.join(b.folder, "changed.tarebook")


def changed(*lines, guarded=False):
    """A copy of the book after these lines of SQL."""
    shutil.copy(whole, b.path)
    db = sqlite3.connect(b.path, isolation_level=None)
    db.execute("PRAGMA writable_schema = ON")
    for line in lines:
        if isinstance(line, str):
            db.execute(line)
        else:
            db.execute(*line)
    db.close()


def put_in(path, gross, own_id="put-in"):
    """An event that is right in each of its bytes, but for the signed head that it lacks."""
    db = sqlite3.connect(path, isolation_level=None)
    seq, at, day, body, digest, origin = db.execute(
        "SELECT seq, at, day, body, digest, origin FROM event WHERE kind = 'weigh' ORDER BY seq DESC LIMIT 1").fetchone()
    event = json.loads(body)
    event["seq"] = seq + 1
    event["prev"] = digest.hex()
    event["own_id"] = own_id
    text = json.dumps(event, sort_keys=True, separators=(",", ":"), ensure_ascii=False).replace("30lb", gross)
    db.execute("INSERT INTO event(origin, seq, at, day, kind, own_id, digest, body) VALUES (?, ?, ?, ?, 'weigh', ?, ?, ?)",
               (origin, seq + 1, at, day, own_id, hashlib.sha256(text.encode()).digest(), text))
    db.close()
    return "E%d" % (seq + 1)


def an_unsigned_event():
    changed()
    name = put_in(b.path, "39lb")
    before = b.digest()
    card = os.path.join(b.folder, "bundle")
    other = Book()
    other.ok("send", "--to", card)
    for words in (("weigh", "RC-01", "--gross", "31lb"), ("site", "add", "NEW", "--owner", "Quillpost Markets"),
                  ("merge", card)):
        done = b.run(*words)
        assert done.returncode in (1, 3), (words, done.returncode, done.stdout, done.stderr)
        if words[0] != "merge" or done.returncode == 3:
            assert name in done.stderr and "without a valid signed head" in done.stderr, (words, done.stderr)
    assert b.digest() == before
    done = b.run("check")
    assert done.returncode == 3 and "event %s: no signed head covers it" % name in done.stdout, done.stdout
    # judged anew, it is kept and does not count; nor does anybody get it
    b.run("check", "--rebuild")
    whole_state = Book(start=False)
    shutil.copy(whole, whole_state.path)
    assert b.json("report", "cylinder", "RC-01") == whole_state.json("report", "cylinder", "RC-01"), "it counts"
    b.ok("send", "--to", os.path.join(b.folder, "sent"), "--all")
    assert "39lb" not in open(os.path.join(b.folder, "sent")).read(), "it was sent"
    assert b.run("weigh", "RC-01", "--gross", "31lb").returncode == 3
    # what is salvaged ends before it, though the key lies there: signed anew, it would count
    changed()
    put_in(b.path, "39lb")
    rescued = os.path.join(b.folder, "rescued")
    done = b.ok("salvage", "--to", rescued)
    assert "0 unreadable, 0 altered, 1 without a signed head" in done.stdout, done.stdout
    assert "39lb" not in open(rescued).read() and '"30lb"' in open(rescued).read(), "it was signed"
    # with a head that was made up, too
    changed()
    name = put_in(b.path, "39lb")
    with sql(b.path) as db:
        db.execute("INSERT INTO head(origin, seq, digest, signature) SELECT origin, seq, digest, zeroblob(64) FROM event WHERE own_id = 'put-in'")
    done = b.run("weigh", "RC-01", "--gross", "31lb")
    assert done.returncode == 3 and name in done.stderr, done.stderr
    print("put in: an event without a signed head gets none, and does not count")


def strange_sql():
    for name, line, kind in (
            ("spy", "CREATE TRIGGER spy AFTER INSERT ON event BEGIN UPDATE book SET value = "
                    "(SELECT hex(secret_key) FROM secret) WHERE name = 'company'; END", "trigger"),
            ("deaf", "CREATE TRIGGER deaf BEFORE INSERT ON event BEGIN SELECT RAISE(IGNORE); END", "trigger"),
            ("seen", "CREATE VIEW seen AS SELECT * FROM event", "view")):
        changed(line)
        for words in (("check",), ("weigh", "RC-01", "--gross", "31lb"), ("report", "inventory")):
            done = b.run(*words)
            assert done.returncode == 3 and name in done.stdout + done.stderr and kind in done.stdout + done.stderr, (name, words, done.stdout, done.stderr)
    # a trigger of ours by name, and not by what it does
    changed("DROP TRIGGER event_is_never_deleted",
            "CREATE TRIGGER event_is_never_deleted BEFORE INSERT ON event BEGIN SELECT RAISE(IGNORE); END")
    for words in (("check",), ("weigh", "RC-01", "--gross", "31lb")):
        done = b.run(*words)
        assert done.returncode == 3 and "event_is_never_deleted" in done.stdout + done.stderr, (done.stdout, done.stderr)
    # a view in place of the table
    changed("ALTER TABLE event RENAME TO kept", "CREATE VIEW event AS SELECT * FROM kept")
    assert b.run("check").returncode == 3
    for line, told in (("CREATE TABLE notes (x)", "notes"), ("CREATE INDEX mine ON event (kind)", "mine"),
                       ("DROP INDEX event_job", "event_job"), ("ALTER TABLE finding ADD COLUMN extra TEXT", "finding"),
                       ("DROP TRIGGER event_is_never_changed", "event_is_never_changed")):
        changed(line)
        done = b.run("check")
        assert done.returncode == 3 and told in done.stdout, (line, done.stdout, done.stderr)
    changed("ANALYZE")
    assert "sqlite_stat1" in b.ok("check").stdout
    print("put in: SQL that no migration makes is named, and never run")


def words_about_the_book():
    for name, value in (("company", "Somebody Else"), ("zone", "Europe/Berlin"), ("units", "kg"), ("shop", "00" * 16),
                        ("public_key", "00" * 32), ("own_branch", "x"), ("checks_edition", "0"), ("id", "11" * 16)):
        changed(("INSERT OR REPLACE INTO book(name, value) VALUES (?, ?)", (name, value)))
        done = b.run("check")
        assert done.returncode == 3 and done.stdout + done.stderr, (name, done.stdout, done.stderr)
        assert "should not have happened" not in done.stderr, (name, done.stderr)
        if name in ("company", "zone", "units", "shop", "public_key"):
            assert "the book says " + name in " ".join(done.stdout.split()), (name, done.stdout)
    # an older edition of the checks would excuse that exceptions are missing
    for name, value in (("checks_edition", "6"), ("checks_edition_again", "6")):
        changed("DELETE FROM finding", ("UPDATE book SET value = ? WHERE name = ?", (value, name)))
        done = b.run("check")
        assert done.returncode == 3 and "a second time by" in " ".join(done.stdout.split()), (name, done.stdout)
        b.ok("check", "--rebuild")
        b.ok("check")
    changed("DELETE FROM book WHERE name = 'checks_edition_again'")
    assert b.run("check").returncode == 3
    for value in ("1", "5"):  # as an older program left it
        changed("DELETE FROM book WHERE name = 'checks_edition_again'",
                ("UPDATE book SET value = ? WHERE name = 'checks_edition'", (value,)))
        b.ok("check")
    for name in ("company", "zone", "units", "public_key"):
        changed(("DELETE FROM book WHERE name = ?", (name,)))
        assert b.run("check").returncode == 3, name
    print("put in: what the book says of itself is held against its first event")


def numbers():
    data = bytearray(open(whole, "rb").read())
    for byte in range(60, 64):
        for bit in range(8):
            flipped = bytearray(data)
            flipped[byte] ^= 1 << bit
            open(b.path, "wb").write(flipped)
            for words in (("check",), ("report", "inventory"), ("weigh", "RC-01", "--gross", "31lb"),
                          ("backup", "--to", os.path.join(b.folder, "copy"))):
                done = b.run(*words)
                assert done.returncode == 3 and "schema" in done.stderr, (byte, bit, words, done.returncode, done.stderr)
            assert not [left for left in os.listdir(b.folder) if ".before-schema-" in left], os.listdir(b.folder)
    print("put in: no number of a schema ends a command without a sentence")


def a_list_of_books_that_cannot_be():
    office, truck = Book().small_register(), Book()
    bundle = os.path.join(b.folder, "from-truck")
    truck.ok("send", "--to", bundle)
    office.run("merge", bundle)
    for where in ("(SELECT max(id) FROM origin)", "(SELECT min(id) FROM origin)"):
        for line in ("SET parent = id", "SET parent = id + 1, parent_seq = 1", "SET parent = 5", "SET parent_seq = -3",
                     "SET branch = 7", "SET branch = 70000", "SET branch = -1", "SET book = x'00'", "SET id = id + 1",
                     "SET book = zeroblob(16)"):
            shutil.copy(office.path, b.path)
            with sql(b.path) as db:
                db.execute("UPDATE origin %s WHERE id = %s" % (line, where))
            for words in (("check",), ("weigh", "RC-01", "--gross", "31lb"), ("books",), ("report", "inventory")):
                done = subprocess.run([BIN, *words], env=b.env("2026-06-01T15:00:00Z"), capture_output=True, text=True,
                                      timeout=60)
                assert done.returncode in ((3,) if words[0] in ("check", "weigh") else (0, 1, 3)), \
                    (line, words, done.returncode, done.stdout, done.stderr)
                assert "should not have happened" not in done.stderr, (line, words, done.stderr)
            told = b.run("check")
            assert "list of books" in " ".join((told.stdout + told.stderr).split()), (line, told.stdout, told.stderr)
    for book in (whole, office.path):
        shutil.copy(book, b.path)
        with sql(b.path) as db:
            db.execute("UPDATE origin SET effective_to = 4 WHERE lower(hex(book)) = (SELECT value FROM book WHERE name = "
                       "'id')")
        told = b.run("check")
        assert told.returncode == 3 and "it counts whole" in " ".join(told.stdout.split()), (told.stdout, told.stderr)
        b.ok("check", "--rebuild")
        b.ok("check")
    print("put in: a list of books that cannot be is named, and walked to its end")


an_unsigned_event()
strange_sql()
words_about_the_book()
numbers()
a_list_of_books_that_cannot_be()
