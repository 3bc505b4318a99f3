"""Reports for a spreadsheet, read with zipfile and an XML parser: numbers are numbers and those of the CSV, dates are
dates, headings stay in sight and name the unit, and nothing that a person typed is a formula."""
import csv
import io
import os
import re
import subprocess
import xml.etree.ElementTree as xml
import zipfile
from datetime import datetime, timedelta

from book import BIN, Book, demo

NOW = "2026-06-08T15:00:00Z"
M = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
R = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}"
b = demo(Book(start=False))


def raw(*words):
    done = subprocess.run([BIN, *words, "--format", "xlsx"], env=b.env(NOW), stdin=subprocess.DEVNULL, capture_output=True)
    assert done.returncode in (0, 4), (words, done.stderr)
    return done.stdout


def plain(text):
    return re.sub("_x([0-9A-F]{4})_", lambda m: chr(int(m[1], 16)), text)


class Sheets(dict):
    """By name: rows of fields, each a string, a float, a datetime or None."""

    def __init__(self, bytes_):
        super().__init__()
        self.file = zipfile.ZipFile(io.BytesIO(bytes_))
        assert self.file.testzip() is None
        read = lambda name: xml.fromstring(self.file.read(name))
        strings = [plain("".join(t.text or "" for t in item.iter(M + "t"))) for item in read("xl/sharedStrings.xml")]
        styles = read("xl/styles.xml")
        formats = {f.get("numFmtId"): f.get("formatCode") for f in styles.iter(M + "numFmt")}
        self.formats = [formats.get(x.get("numFmtId"), "") for x in styles.find(M + "cellXfs")]
        targets = {r.get("Id"): r.get("Target") for r in read("xl/_rels/workbook.xml.rels")}
        for sheet in read("xl/workbook.xml").iter(M + "sheet"):
            root = read("xl/" + targets[sheet.get(R + "id")])
            assert not list(root.iter(M + "f")), "a formula"
            assert not list(root.iter(M + "hyperlink"))
            pane = root.find(".//" + M + "pane")
            assert pane is not None and pane.get("state") == "frozen" and pane.get("ySplit") == "1", "headings in sight"
            filters = root.findall(M + "autoFilter")  # over all rows and columns, so that a person finds by any of them
            numbers = [int(row.get("r")) for row in root.iter(M + "row")]
            if max(numbers) > 1:
                assert len(filters) == 1 and re.fullmatch(r"A1:[A-Z]+%d" % max(numbers), filters[0].get("ref")), sheet.attrib
            assert all(8 <= float(c.get("width")) <= 62 for c in root.iter(M + "col"))
            rows = []
            for row in root.iter(M + "row"):
                fields = {}
                for field in row:
                    value = field.find(M + "v")
                    if value is None:
                        continue
                    if field.get("t") == "s":
                        shown = strings[int(value.text)]
                    else:
                        assert field.get("t") in (None, "n"), field.attrib
                        shown = float(value.text)
                        if "yyyy" in self.formats[int(field.get("s"))]:
                            shown = datetime(1899, 12, 30) + timedelta(days=shown)
                    fields[re.match("[A-Z]+", field.get("r"))[0]] = shown
                rows.append(fields)
            columns = list(rows[0])
            self[sheet.get("name")] = [[fields.get(c) for c in columns] for fields in rows]

    def table(self, name):
        head, *rows = self[name]
        return [dict(zip(head, row)) for row in rows]


def of_csv(*words):
    return list(csv.DictReader(io.StringIO(b.ok(*words, "--format", "csv", now=NOW).stdout)))


def same(number, text, what):
    """A field and a cell of the CSV: the number, or nothing."""
    assert (number is None) == (text == ""), (what, number, text)
    assert number is None or isinstance(number, float) and abs(number - float(text)) < 1.1e-6, (what, number, text)


# the inventory: the figures of the CSV as numbers, the month of a test as a date
sheets = Sheets(raw("report", "inventory"))
assert list(sheets)[0] == "Every cylinder" and list(sheets)[-1] == "About", list(sheets)
rows, want = sheets.table("Every cylinder"), of_csv("report", "inventory")
assert len(rows) == len(want) > 5


def has_columns_of(row, cells):
    """A sheet has each column of the CSV: by its heading, else by its name."""
    said = {"refrigerant": "gas", "stop_gross_lb": "stop at, lb", "test_due": "test", "flags": "marked", "net_lb": "net in, lb" if "circuit" in cells else "net, lb"}
    for name in set(cells) - {"schema_version"}:
        plain_name = re.sub("_lb$", ", lb", name).replace("_", " ")
        assert plain_name in row or said.get(name) in row, (name, list(row))


has_columns_of(rows[0], want[0])
assert {row["use"] for row in rows} >= {"recovery", "supply"} and any(row["room, lb"] for row in rows)
for row, cells in zip(rows, want):
    assert row["cylinder"] == cells["cylinder"] and (row["place"] or "") == cells["place"] and row["use"] == cells["use"]
    if cells["room_lb"]:
        assert 0 <= float(cells["room_lb"]) - row["room, lb"] < 0.0101, row
    for heading, column in (("net, lb", "net_lb"), ("gross, lb", "gross_lb")):
        same(row[heading], cells[column], (row["cylinder"], heading))
    if cells["stop_gross_lb"]:  # what the page says, and so never above the limit
        assert 0 <= float(cells["stop_gross_lb"]) - row["stop at, lb"] < 0.0101, row
    assert (row["test"].strftime("%Y-%m") if row["test"] else "") == cells["test_due"], row
total = sum(row["total, lb"] for row in sheets.table("By gas, owner and condition"))
assert abs(total - sum(float(cells["net_lb"]) for cells in want)) < 1e-4

# a site: one sheet of all its circuits
sheets = Sheets(raw("report", "site", "OAK", "--year", "2026"))
rows, want = sheets.table("Circuits"), of_csv("report", "site", "OAK", "--year", "2026")
assert len(rows) == len(want) > 2
has_columns_of(rows[0], want[0])
for row, cells in zip(rows, want):
    assert row["circuit"] == cells["circuit"]
    for heading in ("recovered", "reused", "charged", "net in", "released", "pumped in", "pumped out"):
        same(row[heading + ", lb"], cells[heading.replace("net in", "net").replace(" ", "_") + "_lb"], (row["circuit"], heading))
by_appliance = {cells["appliance"]: cells for cells in want}
for row in sheets.table("Appliances"):
    same(row["full charge, lb"], by_appliance[row["appliance"]]["appliance_full_charge_lb"], row)
    same(row["additions, lb"], by_appliance[row["appliance"]]["appliance_additions_lb"], row)
returned = sheets.table("Returned")
assert returned and all(isinstance(row["when"], datetime) and row["when"].year == 2026 for row in returned), returned
assert "stated, lb" in returned[0], "a column of masses has its unit, though it is empty"

# a year: each balance adds up in its row, and is the CSV's
sheets = Sheets(raw("report", "year", "2026"))
want = of_csv("report", "year", "2026")
stock = sheets.table("Gas in cylinders")
assert len(stock) > 3
for row in stock:
    masses = {heading[:-4]: value for heading, value in row.items() if heading.endswith(", lb")}
    moved = sum(value for name, value in masses.items() if name not in ("start", "end", "counted"))
    assert abs(masses["start"] + moved - masses["end"]) < 1e-5, row
    for name, term in (("start", "opening"), ("end", "closing"), ("counted", "counted"), ("charged", "charged")):
        cells = [c for c in want if (c["part"], c["refrigerant"], c["owner"], c["term"]) == ("stock", row["gas"], row["owner"], term)]
        assert abs(masses[name] - sum(float(c["mass_lb"]) for c in cells)) < 1e-5, (row, name)
figures = sheets.table("Figures")
assert len(figures) == len(want) > 20
has_columns_of(figures[0], {name: "" for name in want[0] if name not in ("year", "refrigerant")})
lost = sheets.table("Lost")
assert "all" not in {row["gas"] for row in lost}  # a spreadsheet adds up what a filter leaves
assert lost and all(isinstance(row["t CO2e ar4"], float) for row in lost)
kilograms = Sheets(raw("report", "year", "2026", "--units", "kg")).table("Gas in cylinders")
for row, pounds in zip(kilograms, stock):
    assert abs(row["end, kg"] - pounds["end, lb"] * 0.45359237) < 2e-6, row
assert raw("report", "year", "2026") == raw("report", "year", "2026"), "the same question, the same bytes"

# what is due, exceptions, a cylinder and an appliance: the figures and words of CSV and JSON
late = Book().small_register()
for pounds, when in ((8, "2026-03-01"), (150, "2026-03-11")):
    late.ok("charge", "--circuit", "OAK/RACK-A/4", "--from", "outside:Brine-and-Sons", "--net", "%dlb" % pounds, now=when + "T15:00:00Z")
late.ok("recover", "--circuit", "OAK/RACK-A/4", "--into", "RC-01", "--before", "27.5lb", "--after", "79lb", "--anyway", "it happened", now="2026-03-21T12:00:00Z")
week, b = b, late
rows, want = Sheets(raw("due", "--within", "999d")).table("Clocks"), b.json("due", "--within", "999d", now=NOW)["items"]
assert len(rows) == len(want) > 3 and sum(item["late"] for item in want) > 1
for row, item in zip(rows, want):
    assert row["late"] == item["days_late"] and (row["clock"], row["asked for"], row["next"]) == (item["clock"], item["text"], item["next"]), (row, item)
    assert (row["due"].strftime("%Y-%m-%d") if row["due"] else None) == item["due_on"] and row["about"].startswith(item["subject"]), row
    assert (row["owner"] or "") == (item["owner"] or ""), row
rows, want = Sheets(raw("list", "exceptions")).table("Exceptions"), of_csv("list", "exceptions")
assert len(rows) == len(want) >= 1
for row, cells in zip(rows, want):
    assert [row[name] or "" for name in ("seen", "expected", "done anyway", "finding", "kind")] == \
        [cells[name] for name in ("seen", "expected", "accepted", "finding", "kind_in_words")], (row, cells)
rows, want = Sheets(raw("report", "cylinder", "RC-01")).table("Events of RC-01"), of_csv("report", "cylinder", "RC-01")
assert len(rows) == len(want) > 1
for row, cells in zip(rows, want):
    assert row["event"] == cells["event"] and isinstance(row["when"], datetime), row
    same(row["gross, lb"], cells["gross_after_lb"], row)
    if row["change, lb"] is not None:
        same(row["change, lb"], cells["net_change_lb"], row)
sheets = Sheets(raw("report", "appliance", "OAK/RACK-A"))
rows, want = sheets.table("Additions"), of_csv("report", "appliance", "OAK/RACK-A")
assert len(rows) == len(want) == 2
for row, cells in zip(rows, want):
    same(row["added, lb"], cells["added_lb"], row)
    same(row["rate, %"], cells["rate_percent"], row)
    assert row["event"] == cells["event"] and row["exceeded"] == cells["exceeded"] and row["clause"] == cells["rule"], (row, cells)
assert len(sheets.table("Clocks")) == sum(clock["open"] for clock in b.json("report", "appliance", "OAK/RACK-A", now=NOW)["clocks"])
margin = b.json("report", "appliance", "OAK/RACK-A", now=NOW)["margin"]
for row, item in zip(sheets.table("May be added"), margin):
    assert abs(row["may be added, lb"] - item["may_be_added_lb"]) < 1.1e-6, (row, item)
for _ in range(40):  # a sheet has all events, not the newest alone
    b.ok("weigh", "RC-02", "--gross", "27.8lb", now="2026-05-01T12:00:00Z")
assert len(Sheets(raw("report", "cylinder", "RC-02")).table("Events of RC-02")) == len(of_csv("report", "cylinder", "RC-02")) > 40
b = week

# what a person typed is words, whatever it begins with
hostile = ["=cmd()|' /C calc'!A0", "+1+1", "-2+3", "@SUM(A1)", "=HYPERLINK(\"http://x\")", "<b>&\"'", "_x0041_ _x000D_",
           "\u202eright to left", "\U0001f9ca ice", "http://example.invalid/", "x" * 10000]
for i, name in enumerate(hostile):
    if name[0] in "=+-@":  # as a name it is refused: lists go to owners who open them with a spreadsheet
        assert b.run("site", "add", "H%d" % i, "--owner", name, now=NOW).returncode == 2, name
        hostile[i] = name = "a" + name
    b.ok("site", "add", "H%d" % i, "--owner", name, "--name", name, now=NOW)
    b.ok("appliance", "add", "H%d/A" % i, "--category", "other", "--refrigerant", "R-404A", "--full-charge", "60lb", "--charge-basis", "maker", now=NOW)
    b.ok("circuit", "add", "H%d/A/1" % i, now=NOW)
    b.ok("charge", "--circuit", "H%d/A/1" % i, "--from", "outside:Brine", "--net", "1lb", now=NOW)
    said = [words for _, words in Sheets(raw("report", "site", "H%d" % i, "--year", "2026"))["About"]]
    assert any(words and str(words).startswith(name + ", owner " + name) for words in said), (name[:60], said)
owners = {row["owner"] for row in Sheets(raw("report", "year", "2026")).table("Into equipment")}
assert set(hostile) <= owners, set(hostile) - owners

# to a file that was not there, and never over another
file = os.path.join(b.folder, "inventory.xlsx")
done = b.ok("report", "inventory", "--format", "xlsx", "--file", file, now=NOW)
assert "written" in done.stdout
kept = open(file, "rb").read()
assert kept == raw("report", "inventory")
for path, words in ((file, "exists"), (os.path.join(b.folder, "none", "x.xlsx"), "No such"), ("/dev/full", "exists")):
    done = b.run("report", "inventory", "--format", "xlsx", "--file", path, now=NOW)
    assert done.returncode == 1 and words in done.stderr, done
assert open(file, "rb").read() == kept
print("sheets: %d figures of the CSV as numbers, no formula" % sum(isinstance(v, float) for s in sheets.values() for r in s for v in r))
