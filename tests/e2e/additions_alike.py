"""An addition is the same on its appliance's page, in a year's export and in the analysts' file: with gas that was taken
out years ago, a leak of years ago, gas of two owners in one event, and a leak that has the same number on two branches."""
import csv
import os
import shutil
import sqlite3

from book import Book

book = Book().small_register()


def day(date, *words):
    book.ok(*words, "--at", date + " 10:00", "--anyway", "written down later")


def from_outside(date, circuit, pounds, *words):
    day(date, "charge", "--circuit", circuit, "--from", "outside:Northline Mechanical", "--net", "%dlb" % pounds, *words)


# Put back after four years, and a leak that was charged for five years apart with another addition between.
from_outside("2019-01-05", "DAIRY/ICE/1", 42, "--reason", "initial")
day("2022-05-01", "recover", "--circuit", "DAIRY/ICE/1", "--into", "RC-02", "--net", "10lb", "--reason", "open", "--job", "4")
from_outside("2026-05-02", "DAIRY/ICE/1", 10, "--reason", "put-back", "--job", "9")
from_outside("2019-02-05", "OAK/RACK-A/4", 900, "--reason", "initial")
day("2021-01-01", "leak", "add", "OAK/RACK-A", "--place", "flare nut")
from_outside("2021-02-05", "OAK/RACK-A/4", 30, "--leak", "L-1")
from_outside("2026-03-01", "OAK/RACK-A/4", 20)
from_outside("2026-05-01", "OAK/RACK-A/4", 40, "--leak", "L-1")

# Gas of two owners in one cylinder: what is reused of it is one movement of two lots.
book.ok("appliance", "add", "DAIRY/CASE", "--category", "commercial-refrigeration", "--refrigerant", "R-448A", "--full-charge", "60lb",
        "--charge-basis", "maker")
book.ok("circuit", "add", "DAIRY/CASE/1", "--serves", "display case")
day("2026-05-03", "recover", "--circuit", "OAK/RACK-A/4", "--into", "RC-01", "--net", "4lb", "--reason", "open", "--job", "11")
day("2026-05-04", "recover", "--circuit", "DAIRY/CASE/1", "--into", "RC-01", "--net", "4lb", "--reason", "open", "--job", "12")
day("2026-05-05", "reuse", "--circuit", "DAIRY/CASE/1", "--from", "RC-01", "--net", "7lb", "--job", "13")


def exported():
    """{appliance: the rows of its additions}, and the rows of leaks."""
    to = os.path.join(book.folder, "export")
    book.ok("export", "year", "2026", "--to", to)
    tables = []
    for name in ("additions", "leaks"):
        with open(os.path.join(to, name + ".csv"), newline="", encoding="utf-8") as f:
            tables.append(list(csv.DictReader(f)))
    shutil.rmtree(to)
    additions, leaks = tables
    return {a["appliance"]: [x for x in additions if x["appliance"] == a["appliance"]] for a in additions}, leaks


def shown(row):
    return row["date"], row["job"] or None, row["formula"] or None


def alike(appliances):
    rows, _ = exported()
    file = os.path.join(book.folder, "analysts.sqlite")
    book.ok("export", "sqlite", "--to", file, *(["--update"] if os.path.exists(file) else []))
    for appliance in appliances:
        page = [(a["at"][:10], a["job"], a["formula"]) for a in book.json("report", "appliance", appliance)["additions"]]
        with sqlite3.connect(file) as db:
            db.row_factory = sqlite3.Row
            kept = list(db.execute("SELECT * FROM addition WHERE appliance = ?", (appliance,)))
        assert [shown(a) for a in kept] == page, (appliance, page, [shown(a) for a in kept])
        this_year = [a for a in page if a[0].startswith("2026")]
        mine = [shown(a) for a in rows.get(appliance, [])]
        assert mine == this_year, (appliance, this_year, mine)
        for a in [*kept, *rows.get(appliance, [])]:
            events = a["events"].split(" ")
            assert len(set(events)) == len(events), (appliance, "an event is one movement", a["events"])
    return rows


rows = alike(["DAIRY/ICE", "OAK/RACK-A", "DAIRY/CASE"])
assert "DAIRY/ICE" not in rows, "what was put back is no addition"
assert [(a["days"], a["leak"]) for a in rows["OAK/RACK-A"]] == [("365", ""), ("365", "L-1")]
(case,) = rows["DAIRY/CASE"]
assert (case["added_lb"], len(case["events"].split(" "))) == ("3.00", 1)

# A truck's book was copied, and both went on: each has a leak of its own that it calls L-1.
truck, copy = (os.path.join(book.folder, name) for name in ("truck", "copy"))


def on(path, *words):
    return book.ok("--book", path, *words)


on(truck, "start", "--company", "Fernhollow Refrigeration", "--zone", "America/Chicago", "--shop", book.ok("books", "card").stdout.strip())
book.ok("books", "trust", "truck-1", "--card", on(truck, "books", "card").stdout.strip())
shutil.copy(truck, copy)
for path, appliance in ((truck, "ELM/A"), (copy, "ELM/B")):
    on(path, "site", "add", "ELM", "--owner", "Quillpost Elm")
    on(path, "appliance", "add", appliance, "--category", "commercial-refrigeration", "--refrigerant", "R-448A", "--full-charge", "60lb",
       "--charge-basis", "maker")
    on(path, "circuit", "add", appliance + "/1", "--serves", "case")
    on(path, "leak", "add", appliance, "--place", "flare nut")
    on(path, "charge", "--circuit", appliance + "/1", "--from", "outside:Northline Mechanical", "--net", "2lb", "--leak", "L-1")
    on(path, "repair", "L-1", "--done", "a new nut at " + appliance)
    on(path, "send", "--to", path + ".bundle")
    book.ok("merge", path + ".bundle")
rows = alike(["ELM/A", "ELM/B"])
_, leaks = exported()
for appliance in ("ELM/A", "ELM/B"):
    (repair,) = [x for x in leaks if x["kind"] == "repair" and x["what"].endswith(appliance)]
    assert (repair["appliance"], repair["leak"]) == (appliance, rows[appliance][0]["leak"]), (appliance, repair, rows[appliance])
