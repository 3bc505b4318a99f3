"""An office and two trucks, each a folder of files; what must be in each of them, kept outside of the books; and one command
at work on them, perhaps under a fault. What a command leaves lying stays for the next ones."""
import collections
import os
import re
import shutil
import sqlite3

from point import NOT_A_SENTENCE, must
from program import FOLDER_LIBRARY, KILLED, Folder

SIDES = ("-wal", "-journal")
RARE = "TSGDNI"  # calls of which a command makes few: each kind is drawn as often as all calls together
EVERY = "MWTSGDNI"
# what goes wrong: how often it is drawn, and at which calls (fault.hpp has the words and the letters)
FAULTS = {"kill": (4, EVERY), "after": (3, EVERY), "torn": (2, "W"), "cut": (6, EVERY), "error": (4, "OR" + EVERY),
          "errors": (3, "OR" + EVERY), "failed-cut": (3, "OR" + EVERY), "full": (2, "MWNI"), "nowhere": (1, "MWNI"),
          "short": (1, "W")}
FATAL = ("kill", "after", "torn", "cut")
NOTHING = "othing was written"
FAILED_THEN_CUT = re.compile(r"!.*E!$")
OWN_ID = re.compile(r'"own_id":"([^"]*)"')


def says_nothing_was_written(ran):
    """After a failed command a power cut may bring back what was taken away again: then it was true when it was said."""
    return ran.code == 1 or ran.code == 3 and NOTHING in ran.err and not FAILED_THEN_CUT.search(ran.trace)


class Held:
    """A file, and the own ids that must be in it."""

    def __init__(self, path, must_hold=()):
        self.path, self.must = path, set(must_hold)


class Party:
    """Who records: the book as of now, what was acknowledged in it itself, and what went out."""

    def __init__(self, name, folder, held):
        self.name, self.folder, self.held = name, folder, held
        self.called, self.trusted, self.card = name, True, None
        self.own, self.sent, self.backups = set(), set(), []


class World:
    def __init__(self, path, template, dice, faulty=True, log=None):
        self.dice, self.template, self.faulty, self.log = dice, template, faulty, log
        self.path = path
        shutil.rmtree(path, ignore_errors=True)
        shutil.copytree(template.path, os.path.join(path, "shop"))
        self.room = os.path.join(path, "shop")
        self.desk = os.path.join(path, "desk")
        os.makedirs(self.desk)
        self.program = Folder(self.room, told=os.path.join(path, "told."))
        self.program.library = FOLDER_LIBRARY
        self.counts = collections.Counter()
        self.files, self.parties, self.mail, self.of_office = {}, [], [], []
        for name in ("office", "truck-1", "truck-2"):
            held = self.held(os.path.join(self.room, name, "book"), template.own_ids[name])
            party = Party(name, os.path.join(self.room, name), held)
            party.card, party.own = template.cards[name], set(template.own_ids[name])
            self.parties.append(party)
        self.office, self.trucks = self.parties[0], self.parties[1:]
        self.number = self.minutes = 0
        self.struck = False
        self.traces = dict(template.traces)

    def next(self):
        self.number += 1
        return self.number

    def held(self, path, must_hold=()):
        """The file is to be looked after from now on."""
        if path not in self.files:
            self.files[path] = Held(path)
        self.files[path].must |= set(must_hold)
        return self.files[path]

    @property
    def now(self):
        return "2026-06-%02dT%02d:%02d:00Z" % (1 + self.minutes // 1440, self.minutes // 60 % 24, self.minutes % 60)

    # commands

    def draw_fault(self, kind):
        if not self.faulty or self.dice.random() < 0.1:
            return None, "none"
        what = self.dice.choices(list(FAULTS), [weight for weight, _ in FAULTS.values()])[0]
        calls, trace = FAULTS[what][1], self.traces.get(kind, "")
        if len(calls) > 1 and self.dice.random() < 0.5:
            there = [c for c in RARE if c in trace and c in calls]
            calls = self.dice.choice(there) if there else calls
        most = sum(trace.count(c) for c in calls) + (what == "cut")
        # what was answered is there for good: that is seen only by a power cut just behind the end
        at = most if what == "cut" and self.dice.random() < 0.4 else 1 + self.dice.randrange(max(most, 1))
        return "%s:%s:%d:%d" % (what, calls, at, self.dice.randrange(1 << 30)), what

    def run(self, words, fault=None, plain=False):
        """`plain`: without the library, for what draws nothing."""
        self.program.more_env.update(TAREBOOK_FAULT_FOLDER=self.room, TAREBOOK_FAULT_RANDOM=str(self.dice.randrange(1 << 60)))
        ran = self.program.run(words, None if plain else fault or "none:::0", now=self.now)
        if self.log:
            self.log("%s %s\n  %s" % (self.now, fault or "", str(ran).replace(self.room, "")))
        self.counts["commands"] += 1
        must(ran.code >= 0 or ran.code == KILLED, "it died by a signal", ran)
        must(not any(w in ran.err for w in NOT_A_SENTENCE), "not a sentence", ran)
        return ran

    def under_fault(self, kind, words, refusable=False):
        """The command, at times with a fault; its answer is judged by the fault alone."""
        fault, what = self.draw_fault(kind)
        ran = self.run(words, fault)
        if not ran.struck:
            self.traces[kind] = ran.trace
        at_end = ran.trace.endswith("E!") and ran.trace.count("!") == 1
        self.struck = self.struck or ran.struck
        self.counts["struck"] += ran.struck
        self.counts["%s: %s" % (kind, what if ran.struck else "none")] += 1
        if ran.struck and what in FATAL and not at_end:
            must(ran.code == KILLED, "a fatal fault struck, but it lives", ran)
        else:
            must(ran.code != KILLED, "killed, and no fault was fatal", ran)
            failed = ran.struck and not at_end
            # a file other than the book that cannot be read is told as one that is wrong
            allowed = (0, 4) + (1,) * refusable + (3,) * failed + (1, 2) * (failed and NOTHING in ran.err)
            must(ran.code in allowed, "exit %d where %s may be met" % (ran.code, allowed), ran)
            if ran.code == 3 and not ("R!" in ran.trace and "DAMAGED" in ran.out):  # SQLite calls EIO of a read damage
                must("DAMAGED" not in ran.out, "a disk that does not answer is called a damaged book", ran)
                must("failed: " in ran.err or "refused: " in ran.err, "no sentence", ran)
        return ran

    # what lies in the files

    def copied(self, path, name="look"):
        """The file and what SQLite would find beside it, on the desk."""
        to = os.path.join(self.desk, name)
        for ending in ("",) + SIDES:
            if os.path.exists(path + ending):
                shutil.copyfile(path + ending, to + ending)
            elif os.path.exists(to + ending):
                os.unlink(to + ending)
        if os.path.exists(to + "-shm"):
            os.unlink(to + "-shm")
        return to

    def asked(self, path, question, alone=False):
        """Rows of the file with its log, without a trace on it; `alone`: of the file by itself."""
        if alone or not any(os.path.exists(path + s) for s in SIDES):
            db = sqlite3.connect("file:%s?immutable=1" % path, uri=True)
        else:
            db = sqlite3.connect(self.copied(path))
        try:
            return db.execute(question).fetchall()
        finally:
            db.close()

    def own_ids(self, path, alone=False):
        rows = self.asked(path, "SELECT origin, own_id FROM event WHERE own_id IS NOT NULL", alone)
        twice = [row for row, n in collections.Counter(rows).items() if n > 1]
        must(not twice, "own ids that are in %s twice: %s" % (path, twice))
        return {own_id for _, own_id in rows}

    def holds(self, held, *ran):
        """Everything that was acknowledged is in the file. Gives all own ids in it."""
        there = self.own_ids(held.path)
        must(held.must <= there, "told to be recorded, and not in %s any more: %s" % (
            held.path, sorted(held.must - there)[:5]), *ran)
        return there

    def check(self, path, *ran):
        done = self.run(["--book", path, "check"], plain=True)
        must(done.code in (0, 4) and "DAMAGED" not in done.out, "check is not clean", *ran, done)

    # a command that records

    def record(self, kind, party, words, ids, refusable=False):
        """`ids`: the own ids that it records, all or none; None where it chooses them itself. True: it is recorded."""
        held, words = party.held, ["--book", party.held.path, *words]
        before = self.own_ids(held.path)
        ran = self.under_fault(kind, words, refusable)
        there = self.holds(held, ran)
        told = ran.code in (0, 4)
        new = there - before if ids is None else ids
        must(new <= there or not (new & there), "recorded in part", ran)
        must(not told or new <= there, "told to be recorded, and lost", ran)
        must(not says_nothing_was_written(ran) or not (there - before),
             "told that nothing was written, and it was", ran)
        must(told or ran.code in (1, KILLED) or new <= there or NOTHING in ran.err or "not known" in ran.err or "may be" in ran.err,
             "nothing was written, and it does not say so", ran)
        if told:
            self.acknowledged(party, new, kind)
        if self.dice.random() < 0.6:
            self.check(held.path, ran)
        if ran.code != 1 and (not told or self.dice.random() < 0.4):
            again = self.run(words)
            must(again.code in (0, 4) or refusable and again.code == 1, "the same again fails", ran, again)
            after = self.holds(held, ran, again)
            must(not told or after == there, "the same again is recorded twice", ran, again)
            if again.code in (0, 4):
                self.acknowledged(party, after - before if ids is None else new, kind)
                must(new <= after, "told to be recorded, and lost", again)
                told = True
        return told

    def acknowledged(self, party, ids, kind):
        party.held.must |= ids
        if kind != "merge":
            party.own |= ids


def ids_of_bundle(path):
    """What lies in the file; None where it has no end. Nothing but whole files ever has a bundle's name."""
    with open(path, encoding="utf-8") as f:
        text = f.read()
    return set(OWN_ID.findall(text)) if '"end":' in text[text.rfind("\n", 0, len(text) - 1):] else None
