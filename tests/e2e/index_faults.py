"""An index that misses a row, has one too many or another key is found by `check`, and so is a changed projection or body:
in a small book and in one large enough that `check` works on it with several threads.

TAREBOOK_MANY_BIN: a program without sanitizers, where TAREBOOK_BIN has them: it makes and checks the large book, and
TAREBOOK_BIN checks that one whole and with a changed body. The small book's faults all go through TAREBOOK_BIN."""
import os
import shutil
import sqlite3
import subprocess
import sys

from book import BIN, SOURCE, Book

MANY = os.environ.get("TAREBOOK_MANY_BIN", BIN)

small = Book().small_register()
small.ok("recover", "--circuit", "OAK/RACK-A/4", "--into", "RC-01", "--before", "27.5lb", "--after", "31.2lb", "--job", "77",
         "--own-id", "mine")
large = Book(binary=MANY)
generator = [sys.executable, os.path.join(SOURCE, "tests/workload/gen_events.py")]
subprocess.run([*generator, "-n", "10000", "--form", "csv,lists", "-o", large.folder], check=True)
files = [os.path.join(large.folder, name + ".csv") for name in ("events", "cylinders", "circuits")]
large.ok("import", "movements", files[0], "--cylinders", files[1], "--circuits", files[2], "--register", "--owner",
         "Quillpost Markets")
assert os.path.getsize(large.path) > 4096 * 1000, "the large book is one that check takes for large"


def built_otherwise(index, other):
    """The index as SQLite builds it from another definition, under the definition that the book has."""
    def change(db):
        sql, = db.execute("SELECT sql FROM sqlite_schema WHERE name = ?", (index,)).fetchone()
        for text, build in ((other, True), (sql, False)):
            db.execute("PRAGMA writable_schema = ON")
            db.execute("UPDATE sqlite_schema SET sql = ? WHERE name = ?", (text, index))
            db.commit()
            db.execute("PRAGMA writable_schema = RESET")
            if build:
                db.execute("REINDEX " + index)
                db.commit()
    return change


def run(*statements):
    def change(db):
        for statement in statements:
            assert db.execute(statement).rowcount != 0, statement
        db.commit()
    return change


row = "(SELECT min(event) FROM posting WHERE mass > 0)"
unlocked = "DROP TRIGGER event_is_never_changed"
faults = {
    "index row missing": (built_otherwise("event_order", "CREATE INDEX event_order ON event (at, origin, seq) WHERE seq <> 5"),
                          "missing from index event_order"),
    "index row too many": (built_otherwise("event_job", "CREATE INDEX event_job ON event (job)"),
                           "wrong # of entries in index event_job"),
    "index key changed": (built_otherwise("event_order", "CREATE INDEX event_order ON event (at + 1, origin, seq)"),
                          "missing from index event_order"),
    "circuit missing from index": (built_otherwise("posting_circuit", "CREATE INDEX posting_circuit ON posting (account, circuit_day, event)"
                                                   " WHERE circuit_day = 2"), "missing from index posting_circuit"),
    "posting changed": (run("UPDATE posting SET mass = mass + 1 WHERE event = %s" % row), "postings are not what the fold"),
    "state changed": (run("UPDATE step SET moved = moved + 1 WHERE event = %s" % row), "the state kept for"),
    "day of a posting changed": (run("UPDATE posting SET circuit_day = circuit_day + 1 WHERE circuit_day IS NOT NULL"),
                                 "postings are not what the fold"),
    "current state changed": (run("UPDATE current_state SET state = (SELECT state FROM step WHERE step.cylinder = current_state.cylinder"
                             " AND state <> current_state.state LIMIT 1) WHERE EXISTS (SELECT 1 FROM step WHERE step.cylinder ="
                             " current_state.cylinder AND state <> current_state.state)"), "is not what the fold gives"),
    "current state gone": (run("DELETE FROM current_state WHERE cylinder = (SELECT min(cylinder) FROM current_state)"), "the current state of"),
    "posting gone": (run("DELETE FROM posting WHERE event = %s" % row), "the table posting has"),
    "balance changed": (run("UPDATE balance SET mass = mass + 1 WHERE mass > 0"), "the balance of"),
    "body changed": (run(unlocked, "UPDATE event SET body = replace(body, '\"seq\":6', '\"seq\":7') WHERE seq = 6"),
                     "event E6: the digest is not that of its body"),
    "event gone": (run("DROP TRIGGER event_is_never_deleted", "DELETE FROM event WHERE seq = 6"),
                   "sequence 7 follows 5"),
}
for book in (small, large):
    whole = book.path
    assert book.run("check").returncode == 0
    for name, (change, told) in faults.items():
        book.path = whole + ".faulty"
        shutil.copyfile(whole, book.path)
        db = sqlite3.connect(book.path)
        change(db)
        db.close()
        for program in sorted({book.binary, BIN} if name == "body changed" else {book.binary}):
            done = book.run("check", binary=program)
            assert done.returncode == 3 and told in done.stdout + done.stderr, (name, done.returncode, done.stdout[:600])
        os.unlink(book.path)
    book.path = whole
assert large.run("check", binary=BIN).returncode == 0
print("index faults: %d found, in two books each" % len(faults))
