"""Kinds of faults of a book on a server: what is done at one point, and what may come of it. Each gets a Point, and says
whether its fault struck."""
import contextlib
import os
import shutil
import sqlite3
import subprocess
import time

from between import COMMIT, Plan
from server_room import BIN, CIRCUIT, CYLINDERS, NOW, Ran, Recording, must

KINDS = {}  # name: (weight, function)


def kind(name, weight):
    def named(function):
        KINDS[name] = (weight, function)
        return function
    return named


class Point:
    def __init__(self, room, campaign, dice):
        self.room, self.campaign, self.dice = room, campaign, dice
        self.between = campaign.betweens
        self.ask = room.asker.ask

    def recording(self):
        return self.room.rows_of_a_file(self.dice.randrange(2, 30)) if self.dice.random() < 0.12 else self.room.any()

    def message(self, recording):
        """The number of one of its messages, and now and then one behind the last."""
        return self.dice.randrange(1, self.campaign.messages[recording.words[0]] + 2)

    def commit(self, recording, how, **more):
        """The COMMIT by which it records: an import ends a transaction before, in which it only reads."""
        return Plan(COMMIT, how, self.dice.random(), nth=self.campaign.commits[recording.words[0]], **more)

    def start(self, recording, plan=None, which=0, user="office", words=None):
        """Through the socket between, where there is a plan for it."""
        database = self.room.database
        if plan:
            self.between[which].plan(plan)
            return self.room.start(recording, self.between[which].address(database, user), which, words)
        return self.room.start(recording, self.campaign.server.address(database, user), which, words)

    def run(self, recording, *more, **words):
        return Ran(recording, self.start(recording, *more, **words))

    def struck_by(self, plan, recording, beside=0.25):
        """A program under a plan, often with another one beside it; what came of both is looked at."""
        other = self.room.any() if self.dice.random() < beside else None
        process = self.start(recording, plan)
        rival = self.start(other, which=1) if other else None
        ran = Ran(recording, process)
        if rival:
            beside_it = Ran(other, rival)
            must(beside_it.verdict == "done", "the program beside it fails", beside_it, ran)
            self.room.judge(other, beside_it)
        must(plan.struck or ran.verdict == "done", "nothing went wrong, but it says so", ran)
        must(ran.verdict != "refused", "a fault is called a mistake of the line", ran)
        self.looked_at(ran)
        return ran

    def looked_at(self, ran):
        if self.dice.random() < 0.4:
            self.room.again(ran.recording, ran)
        else:
            self.room.judge(ran.recording, ran)


def any_message(point, how, **more):
    recording = point.recording()
    plan = Plan(point.message(recording), how, point.dice.random(), **more)
    return recording, plan


def cut(how):
    def at_any_message(point):
        recording, plan = any_message(point, how)
        point.struck_by(plan, recording)
        return plan.struck

    def at_commit(point):
        recording = point.recording()
        plan = point.commit(recording, how)
        ran = point.struck_by(plan, recording)
        must(plan.struck, "no COMMIT was sent", ran)
        if how in ("after", "answer"):
            must(ran.verdict == "done", "the server had committed, and it did not find that", ran)
        else:
            must(ran.verdict == "nothing", "the server had no COMMIT", ran)
        return True
    kind("cut-" + how, 5)(at_any_message)
    kind("commit-" + how, 4)(at_commit)


for how in ("before", "in", "answer", "after"):
    cut(how)


@kind("commit-no-way-back", 3)
def no_way_back(point):
    """COMMIT is cut off, and so are some of the connections by which the program asks what came of it."""
    recording = point.recording()
    plan = point.commit(recording, point.dice.choice(("before", "in", "answer", "after")), refuse=point.dice.choice((1, 1, 1, 2, 3)))
    ran = point.struck_by(plan, recording)
    must(ran.verdict != "unknown", "it asked once, and not again", ran)
    return plan.struck


@kind("commit-other-first", 4)
def other_first(point):
    """COMMIT never came to the server, and another program has recorded before this one asks what came of it."""
    recording, other = point.recording(), point.room.any()
    ran = []
    plan = point.commit(recording, point.dice.choice(("before", "in")), then=lambda _: ran.append(point.run(other, which=1)))
    struck = point.struck_by(plan, recording, beside=0)
    must(ran and ran[0].verdict == "done", "the other program fails", *ran)
    must(struck.verdict == "nothing", "the server had no COMMIT", struck, *ran)
    point.room.judge(other, *ran)
    return plan.struck


@kind("program-killed", 3)
def program_killed(point):
    recording, plan = any_message(point, point.dice.choice(("before", "in", "after", "pass")))
    kills = []
    plan.first = lambda _: kills[0].kill()
    kills.append(point.start(recording, plan))
    ran = Ran(recording, kills[0])
    must(ran.verdict in ("killed", "done"), "killed, it says something else", ran)
    for _ in range(500):  # what it had sent comes to its end without it
        if point.room.asker.ask("SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() AND state = 'active' "
                                "AND pid <> pg_backend_pid()")[0][0] == "0":
            break
        time.sleep(0.01)
    point.looked_at(ran)
    return plan.struck


def of_the_server(point, call):
    """Another connection does something to the server's process of this program."""
    def done(process):
        point.ask("SELECT %s(%d)" % (call, process))
    return done


@kind("backend-ended", 4)
def backend_ended(point):
    recording, plan = any_message(point, point.dice.choice(("pass", "pass", "answer")))
    plan.first = of_the_server(point, "pg_terminate_backend")
    if point.dice.random() < 0.3:
        plan.at, plan.nth = COMMIT, point.campaign.commits[recording.words[0]]
    point.struck_by(plan, recording)
    return plan.struck


@kind("backend-cancelled", 4)
def backend_cancelled(point):
    recording, plan = any_message(point, "pass")
    plan.then = of_the_server(point, "pg_cancel_backend")
    point.struck_by(plan, recording)
    return plan.struck


@kind("timeout", 4)
def timeout(point):
    """A role whose commands are ended after a millisecond or a few."""
    ran = point.run(point.recording(), user=point.dice.choice(("short_1", "short_2")))
    must(ran.verdict in ("done", "nothing"), "neither done nor ended", ran)
    point.looked_at(ran)
    return ran.verdict == "nothing"


@kind("timeout-waiting", 2)
def timeout_waiting(point):
    """The command is ended while it waits for a lock that another one has."""
    recording = point.recording()
    point.ask("BEGIN; LOCK TABLE tarebook.event IN EXCLUSIVE MODE")
    ran = point.run(recording, user="short_20")
    point.ask("ROLLBACK")
    must(ran.verdict == "nothing" and "ended the command" in ran.err, "not ended", ran)
    point.looked_at(ran)
    return True


def at_commit_that_lasts(point, call):
    """COMMIT lasts, as a trigger sleeps in it, and meanwhile another connection ends it. (A timeout does not: the server
    stops that clock before it commits, src/backend/tcop/postgres.c, finish_xact_command.)"""
    recording = point.recording()
    plan = point.commit(recording, "pass", then=lambda process: (time.sleep(0.03), of_the_server(point, call)(process)))
    point.ask("INSERT INTO public.slowness VALUES (5)")
    ran = point.run(recording, plan)
    point.ask("DELETE FROM public.slowness")
    must(ran.verdict == "nothing", "not ended", ran)
    point.looked_at(ran)
    return plan.struck


@kind("commit-cancelled", 2)
def commit_cancelled(point):
    return at_commit_that_lasts(point, "pg_cancel_backend")


@kind("commit-ended", 2)
def commit_ended(point):
    return at_commit_that_lasts(point, "pg_terminate_backend")


@kind("idle-ended", 1)
def idle_ended(point):
    """A role whose transactions may not be idle, and a program that is stopped for a moment."""
    recording, plan = any_message(point, "pass")
    plan.first = lambda _: time.sleep(0.05)
    ran = Ran(recording, point.start(recording, plan, user="never_idle"))
    must(ran.verdict in ("done", "nothing"), "neither done nor ended", ran)
    point.looked_at(ran)
    return ran.verdict == "nothing"


@kind("only-reads", 1)
def only_reads(point):
    ran = point.run(point.recording(), user="reads")
    must(ran.verdict == "nothing" and "cannot be written" in ran.err, "it records where it may not", ran)
    point.looked_at(ran)
    return True


@kind("backend-killed", 1)
def backend_killed(point):
    """One process of the server dies: the server ends all the others, and recovers."""
    recording, plan = any_message(point, point.dice.choice(("pass", "answer")))
    if point.dice.random() < 0.3:
        plan.at, plan.nth = COMMIT, point.campaign.commits[recording.words[0]]
    plan.first = point.campaign.kill_backend
    return several_struck(point, recording, plan)


def killed_at(point, recording, started_after):
    """The server is stopped at once at some message of one of two programs, and is started again."""
    plan = Plan(point.message(recording), point.dice.choice(("pass", "answer", "after")), point.dice.random())
    if point.dice.random() < 0.3:
        plan.at, plan.nth = COMMIT, point.campaign.commits[recording.words[0]]

    def kill(_):
        point.campaign.kill_server(started_after)
    if point.dice.random() < 0.5:
        plan.first = kill
    else:
        plan.then = kill
    return plan


@kind("server-killed", 2)
def server_killed(point):
    recording = point.recording()
    return several_struck(point, recording, killed_at(point, recording, point.dice.choice((0, 0, 0.3, 1))))


@kind("server-gone", 0.1)
def server_gone(point):
    """It comes back when the programs have given up."""
    recording = point.recording()
    return several_struck(point, recording, killed_at(point, recording, None))


def several_struck(point, recording, plan):
    """All programs may have been struck; afterwards the server is there again."""
    other = point.room.any()
    process, rival = point.start(recording, plan), point.start(other, which=1)
    ran, beside = Ran(recording, process), Ran(other, rival)
    point.campaign.is_up()
    for one in (ran, beside):
        must(one.verdict != "refused", "a fault is called a mistake of the line", one)
        point.looked_at(one)
    return plan.struck


@kind("disk-full", 4)
def disk_full(point):
    """No room for another page of a table, or for a few."""
    recording = point.room.rows_of_a_file(point.dice.randrange(10, 40)) if point.dice.random() < 0.5 else point.room.any()
    disk = point.campaign.tables
    disk.fill(8192 * point.dice.choice((0, 0, 0, 1, 2, 4)))
    try:
        ran = point.run(recording)
    finally:
        disk.empty()
    is_full = any(words in ran.err for words in ("the disk of the server is full", "could not write init file"))
    must(ran.verdict == "done" or (ran.verdict == "nothing" and is_full),
         "neither done nor a full disk", ran)
    point.looked_at(ran)
    return ran.verdict == "nothing"


@kind("log-full", 0.7)
def log_full(point):
    """No room for the next file of the server's log, whose last one is nearly at its end: the server stops, and is started
    again once there is room."""
    disk, recordings = point.campaign.log, [point.room.rows_of_a_file(40), point.room.any()]
    size, left = 1 << 20, point.dice.choice((2_000, 10_000, 30_000, 60_000))
    at = int(point.ask("SELECT pg_current_wal_insert_lsn() - '0/0'::pg_lsn")[0][0])
    if size - at % size > left + 1_000:
        point.ask("SELECT pg_logical_emit_message(false, '', repeat('x', %d))" % (size - at % size - left))
    disk.fill(0)
    programs = [(r, point.start(r, which=n)) for n, r in enumerate(recordings)]
    time.sleep(point.dice.choice((0.3, 1)))
    disk.empty()
    point.campaign.is_up()  # a program that was at COMMIT asks meanwhile what came of it
    rans = [Ran(r, p) for r, p in programs]
    for ran in rans:
        must(ran.verdict != "refused", "a fault is called a mistake of the line", ran)
        point.looked_at(ran)
    return any(ran.verdict != "done" for ran in rans)


@kind("own-id", 5)
def own_id(point):
    """One recording, typed at two desks at once: it is there once."""
    recording = point.room.any()
    both = [Ran(recording, p) for p in (point.start(recording), point.start(recording, which=1))]
    must([r.verdict for r in both] == ["done", "done"], "one of two equal ones fails", *both)
    must(sum(r.was_there() for r in both) == 1, "not one of them was told that it is there", *both)
    point.room.judge(recording, *both)
    return True


@kind("own-id-other-words", 3)
def own_id_other_words(point):
    """Two recordings with one own id: one is there, and the other is refused."""
    one = point.room.transfer(CYLINDERS[0], CYLINDERS[1])
    words = ["transfer", "--from", CYLINDERS[2], "--into", CYLINDERS[3], "--net", "0.041kg", "--at", one.words[-3], "--own-id",
             one.mark]
    first = point.start(one)
    second = point.start(one, which=1, words=words)
    both = [Ran(one, first), Ran(one, second)]
    must(sorted(r.verdict for r in both) == ["done", "refused"], "not one and one", *both)
    must("other content" in "".join(r.err for r in both), "refused for another reason", *both)
    if both[0].verdict == "refused":
        one.words = words
    must(point.room.there(one) == 1, "not once", *both)
    return True


def all_done(point, recordings):
    """All at once, each from a desk of its own; all are recorded."""
    rans = [Ran(r, p) for r, p in [(r, point.start(r, which=n % 2)) for n, r in enumerate(recordings)]]
    for ran in rans:
        must(ran.verdict == "done", "one of several at once fails", *rans)
        point.room.judge(ran.recording, ran)
    return True


@kind("both-ways", 6)
def both_ways(point):
    """From A into B, and from B into A: what locks in the order in which it comes would wait for ever."""
    a, b = point.dice.sample(CYLINDERS, 2)
    return all_done(point, [point.room.transfer(a, b), point.room.transfer(b, a)])


@kind("ring", 2)
def ring(point):
    """A into B, B into C, C into A."""
    codes = point.dice.sample(CYLINDERS, 3)
    return all_done(point, [point.room.transfer(codes[n], codes[(n + 1) % 3]) for n in range(3)])


@kind("late-at-both-ends", 2)
def late_at_both_ends(point):
    """A chain of transfers, then two late entries at once, one at each end, that change what each link carries on."""
    room = point.room
    codes = point.dice.sample(CYLINDERS, 4)
    times = sorted(room.time() for _ in range(7))

    def at(n):
        return ["--at", "%sT%sZ" % times[n]]
    for n in range(3):
        link = room.add(["transfer", "--from", codes[n], "--into", codes[n + 1], "--net", room.mass(), *at(n + 3)])
        ran = point.run(link)
        must(ran.verdict == "done", "a link of the chain fails", ran)
    ends = point.dice.sample(codes, 4) if point.dice.random() < 0.3 else codes
    return all_done(point, [
        room.add(["recover", "--circuit", CIRCUIT, "--into", ends[0], "--net", room.mass(), *at(0)]),
        room.add(["reuse", "--circuit", CIRCUIT, "--from", ends[3], "--net", room.mass(), *at(1)]),
        *([room.add(["transfer", "--from", ends[3], "--into", ends[0], "--net", room.mass(), *at(2)])]
          if point.dice.random() < 0.5 else [])])


@kind("late-transfers", 2)
def late_transfers(point):
    """Two late transfers at once that meet in the middle of a chain."""
    room = point.room
    codes = point.dice.sample(CYLINDERS, 4)
    times = sorted(room.time() for _ in range(4))
    recordings = [room.add(["transfer", "--from", codes[a], "--into", codes[b], "--net", room.mass(), "--at", "%sT%sZ" % times[n]])
                  for n, (a, b) in enumerate(((0, 1), (3, 2), (1, 2), (2, 0)))]
    must(point.run(recordings[3]).verdict == "done", "a transfer fails", recordings[3])
    return all_done(point, recordings[:3])


class Elsewhere:
    """A database of its own, an own folder for keys, and what a person types there."""

    def __init__(self, point):
        self.point, self.server = point, point.campaign.server
        self.folder = os.path.join(point.room.folder, "elsewhere-%d" % len(os.listdir(point.room.folder)))
        os.mkdir(self.folder)
        self.server.create("elsewhere")
        self.address, self.file = self.server.address("elsewhere"), os.path.join(self.folder, "shop.tarebook")

    def program(self, book, words):
        env = {"PATH": os.environ["PATH"], "TAREBOOK": book, "TAREBOOK_NOW": NOW, "LC_ALL": "C.UTF-8", "HOME": self.folder}
        return subprocess.Popen([BIN, *words], env=env, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                                text=True, cwd=self.folder)

    def types(self, book, *words):
        return Ran(Recording(words, "-"), self.program(book, words))

    def is_in_order(self, book):
        """False: there is no book."""
        check = self.program(book, ("check",))
        _, said = check.communicate()
        must(check.returncode == 0 or "there is no book" in said, "check: " + said)
        return check.returncode == 0

    def cut(self, book, *words, commits=1):
        """The connection is cut at one of its COMMITs, or at any message; or the program is killed there."""
        dice, between = self.point.dice, self.point.between[0]
        how = dice.choice(("before", "in", "answer", "after", "kill"))
        at = COMMIT if dice.random() < 0.5 else dice.randrange(1, 130)
        programs = []
        self.plan = Plan(at, "pass" if how == "kill" else how, dice.random(), nth=dice.randint(1, commits))
        if how == "kill":
            call = lambda _: programs[0].kill()  # noqa: E731
            self.plan.first, self.plan.then = (call, None) if dice.random() < 0.5 else (None, call)
        between.plan(self.plan)
        address = between.address("elsewhere")
        words = [word.format(address) for word in words]
        programs.append(self.program(book.format(address), words))
        return Ran(Recording(words, "-"), programs[0])

    def has_key(self, book):
        """Whether who keeps this book has its key: in the file, or for a server in the own folder."""
        if book == self.file:
            with contextlib.closing(sqlite3.connect(book)) as db:
                return db.execute("SELECT count(*) FROM secret").fetchone()[0] == 1
        keys = os.path.join(self.folder, ".local/share/tarebook/servers")
        return os.path.isdir(keys) and any(name.endswith(".key") for name in os.listdir(keys))

    def records(self, book, code):
        return self.types(book, "site", "add", code, "--owner", "Quillpost Markets").verdict == "done"

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.server.drop("elsewhere")


@kind("start-cut", 0.5)
def start_cut(point):
    """A book is being made: it is there, or it can be made, and there is no key of a book that is not there."""
    with Elsewhere(point) as other:
        words = ("start", "--company", "Fernhollow", "--zone", "UTC")
        ran = other.cut("{}", *words)
        made = other.is_in_order(other.address)
        must(ran.verdict == "killed" or made == (ran.verdict == "done"), "it says whether the book is there", ran)
        keys = os.path.join(other.folder, ".local/share/tarebook/servers")
        left = [k for k in (os.listdir(keys) if os.path.isdir(keys) else ()) if k.endswith(".key")]
        must(len(left) == made or (ran.verdict == "killed" and not made), "keys: %s" % left, ran)
        if not made:
            again = other.types(other.address, *words)
            must(again.verdict == "done", "it cannot be made", again, ran)
        must(other.records(other.address, "S-1"), "nobody records in the new book", ran)
        return other.plan.struck


@kind("moves-cut", 0.5)
def moves_cut(point):
    """A book moves from a file to the server and back, and each is cut: one of the two records, and never both."""
    with Elsewhere(point) as other:
        shutil.copy(point.room.template.file, other.file)
        there = other.cut(other.file, "books", "move", "--to", "{}")
        struck = other.plan.struck
        moved = other.is_in_order(other.address)
        if there.verdict != "killed":
            must(moved == (there.verdict == "done"), "it says whether the book has moved", there)
            must(other.records(other.file, "S-1") != moved, "both record, or none", there)
        elif moved:
            must(not other.records(other.file, "S-1"), "the server has it, and the file goes on", there)
        if there.verdict != "done" and other.has_key(other.file):  # what was killed at the very end has moved it
            again = other.types(other.file, "books", "move", "--to", other.address)
            must(again.verdict == "done", "it cannot move", again, there)
        must(other.records(other.address, "S-2") and not other.records(other.file, "S-3"), "not the server alone", there)
        back = os.path.join(other.folder, "back.tarebook")
        came = other.cut("{}", "books", "move", "--to", back, commits=2)  # of the note, and of the end
        struck = struck or other.plan.struck
        made = os.path.exists(back)
        if came.verdict != "killed":
            must(made if came.verdict == "done" else came.verdict == "unknown" or not made, "it says whether the file is there",
                 came)
        on = other.records(other.address, "S-6")
        must(not (made and on), "the file is there, and the server goes on", came)
        must(on or came.verdict != "nothing", "there is no file, and the server is closed", came)
        if came.verdict != "done" and other.has_key(other.address):
            again = other.types(other.address, "books", "move", "--to", back)
            must(again.verdict == "done", "it cannot move back", again, came)
        must(other.records(back, "S-4") and not other.records(other.address, "S-5"), "not the file alone", came)
        must(other.is_in_order(back), "not in order", came)
        return struck
