#!/usr/bin/env python3
"""Records one event, whole process, against a bare SQLite program that appends one (same journal mode), in one run.

  record_one.py TAREBOOK BOOK SQ_APPEND DB [RUNS]

TAREBOOK is the binary, BOOK a filled book (tests/bench/fill_book), SQ_APPEND and DB the yardstick and its database.
Prints medians of wall and CPU, their ratio, and the syncs of one record (strace).
"""
import os
import re
import resource
import statistics
import subprocess
import sys
import time

tarebook, book, append, db = sys.argv[1:5]
runs = int(sys.argv[5]) if len(sys.argv) > 5 else 41


def once(argv):
    t0, c0 = time.perf_counter(), resource.getrusage(resource.RUSAGE_CHILDREN)
    done = subprocess.run(argv, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
    c1 = resource.getrusage(resource.RUSAGE_CHILDREN)
    assert done.returncode in (0, 4), done.stderr
    return time.perf_counter() - t0, c1.ru_utime + c1.ru_stime - c0.ru_utime - c0.ru_stime


ours = [tarebook, "--book", book, "weigh", "RC-0001" if len(sys.argv) < 7 else sys.argv[6], "--gross", "30lb"]
bare = [append, db, "DELETE", "EXTRA", "1"]
a, b = [], []
for i in range(runs + 2):
    x, y = once(ours), once(bare)
    if i >= 2:
        a.append(x)
        b.append(y)
med = lambda rows, k: statistics.median(r[k] for r in rows) * 1000
print("%-28s wall %6.2f ms  cpu %6.2f ms" % ("tarebook, one event", med(a, 0), med(a, 1)))
print("%-28s wall %6.2f ms  cpu %6.2f ms" % ("yardstick, one event", med(b, 0), med(b, 1)))
print("ratio                        wall %6.2f     cpu %6.2f" % (med(a, 0) / med(b, 0), med(a, 1) / med(b, 1)))
for name, argv in (("tarebook", ours), ("yardstick", bare)):
    trace = subprocess.run(["strace", "-f", "-e", "trace=fsync,fdatasync", *argv], capture_output=True, text=True).stderr
    print("%-28s syncs %d" % (name, len(re.findall(r"f(?:data)?sync\(", trace))))
