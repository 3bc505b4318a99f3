"""What judges much in a book on a server commits at once, and is judged anew in parts, while desks record: trust, withdrawal
and a change of an owner. A worker that is killed leaves its part to the next one, several work side by side, and at the end
all is as in a file that did the same. With --all each question of a desk is one between which another program trusts or
withdraws; else every twenty-fifth. TAREBOOK_SERVER=no leaves it out, and says so."""
import glob
import itertools
import json
import os
import random
import re
import shutil
import signal
import subprocess
import sys
import threading
import time

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "support"))
import postgres_server  # noqa: E402
import server_shop  # noqa: E402
from between import Between, Plan  # noqa: E402
from two_trucks import TwoTrucks  # noqa: E402

ROWS = int(os.environ.get("TAREBOOK_REFOLD_ROWS", "90"))
EACH = "--all" in sys.argv  # each question of a desk, and not some of them
AT_ONCE = 30
SAID = "being judged anew: "
# A part that lasts as long as the one row of a table says, before it takes its events.
SLOWNESS = """CREATE TABLE public.slowness (seconds float8);
CREATE FUNCTION public.slow() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN
PERFORM pg_sleep(seconds) FROM public.slowness; RETURN NULL; END $$;
CREATE TRIGGER slow BEFORE DELETE ON tarebook.to_judge FOR EACH STATEMENT EXECUTE FUNCTION public.slow()"""
dice = random.Random(int(os.environ.get("TAREBOOK_SEED", "1")))
shop = server_shop.Shop()


class Room:
    def __init__(self, server, trucks, name):
        self.server, self.trucks, self.name = server, trucks, name
        server.create(name)
        self.book = server.address(name)
        self.copy = os.path.join(shop.folder, name + ".tarebook")  # has the same key, and goes on as a file
        going = os.path.join(shop.folder, name + "-going.tarebook")
        for to in (self.copy, going):
            shutil.copyfile(trucks.office, to)
            os.chmod(to, 0o600)
        for key in glob.glob(os.path.join(shop.folder, "ana", "tarebook", "servers", "*.key")):
            os.remove(key)  # of the room before, whose book is done with
        trucks.ok(going, "books", "move", "--to", self.book)
        server.ask(name, "UPDATE tarebook.judged_anew SET at_once = %d" % AT_ONCE)
        server.ask(name, SLOWNESS)

    def waiting(self):
        return int(self.server.ask(self.name, "SELECT count(*) FROM tarebook.to_judge"))

    def ok(self, *words, **more):
        return self.trucks.ok(self.book, *words, **more)

    def begin(self, *words):
        """The command until its event is recorded, and no further: as if the machine had died behind that."""
        before = self.head()
        self.server.ask(self.name, "INSERT INTO public.slowness VALUES (600)")
        process = self.trucks.start(self.book, *words)
        while process.poll() is None and self.head() == before:
            time.sleep(0.01)
        process.send_signal(signal.SIGKILL)
        said = process.communicate()
        self.server.ask(self.name, "DELETE FROM public.slowness")
        self.server.ask("postgres", "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = '%s' AND pid <> "
                        "pg_backend_pid()" % self.name)
        left = self.waiting()
        assert left > 0, "nothing waits behind %s: %s" % (" ".join(words), said)
        return left

    def head(self):
        return self.server.ask(self.name, "SELECT count(*) FROM tarebook.event WHERE origin = (SELECT origin FROM "
                               "tarebook.event WHERE id = 1)")

    def refused(self, *words):
        done = shop.run(self.book, *words, now=self.trucks.now)
        assert done.returncode == 1 and SAID in done.stderr and "tarebook refold" in done.stderr, (words, done.stdout, done.stderr)

    def is_whole(self):
        assert self.waiting() == 0
        said = self.ok("check")
        assert "in order" in said and SAID not in said, said

    def same_as(self, other, name):
        for n, book in enumerate((self.book, other)):
            to = os.path.join(shop.folder, "%s-%d" % (name, n))
            shop.exports(book, to, now=self.trucks.now)
        server_shop.same(os.path.join(shop.folder, name + "-0"), os.path.join(shop.folder, name + "-1"))


def while_it_lasts(room):
    """Pages say it, and what needs all of it refuses."""
    how_far = re.search(SAID + r"[\d ]+ of [\d ]+ events wait", room.ok("report", "inventory"))
    assert how_far and how_far.start() == 0, room.ok("report", "inventory")
    page = json.loads(room.ok("report", "inventory", "--format", "json"))
    assert page["judged_anew"].startswith(SAID), page["judged_anew"]
    assert SAID in room.ok("report", "inventory", "--format", "html")
    said = room.ok("check")
    assert SAID in said and "in order" in said, said
    out = os.path.join(shop.folder, "none")
    for words in (("export", "year", "2026", "--to", out), ("export", "tables", "--to", out), ("export", "sqlite", "--to", out)):
        room.refused(*words)
        assert not os.path.exists(out), words


def acts(trucks):
    return (("books", "withdraw", "truck-1", "--why", "sold"),
            ("books", "trust", "truck-1", "--card", trucks.cards[0]),
            ("site", "correct", "OAK", "--owner", "Other Markets", "--owner-group", "Others"),
            ("books", "withdraw", "truck-2", "--why", "sold"),
            ("books", "trust", "truck-2", "--card", trucks.cards[1]),
            ("merge", trucks.bundles[0]))


def as_in_a_file(server, trucks):
    """The same acts in a file give the same, whoever judges what waits and in whatever order."""
    room = Room(server, trucks, "alike")
    for n, words in enumerate(acts(trucks)):
        if words[0] != "merge" and n % 2 == 0:
            room.begin(*words)
            if n == 0:
                while_it_lasts(room)
            workers = [trucks.start(room.book, "refold") for _ in range(3)]
            if n == 2:
                time.sleep(0.1)
                workers[0].send_signal(signal.SIGKILL)
            for w in workers:
                said = w.communicate()
                assert w.returncode == 0 or (n == 2 and w is workers[0]), said
        else:
            room.ok(*words)
        room.ok("refold")
        trucks.ok(room.copy, *words)
        room.is_whole()
        room.same_as(room.copy, "act-%d" % n)
    room.ok("check", "--rebuild")
    room.is_whole()


def between_questions(server, trucks):
    """A desk records, and between any two of its questions another program withdraws trust, or gives it again."""
    room = Room(server, trucks, "questions")
    server.ask(room.name, "UPDATE tarebook.judged_anew SET at_once = 1000000")
    card = re.search(r"--card (\S+)", shop.ok(room.book, "books", "desk", person="bo")).group(1)
    room.ok("books", "trust", "desk-bo", "--card", card)
    words = itertools.cycle((("books", "withdraw", "truck-1", "--why", "sold"),
                             ("books", "trust", "truck-1", "--card", trucks.cards[0])))
    with Between(server) as between:
        step = 1 if EACH else 25
        at, holds, looked_at = dice.randrange(step) - step + 1, False, 0
        while not holds:
            at, meanwhile, looked_at = at + step, [], looked_at + 1

            def change(_):
                nonlocal holds
                meanwhile.append(trucks.start(room.book, *next(words)))
                try:
                    meanwhile[0].wait(5)
                except subprocess.TimeoutExpired:
                    holds = True  # from here on the desk holds what it reads, and the other program waits
            plan = between.plan(Plan(at, "pass", first=change))
            done = shop.run(between.address(room.name), "weigh", "T1-0", "--gross", "30lb", "--anyway", "between", person="bo",
                            now=trucks.now)
            assert done.returncode in (0, 4), (at, done.stdout, done.stderr)
            for process in meanwhile:
                said = process.communicate()
                assert process.returncode in (0, 4), (at, said)
            assert plan.struck, "a recording of %d messages held nothing" % at
    room.ok("refold")
    room.is_whole()
    return looked_at


def between_desks(server, trucks):
    """Two desks record while all of it goes on; a worker dies in the middle of each act."""
    room = Room(server, trucks, "desks")
    for person in ("bo", "cy"):
        card = re.search(r"--card (\S+)", shop.ok(room.book, "books", "desk", person=person)).group(1)
        room.ok("books", "trust", "desk-" + person, "--card", card)
    failed, recorded, ended = [], [], threading.Event()

    def record(person):
        own = random.Random(person)
        n = 0
        while not ended.is_set():
            n += 1
            code = own.choice(["S-1", "S-2", "T1-0", "T2-0", "T1-1"])
            at = "2026-%02d-%02d %02d:%02d" % (own.randint(6, 6), own.randint(1, 2), own.randint(0, 23), own.randint(0, 59))
            done = shop.run(room.book, "weigh", code, "--gross", "%d.%02dlb" % (own.randint(28, 40), own.randint(0, 99)), "--at", at,
                            "--anyway", "between", "--own-id", "%s-%d" % (person, n), person=person, now=trucks.now)
            (recorded if done.returncode in (0, 4) else failed).append((person, n, done.stderr))
    threads = [threading.Thread(target=record, args=(person,)) for person in ("bo", "cy")]
    for t in threads:
        t.start()
    try:
        for words in acts(trucks):
            if words[0] == "merge":
                room.ok(*words)
                continue
            process = trucks.start(room.book, *words)
            time.sleep(dice.random())
            process.send_signal(signal.SIGKILL)
            process.communicate()
            said = room.trucks.shop.run(room.book, *words, now=trucks.now)  # it may be recorded, or not
            assert said.returncode in (0, 1, 4), said.stderr
    finally:
        ended.set()
        for t in threads:
            t.join()
    assert not failed, failed[:3]
    room.ok("refold")
    room.is_whole()
    shop.exports(room.book, os.path.join(shop.folder, "judged-in-parts"), now=trucks.now)
    back = os.path.join(shop.folder, "back.tarebook")
    room.ok("books", "move", room.book, "--to", back)
    assert "in order" in trucks.ok(back, "check", "--rebuild")
    shop.exports(back, os.path.join(shop.folder, "judged-anew"), now=trucks.now)
    server_shop.same(os.path.join(shop.folder, "judged-in-parts"), os.path.join(shop.folder, "judged-anew"))
    return len(recorded)


if os.environ.get("TAREBOOK_SERVER") == "no":
    print("what is judged anew in parts was left out: TAREBOOK_SERVER=no")
    sys.exit(0)
try:
    with postgres_server.Server() as server:
        trucks = TwoTrucks(shop, ROWS)
        as_in_a_file(server, trucks)
        questions = between_questions(server, trucks)
        kept = between_desks(server, trucks)
        print("judged anew in parts: as in a file after each act; trust changed before %d questions of one recording%s; with %d "
              "recordings of two desks between" % (questions, "" if EACH else " (--all: before each)", kept))
finally:
    shutil.rmtree(shop.folder, ignore_errors=True)
