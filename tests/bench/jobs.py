"""The jobs that are timed, each beside its yardstick: every function measures one part and adds its rows."""
import itertools
import os
import shutil

import measure
import workload

YEAR = 2022


def short(n):
    return "%g M" % (n / 1e6) if n >= 1000000 else "%g k" % (n / 1e3)


class Jobs:
    def __init__(self, bench, table, sizes, runs):
        self.bench, self.table, self.runs = bench, table, runs
        self.sizes = sorted(sizes)
        self.of = {n: workload.Workload(bench, str(n), n) for n in self.sizes}
        self.largest = self.of[self.sizes[-1]]
        self.at = "at " + short(self.sizes[-1])

    def group(self, title, commands, runs=None):
        got = measure.group(commands, runs or self.runs)
        for label, figure in got.items():
            self.table.time(title, label, figure)
        return got

    def peak(self, *figures):
        self.table.peak_of_reading = max([self.table.peak_of_reading, *(f.rss for f in figures)])

    def ours(self, book, *words):
        return lambda: [self.bench.tarebook, "--book", book, *words]

    # -- parts, in the order of the table ------------------------------------------------------------------------

    def record(self):
        """One charge of 0.02 lb from a supply cylinder; the cylinders take turns, as in the yardstick."""
        commands, lines, bare = {}, {}, {}
        for n, work in self.of.items():
            book, db = work.path("record.tarebook"), work.path("append.db")
            shutil.copyfile(work.book(), book)
            shutil.copyfile(work.database(), db)
            turns = itertools.cycle(work.supply_cylinders())

            def charge(book=book, turns=turns):
                turn = next(turns)
                before, turn[2] = turn[2], turn[2] - 2
                weights = ["%d.%02dlb" % divmod(w, 100) for w in (before, turn[2])]
                return [self.bench.tarebook, "--book", book, "charge", "--circuit", turn[1], "--from", turn[0],
                        "--before", weights[0], "--after", weights[1]]

            lines[n], bare[n] = charge, [self.bench.yardstick("sq_append"), db]
            commands["tarebook charge, " + short(n)] = charge
            commands["sq_append, " + short(n)] = lambda argv=bare[n]: argv
        os.sync()
        got = self.group("record one event, whole process", commands, max(self.runs, 21))
        big, small = short(self.sizes[-1]), short(self.sizes[0])
        ours = {n: got["tarebook charge, " + short(n)] for n in self.sizes}
        yard = got["sq_append, " + big]
        self.table.at_most("record one event, " + self.at + ", wall, against sq_append",
                           ours[self.sizes[-1]].wall / yard.wall, 1.2, 1.0, "x")
        counts = [measure.syncs(line()) for line in lines.values()]
        if None in counts:
            self.table.missing("its syncs", "strace is not installed")
        else:
            self.table.at_most("its syncs, the most of all sizes", max(counts), 5, None, "")
            self.table.at_most("its syncs, the most / the least of all sizes", max(counts) / min(counts), 1, None, "x")
            self.table.remark("syncs of sq_append: %s" % measure.syncs(bare[self.sizes[-1]]))
        if len(self.sizes) > 1:
            self.table.at_most("its growth, %s / %s, wall" % (big, small),
                               ours[self.sizes[-1]].wall / ours[self.sizes[0]].wall, 1.3, 1.1, "x")

    def import_(self):
        commands = {}
        for n, work in self.of.items():
            commands["tarebook import, " + short(n)] = lambda work=work: work.import_into(work.path("import.tarebook"))
            commands["sq_load late, " + short(n)] = lambda work=work: [
                self.bench.yardstick("sq_load"), work.csv, work.path("late.db"), "late"]
        got = self.group("import, all checks, chain and balances", commands)
        for work in self.of.values():
            os.unlink(work.path("late.db"))
            os.replace(work.path("import.tarebook"), work.path("book.tarebook"))
        ours = {n: got["tarebook import, " + short(n)] for n in self.sizes}
        big = self.sizes[-1]
        self.table.at_most("import, " + self.at + ", CPU, against sq_load late",
                           ours[big].cpu / got["sq_load late, " + short(big)].cpu, 2.0, 1.5, "x")
        if len(self.sizes) > 1:
            less = self.sizes[-2]
            self.table.at_most("its growth per event, %s / %s, CPU" % (short(big), short(less)),
                               ours[big].cpu / big / (ours[less].cpu / less), 1.6, 1.4, "x")
        self.table.at_most("peak memory of import, " + self.at, ours[big].rss, 375, 128, "MiB")

    def text(self):
        """All balances, and a site's year, against the fastest plain-text accounting tool (for its speed only)."""
        work, book = self.largest, self.largest.book()
        commands = {"tarebook report inventory": self.ours(book, "report", "inventory"),
                    "tarebook report site": self.ours(book, "report", "site", self.site(work), "--year", str(YEAR))}
        tool = shutil.which("ledger")
        if tool:
            read = [tool, "--args-only", "-f", work.journal, "bal", "--no-total"]
            commands["ledger, all balances"] = lambda: [*read, "--flat", "^Cylinder:"]
            commands["ledger, site and year"] = lambda: [*read, "-b", "%d-01-01" % YEAR, "-e", "%d-01-01" % (YEAR + 1),
                                                         "^Circuit:%s:" % self.site(work)]
        got = self.group("balances and site report, " + self.at, commands)
        self.peak(got["tarebook report inventory"], got["tarebook report site"])
        rows = [("all balances, " + self.at + ", wall: times faster than the text tool", "report inventory",
                 "all balances", 300, 1000),
                ("site and year report, " + self.at + ", wall: times faster", "report site", "site and year", 40, 80)]
        for name, ours, theirs, goal, stretch in rows:
            if tool:
                times = got["ledger, " + theirs].wall / got["tarebook " + ours].wall
                self.table.at_least(name, times, goal, stretch, "x")
            else:
                self.table.missing(name, "the yardstick (Debian package ledger) is not installed")

    def cylinder(self):
        """The same cylinders, ten times the events: what is asked of one must not grow with the others' history."""
        names = ["one cylinder now (room)", "one cylinder and its history (report cylinder)"]
        if len(self.sizes) < 2:
            return [self.table.missing(name, "needs two sizes") for name in names]
        few, many = self.of[self.sizes[-2]], self.sizes[-1]
        sites = len({line.split(",")[0] for line in open(few.path("circuits.csv"))}) - 1
        long = workload.Workload(self.bench, "long-%d" % many, many, [
            "--cylinders", str(few.count("cylinders.csv")), "--sites", str(sites)])
        one = "RC-" + "1".zfill(max(4, len(str(few.count("cylinders.csv")))))
        commands = {}
        for n, book in ((self.sizes[-2], few.book()), (many, long.book())):
            commands["tarebook room, " + short(n)] = self.ours(book, "room", one)
            commands["tarebook report cylinder, " + short(n)] = self.ours(book, "report", "cylinder", one)
        got = self.group("one cylinder, fixed fleet", commands, max(self.runs, 11))
        self.peak(*got.values())
        for name, command in zip(names, ("room", "report cylinder")):
            less, more = (got["tarebook %s, %s" % (command, short(n))].wall for n in self.sizes[-2:])
            self.table.at_most("%s, %s / %s events, wall" % (name, short(many), short(self.sizes[-2])), more / less,
                               1.3, 1.1, "x")

    def check(self):
        work = self.largest
        got = self.group("check, " + self.at, {
            "tarebook check": self.ours(work.book(), "check"),
            "sq_chain": lambda: [self.bench.yardstick("sq_chain"), work.database()]})
        self.peak(got["tarebook check"])
        self.table.at_most("check, " + self.at + ", wall, against re-hashing a chain",
                           got["tarebook check"].wall / got["sq_chain"].wall, 4.0, 2.0, "x")

    def export(self):
        work = self.largest
        name = "export of all events to CSV, " + self.at + ", wall, against sqlite3 -csv"
        if measure.exit_code([self.bench.tarebook, "export", "events", "--help"]) != 0:
            return self.table.missing(name, "this tarebook has no `export events`")
        if not shutil.which("sqlite3"):
            return self.table.missing(name, "sqlite3 is not installed")
        select = ("SELECT kind,date,time,site,appliance,circuit,cylinder,refrigerant,gross_before/100.0,"
                  "gross_after/100.0,technician,job FROM event ORDER BY id")
        got = self.group("export, " + self.at, {
            "tarebook export events": self.ours(work.book(), "export", "events", "--format", "csv"),
            "sqlite3 -csv": lambda: ["sqlite3", "-csv", work.database(), select]})
        self.peak(got["tarebook export events"])
        self.table.at_most(name, got["tarebook export events"].wall / got["sqlite3 -csv"].wall, 0.9, 0.6, "x")

    @staticmethod
    def site(work):
        with open(work.path("circuits.csv")) as f:
            next(f)
            return next(f).split(",")[0]
