"""A campaign of faults of a book on a PostgreSQL server of the test's own, from a seed: the connection is cut at each
message, the server's process or all of it dies, commands are ended, the disk is full, and several programs want the same.

    server_faults.py [POINTS [SEED [ROUND]]]   ROUND: that one alone, as a failure names it
    TAREBOOK_SERVER_POINTS (500), TAREBOOK_SERVER_SEED (1)
    TAREBOOK_SERVER=no                         leaves it out, and says so

After each point what a program acknowledged is there once, and what it called "nothing was written" is not there. `check`
is asked at intervals. At the end of each round the book moves to a file, and is as one that got the same one by one."""
import collections
import contextlib
import os
import random
import shutil
import signal
import sys
import tempfile
import threading
import time

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "support"))
import small_disk  # noqa: E402

if os.environ.get("TAREBOOK_SERVER") == "no":
    print("faults of a book on a server were left out: TAREBOOK_SERVER=no")
    sys.exit(0)
WITH_DISKS = small_disk.own_namespace()

import postgres_server  # noqa: E402
from between import Between, Plan  # noqa: E402
from pq import Asker, Failed  # noqa: E402
from server_fault_kinds import KINDS, Point  # noqa: E402
from server_room import Ran, Room, Template  # noqa: E402

OF_DISKS = ("disk-full", "log-full")
ROUND = 125  # points; each round has a database of its own
CHECK_EVERY = 25
FEW = 8  # failures that are told in full
ROLES = """CREATE ROLE short_1 SUPERUSER LOGIN; ALTER ROLE short_1 SET statement_timeout = 1;
CREATE ROLE short_2 SUPERUSER LOGIN; ALTER ROLE short_2 SET statement_timeout = 2;
CREATE ROLE short_20 SUPERUSER LOGIN; ALTER ROLE short_20 SET statement_timeout = 20;
CREATE ROLE never_idle SUPERUSER LOGIN; ALTER ROLE never_idle SET idle_in_transaction_session_timeout = 10;
CREATE ROLE reads SUPERUSER LOGIN; ALTER ROLE reads SET default_transaction_read_only = on"""
# A COMMIT that lasts as long as the one row of a table says.
SLOWNESS = """CREATE TABLE public.slowness (seconds float8);
CREATE FUNCTION public.slow() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN
PERFORM pg_sleep(seconds) FROM public.slowness; RETURN NULL; END $$;
CREATE CONSTRAINT TRIGGER slow AFTER INSERT ON tarebook.head DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION
public.slow()"""


class Campaign:
    def __init__(self, folder, seed):
        self.seed = seed
        self.starting, self.timer = threading.Lock(), None
        self.log = self.tables = None
        settings, made_with, tablespace = [], [], None
        if WITH_DISKS:
            owner = 65534
            self.log = small_disk.SmallDisk(os.path.join(folder, "log"), 48, owner)
            self.tables = small_disk.SmallDisk(os.path.join(folder, "tables"), 64, owner)
            settings = ["max_wal_size=24MB", "wal_recycle=off", "wal_init_zero=off"]  # no file of the log before its time
            made_with = ["--waldir", self.log.room, "--wal-segsize=1"]
        self.server = postgres_server.Server(settings, made_with)
        if WITH_DISKS:
            self.server.ask("postgres", "CREATE TABLESPACE small LOCATION '%s'" % self.tables.room)
            tablespace = "small"
        self.tablespace = tablespace
        self.template = Template(self.server, folder)
        for sql in (ROLES, SLOWNESS):
            self.server.ask("template", sql)
        self.betweens = [Between(self.server), Between(self.server)]
        self.messages, self.commits = collections.Counter(), {}  # by command
        self.table = collections.defaultdict(lambda: [0, 0, 0])  # by kind: points, struck, failed
        self.failures, self.events = [], 0

    def asker(self, database):
        return Asker(self.server.address(database))

    def room(self, dice, name):
        return Room(self.server, self.asker, self.template, dice, name, self.tablespace)

    def kill_server(self, started_after):
        """None: is_up() starts it again."""
        with self.starting:
            self.server.stop("immediate")
        if started_after is not None:
            timer = threading.Timer(started_after, self.start_server)
            timer.start()
            self.timer = timer  # which others may wait for at once

    def start_server(self):
        with self.starting:
            if self.has_ended():
                self.server.start()

    def kill_backend(self, process):
        """Until the server has noticed, it answers as if nothing was: then it ends all other processes, too."""
        with contextlib.closing(self.asker("postgres")) as other:
            other.ask("SELECT 1")
            os.kill(process, signal.SIGKILL)
            with contextlib.suppress(Failed):
                for _ in range(1000):
                    other.ask("SELECT 1")
                    time.sleep(0.01)

    def is_up(self):
        """Waits until the server answers; starts it where it has ended."""
        for between in self.betweens:
            between.may_connect.wait(5)  # a fault that is under way ends first, unless it is the one that asks
        if self.timer:
            self.timer.join()
        asker = self.asker("postgres")
        for _ in range(200):
            try:
                asker.ask("SELECT 1")
                asker.close()
                return
            except Failed:
                asker.close()
                self.start_server()
                time.sleep(0.05)
        raise AssertionError("the server does not come back:\n" + self.server.log()[-2000:])

    def has_ended(self):
        try:
            with open(os.path.join(self.server.data, "postmaster.pid")) as f:
                process = int(f.readline())
            with open("/proc/%d/stat" % process) as f:
                return f.read().rsplit(")", 1)[1].split()[0] == "Z"
        except (OSError, ValueError):
            return True

    def count_messages(self):
        """How many messages each command sends, so that a point is at one of them."""
        room = self.room(random.Random(0), "counted")
        for recording in [room.any() for _ in range(40)] + [room.rows_of_a_file(20)]:
            if self.messages[recording.words[0]]:
                continue
            plan = self.betweens[0].plan(Plan(1 << 30, "pass"))
            ran = Ran(recording, room.start(recording, self.betweens[0].address(room.database)))
            assert ran.verdict == "done", ran
            self.messages[recording.words[0]], self.commits[recording.words[0]] = plan.seen, plan.commits
        room.last_look()
        room.close()

    def round(self, number, points):
        dice = random.Random("%d %d" % (self.seed, number))
        kinds = [k for k in KINDS if WITH_DISKS or k not in OF_DISKS]
        room = self.room(dice, "round_%d" % number)
        for n in range(points):
            name = dice.choices(kinds, [KINDS[k][0] for k in kinds])[0]
            row = self.table[name]
            row[0] += 1
            self.guarded(number, n, name, lambda: self.one(room, dice, KINDS[name][1], row), row)
            if n % CHECK_EVERY == CHECK_EVERY - 1 and n + 1 < points:
                self.guarded(number, n, "check", room.check)
        self.guarded(number, points, "the last look", lambda: self.last_look(room))
        room.close()

    def one(self, room, dice, function, row):
        row[1] += function(Point(room, self, dice))

    def last_look(self, room):
        room.last_look()
        self.events += int(room.asker.ask("SELECT count(*) FROM tarebook.event")[0][0])

    def guarded(self, number, point, name, act, row=None):
        try:
            act()
        except (AssertionError, Failed) as error:
            if row:
                row[2] += 1
            self.failures.append((name, "round %d, point %d, %s: %s" % (number, point, name, error)))
            print("FAILED " + self.failures[-1][1] if len(self.failures) <= FEW else "FAILED once more: " + name, file=sys.stderr,
                  flush=True)
            self.is_up()

    def close(self):
        if self.timer:
            self.timer.join()
        for between in self.betweens:
            between.__exit__()
        self.server.__exit__()
        for disk in (self.log, self.tables):
            if disk:
                disk.close()


def main():
    words = [int(w) for w in sys.argv[1:]]
    points = words[0] if words else int(os.environ.get("TAREBOOK_SERVER_POINTS", "500"))
    seed = words[1] if len(words) > 1 else int(os.environ.get("TAREBOOK_SERVER_SEED", "1"))
    folder = tempfile.mkdtemp(prefix="server-faults-")
    os.chmod(folder, 0o755)
    began = time.perf_counter()
    campaign = Campaign(folder, seed)
    try:
        campaign.count_messages()
        sizes = [min(ROUND, points - first) for first in range(0, points, ROUND)]
        for number, size in enumerate(sizes):
            if len(words) < 3 or words[2] == number:
                campaign.round(number, size)
                if points > 2000:
                    print("%d rounds of %d, %d failures, %.0f s" % (number + 1, len(sizes), len(campaign.failures),
                                                                    time.perf_counter() - began), file=sys.stderr, flush=True)
    finally:
        campaign.close()
        shutil.rmtree(folder, ignore_errors=True)
    print("%-22s %7s %7s %7s" % ("fault", "points", "struck", "failed"))
    for name in KINDS:
        print("%-22s %7d %7d %7d" % (name, *campaign.table[name]))
    if not WITH_DISKS:
        print("full disks were left out: this machine lets nobody mount")
    total, struck = (sum(row[n] for row in campaign.table.values()) for n in range(2))
    print("faults of a book on a server: %d points, %d struck, %d events, %d failures, seed %d, %.0f s (by hand: "
          "TAREBOOK_SERVER_POINTS=20000)" % (total, struck, campaign.events, len(campaign.failures), seed,
                                             time.perf_counter() - began))
    return 1 if campaign.failures or not total else 0


if __name__ == "__main__":
    sys.exit(main())
