"""A book on a server that is struck by faults, and beside it what was said of each recording: what a program
acknowledged is there once, what it called "nothing was written" is not there, the rest may be either."""
import json
import os
import re
import shutil
import subprocess

BIN = os.environ["TAREBOOK_BIN"]
NOW = "2026-06-01T15:00:00Z"
CYLINDERS = ["RC-%02d" % n for n in range(1, 13)]
CIRCUIT = "OAK/RACK-A/4"
IMPORTED = "kind,date,time,site,appliance,circuit,cylinder,refrigerant,gross_before_lb,gross_after_lb,technician,job"
NOT_A_SENTENCE = ("terminate called", "AddressSanitizer", "runtime error:", "what():", "this should not have happened", "DAMAGED",
                  "is damaged")
# What two chains say of one act: the file has only one.
BETWEEN_BOOKS = ("entered-twice", "two-places", "drawn-before-filled")
HANGS = 60  # seconds; a program that finds no sign of work gives up after ten


def must(truth, why, *ran):
    if not truth:
        raise AssertionError("\n  ".join([why, *(str(r) for r in ran)]))


DESKS = 3  # beside the person who keeps the book, desk 0


def desk_env(own, n):
    """What desk `n` has of its own: a key, and with it a chain."""
    return {"XDG_DATA_HOME": os.path.join(own, "desk-%d" % n) if n else own}


class Recording:
    """One line that a person types. Each has a time of its own, so that no order of recording changes where it stands."""

    def __init__(self, words, mark, rows=1):
        self.words, self.mark, self.rows = words, mark, rows
        self.told = set()  # all that was said of it

    def count_sql(self):
        return "SELECT count(*) FROM tarebook.event WHERE own_id = '%s' OR job = '%s'" % (self.mark, self.mark)

    def __str__(self):
        return " ".join(self.words)


class Ran:
    """What a program said to its end. verdict: done, nothing, unknown, refused or killed."""

    def __init__(self, recording, process):
        self.recording = recording
        try:
            self.out, self.err = process.communicate(timeout=HANGS)
        except subprocess.TimeoutExpired:
            process.kill()
            self.out, self.err = process.communicate()
            self.err += "(it hangs)"
        # What a server says while it goes, before the connection stands, PostgreSQL's client writes itself.
        self.err = "".join(line for line in self.err.splitlines(True) if not line.startswith("WARNING:  terminating"))
        self.code = process.returncode
        self.verdict = self.found_verdict()
        recording.told.add(self.verdict)

    def found_verdict(self):
        must("(it hangs)" not in self.err, "a program hangs", self)
        must(not any(w in self.err for w in NOT_A_SENTENCE), "not a sentence, or a false one", self)
        if self.code in (0, 4):
            return "done"
        if self.code == -9:
            return "killed"
        if self.code in (1, 2):
            return "refused"
        must(self.code == 3, "another exit code than 3", self)
        must("failed: " in self.err and "\n  next: " in self.err, "no sentence, or not what to do next", self)
        if any(w in self.err for w in ("it is recorded (as ", "the book is made, but ", "had recorded is in the book")):  # what comes behind it failed
            return "done"
        unknown, nothing = "is not known" in self.err, "Nothing was written" in self.err
        must(unknown != nothing, "it does not say whether anything was written", self)
        return "unknown" if unknown else "nothing"

    def was_there(self):
        return "already recorded" in self.out or self.out.endswith("; nothing was written\n")

    def __str__(self):
        return "%s\n  exit %d: %s%s" % (self.recording, self.code, self.out[:300], self.err)


class Template:
    """The book that each room begins with: in a file, and moved from a copy of it to a database of the server."""

    def __init__(self, server, folder, database="template"):
        self.folder, self.file, self.own = folder, os.path.join(folder, "register.tarebook"), os.path.join(folder, "own")
        self.database = database
        env = {"PATH": os.environ["PATH"], "TAREBOOK": self.file, "TAREBOOK_NOW": "2026-01-01T09:00:00Z", "LC_ALL": "C.UTF-8",
               "HOME": folder, "XDG_DATA_HOME": self.own}

        def ok(*words, desk=0):
            done = subprocess.run([BIN, *words], env={**env, **desk_env(self.own, desk)}, stdin=subprocess.DEVNULL, capture_output=True, text=True)
            must(done.returncode in (0, 4), " ".join(words), done.stdout, done.stderr)
            return done.stdout
        ok("start", "--company", "Fernhollow", "--zone", "UTC")
        ok("site", "add", "OAK", "--owner", "Quillpost Markets")
        ok("appliance", "add", "OAK/RACK-A", "--category", "commercial-refrigeration", "--refrigerant", "R-448A", "--full-charge",
           "900lb", "--charge-basis", "calculated")
        ok("circuit", "add", CIRCUIT)
        for code in CYLINDERS:
            ok("cylinder", "add", code, "--use", "recovery", "--refrigerant", "R-448A", "--wc", "47.6kg", "--tare", "20kg", "--spec",
               "DOT-4BA400", "--tested", "2024-04", "--gross", "40kg", "--counted", "--owner", "Quillpost Markets")
        moved = os.path.join(folder, "moved.tarebook")
        shutil.copy(self.file, moved)
        server.create(database)
        ok("--book", moved, "books", "move", moved, "--to", server.address(database))
        office = ("--book", server.address(database))
        for desk in range(1, DESKS + 1):
            card = re.search(r"--card (\S+)", ok(*office, "books", "desk", desk=desk)).group(1)
            ok(*office, "books", "trust", "desk-%d" % desk, "--card", card)


class Room:
    def __init__(self, server, asker, template, dice, database, tablespace=None):
        self.server, self.template, self.dice, self.database = server, template, dice, database
        self.folder = os.path.join(template.folder, database)
        self.own = os.path.join(self.folder, "own")
        os.mkdir(self.folder)
        shutil.copytree(template.own, self.own)
        server.create(database, template.database, tablespace)
        self.asker = asker(database)
        self.recordings, self.minutes = [], dice.sample(range(60 * 24 * 120), 4000)

    # --- recordings ---

    def time(self):
        minute = self.minutes.pop()
        day, minute = divmod(minute, 60 * 24)
        month, day = divmod(day, 28)
        return "2026-%02d-%02d" % (2 + month % 4, day + 1), "%02d:%02d" % divmod(minute, 60)

    def mass(self):
        return "0.%03dkg" % self.dice.randrange(1, 40)

    def add(self, words, rows=1, job=False):
        recording = Recording(words, "v%d" % (len(self.recordings) + 1), rows)
        if not job:
            words += ["--own-id", recording.mark]
        self.recordings.append(recording)
        return recording

    def at(self):
        return ["--at", "%sT%sZ" % self.time()]

    def transfer(self, a, b):
        return self.add(["transfer", "--from", a, "--into", b, "--net", self.mass(), *self.at()])

    def weigh(self, cylinder):
        return self.add(["weigh", cylinder, "--gross", "%.2fkg" % (39.9 + self.dice.randrange(20) / 100), *self.at()])

    def any(self):
        verb = self.dice.choice(("transfer", "transfer", "transfer", "weigh", "recover", "reuse", "move", "site", "note"))
        one, other = self.dice.sample(CYLINDERS, 2)
        if verb == "transfer":
            return self.transfer(one, other)
        if verb == "weigh":
            return self.weigh(one)
        if verb == "recover":
            return self.add(["recover", "--circuit", CIRCUIT, "--into", one, "--net", self.mass(), *self.at()])
        if verb == "reuse":
            return self.add(["reuse", "--circuit", CIRCUIT, "--from", one, "--net", self.mass(), *self.at()])
        if verb == "move":
            return self.add(["move", one, "--to", "van-%d" % self.dice.randrange(3), *self.at()])
        if verb == "site":
            return self.add(["site", "add", "S-%d" % len(self.recordings), "--owner", "Quillpost Markets"])
        return self.add(["note", "a note, the %dth" % len(self.recordings), *self.at()])

    def rows_of_a_file(self, rows):
        """An import: one command with many events, and other calls to the server."""
        name = os.path.join(self.folder, "rows-%d.csv" % len(self.recordings))
        recording = self.add(["import", "movements", name], rows, job=True)
        with open(name, "w") as f:
            print(IMPORTED, file=f)
            for _ in range(rows):
                print("recover,%s,%s,OAK,RACK-A,4,%s,R-448A,88.10,88.1%d,,%s" % (
                    *self.time(), self.dice.choice(CYLINDERS), self.dice.randrange(1, 9), recording.mark), file=f)
        return recording

    # --- programs ---

    def start(self, recording, address=None, desk=None, words=None):
        desk = self.dice.randrange(DESKS + 1) if desk is None else desk
        env = {"PATH": os.environ["PATH"], "TAREBOOK": address or self.server.address(self.database), "TAREBOOK_NOW": NOW,
               "LC_ALL": "C.UTF-8", "HOME": self.folder, **desk_env(self.own, desk)}
        return subprocess.Popen([BIN, *(words or recording.words)], env=env, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
                                stderr=subprocess.PIPE, text=True, cwd=self.folder)

    def run(self, recording, *where, **more):
        return Ran(recording, self.start(recording, *where, **more))

    def ok(self, *words, own=None, book=None):
        env = {"PATH": os.environ["PATH"], "TAREBOOK": book or self.server.address(self.database), "TAREBOOK_NOW": NOW,
               "LC_ALL": "C.UTF-8", "HOME": self.folder, **desk_env(own or self.own, 0)}
        done = subprocess.run([BIN, *words], env=env, stdin=subprocess.DEVNULL, capture_output=True, text=True, cwd=self.folder)
        must(done.returncode in (0, 4), " ".join(words), done.stdout, done.stderr)
        return done.stdout

    # --- what must hold ---

    def there(self, recording):
        return int(self.asker.ask(recording.count_sql())[0][0])

    def judge(self, recording, *ran):
        """What is there agrees with all that was ever said of it."""
        there, told = self.there(recording), recording.told
        must(there in (0, recording.rows), "%d of %d events are there" % (there, recording.rows), recording, *ran)
        must(there or "done" not in told, "acknowledged, and lost", recording, *ran)
        must(not (there and told) or told & {"done", "unknown", "killed"}, "told that nothing was written, but it was", recording, *ran)
        return there

    def again(self, recording, *ran):
        """Typed once more without a fault, it is there once, and the program knows whether it was."""
        there = self.judge(recording, *ran)
        done = self.run(recording)
        must(done.verdict == "done", "typed again, it fails", done, *ran)
        must(done.was_there() == bool(there), "typed again: was it there?", done, *ran)
        self.judge(recording, done, *ran)

    def check(self):
        said = json.loads(self.ok("check", "--format", "json"))
        must(said["ok"], "check is not clean", said["problems"])

    def last_look(self):
        """The book moves to a file. That file is like one which got the same recordings one after another."""
        for recording in self.recordings:
            self.judge(recording)
        self.check()
        own = os.path.join(self.folder, "own-of-mover")
        shutil.copytree(self.own, own)
        order = {mark: n for n, (mark,) in enumerate(self.asker.ask(
            "SELECT coalesce(job, own_id, '') FROM tarebook.event ORDER BY id"))}
        file, alone = os.path.join(self.folder, "moved.tarebook"), os.path.join(self.folder, "alone.tarebook")
        self.ok("books", "move", "--to", file, own=own)
        shutil.copy(self.template.file, alone)
        for recording in sorted((r for r in self.recordings if r.mark in order), key=lambda r: order[r.mark]):
            self.ok(*recording.words, book=alone)
        for book in (file, alone):
            must(json.loads(self.ok("check", "--format", "json", book=book))["ok"], "check of a file is not clean", book)
        for page in (events, inventory, exceptions):
            of_server, of_file = page(self, file), page(self, alone)
            must(of_server == of_file, "%s: not as in a file" % page.__name__, *differing(of_server, of_file))
        return len(of_server)

    def close(self):
        self.asker.close()
        self.server.drop(self.database)
        shutil.rmtree(self.folder, ignore_errors=True)


def events(room, book):
    """Each event without what its chain gives it: number, digest, the one before."""
    out = []
    for line in room.ok("export", "events", "--format", "json", book=book).splitlines():
        event = json.loads(line)
        if event["kind"] in ("start", "trust"):  # of the desks
            continue
        out.append(json.dumps({k: v for k, v in event.items() if k not in ("event", "digest", "seq", "prev", "book", "branch")},
                              sort_keys=True))
    return sorted(out)


def inventory(room, book):
    return room.ok("report", "inventory", "--format", "json", book=book).splitlines()


def exceptions(room, book):
    out = []
    for item in json.loads(room.ok("list", "exceptions", "--format", "json", book=book))["items"]:
        if item["check"] in BETWEEN_BOOKS:
            continue
        out.append(json.dumps([item[k] for k in ("check", "severity", "subject", "text", "seen", "expected", "event_on")]))
    return sorted(out)


def differing(a, b):
    return ["on the server alone: " + line for line in a if line not in b][:5] + ["in the file alone: " + line
                                                                                for line in b if line not in a][:5]
