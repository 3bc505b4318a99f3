"""Kill and fault points: at every call that a command makes to its file, something goes wrong; nothing that was told to
be recorded is lost, nothing is there in part, `check` is clean, recording it again ends with it once, the next works.

TAREBOOK_FAULT_POINTS (2000) says how many, TAREBOOK_FAULT_SEED (1) which; TAREBOOK_FAULT_ONLY="record kill 17 3" runs
one again and keeps its folder."""
import collections
import itertools
import multiprocessing
import os
import random
import shutil
import sys
import tempfile
import time

import point as points
import scenarios
from program import ROOM, Folder

N = int(os.environ.get("TAREBOOK_FAULT_POINTS", "2000"))
SEED = int(os.environ.get("TAREBOOK_FAULT_SEED", "1"))
ONLY = os.environ.get("TAREBOOK_FAULT_ONLY")
WORKERS = int(os.environ.get("TAREBOOK_FAULT_WORKERS", "2"))
REPEATS_ARE_ALIKE = ("kill",)
FAILED_ONCE = (  # points that found a mistake; they are run each time
    "record-spill kill 23 438746291 check error-once",  # a free page that could not be read was called damage
)


def first_level(scenario, kind, rnd):
    calls = list(range(1, points.count(kind, scenario.traces[points.KINDS[kind][2]]) + 1))
    for turn in itertools.count():
        if turn and kind in REPEATS_ARE_ALIKE:
            return
        rnd.shuffle(calls)
        for call in calls:
            yield points.Point(scenario, kind, call, rnd.randrange(1 << 30))


def second_level(scenario, kind, rnd):
    """First a fatal fault while there was something to recover, then this kind while that is recovered."""
    while True:
        ways = []
        for first in points.FATAL:
            what, counted, disk = points.KINDS[first]
            trace = scenario.traces[disk]
            spoilt = range(trace.index("W"), trace.rindex("D") + 1)
            number = 0
            for at, letter in enumerate(trace):
                number += letter in counted
                if letter in counted and at in spoilt:
                    ways.append((first, number))
        ways = [(first, call, by) for first, call in ways for by in ("check", "again")]
        rnd.shuffle(ways)
        for first, call, by in ways:
            yield points.Point(scenario, first, call, rnd.randrange(1 << 30), (by, kind))


def chosen(ready):
    """Evenly over scenarios and kinds; in each, every call before any a second time."""
    rnd = random.Random(SEED)
    groups = [level(s, k, random.Random(rnd.randrange(1 << 60)))
              for s in ready for k in points.KINDS for level in (first_level, second_level)]
    out = [named(text, ready) for text in FAILED_ONCE][:N]
    while groups and len(out) < N:
        for group in list(groups):
            try:
                out.append(next(group))
            except StopIteration:
                groups.remove(group)
    return out[:N]


def named(text, ready):
    words = text.split()
    scenario = next(s for s in ready if s.name == words[0])
    return points.Point(scenario, words[1], int(words[2]), int(words[3]), tuple(words[4:6]) if len(words) > 4 else None)


def tried(folder, point):
    trial = points.Trial(folder, point)
    try:
        trial.run()
        return trial.struck, None
    except AssertionError as error:
        return trial.struck, str(error)
    except Exception as error:  # a book that cannot even be read is a finding of its own
        return trial.struck, "%s: %s" % (type(error).__name__, error)


work = None  # what the workers inherit: the points, and where each has its folder
TELL_EVERY = 5000  # a long campaign that is stopped has said how far it was


def one(i):
    mine, room = work
    return (i, *tried(Folder(os.path.join(room, "worker-%d" % os.getpid())), mine[i]))


def all_of(mine):
    began = time.perf_counter()
    wrong = 0
    with multiprocessing.get_context("fork").Pool(WORKERS) as pool:
        for n, result in enumerate(pool.imap_unordered(one, range(len(mine)), chunksize=20), 1):
            wrong += result[2] is not None
            if n % TELL_EVERY == 0:
                print("%d of %d points, %d failed, %.0f s" % (n, len(mine), wrong, time.perf_counter() - began),
                      file=sys.stderr, flush=True)
            yield result


def main():
    global work
    room = tempfile.mkdtemp(prefix="tarebook-crash-", dir=ROOM)
    ready = scenarios.prepared(Folder(os.path.join(room, "prepare")))
    if ONLY:
        point = named(ONLY, ready)
        folder = Folder(os.path.join(room, "only"))
        struck, wrong = tried(folder, point)
        print("%s\nstruck: %s\n%s\nfolder: %s" % (point, struck, wrong or "as it should be", folder.path))
        return 1 if wrong else 0
    began = time.perf_counter()
    mine = chosen(ready)
    work = (mine, room)
    table = collections.defaultdict(lambda: [0, 0, 0, 0])  # run, struck; with a second fault: run, struck twice
    met = collections.defaultdict(set)
    failures = {}
    for i, struck, wrong in all_of(mine):
        point = mine[i]
        row = table[point.scenario.name, point.then[1] if point.then else point.kind]
        row[2 if point.then else 0] += 1
        row[3 if point.then else 1] += all(struck) and len(struck) == (2 if point.then else 1)
        if not point.then:
            met[point.scenario.name, point.kind].add(point.call)
        if wrong:
            failures.setdefault((point.scenario.name, wrong.splitlines()[0]), []).append((point, wrong))
    print("%-14s %-11s %7s %7s %12s   %s" % ("scenario", "fault", "points", "struck", "calls met",
                                           "again while recovering: points, struck twice"))
    for s in ready:
        for kind in points.KINDS:
            row = table[s.name, kind]
            of = points.count(kind, s.traces[points.KINDS[kind][2]])
            print("%-14s %-11s %7d %7d %12s   %6d %6d" % (s.name, kind, row[0], row[1],
                                                        "%d of %d" % (len(met[s.name, kind]), of), row[2], row[3]))
    wrong = sum(len(f) for f in failures.values())
    for (scenario, why), found in sorted(failures.items(), key=lambda f: -len(f[1])):
        print("\nFAILED %d times, %s: %s\n  TAREBOOK_FAULT_ONLY=\"%s\"\n%s" % (len(found), scenario, why, *found[0]))
    shutil.rmtree(room)
    print("\n%d fault points, %d failed, seed %d, %.0f s" % (len(mine), wrong, SEED, time.perf_counter() - began))
    return 1 if wrong or not mine else 0


if __name__ == "__main__":
    sys.exit(main())
