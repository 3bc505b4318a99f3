"""A shop's rates, clocks and year by hand: the slow, independent model beside which five_years.py lays the program.

Whole numbers only: hundredths of a pound, days since some day, rates as fractions. It knows the text of the rules, not
the program: rates by 40 CFR 82.152 and 84.102, thresholds 82.157(c)(2) and 84.106(c)(2), days and tests 82.157(d), (e),
(g), (h), (j) and 84.106 (d), (e), (g), (h), (j), of which inspections, plans and first tests are from memory. Where the
texts leave a gap it makes the same choice as lib/include/tarebook/rules/leak_rate.hpp and clocks.hpp say they make.
"""
import datetime as dt
from fractions import Fraction

DAY = dt.timedelta(days=1)
THRESHOLD = {"commercial-refrigeration": 20, "industrial-process": 30, "comfort-cooling": 10}
ODS = {"R-22"}
NOT_COUNTED = {"initial", "conversion", "seasonal"}


def months_later(day, months):
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    month += 1
    last = (dt.date(year + month // 12, month % 12 + 1, 1) - DAY).day
    return dt.date(year, month, min(day.day, last))


class Appliance:
    def __init__(self, code, owner, category, gas, full, method, detected=None):
        self.detected = detected  # since when a detection system is on record
        self.code, self.owner, self.category, self.method = code, owner, category, method
        self.gases = [(dt.date.min, gas)]
        self.full = [(dt.date.min, full)]
        self.moves = []  # (day, job, hundredths: + in, - out, reason, leak)
        self.facts = []  # (day, number, what, leak, good, by); of an extension leak is what it is for

    def at(self, history, day):
        return [value for since, value in history if since <= day][-1]

    def regime(self, day):
        """None, or the part of 40 CFR that asks for repairs on that day."""
        full = self.at(self.full, day)
        if self.at(self.gases, day) in ODS:
            return 82 if full >= 5000 else None
        return 84 if day >= dt.date(2026, 1, 1) and full >= 1500 else None

    def additions(self):
        """By job: [last day, counted, excluded, leak, whether anything went in beyond what came out]."""
        jobs = {}
        for day, job, mass, reason, leak in self.moves:
            j = jobs.setdefault(job, [day, 0, 0, ""])
            j[0] = max(j[0], day)
            if reason in NOT_COUNTED:
                j[2] += mass
            else:
                j[1] += mass
            j[3] = leak or j[3]
        return sorted(j for j in jobs.values() if j[1] > 0 or j[2] > 0)

    def rates(self):
        """[(day, counted, rate in percent, days)] of each addition that counts."""
        out = []
        all_in = self.additions()
        for i, (day, counted, _, leak) in enumerate(all_in):
            if counted <= 0:
                continue
            full = self.at(self.full, day)
            if self.method == "rolling":
                first = day - 364 * DAY
                for proved in self.proved_days():
                    if proved < day:
                        first = max(first, proved + DAY)
                mass = sum(a[1] for a in all_in[:i + 1] if a[0] >= first and a[1] > 0)
                out.append((day, counted, Fraction(100 * mass, full), (day - first).days + 1))
                continue
            group = [i]
            if leak:
                group = [k for k in range(i + 1) if all_in[k][3] == leak]
            before = [a[0] for a in all_in[:group[0]]]
            days = min((day - before[-1]).days, 365) if before else 365
            mass = sum(all_in[k][1] for k in group if all_in[k][1] > 0 and all_in[k][0] > day - 365 * DAY)
            out.append((day, counted, Fraction(100 * mass * 365, full * max(days, 1)), max(days, 1)))
        return out

    def over(self, day, rate):
        return self.regime(day) is not None and rate > THRESHOLD[self.category]

    def proved_days(self):
        """Days of follow-up tests after which every leak on record had passed its own."""
        passed, out = {}, []
        for day, _, what, leak, good, _ in sorted(self.facts, key=lambda f: f[:2]):
            if what in ("leak", "repair") or (what in ("initial", "follow-up") and not good):
                passed[leak] = False
            if what == "follow-up" and good:
                passed[leak] = True
                if all(passed.values()):
                    out.append(day)
        return out

    def clocks(self, until):
        """Day by day: {(what, leak): due} at the end of each day up to `until`. Two regimes never run at once here."""
        desk, out = Desk(self), {}
        rates = {day: rate for day, _, rate, _ in self.rates()}
        facts = sorted(self.facts, key=lambda f: f[:2])
        day = min([f[0] for f in facts] + [m[0] for m in self.moves] + [until, self.detected or until])
        while day <= until:
            desk.morning(day)
            if any(m[0] == day and m[2] > 0 for m in self.moves):  # gas that goes in ends it
                desk.in_use(day)
            if day in rates:
                desk.added(day, self.over(day, rates[day]))
            for f in facts:
                if f[0] == day:
                    desk.take(*f)
            out[day] = desk.evening(day)
            if self.detected and self.regime(day):
                # (g)(4), (l)(4): audited each year
                passed = [f[0] for f in facts if f[2] == "audit" and f[4] and f[0] <= day]
                out[day]["detection-audit", ""] = months_later(max([self.detected] + passed), 12)
            for year, due in self.chronic(day):
                out[day]["chronic-report", str(year)] = due
            day += DAY
        return out

    def chronic(self, day):
        """125 % and more of the full charge in a calendar year: a report by 1 March."""
        years = {}
        for when, counted, _, _ in self.additions():
            if when <= day and counted > 0 and (self.regime(when) or years.get(when.year)):
                total = sum(a[1] for a in self.additions() if a[0].year == when.year and a[0] <= when and a[1] > 0)
                if total * 100 >= 125 * self.at(self.full, when):
                    years[when.year] = dt.date(when.year + 1, 3, 1)
        return years.items()


class Desk:
    """What lies on the desk of the person who watches one appliance."""

    def __init__(self, appliance):
        self.a, self.open = appliance, {}
        self.unrepaired, self.unproved = set(), set()
        self.episode = self.planned = self.plan_asked = self.in_time = self.acted = self.proved = False
        self.over_on = self.repair_by = self.released = self.planned_on = None
        # mothballed, 40 CFR 82.152 and 82.157 (from memory): the time of what is open stands still
        self.mothballed, self.was_late, self.held, self.shutdown = None, False, set(), False

    def evening(self, today):
        """What stands still has no last day."""
        self.held &= set(self.open)
        if self.mothballed:
            self.held |= {key for key, due in self.open.items() if due >= today}
        return {key: None if key in self.held else due for key, due in self.open.items()}

    def in_use(self, day):
        if self.mothballed and ("inspection", "") in self.held and self.every == 12:
            # once per calendar year: on the last day of that in which the mothballing ended
            self.open["inspection", ""] = max(self.open["inspection", ""], dt.date(day.year, 12, 31))
        self.mothballed = None
        self.held.clear()

    def more_time(self, day, ground, until):
        """82.157(d): 120 days where an industrial process shuts down; (f), from memory: 180 or 270 where parts are lacking."""
        if ground == "relief":  # (h), from memory: asked within 180 days of the plan, repaired within a year of it
            if ("plan-work", "") in self.open and day <= self.planned_on + 180 * DAY:
                self.open["plan-work", ""] = months_later(self.planned_on, 12)
            return
        if not self.episode or day > self.repair_by:
            return
        if ground == "process-shutdown":
            if self.a.category != "industrial-process":
                return
            until = self.over_on + 120 * DAY
        else:
            until = min(until, self.over_on + (270 if self.shutdown else 180) * DAY)
        self.shutdown = self.shutdown or ground == "process-shutdown"
        if until <= self.repair_by:
            return
        for key, due in self.open.items():
            if due == self.repair_by and key[0] in ("repair", "initial-test"):
                self.open[key] = until
        self.repair_by, self.acted = until, True

    def morning(self, today):
        if self.mothballed and today > self.mothballed:
            for key in self.held:
                if key != ("inspection", "") or self.every == 3:
                    self.open[key] += DAY
            if self.episode and not self.was_late:
                self.repair_by, self.over_on = self.repair_by + DAY, self.over_on + DAY
            if self.released:
                self.released += DAY
            if self.planned_on:
                self.planned_on += DAY
        if not self.episode or self.planned or self.plan_asked or today <= self.repair_by:
            return
        if any(what in ("repair", "initial-test") for what, _ in self.open):
            # 40 CFR 82.157(h)(1)(ii): where nothing was done the 30 days run from the exceedance
            self.open["plan", ""] = (self.repair_by if self.acted else self.over_on) + 30 * DAY
            self.plan_asked = True

    def added(self, day, over):
        again, self.proved = self.proved, False
        if not over:
            return
        if not self.episode:
            self.planned = self.plan_asked = self.in_time = False
        if not self.episode or not self.in_time and ("repair", "") not in self.open:
            self.over_on, self.repair_by, self.acted, self.shutdown = day, day + 30 * DAY, False, False
            self.open["repair", ""] = self.repair_by
        self.episode = True
        if again and ("plan", "") not in self.open:  # (h)(1)(iii): over again after repair and tests
            self.open["plan", ""] = day + 30 * DAY
            self.plan_asked = True
        if self.a.detected:  # (g)(4): it stands in the place of inspections
            return
        large = self.a.at(self.a.full, day) >= 50000 and self.a.category != "comfort-cooling"
        self.every = 3 if large else 12
        self.released = months_later(day, 12)
        self.open.setdefault(("inspection", ""), self.next_inspection(day))

    def next_inspection(self, day):
        """82.157(g)(1): every three months, or once per calendar year."""
        return months_later(day, 3) if self.every == 3 else dt.date(day.year, 12, 31)

    def fail(self, day, leak):
        self.unrepaired.add(leak), self.unproved.add(leak)
        if not self.episode:
            return
        self.open.pop(("initial-test", leak), None)
        if not self.in_time:
            self.open.setdefault(("repair", ""), self.repair_by)
        if not self.planned and ("plan", "") not in self.open:
            self.open["plan", ""] = day + 30 * DAY
            self.plan_asked = True

    def take(self, day, _, what, leak, good, by):
        self.acted = self.acted or what in ("leak", "inspect", "repair", "initial", "follow-up")
        if what == "leak":
            self.unrepaired.add(leak), self.unproved.add(leak)
        elif what == "repair":
            self.unrepaired.discard(leak), self.unproved.add(leak)
            if self.episode:
                if not self.unrepaired:
                    self.open.pop(("repair", ""), None)
                self.open.setdefault(("initial-test", leak), self.repair_by)
        elif what == "initial":
            if not good:
                self.fail(day, leak)
            elif self.open.pop(("initial-test", leak), None):
                self.open.setdefault(("follow-up-test", leak), day + 10 * DAY)
        elif what == "follow-up":
            self.open.pop(("follow-up-test", leak), None)
            if not good:
                self.fail(day, leak)
            elif leak not in self.unrepaired:
                self.unproved.discard(leak)
            if good and self.episode and not self.unproved and ("repair", "") not in self.open:
                self.open.pop(("plan", ""), None), self.open.pop(("plan-work", ""), None)
                self.episode = self.planned = self.plan_asked = self.in_time = False
                self.proved = True
        elif what == "inspect":
            if self.open.pop(("inspection", ""), None):
                next_one = self.next_inspection(day if self.every == 3 else dt.date(day.year + 1, 1, 1))
                if next_one <= self.released:
                    self.open["inspection", ""] = next_one
        elif what == "plan":
            if self.episode:
                was_due = self.open.pop(("plan", ""), self.over_on + 30 * DAY)
                self.planned, self.planned_on = True, day
                if day <= self.repair_by:  # in time: it stands in the place of the repair, (c)(1)
                    self.in_time = True
                    self.open.pop(("repair", ""), None)
                # within a year, no later than 13 months from when the plan was due, (h)(5)(i); 18 months to retire it where
                # the replacement's refrigerant is exempt, (i)(1): a plan's leak is that refrigerant here
                latest = months_later(day, 18) if leak == "R-744" else min(months_later(day, 12), months_later(was_due, 13))
                self.open.setdefault(("plan-work", ""), min(by, latest))
        elif what == "mothball":
            if not self.mothballed:
                self.mothballed, self.was_late = day, self.episode and self.repair_by < day
        elif what == "in-use":
            self.in_use(day)
        elif what == "extension":
            self.more_time(day, leak, by)
        elif what == "convert":
            self.mothballed = None
            self.held.clear()
            self.open.clear(), self.unrepaired.clear(), self.unproved.clear()
            self.episode = self.planned = self.plan_asked = self.in_time = self.proved = False
