"""`export year`: every table against its own data package, by a reader of our own; the same bytes twice; an owner's export
holds nothing of another; each figure is the sum of the rows behind it."""
import csv
import hashlib
import html.parser
import json
import os
import re
from collections import defaultdict

from book import Book, demo

NASTY = 'Fern & <script>alert("1")</script>, "north"'

book = demo(Book(start=False))
book.ok("site", "add", "FERN", "--name", NASTY, "--owner", "Fern & Daughters", "--address", "12 Mill Lane,\nLower Fern")
book.ok("appliance", "add", "FERN/OLD", "--category", "comfort-cooling", "--refrigerant", "R-134a", "--full-charge", "12lb",
        "--charge-basis", "maker")
book.ok("circuit", "add", "FERN/OLD/1", "--serves", "as Ana Reyes left it, near OAK")
book.ok("recover", "--circuit", "FERN/OLD/1", "--into", "RC-03", "--net", "3.2lb", "--reason", "disposal", "--by", "tom",
        "--job", "5001", "--note", "the OAK cylinder was full; = 1+1", "--anyway", "Tom Okafor said so", now="2026-06-08T15:00:00Z")
book.ok("leak", "add", "OAK/RACK-A", "--place", "flare nut", "--by", "ana", now="2026-06-09T15:00:00Z")
book.ok("repair", "L-1", "--done", "new nut", "--by", "ana", now="2026-06-09T16:00:00Z")
book.ok("leak-test", "L-1", "--stage", "initial", "--result", "pass", "--by", "ana", now="2026-06-09T17:00:00Z")
book.ok("inspect", "OAK/RACK-A", "--method", "bubbles", "--result", "no-leak", "--by", "ana", now="2026-06-09T18:00:00Z")
book.ok("charge", "--circuit", "OAK/RACK-A/12", "--from", "outside:Northline Mechanical", "--net", "4lb", "--reason", "leak",
        now="2026-12-31T23:30:00Z")
book.ok("weigh", "SC-02", "--gross", "138.25lb", now="2027-01-02T23:30:00Z")
# Gas of two owners goes back in December; in January the reclaimer says what it was.
returned = book.ok("return", "RC-03", "--to", "Larkfield Reclaim", "--by", "tom", now="2026-12-20T15:00:00Z").stdout
book.ok("settle", re.search(r"settle (E\d+)", returned)[1], "--oil", "0.3lb", "--purity", "98.6", "--lab", "L-77", "--outcome", "reclaimed", "--credit", "31.50 USD",
        "--by", "ana", now="2027-01-20T15:00:00Z")


def folder(name):
    return os.path.join(book.folder, name)


def export(name, *words):
    book.ok("export", "year", "2026", "--to", folder(name), *words)
    return folder(name)


def bytes_of(path):
    return {name: open(os.path.join(path, name), "rb").read() for name in sorted(os.listdir(path))}


# --- a reader of data packages, as far as these need one ---
def number(text):
    assert re.fullmatch(r"-?\d+(\.\d+)?", text), text
    return float(text)


def date(text):
    assert re.fullmatch(r"\d{4}-\d{2}-\d{2}", text), text
    return text


READ = {"string": str, "number": number, "date": date,
        "integer": lambda t: int(t) if re.fullmatch(r"-?\d+", t) else 1 / 0,
        "boolean": lambda t: {"true": True, "false": False}[t]}


def tables_of(path):
    package = json.load(open(os.path.join(path, "datapackage.json"), encoding="utf-8"))
    assert package["profile"] == "tabular-data-package" and re.fullmatch(r"[a-z0-9._-]+", package["name"])
    tables = {}
    for resource in package["resources"]:
        raw = open(os.path.join(path, resource["path"]), "rb").read()
        assert len(raw) == resource["bytes"] and resource["hash"] == "sha256:" + hashlib.sha256(raw).hexdigest()
        assert raw.endswith(b"\r\n") and not raw.startswith(b"\xef\xbb\xbf")
        rows = list(csv.reader(raw.decode("utf-8").splitlines(keepends=True), strict=True))
        fields = resource["schema"]["fields"]
        assert rows[0] == [f["name"] for f in fields], resource["name"]
        read = []
        for row in rows[1:]:
            assert len(row) == len(fields), (resource["name"], row)
            read.append({f["name"]: READ[f["type"]](cell) if cell else None for f, cell in zip(fields, row)})
        for field in fields:
            unit = field["name"].endswith(("_lb", "_percent", "_count", "t_co2e"))
            assert field["description"] and (not unit or re.search("pounds|percent|counts|tonnes", field["description"])), field
        key = resource["schema"]["primaryKey"]
        keys = [tuple(r[k] for k in key) for r in read]
        assert len(keys) == len(set(keys)) and all(None not in k for k in keys), (resource["name"], key)
        assert "not a statement that a rule is met" in resource["description"] and "rules_applied" in resource
        tables[resource["name"]] = read
    for resource in package["resources"]:
        for foreign in resource["schema"].get("foreignKeys", []):
            there = {tuple(r[f] for f in foreign["reference"]["fields"]) for r in tables[foreign["reference"]["resource"]]}
            for row in tables[resource["name"]]:
                assert tuple(row[f] for f in foreign["fields"]) in there, (resource["name"], foreign, row)
    return tables


def whole(path):
    """Manifest and sums name every file."""
    files = bytes_of(path)
    manifest = json.loads(files["manifest.json"])
    listed = {f["name"]: f["sha256"] for f in manifest["files"]}
    assert set(listed) == set(files) - {"manifest.json", "SHA256SUMS"}
    assert all(hashlib.sha256(files[n]).hexdigest() == h for n, h in listed.items())
    sums = dict(reversed(line.split("  ")) for line in files["SHA256SUMS"].decode().splitlines())
    assert sums == {n: hashlib.sha256(b).hexdigest() for n, b in files.items() if n != "SHA256SUMS"}
    return manifest


def figures_stand_on_rows(tables):
    sums, lines = defaultdict(int), defaultdict(dict)
    for m in tables["movements"]:
        sums[m["balance"], m["term"], m["basis"]] += m["mass_count"]
    for b in tables["balances"]:
        lines[b["balance"]][b["term"], b["basis"]] = b["mass_count"]
    for balance, terms in lines.items():
        moved = {k: v for k, v in terms.items() if k[1] != "all"}
        assert terms["opening", "all"] + sum(moved.values()) == terms["closing", "all"], balance
        for (term, basis), count in moved.items():
            assert sums.pop((balance, term, basis)) == count, (balance, term, basis)
    assert not sums


one = export("one")
before = book.digest()
assert bytes_of(one) == bytes_of(export("two")), "the same events gave other bytes"
assert book.digest() == before, "an export writes nothing into the book"
tables = tables_of(one)
manifest = whole(one)
figures_stand_on_rows(tables)
assert not any(book.folder.encode() in raw for raw in bytes_of(one).values())

# The heads are those of the events themselves; events of other years are not in it.
lines = [json.loads(line) for line in book.ok("export", "events", "--format", "json").stdout.splitlines()]
assert manifest["heads"][0]["seq"] == max(e["seq"] for e in lines)
assert {e["seq"] for e in tables["events"]} == {e["seq"] for e in lines if e["date"].startswith("2026")}
assert {e["date"][:4] for e in lines} == {"2026", "2027"}

# Recovered and charged, from the bodies alone: pairs and nets of events that no void takes out.
voided = {e["what"]["target"] for e in lines if e["kind"] == "void"}
digests = {e["seq"]: e["digest"] for e in tables["events"]}
moved = defaultdict(int)
for e in lines:
    if e["kind"] in ("recover", "charge", "reuse") and e["date"].startswith("2026") and digests[e["seq"]] not in voided:
        w = e["what"]["weighing"]
        count = abs(int(w["after"]["count"]) - int(w["before"]["count"])) if "before" in w else int(w["net"]["count"])
        others = e["what"].get("from", "").startswith("outside:")
        moved["by-others" if others else {"recover": "recovered", "charge": "charged", "reuse": "reused"}[e["kind"]]] += count
# A pound that was lost stands in one row: sums of a column are those of the page, and equivalents have no pounds.
page = book.json("report", "year", "2026")["losses"]
assert len(tables["losses"]) == len(page) > 5 and len({(x["refrigerant"], x["owner"], x["site"]) for x in tables["losses"]}) == len(page)
for column in ("material_loss_lb", "simplified_loss_lb"):
    got, shown = (sum(x[column] or 0 for x in rows) for rows in (tables["losses"], page))
    assert abs(got - shown) < 1e-4 and any(x[column] for x in page), (column, got, shown)
assert not any(name.endswith("_lb") for x in tables["loss_equivalents"] for name in x)
shown = {(x["refrigerant"], x["owner"], x["site"] or "storage", q["gwp_set"]): q for x in page for q in x["equivalents"]}
for x in tables["loss_equivalents"]:
    q = shown.pop((x["refrigerant"], x["owner"], x["site"], x["gwp_set"]))
    assert (x["t_co2e"] is None) == (q["t_co2e"] is None), (x, q)
    assert x["t_co2e"] is None or abs(x["t_co2e"] - q["t_co2e"]) < 1e-3, (x, q)
assert not shown
for term, sign in (("recovered", -1), ("charged", 1), ("reused", 1), ("by-others", 1)):
    got = sum(b["mass_count"] for b in tables["balances"] if b["part"] == "equipment" and b["term"] == term)
    assert got == sign * moved[term] != 0, term

# What a rule asks for stands in it, with the rule and its status.
(disposal,) = tables["disposals"]
assert (disposal["appliance"], disposal["recovered_lb"], disposal["full_charge_lb"]) == ("FERN/OLD", 3.2, 12.0)
assert disposal["rule"] == "40 CFR 82.156(a)(3)" and "Mill Lane" in disposal["address"]
assert [d["recovered_lb"] for d in tables["disposals_by_month"]] == [3.2]
assert {r["kind"] for r in tables["leaks"]} == {"leak", "repair", "leak-test", "inspect"}
assert all(r["appliance"] == "OAK/RACK-A" for r in tables["leaks"])
assert {t["technician"] for t in tables["technicians"]} == {"ana", "tom"}
assert any(c["cylinder"] == "RC-06" for c in tables["cylinders_out_of_test"])
(sent,) = [s for s in tables["shipments"] if s["cylinder"] == "CC-01"]
assert sent["manifest"] == "LR-0606" and abs(sent["mass_lb"] - 2.3) < 1e-9
assert any(e["voided_by"] for e in tables["events"])
rates = {a["event"]: a for a in tables["additions"]}
for appliance in ("OAK/RACK-A", "OAK/RACK-B", "DAIRY/COOLER"):  # as `report appliance` shows them
    page = book.json("report", "appliance", appliance)
    mine = sorted((round(a["added_lb"], 6), round(a["rate_percent"], 6)) for a in rates.values() if a["appliance"] == appliance)
    assert mine == sorted((a["added_lb"], a["rate_percent"]) for a in page["additions"]), appliance


# The page to print: well-formed, no script, what people typed is text.
class Page(html.parser.HTMLParser):
    def __init__(self):
        super().__init__()
        self.tags, self.open = set(), []

    def handle_starttag(self, tag, attributes):
        self.tags.add(tag)
        assert not any(name.startswith("on") or name in ("src", "href") for name, _ in attributes), attributes
        if tag != "meta":
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag


page = Page()
summary = open(os.path.join(one, "summary.html"), encoding="utf-8").read()
page.feed(summary)
first = summary.index('class="lead"')
assert "lost " in summary[first:summary.index("</p>", first)], "its first sentence says what was lost"
assert not page.open and "table" in page.tags and not page.tags & {"script", "link", "img", "iframe"}
assert not any("complian" in raw.decode().lower() for raw in bytes_of(one).values())

# An owner's export: nothing of another, and together the owners' are the shop's.
others = {
    "Quillpost Markets": ["Quillpost Elm", "ELM", "Elm Hill", "Bramble", "DAIRY", "FERN", "Fern &", "Tom Okafor"],
    "Quillpost Elm": ["Quillpost Markets", "OAK", "Oak Street", "Bramble", "DAIRY", "FERN", "Fern &", "Ana Reyes"],
    "Bramble Dairy Co-op": ["Quillpost", "OAK", "ELM", "Elm Hill", "Oak Street", "FERN", "Fern &", "Ana Reyes"],
    "Fern & Daughters": ["Quillpost", "OAK", "ELM", "Elm Hill", "Oak Street", "Bramble", "DAIRY", "Ana Reyes"],
}
parts = defaultdict(int)
for n, (owner, names) in enumerate(others.items()):
    path = export("owner%d" % n, "--owner", owner)
    for name, raw in bytes_of(path).items():
        for other in names:
            assert not re.search(rb"(?<![A-Za-z0-9])" + re.escape(other).encode() + rb"(?![A-Za-z0-9])", raw), (owner, other, name)
    mine = tables_of(path)
    whole(path)
    figures_stand_on_rows(mine)
    assert mine["events"] and {b["owner"] for b in mine["balances"]} <= {owner}
    for b in mine["balances"]:
        parts[b["balance"], b["term"], b["basis"]] += b["mass_count"]
shop = {(b["balance"], b["term"], b["basis"]): b["mass_count"] for b in tables["balances"]}
assert {k: v for k, v in shop.items() if not k[0].endswith("/shop")} == dict(parts)
elm = tables_of(folder("owner1"))
mixed = [e for e in elm["events"] if e["cylinder"] == "RC-03" or e["other_cylinder"] == "RC-03"]
assert mixed and any(not e["withheld"] for e in mixed), "what was Elm's alone is told with its weights"
fern = [e for e in tables_of(folder("owner3"))["events"] if e["kind"] == "recover"]
assert [(e["withheld"], e["net_lb"], e["note"]) for e in fern] == [(True, None, None)], "RC-03 held Elm's gas"

# A site: its equipment, and no cylinder's stock.
site = tables_of(export("site", "--site", "OAK"))
assert {b["part"] for b in site["balances"]} == {"equipment"}
assert {b["appliance"] for b in site["balances"]} == {"OAK/RACK-A", "OAK/RACK-B"}

# The opening of a year is the closing of the one before.
book.ok("export", "year", "2027", "--to", folder("next"))
following = tables_of(folder("next"))
closing = {b["balance"]: b["mass_count"] for b in tables["balances"] if b["term"] == "closing" and b["mass_count"]}
opening = {b["balance"]: b["mass_count"] for b in following["balances"] if b["term"] == "opening" and b["mass_count"]}
assert closing == opening
assert [e["kind"] for e in following["events"]] == ["weigh", "settle"]

# Awaited + sent = stated + oil, water and air + difference + awaited, over two years; lot by lot, and by owner.
assert {s["statement"] for s in tables["shipments"]} == {None} and not tables["statements"]
said = following["statements"]
assert [(s["owner"], s["sent_lb"], s["purity_percent"], s["lab"], s["outcome"]) for s in said] == [
    ("Fern & Daughters", 3.2, 98.6, "L-77", "reclaimed"), ("Quillpost Elm", 21.3, 98.6, "L-77", "reclaimed")]
assert {s["returned"] for s in said} == {s["event"] for s in tables["shipments"] if s["cylinder"] == "RC-03"}
assert abs(sum(s["not_refrigerant_lb"] for s in said) - 0.3) < 1e-9 and abs(sum(s["stated_lb"] for s in said) - 24.2) < 1e-9
assert all(abs(s["sent_lb"] - s["stated_lb"] - s["not_refrigerant_lb"] - s["difference_lb"]) < 2e-6 for s in said)
pages = {year: book.json("report", "year", str(year))["reclaim"] for year in (2026, 2027)}
for lines in pages.values():
    for line in lines:
        n = {k[:-6]: int(v) for k, v in line.items() if k.endswith("_count")}
        assert n["awaited_at_start"] + n["sent"] == n["stated"] + n["not_refrigerant"] + n["difference"] + n["awaited_at_end"], line
assert ({(x["refrigerant"], x["owner"]): x["awaited_at_end_count"] for x in pages[2026]} ==
        {(x["refrigerant"], x["owner"]): x["awaited_at_start_count"] for x in pages[2027]})
assert [x["owner"] for x in pages[2027] if x["awaited_at_end_count"] != "0"] == ["Quillpost Markets"]
assert all((s["credit"], s["credit_amount"], s["credit_currency"]) == ("31.50 USD", 31.5, "USD") for s in said)
book.ok("export", "year", "2027", "--owner", "Fern & Daughters", "--to", folder("fern27"))
(mine,) = tables_of(folder("fern27"))["statements"]
assert (mine["owner"], mine["sent_lb"], mine["credit"], mine["credit_amount"]) == ("Fern & Daughters", 3.2, None, None), "the money was for Elm's gas too"
(row,) = tables_of(folder("fern27"))["events"]
assert (row["kind"], row["withheld"]) == ("settle", True)
# What left with its cylinder is counted no more.
(found,) = [b["mass_lb"] for b in following["balances"] if b["balance"] == "stock/R-134a/Quillpost Elm" and b["term"] == "counted"]
assert found == 4.65

# What goes wrong leaves nothing.
listing = sorted(os.listdir(book.folder))
os.makedirs(folder("full/inside"))
assert book.run("export", "year", "2026", "--to", folder("full")).returncode == 1
assert book.run("export", "year", "2026", "--to", folder("no/such/place")).returncode == 3
assert book.run("export", "year", "2026", "--to", folder("x"), "--owner", "Nobody").returncode == 1
assert sorted(os.listdir(book.folder)) == sorted(listing + ["full"]) and os.listdir(folder("full")) == ["inside"]
os.makedirs(folder("empty"))
export("empty")
assert bytes_of(folder("empty")) == bytes_of(one)

# Sealed: the root is that of RFC 6962 over the digests of the table, computed here; later entries are amendments.
def merkle(leaves):
    if not leaves:
        return hashlib.sha256(b"").digest()
    if len(leaves) == 1:
        return hashlib.sha256(b"\0" + leaves[0]).digest()
    k = 1
    while 2 * k < len(leaves):
        k *= 2
    return hashlib.sha256(b"\1" + merkle(leaves[:k]) + merkle(leaves[k:])).digest()


LATER = "2027-02-01T15:00:00Z"
assert book.json("report", "year", "2026")["seal"] is None
book.ok("seal", "2026", now=LATER)
sealed = book.json("report", "year", "2026")["seal"]
assert sealed["sealed"]["root"] == merkle([bytes.fromhex(e["digest"]) for e in tables["events"]]).hex()
assert sealed["is_unchanged"] and sealed["balances_as_sealed"] and sealed["amendments"] == 0 and sealed["sealed"]["root"] == sealed["now"]["root"]
book.ok("charge", "--circuit", "OAK/RACK-A/4", "--from", "J-102", "--net", "2lb", "--reason", "leak", "--by", "ana",
        "--at", "2026-11-30 10:00", now=LATER)
victim = next(e for e in tables["events"] if e["kind"] == "weigh" and not e["voided_by"])
book.ok("void", "E%d" % victim["seq"], "--why", "wrong cylinder", now=LATER)
seal = book.json("report", "year", "2026")["seal"]
assert seal["is_unchanged"] and not seal["balances_as_sealed"] and seal["sealed"] == sealed["sealed"]
assert seal["amendments"] == 2 and len(seal["events_between"]) == 2
assert {e["event"] for e in seal["events_between"] if e["taken_out_by"]} == {victim["digest"]}
amended = export("amended")
tables_of(amended)
assert json.loads(bytes_of(amended)["manifest.json"])["seal"]["amendments"] == 2
elm = bytes_of(export("amended-elm", "--owner", "Quillpost Elm"))
assert b"OAK" not in elm["manifest.json"] and b"OAK" not in elm["summary.html"]
