"""Coming from paper and spreadsheets: the guide's commands on fixtures/paper-lists, the books that they make held against
sums of the lists made here; then an untidy list of each kind of slip, each told at its place, and nothing written."""
import csv
import os
import re
import subprocess
from decimal import Decimal

from book import BIN, SOURCE, Book

LISTS = os.path.join(SOURCE, "fixtures/paper-lists")
NOW = "2026-06-01T15:00:00Z"

# The guide, as typed.
with open(os.path.join(SOURCE, "cli/guide/from-paper.md"), encoding="utf-8") as f:
    section = f.read().split("\n## A list of your own\n")[1].split("\n## ")[0]
block = [line[4:] for line in section.split("\n") if line.startswith("    tarebook") or line.startswith("             ")]
commands = [c for c in re.sub(r"\\\n\s*", "", "\n".join(block)).split("\n") if c]
assert 6 <= len(commands) < 12, commands
book = Book(start=False)
os.symlink(BIN, os.path.join(book.folder, "tarebook"))
os.symlink(os.path.join(SOURCE, "fixtures"), os.path.join(book.folder, "fixtures"))
env = book.env(NOW)
env["PATH"] = book.folder + ":" + env["PATH"]
for command in commands:
    before = book.digest() if os.path.exists(book.path) else None
    done = subprocess.run(["sh", "-c", command], cwd=book.folder, env=env, stdin=subprocess.DEVNULL, capture_output=True,
                          text=True)
    assert done.returncode in (0, 4), (command, done.returncode, done.stdout, done.stderr)
    if "--dry-run" in command:
        assert "a dry run: nothing was written" in done.stdout and book.digest() == before, (command, done.stdout)


def rows(name):
    with open(os.path.join(LISTS, name), encoding="utf-8-sig", newline="") as f:
        if name == "cylinders.csv":
            f.readline()  # a title
        return [r for r in csv.DictReader(f) if r.get("Cyl #") != "TOTAL"]


# What the lists say, without a line of the program's code: last gross less tare, where both are known.
codes = {"14": "RC-14", "15": "RC-15", "16": "RC-16", "17": "RC-17", "21A": "SC-21", "22": "SC-22"}
number = lambda text: Decimal(re.sub("[^0-9.]", "", text))
tares, grosses = {}, {}
for r in rows("cylinders.csv"):
    if re.search("[0-9]", r["TW (lb)"]):
        tares[codes[r["Cyl #"]]] = number(r["TW (lb)"])
    if r["Scale says"]:
        grosses[codes[r["Cyl #"]]] = number(r["Scale says"])
for r in rows("binder.csv"):
    if r["After"]:
        grosses[codes[r["Cyl"]]] = number(r["After"])
inventory = {c["cylinder"]: c for c in book.json("report", "inventory")["cylinders"]}
assert sorted(inventory) == sorted(codes.values()), inventory
for code in grosses:
    assert Decimal(str(inventory[code]["gross_lb"])) == grosses[code], (code, inventory[code])
    if code in tares:
        assert Decimal(str(inventory[code]["net_lb"])) == grosses[code] - tares[code], (code, inventory[code])
taken = sum(number(r["After"]) - number(r["Before"]) for r in rows("binder.csv") if r["In/out"] == "Took out")
fern = book.json("report", "site", "FERN-1", "--year", "2026")
told = sum(Decimal(str(c["recovered_lb"])) for a in fern["appliances"] for c in a["circuits"])
assert told == taken, (told, taken)

# Unknown is unknown: no tare, no gas, no owner came from nowhere.
for code, open_fields in (("RC-17", ["tare", "tested", "refrigerant"]), ("RC-16", ["spec", "refrigerant", "tested"])):
    shown = book.ok("cylinder", "show", code).stdout
    for field in open_fields:
        assert re.search("^  %s +not on record$" % field, shown, re.M), (field, shown)
assert re.search("^RC-16 +unknown ", book.ok("report", "inventory").stdout, re.M)
assert book.json("check")["ok"] is True

# Everything again: nothing is written, and that is said.
blank = book.ok("import", "blank", "cylinders", LISTS + "/cylinders.csv").stdout
assert "\nheader_line: 2 " in blank and "  tare: {column: \"TW (lb)\", unit: lb}\n" in blank, blank
digest = book.digest()
for kind, name in (("cylinders", "cylinders"), ("sites", "equipment"), ("movements", "binder")):
    words = ("import", kind, "%s/%s.csv" % (LISTS, name), "--map", "%s/%s.yaml" % (LISTS, name))
    again = book.run(*words)
    assert again.returncode == 0 and "all of it is on record already; nothing was written" in again.stdout, again
    dry = book.json(*words, "--dry-run", codes=(0,))
    assert dry["new"] == {} and dry["dry_run"] is True and dry["number_of_problems"] == 0, dry
# ... also where a value was corrected in the book since.
book.ok("cylinder", "correct", "RC-14", "--tare", "27.45lb")
corrected = book.digest()
again = book.run("import", "cylinders", LISTS + "/cylinders.csv", "--map", LISTS + "/cylinders.yaml")
assert again.returncode == 0 and book.digest() == corrected, again


def put(name, content):
    path = os.path.join(book.folder, name)
    with open(path, "wb") as f:
        f.write(content if isinstance(content, bytes) else content.encode())
    return path


def refused(kind, content, mapping, *expected, code=2):
    digest = book.digest()
    put("list.csv", content)
    put("list.yaml", mapping)
    for dry in ((), ("--dry-run",)):
        done = subprocess.run([BIN, "import", kind, "list.csv", "--map", "list.yaml", *dry], cwd=book.folder, env=env,
                              stdin=subprocess.DEVNULL, capture_output=True, text=True)
        assert done.returncode == (1 if dry else code), (dry, done.returncode, done.stdout, done.stderr)
        for words in expected:
            assert words in done.stderr, (words, done.stderr)
        assert book.digest() == digest
    return done


CYLINDERS = "import: cylinders\n%snothing: [\"?\"]\nfields:\n  cylinder: ID\n  tare: Tare\n  tested: {column: Test, dates: MM/YYYY}\n" \
            "  use: {column: Kind, words: {Recovered: recovery}}\n  gross: Gross\n  counted_on: Day\n"
HEAD = "ID,Tare,Test,Kind,Gross,Day\n"
# Mixed units, an unknown word, a date without a form, a code with a blank, a code twice, a weight without its day.
done = refused("cylinders", HEAD + "X-1,12.4 kg,04/2024,Recovered,20,2026-01-02\nX-2,27.5,2024,Recoverd,30 lb,01/02/2026\n"
                                   "X 3,27,?,?,,\nX-1,27.5,?,?,,\nX-4,27.5,,,31,?\n",
               CYLINDERS % "weights: lb\n",
               "list.csv:2: Tare: the column is in lb\n  seen 12.4 kg",
               "list.csv:3: Test: cannot read a date\n  seen 2024; expected MM/YYYY",
               "list.csv:3: Kind: use does not take \"Recoverd\"",
               "list.csv:3: Day: cannot read a date\n  seen 01/02/2026; expected YYYY-MM-DD\n  next: 03/04 could be two days",
               "list.csv:4: ID: that is not a code for a cylinder\n  seen X 3",
               "list.csv:5: ID: X-1 is there twice\n  seen X-1; expected each one once; it stands in line 2 too",
               "list.csv:6: Day: a weight without the day on which it was read")
assert "7 problems in list.csv" in done.stderr, done.stderr
# No unit anywhere: bare numbers are not guessed.
refused("cylinders", HEAD + "X-1,27.5,,,,\n", CYLINDERS % "", "list.csv:2: Tare:", "weights: in the mapping says")
# Columns: missing, open, twice, without a name and yet with something in it; another separator.
refused("cylinders", "ID,Tara,Test,Kind,Gross,Day\n", CYLINDERS % "", "list.yaml:5: tare: list.csv has no column \"Tare\"",
        "did you mean \"Tara\"?", "list.csv:1: Tara: the mapping does not say what column \"Tara\" is for")
refused("cylinders", "My list,,,,,\n" + HEAD, CYLINDERS % "", "header_line: says in which line the names of the columns are")
refused("cylinders", "ID,Tare,Test,Kind,Gross,Day,tare\n", CYLINDERS % "", "column \"tare\" is there twice")
refused("cylinders", HEAD.strip() + ",\nX-1,27lb,,,,,see binder\n", CYLINDERS % "", "list.csv:2: column 7 has no name\n  seen see binder")
refused("cylinders", HEAD.replace(",", ";") + "X-1;27,5;;;;\n", CYLINDERS % "",
        "the cells are separated by \";\", and only commas are taken: save the sheet again with commas")
refused("cylinders", HEAD.encode("utf-16"), CYLINDERS % "", "the file is written in UTF-16")
refused("cylinders", HEAD + "X-1,27lb\n", CYLINDERS % "", "list.csv:2: the row has 2 cells")
refused("cylinders", HEAD + "X-1,\"27lb,,,,\n", CYLINDERS % "", "the quote opened in line 2 is not closed")
# A mapping for another kind of file, and one that is no YAML.
refused("sites", HEAD, CYLINDERS % "", "list.yaml:1: import: this mapping is for another kind of file")
refused("cylinders", HEAD, "fields: [", "list.yaml:1: ")
# What the book says otherwise, and what it knows already.
refused("cylinders", HEAD + "RC-15,27.9,,,,\n", CYLINDERS % "weights: lb\n",
        "list.csv:2: Tare: RC-15 is on record with tare 27.60lb, and the file says 27.9lb",
        "tarebook cylinder correct RC-15 --tare \"27.9lb\"", code=1)
refused("cylinders", HEAD + "RC-15,27.6,,,33,2026-02-02\n", CYLINDERS % "weights: lb\n",
        "list.csv:2: Gross: the book has what is in RC-15 already", code=1)
# What was counted is a fact, and recorded; that it is over its limit is said at once, and listed. A recovery past it is refused.
over = HEAD.strip() + ",Gas,WC,Spec\nX-9,27.5,04/2024,Recovered,75.00,2026-01-02,R-448A,47.6,DOT-4BA400\n"
over_map = CYLINDERS % "weights: lb\n" + "  refrigerant: Gas\n  wc: WC\n  spec: Spec\n"
done = book.ok("import", "cylinders", put("over.csv", over), "--map", put("over.yaml", over_map), codes=(4,))
assert "OVER THE LIMIT: X-9: do not transport; draw down 5.70 lb" in done.stdout, done
# Movements: what a row cannot mean.
MOVES = "import: movements\nweights: lb\nfields:\n  kind: What\n  date: Day\n  time: Time\n  site: S\n  appliance: A\n  cylinder: C\n" \
        "  refrigerant: Gas\n  gross_before: B\n  gross_after: E\n  net: N\n"
head = "What,Day,Time,S,A,C,Gas,B,E,N\n"
refused("movements", head + "recover,2026-02-01,9:00 AM,FERN-1,,RC-15,,28.1,30,\nrecover,2026-02-01,,FERN-1,ICE,RC-15,,28.1,30,\n"
                            "recover,2026-02-01,9:00,FERN-1,ICE,RC-15,,28.1,30,5\nreturn,2026-02-01,9:00,,,RC-15,,,,3\n"
                            "recover,2026-02-01,9:00,FERN-1,ICE,RC-15,R-22,28.1,30,\ntopped,2026-02-01,9:00,FERN-1,ICE,RC-15,,28.1,27,\n",
        MOVES, "list.csv:2: A: the appliance is missing", "list.csv:3: Day: nothing says the time of day",
        "list.csv:4: N: the net is not what the two weights make\n  seen 5lb; expected 1.90 lb",
        "list.csv:5: B: the weight is missing", "list.csv:6: Gas: the row says R-22, and FERN-1/ICE is on record with R-404A",
        "list.csv:7: What: kind does not take \"topped\"")
refused("movements", head + "recover,2026-02-01,9:00,FERN-1,RACK-A,RC-14,,38.4,75,\n", MOVES, "list.csv:2: E: ", "over its limit",
        "--anyway", code=1)
refused("movements", head + "recover,2026-02-01,9:00,FERN-1,ICE,RC-99,,28.1,30,\n", MOVES, "list.csv:2: C: there is no cylinder RC-99",
        code=1)
# The mapping was mended after an import: the same rows are found again, not recorded twice.
put("moves.csv", head + "recover,2026-02-01,9:00,FERN-1,ICE,RC-15,,28.1,30,\n" * 2)
put("moves.yaml", MOVES)
first = book.json("import", "movements", os.path.join(book.folder, "moves.csv"), "--map", os.path.join(book.folder, "moves.yaml"))
assert first["new"] == {"recover": 2}, first
refused("movements", head + "weigh,2026-02-01,9:00,FERN-1,ICE,RC-15,,28.10,30.0,\n", MOVES, "is recorded already as E", code=1)
# Every kind of row, each in the ways in which lists give its weights; the sums are made here.
kinds = Book().small_register()
for code in ("J-1", "J-2", "J-3"):
    kinds.ok("cylinder", "add", code, "--use", "supply", "--refrigerant", "R-448A", "--wc", "47.6lb", "--tare", "20lb",
             "--spec", "DOT-4BA400", "--tested", "2024-04")
put("kinds.csv", head.replace("N\n", "N,From,To\n") + "".join(row + "\n" for row in (
    "purchase,2026-03-01,8:00,,,J-1,R-448A,,45,,Harlan Supply,",          # as it came
    "purchase,2026-03-01,8:01,,,J-2,,,,25,,",                             # by the invoice
    "purchase,2026-03-01,8:02,,,J-3,,20,40,,Harlan Supply,",              # filled there
    "charge,2026-03-02,9:00,OAK,RACK-A,J-1,R-448A,45,41.5,3.5,,",
    "charge,2026-03-03,9:00,OAK,RACK-A,J-2,,,,4,,",
    "recover,2026-03-04,9:00,OAK,RACK-A,RC-01,,27.5,33.5,,,",
    "reuse,2026-03-05,9:00,OAK,RACK-A,RC-01,,33.5,31.5,,,",
    "loss,2026-03-06,9:00,,,J-3,,40,39.5,,,",
    "weigh,2026-03-07,9:00,,,J-1,,,41.5,,,",
    "return,2026-03-08,9:00,,,RC-01,,31.5,27.5,,,Larkfield Reclaim",      # emptied there
    "return,2026-03-09,9:00,,,J-3,,39.5,,,,Larkfield Reclaim")))          # gone with what was in it
put("kinds.yaml", MOVES + "  from: From\n  to: To\n")
done = kinds.json("import", "movements", os.path.join(book.folder, "kinds.csv"), "--map", os.path.join(book.folder, "kinds.yaml"))
assert done["new"] == {"receive": 3, "charge": 2, "recover": 1, "reuse": 1, "release": 1, "weigh": 1, "return": 2}, done
held = {c["cylinder"]: Decimal(str(c["net_lb"])) for c in kinds.json("report", "inventory")["cylinders"]}
assert (held["J-1"], held["J-2"], held["RC-01"]) == (Decimal("21.5"), Decimal(21), Decimal(0)), held
assert "J-3" not in held or held["J-3"] == 0, held
assert "Larkfield Reclaim" in kinds.ok("report", "cylinder", "J-3").stdout
assert kinds.json("check")["ok"] is True
# A thousand problems, then a count.
done = refused("cylinders", HEAD + "".join("X-%d,12kg,,,,\n" % i for i in range(1500)), CYLINDERS % "weights: lb\n", "and 500 more",
               "1500 problems in list.csv")
# Half a year in one file, with a mark at the start and Windows line ends.
many = "".join("M-%d,27.5,04/2024,Recovered,,\r\n" % i for i in range(300))
put("list.csv", b"\xef\xbb\xbf" + (HEAD.strip() + "\r\n" + many).encode())
put("list.yaml", CYLINDERS % "weights: lb\n")
where = [os.path.join(book.folder, n) for n in ("list.csv", "list.yaml")]
assert book.json("import", "cylinders", where[0], "--map", where[1], codes=(0,))["new"] == {"cylinder": 300}
# A mapping to start from is a mapping: the columns that it found are read through it.
blank = book.ok("import", "blank", "cylinders", where[0]).stdout
put("list.yaml", blank.replace("# weights: lb ", "weights: lb ").replace("ignore:", "ignore: [Gross, Day]").replace(
    "  tested: \"Test\"", "  tested: {column: Test, dates: MM/YYYY}").replace(
    "  use: \"Kind\"", "  use: {column: Kind, words: {Recovered: recovery}}").replace("  gross: \"Gross\"\n", "").replace("  counted_on: \"Day\"\n", ""))
again = book.run("import", "cylinders", where[0], "--map", where[1])
assert again.returncode == 0 and "already" in again.stdout, (blank, again)
assert book.json("check")["ok"] is True
print("mapped import: %d commands of the guide, %d cylinders" % (len(commands), len(codes)))
