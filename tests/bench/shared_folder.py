#!/usr/bin/env python3
"""What a shared folder costs: a day of thousands of trucks, taken in by the office, and a year of a fleet, evening by evening.

  shared_folder.py --build DIR day [--trucks 3000] [--events 9] [--data DIR]
  shared_folder.py --build DIR year [--trucks 50] [--days 365] [--every 1] [--events 1000000] [--data DIR]

CPU seconds are those of the process (user and kernel), memory its peak; figures are lines of text on stdout. The data folder
is best in memory (/dev/shm): what a disk costs is measured by run.py."""
import argparse
import collections
import csv
import datetime as dt
import os
import shutil
import subprocess
import sys
import time

sys.dont_write_bytecode = True
import machine  # noqa: E402

HERE = os.path.dirname(os.path.abspath(__file__))
GENERATOR = os.path.join(HERE, "..", "workload", "gen_events.py")
Cost = collections.namedtuple("Cost", "cpu wall mib out")


class Fleet:
    def __init__(self, build, data):
        self.program = os.path.join(os.path.abspath(build), "cli", "for_tests", "tarebook")
        self.room, self.now = data, dt.datetime(2026, 1, 1, 20)
        shutil.rmtree(data, ignore_errors=True)
        self.share = os.path.join(data, "share")
        os.makedirs(self.share)

    def path(self, name):
        return os.path.join(self.room, name)

    def run(self, book, *words):
        """What it cost, and what it said."""
        env = {"PATH": os.environ["PATH"], "HOME": self.room, "TAREBOOK": self.path(book),
               "TAREBOOK_NOW": self.now.strftime("%Y-%m-%dT%H:%M:%SZ")}
        began = time.monotonic()
        with open(self.path("out"), "wb") as out, open(self.path("err"), "wb") as err:
            process = subprocess.Popen([self.program, *words], stdin=subprocess.DEVNULL, stdout=out, stderr=err, env=env)
            _, status, used = os.wait4(process.pid, 0)
        with open(self.path("out")) as out, open(self.path("err")) as err:
            said, wrong = out.read(), err.read()
        if os.waitstatus_to_exitcode(status) not in (0, 4):
            raise SystemExit("%s %s: %s%s" % (book, " ".join(words), said, wrong))
        return Cost(used.ru_utime + used.ru_stime, time.monotonic() - began, used.ru_maxrss / 1024, said.strip())

    def start(self, book, *words):
        self.run(book, "start", "--company", "Bench", "--zone", "UTC", *words)
        return self.run(book, "books", "card").out

    def registers(self):
        """Parcels with a register: a header with "first":0."""
        out = []
        for name in os.listdir(self.share):
            with open(os.path.join(self.share, name), "rb") as f:
                if name.endswith(".tarebook-parcel") and b'"first":0,' in f.read(400):
                    out.append(name)
        return out

    def size(self):
        files = [entry.stat().st_size for entry in os.scandir(self.share)]
        return "%d files, %.1f MB" % (len(files), sum(files) / 1e6)


def told(what, cost):
    print("%-58s %8.2f s CPU %8.2f s %7.0f MiB" % (what, cost.cpu, cost.wall, cost.mib), flush=True)


class Rows:
    """A generated year of movements, by truck and day."""

    def __init__(self, fleet, trucks, events, cylinders, sites):
        folder = fleet.path("rows")
        subprocess.run([sys.executable, GENERATOR, "-n", str(events), "-o", folder, "--form", "csv,lists", "--first-year", "2026", "--years",
                        "1", "--cylinders", str(cylinders), "--sites", str(sites)], check=True)
        self.lists = [os.path.join(folder, name) for name in ("cylinders.csv", "circuits.csv")]
        truck_of = {}
        with open(self.lists[0]) as f:
            for n, row in enumerate(csv.DictReader(f)):
                truck_of[row["cylinder"]] = n % trucks
        self.of = [collections.defaultdict(list) for _ in range(trucks)]
        with open(os.path.join(folder, "events.csv")) as f:
            self.head, *lines = f.read().splitlines(True)
        for line in lines:
            cells = line.split(",", 7)
            self.of[truck_of[cells[6]]][cells[1]].append(line)
        self.first = lines[0]

    @staticmethod
    def table(path):
        """Its head, and its rows by the code of a cylinder or of a circuit."""
        with open(path) as f:
            head, *lines = f.read().splitlines(True)
        return head, {line.split(",")[0] if "cylinder" in head.split(",")[0] else ",".join(line.split(",")[:3]): line for line in lines}

    def write(self, path, lines):
        with open(path, "w") as f:
            f.write(self.head + "".join(lines))
        return path


def elsewhere(make):
    """In a process of its own: a child's peak of memory begins with that of its parent, which has to stay small."""
    child = os.fork()
    if child == 0:
        make()
        sys.stdout.flush()
        os._exit(0)
    if os.waitpid(child, 0)[1] != 0:
        raise SystemExit("no rows")


def a_day(fleet, trucks, events):
    """Each truck has three cylinders of its own, and the circuits that it comes by. The first evening brings their books, the
    second one is a day as any other. The office's register of all that is kept away from the trucks until the end, when a few of
    them take it in: thousands of times the same would be hours."""
    fleet.now = dt.datetime(2027, 1, 1, 20)

    def make():
        rows = Rows(fleet, trucks, 2 * events * trucks, cylinders=3 * trucks, sites=max(5, trucks // 10))
        register = [(*rows.table(path), end) for path, end in zip(rows.lists, ("cylinders", "circuits"))]
        for n in range(trucks):
            mine = [line for day in sorted(rows.of[n]) for line in rows.of[n][day]]
            for number, lines in ((1, mine[:len(mine) // 2]), (2, mine[len(mine) // 2:])):
                rows.write(fleet.path("rows/%d-%d.csv" % (n, number)), lines)
            seen = {cell for line in mine for cell in (line.split(",")[6], ",".join(line.split(",")[3:6]))}
            for head, by_name, end in register:
                with open(fleet.path("rows/%d-%s.csv" % (n, end)), "w") as f:
                    f.write(head + "".join(by_name[name] for name in sorted(seen & set(by_name))))
    elsewhere(make)
    card = fleet.start("office")
    fleet.run("office", "sync", fleet.share)
    os.mkdir(fleet.path("cards"))

    def evening(number):
        for n in range(trucks):
            lists = ["--cylinders", fleet.path("rows/%d-cylinders.csv" % n), "--circuits", fleet.path("rows/%d-circuits.csv" % n)]
            fleet.run("truck-%d" % n, "import", "movements", fleet.path("rows/%d-%d.csv" % (n, number)), *(lists if number == 1 else []), "--register", "--owner",
                      "Fernhollow Markets")
            costs.append(fleet.run("truck-%d" % n, "sync", fleet.share))

    for n in range(trucks):
        with open(fleet.path("cards/truck-%d.card" % n), "w") as f:
            f.write(fleet.start("truck-%d" % n, "--shop", card) + "\n")
    told("the office trusts %d cards" % trucks, fleet.run("office", "books", "trust", "--from", fleet.path("cards")))
    told("the office writes its own events for all of them", fleet.run("office", "sync"))
    away = fleet.path("away")
    os.mkdir(away)
    for number in (1, 2):
        costs = []
        for name in fleet.registers():
            os.rename(os.path.join(fleet.share, name), os.path.join(away, name))
        evening(number)
        for name in os.listdir(away):
            os.rename(os.path.join(away, name), os.path.join(fleet.share, name))
        costs.sort(key=lambda cost: cost.cpu)
        told("evening %d: a truck's sync, the median of %d" % (number, trucks), costs[len(costs) // 2])
        told("its longest", costs[-1])
        print("folder: %s" % fleet.size())
        told("evening %d: the office's sync" % number, fleet.run("office", "sync"))
        told("the office's sync with nothing new", fleet.run("office", "sync"))
        print("folder: %s; the office's book %.1f MB" % (fleet.size(), os.path.getsize(fleet.path("office")) / 1e6))
        fleet.now += dt.timedelta(days=1)
    size = sum(os.path.getsize(os.path.join(fleet.share, name)) for name in fleet.registers())
    costs = sorted((fleet.run("truck-%d" % n, "sync") for n in range(5)), key=lambda cost: cost.cpu)
    told("a truck takes in the register of %.1f MB, the median of 5" % (size / 1e6), costs[2])
    told("its next sync", fleet.run("truck-0", "sync"))


def a_year(fleet, trucks, days, every, events):
    """The office has the register, and each truck takes it from there. `every`: so many days lie between two evenings on which
    all sync."""

    def make():
        rows = Rows(fleet, trucks, events, cylinders=20 * trucks, sites=trucks)
        rows.write(fleet.path("rows/first.csv"), [rows.first])
        for day in range(0, days, every):
            dates = [(dt.date(2026, 1, 1) + dt.timedelta(days=day + more)).isoformat() for more in range(every)]
            for n in range(trucks):
                rows.write(fleet.path("rows/%d-%d.csv" % (n, day)), [line for date in dates for line in rows.of[n].get(date, [])])
    elsewhere(make)
    card = fleet.start("office")
    fleet.run("office", "sync", fleet.share)
    fleet.run("office", "import", "movements", fleet.path("rows/first.csv"), "--cylinders", fleet.path("rows/cylinders.csv"), "--circuits",
              fleet.path("rows/circuits.csv"), "--register", "--owner", "Fernhollow Markets")
    os.mkdir(fleet.path("cards"))
    for n in range(trucks):
        with open(fleet.path("cards/truck-%d.card" % n), "w") as f:
            f.write(fleet.start("truck-%d" % n, "--shop", card) + "\n")
    fleet.run("office", "books", "trust", "--from", fleet.path("cards"))
    fleet.run("office", "sync")
    for n in range(trucks):
        fleet.run("truck-%d" % n, "sync", fleet.share)
    of_trucks, of_office, seen, told_tenths = [], [], 0, 0
    for day in range(0, days, every):
        fleet.now = dt.datetime(2026, 1, 1, 20) + dt.timedelta(days=day + every - 1)
        for n in range(trucks):
            mine = fleet.path("rows/%d-%d.csv" % (n, day))
            with open(mine) as f:
                movements = sum(1 for _ in f) - 1
            seen += movements
            if movements:
                fleet.run("truck-%d" % n, "import", "movements", mine)
            of_trucks.append(fleet.run("truck-%d" % n, "sync"))
        of_office.append(fleet.run("office", "sync"))
        if day == 0 or day + every >= days or seen * 10 // events > told_tenths:
            told_tenths = seen * 10 // events
            print("day %d, %d movements; folder: %s; the office's book %.0f MB, a truck's %.1f MB" % (
                day + every, seen, fleet.size(), os.path.getsize(fleet.path("office")) / 1e6, os.path.getsize(fleet.path("truck-0")) / 1e6))
            for who, all_of_it, each in (("the office's", of_office, 1), ("a truck's", of_trucks, trucks)):
                last = sorted(all_of_it[-30 * each:], key=lambda cost: cost.cpu)
                told("  %s sync, the median of the last 30 evenings" % who, last[len(last) // 2])
                told("  the longest of these", last[-1])
            print("  all syncs until now: the office %.0f s of CPU, the trucks %.0f s" % (
                sum(cost.cpu for cost in of_office), sum(cost.cpu for cost in of_trucks)), flush=True)
    told("the office's check", fleet.run("office", "check"))


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--build", required=True)
    parser.add_argument("part", choices=("day", "year"))
    parser.add_argument("--data", default="/dev/shm/tarebook-shared-folder")
    for name in ("trucks", "days", "every", "events"):
        parser.add_argument("--" + name, type=int)
    given = parser.parse_args()
    fleet = Fleet(given.build, given.data)
    print(machine.described(given.data), flush=True)
    if given.part == "day":
        a_day(fleet, given.trucks or 3000, given.events or 9)
    else:
        a_year(fleet, given.trucks or 50, given.days or 365, given.every or 1, given.events or 1000000)
    shutil.rmtree(given.data)


main()
