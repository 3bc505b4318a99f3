"""What is being done when the fault comes: the book before it, the command, and the command that follows."""
import csv
import os
import sqlite3
import subprocess
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
SHEET_NEXT = ["weigh", "RC-02", "--gross", "38.8lb", "--own-id", "next"]
NEXT = ["weigh", "RC-02", "--gross", "34.2lb", "--own-id", "next"]


class Scenario:
    """`base` holds the files before; `steps` are the digests of the book's rows that may be met: before, after the
    upgrade where there is one, after the command, after the next one. `old_schema`: the book is of an older schema, and
    the command upgrades it, on the way to something or (`upgrades`) as all that it does."""

    def __init__(self, name, words, following=NEXT, spill=False, files=None, old_schema=False, makes_book=False,
                 book=None, upgrades=False):
        self.name, self.words, self.following, self.spill = name, words, following, spill
        self.files, self.old_schema, self.makes_book, self.own_book = files or {}, old_schema, makes_book, book
        self.upgrades = upgrades
        self.base, self.before, self.done, self.last, self.traces = {}, set(), None, None, {}

    def prepare(self, folder, ready_book):
        if not self.makes_book:
            self.base["shop.tarebook"] = self.own_book or ready_book
        self.base.update(self.files)
        folder.put(self.base)
        if not self.makes_book:
            self.rows_of_base = folder.rows()
            self.before.add(self.rows_of_base)
        if self.old_schema:
            old = folder.schema()
            refused = folder.run(["check"])
            assert refused.code == 3 and "tarebook upgrade" in refused.err and folder.files() == self.base, refused
            migrated = folder.run(["weigh", "RC-99", "--gross", "1lb"])  # opens for writing, and records nothing
            assert migrated.code == 1 and folder.schema() > old, migrated
            self.old_schema, self.new_schema = old, folder.schema()
            if not self.upgrades:
                self.before.add(folder.rows())
            folder.put(self.base)
            with sqlite3.connect(folder.book) as db:
                db.execute("DELETE FROM secret")
                db.execute("INSERT INTO book VALUES ('key_left_out', 'yes')")
            db.close()
            self.rows_of_copy = folder.rows()
            folder.put(self.base)
        done = folder.run(self.words)
        assert done.code in (0, 4), done
        if not self.makes_book:
            self.done = folder.rows()
            assert self.done not in self.before
        followed = folder.run(self.following)
        assert followed.code in (0, 4), followed
        self.last = None if self.makes_book else folder.rows()
        assert folder.run(["check"]).code == 0
        for disk in ("psow", "512", "4096"):
            folder.put(self.base)
            ran = folder.run(self.words, "none:::0:" + disk, self.spill)
            assert ran.code == done.code, ran
            self.traces[disk] = ran.trace


def content(name):
    with open(os.path.join(HERE, name), "rb") as f:
        return f.read()


def old_records(folder):
    """Forty movements as a spreadsheet has them, and the cylinders and circuits they speak of. They name no technician: the
    code of a name has a random salt, and each run of the command would make another book."""
    folder.put({})
    generator = os.path.join(os.environ["TAREBOOK_SOURCE"], "tests", "workload", "gen_events.py")
    small = "-n 40 --seed 3 --sites 2 --appliances 2 --circuits 2 --cylinders 16 --years 1 --form csv,lists"
    subprocess.run([sys.executable, generator, *small.split(), "-o", folder.path], check=True, stdout=subprocess.DEVNULL)
    path = os.path.join(folder.path, "events.csv")
    with open(path, newline="") as f:
        rows = list(csv.DictReader(f))
    with open(path, "w", newline="") as f:
        out = csv.DictWriter(f, rows[0])
        out.writeheader()
        out.writerows({**row, "technician": ""} for row in rows)
    return folder.files()


def book_of_schema_1(folder):
    folder.put({})
    with open(os.path.join(HERE, "book_v1.sql"), encoding="utf-8") as f:
        db = sqlite3.connect(folder.book)
        db.executescript(f.read())
        db.close()
    return folder.files()["shop.tarebook"]


def book_of_today(folder, old):
    folder.put({"shop.tarebook": old})
    ran = folder.run(["machine", "add", "M1", "--own-id", "first"])
    assert ran.code in (0, 4), ran
    return folder.files()["shop.tarebook"]


def office_and_bundle(folder, book):
    """The book as an office that trusts a truck, and what the truck sends: entries, weights, a recovery, a void."""
    folder.put({"shop.tarebook": book})

    def run(*words):
        ran = folder.run(list(words))
        assert ran.code in (0, 4), ran
        return ran.out.strip()

    truck = ["--book", "{folder}/truck"]
    run(*truck, "start", "--company", "Fernhollow Refrigeration", "--zone", "America/Chicago", "--shop", run("books", "card"))
    run("books", "trust", "truck-1", "--card", run(*truck, "books", "card"))
    run("send", "--to", "{folder}/register", "--register-only")
    run(*truck, "merge", "{folder}/register")
    run(*truck, "recover", "--circuit", "OAK/RACK-A/4", "--into", "RC-01", "--before", "27.5lb", "--after", "31.2lb")
    run(*truck, "cylinder", "add", "RC-50", "--use", "recovery", "--tare", "26lb")
    run(*truck, "weigh", "RC-50", "--gross", "26.4lb")
    run(*truck, "void", "E5", "--why", "the wrong jug")
    run(*truck, "send", "--to", "{folder}/truck.bundle")
    files = folder.files()
    return files["shop.tarebook"], {"truck.bundle": files["truck.bundle"]}


def all_scenarios(csv, office):
    book, bundle = office
    recover = ["recover", "--circuit", "OAK/RACK-A/4", "--into", "RC-01", "--before", "27.5lb", "--after", "31.2lb",
               "--job", "2211", "--own-id", "one"]
    jugs = ["receive", "R-448A", "4x25lb", "--from", "Tallgrass Supply", "--condition", "virgin", "--spec", "DOT-39",
            "--own-id", "many"]
    late = ["correct", "E12", "--after", "35.1lb", "--before", "27.5lb", "--why", "read wrongly", "--own-id", "late"]
    sheet = {"visit.yaml": content("visit.yaml")}
    movements = ["import", "movements", "{folder}/events.csv", "--cylinders", "{folder}/cylinders.csv", "--circuits",
                 "{folder}/circuits.csv", "--register", "--owner", "Quillpost Markets"]
    return [
        Scenario("record", recover),
        Scenario("record-spill", recover, spill=True),
        Scenario("several", jugs),
        Scenario("correct", late, spill=True),
        Scenario("sheet", ["job", "record", "{folder}/visit.yaml"], SHEET_NEXT, files=sheet),
        Scenario("sheet-spill", ["job", "record", "{folder}/visit.yaml"], SHEET_NEXT, files=sheet, spill=True),
        Scenario("import", movements, files=csv),
        Scenario("import-spill", movements, files=csv, spill=True),
        Scenario("merge", ["merge", "{folder}/truck.bundle"], files=bundle, book=book),
        Scenario("migration", recover, old_schema=True),
        Scenario("upgrade", ["upgrade"], old_schema=True, upgrades=True),
        Scenario("start", ["start", "--company", "Fernhollow Refrigeration", "--zone", "America/Chicago"],
                 ["site", "add", "OAK", "--owner", "Quillpost Markets"], makes_book=True),
    ]


def prepared(folder):
    old = book_of_schema_1(folder)
    today = book_of_today(folder, old)
    ready = all_scenarios(old_records(folder), office_and_bundle(folder, today))
    for scenario in ready:
        scenario.prepare(folder, old if scenario.old_schema else today)
    return ready
