"""The books of a fleet and the real binary at work on them, killed at times in the middle of a command."""
import datetime as dt
import json
import os
import random
import subprocess

BIN = os.environ["TAREBOOK_BIN"]
FAULTS = os.environ.get("TAREBOOK_FAULT_LIBRARY")
KILLED = -9
# As tests/crash/point.py has them: what goes wrong, and at which calls.
CRASHES = ("kill:OMWTSDLUC:%d:%d:psow", "torn:W:%d:%d:psow", "cut:OMWTSDUC:%d:%d:psow", "cut:OMWTSDUC:%d:%d:512")


def instant(at):
    return at.strftime("%Y-%m-%dT%H:%M:%SZ")


class Program:
    def __init__(self, room, seed, crash_share):
        self.room, self.dice, self.crash_share = room, random.Random(seed), crash_share if FAULTS else 0
        self.ran = self.struck = self.anyway = 0

    def run(self, book, words, now, fault=None):
        env = {"PATH": os.environ["PATH"], "HOME": self.room, "TAREBOOK": book, "TAREBOOK_NOW": instant(now)}
        if fault:
            env.update(LD_PRELOAD=FAULTS, TAREBOOK_FAULT=fault)
        self.ran += 1
        return subprocess.run([BIN, *words], env=env, stdin=subprocess.DEVNULL, capture_output=True, text=True)

    def ok(self, book, words, now, codes=(0, 4)):
        done = self.run(book, words, now)
        assert done.returncode in codes, (book, words, instant(now), done.returncode, done.stdout, done.stderr)
        return done.stdout

    def json(self, book, words, now):
        return json.loads(self.ok(book, [*words, "--format", "json"], now))

    def perhaps_killed(self, book, words, now):
        """Runs it, and at times kills it at some call; whoever calls repeats it then. None: it was killed."""
        if self.dice.random() >= self.crash_share:
            return self.run(book, words, now)
        # most commands make some sixty calls: a number beyond them lets this one through
        fault = self.dice.choice(CRASHES) % (self.dice.randint(1, 70), self.dice.randrange(10**6))
        done = self.run(book, words, now, fault)
        if done.returncode == KILLED:
            self.struck += 1
            return None
        return done

    def record(self, book, words, now):
        """Until it is acknowledged: after a crash the same again; what is refused is recorded all the same."""
        done = self.perhaps_killed(book, words, now) or self.run(book, words, now)
        if done.returncode == 1:
            self.anyway += 1
            done = self.run(book, [*words, "--anyway", "it was done"], now)
        assert done.returncode in (0, 4), (book, words, instant(now), done.returncode, done.stdout, done.stderr)

    def repeat(self, book, words, now):
        done = self.perhaps_killed(book, words, now) or self.run(book, words, now)
        assert done.returncode in (0, 4), (book, words, instant(now), done.returncode, done.stdout, done.stderr)
        return done.stdout


class TruckBook:
    """A book as its truck knows it. `acts`: what it acknowledged; `sent`: how many of them the last bundle covered."""

    def __init__(self, path, name, card, branch=""):
        self.path, self.name, self.card, self.branch = path, name, card, branch
        self.id = card.split(".")[2]
        self.acts, self.sent, self.before = [], 0, []  # before: what a restored book has of the one before it
        self.backup = None  # file, and how many acts were in it
        self.has_twin = False


class Bundle:
    """A file, and what it holds, read with nothing but a JSON parser."""

    def __init__(self, path):
        self.path, self.seqs = path, {}
        with open(path, encoding="utf-8") as f:
            for line in f:
                told = json.loads(line)
                if told.get("own_id"):
                    self.seqs[told["own_id"]] = told["seq"]


def days(n):
    return dt.timedelta(days=n)
