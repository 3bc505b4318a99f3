"""Jobs between books and over a person's own lists: a truck's bundle, a hundred trucks, words of trust, a mapped import."""
import csv
import os
import shutil
import subprocess

import measure
import workload

MAP = """import: movements
weights: lb
dates: YYYY-MM-DD
fields:
""" + "".join("  %s: %s\n" % pair for pair in (
    ("kind", "kind"), ("date", "date"), ("time", "time"), ("site", "site"), ("appliance", "appliance"),
    ("circuit", "circuit"), ("cylinder", "cylinder"), ("refrigerant", "refrigerant"), ("gross_before", "gross_before_lb"),
    ("gross_after", "gross_after_lb"), ("technician", "technician"), ("job", "job")))


class BookJobs:
    def __init__(self, bench, table, runs):
        self.bench, self.table, self.runs = bench, table, runs

    def group(self, title, commands, runs=None):
        got = measure.group(commands, runs or self.runs)
        for label, figure in got.items():
            self.table.time(title, label, figure)
        return got

    def run(self, book, *words, now="2030-01-01T12:00:00Z"):
        return subprocess.run([self.bench.tarebook, "--book", book, *words], check=True, capture_output=True, text=True,
                              env=dict(os.environ, TAREBOOK_NOW=now)).stdout.strip()

    def fresh(self, path):
        for end in ("", "-wal", "-shm", "-journal"):
            if os.path.exists(path + end):
                os.unlink(path + end)
        return path

    def copy_of(self, book):
        """The same copy's name each time, so that the disk holds one."""
        to = self.fresh(book + ".copy")
        shutil.copyfile(book, to)
        return to

    def started(self, path, *words):
        self.run(self.fresh(path), "start", "--company", "Bench", "--zone", "UTC", *words, now="2019-12-31T12:00:00Z")
        return path

    def imported(self, path, book, rows):
        """path: of a name of the two lists of the register."""
        return self.run(book, "import", "movements", rows, "--cylinders", path("cylinders.csv"), "--circuits",
                        path("circuits.csv"), "--register", "--owner", "Fernhollow Markets")

    # -- parts ---------------------------------------------------------------------------------------------------------

    def mapped(self):
        """20 000 rows of a plain file, the same rows through a mapping, and the same again: each into a copy of a book
        that has the register."""
        work = workload.Workload(self.bench, "20000", 20000)
        first, rest, mapping = work.path("first.csv"), work.path("rest.csv"), work.path("rows.yaml")
        with open(work.csv) as f:
            head, one, *others = f.read().splitlines(True)
        for path, text in ((first, head + one), (rest, head + "".join(others)), (mapping, MAP)):
            with open(path, "w") as f:
                f.write(text)
        base = self.started(work.path("base.tarebook"))
        self.imported(work.path, base, first)
        done = shutil.copyfile(base, self.fresh(work.path("done.tarebook")))
        self.run(done, "import", "movements", rest, "--register")

        def into(book, *words):
            return lambda: [self.bench.tarebook, "--book", self.copy_of(book), "import", "movements", rest, *words]

        got = self.group("import of 20 000 rows", {"plain": into(base, "--register"), "through a mapping": into(base, "--map", mapping),
                                                   "the same again": into(done, "--register")})
        self.table.at_most("mapped import of 20 k, CPU, against the plain one", got["through a mapping"].cpu / got["plain"].cpu,
                           1.3, 1.1, "x")
        self.table.at_most("the same file again, CPU, against its first import", got["the same again"].cpu / got["plain"].cpu,
                           0.5, 0.2, "x")

    def truck(self, office, name, rows, lists):
        """A truck's book with these movements, trusted by the office; its bundle."""
        folder = os.path.dirname(office)
        book = self.started(os.path.join(folder, name + ".tarebook"), "--shop", self.run(office, "books", "card"))
        self.imported(lists, book, rows)
        self.run(office, "books", "trust", name, "--card", self.run(book, "books", "card"))
        bundle = self.fresh(os.path.join(folder, name + ".bundle"))
        self.run(book, "send", "--to", bundle)
        os.unlink(book)
        return bundle

    def office(self, name):
        folder = os.path.join(self.bench.data, name)
        os.makedirs(folder, exist_ok=True)
        return self.started(os.path.join(folder, "office.tarebook"))

    def merge(self):
        office, work = self.office("merge"), workload.Workload(self.bench, "20000", 20000)
        bundle = self.truck(office, "truck", work.csv, work.path)
        got = self.group("merge of a truck's 20 000 events", {
            "tarebook merge": lambda: [self.bench.tarebook, "--book", self.copy_of(office), "merge", bundle],
            "sq_union": lambda: [self.bench.yardstick("sq_union"), self.fresh(office + ".union"), bundle]})
        self.table.at_most("merge of 20 k, CPU, against sq_union", got["tarebook merge"].cpu / got["sq_union"].cpu, 4, 2.5, "x")

    def fleet(self, trucks=100, rows=1000000):
        """Each truck has its cylinders; the circuits belong to whoever comes by."""
        office, work = self.office("fleet"), workload.Workload(self.bench, str(rows), rows)
        folder = os.path.dirname(office)
        truck_of = {}
        with open(work.path("cylinders.csv")) as f:
            for n, row in enumerate(csv.DictReader(f)):
                truck_of[row["cylinder"]] = n % trucks
        with open(work.csv) as f:
            head, *lines = f.read().splitlines(True)
        of_truck = [[] for _ in range(trucks)]
        for line in lines:
            of_truck[truck_of[line.split(",")[6]]].append(line)
        bundles = []
        for n, mine in enumerate(of_truck):
            path = os.path.join(folder, "rows.csv")
            with open(path, "w") as f:
                f.write(head + "".join(mine))
            places = {tuple(line.split(",")[3:6]) for line in mine}
            self.lists(work, folder, "cylinders.csv", lambda row: truck_of[row["cylinder"]] == n)
            self.lists(work, folder, "circuits.csv", lambda row: (row["site"], row["appliance"], row["circuit"]) in places)
            bundles.append(self.truck(office, "truck-%d" % n, path, lambda name: os.path.join(folder, name)))
        got = self.group("merge of %d trucks, %d movements" % (trucks, rows), {
            "tarebook merge": lambda: [self.bench.tarebook, "--book", self.copy_of(office), "merge", *bundles]}, 1)
        self.table.at_most("merge of 100 trucks, 1 M events, wall", got["tarebook merge"].wall, 20, 10, "s")
        self.table.at_most("its peak memory", got["tarebook merge"].rss, 420, 128, "MiB")
        for bundle in bundles:
            os.unlink(bundle)

    @staticmethod
    def lists(work, folder, name, wanted):
        with open(work.path(name)) as f, open(os.path.join(folder, name), "w", newline="") as g:
            rows = csv.DictReader(f)
            out = csv.DictWriter(g, rows.fieldnames, lineterminator="\n")
            out.writeheader()
            out.writerows(row for row in rows if wanted(row))

    def trust(self):
        """In a book of 200 000 events, a book without events is trusted, and one with a hundred is withdrawn."""
        work = workload.Workload(self.bench, "200000", 200000)
        office = self.started(work.path("trust.tarebook"))
        self.imported(work.path, office, work.csv)
        empty = self.started(work.path("empty.tarebook"), "--shop", self.run(office, "books", "card"))
        few = self.started(work.path("few.tarebook"), "--shop", self.run(office, "books", "card"))
        for n in range(100):
            self.run(few, "cylinder", "add", "T-%d" % n, "--wc", "47.7lb", "--use", "recovery", "--tare", "27.5lb")
        bundle = self.fresh(work.path("few.bundle"))
        self.run(few, "send", "--to", bundle)
        card = self.run(empty, "books", "card")
        self.run(office, "books", "trust", "few", "--card", self.run(few, "books", "card"))
        self.run(office, "merge", bundle)
        got = self.group("words of trust in a book of 200 000 events", {
            "trust": lambda: [self.bench.tarebook, "--book", self.copy_of(office), "books", "trust", "empty", "--card", card],
            "withdraw": lambda: [self.bench.tarebook, "--book", self.copy_of(office), "books", "withdraw", "few", "--last", "1",
                                 "--why", "bench"]})
        for label, what in (("trust", "trust of a book without events"), ("withdraw", "withdrawal of one with 100 events")):
            self.table.at_most(what + " in a book of 200 k, CPU", got[label].cpu, 0.05, 0.01, "s")
