#!/usr/bin/env python3
"""Fills the table "Where Tarebook wants to be": each job against its yardstick in the same run, by medians.

  run.py --build DIR [--sizes 10000,100000,1000000] [--parts import,record,text,cylinder,check,export,mapped,merge,trust] [--data DIR]
         [--runs 5]

The part fleet, a hundred trucks, runs where it is named.

DIR is a Release build configured with -DTAREBOOK_BENCH=ON. The data folder (workloads, books; 3 GB
for a million) must
lie on the disk whose syncs are to be measured; results.json and chart.svg are written there. Debian packages:
libssl-dev, strace, sqlite3, and ledger, the general accounting tool whose speed is the measure.
"""
import argparse
import json
import os
import sys

sys.dont_write_bytecode = True
import chart  # noqa: E402
import books_jobs  # noqa: E402
import jobs  # noqa: E402
import machine  # noqa: E402
import table  # noqa: E402

PARTS = {"import": "import_", "record": "record", "text": "text", "cylinder": "cylinder", "check": "check",
         "export": "export"}
OF_BOOKS = ("mapped", "merge", "trust", "fleet")


class Bench:
    def __init__(self, build, data):
        self.build, self.data = os.path.abspath(build), os.path.abspath(data)
        self.tarebook = os.path.join(self.build, "cli", "for_tests", "tarebook")
        os.makedirs(self.data, exist_ok=True)
        for program in (self.tarebook, self.yardstick("sq_load")):
            if not os.path.exists(program):
                sys.exit("there is no %s: configure with -DTAREBOOK_BENCH=ON, and build" % program)

    def yardstick(self, name):
        return os.path.join(self.build, "tests", "bench", name)


def main():
    p = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    p.add_argument("--build", required=True)
    p.add_argument("--sizes", default="10000,100000,1000000", type=lambda s: [int(x) for x in s.split(",")])
    p.add_argument("--parts", default=",".join([*PARTS, *OF_BOOKS[:-1]]), type=lambda s: s.split(","))
    p.add_argument("--data", default="/tmp/tarebook-bench")
    p.add_argument("--runs", default=5, type=int)
    a = p.parse_args()
    for part in a.parts:
        if part not in [*PARTS, *OF_BOOKS]:
            p.error("there is no part %s; parts: %s" % (part, ", ".join([*PARTS, *OF_BOOKS])))

    bench, out = Bench(a.build, a.data), table.Table()
    where = machine.described(bench.data)
    words = ("%(cpu)s, %(cores)d cores, %(memory_gib)g GiB, Linux %(kernel)s, %(file_system)s, load %(load_at_start)g "
             "at start" % where)
    print(words, flush=True)
    measured, of_books = jobs.Jobs(bench, out, a.sizes, a.runs), books_jobs.BookJobs(bench, out, a.runs)
    for part in a.parts:
        print("-- " + part, flush=True)
        getattr(measured, PARTS[part])() if part in PARTS else getattr(of_books, part)()
    if out.peak_of_reading:
        out.at_most("peak memory of reports, check and export, " + measured.at, out.peak_of_reading, 64, 32, "MiB")

    if measured.sizes[-1] != 1000000:
        out.remark("The goals are meant for 1 M movements; the largest size here was %s." % jobs.short(measured.sizes[-1]))
    print("\n%s\n%s" % (words, out.text()))
    with open(os.path.join(bench.data, "results.json"), "w") as f:
        times = [dict(figure._asdict(), job=title, command=label) for title, label, figure in out.times]
        json.dump({"machine": where, "sizes": measured.sizes, "runs": a.runs, "rows": [r._asdict() for r in out.rows],
                   "times": times, "remarks": out.remarks}, f, indent=1)
    with open(os.path.join(bench.data, "chart.svg"), "w") as f:
        f.write(chart.svg(out.rows, words))
    print("written: %s and chart.svg" % os.path.join(bench.data, "results.json"))


if __name__ == "__main__":
    main()
