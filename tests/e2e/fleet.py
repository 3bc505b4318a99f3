"""Trucks and one office, drawn by dice: days of work through the real binary, with commands killed at random calls,
bundles lost, late, out of order and twice, backups restored, devices lost, clocks off by days, and a few conflicts that
are planted. At the end the office is laid beside the plain bookkeeping of plain_fleet.py, which shares no code with it.

TAREBOOK_FLEET_SEED repeats a run; by hand TAREBOOK_FLEET_TRUCKS=30 TAREBOOK_FLEET_DAYS=365.
"""
import atexit
import collections
import datetime as dt
import json
import os
import random
import shutil
import tempfile
import time

from fleet_books import Bundle, Program, TruckBook, days
from plain_fleet import Act, Cylinder, explains, last_readings, lb, true_of

SEED = int(os.environ.get("TAREBOOK_FLEET_SEED", random.randrange(10**9)))
TRUCKS = int(os.environ.get("TAREBOOK_FLEET_TRUCKS", "4"))
DAYS = int(os.environ.get("TAREBOOK_FLEET_DAYS", "20"))
SMALL = TRUCKS * DAYS < 500
print("fleet: TAREBOOK_FLEET_SEED=%d TAREBOOK_FLEET_TRUCKS=%d TAREBOOK_FLEET_DAYS=%d%s" % (
    SEED, TRUCKS, DAYS, "" if TRUCKS >= 30 and DAYS >= 365 else " (a year of 30 trucks: by hand)"), flush=True)
MOST = 600          # units of gas in one cylinder, well under what it may hold
FEW = 0.12 if SMALL else 0.02  # how likely a rare thing is on a day, for each truck; small runs shall see each once
CHECKS = ("entered-twice", "two-places", "two-branches", "register-differs", "drawn-before-filled")
COUNTS = 5 * 3628738960  # of 1.25 ng in 0.05 lb


class Fleet:
    def __init__(self):
        self.room = tempfile.mkdtemp(prefix="tarebook-fleet-", dir="/dev/shm" if os.access("/dev/shm", os.W_OK) else None)
        if not os.environ.get("TAREBOOK_KEEP"):
            atexit.register(shutil.rmtree, self.room, ignore_errors=True)
        self.dice = random.Random(SEED)
        self.program = Program(self.room, SEED + 1, 0.15 if SMALL else 0.05)
        self.day = dt.datetime(2026, 1, 5)
        self.turn = self.files = self.own_ids = 0
        self.counts = collections.Counter()
        self.mail, self.arrived = [], []      # (day, Bundle); what came in
        self.withdrawn, self.offs = {}, {}    # {book: (name, last, digest)}; {truck: (until, off)}
        self.planted = []                     # (check, subject, own ids that must count)
        self.acts = []                        # all that was acknowledged, whatever became of it
        self.register_at = {}                 # {code: [own ids that add it]}
        self.office = self.file("office")
        at = self.day - days(1)
        self.program.ok(self.office, ["start", "--company", "Fernhollow Refrigeration", "--zone", "America/Chicago"], at)
        self.shop = self.program.ok(self.office, ["books", "card"], at).strip()
        self.office_id = self.shop.split(".")[2]
        self.circuits = []
        for i in range(max(3, TRUCKS // 3)):
            place = "SITE-%d" % i
            self.add_in_office(["site", "add", place, "--owner", "Quillpost Markets"], at)
            self.add_in_office(["appliance", "add", place + "/RACK", "--category", "commercial-refrigeration", "--refrigerant", "R-448A",
                            "--full-charge", "9000lb", "--charge-basis", "calculated"], at)
            self.add_in_office(["circuit", "add", place + "/RACK/1"], at)
            self.circuits.append(place + "/RACK/1")
        self.cylinders = []
        for i in range(3 * TRUCKS):
            tare = self.dice.randint(500, 620)
            c = Cylinder("RC-%d" % i, tare, i % TRUCKS)
            self.add_in_office(["cylinder", "add", c.code, "--use", "recovery", "--refrigerant", "R-448A", "--wc", "47.6lb", "--tare", lb(tare),
                            "--spec", "DOT-4BA400", "--tested", "2024-04"], at)
            self.cylinders.append(c)
        self.register = self.file("register")
        self.program.ok(self.office, ["send", "--to", self.register, "--register-only"], at)
        self.names = collections.Counter()
        self.all_books = []
        self.trucks = [self.new_book(i, at) for i in range(TRUCKS)]

    def file(self, name):
        self.files += 1
        return os.path.join(self.room, "%s-%d" % (name, self.files))

    def in_office(self, words, at):
        return self.program.repeat(self.office, words, at)

    def add_in_office(self, words, at):
        self.in_office([*words, "--own-id", self.new_id()], at)

    def new_id(self):
        self.own_ids += 1
        return "own-%d" % self.own_ids

    def known(self, path, truck, at):
        """A new book of a truck: the office trusts it."""
        self.names[truck] += 1
        name = "truck-%d%s" % (truck, "" if self.names[truck] == 1 else "-%d" % self.names[truck])
        book = TruckBook(path, name, self.program.ok(path, ["books", "card"], at).strip())
        self.program.ok(self.office, ["books", "trust", name, "--card", book.card], at)
        self.all_books.append(book)
        return book

    def new_book(self, truck, at):
        path = self.file("truck")
        self.program.ok(path, ["start", "--company", "Fernhollow Refrigeration", "--zone", "America/Chicago", "--shop", self.shop], at)
        self.program.repeat(path, ["merge", self.register], at)
        return self.known(path, truck, at)

    # what is done with gas

    def record(self, book, at, kind, circuit, moves, off=dt.timedelta()):
        """`at` is when it really was; the device may think otherwise."""
        path = self.office if book is None else book.path
        own = self.new_id()
        weights = list(moves.items())
        code, (before, after) = weights[0]
        words = {"weigh": ["weigh", code, "--gross", lb(after)],
                 "recover": ["recover", "--circuit", circuit, "--into", code, "--before", lb(before), "--after", lb(after)],
                 "reuse": ["reuse", "--circuit", circuit, "--from", code, "--before", lb(before), "--after", lb(after)],
                 "transfer": ["transfer", "--from", code, "--from-before", lb(before), "--from-after", lb(after)]}[kind]
        if kind == "transfer":
            code, (before, after) = weights[1]
            words += ["--into", code, "--into-before", lb(before), "--into-after", lb(after)]
        self.program.record(path, [*words, "--own-id", own], at + off)
        self.turn += 1
        act = Act(self.turn, self.office_id if book is None else book.id, "" if book is None else book.branch, at + off, own, kind, circuit,
                  moves)
        self.acts.append(act)
        if book is not None:
            book.acts.append(act)
        self.counts["acts"] += 1
        return act

    def work(self, truck, book, at, off):
        mine = [c for c in self.cylinders if c.holder == truck and (c.locked_until is None or c.locked_until <= self.day)]
        if not mine:
            return
        c = self.dice.choice(mine)
        circuit = self.dice.choice(self.circuits)
        kind = self.dice.choice(["recover", "recover", "reuse", "transfer", "weigh"])
        before = c.gross
        if kind == "transfer":
            others = [o for o in mine if o is not c and o.net < MOST - 40]
            if c.net < 20 or not others:
                kind = "recover"
            else:
                other = self.dice.choice(others)
                mass = self.dice.randint(1, min(c.net, MOST - other.net))
                moves = {c.code: (c.gross, c.gross - mass), other.code: (other.gross, other.gross + mass)}
                c.net, other.net = c.net - mass, other.net + mass
                self.touch(moves, off)
                self.record(book, at, "transfer", "", moves, off)
                return
        if kind == "reuse" and c.net < 20:
            kind = "recover"
        if kind == "recover" and c.net > MOST - 20:
            kind = "reuse"
        if kind == "recover":
            c.net += self.dice.randint(1, min(200, MOST - c.net))
        elif kind == "reuse":
            c.net -= self.dice.randint(1, c.net)
        moves = {c.code: (before, c.gross)}
        self.touch(moves, off)
        self.record(book, at, kind, "" if kind == "weigh" else circuit, moves, off)

    def touch(self, codes, off):
        for c in self.cylinders:
            if c.code in codes and off:
                c.touched_by.add("clock")

    # the mail

    def send(self, book, at, whole=False, sure=False):
        to = self.file("bundle")
        words = ["send", "--to", to, *([] if whole else ["--since", "last"]), *(["--all"] if book.before else [])]
        done, files = self.program.perhaps_killed(book.path, words, at), [to]
        if done is None:
            # a file that has its name is whole, and may be noted as sent; without one, nothing was
            files = [to] if os.path.exists(to) else []
            words[2] = self.file("bundle")
            files.append(words[2])
            done = self.program.run(book.path, words, at)
        if done.returncode == 1 and "no event to send" in done.stderr:
            files.pop()
        else:
            assert done.returncode == 0, (words, done.returncode, done.stderr)
        bundles = [Bundle(f) for f in files]
        seqs = {own: seq for b in bundles for own, seq in b.seqs.items()}
        owed = [*book.before, *book.acts[0 if whole else book.sent:]]
        assert all(a.own_id in seqs for a in owed), ("acknowledged, and in no bundle", words, [a.own_id for a in owed if a.own_id not in seqs])
        for act in [*book.before, *book.acts]:
            act.seq = seqs.get(act.own_id, act.seq)
        book.sent = len(book.acts)
        for bundle in bundles:
            self.post(bundle, sure)

    def post(self, bundle, sure):
        self.counts["bundles"] += 1
        if not sure and self.dice.random() < 0.15:
            self.counts["bundles lost"] += 1
            return
        for _ in range(2 if self.dice.random() < 0.15 else 1):
            self.mail.append((self.day + days(0 if sure else self.dice.randint(0, 6)), bundle))

    def deliver(self, at):
        here = [b for day, b in self.mail if day <= self.day]
        self.mail = [(day, b) for day, b in self.mail if day > self.day]
        self.dice.shuffle(here)
        while here:
            some, here = here[:4], here[4:]
            self.in_office(["merge", *[b.path for b in some]], at)
            self.arrived += some

    # what goes wrong

    def restore(self, truck, at):
        old = self.trucks[truck]
        os.unlink(old.path)
        path = self.file("truck")
        self.program.ok(old.path, ["restore", old.backup[0], "--to", path], at)
        new = self.known(path, truck, at)
        new.before = [*old.before, *old.acts[:old.backup[1]]]
        self.trucks[truck] = new
        self.counts["restored"] += 1

    def lose_device(self, truck, at):
        old = self.trucks[truck]
        os.unlink(old.path)
        known = {b["book"]: b for b in self.program.json(self.office, ["books"], at)["books"]}[old.id]
        if known["head"] and self.dice.random() < 0.7:
            seq, digest = str(known["head"]["seq"]), known["head"]["digest"]
            self.in_office(["books", "withdraw", old.name, "--last", seq, "--why", "the device is lost", "--own-id",
                            self.new_id()], at)
            self.withdrawn[old.id] = old.name, int(seq), digest
            self.counts["withdrawn"] += 1
        self.trucks[truck] = self.new_book(truck, at)
        self.counts["devices lost"] += 1

    # conflicts that are planted: never in a cylinder that anything else happens to in these days

    def plant(self, what, at):
        a, b = self.dice.sample(range(TRUCKS), 2)
        if a in self.offs or b in self.offs:
            return
        A, B = self.trucks[a], self.trucks[b]
        c = next((c for c in self.cylinders if c.holder == a and c.locked_until is None and c.net < 300), None)
        if what != "register-differs" and what != "two-branches":
            if not c:
                return
            # nobody touches it within the reach of what two books tell of one act, clocks of days included
            c.locked_until = self.day + days(3)
            if any(c.code in act.moves and abs(act.at - at) < days(2) for act in self.acts):
                c.locked_until = None
                return
            c.touched_by.add("conflict")
        mass = self.dice.randint(100, 200)
        minute = dt.timedelta(minutes=1)
        if what == "entered-twice":
            moves = {c.code: (c.gross, c.gross + mass)}
            c.net += mass
            acts = [self.record(A, at, "recover", self.circuits[0], moves), self.record(None, at + 180 * minute, "recover", self.circuits[0], moves)]
        elif what == "two-places":
            moves = {c.code: (c.gross, c.gross + mass)}
            c.net += mass
            misread = {c.code: (c.gross + 30, c.gross + 70)}  # another cylinder, really
            acts = [self.record(A, at, "recover", self.circuits[0], moves), self.record(B, at + 8 * minute, "recover", self.circuits[1], misread)]
        elif what == "drawn-before-filled":
            fill = {c.code: (c.gross, c.gross + mass)}
            draw = {c.code: (c.gross + mass, c.gross + mass - 60)}
            c.net += mass - 60
            acts = [self.record(A, at, "recover", self.circuits[0], fill, 120 * minute), self.record(B, at + 60 * minute, "reuse", self.circuits[0], draw)]
        elif what == "register-differs":
            code = "XC-%d" % self.own_ids
            for book, tare, later in ((A, "26lb", 0), (B, "25.5lb", 60)):
                own = self.new_id()
                self.program.record(book.path, ["cylinder", "add", code, "--use", "recovery", "--tare", tare, "--own-id", own], at + later * minute)
                act = Act(0, book.id, book.branch, at + later * minute, own, "entry", "", {})
                book.acts.append(act), self.acts.append(act)
            self.planted.append((what, code, [a.own_id for a in (A.acts[-1], B.acts[-1])]))
            self.counts[what] += 1
            return
        else:
            self.copy_book(a, at)
            return
        self.planted.append((what, c.code, [act.own_id for act in acts]))
        self.counts[what] += 1

    def copy_book(self, truck, at):
        """Somebody copies the book, and both copies go on for a day."""
        book = self.trucks[truck]
        if book.has_twin or len([c for c in self.cylinders if c.holder == truck and c.locked_until is None]) < 2:
            return
        book.has_twin = True
        twin = TruckBook(self.file("twin"), book.name, book.card, "twin")
        shutil.copy(book.path, twin.path)
        twin.has_twin, twin.sent, twin.before, shared = True, book.sent, book.before, list(book.acts)
        for i in range(2):
            for which in (book, twin):
                at += dt.timedelta(minutes=11)
                self.work(truck, which, at, dt.timedelta())
        twin.acts, own = shared + twin.acts, twin.acts
        self.planted.append(("two-branches", book.id[:12], [own[0].own_id, book.acts[len(shared)].own_id]))
        self.counts["two-branches"] += 1
        # what only the twin knows reaches the office
        self.send(twin, at, whole=True, sure=True)
        self.send(book, at, whole=True, sure=True)

    # the days

    def live(self):
        for n in range(DAYS):
            for c in self.cylinders:
                if c.locked_until is not None and c.locked_until <= self.day:
                    c.locked_until = None
                elif c.locked_until is None and self.dice.random() < 0.05:
                    c.holder = self.dice.randrange(TRUCKS)  # handed over at night
            for truck in range(TRUCKS):
                until, off = self.offs.get(truck, (self.day, dt.timedelta()))
                if until <= self.day:
                    self.offs.pop(truck, None)
                    off = dt.timedelta()
                if not off and self.dice.random() < FEW / 3 and not self.trucks[truck].has_twin:
                    off = dt.timedelta(minutes=self.dice.randint(-4 * 1440, 4 * 1440))
                    self.offs[truck] = self.day + days(self.dice.randint(1, 4)), off
                    self.counts["clocks off"] += 1
                at = self.day + dt.timedelta(hours=14, minutes=self.dice.randint(0, 200))
                for _ in range(self.dice.choice([0, 1, 2, 4]) if SMALL else self.dice.choice([0, 0, 1, 2, 3])):
                    at += dt.timedelta(minutes=self.dice.randint(3, 20))
                    self.work(truck, self.trucks[truck], at, off)
                self.evening(truck, self.day + dt.timedelta(hours=22), off)
            for check in CHECKS:
                if self.dice.random() < (0.3 if SMALL else 0.02) or (n > DAYS // 2 and self.counts[check] == 0):
                    if self.counts[check] < (2 if SMALL else DAYS // 20):
                        self.plant(check, self.day + dt.timedelta(hours=18, minutes=self.dice.randint(0, 50)))
            self.deliver(self.day + dt.timedelta(hours=23, minutes=30))
            self.day += days(1)
        # the last mail: all that is still there is sent whole, and everything under way arrives
        self.offs = {}
        for book in self.trucks:
            self.send(book, self.day, whole=True, sure=True)
        self.mail = [(self.day, b) for _, b in self.mail]
        self.deliver(self.day + dt.timedelta(hours=1))

    def evening(self, truck, at, off):
        book = self.trucks[truck]
        if self.dice.random() < 0.4:
            self.send(book, at + off, whole=self.dice.random() < 0.2)
        if self.dice.random() < 0.2:
            to = os.path.join(self.room, "backup-of-" + book.name)
            self.program.repeat(book.path, ["backup", "--to", to], at + off)
            book.backup = to, len(book.acts)
        if book.backup and not book.has_twin and self.dice.random() < FEW / 4:
            self.restore(truck, at + off)
        elif not book.has_twin and self.dice.random() < FEW / 6:
            self.lose_device(truck, at)

    # the end

    def counting(self):
        """Acts that are in the office and count."""
        here = {own for b in self.arrived for own in b.seqs}
        out = []
        for act in self.acts:
            if act.book == self.office_id or (act.own_id in here and (
                    act.book not in self.withdrawn or act.seq <= self.withdrawn[act.book][1])):
                act.seq = act.seq or 0
                out.append(act)
        return out

    def compare(self):
        at = self.day + dt.timedelta(hours=2)
        exported = {}
        for line in self.program.ok(self.office, ["export", "events", "--format", "json"], at).splitlines():
            body = json.loads(line)
            if body.get("own_id"):
                exported[body["book"], body["own_id"]] = body
        # what does not count is in no export; what came of a book while it was not trusted lies in quarantine, and goes nowhere
        relay = self.file("relay")
        self.program.ok(self.office, ["send", "--to", relay, "--all"], at)
        here, sent = set(Bundle(relay).seqs), {own for b in self.arrived for own in b.seqs}
        acts = self.counting()
        count = {act.own_id for act in acts}
        for act in self.acts:
            arrived = act.own_id in sent or act.book == self.office_id
            assert act.own_id in here or not arrived or act.own_id not in count, ("arrived, and lost", act.own_id)
            body = exported.get((act.book, act.own_id))
            assert (body is not None) == (act.own_id in count), ("counts otherwise than it should", act.own_id, body)
            self.counts["in the office"] += act.own_id in here
            if body:
                assert body["at"] == act.at.strftime("%Y-%m-%dT%H:%M:%SZ"), (body["at"], act.at)
            else:
                for c in self.cylinders:
                    if c.code in act.moves:
                        c.touched_by.add("loss")
        for path in [self.office, *[b.path for b in self.trucks]]:
            self.program.ok(path, ["check"], at, codes=(0,))
        shown = {c["cylinder"]: c for c in self.program.json(self.office, ["report", "inventory"], at)["cylinders"]}
        last = last_readings(acts)
        for c in self.cylinders:
            if c.code not in last:
                continue
            net = int(shown[c.code]["net_count"])
            assert net == (last[c.code] - c.tare) * COUNTS, (c.code, net / COUNTS, last[c.code] - c.tare)
            self.counts["balances"] += 1
            if not c.touched_by:
                assert net == c.net * COUNTS, (c.code, net / COUNTS, c.net)
                self.counts["balances as it really is"] += 1
        self.compare_findings(acts, at)
        self.merge_once_more(at)

    def findings(self, path, at):
        return self.program.json(path, ["list", "exceptions"], at)["items"]

    def compare_findings(self, acts, at):
        told = {(f["check"], f["subject"]) for f in self.findings(self.office, at) if f["check"] in CHECKS}
        count = {act.own_id for act in acts}
        planted = {(check, subject) for check, subject, own_ids in self.planted if count.issuperset(own_ids) and
                   (check != "drawn-before-filled" or explains(acts, subject, own_ids))}
        self.counts["planted and arrived"] = len(planted)
        assert planted <= told, ("planted, and not told", planted - told)
        true = true_of(acts)
        for check, subject in told - planted:
            assert subject in true.get(check, ()), ("told, and never happened", check, subject)
            self.counts["true of a wrong clock"] += 1
        for check in ("entered-twice", "two-places"):
            for subject in true[check]:
                assert (check, subject) in told, ("true, and not told", check, subject)

    def merge_once_more(self, at):
        again = self.file("again")
        self.program.ok(again, ["start", "--company", "Fernhollow Refrigeration", "--zone", "America/Chicago", "--shop", self.shop], at)
        bundles = [b.path for b in self.arrived]
        own = self.file("office-bundle")
        self.program.ok(self.office, ["send", "--to", own], at)
        bundles.append(own)
        self.dice.shuffle(bundles)
        todo = [["books", "trust", b.name, "--card", b.card] for b in self.all_books]
        half = len(bundles) // 2
        self.program.ok(again, ["merge", *bundles[:half]], at)
        for words in todo:
            self.program.ok(again, words, at)
        for name, seq, digest in self.withdrawn.values():
            self.program.ok(again, ["books", "withdraw", name, "--last", "%d:%s" % (seq, digest), "--why", "the device is lost"], at)
        self.program.ok(again, ["merge", *bundles[half:]], at)
        inventory = [self.program.ok(path, ["report", "inventory", "--format", "csv"], at) for path in (self.office, again)]
        assert inventory[0] == inventory[1], inventory

        def told(path):
            # whose clock is ahead is found when a bundle comes in: the other book has them all at once, and late
            return collections.Counter((f["check"], f["subject"], f["severity"], f["seen"], f["expected"], f["accepted"])
                                       for f in self.findings(path, at) if f["check"] != "clock-ahead")
        first, second = told(self.office), told(again)
        assert first == second, ("only in the first", first - second, "only in the other", second - first)
        self.program.ok(again, ["check"], at, codes=(0,))


began = time.monotonic()
fleet = Fleet()
fleet.live()
fleet.compare()
print("fleet: %d commands, %d of them killed, %d recorded with a reason, in %.0f s" % (
    fleet.program.ran, fleet.program.struck, fleet.program.anyway, time.monotonic() - began))
print("fleet: " + ", ".join("%s %d" % pair for pair in sorted(fleet.counts.items())))
assert fleet.counts["in the office"] > TRUCKS * DAYS / 4 and fleet.counts["planted and arrived"] > 0
assert fleet.program.struck > 0 or not fleet.program.crash_share, "no command was killed"
