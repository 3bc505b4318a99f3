"""The generated workloads and the books made of them, in the data folder: made once, anew when their maker changes."""
import csv
import os
import subprocess
import sys

import measure

HERE = os.path.dirname(os.path.abspath(__file__))
GENERATOR = os.path.join(HERE, "..", "workload", "gen_events.py")


class Workload:
    """One folder: events.csv, cylinders.csv, circuits.csv, events.ledger, full.db (bare SQLite) and book.tarebook."""

    def __init__(self, bench, name, movements, generator_options=()):
        self.bench, self.movements = bench, movements
        self.folder = os.path.join(bench.data, name)
        self.csv, self.journal = self.path("events.csv"), self.path("events.ledger")
        if self._older(self.csv, GENERATOR):
            print("making %s" % self.folder, file=sys.stderr)
            subprocess.run([sys.executable, GENERATOR, "-n", str(movements), "-o", self.folder,
                            "--form", "csv,lists,ledger", *generator_options], check=True)

    def path(self, name):
        return os.path.join(self.folder, name)

    @staticmethod
    def _older(made, maker):
        return not os.path.exists(made) or os.path.getmtime(made) < os.path.getmtime(maker)

    def count(self, name):
        with open(self.path(name)) as f:
            return sum(1 for _ in f) - 1

    def database(self):
        """Bare SQLite with indexes, balances and a chain."""
        path = self.path("full.db")
        if self._older(path, self.csv):
            subprocess.run([self.bench.yardstick("sq_load"), self.csv, path, "full"], check=True)
        return path

    def book(self):
        """The workload as a book, imported by the program under test."""
        path = self.path("book.tarebook")
        if self._older(path, self.csv) or self._older(path, self.bench.tarebook):
            print("importing %s" % self.folder, file=sys.stderr)
            done = subprocess.run(self.import_into(path), stdout=subprocess.DEVNULL)
            if done.returncode not in measure.TAKEN:
                sys.exit("the import ended with %d" % done.returncode)
        return path

    def import_into(self, path):
        """Makes a new book at path, and returns the command that imports the workload into it."""
        for end in ("", "-journal"):
            if os.path.exists(path + end):
                os.unlink(path + end)
        at_path = [self.bench.tarebook, "--book", path]
        subprocess.run([*at_path, "start", "--company", "Bench", "--zone", "UTC"], check=True,
                       stdout=subprocess.DEVNULL, env=dict(os.environ, TAREBOOK_NOW="2019-12-31T12:00:00Z"))
        return [*at_path, "import", "movements", self.csv, "--cylinders", self.path("cylinders.csv"), "--circuits",
                self.path("circuits.csv"), "--register", "--owner", "Fernhollow Markets"]

    def supply_cylinders(self, most=8):
        """Cylinders with gas left, each as [code, circuit that takes its gas, last gross weight in 0.01 lb]."""
        gross = {}
        with open(self.csv) as f:
            for row in csv.DictReader(f):
                if row["kind"] == "charge":
                    circuit = "/".join((row["site"], row["appliance"], row["circuit"]))
                    gross[row["cylinder"]] = [row["cylinder"], circuit, int(row["gross_after_lb"].replace(".", ""))]
                elif row["cylinder"] in gross:
                    gross[row["cylinder"]][2] = int(row["gross_after_lb"].replace(".", ""))
        with open(self.path("cylinders.csv")) as f:
            tare = {row["cylinder"]: int(row["tare_lb"].replace(".", "")) for row in csv.DictReader(f)}
        return [g for g in gross.values() if g[2] > tare[g[0]] + 500][:most]
