"""What the library must refuse (tests/example/hostile.cpp has the list), as files: job sheets, lists through a mapping,
and our own CSV. Each is refused at its line and field, and the book's file is what it was; the same file without the one
word is taken. The titles are those of hostile.cpp.

No file can say these: a tare without its mass, a weight of other words (a file has the words, and the mass is reckoned from
them), no time of recording (the clock of the program), no zone (the site's, else the book's). A sheet says nothing of the
register: no field of an entry, no new code, no zone. Our own CSV has no column for a use, a zone, a reason or an own id;
its weights are pounds by the name of the column, and its own ids are made by the program, as those of a mapped list are. An
offset that the zone's clock did not have settles the instant, and is not kept: what cannot be an offset is refused."""
import json
import os
import shutil

from book import Book

b = Book().small_register()
b.ok("technician", "add", "Ada")
NOW = "2026-06-01T15:00:00Z"


def put(name, text):
    path = os.path.join(b.folder, name)
    with open(path, "wb") as f:
        f.write(text.encode("utf-8", "surrogateescape"))
    return path


def taken(*words):
    """In a book of its own, so that the next one finds this book as it was."""
    copy = os.path.join(b.folder, "copy.tarebook")
    shutil.copy(b.path, copy)
    done = b.run("--book", copy, *words, now=NOW)
    assert done.returncode in (0, 4), (words, done)


def refused(title, error, file, line, field, *words):
    before = b.digest()
    done = b.run(*words, "--format", "json", now=NOW)
    assert done.returncode in (1, 2) and done.stdout == "", (title, done)
    said = json.loads(done.stderr)
    assert said["written"] is False and b.digest() == before, (title, said)
    found = [(os.path.basename(p["file"]), p["line"], p["field"], p["error"]) for p in said["file_problems"]]
    assert (file, line, field, error) in found, (title, (file, line, field, error), said["file_problems"])
    for p in said["file_problems"]:
        assert p["what"] and p["expected"] and p["line"] > 0, (title, p)


count = 0


def sheets():
    """Line 7 is `weigh`, line 8 is `release`."""
    global count
    sound = """sheet: H-1
site: OAK
day: 2026-05-28
job: 2207
by: Ada
weighings:
  - {act: weigh, at: 09:00, cylinder: RC-01, gross: 27.5lb, note: as it came}
  - {act: release, at: 09:30, cylinder: RC-01, mass: 0.1lb, method: guessed, why: hose burst}
"""
    sound = sound.replace("- {act: release", "- {act: evacuate, at: 09:20, cylinder: RC-02, vacuum: 10inHg}\n  - {act: release")
    taken("job", "record", put("visit.yaml", sound))
    for title, error, line, field, old, new in (
            ("a field that no cylinder has", "sheet-unknown-key", 7, "tear", "note: as", "tear: 27.5lb, note: as"),
            ("a weight that is none", "weight-number", 7, "gross", "27.5lb", "heavy"),
            ("a weight without its unit", "weight-no-unit", 7, "gross", "27.5lb", "27.5"),
            ("a code with a blank and a slash", "unknown-cylinder", 7, "cylinder", "cylinder: RC-01, gross", "cylinder: a b/c, gross"),
            ("no time", "sheet-key-missing", 7, "at", "at: 09:00, ", ""),
            ("no day", "sheet-key-missing", 1, "day", "day: 2026-05-28\n", ""),
            ("an offset that no clock has", "time-format", 7, "at", "09:00", "09:00+25:00"),
            ("a weight without words", "sheet-key-missing", 7, "gross", "gross: 27.5lb, ", ""),
            ("a weight below zero", "weight-sign", 7, "gross", "27.5lb", "-1lb"),
            ("words that are no UTF-8", "sheet-not-utf8", 7, "", "as it came", "\udcff"),
            ("a name that a spreadsheet computes", "text-formula", 5, "by", "by: Ada", "by: =1+1"),
            ("a name that a spreadsheet computes", "text-formula", 7, "by", "note: as", "by: =1+1, note: as"),
            ("an empty own id", "sheet-key-missing", 1, "sheet", "sheet: H-1", "sheet:"),
            ("a cylinder that is not on record", "unknown-cylinder", 7, "cylinder", "RC-01, gross", "RC-99, gross"),
            ("a blank reason", "reason-empty", 9, "why", "hose burst", "\" \\t\""),
            ("a blank reason", "reason-empty", 9, "anyway", "hose burst", "hose burst, anyway: \" \"")):
        assert sound.count(old) == 1, (title, old)
        refused(title, error, "visit.yaml", line, field, "job", "record", put("visit.yaml", sound.replace(old, new)))
        count += 1


CYLINDERS = ("cylinders", "import: cylinders\nfields:\n  cylinder: Cyl\n  use: Kind\n  tare: TW\n  wc: Water\n  place: Where\n  note: Remark\n",
             "Cyl,Kind,TW,Water,Where,Remark\nRC-31,recovery,27.5lb,47.6lb,shop,new\n")
SITES = ("sites", "import: sites\nfields:\n  site: Store\n  zone: Clock\n  owner: Whose\n",
         "Store,Clock,Whose\nELM,America/Chicago,Quillpost Markets\n")
MOVEMENTS = ("movements", "import: movements\nfields:\n  kind: {column: What, words: {weighed: weigh, bought: purchase}}\n  date: Day\n  time: Hour\n"
             "  cylinder: Cyl\n  gross_after: Weight\n  technician: Who\n  from: Seller\n  note: Remark\n",
             "What,Day,Hour,Cyl,Weight,Who,Seller,Remark\nweighed,2026-05-28,09:00,RC-01,27.5lb,Ada,,as it came\n"
             "bought,2026-05-28,09:10,RC-02,30lb,Ada,Pinegate Supply,new\n")


def mapped():
    global count
    for kind, mapping, sound in (CYLINDERS, SITES, MOVEMENTS):
        taken("import", kind, put("list.csv", sound), "--map", put("list.yaml", mapping))
    for (kind, mapping, sound), title, error, line, field, old, new in (
            (CYLINDERS, "a field that no cylinder has", "map-column-open", 1, "Tear", "TW,", "TW,Tear,"),
            (CYLINDERS, "a tare that is no weight", "weight-number", 2, "TW", "27.5lb", "heavy"),
            (CYLINDERS, "a tare without its unit", "weight-no-unit", 2, "TW", "27.5lb", "27.5"),
            (CYLINDERS, "a water capacity that is none", "weight-number", 2, "Water", "47.6lb", "banana"),
            (CYLINDERS, "a use that is none", "word-unknown", 2, "Kind", "recovery", "rocket"),
            (CYLINDERS, "a code with a blank and a slash", "code-format", 2, "Cyl", "RC-31", "a b/c"),
            (CYLINDERS, "a weight below zero", "weight-sign", 2, "TW", "27.5lb", "-1lb"),
            (CYLINDERS, "words that are no UTF-8", "text-not-utf8", 2, "Where", "shop", "\udcff"),
            (CYLINDERS, "a name that a spreadsheet computes", "text-formula", 2, "Where", "shop", "=1+1"),
            (SITES, "a zone that there is not", "time-zone", 2, "Clock", "America/Chicago", "Moon/Tycho"),
            (SITES, "a name that a spreadsheet computes", "text-formula", 2, "Whose", "Quillpost", "=Quillpost"),
            (MOVEMENTS, "no time", "cell-missing", 2, "Day", "2026-05-28,09:00", ",09:00"),
            (MOVEMENTS, "no time of day", "cell-missing", 2, "Day", ",09:00", ","),
            (MOVEMENTS, "an offset that no clock has", "time-format", 2, "Hour", "09:00", "09:00+25:00"),
            (MOVEMENTS, "a weight that is none", "weight-number", 2, "Weight", "27.5lb", "heavy"),
            (MOVEMENTS, "a weight without words", "cell-missing", 2, "Weight", "27.5lb", ""),
            (MOVEMENTS, "a weight below zero", "weight-sign", 2, "Weight", "27.5lb", "-1lb"),
            (MOVEMENTS, "words that are no UTF-8", "text-not-utf8", 2, "Remark", "as it came", "\udcff"),
            (MOVEMENTS, "a name that a spreadsheet computes", "text-formula", 2, "Who", "27.5lb,Ada", "27.5lb,=1+1"),
            (MOVEMENTS, "a name that a spreadsheet computes", "text-formula", 3, "Seller", "Pinegate", "@Pinegate"),
            (MOVEMENTS, "a code with a blank and a slash", "code-format", 2, "Cyl", "RC-01", "a b/c"),
            (MOVEMENTS, "a cylinder that is not on record", "unknown-cylinder", 2, "Cyl", "RC-01", "RC-99")):
        assert sound.count(old) == 1, (title, old)
        text = sound.replace(old, new)
        if field == "Tear":
            text = text.replace("27.5lb", "27.5lb,27.5lb")
        refused(title, error, "list.csv", line, field, "import", kind, put("list.csv", text), "--map", put("list.yaml", mapping))
        count += 1
    # the mapping itself: a field that no cylinder has, and a word that means nothing
    kind, mapping, sound = CYLINDERS
    for file, title, error, line, field, old, new in (
            ("list.yaml", "a field that no cylinder has", "map-field-unknown", 5, "tear", "tare: TW", "tear: TW"),
            ("list.csv", "a use that is none", "word-unknown", 2, "Kind", "use: Kind", "use: {column: Kind, words: {recovery: rocket}}"),
            ("list.csv", "a place that a spreadsheet computes", "text-formula", 2, "Where", "place: Where",
             "place: {column: Where, words: {shop: =1+1}}")):
        refused(title, error, file, line, field, "import", kind, put("list.csv", sound), "--map", put("list.yaml", mapping.replace(old, new)))
        count += 1


ROWS = ("kind,date,time,site,appliance,circuit,cylinder,refrigerant,gross_before_lb,gross_after_lb,technician,job,note\n"
        "recover,2026-05-28,09:00,OAK,RACK-A,4,RC-01,R-448A,27.50,30.00,Ada,J-7,as it came\n")
LIST = "cylinder,refrigerant,water_capacity_lb,tare_lb\nRC-31,R-448A,47.6,27.5\n"


def plain():
    global count

    def words(rows, cylinders):
        return ("import", "movements", put("rows.csv", rows), "--cylinders", put("cylinders.csv", cylinders), "--register")

    taken(*words(ROWS, LIST))
    for file, title, error, line, field, old, new in (
            ("cylinders.csv", "a field that no cylinder has", "header-unknown", 1, "tear_lb", "tare_lb", "tare_lb,tear_lb"),
            ("cylinders.csv", "a tare that is no weight", "weight-number", 2, "tare_lb", "27.5", "heavy"),
            ("cylinders.csv", "a water capacity that is none", "weight-number", 2, "water_capacity_lb", "47.6", "banana"),
            ("cylinders.csv", "a code with a blank and a slash", "code-format", 2, "cylinder", "RC-31", "a b/c"),
            ("cylinders.csv", "a weight below zero", "weight-sign", 2, "tare_lb", "27.5", "-1"),
            ("cylinders.csv", "words that are no UTF-8", "text-not-utf8", 2, "cylinder", "RC-31", "\udcff"),
            ("rows.csv", "a field that no movement has", "header-unknown", 1, "tear", "job,note", "job,tear"),
            ("rows.csv", "no time", "cell-missing", 2, "date", "2026-05-28", ""),
            ("rows.csv", "no time of day", "cell-missing", 2, "time", "09:00", ""),
            ("rows.csv", "an offset that no clock has", "time-format", 2, "time", "09:00", "09:00+25:00"),
            ("rows.csv", "a weight that is none", "weight-number", 2, "gross_after_lb", "30.00", "heavy"),
            ("rows.csv", "a weight without words", "weight-empty", 2, "gross_after_lb", "30.00", ""),
            ("rows.csv", "a weight below zero", "weight-sign", 2, "gross_before_lb", "27.50", "-1"),
            ("rows.csv", "words that are no UTF-8", "text-not-utf8", 2, "note", "as it came", "\udcff"),
            ("rows.csv", "a name that a spreadsheet computes", "text-formula", 2, "technician", "Ada", "=1+1"),
            ("rows.csv", "a name that a spreadsheet computes", "text-formula", 2, "job", "J-7", "=1+1"),
            ("rows.csv", "a code with a blank and a slash", "code-format", 2, "cylinder", "RC-01", "a b/c"),
            ("rows.csv", "a cylinder that is not on record", "unknown-cylinder", 2, "cylinder", "RC-01", "RC-99")):
        rows, cylinders = (ROWS.replace(old, new), LIST) if file == "rows.csv" else (ROWS, LIST.replace(old, new))
        assert (rows, cylinders) != (ROWS, LIST), title
        if new == "tare_lb,tear_lb":
            cylinders = cylinders.replace("27.5", "27.5,27.5")
        refused(title, error, file, line, field, *words(rows, cylinders))
        count += 1
    # a reason that is blank is none, for whatever would need one
    before = b.digest()
    done = b.run(*words(ROWS, LIST), "--anyway", " ", now=NOW)
    assert done.returncode == 2 and b.digest() == before, done
    count += 1


sheets()
mapped()
plain()
assert b.json("check")["ok"] is True
print("%d hostile files: each refused at its place, nothing written" % count)
