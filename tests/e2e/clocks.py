"""Leaks and clocks through the real binary: codes, own ids, what opens and closes a clock, and a calendar that is read
back by a strict reader of RFC 5545's content lines."""
import re
import subprocess

from book import BIN, Book

b = Book().small_register()


def due(**kw):
    on = kw.pop("on", None)
    within = kw.pop("within", "30d")
    words = ["due", "--within", within] + (["--on", on] if on else [])
    return b.json(*words, **kw)["items"]


def open_of(items, what):
    return [i for i in items if i["what"] == what]


def charge(pounds, now, *more):
    b.ok("charge", "--circuit", "OAK/RACK-A/4", "--from", "outside:Brine-and-Sons", "--net", "%dlb" % pounds, *more, now=now)


# the cylinders are tested in 2024-04: five years, the last day of the month (49 CFR 180.209)
rq = open_of(due(on="2029-04-01"), "requalification")
assert [(i["subject"], i["due_on"], i["late"]) for i in rq] == [("RC-01", "2029-04-30", False), ("RC-02", "2029-04-30", False)]
assert all(i["late"] for i in open_of(due(on="2029-05-01"), "requalification"))
assert not open_of(due(on="2029-03-30"), "requalification") and open_of(due(on="2029-03-31"), "requalification")

# over the threshold: a repair in 30 days; the day before that addition nothing is open
charge(8, "2026-03-01T15:00:00Z")
charge(150, "2026-03-11T15:00:00Z")
assert not open_of(due(on="2026-03-10"), "repair")
(repair,) = open_of(due(on="2026-03-11"), "repair")
assert (repair["due_on"], repair["late"], repair["owner"], repair["subject"]) == ("2026-04-10", False, "Quillpost Markets", "OAK/RACK-A")
for key in ("subject", "what", "due_on", "late", "rule", "status", "owner"):
    assert key in repair, key
assert repair["rule"] == "40 CFR 84.106(d)"
done = b.run("due", "--on", "2026-04-11")
assert done.returncode == 4 and "LATE" in done.stdout, done.stdout  # something is late
assert open_of(due(on="2026-04-11"), "plan")

# the answer is a code; the same own id again is the same leak
first = b.ok("leak", "add", "OAK/RACK-A", "--place", "flare nut", "--own-id", "a", now="2026-03-12T12:00:00Z").stdout
assert first.startswith("L-1 "), first
assert "already recorded" in b.ok("leak", "add", "OAK/RACK-A", "--place", "flare nut", "--own-id", "a", now="2026-03-12T13:00:00Z").stdout
assert b.ok("leak", "add", "DAIRY/ICE", "--place", "valve stem", now="2026-03-12T13:00:00Z").stdout.startswith("L-2 ")
# a leak that was voided keeps its code
mistaken = b.json("leak", "add", "OAK/RACK-A", "--place", "mistaken", now="2026-03-12T14:00:00Z")["events"][0]["event"]
b.ok("void", mistaken, "--why", "it was none", now="2026-03-12T14:30:00Z")
assert b.ok("leak", "add", "OAK/RACK-A", "--place", "gasket", now="2026-03-12T15:00:00Z").stdout.startswith("L-4 ")

b.ok("repair", "L-1", "--done", "nut renewed", now="2026-03-13T12:00:00Z")
assert open_of(due(on="2026-03-13"), "repair")  # L-4 is not repaired yet
b.ok("repair", "L-4", "--done", "gasket renewed", now="2026-03-13T13:00:00Z")
assert not open_of(due(on="2026-03-13"), "repair")
assert {i["leak"] for i in open_of(due(on="2026-03-13"), "initial-test")} == {"L-1", "L-4"}
for leak in ("L-1", "L-4"):
    b.ok("leak-test", leak, "--stage", "initial", "--result", "pass", now="2026-03-14T12:00:00Z")
assert {i["due_on"] for i in open_of(due(on="2026-03-14"), "follow-up-test")} == {"2026-03-24"}
for leak in ("L-1", "L-4"):
    b.ok("leak-test", leak, "--stage", "follow-up", "--result", "pass", now="2026-03-20T12:00:00Z")
later = due(on="2026-04-20", within="3650d")
assert not any(open_of(later, what) for what in ("repair", "plan", "follow-up-test", "initial-test")), later
assert open_of(later, "inspection")[0]["due_on"] == "2026-06-11"  # 900 lb: every three months

page = b.json("report", "appliance", "OAK/RACK-A", now="2026-04-20T12:00:00Z")
assert {c["what"] for c in page["clocks"] if not c["open"]} >= {"repair", "initial-test", "follow-up-test"}, page["clocks"]
why = b.json("why", repair["clock"])
assert why["finding"] == repair["clock"] and any("x 365 / 10 days" in f for f in why["formulas"]), why
assert any("84.106(d)" in c for c in why["rules"]) and why["event_names"], why

# a statement is awaited from the day of the return, until something settles it
b.ok("recover", "--circuit", "DAIRY/ICE/1", "--into", "RC-02", "--before", "27.8lb", "--after", "33.8lb", now="2026-04-21T12:00:00Z")
b.ok("return", "RC-02", "--to", "Larkfield Reclaim, Ünion Street; yard 3", "--gross", "33.8lb", now="2026-04-22T12:00:00Z")
assert not open_of(due(on="2026-04-21"), "statement")
(statement,) = open_of(due(on="2026-04-22"), "statement")
assert statement["due_on"] is None and statement["late"] is False and statement["statements_awaited"] == 1


def calendar(*words, now="2026-04-23T12:00:00Z", both=False):
    done = subprocess.run([BIN, "due", *words, "--format", "ics"], env=b.env(now), stdin=subprocess.DEVNULL, capture_output=True)
    assert done.returncode in (0, 4), done
    raw = done.stdout
    assert raw.endswith(b"\r\n") and b"\n" not in raw.replace(b"\r\n", b""), "line ends"
    lines = raw[:-2].split(b"\r\n")
    assert all(len(line) <= 75 for line in lines), "lines of more than 75 octets"
    for line in lines:
        line.decode("utf-8")  # no letter is cut in two
    whole = raw.decode().replace("\r\n ", "")[:-2].split("\r\n")
    entries, entry, alarm = [], None, None
    assert whole[:3] == ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Tarebook//due//EN"] and whole[-1] == "END:VCALENDAR"
    for line in whole[3:-1]:
        name, value = re.fullmatch(r"([A-Z-]+(?:;[A-Z]+=[A-Z]+)*):(.*)", line).groups()
        if (name, value) == ("BEGIN", "VALARM"):
            assert entry is not None and alarm is None
            alarm = entry["VALARM"] = {}
        elif (name, value) == ("END", "VALARM"):
            assert alarm["ACTION"] == "DISPLAY" and alarm["TRIGGER"] == "-P7D" and alarm["DESCRIPTION"] == entry["SUMMARY"], alarm
            alarm = None
        elif alarm is not None:
            alarm[name] = value
        elif name == "BEGIN":
            assert entry is None and value in ("VEVENT", "VTODO")
            entry = {"BEGIN": value}
        elif name == "END":
            assert value == entry["BEGIN"] and {"UID", "DTSTAMP", "SEQUENCE", "SUMMARY"} <= set(entry)
            entries.append(entry)
            entry = None
        else:
            assert name not in entry, name
            assert not re.search(r"(?<!\\)[,;]", value) or name in ("DTSTAMP",), value  # escaped
            entry[name] = value
    assert entry is None and entries and len({e["UID"] for e in entries}) == len(entries)
    open_, closed = ([e for e in entries if (e.get("STATUS") == "CANCELLED") == is_closed] for is_closed in (False, True))
    assert all("VALARM" not in e and "closed: " in e["SUMMARY"] for e in closed)
    return (open_, closed) if both else open_


# what closed in the last hundred days is cancelled, once: the repair of the leaks, the statement that is resolved below
entries, cancelled = calendar("--within", "3650d", both=True)
gone = {e["UID"].split("@")[0] for e in cancelled}
assert {e["UID"] for e in cancelled}.isdisjoint(e["UID"] for e in entries)
assert repair["clock"] in gone and any("/initial-test/" in uid or "initial" in uid for uid in gone), gone
assert {e["SEQUENCE"] for e in entries + cancelled} == {str(b.json("check")["number_of_events"])}
assert not [e for e in calendar("--within", "3650d", now="2026-09-01T12:00:00Z", both=True)[1] if repair["clock"] in e["UID"]]
assert len({e["UID"] for e in entries}) == len(entries)
assert {e["DTSTAMP"] for e in entries} == {"20260423T120000Z"}
later = calendar("--within", "3650d", now="2026-05-23T12:00:00Z")
asked = [e["UID"] for e in later if "/put-back/" in e["UID"]]  # what is out for a repair is asked about after 30 days
after = calendar("--within", "3650d", now="2026-09-01T12:00:00Z")
late = [e for e in after if "/late@" in e["UID"]]  # what is late stands on its own day, and on that of the page
assert all(e["DTSTART;VALUE=DATE"] == "20260901" and e["SUMMARY"].startswith("LATE since 20") and "VALARM" not in e for e in late)
assert late and {e["UID"].replace("/late@", "@") for e in late} == {e["UID"] for e in after if e["SUMMARY"].startswith("LATE: ")}
assert all("VALARM" in e for e in after if "DTSTART;VALUE=DATE" in e and not e["SUMMARY"].startswith("LATE"))
assert len(asked) == 1 and [e["UID"] for e in entries] == [e["UID"] for e in later if e["UID"] not in asked], asked
b.ok("site", "correct", "OAK", "--name", "Oak Street store", "--address", "1 Oak St; rear", now="2026-05-23T12:00:00Z")
placed = [e for e in calendar("--within", "3650d", now="2026-05-23T12:00:00Z") if " OAK/" in e["SUMMARY"]]
assert placed and all(e["LOCATION"] == "Oak Street store\\, 1 Oak St\\; rear" and "Oak Street store" in e["SUMMARY"] for e in placed), placed
assert any(e.get("DTSTART;VALUE=DATE") == "20260611" for e in entries)
todo = [e for e in entries if e["BEGIN"] == "VTODO"]
assert any("Ünion" in e["DESCRIPTION"] for e in todo), todo
assert len(calendar("--on", "2020-01-01", "--within", "0")) == 1  # never without an entry

before = [e for e in calendar("--within", "3650d", now="2026-04-24T11:00:00Z") if "/statement/" in e["UID"]]
b.ok("resolve", statement["clock"], "--why", "statement 4471 came by post", now="2026-04-24T12:00:00Z")
after = [e for e in calendar("--within", "3650d", now="2026-04-25T12:00:00Z", both=True)[1] if "/statement/" in e["UID"]]
assert [e["UID"] for e in before] == [e["UID"] for e in after] and len(after) == 1, (before, after)
assert int(after[0]["SEQUENCE"]) > int(before[0]["SEQUENCE"]) and after[0]["BEGIN"] == "VTODO", after
# a test that is done again closes the clock of the one before
asked = [e for e in calendar("--within", "3650d", now="2026-06-25T12:00:00Z") if "/requalification/RC-01/" in e["UID"]]
b.ok("requalify", "RC-01", "--tested", "2026-06", now="2026-06-26T12:00:00Z")
still, taken = calendar("--within", "3650d", now="2026-06-27T12:00:00Z", both=True)
assert len(asked) == 1 and asked[0]["UID"] in {e["UID"] for e in taken}, (asked, taken)
assert [e["UID"] != asked[0]["UID"] for e in still if "/requalification/RC-01/" in e["UID"]] == [True], still
assert not open_of(due(on="2026-04-25"), "statement")
assert b.run("resolve", statement["clock"], "--why", "again").returncode == 1

# no page says more than that the book knows of nothing
for words in (["due"], ["due", "--on", "2020-01-01"], ["report", "appliance", "OAK/RACK-A"], ["why", repair["clock"]]):
    text = b.ok(*words, now="2026-04-25T12:00:00Z").stdout.lower()
    assert "licensed person decide" in " ".join(text.split()), words
    assert "compliant" not in text and "in compliance" not in text, words

# a void takes a test out from its own moment, and the clock is open again
test = b.json("leak-test", "L-2", "--stage", "initial", "--result", "fail", now="2026-04-25T12:00:00Z")["events"][0]["event"]
b.ok("void", test, "--why", "other leak", now="2026-04-25T12:10:00Z")
assert b.json("check")["ok"] is True
assert b.json("check", "--rebuild")["ok"] is True
print("clocks: opened and closed by events")
