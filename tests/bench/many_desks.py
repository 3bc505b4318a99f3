#!/usr/bin/env python3
"""Many programs on one book: forty record, eight hold a snapshot of it, two run reports. First each writer at a desk's
pace, then as fast as it can. Fails where a recording fails, or is slow beside a lone one.

  many_desks.py --build DIR [--events 200000] [--seconds 120] [--writers 40] [--every 4] [--data DIR]

The data folder must lie on the disk whose syncs are to be measured."""
import argparse
import os
import random
import shutil
import sqlite3
import statistics
import subprocess
import sys
import threading
import time

sys.dont_write_bytecode = True
import workload  # noqa: E402

MOST_SECONDS, MOST_TIMES_ALONE, MOST_WAIT = 1.0, 5.0, 10.0


class Bench:
    def __init__(self, build, data):
        self.data = data
        self.tarebook = os.path.join(os.path.abspath(build), "cli", "for_tests", "tarebook")
        os.makedirs(data, exist_ok=True)


class Desks:
    def __init__(self, bench, path, cylinders):
        self.program, self.path, self.cylinders = bench.tarebook, path, cylinders
        self.env = {k: v for k, v in os.environ.items() if k not in ("TAREBOOK", "TAREBOOK_NOW")}
        self.failed = []

    def record(self, dice):
        words = ["weigh", dice.choice(self.cylinders), "--gross", "%d.%dlb" % (dice.randint(40, 60), dice.randint(0, 9)),
                 "--anyway", "many desks"]
        began = time.perf_counter()
        done = subprocess.run([self.program, "--book", self.path, *words], env=self.env, capture_output=True, text=True)
        if done.returncode not in (0, 4):
            self.failed.append((" ".join(words), done.returncode, done.stderr.strip()[:400]))
        return time.perf_counter() - began

    def write(self, number, until, every, times):
        dice = random.Random(number)
        if every:
            time.sleep(dice.random() * every)
        while time.time() < until:
            times.append(self.record(dice))
            if every:
                time.sleep(max(0.0, every - times[-1]))

    def hold(self, until):
        """A tool that reads, and keeps what it read for ten seconds."""
        while time.time() < until:
            db = sqlite3.connect("file:%s?mode=ro" % self.path, uri=True)
            try:
                db.execute("BEGIN")
                db.execute("SELECT count(*) FROM head").fetchone()
                time.sleep(min(10.0, max(0.1, until - time.time())))
            except sqlite3.Error as error:
                self.failed.append(("a reader", 0, str(error)))
            finally:
                db.close()

    def report(self, number, until):
        words = (["report", "inventory"], ["due"])[number % 2]
        while time.time() < until:
            done = subprocess.run([self.program, "--book", self.path, *words], env=self.env, capture_output=True, text=True)
            if done.returncode not in (0, 4):
                self.failed.append((" ".join(words), done.returncode, done.stderr.strip()[:400]))

    def together(self, writers, every, seconds):
        until, times = time.time() + seconds, []
        threads = [threading.Thread(target=self.write, args=(n, until, every, times)) for n in range(writers)]
        threads += [threading.Thread(target=self.hold, args=(until,)) for _ in range(8)]
        threads += [threading.Thread(target=self.report, args=(n, until)) for n in range(2)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        return sorted(times)


def told(name, times):
    print("%-34s %5d records, median %.3f s, 95 %% within %.3f s, longest %.3f s" %
          (name, len(times), statistics.median(times), times[int(len(times) * 0.95)], times[-1]), flush=True)


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--build", required=True)
    parser.add_argument("--data", default="build/bench-data")
    for name, value in (("events", 200000), ("seconds", 120), ("writers", 40), ("every", 4)):
        parser.add_argument("--" + name, type=int, default=value)
    o = parser.parse_args()
    bench = Bench(o.build, os.path.abspath(o.data))
    work = workload.Workload(bench, "desks-%d" % o.events, o.events)
    path = work.path("desks.tarebook")
    shutil.copyfile(work.book(), path)
    os.chmod(path, 0o600)
    desks = Desks(bench, path, [found[0] for found in work.supply_cylinders(200)])
    alone = sorted(desks.record(random.Random(1)) for _ in range(40))
    told("alone", alone)
    paced = desks.together(o.writers, o.every, o.seconds)
    told("%d writers, one every %d s each" % (o.writers, o.every), paced)
    fast = desks.together(o.writers, 0, max(10, o.seconds // 4))
    told("%d writers as fast as they can" % o.writers, fast)
    check = subprocess.run([bench.tarebook, "--book", path, "check"], env=desks.env, capture_output=True, text=True)
    p95 = paced[int(len(paced) * 0.95)]
    wrong = ["%s: exit %s, %s" % f for f in desks.failed[:5]]
    if p95 > max(MOST_SECONDS, MOST_TIMES_ALONE * statistics.median(alone)):
        wrong.append("95 %% of the records took up to %.2f s" % p95)
    if fast[-1] > MOST_WAIT:
        wrong.append("one waited for %.1f s" % fast[-1])
    if check.returncode not in (0, 4):
        wrong.append("check: " + check.stderr[:400] + check.stdout[:400])
    print("%d failed" % len(desks.failed), *wrong, sep="\n")
    return 1 if wrong or desks.failed else 0


if __name__ == "__main__":
    sys.exit(main())
