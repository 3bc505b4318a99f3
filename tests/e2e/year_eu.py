"""A year of an invented shop in Germany, in kilograms, bar and degrees Celsius, beside tables that were worked by hand from
the clauses. No line of the tables was taken from the program: each has its working beside it.

Sources: Regulation (EU) 2024/573, as collected in the project's reference notes of November 2026: Art. 4(5) re-check within a
month, not before 24 hours of operation; Art. 5 checks from 5, 50 and 500 t CO2e of Annex I gas or 1, 10 and 100 kg of
unsaturated gas (10 and 100 kg from memory), every 12, 6 and 3 months, half as often with a detection system; Art. 6 a
detection system from 500 t, looked at every 12 months; Art. 13(3) service ban from 2500; Art. 8 reuse, from memory.
Regulation (EU) 2024/590 for R-22, its numbers taken as those of (EC) 1005/2009 Art. 23 (from memory). ADR P200, from memory:
Pi cylinders ten years, five for toxic gas. Potentials: Annex I; R-404A 3921.6 = 0.44 x 3500 + 0.04 x 1430 + 0.52 x 4470.
Own reading: where no check is on record, the first one is counted from the day the equipment came on record.
"""
import datetime as dt
import re
from fractions import Fraction

from book import Book

SITE, OWNER = "WERK", "Brauhof Kleist"
FIRST = "2025-01-07"

# code, category, gas, kg, more; months between checks, None where none is asked. The working stands behind it.
EQUIPMENT = (
    ("TK", "commercial-refrigeration", "R-404A", "130", (), 3),        # 130 x 3921.6 = 509.808 t: 500 and more
    ("NK", "commercial-refrigeration", "R-449A", "100", (), 6),        # 139.604 t, and 25.3 kg of R-1234yf
    ("MIX", "commercial-refrigeration", "R-513A", "50", (), 6),        # 31.46 t, but 28 kg of R-1234yf: 10 and more
    ("FROST", "commercial-refrigeration", "R-454C", "30", (), 6),      # 4.354 t alone would ask for none; 23.55 kg do
    ("KLIMA", "comfort-cooling", "R-32", "7.5", (), 12),               # 7.5 x 675 = 5.0625 t
    ("SPLIT", "comfort-cooling", "R-32", "7.4", (), None),             # 4.995 t
    ("TRUHE", "commercial-refrigeration", "R-32", "10", ("--hermetic", "yes"), None),  # 6.75 t, sealed: under 10 t
    ("ALT", "commercial-refrigeration", "R-22", "10", (), 12),         # 3 kg and more, under 30
    ("CO2", "commercial-refrigeration", "R-744", "200", (), None),     # no fluorinated gas
)
# code, kept for, mark, tested; last day in test by ADR P200, None where the packs do not know the mark
CYLINDERS = (
    ("FL-1", "R-449A", "Pi 0036", "2016-03", "2026-03-31"),   # ten years
    ("FL-2", "", "Pi 0036", "2020-08", "2025-08-31"),         # what it is kept for is not on record: the shorter, five
    ("FL-3", "R-717", "Pi 0036", "2021-05", "2026-05-31"),    # toxic: five years
    ("FL-4", "R-404A", "DOT-4BA400", "2019-02", None),        # a mark of the United States
    ("V-NEU", "R-404A", "Pi 0036", "2022-02", "2032-02-29"),  # ten years, to the end of a February with 29 days
    ("V-AUF", "R-404A", "Pi 0036", "2022-02", "2032-02-29"),
    ("V-NK", "R-449A", "Pi 0036", "2022-02", "2032-02-29"),
)
# when, the words of the command
DIARY = (
    ("2025-01-08 09:00", "receive V-NEU --from Mohn --gross 80kg --refrigerant R-404A --condition virgin"),
    ("2025-01-08 09:10", "receive V-AUF --from Mohn --gross 80kg --refrigerant R-404A --condition reclaimed"),
    ("2025-02-03 11:00", "leak add WERK/TK --place Ventil"),
    ("2025-02-04 10:00", "charge --circuit WERK/TK/1 --from V-AUF --before 80kg --after 68kg --reason leak"),
    ("2025-02-04 11:00", "repair L-1 --done gedichtet"),
    ("2025-02-04 16:00", "leak-test L-1 --stage follow-up --result pass"),  # five hours after: too early to count
    ("2025-02-05 16:00", "leak-test L-1 --stage follow-up --result pass"),  # 29 hours after
    ("2025-03-10 09:00", "inspect WERK/NK --method Seifenblasen --result no-leak"),
    ("2025-04-01 09:00", "inspect WERK/TK --method Seifenblasen --result no-leak"),
    ("2025-05-01 09:00", "appliance correct WERK/TK --detection-system yes"),
    ("2025-06-10 10:00", "charge --circuit WERK/TK/1 --from V-NEU --before 80kg --after 76.1kg --reason leak"),
    ("2025-07-07 09:00", "inspect WERK/MIX --method Seifenblasen --result no-leak"),
    ("2025-07-20 09:00", "inspect WERK/FROST --method Seifenblasen --result no-leak"),
    ("2025-09-01 09:00", "inspect WERK/NK --method Seifenblasen --result no-leak"),
    ("2025-09-15 10:00", "recover --circuit WERK/NK/1 --into FL-1 --before 12.5kg --after 17.5kg --reason open --vacuum 0.5bar"),
    ("2025-09-16 10:00", "reuse --circuit WERK/NK/1 --from FL-1 --before 17.5kg --after 15.5kg --reason put-back"),
    ("2025-09-16 14:00", "recycle FL-1 --oil-separated --drier-passes 2 --acid-test pass"),
    ("2025-09-17 10:00", "reuse --circuit WERK/NK/1 --from FL-1 --before 15.5kg --after 12.5kg --reason put-back"),
    ("2025-10-01 09:00", "inspect WERK/TK --method Seifenblasen --result no-leak"),
    ("2025-12-10 09:00", "leak add WERK/ALT --place Flansch"),
)
# What is open at the end of a day: (subject, kind) and its day. What is due later than the 999 days after is not asked for.
NEVER_CHECKED = {("WERK/KLIMA", "leak-check"): "2026-01-07", ("WERK/ALT", "leak-check"): "2026-01-07"}
TESTS = {("FL-1", "requalification"): "2026-03-31", ("FL-2", "requalification"): "2025-08-31", ("FL-3", "requalification"): "2026-05-31"}
OPEN = {
    "2025-01-31": {**NEVER_CHECKED, **TESTS,
                   ("WERK/TK", "leak-check"): "2025-04-07",          # three months from 7 January
                   ("WERK/TK", "detection-system"): "2025-01-07",    # asked for from the first day
                   ("WERK/NK", "leak-check"): "2025-07-07", ("WERK/MIX", "leak-check"): "2025-07-07",
                   ("WERK/FROST", "leak-check"): "2025-07-07"},
    "2025-02-04": {**NEVER_CHECKED, **TESTS,
                   ("WERK/TK", "leak-check"): "2025-04-07", ("WERK/TK", "detection-system"): "2025-01-07",
                   ("WERK/TK", "follow-up-test"): "2025-03-04",      # within a month of the repair; the early one does not count
                   ("WERK/NK", "leak-check"): "2025-07-07", ("WERK/MIX", "leak-check"): "2025-07-07",
                   ("WERK/FROST", "leak-check"): "2025-07-07"},
    "2025-06-30": {**NEVER_CHECKED, **TESTS,
                   ("WERK/TK", "leak-check"): "2025-10-01",          # 1 April, and with a system six months
                   ("WERK/TK", "detection-audit"): "2026-05-01",     # twelve months from its first day
                   ("WERK/NK", "leak-check"): "2025-09-10",          # 10 March and six months
                   ("WERK/MIX", "leak-check"): "2025-07-07", ("WERK/FROST", "leak-check"): "2025-07-07"},
    "2025-12-31": {**NEVER_CHECKED, **TESTS,
                   ("WERK/TK", "leak-check"): "2026-04-01", ("WERK/TK", "detection-audit"): "2026-05-01",
                   ("WERK/NK", "leak-check"): "2026-03-01", ("WERK/MIX", "leak-check"): "2026-01-07",
                   ("WERK/FROST", "leak-check"): "2026-01-20",       # counted from the late one, 20 July
                   ("WERK/ALT", "repair"): "2025-12-24"},            # fourteen days from 10 December
}
# day, added kg, days counted, rate: of 130 kg. No threshold: the regulation has none.
RATES = (
    ("2025-02-04", "12.00", 365, Fraction(12, 130)),                       # the first one: a year
    ("2025-06-10", "3.90", 126, Fraction(39, 1300) * Fraction(365, 126)),  # 24 + 31 + 30 + 31 + 10 days
)
# Nothing else may be an exception: no vacuum, owner, threshold or test of another country's rules.
EXCEPTIONS = {
    ("service-ban", "2025-06-10"),      # virgin gas of 3921.6 into refrigeration, Art. 13(3) since 2025-01-01
    ("reuse-condition", "2025-09-16"),  # recovered and not yet recycled, Art. 8
}


def utc(moment):
    """Berlin: an hour before, in summer two."""
    local = dt.datetime.strptime(moment, "%Y-%m-%d %H:%M")
    summer = dt.datetime(2025, 3, 30, 3) <= local < dt.datetime(2025, 10, 26, 3)
    return (local - dt.timedelta(hours=2 if summer else 1)).strftime("%Y-%m-%dT%H:%M:%SZ")


def kilograms(text):
    """As the program counts: 1.25 nanograms."""
    whole = Fraction(text) * 800_000_000_000
    assert whole.denominator == 1
    return int(whole)


class Shop:
    def __init__(self):
        self.b = Book(start=False)
        at = utc(FIRST + " 09:00")
        said = self.b.ok("start", "--company", "Kaeltewerk Distelgrund", "--zone", "Europe/Berlin", "--units", "kg", now=at).stdout
        assert "country DE (Germany), by its zone" in said, said
        ok = lambda *words: self.b.ok(*words, now=at)  # noqa: E731
        ok("site", "add", SITE, "--owner", OWNER)
        for code, category, gas, kg, more, _ in EQUIPMENT:
            ok("appliance", "add", "%s/%s" % (SITE, code), "--category", category, "--refrigerant", gas, "--full-charge", kg + "kg",
               "--charge-basis", "maker", *more)
            ok("circuit", "add", "%s/%s/1" % (SITE, code), "--serves", "alles")
        for code, gas, mark, tested, _ in CYLINDERS:
            ok("cylinder", "add", code, "--use", "supply" if code.startswith("V") else "recovery", "--wc", "61L" if code.startswith("V") else "27.2L",
               "--tare", "30kg" if code.startswith("V") else "12.5kg", "--spec", mark, "--tested", tested, *(["--refrigerant", gas] if gas else []))

    def open_on(self, day):
        now = utc(day + " 20:00")
        page = self.b.json("due", "--within", "999d", now=now)
        got = {}
        for item in page["items"]:
            key = item["subject"], item["what"]
            assert key not in got, (day, "twice", key)
            got[key] = item["due_on"]
            assert item["late"] == (item["due_on"] < day), (day, item)
            assert item["rule_id"].startswith(("eu-2024-573.", "eu-adr-p200.")), item
        calendar = re.sub(r"\r\n ", "", self.b.ok("due", "--within", "999d", "--format", "ics", now=now).stdout)
        shown = {}
        for entry in calendar.split("BEGIN:VEVENT")[1:]:
            uid = re.search(r"UID:due/(?:eu-[^/]+/)?([^/@]+)/([^@\r]+)@", entry)
            if "/late@" in entry:  # the same once more, on the day of the page
                continue
            day_of = re.search(r"DTSTART;VALUE=DATE:(\d{4})(\d\d)(\d\d)", entry)
            kind, rest = uid.group(1), uid.group(2).split("/")
            shown["/".join(rest[:2]) if rest[0] == SITE else rest[0], kind] = "-".join(day_of.groups())
        assert shown == got, (day, "calendar", shown, "due", got)
        return got

    def live(self):
        """Records the diary day by day; `due` and its calendar are asked at the end of each day of the table."""
        seen, days = 0, sorted(OPEN)
        for when, words in (*DIARY, ("9999", "")):
            while days and when[:10] > days[0]:
                got, wanted = self.open_on(days[0]), OPEN[days[0]]
                assert got == wanted, (days[0], "book", sorted(got.items() - wanted.items()), "by hand", sorted(wanted.items() - got.items()))
                seen += len(wanted)
                days.pop(0)
            if words:
                self.b.ok(*words.split(" "), now=utc(when))
        return seen


shop = Shop()
clocks = shop.live()
b, END = shop.b, utc("2025-12-31 20:00")

# the cycle of each piece: what the equipment table asks for, and nothing for those that it leaves out
checked = {i["subject"] for i in b.json("due", "--within", "9999d", now=END)["items"] if i["what"] == "leak-check"}
assert checked == {"%s/%s" % (SITE, e[0]) for e in EQUIPMENT if e[5]}, checked
tests = {i["subject"]: i["due_on"] for i in b.json("due", "--within", "9999d", now=END)["items"] if i["what"] == "requalification"}
assert tests == {c[0]: c[4] for c in CYLINDERS if c[4]}, tests

page = b.json("report", "appliance", "WERK/TK", now=END)
assert len(page["additions"]) == len(RATES)
for row, (day, kg, days, rate) in zip(page["additions"], RATES):
    assert row["at"].startswith(day) and row["days"] == days, row
    assert int(row["added_count"]) == kilograms(kg), row
    assert abs(row["rate_percent"] - float(100 * rate)) < 1e-5, (row, float(rate))
    assert row["threshold_percent"] is None and row["exceeded"] is None and row["rule"] is None, row
assert not b.json("report", "appliance", "WERK/NK", now=END)["additions"], "what came out was put back"

# the start, the site, two entries for each piece of equipment, one for each cylinder; then the diary, an event a line
before = 2 + 2 * len(EQUIPMENT) + len(CYLINDERS)
day_of = {"E%d" % (before + i): when[:10] for i, (when, _) in enumerate(DIARY, 1)}
exceptions = {(e["check"], day_of[event]) for e in b.json("list", "exceptions", now=END)["items"] for event in e["event_names"]}
assert exceptions == EXCEPTIONS, exceptions

# the year in kilograms: 12 and 3.9 kg went into the low-temperature rack; 5 kg came out of the other one and went back
year = b.json("report", "year", "2025", now=END)
assert [p["pack"] for p in year["rule_packs"]] == ["eu-2024-573", "eu-adr-p200"], year["rule_packs"]
moved = {}
for row in year["equipment"]:
    for term in row["terms"]:
        moved[row["appliance"], term["term"]] = int(term["mass_count"])
assert moved == {("WERK/TK", "charged"): kilograms("15.9"), ("WERK/NK", "recovered"): kilograms("-5"), ("WERK/NK", "reused"): kilograms("5")}, moved

# fill: 80 % of the liquid at 25 C, 1.10 kg/l (from memory, within 1.5 %): 0.8 x 27.2 x 1.10 = 23.94 kg
room = b.json("room", "FL-1", now=END)
by_rule = {limit["rule"]: limit for limit in room["limits"]}
assert abs(int(by_rule["80-percent-at-77F"]["net_count"]) / kilograms("23.936") - 1) < 0.015, by_rule
assert "ADR 4.1.4.1 P200 (to confirm)" in by_rule["transport-fill"]["source"], by_rule
assert room["test_due"] == "2026-03", room["test_due"]

# no page speaks of another country's rules
for words in (["report", "appliance", "WERK/TK"], ["report", "year", "2025"], ["report", "site", SITE], ["room", "FL-1"], ["room", "FL-4"],
              ["label", "FL-1"], ["circuit", "show", "WERK/NK/1"], ["report", "cylinder", "FL-1"], ["report", "retention"], ["list", "exceptions"],
              ["due", "--within", "9999d"], ["report", "inventory"]):
    text = b.ok(*words, now=END).stdout.replace("125 F / 52 C", "")  # the label says both
    assert not re.search(r"\bCFR\b|us-82f|us-84c|us-49cfr|psig|\d F\b", text), (words, re.search(r".*(CFR|us-|psig|\d F\b).*", text).group())
assert b.json("check", now=END)["ok"] is True
print("a year in the European Union: %d open clocks on %d days, %d rates, %d tests of cylinders and %d exceptions agree" %
      (clocks, len(OPEN), len(RATES), len(tests), len(exceptions)))
