"""A year of an invented shop under federal rules, and one under those of California, lived day by day: rates, clocks, the
due list and the calendar beside tables that were worked by hand from the clauses.

The tables are tests/reference/data/worked-year-*.csv. A row "clock" says from when to when something is open, and when it
is due; on each day that is looked at, the list has what the rows say and nothing else. A row "rate" is an addition with
its rate in percent, and whether that is over the threshold ("none": no rule asks). A row "text" is part of a clock's words.
Clauses as collected in the project's reference notes of November 2026; of part 84 only scope, thresholds, 30 days, the
125 % and 1 March were read in print, its other rows stand by analogy with 82.157. Own readings are named in the rows.
"""
import csv
import datetime as dt
import os
import re
from fractions import Fraction

from book import SOURCE, Book

DAY = dt.timedelta(days=1)
OUTSIDE = ("--from", "outside:Brine-and-Sons", "--net")


def law(clause):
    """"40 CFR": two laws may ask for the same of one appliance."""
    return clause[:6]


def key_of(item):
    return item["subject"], item["what"], item["leak"] or "", law(item["rule"] or "")


def rows(name):
    with open(os.path.join(SOURCE, "tests/reference/data/worked-year-%s.csv" % name), newline="") as f:
        return list(csv.DictReader(f))


def appliance(code, category, gas, full, *more):
    return [("appliance", "add", code, "--category", category, "--refrigerant", gas, "--full-charge", full, "--charge-basis", "calculated", *more),
            ("circuit", "add", code + "/1", "--serves", "all of it")]


def charge(code, mass, *more):
    return ("charge", "--circuit", code + "/1", *OUTSIDE, mass, *more)


def inspect(code):
    return ("inspect", code, "--method", "soap solution", "--result", "no-leak")


def leak_test(leak, stage, result):
    return ("leak-test", leak, "--stage", stage, "--result", result)


def settle_clock(what, why):
    """Resolves the clock that is open: its id is on the due list."""
    return ("resolve", what, "--why", why)


def federal():
    """{day: commands}"""
    commercial, cylinder = "commercial-refrigeration", ("cylinder", "add")
    return {
        "2026-01-05": [
            *(("site", "add", s, "--owner", "Quillpost Markets") for s in ("OAK", "ROOF", "COLD")),
            ("site", "add", "PLANT", "--owner", "Bramble Dairy Co-op"),
            *appliance("OAK/RACK-A", commercial, "R-448A", "400lb"), *appliance("OAK/RACK-B", commercial, "R-22", "600lb"),
            *appliance("PLANT/CHILL", "industrial-process", "R-22", "120lb"), *appliance("ROOF/AC", "comfort-cooling", "R-410A", "20lb"),
            *appliance("OAK/CASE-6", commercial, "R-22", "100lb"), *appliance("OAK/CASE-7", commercial, "R-448A", "100lb"),
            *appliance("OAK/CASE-8", commercial, "R-448A", "14lb"), *appliance("OAK/CASE-9", commercial, "R-22", "45lb"),
            (*cylinder, "RC-1", "--use", "recovery", "--refrigerant", "R-448A", "--wc", "47.6lb", "--tare", "27.5lb", "--spec", "DOT-4BA400",
             "--tested", "2021-06"),
            (*cylinder, "RC-2", "--use", "recovery", "--refrigerant", "R-22", "--spec", "DOT-4BW400", "--tested", "2014-09", "--test-basis", "clean-service"),
            (*cylinder, "RC-3", "--use", "recovery", "--refrigerant", "R-22", "--spec", "DOT-3AA2015", "--tested", "2017-02", "--test-basis", "star"),
            (*cylinder, "RC-4", "--use", "recovery", "--refrigerant", "R-717", "--spec", "DOT-4AA480", "--tested", "2018-08", "--test-basis", "ammonia"),
            (*cylinder, "RC-5", "--use", "recovery", "--refrigerant", "R-22", "--spec", "DOT-4BA400", "--tested", "2016-11", "--test-basis",
             "clean-service-proof")],
        "2026-01-15": [charge("PLANT/CHILL", "20lb")],
        "2026-01-20": [charge("OAK/RACK-A", "30lb")],
        "2026-02-02": [charge("OAK/RACK-B", "50lb")],
        "2026-02-10": [charge("ROOF/AC", "9lb")],
        "2026-03-05": [charge("OAK/CASE-6", "5lb"), charge("OAK/CASE-7", "20lb"), charge("OAK/CASE-8", "10lb"), charge("OAK/CASE-9", "20lb")],
        "2026-03-11": [charge("OAK/RACK-A", "20lb"), ("plan", "ROOF/AC", "--kind", "retire", "--to", "R-744", "--by", "2028-06-30")],
        "2026-03-12": [("leak", "add", "OAK/RACK-A", "--place", "flare nut")],
        "2026-03-25": [("repair", "L-1", "--done", "nut renewed")],
        "2026-03-26": [leak_test("L-1", "initial", "pass")],
        "2026-04-01": appliance("COLD/RACK-C", commercial, "R-448A", "1600lb", "--installed", "2026-04-01"),
        "2026-04-03": [leak_test("L-1", "follow-up", "pass")],
        "2026-04-13": [charge("OAK/RACK-B", "30lb")],
        "2026-04-14": [("leak", "add", "OAK/RACK-B", "--place", "valve stem")],
        "2026-04-20": [("appliance", "correct", "COLD/RACK-C", "--detection-system", "yes")],
        "2026-05-04": [("repair", "L-2", "--done", "stem packed")],
        "2026-05-05": [leak_test("L-2", "initial", "pass")],
        "2026-05-06": [("recover", "--circuit", "OAK/CASE-7/1", "--into", "RC-1", "--before", "27.5lb", "--after", "33.5lb")],
        "2026-05-12": [leak_test("L-2", "follow-up", "pass"), ("return", "RC-1", "--to", "Larkfield Reclaim", "--before", "33.5lb", "--after", "27.5lb")],
        "2026-05-15": [charge("PLANT/CHILL", "14lb")],
        "2026-05-16": [("leak", "add", "PLANT/CHILL", "--place", "tube sheet")],
        "2026-06-01": [("repair", "L-3", "--done", "tube plugged"), charge("COLD/RACK-C", "100lb")],
        "2026-06-02": [leak_test("L-3", "initial", "pass")],
        "2026-06-05": [charge("ROOF/AC", "9lb")],
        "2026-06-10": [leak_test("L-3", "follow-up", "fail")],
        "2026-06-13": [("plan", "PLANT/CHILL", "--kind", "retrofit", "--to", "R-448A", "--by", "2027-12-31")],
        "2026-06-15": [inspect("OAK/RACK-A")],
        "2026-06-18": [("settle", "return:RC-1", "--refrigerant", "5.9lb", "--outcome", "reclaimed")],
        "2026-06-20": [settle_clock("put-back", "it went to the reclaimer")],
        "2026-07-02": [("requalify", "RC-1", "--tested", "2026-07", "--mark", "A123 7 26")],
        "2026-07-10": [inspect("OAK/RACK-B")],
        "2026-09-14": [charge("ROOF/AC", "7lb")],
        "2026-10-01": [charge("OAK/RACK-A", "15lb")],
        "2026-10-10": [inspect("OAK/RACK-B")],
        "2026-11-10": [("inspect", "COLD/RACK-C", "--of", "detection-system", "--method", "as its maker says", "--result", "pass")],
        "2026-11-20": [inspect("PLANT/CHILL")],
        "2026-12-15": [inspect("ROOF/AC")],
        "2027-01-14": [inspect("OAK/RACK-B")],
        "2027-02-20": [settle_clock("chronic-report", "sent on 20 February")],
    }


def california():
    commercial = "commercial-refrigeration"
    reports = [settle_clock("annual-report/" + a, "sent") for a in ("BAY/RACK-M", "BAY/RACK-L")]
    return {
        "2025-12-10": [
            ("site", "add", "BAY", "--owner", "Quillpost Markets", "--rule-packs", "us-ca"),
            ("site", "add", "PLANT", "--owner", "Bramble Dairy Co-op", "--rule-packs", "us-ca"),
            *appliance("BAY/RACK-S", commercial, "R-448A", "199lb"), *appliance("BAY/RACK-M", commercial, "R-448A", "200lb"),
            *appliance("BAY/RACK-L", commercial, "R-448A", "2000lb", "--installed", "2015-06-01"),
            *appliance("BAY/RACK-X", commercial, "R-448A", "50lb"), *appliance("BAY/ROOF", "comfort-cooling", "R-410A", "300lb"),
            *appliance("PLANT/ICE", "industrial-process", "R-448A", "300lb")],
        "2026-01-09": [inspect("BAY/RACK-L")],
        "2026-01-31": [inspect("BAY/RACK-L")],
        "2026-02-20": reports,
        "2026-03-02": [("appliance", "correct", "BAY/RACK-L", "--detection-system", "yes")],
        "2026-03-05": [settle_clock("annual-report/PLANT/ICE", "sent late")],
        "2026-03-09": [inspect("BAY/RACK-M")],
        "2026-03-31": [inspect("PLANT/ICE")],
        "2026-04-08": [("leak", "add", "BAY/RACK-M", "--place", "header")],
        "2026-04-20": [("repair", "L-1", "--done", "brazed"), charge("BAY/RACK-M", "10lb")],
        "2026-06-05": [inspect("BAY/RACK-M")],
        "2026-06-30": [inspect("PLANT/ICE")],
        "2026-08-03": [("leak", "add", "PLANT/ICE", "--place", "valve")],
        "2026-09-05": [inspect("BAY/RACK-M")],
        "2026-09-10": [("repair", "L-2", "--done", "valve renewed"), charge("PLANT/ICE", "45lb")],
        "2026-09-28": [inspect("PLANT/ICE")],
        "2026-10-19": [("leak", "add", "BAY/RACK-S", "--place", "union")],
        "2026-11-03": [("repair", "L-3", "--done", "union renewed")],
        "2026-11-30": [inspect("BAY/RACK-S")],
        "2026-12-01": [inspect("BAY/RACK-M")],
        "2026-12-28": [inspect("PLANT/ICE")],
    }


class Year:
    def __init__(self, name, acts, last):
        self.name, self.acts, self.last = name, acts, dt.date.fromisoformat(last)
        self.table = rows(name)
        self.b, self.names, self.seen, self.looks = Book(), {}, 0, 0

    def now(self, day, hour=23):
        return "%sT%02d:30:00Z" % (day, hour)

    def act(self, day, words, minute):
        words = list(words)
        if words[0] == "settle":
            words[1] = self.names[words[1]]
        if words[0] == "resolve":
            (words[1],) = [i["clock"] for i in self.due(day) if "/%s/" % words[1] in i["clock"]]
        done = self.b.json(*words, now="%sT15:%02d:00Z" % (day, minute))
        if words[0] == "return":
            self.names["return:" + words[1]] = done["events"][0]["event"]

    def due(self, day, **kw):
        return self.b.json("due", "--on", str(day), "--within", "9999d", now=kw.get("now", self.now(day)))["items"]

    def wanted(self, day, **kw):
        """What is open at the end of a day: {(subject, what, part): due}."""
        out = {}
        for row in self.table:
            if row["page"] != "clock" or not row["from"] <= str(day) or (row["until"] and row["until"] <= str(day)):
                continue
            key = row["subject"], row["what"], row["part"], law(row["clause"])
            assert key not in out, ("two rows for one clock", key, day)
            out[key] = row
        return out

    def look(self, day):
        items, wanted = self.due(day), self.wanted(day)
        got = {key_of(i): i for i in items}
        assert len(got) == len(items), items
        told = {key: i["due_on"] or "" for key, i in got.items()}
        assert told == {key: row["due"] for key, row in wanted.items()}, (self.name, str(day), told, {k: r["due"] for k, r in wanted.items()})
        for key, row in wanted.items():
            late = bool(row["due"]) and row["due"] < str(day)
            assert got[key]["late"] == late, (self.name, str(day), key, got[key])
            assert (got[key]["rule"] or "").startswith(row["clause"].split("(")[0]), (key, got[key]["rule"], row["clause"])
        for row in self.table:
            if row["page"] == "text" and row["from"] == str(day):
                text = got[row["subject"], row["what"], row["part"], law(row["clause"])]["text"]
                assert row["value"] in text, (row, text)
        assert self.calendar(day) == sorted((i["clock"], i["due_on"] or "", i["late"]) for i in items), (self.name, str(day))
        self.seen += len(items)
        self.looks += 1

    def calendar(self, day):
        """[(id, day or nothing, late)] as a calendar program reads it."""
        text = self.b.ok("due", "--on", str(day), "--within", "9999d", "--format", "ics", now=self.now(day)).stdout
        out = []
        for entry in re.findall(r"BEGIN:V(?:EVENT|TODO)\n(.*?)END:V", text.replace("\r\n", "\n").replace("\n ", ""), re.S):
            entry = re.sub(r"BEGIN:VALARM\n.*", "", entry, flags=re.S)  # the alarm repeats the summary
            field = dict(line.split(":", 1) for line in entry.strip().split("\n"))
            on = re.sub(r"(\d{4})(\d\d)(\d\d)", r"\1-\2-\3", field.get("DTSTART;VALUE=DATE", ""))
            uid = field["UID"].rsplit("@", 1)[0]
            if field.get("STATUS") == "CANCELLED":  # a clock that was closed since: clocks.py looks at those
                continue
            if not uid.startswith("due/nothing/") and not uid.endswith("/late"):  # late: once more, on the day of the page
                out.append((uid, on, field["SUMMARY"].startswith("LATE: ")))
        return sorted(out)

    def live(self):
        days = set(self.acts)
        for row in self.table:
            for key in ("from", "due", "until"):
                if row[key] and row["page"] == "clock" and min(self.acts) <= row[key] <= str(self.last):
                    one = dt.date.fromisoformat(row[key])
                    days.update(str(d) for d in (one - DAY, one, one + DAY) if min(self.acts) <= str(d) <= str(self.last))
        for day in sorted(days):
            for minute, words in enumerate(self.acts.get(day, [])):
                self.act(day, words, minute)
            self.look(dt.date.fromisoformat(day))

    def rates(self):
        told = {}
        for code in sorted({row["subject"] for row in self.table if row["page"] == "rate"} | {r["subject"] for r in self.table if "/" in r["subject"]}):
            for a in self.b.json("report", "appliance", code, now=self.now(self.last))["additions"]:
                told[code, a["at"][:10]] = Fraction(a["rate_percent"]), a["exceeded"]
        wanted = {}
        for row in self.table:
            if row["page"] == "rate":
                percent, _, word = row["value"].partition(" ")
                wanted[row["subject"], row["from"]] = Fraction(percent), {"over": True, "": False, "none": None}[word]
        assert set(told) == set(wanted), (set(told) ^ set(wanted))
        for key, (percent, over) in wanted.items():
            assert abs(told[key][0] - percent) < Fraction(1, 10**5) and told[key][1] == over, (self.name, key, told[key], percent, over)
        return len(wanted)

    def looked_at_later(self):
        """The last day's program says the same of every day of the year where the register had not changed since."""
        end = self.now(self.last)
        for month in range(1, 13):
            day = dt.date(2026, month, 17)
            later = {key_of(i): i["due_on"] or "" for i in self.due(day, now=end)
                     if i["what"] not in ("requalification", "detection-system", "detection-audit", "inspection", "annual-report")}
            wanted = {key: row["due"] for key, row in self.wanted(day).items()
                      if key[1] not in ("requalification", "detection-system", "detection-audit", "inspection", "annual-report")}
            assert later == wanted, (self.name, str(day), later, wanted)


for year in (Year("federal", federal(), "2027-03-10"), Year("california", california(), "2027-02-15")):
    year.live()
    count = year.rates()
    year.looked_at_later()
    assert year.b.json("check")["ok"] is True
    print("worked year, %s: %d days, %d open clocks and %d rates as worked by hand" % (year.name, year.looks, year.seen, count))
    assert year.looks > 60 and year.seen > 200
