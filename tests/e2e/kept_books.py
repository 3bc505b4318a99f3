"""Books as the programs of earlier schemas wrote them, kept as text with their rows (kept_books/schema-NN.sql): upgraded,
each has the schema of a fresh book and gives the same answers as one that today's program was told the same. Of schemas 5, 6,
7, 11, 12 and 13 their own programs wrote the text; of 2, 3, 4, 8, 9 and 10 the program of another schema wrote the rows, and they
were put into the tables as those schemas had them.

`kept_books.py --make N` makes the text of schema N by running the program TAREBOOK_BIN, which must be of that schema."""
import glob
import json
import os
import re
import shlex
import sqlite3
import subprocess
import sys

from book import Book, SOURCE

NEWEST = len(glob.glob(os.path.join(SOURCE, "schema", "book", "*.sql")))
KEPT = os.path.join(os.path.dirname(os.path.abspath(__file__)), "kept_books")
PAGES = (("report", "inventory"), ("report", "site", "OAK"), ("report", "cylinder", "RC-01"), ("report", "cylinder", "RC-02"),
         ("list", "exceptions"), ("due",), ("export", "events", "--format", "csv"))
SINCE = {6: (("books",), ("report", "cylinder", "RC-03"))}


class Shop:
    """The office's book and those beside it, told a history line by line."""

    def __init__(self):
        self.books = {"office": Book(start=False)}
        self.now = None

    @property
    def office(self):
        return self.books["office"]

    def tell(self, line):
        if line.startswith("now "):
            self.now = line.split()[1]
            return
        at = re.match(r"(\w+): ", line)
        book = self.books.setdefault(at[1], Book(start=False)) if at else self.office
        line = line[at.end():] if at else line
        line = re.sub(r"\{card of (\w+)\}", lambda m: self.books[m[1]].ok("books", "card", now=self.now).stdout.strip(), line)
        line = line.replace("{folder}", self.office.folder)
        if "{last}" in line:
            with sqlite3.connect(self.office.path) as db:
                line = line.replace("{last}", "E%d" % db.execute("SELECT max(seq) FROM event").fetchone())
        book.ok(*shlex.split(line), now=self.now)


def kept_file(schema):
    return os.path.join(KEPT, "schema-%02d.sql" % schema)


def history():
    """Its lines, and before which of them each schema's book ends."""
    lines, ends, schema = [], {}, None
    with open(os.path.join(KEPT, "history.txt"), encoding="utf-8") as f:
        for line in f:
            line = line.strip()
            if not line or line.startswith("#"):
                continue
            if line.startswith("schema "):
                newer = int(line.split()[1])
                for n in range(schema or 2, newer):
                    ends[n] = len(lines)
                schema = newer
            else:
                lines.append(line)
    for n in range(schema, NEWEST):
        ends[n] = len(lines)
    return lines, ends


def make(schema):
    lines, ends = history()
    shop = Shop()
    for line in lines[:ends[schema]]:
        shop.tell(line)
    db = sqlite3.connect(shop.office.path)
    assert db.execute("PRAGMA user_version").fetchone() == (schema,), "a program of another schema"
    db.close()
    dump = subprocess.run(["sqlite3", shop.office.path, ".dump"], check=True, capture_output=True, text=True).stdout
    with open(kept_file(schema), "w", encoding="utf-8") as f:
        f.write("-- A book as the program of schema %d wrote it: history.txt up to there. Its key signs nothing else. Made by: "
                "kept_books.py --make %d\nPRAGMA application_id = 1415672421;\nPRAGMA user_version = %d;\n%s"
                % (schema, schema, schema, dump))


def schema_of(path):
    db = sqlite3.connect(path)
    try:
        return sorted(db.execute("SELECT type, name, tbl_name, sql FROM sqlite_schema"), key=str), db.execute("PRAGMA user_version").fetchone()
    finally:
        db.close()


def answers(book, schema, now):
    """Each page; digests, ids and keys are drawn anew in each book."""
    pages = list(PAGES)
    for since, more in SINCE.items():
        if schema >= since:
            pages += more
    out = {}
    for words in pages:
        done = book.run(*words, now=now)
        assert done.returncode in (0, 4), (schema, words, done)
        out[words] = "exit %d\n" % done.returncode + re.sub(r"\b[0-9a-f]{12,128}\b", "<digits>", done.stdout)
    return out


def put_together(path, name):
    with open(os.path.join(KEPT, name), encoding="utf-8") as f:
        os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
        db = sqlite3.connect(path, isolation_level=None)
        db.executescript(f.read())
        db.close()


def money_in_words(now):
    """Events never change: credits and deposits that were typed as words are shown as they are, and a correction makes an
    amount of them where the words say one."""
    kept = Book(start=False)
    put_together(kept.path, "money-in-words.sql")
    if NEWEST > 13:
        kept.ok("upgrade", now=now)
    assert kept.run("check", now=now).returncode == 0
    assert "credit 31.50 for all" in kept.ok("report", "event", "E11", now=now).stdout
    assert "deposit 40\n" in kept.ok("report", "event", "E14", now=now).stdout
    page = json.dumps(json.loads(kept.ok("report", "event", "E11", "--format", "json", now=now).stdout))
    assert '"credit": "31.50 for all", "credit_amount": null, "credit_currency": null' in page, page
    refused = kept.run("correct", "E11", "--oil", "0.01lb", now=now)
    assert refused.returncode == 2 and "the credit is in words" in refused.stderr and "--credit" in refused.stderr, refused
    assert "credit 31.50 USD" in kept.ok("correct", "E11", "--credit", "31.50 USD", now=now).stdout
    told = kept.ok("correct", "E12", "--oil", "0.01lb", now=now).stdout
    assert "credit 14.30 USD" in told, told
    text = kept.ok("report", "cylinder", "RC-02", "--format", "json", now=now).stdout
    assert '"credit_amount": 14.3' in text and '"credit_currency": "USD"' in text, text
    assert kept.run("check", now=now).returncode == 0


def identified_before(now):
    """Until edition 14 of the checks a state said nothing of what an identifier showed: such a book is no damaged one, a
    remark tells what a rebuild finds, and a state that is damaged is still one."""
    kept = Book(start=False)
    put_together(kept.path, "identified-14.sql")
    if NEWEST > 13:
        kept.ok("upgrade", now=now)
    done = kept.run("check", now=now)
    assert done.returncode == 0 and "edition 14" in done.stdout + done.stderr, done
    kept.ok("weigh", "RC-02", "--gross", "32.8lb", now=now)  # recorded on states of both kinds
    assert kept.run("check", now=now).returncode == 0
    hurt = Book(start=False)
    put_together(hurt.path, "identified-14.sql")
    if NEWEST > 13:
        hurt.ok("upgrade", now=now)
    with sqlite3.connect(hurt.path) as db:
        states = db.execute("SELECT cylinder, at, seq, state FROM step ORDER BY at, seq").fetchall()
        cylinder, at, seq, state = states[-1]
        db.execute("UPDATE step SET state = ? WHERE cylinder = ? AND at = ? AND seq = ?", (bytes([state[0] ^ 8]) + state[1:], cylinder, at, seq))
    assert hurt.run("check", now=now).returncode == 3
    kept.ok("check", "--rebuild", now=now)
    assert "identified-before/RC-02/E9" in kept.ok("list", "exceptions", now=now).stdout
    assert kept.run("check", now=now).returncode == 0


def main():
    lines, ends = history()
    fresh = Shop()
    told = 0
    kept_schemas = [n for n in ends if os.path.exists(kept_file(n))]
    assert NEWEST - 1 in kept_schemas, "the schema before the newest one has no kept book: its program makes one, --make"
    for schema in kept_schemas:
        for line in lines[told:ends[schema]]:
            fresh.tell(line)
        told = ends[schema]
        kept = Book(start=False)
        put_together(kept.path, os.path.basename(kept_file(schema)))
        assert "from schema %d to %d" % (schema, NEWEST) in kept.ok("upgrade", "--dry-run", now=fresh.now).stdout
        kept.ok("upgrade", now=fresh.now)
        assert schema_of(kept.path) == schema_of(fresh.office.path), schema
        done = kept.run("check", now=fresh.now)
        assert done.returncode == 0, (schema, done)
        kept.ok("check", "--rebuild", now=fresh.now)  # stored findings have the words of their time until then
        was, new = answers(kept, schema, fresh.now), answers(fresh.office, schema, fresh.now)
        for words in new:
            assert was[words] == new[words], "schema %d, %s\n%s\nin a fresh book\n%s" % (schema, words, was[words], new[words])
        kept.ok("weigh", "RC-01", "--gross", "28.8lb", now=fresh.now)  # and it is recorded in
        assert kept.run("check", now=fresh.now).returncode == 0, schema
        assert len(new) > 6 and "R-448A" in new["report", "inventory"], new
    money_in_words(fresh.now)
    identified_before(fresh.now)
    print("kept books: of %d schemas each is upgraded to that of a fresh book, with the same answers" % len(kept_schemas))


if sys.argv[1:2] == ["--make"]:
    make(int(sys.argv[2]))
else:
    main()
