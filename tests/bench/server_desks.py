#!/usr/bin/env python3
"""Desks that record at the same time in one book of 200 000 events on a PostgreSQL server, beside the bare server: pgbench
with the same rows (server_desks.sql), the same settings and as many clients, in turn in one run.

  server_desks.py --build DIR [--parts fast,processes,paced,file] [--clients 20] [--seconds 10] [--rounds 5] [--data DIR]

  fast        each desk is a program that keeps the book open (server_client), and records as fast as it can
  processes   each desk types commands, one after another; pgbench makes a connection for each transaction
  paced       ten recordings a second in all, and a `report year` begun every five seconds; pgbench --rate=10 without it
  file        the same three with the book in a file, without a yardstick

DIR is a Release build with -DTAREBOOK_BENCH=ON. The data folder (1 GB) must lie on the disk whose syncs are to be measured;
the workload and the server with its template stay there for the next run. A recording counts by what the library returned.
"""
import argparse
import collections
import csv
import glob
import json
import os
import random
import re
import shutil
import statistics
import subprocess
import sys
import threading
import time

sys.dont_write_bytecode = True
HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "support"))
import machine  # noqa: E402
import postgres_server  # noqa: E402
import workload  # noqa: E402

SETTINGS = ["fsync=on", "synchronous_commit=on", "shared_buffers=512MB", "max_wal_size=4GB", "autovacuum=off"]
RATE = 10.0  # recordings a second of all desks, of the part paced
GOAL_SHARE, GOAL_P95 = 0.5, 1.0


class Bench:
    def __init__(self, build, data):
        self.build, self.data = os.path.abspath(build), os.path.abspath(data)
        self.tarebook = os.path.join(self.build, "cli", "for_tests", "tarebook")
        self.client = os.path.join(self.build, "tests", "bench", "server_client")
        os.makedirs(self.data, exist_ok=True)

    def yardstick(self, name):
        return os.path.join(self.build, "tests", "bench", name)


KEEPER = -1  # the person who keeps the book; desks are numbered from 0 on


def desk(bench, number):
    """What makes a desk: the folder of its person, where its signing key is."""
    return {"XDG_DATA_HOME": os.path.join(bench.data, "desk", *([] if number == KEEPER else [str(number)]))}


def environment(bench, number=KEEPER):
    kept = {k: v for k, v in os.environ.items() if k not in ("TAREBOOK", "TAREBOOK_NOW")}
    return {**kept, "LC_ALL": "C.UTF-8", **desk(bench, number)}


class BenchServer(postgres_server.Server):
    """A server whose folder stays, on the disk under the data folder."""

    def __init__(self, folder):
        super().__init__(SETTINGS, folder=folder)

    def template(self, bench, work, desks):
        """The database `book`, with the workload's book and what pgbench draws from: made anew with the program."""
        stamp = os.path.join(bench.data, "server-template")
        if os.path.exists(stamp) and os.path.getmtime(stamp) > max(os.path.getmtime(bench.tarebook),
                                                                   os.path.getmtime(work.csv)):
            return
        copy = os.path.join(bench.data, "to-move.tarebook")
        for old in glob.glob(copy + "*"):
            os.unlink(old)
        shutil.copyfile(work.book(), copy)
        os.chmod(copy, 0o600)
        shutil.rmtree(desk(bench, KEEPER)["XDG_DATA_HOME"], ignore_errors=True)
        self.drop("book")
        self.create("book")
        print("moving the book to the server", file=sys.stderr)
        subprocess.run([bench.tarebook, "--book", copy, "books", "move", "--to", self.address("book")], check=True,
                       env=environment(bench), stdout=subprocess.DEVNULL)
        for number in range(desks):
            self.begin_desk(bench, number)
        rows = ",".join("(%d,'%s','%s')" % (n, code, circuit) for n, (code, circuit, _) in enumerate(cylinders(work)))
        self.ask("book", "SET search_path = tarebook; CREATE SEQUENCE bench_event START 10000000; CREATE TABLE "
                 "bench_cylinder (n bigint PRIMARY KEY, cylinder bigint, circuit bigint, lot bigint, cylinder_code text, "
                 "circuit_code text, appliance_code text, site_code text); INSERT INTO bench_cylinder SELECT r.n, a.id, c.id, "
                 "(SELECT lot FROM balance WHERE account = a.id AND mass > 0 ORDER BY mass DESC LIMIT 1), r.cylinder, "
                 "r.circuit, split_part(r.circuit, '/', 1) || '/' || split_part(r.circuit, '/', 2), split_part(r.circuit, "
                 "'/', 1) FROM (VALUES %s) r(n, cylinder, circuit) JOIN account a ON a.kind = 'cylinder' AND a.code = "
                 "r.cylinder JOIN account c ON c.kind = 'circuit' AND c.code = r.circuit" % rows)
        self.ask("book", "VACUUM (ANALYZE, FREEZE)")
        there = int(self.ask("book", "SELECT count(*) FROM tarebook.bench_cylinder WHERE lot IS NOT NULL"))
        assert there == len(cylinders(work)), there
        with open(stamp, "w") as f:
            f.write("book\n")

    def begin_desk(self, bench, number):
        """A chain of its own, trusted, with its first events."""
        def typed(who, *words):
            return subprocess.run([bench.tarebook, "--book", self.address("book"), *words], check=True,
                                  env=environment(bench, who), stdout=subprocess.PIPE, text=True).stdout
        card = re.search(r"--card (\S+)", typed(number, "books", "desk")).group(1)
        typed(KEEPER, "books", "trust", "desk-%d" % number, "--card", card)
        typed(number, "note", "the desk begins")

    def fresh(self, name):
        """The template once more, with nothing left to write."""
        self.drop(name)
        self.ask("postgres", 'CREATE DATABASE "%s" TEMPLATE book STRATEGY file_copy' % name)
        self.ask("postgres", "CHECKPOINT")
        return self.address(name)


def cylinders(work):
    """Recovery cylinders with gas and room in them: code, circuit of the last recovery, gross weight in 0.01 lb."""
    last = {}
    with open(work.csv) as f:
        for row in csv.DictReader(f):
            last[row["cylinder"]] = row
    with open(work.path("cylinders.csv")) as f:
        tare = {row["cylinder"]: int(row["tare_lb"].replace(".", "")) for row in csv.DictReader(f)}
    found = [(code, "/".join((row["site"], row["appliance"], row["circuit"])), int(row["gross_after_lb"].replace(".", "")))
             for code, row in last.items() if row["kind"] == "recover"]
    # room for what a desk puts in: a cylinder is sent back when it is nearly full
    return [f for f in found if f[2] > tare[f[0]] + 100]


class Run:
    """What the desks of one run came to."""

    def __init__(self, seconds):
        self.seconds, self.times, self.other = seconds, [], collections.Counter()

    def take(self, line):
        word, _, rest = line.strip().partition(" ")
        if word.startswith("committed"):
            took, _, rest = rest.partition(" ")
            self.times.append(float(took))
        if word != "committed":
            self.other["%s %s" % (word, rest)] += 1

    @property
    def rate(self):
        return len(self.times) / self.seconds

    def share(self, part):
        return sorted(self.times)[min(len(self.times) - 1, int(len(self.times) * part))] if self.times else float("nan")

    def told(self):
        return "%.1f/s, p50 %.3f p95 %.3f p99 %.3f longest %.3f s%s" % (
            self.rate, self.share(0.5), self.share(0.95), self.share(0.99), self.share(1),
            "".join("; %d %s" % (n, what) for what, n in self.other.most_common()))


def by_clients(bench, o, book, rate):
    begin = time.time() + 1.0 + 0.1 * o.clients
    started = [subprocess.Popen([bench.client, book, o.cylinders, str(n), str(o.clients), repr(begin), str(o.seconds),
                                 str(rate / o.clients)], env=environment(bench, n), stdout=subprocess.PIPE, text=True)
               for n in range(o.clients)]
    run = Run(o.seconds)
    for one in started:
        for line in one.communicate()[0].splitlines():
            run.take(line)
        assert one.returncode == 0, "a desk ended with %d" % one.returncode
    return run


class Typing:
    """A desk that types commands, with the same dice as server_client.cpp in words."""

    def __init__(self, bench, o, book, number):
        self.program, self.book, self.env = bench.tarebook, book, environment(bench, number)
        few = len(o.lines) // 20
        self.own = [[*c, 0] for i, c in enumerate(o.lines[:len(o.lines) - few]) if i % o.clients == number]
        self.common, self.dice = [[*c, 0] for c in o.lines[len(o.lines) - few:]], random.Random(number)

    def record(self):
        own = self.dice.randrange(20) != 0
        cylinder = self.dice.choice(self.own if own else self.common)
        code, circuit, gross, moved = cylinder
        act, now_moved = 0, moved
        if own and self.dice.randrange(3):
            act, now_moved = (2, 0) if moved else (1, 5 + self.dice.randrange(56))
        after = gross + now_moved - moved
        pounds = ["%d.%02dlb" % divmod(w, 100) for w in (gross, after)]
        words = (["weigh", code, "--gross", pounds[0]],
                 ["recover", "--circuit", circuit, "--into", code, "--before", pounds[0], "--after", pounds[1]],
                 ["reuse", "--circuit", circuit, "--from", code, "--before", pounds[0], "--after", pounds[1]])[act]
        began = time.time()
        done = subprocess.run([self.program, "--book", self.book, *words], env=self.env, capture_output=True, text=True)
        took = time.time() - began
        if done.returncode in (0, 4):
            cylinder[2:] = [after, now_moved]
        if done.returncode in (0, 4):
            return "committed%s %.6f" % ("-with-exception" if done.returncode else "", took)
        said = (done.stderr or done.stdout).strip().splitlines()
        return "exit-%d %s" % (done.returncode, said[0] if said else "")


def by_processes(bench, o, book):
    run, lock = Run(o.seconds), threading.Lock()
    desks = [Typing(bench, o, book, n) for n in range(o.clients)]
    until = time.time() + o.seconds

    def work(one):
        while time.time() < until:
            line = one.record()
            with lock:
                run.take(line)
    threads = [threading.Thread(target=work, args=(one,)) for one in desks]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return run


class Reports:
    """A `report year` begun every five seconds, as long as a run lasts."""

    def __init__(self, bench, book, o):
        self.bench, self.book, self.year, self.times, self.started = bench, book, o.year, [], []
        self.until = time.time() + o.seconds

    def __enter__(self):
        self.stop = threading.Event()
        self.thread = threading.Thread(target=self.begin)
        self.thread.start()
        return self

    def begin(self):
        while not self.stop.wait(5) and time.time() < self.until:
            one = threading.Thread(target=self.report)
            one.start()
            self.started.append(one)

    def report(self):
        began = time.time()
        subprocess.run([self.bench.tarebook, "--book", self.book, "report", "year", self.year], check=True,
                       env=environment(self.bench), stdout=subprocess.DEVNULL)
        self.times.append(time.time() - began)

    def __exit__(self, *_):
        self.stop.set()
        self.thread.join()
        for one in self.started:
            one.join()


def by_pgbench(bench, o, server, database, *more):
    folder = os.path.join(bench.data, "pgbench")
    shutil.rmtree(folder, ignore_errors=True)
    os.makedirs(folder)
    few = len(o.lines) // 20
    each = (len(o.lines) - few) // o.clients
    done = subprocess.run(
        [os.path.join(server.bin, "pgbench"), "-n", "-M", "prepared", "-c", str(o.clients), "-j", "2", "-T", str(o.seconds),
         "-f", os.path.join(HERE, "server_desks.sql"), "-l", "--log-prefix=" + os.path.join(folder, "log"), "-h",
         server.folder, "-U", "office", "-D", "all=%d" % len(o.lines), "-D", "few=%d" % few, "-D", "desks=%d" % o.clients,
         "-D", "each=%d" % each, *more, database],
        env={**os.environ, "PGOPTIONS": "-c search_path=tarebook"}, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    run = Run(o.seconds)
    for path in glob.glob(os.path.join(folder, "log*")):
        with open(path) as f:
            run.times += [int(line.split()[2]) / 1e6 for line in f]
    failed = re.search(r"number of failed transactions: (\d+)", done.stdout)
    if failed and int(failed.group(1)):
        run.other["failed"] = int(failed.group(1))
    return run


class Figures:
    def __init__(self, o):
        self.o, self.all = o, {}

    def add(self, part, who, run):
        self.all.setdefault(part, {}).setdefault(who, []).append(run)
        print("%-10s %-9s %s" % (part, who, run.told()), flush=True)

    def median(self, part, who, of):
        return statistics.median(of(run) for run in self.all[part][who])

    def told(self):
        out = {}
        for part, whos in self.all.items():
            for who in whos:
                figure = {"per_second": self.median(part, who, lambda r: r.rate)}
                for name, share in (("p50", 0.5), ("p95", 0.95), ("p99", 0.99)):
                    figure[name] = self.median(part, who, lambda r, s=share: r.share(s))
                figure["runs"] = len(whos[who])
                figure["other"] = dict(sum((r.other for r in whos[who]), collections.Counter()))
                out["%s %s" % (part, who)] = figure
                print("median of %d: %-20s %8.1f/s  p50 %.3f  p95 %.3f  p99 %.3f s  other: %s" % (
                    figure["runs"], "%s %s" % (part, who), figure["per_second"], figure["p50"], figure["p95"], figure["p99"],
                    sum(figure["other"].values())))
        missed = []
        for part in ("fast", "processes"):
            if part in self.all:
                share = out[part + " desks"]["per_second"] / out[part + " pgbench"]["per_second"]
                print("%s: %.3f of pgbench's commits a second (goal %.1f)" % (part, share, GOAL_SHARE))
                if share < GOAL_SHARE:
                    missed.append(part)
        if "paced" in self.all and out["paced desks"]["p95"] >= GOAL_P95:
            missed.append("paced")
        print("goals missed: %s" % (", ".join(missed) or "none"))
        return out


def on_server(bench, o, server, figures):
    for _ in range(o.rounds):
        if "fast" in o.parts:
            figures.add("fast", "desks", by_clients(bench, o, server.fresh("desks"), 0))
            server.fresh("bare")
            figures.add("fast", "pgbench", by_pgbench(bench, o, server, "bare"))
        if "processes" in o.parts:
            figures.add("processes", "desks", by_processes(bench, o, server.fresh("desks")))
            server.fresh("bare")
            figures.add("processes", "pgbench", by_pgbench(bench, o, server, "bare", "-C"))
        if "paced" in o.parts:
            book = server.fresh("desks")
            with Reports(bench, book, o) as reports:
                figures.add("paced", "desks", by_clients(bench, o, book, RATE))
            print("           reports: %s s" % ", ".join("%.1f" % t for t in reports.times), flush=True)
            server.fresh("bare")
            figures.add("paced", "pgbench", by_pgbench(bench, o, server, "bare", "--rate=%g" % RATE))
    said = subprocess.run([bench.tarebook, "--book", server.address("desks"), "check"], env=environment(bench),
                          capture_output=True, text=True)
    print("check: %s" % said.stdout.strip().splitlines()[0])
    return said.returncode in (0, 4)


def in_file(bench, o, work, figures):
    path = work.path("desks.tarebook")

    def fresh():
        for old in glob.glob(path + "*"):
            os.unlink(old)
        shutil.copyfile(work.book(), path)
        os.chmod(path, 0o600)
        os.sync()
        return path
    for _ in range(o.rounds):
        figures.add("file", "fast", by_clients(bench, o, fresh(), 0))
        figures.add("file", "processes", by_processes(bench, o, fresh()))
        with Reports(bench, fresh(), o) as reports:
            figures.add("file", "paced", by_clients(bench, o, path, RATE))
        print("           reports: %s s" % ", ".join("%.1f" % t for t in reports.times), flush=True)


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--build", required=True)
    parser.add_argument("--data", default="build/bench-data")
    parser.add_argument("--parts", default="fast,processes,paced,file", type=lambda s: s.split(","))
    parser.add_argument("--year", default="2024")
    for name, value in (("events", 200000), ("seconds", 10), ("rounds", 5), ("clients", 20)):
        parser.add_argument("--" + name, type=int, default=value)
    o = parser.parse_args()
    bench = Bench(o.build, o.data)
    work = workload.Workload(bench, "desks-%d" % o.events, o.events)
    work.book()
    o.lines, o.cylinders = cylinders(work), work.path("desk-cylinders.txt")
    with open(o.cylinders, "w") as f:
        f.writelines("%s %s %d\n" % c for c in o.lines)
    print("%(cpu)s, %(cores)d cores, %(memory_gib)g GiB, Linux %(kernel)s, %(file_system)s, load %(load_at_start)g at start" %
          machine.described(bench.data), "%d desks on %d cylinders" % (o.clients, len(o.lines)), sep="; ", flush=True)
    figures, whole = Figures(o), True
    if {"fast", "processes", "paced"} & set(o.parts):
        with BenchServer(os.path.join(bench.data, "server")) as server:
            server.template(bench, work, o.clients)
            whole = on_server(bench, o, server, figures)
    if "file" in o.parts:
        in_file(bench, o, work, figures)
    with open(os.path.join(bench.data, "desks.json"), "w") as f:
        json.dump(figures.told(), f, indent=1)
    return 0 if whole else 1


if __name__ == "__main__":
    sys.exit(main())
