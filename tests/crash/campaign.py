"""The campaign: worlds of an office and two trucks from a seed, step by step; each step draws what is done and what goes wrong,
and what was left lying lies there for the next. What must hold is said where it is looked at: campaign_world.py for what was
acknowledged, campaign_steps.py and campaign_files.py for each command, campaign_copies.py for any book.

TAREBOOK_CAMPAIGN_POINTS (400) says how many steps, TAREBOOK_CAMPAIGN_SEED (1) from which world on, TAREBOOK_CAMPAIGN_WORKERS (1)
how many at a time; TAREBOOK_CAMPAIGN_ONLY="SEED STEPS" repeats one world up to its last step, says what was done, and keeps its
folder."""
import collections
import multiprocessing
import os
import random
import shutil
import sys
import tempfile
import time
import traceback

import campaign_copies as copies
import campaign_files as files
import campaign_steps as steps
from campaign_template import Template
from campaign_world import FAULTS, World
from point import must
from program import ROOM

POINTS = int(os.environ.get("TAREBOOK_CAMPAIGN_POINTS", "400"))
SEED = int(os.environ.get("TAREBOOK_CAMPAIGN_SEED", "1"))
WORKERS = int(os.environ.get("TAREBOOK_CAMPAIGN_WORKERS", "1"))
ONLY = os.environ.get("TAREBOOK_CAMPAIGN_ONLY")
STEPS = 40  # of one world
TELL_EVERY = 2000
DRAWN = {steps.record: 24, steps.sheet: 5, steps.movements: 5, steps.send: 9, steps.register: 1, steps.merge: 9, steps.sync: 7, steps.trust: 3,
         steps.rebuild: 3, steps.lock: 1, steps.seal: 2, steps.people: 2, files.backup: 12, files.restore: 4, files.start: 4, files.upgrade: 3,
         files.salvage: 4, files.export: 3, files.analysts: 3, copies.flip: 6, copies.stranger: 3, copies.strange_log: 4}


def step(world):
    """One point. Debris of the steps before it lies in the folders."""
    what = world.dice.choices(list(DRAWN), list(DRAWN.values()))[0]
    party = world.office if what is steps.seal else world.dice.choice(world.parties)
    if world.log:
        world.log("--- step: %s, %s" % (what.__name__, party.called))
    world.counts["step " + what.__name__] += 1
    what(world, party)
    world.minutes += world.dice.randint(1, 40)


def at_the_end(world):
    """All that was acknowledged is in its file, and each book that is recorded in is in order."""
    for held in world.files.values():
        world.holds(held)
    for party in world.parties:
        world.check(party.held.path)


def lived(room, template, seed, most=STEPS, log=None):
    """(steps, what is wrong, counts) of one world."""
    world = World(os.path.join(room, "world-%d" % os.getpid()), template, random.Random(seed), log=log)
    done = points = 0
    try:
        for done in range(1, most + 1):
            world.struck = False
            step(world)
            points += world.struck
        if most == STEPS:
            at_the_end(world)
        wrong = None
    except AssertionError as error:
        wrong = str(error)
    except Exception as error:  # a file that cannot even be read is a finding of its own
        wrong = "%s: %s\n%s" % (type(error).__name__, error, "".join(traceback.format_tb(error.__traceback__)))
    world.counts["points struck"] += points
    return done, wrong, world.counts


work = None  # what the workers inherit


def one(seed):
    return (seed, *lived(*work, seed))


def all_of(seeds):
    if WORKERS == 1:
        yield from map(one, seeds)
        return
    with multiprocessing.get_context("fork").Pool(WORKERS) as pool:
        yield from pool.imap_unordered(one, seeds)


def rehearsed(template, room):
    """Each kind of step once without a fault: how many calls it makes."""
    world = World(os.path.join(room, "rehearsal"), template, random.Random(0), faulty=False)
    for _ in range(3):
        for what in DRAWN:
            what(world, world.office)
            if what in (steps.record, steps.send, steps.sync):
                what(world, world.trucks[0])
    at_the_end(world)
    template.traces = world.traces


def repeated(template, room, seed, most):
    with open(os.path.join(room, "done"), "w", encoding="utf-8") as f:
        done, wrong, _ = lived(room, template, seed, most, log=lambda line: f.write(line + "\n"))
    print("%s\nstep %d of the world %d\nfolder: %s, what was done: %s" % (wrong or "as it should be", done, seed, room, f.name))
    return 1 if wrong else 0


def table(counts):
    """What was done under what, and how often the fault struck."""
    kinds = sorted({name.split(": ")[0] for name in counts if ": " in name})
    print("%-14s" % "command" + "".join("%11s" % what for what in ("no fault", *FAULTS)))
    for kind in kinds:
        print("%-14s" % kind + "".join("%11d" % counts["%s: %s" % (kind, what)] for what in ("none", *FAULTS)))
    print("on copies: %s" % ", ".join("%d %s" % (counts[k], k) for k in sorted(counts) if k.startswith(("flips", "step str"))))


def main():
    global work
    room = tempfile.mkdtemp(prefix="tarebook-campaign-", dir=ROOM)
    template = Template(room)
    rehearsed(template, room)
    if ONLY:
        return repeated(template, room, *map(int, ONLY.split()))
    began, cpu = time.perf_counter(), sum(os.times()[:4])
    work = (room, template)
    counts, failures, points = collections.Counter(), {}, 0
    for n, (seed, done, wrong, told) in enumerate(all_of(range(SEED, SEED + max(1, POINTS // STEPS))), 1):
        points += done
        counts.update(told)
        if wrong:
            failures.setdefault(wrong.splitlines()[0].replace(room, ""), []).append((seed, done, wrong))
            print('FAILED TAREBOOK_CAMPAIGN_ONLY="%d %d": %s' % (seed, done, wrong.splitlines()[0]), flush=True)
        if n * STEPS % TELL_EVERY == 0:
            print("%d points, %d worlds failed, %.0f s" % (points, sum(map(len, failures.values())), time.perf_counter() - began),
                  file=sys.stderr, flush=True)
    table(counts)
    for why, found in sorted(failures.items(), key=lambda f: -len(f[1])):
        print('\nFAILED %d times: %s\n  TAREBOOK_CAMPAIGN_ONLY="%d %d"\n%s' % (len(found), why, *found[0]))
    shutil.rmtree(room)
    wrong = sum(map(len, failures.values()))
    print("\ncampaign: %d points (%d struck by a fault), %d worlds failed, seed %d, %.0f s, %.0f s of CPU" % (
        points, counts["points struck"], wrong, SEED, time.perf_counter() - began, sum(os.times()[:4]) - cpu))
    must(counts["points struck"] > points / 4, "hardly any fault struck")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
