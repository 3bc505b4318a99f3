"""The program that is given out: TAREBOOK_NOW sets the clock of a practice book and is refused by name for any other.
All that leaves a practice book says PRACTICE, and practice books and real ones stay apart."""
import csv
import io
import json
import os
import subprocess
import zipfile

from book import SOURCE, Book

RELEASED = os.environ["TAREBOOK_RELEASED"]
HEADING = "PRACTICE: nothing in this book is real\n"
THEN = "2026-06-08T15:00:00Z"


def refused(done, code, name, *words):
    assert done.returncode == code, (done.returncode, done.stdout, done.stderr)
    told = json.loads(done.stderr) if done.stderr.startswith("{") else None
    for word in (*words, "othing was written" if not told else name):
        assert word in done.stderr, (word, done.stderr)
    if told:
        names = [problem["error"] for problem in told.get("file_problems", [told])]  # of a file, by its lines
        assert names == [name] and told["written"] is False, told


# A real book: the variable is refused before anything is written, by a command that records and by one that reads.
real = Book(start=False, binary=RELEASED)
refused(real.run("start", "--company", "Real shop", "--zone", "UTC", now=THEN), 2, "clock-set", "TAREBOOK_NOW", "practice books alone")
assert not os.path.exists(real.path)
real.ok("start", "--company", "Real shop", "--zone", "UTC", now=None)
real.ok("site", "add", "OAK", "--owner", "Quillpost Markets", now=None)
before = real.digest()
for words in (("site", "add", "ELM", "--owner", "Quillpost Elm"), ("report", "inventory"), ("list", "exceptions"), ("check",),
              ("upgrade",), ("send", "--to", real.folder + "/a.bundle"), ("backup", "--to", real.folder + "/a.tarebook"),
              ("salvage", "--to", real.folder + "/b.bundle"), ("restore", real.path, "--to", real.folder + "/c.tarebook")):
    refused(real.run(*words, now=THEN), 2, "clock-set", "TAREBOOK_NOW", "practice books alone")
    refused(real.run(*words, "--format", "json", now=THEN), 2, "clock-set", "TAREBOOK_NOW")
assert real.digest() == before and sorted(os.listdir(real.folder)) == ["shop.tarebook"], os.listdir(real.folder)
refused(real.run("check", now="yesterday"), 2, "clock-format", "TAREBOOK_NOW")
assert "PRACTICE" not in real.ok("report", "inventory", now=None).stdout
assert not any("practice" in line for line in real.ok("export", "events", "--format", "json", now=None).stdout.splitlines())

# A practice book: the whole demo week, its clock set by the variable.
book = Book(start=False, binary=RELEASED)
script = r"""
set -eu
demo_start=--practice
say() { :; }
run() { code=0; "$TAREBOOK_BIN" "$@" >>"$OUT" 2>"$ERR" || code=$?; case $code in 0|4) ;; *) echo "exit $code: $*" >&2; cat "$ERR" >&2; exit 9;; esac; }
refuse() { code=0; "$TAREBOOK_BIN" "$@" >/dev/null 2>"$ERR" || code=$?; [ "$code" = 1 ] || { echo "not refused ($code): $*" >&2; exit 9; }; }
. "$TAREBOOK_SOURCE/fixtures/demo-shop.sh"
"""
env = dict(book.env(), TAREBOOK_BIN=RELEASED, TAREBOOK_SOURCE=SOURCE, ERR=book.folder + "/err", OUT=book.folder + "/out")
done = subprocess.run(["sh", "-c", script], env=env, capture_output=True, text=True)
assert done.returncode == 0, done.stderr
events = [json.loads(line) for line in book.ok("export", "events", "--format", "json", now=THEN).stdout.splitlines()]
mark = b"PRACTICE".hex()
assert all(e["book"].endswith(mark) for e in events) and len(events) > 60
start = next(e for e in events if e["kind"] == "start")
assert start["what"]["practice"] == "yes" and start["recorded"] == "2026-06-01T11:30:00Z", start
assert book.json("check", now=THEN)["ok"] is True
with open(book.folder + "/out") as f:
    assert f.read().count(HEADING) > 40

# Every page that the program has of a book, in each of its forms.
pages = [("report", "inventory"), ("report", "cylinder", "RC-02"), ("report", "job", "4102"), ("report", "site", "OAK", "--year", "2026"),
         ("report", "appliance", "OAK/RACK-A"), ("report", "year", "2026"), ("report", "truck", "truck-1"), ("list", "exceptions"),
         ("due",), ("label", "RC-02"), ("label", "RC-02", "RC-04"), ("report", "retention")]
screens = [("room", "RC-02"), ("room", "--for", "10lb", "--refrigerant", "R-448A"), ("check",), ("books",), ("circuit", "show", "OAK/RACK-A/4"),
           ("site", "list"), ("cylinder", "show", "RC-02"), ("export", "events")]
for words in pages + screens:
    text = book.ok(*words, now=THEN).stdout
    if words != ("export", "events"):
        assert text.startswith(HEADING) and text.count(HEADING) == 1 and len(text) > len(HEADING), (words, text)
        told = json.loads(book.ok(*words, "--format", "json", now=THEN).stdout)
        assert list(told)[:2] == ["practice", "schema_version"] and told["practice"] is True, words
    done = book.run(*words, "--format", "csv", now=THEN)
    if done.returncode in (0, 4):
        rows = list(csv.reader(io.StringIO(done.stdout, newline="")))
        assert rows[0][0] == "practice" and all(row[0] == "PRACTICE" for row in rows[1:]), (words, rows)
        assert len({len(row) for row in rows}) == 1 and (len(rows) > 1 or words[0] in ("due", "check")), (words, rows)
    if words in pages:
        done = book.run(*words, "--format", "html", now=THEN)
        if done.returncode in (0, 4):
            assert "<title>PRACTICE: " in done.stdout and "<h1>PRACTICE: " in done.stdout, words
            assert '<p class="warning">PRACTICE: nothing in this book is real</p>' in done.stdout, words
            assert not done.stdout.startswith("PRACTICE"), words
svg = book.ok("label", "RC-02", "--svg", now=THEN).stdout
assert svg.startswith("<?xml") and ">PRACTICE R-404A<" in svg, svg
calendar = book.ok("due", "--within", "3650d", "--format", "ics", now=THEN).stdout
assert calendar.startswith("BEGIN:VCALENDAR")
assert all(line.startswith("SUMMARY:PRACTICE: ") for line in calendar.splitlines() if line.startswith("SUMMARY"))
assert calendar.count("SUMMARY:PRACTICE: ") >= 1
for report in (("report", "inventory"), ("report", "year", "2026")):
    sheets = os.path.join(book.folder, report[1] + ".xlsx")
    assert book.ok(*report, "--format", "xlsx", "--file", sheets, now=THEN).stdout.startswith(HEADING)
    with zipfile.ZipFile(sheets) as z:
        workbook = z.read("xl/workbook.xml").decode()
    names = [part.split('"')[1] for part in workbook.split("<sheet ")[1:]]
    assert names and all(name.startswith("PRACTICE ") for name in names), names

# Files that people fill in, and that come back.
sheet = book.ok("job", "blank", "--site", "OAK", now=THEN).stdout
assert sheet.startswith("# PRACTICE"), sheet
filled = os.path.join(book.folder, "visit.yaml")
with open(filled, "w") as f:
    f.write(sheet.replace("day:  ", "day: 2026-06-08", 1) + "\n  - {act: weigh, cylinder: RC-04, gross: 28.25lb, at: 09:30}\n")
done = book.run("job", "record", filled, now=THEN)
assert done.returncode in (0, 4) and done.stdout.startswith(HEADING), (done.stdout, done.stderr, sheet)
book.ok("count", "begin", "--place", "truck-1", now=THEN)
counted = book.ok("count", "sheet", "--format", "csv", now=THEN).stdout
rows = list(csv.DictReader(io.StringIO(counted, newline="")))
assert rows and all(row["practice"] == "PRACTICE" for row in rows), counted
gross = [name for name in rows[0] if name.startswith("gross")][0]
back = io.StringIO(newline="")
out = csv.DictWriter(back, list(rows[0]), lineterminator="\r\n")
out.writeheader()
for row in rows:
    out.writerow(dict(row, **{gross: "30.00lb" if row is rows[0] else ""}))
with open(book.folder + "/counted.csv", "w", newline="") as f:
    f.write(back.getvalue())
book.ok("count", "read", book.folder + "/counted.csv", now=THEN)

# The year as files: each table, its description, the page and the manifest.
year = os.path.join(book.folder, "year")
book.ok("export", "year", "2026", "--to", year, now=THEN)
tables = [name for name in os.listdir(year) if name.endswith(".csv")]
package = json.load(open(os.path.join(year, "datapackage.json")))
assert len(tables) > 8 and package["title"].startswith("PRACTICE: ")
for resource in package["resources"]:
    assert resource["schema"]["fields"][0]["name"] == "practice", resource["name"]
    with open(os.path.join(year, resource["path"]), newline="") as f:
        rows = list(csv.reader(f))
    assert rows[0] == [field["name"] for field in resource["schema"]["fields"]], resource["name"]
    assert all(row[0] == "PRACTICE" and len(row) == len(rows[0]) for row in rows[1:]), resource["name"]
assert json.load(open(os.path.join(year, "manifest.json")))["practice"] is True
assert "<title>PRACTICE: " in open(os.path.join(year, "summary.html")).read()

# What another program reads says it by itself, and an older one refuses it: the header of a bundle, a card, a head.
bundle = os.path.join(book.folder, "practice.bundle")
book.ok("send", "--to", bundle, now=THEN)
header = open(bundle).readline()
assert '"practice":true' in header and json.loads(header)["bundle"] == 2, header
part = os.path.join(book.folder, "part.bundle")
book.ok("send", "--to", part, "--since", "E20", now=THEN)  # without its first event
card = book.ok("books", "card", now=THEN).stdout.strip()
assert card.startswith("practice1."), card
head = book.ok("books", "head", now=THEN).stdout
assert json.loads(head)["practice"] is True, head
with open(book.folder + "/head", "w") as f:
    f.write(head)
assert book.ok("verify", book.folder + "/head", now=THEN).stdout.startswith(HEADING)
with open(book.folder + "/head", "w") as f:
    f.write(head.replace('"practice":true,', ""))
assert book.run("verify", book.folder + "/head", now=THEN).returncode == 1

# No real book trusts or merges it, and it takes no real one.
before = real.digest()
refused(real.run("books", "trust", "apprentice", "--card", card, now=None), 1, "practice-apart", "practice book")
shop, other, key = card.split(".")[1:]
forged = "card1.%s.%s.%s" % (shop, other, key)
refused(real.run("books", "trust", "apprentice", "--card", forged, now=None), 2, "card-format")
for file in (bundle, part):
    refused(real.run("merge", file, "--format", "json", now=None), 1, "practice-apart", "practice book")
assert real.digest() == before
real.ok("send", "--to", real.folder + "/real.bundle", now=None)
real_card = real.ok("books", "card", now=None).stdout.strip()
before = book.digest()
refused(book.run("merge", real.folder + "/real.bundle", "--format", "json", now=THEN), 1, "practice-apart")
refused(book.run("books", "trust", "office", "--card", real_card, "--format", "json", now=THEN), 1, "practice-apart")
assert book.digest() == before
apart = Book(start=False, binary=RELEASED)
refused(apart.run("start", "--company", "X", "--shop", card, now=None), 1, "practice-apart")
refused(apart.run("start", "--company", "X", "--practice", "--shop", real_card, now=None), 1, "practice-apart")
assert os.listdir(apart.folder) == []

# An apprentice's book beside it: practice books of one shop trust and merge each other.
apprentice = Book(start=False, binary=RELEASED)
apprentice.ok("start", "--company", "Practice shop", "--zone", "UTC", "--practice", "--shop", card, now=THEN)
own = apprentice.ok("books", "card", now=THEN).stdout.strip()
book.ok("books", "trust", "apprentice", "--card", own, now=THEN)
apprentice.ok("merge", bundle, now=THEN)
apprentice.ok("site", "add", "PINE", "--owner", "Nobody", now=THEN)
apprentice.ok("send", "--to", apprentice.folder + "/a.bundle", now=THEN)
book.ok("merge", apprentice.folder + "/a.bundle", now=THEN)
assert "PINE" in book.ok("site", "list", now=THEN).stdout

# A copy that goes on, and what a damaged one still holds, are of practice too.
again = os.path.join(book.folder, "again.tarebook")
assert book.ok("restore", book.path, "--to", again, now=THEN).stdout.startswith(HEADING)
assert book.ok("--book", again, "books", "card", now=THEN).stdout.startswith("practice1.")
assert json.loads(book.ok("--book", again, "check", "--format", "json", now=THEN).stdout)["ok"] is True
saved = os.path.join(book.folder, "saved.bundle")
assert book.ok("salvage", "--to", saved, now=THEN).stdout.startswith(HEADING)
assert '"practice":true' in open(saved).readline()
refused(real.run("merge", saved, "--format", "json", now=None), 1, "practice-apart")

print("practice: %d events, %d pages, %d tables" % (len(events), len(pages) + len(screens), len(tables)))
