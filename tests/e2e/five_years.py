"""Five years of an invented shop, drawn by dice and recorded visit by visit as job sheets: the rates, clocks and year
balances of the program beside those of the slow model in plain_shop.py, which shares no code with it.

TAREBOOK_SHOP_SEED repeats a run, TAREBOOK_SHOP_BUSY=4 makes visits some seven times as often (0.6).
"""
import datetime as dt
import json
import os
import random
from fractions import Fraction

from book import Book
from plain_shop import DAY, Appliance

SEED = int(os.environ.get("TAREBOOK_SHOP_SEED", random.randrange(10**9)))
BUSY = float(os.environ.get("TAREBOOK_SHOP_BUSY", "0.6"))
FIRST, LAST = dt.date(2022, 1, 3), dt.date(2026, 12, 31)
TARE = {"jug": 650, "RC": 6200}
FILL = 2500  # a full jug, in hundredths of a pound
print("five years: TAREBOOK_SHOP_SEED=%d TAREBOOK_SHOP_BUSY=%g" % (SEED, BUSY))
dice = random.Random(SEED)


def lb(hundredths):
    return "%d.%02d" % divmod(hundredths, 100)


class Shop:
    basis = {"R-22": "clean-service", "R-404A": "clean-service-proof", "R-410A": "star"}  # a star says nothing of a 4BA

    def __init__(self):
        self.b = Book()
        self.jugs, self.tanks, self.sheets, self.leaks = {}, {}, 0, 0
        self.last_day, self.today = None, 0
        self.flows = []  # (day, gas, owner of the site or "", site, what, hundredths)
        early = "2021-12-01T15:00:00Z"
        ok = lambda *words: self.b.ok(*words, now=early)  # noqa: E731
        for site, owner, method in (("OAK", "Quillpost Markets", "annualizing"), ("FERN", "Quillpost Markets", "rolling"),
                                    ("DAIRY", "Bramble Dairy Co-op", "annualizing")):
            ok("site", "add", site, "--owner", owner, "--leak-rate-method", method)
        ok("scale", "add", "S1", "--reads", "lb", "--division", "0.01lb")
        self.appliances = []
        for code, category, gas, full in (
                ("OAK/RACK-A", "commercial-refrigeration", "R-448A", 90000), ("OAK/RACK-B", "commercial-refrigeration", "R-22", 60000),
                ("FERN/RACK", "commercial-refrigeration", "R-404A", 42000), ("FERN/ROOF-1", "comfort-cooling", "R-410A", 3800),
                ("FERN/OLD", "commercial-refrigeration", "R-22", 16000), ("DAIRY/ICE", "industrial-process", "R-22", 12000)):
            site = code.split("/")[0]
            ok("appliance", "add", code, "--category", category, "--refrigerant", gas, "--full-charge", lb(full) + "lb",
               "--charge-basis", "calculated", *(["--detection-system", "yes"] if code == "FERN/OLD" else []))
            ok("circuit", "add", code + "/1", "--serves", "all of it")
            self.appliances.append(Appliance(code, "Bramble Dairy Co-op" if site == "DAIRY" else "Quillpost Markets", category, gas,
                                             full, "rolling" if site == "FERN" else "annualizing",
                                             dt.date(2021, 12, 1) if code == "FERN/OLD" else None))
        for owner, letter in (("Quillpost Markets", "Q"), ("Bramble Dairy Co-op", "B")):
            for gas in ("R-448A", "R-22", "R-404A", "R-410A"):
                code = "RC-%s%s" % (letter, gas[2:])
                ok("cylinder", "add", code, "--use", "recovery", "--refrigerant", gas, "--wc", "120lb", "--tare",
                   lb(TARE["RC"]) + "lb", "--spec", "DOT-4BA400", "--tested", "2021-12",
                   *(["--test-basis", self.basis[gas]] if gas in self.basis else []))
                self.tanks[owner, gas] = [code, 0]

    def record(self, day, site, lines, job):
        """One sheet; every line a minute after the one before. The next sheet of the day begins twenty minutes later."""
        self.sheets += 1
        self.today = self.today + 1 if self.last_day == day else 0
        self.last_day = day
        path = os.path.join(self.b.folder, "visit.yaml")
        with open(path, "w") as f:
            f.write("sheet: V-%d\nsite: %s\nday: %s\nscale: S1\n" % (self.sheets, site, day))
            if job:
                f.write('job: "%s"\n' % job)
            f.write("weighings:\n")
            for i, line in enumerate(lines):
                f.write("".join("%s%s: %s\n" % ("  - " if k == 0 else "    ", key, value) for k, (key, value) in
                                enumerate([*line.items(), ("at", "%02d:%02d" % divmod(540 + 20 * self.today + i, 60))])))
        self.b.ok("job", "record", path, now="%sT23:30:00Z" % day)

    def receive(self, day, gas):
        code = "J%d" % (len(self.jugs) + 1)
        self.b.ok("cylinder", "add", code, "--use", "supply", "--refrigerant", gas, "--wc", "30lb", "--tare", lb(TARE["jug"]) + "lb",
                  "--spec", "DOT-39", now="%sT12:00:00Z" % day)
        self.b.ok("receive", code, "--from", "Larkfield Supply", "--gross", lb(TARE["jug"] + FILL) + "lb", "--refrigerant", gas,
                  "--condition", "virgin", now="%sT12:10:00Z" % day)
        self.jugs[code] = [gas, FILL]
        self.flows.append((day, gas, "", "", "received", FILL))
        return code

    def from_jugs(self, day, a, gas, mass, more):
        lines = []
        while mass > 0:
            code = next((c for c, (g, left) in self.jugs.items() if g == gas and left > 0), None) or self.receive(day, gas)
            part = min(mass, self.jugs[code][1])
            before = TARE["jug"] + self.jugs[code][1]
            lines.append({"act": "charge", "circuit": a.code + "/1", "from": code, "before": lb(before), "after": lb(before - part), **more})
            self.jugs[code][1] -= part
            mass -= part
        return lines

    def visit(self, day, a, mass, taken=0, put_back=0, reason="leak", leak=""):
        """Takes out, puts back, and charges what is missing, in one job."""
        site, gas = a.code.split("/")[0], a.at(a.gases, day)
        job = "%d" % (1000 + self.sheets)
        tank = self.tanks[a.owner, gas]
        lines = []
        if taken:
            gross = TARE["RC"] + tank[1]
            lines.append({"act": "recover", "circuit": a.code + "/1", "into": tank[0], "before": lb(gross), "after": lb(gross + taken)})
            tank[1] += taken
            a.moves.append((day, job, -taken, "open", ""))
            self.flows.append((day, gas, a.owner, site, "recovered", taken))
        if put_back:
            gross = TARE["RC"] + tank[1]
            lines.append({"act": "reuse", "circuit": a.code + "/1", "from": tank[0], "before": lb(gross), "after": lb(gross - put_back)})
            tank[1] -= put_back
            a.moves.append((day, job, put_back, "put_back", ""))
            self.flows.append((day, gas, a.owner, site, "reused", put_back))
        if mass:
            more = {"reason": reason, **({"leak": leak} if leak else {})}
            lines += self.from_jugs(day, a, gas, mass, more)
            a.moves.append((day, job, mass, reason, leak))
            self.flows.append((day, gas, a.owner, site, "charged", mass))
        self.record(day, site, lines, job)

    def note(self, day, a, what, leak="", good=True, by=None):
        """Something on record about leaks, in a sheet of its own."""
        site = a.code.split("/")[0]
        line = {"leak": {"act": "leak", "appliance": a.code, "place": "joint"},
                "repair": {"act": "repair", "leak": leak, "done": "brazed"},
                "initial": {"act": "leak-test", "leak": leak, "stage": "initial", "result": "pass" if good else "fail"},
                "follow-up": {"act": "leak-test", "leak": leak, "stage": "follow-up", "result": "pass" if good else "fail"},
                "inspect": {"act": "inspect", "appliance": a.code, "method": "soap solution", "result": "no-leak" if good else "leak"},
                "audit": {"act": "inspect", "appliance": a.code, "of": "detection-system", "method": "as its maker says",
                          "result": "pass" if good else "fail"},
                "plan": {"act": "plan", "appliance": a.code, "until": by,
                         **({"plan": "retire", "to": leak} if leak else {"plan": "retrofit"})}}[what]
        self.record(day, site, [line], "")
        a.facts.append((day, len(a.facts), what, leak, good, by))

    def pause(self, day, a, what, ground="", by=None):
        """An appliance is mothballed or in use again, or its repair gets more time."""
        words = {"mothball": ["mothball", a.code, "--pressure", "0psig"], "in-use": ["mothball", a.code, "--end"],
                 "extension": ["extension", a.code, "--for", ground, *(["--of", "plan-work"] if ground == "relief" else []),
                               *(["--until", str(by)] if ground == "parts" else [])]}[what]
        self.b.ok(*words, now="%sT22:00:00Z" % day)
        a.facts.append((day, len(a.facts), what, ground, True, by))

    def send_back(self, day):
        """What stands in the tanks goes to the reclaimer; the tanks stay."""
        for (owner, gas), tank in self.tanks.items():
            if tank[1] == 0:
                continue
            self.b.ok("return", tank[0], "--to", "Larkfield Reclaim", "--before", lb(TARE["RC"] + tank[1]) + "lb", "--after",
                      lb(TARE["RC"]) + "lb", now="%sT20:00:00Z" % day)
            self.flows.append((day, gas, owner, "", "returned", tank[1]))
            tank[1] = 0

    def misread(self, day):
        """A jug weighs less than the book thinks: half a pound of it nobody saw go."""
        open_jugs = [c for c, (_, left) in self.jugs.items() if left > 300]
        if not open_jugs:
            return
        code = dice.choice(open_jugs)
        gas, left = self.jugs[code]
        self.b.ok("weigh", code, "--gross", lb(TARE["jug"] + left - 150) + "lb", now="%sT21:00:00Z" % day)
        self.jugs[code][1] -= 150
        self.flows.append((day, gas, "", "", "unaccounted", 150))


def live(shop):
    """Day after day: on most days nothing happens, and to one appliance at most one thing."""
    todo = {a.code: [] for a in shop.appliances}  # (day, what, leak)
    known = {a.code: [] for a in shop.appliances}
    day = FIRST
    while day <= LAST:
        for a in shop.appliances:
            tasks = sorted(t for t in todo[a.code] if t[0] <= day)
            if a.code == "OAK/RACK-B" and day == dt.date(2024, 5, 14):
                shop.b.ok("convert", a.code, "--to", "R-448A", "--full-charge", "550lb", "--charge-basis", "measured",
                          now="%sT14:00:00Z" % day)
                a.gases.append((day, "R-448A")), a.full.append((day, 55000))
                a.facts.append((day, len(a.facts), "convert", "", True, None))
                todo[a.code], known[a.code] = [], []
                shop.visit(day, a, 8000, reason="conversion")
            elif tasks:
                todo[a.code].remove(tasks[0])
                _, what, leak = tasks[0]
                good = dice.random() < 0.8
                shop.note(day, a, what, leak, good, day + dice.randint(20, 500) * DAY if what == "plan" else None)
                soon = day + dice.randint(1, 9) * DAY
                if what == "repair":
                    todo[a.code].append((soon, "initial", leak))
                elif what == "initial":
                    todo[a.code].append((soon, "follow-up" if good else "repair", leak))
                elif what == "follow-up" and not good:
                    todo[a.code].append((soon, "repair", leak))
            elif dice.random() < 0.02 * BUSY:
                full = a.at(a.full, day)
                mass = dice.choice([dice.randint(50, max(51, full // 100)), dice.randint(50, max(51, full // 25)), min(6000, full // 8)])
                leak = dice.choice(known[a.code]) if known[a.code] and dice.random() < 0.4 else ""
                taken = dice.randint(100, 1500) if dice.random() < 0.3 else 0
                put_back = dice.randint(1, taken) if taken and dice.random() < 0.8 else 0
                reason = "leak" if leak or dice.random() < 0.9 else dice.choice(["initial", "overcharge"])
                shop.visit(day, a, 0 if taken and dice.random() < 0.3 else mass, taken, put_back, reason, leak)
            elif dice.random() < 0.01 * BUSY:
                kind = dice.choice(["leak", "audit" if a.detected else "inspect", "inspect", "plan"])
                if kind == "leak":
                    shop.leaks += 1
                    leak = "L-%d" % shop.leaks
                    known[a.code].append(leak)
                    shop.note(day, a, "leak", leak)
                    todo[a.code].append((day + dice.randint(1, 45) * DAY, "repair", leak))
                else:
                    shop.note(day, a, kind, dice.choice(["", "R-744"]) if kind == "plan" else "",
                              by=day + dice.randint(20, 700) * DAY if kind == "plan" else None)
            elif dice.random() < 0.006 * BUSY:
                what = dice.choice(["mothball", "in-use", "extension", "extension"])
                shop.pause(day, a, what, dice.choice(["parts", "process-shutdown", "relief"]) if what == "extension" else "",
                           day + dice.randint(20, 400) * DAY)
        if day.month in (3, 9) and day.day == 28:
            shop.send_back(day)
        if dice.random() < 0.008:
            shop.misread(day)
        day += DAY


def compare_rates(shop):
    seen = 0
    for a in shop.appliances:
        page = shop.b.json("report", "appliance", a.code, now="2027-01-02T15:00:00Z")
        book = [(x["at"][:10], x["added_count"], x["days"], x["rate_percent"], x["exceeded"]) for x in page["additions"] if x["days"] is not None]
        by_hand = a.rates()
        assert len(book) == len(by_hand), (a.code, len(book), len(by_hand))
        for (at, _, days, percent, exceeded), (day, _, rate, by_days) in zip(book, by_hand):
            assert at == str(day), (a.code, at, day)
            assert abs(Fraction(percent) - rate) < Fraction(1, 10**5), (a.code, at, percent, float(rate))
            assert days == by_days, (a.code, at, days, by_days)
            assert exceeded == (a.over(day, rate) if a.regime(day) else None), (a.code, at, exceeded, float(rate))
            seen += 1
    return seen


def compare_clocks(shop):
    kinds = {"repair", "initial-test", "follow-up-test", "inspection", "plan", "plan-work", "chronic-report", "detection-audit"}
    by_hand = {a.code: a.clocks(LAST) for a in shop.appliances}
    seen, day = 0, dt.date(2022, 2, 1)
    while day <= LAST:
        book = {}
        for item in shop.b.json("due", "--on", str(day), "--within", "9999d", now="2027-01-02T15:00:00Z")["items"]:
            if item["what"] in kinds:
                leak = item["due_on"][:4] if item["what"] == "chronic-report" else item["leak"] or ""
                leak = str(int(leak) - 1) if item["what"] == "chronic-report" else leak
                book.setdefault(item["subject"], {})[item["what"], leak] = item["due_on"]
        for code, days in by_hand.items():
            wanted = {key: due and str(due) for key, due in days.get(day, {}).items()}
            got = book.get(code, {})
            assert got == wanted, (code, str(day), "book", got, "by hand", wanted)
            seen += len(wanted)
        day += 9 * DAY
    return seen


def compare_cylinders(shop):
    """49 CFR 180.209: five years, twelve in clean service and ten after a proof-pressure test, (e); the month to its end."""
    due = {i["subject"]: i["due_on"] for i in shop.b.json("due", "--on", "2026-12-01", "--within", "9999d", now="2027-01-02T15:00:00Z")["items"]
           if i["what"] == "requalification"}
    for (owner, gas), tank in shop.tanks.items():
        years = {"clean-service": 12, "clean-service-proof": 10}.get(shop.basis.get(gas), 5)
        assert due[tank[0]] == "%d-12-31" % (2021 + years), (tank, due)
    return len(shop.tanks)


COUNTS = 3628738960  # of 1.25 ng in a hundredth of a pound


def compare_years(shop):
    """Stock by owner and gas: what came, what went, what is there; equipment by site. Each year opens as the last closed."""
    stock, closed, seen = {}, {}, 0
    for year in range(FIRST.year, LAST.year + 1):
        terms, equipment = {}, {}
        for day, gas, owner, site, what, mass in shop.flows:
            if day.year != year:
                continue
            whose = "shop" if what in ("received", "charged", "unaccounted") else owner
            into = {"received": 1, "recovered": 1, "charged": -1, "reused": -1, "returned": -1, "unaccounted": -1}[what]
            row = terms.setdefault((gas, whose), {})
            row[what] = row.get(what, 0) + into * mass
            if site:
                row = equipment.setdefault((gas, site, owner), {})
                row[what] = row.get(what, 0) - into * mass
        page = shop.b.json("report", "year", str(year), now="2027-01-02T15:00:00Z")
        opened = {key: sum(t.values()) for key, t in stock.items() if sum(t.values())}
        for key, row in terms.items():
            for what, mass in row.items():
                stock.setdefault(key, {})[what] = stock.get(key, {}).get(what, 0) + mass
        closing = {key: sum(t.values()) for key, t in stock.items() if sum(t.values())}
        book_terms, book_opened, book_closed, book_counted = {}, {}, {}, {}
        for row in page["stock"]:
            key = row["refrigerant"], row["owner"]
            book_opened[key], book_closed[key] = int(row["opening_count"]), int(row["closing_count"])
            book_counted[key] = int(row["counted_count"]) + int(row["never_counted_count"])
            for t in row["terms"]:
                assert t["basis"] == "weighed", (year, key, t)
                book_terms.setdefault(key, {})[t["term"]] = int(t["mass_count"])
        whole = lambda of: {key: mass for key, mass in of.items() if mass}  # noqa: E731
        assert whole(book_terms) == {key: {w: m * COUNTS for w, m in row.items()} for key, row in terms.items()}, (year, book_terms, terms)
        assert whole(book_opened) == {key: m * COUNTS for key, m in opened.items()}, (year, book_opened, opened)
        assert whole(book_closed) == {key: m * COUNTS for key, m in closing.items()}, (year, book_closed, closing)
        assert {k: v for k, v in book_opened.items() if v} == closed, (year, "does not open as the year before closed")
        assert book_counted == book_closed, (year, "every cylinder was weighed at its last movement")
        closed = whole(book_closed)
        by_site = {}
        for row in page["equipment"]:
            of = by_site.setdefault((row["refrigerant"], row["site"], row["owner"]), {})
            for t in row["terms"]:
                of[t["term"]] = of.get(t["term"], 0) + int(t["mass_count"])
        assert whole(by_site) == {key: {w: m * COUNTS for w, m in row.items()} for key, row in equipment.items()}, (year, by_site, equipment)
        # the sum over owners is the shop
        total = {}
        for owner in ("shop", "Quillpost Markets", "Bramble Dairy Co-op"):
            for row in shop.b.json("report", "year", str(year), "--owner", owner, now="2027-01-02T15:00:00Z")["stock"]:
                total[row["refrigerant"], row["owner"]] = int(row["closing_count"])
        assert whole(total) == closed, (year, total, closed)
        seen += sum(len(row) for row in terms.values()) + sum(len(row) for row in equipment.values())
    return seen


shop = Shop()
live(shop)
rates = compare_rates(shop)
clocks = compare_clocks(shop)
compare_cylinders(shop)
figures = compare_years(shop)
assert shop.b.json("check")["ok"] is True
print("five years: %d sheets, %d rates, %d open clocks and %d figures of years agree" % (shop.sheets, rates, clocks, figures))
assert rates > 50 * BUSY and clocks > 50 * BUSY and figures > 50
