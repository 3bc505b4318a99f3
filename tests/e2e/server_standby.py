"""A book on a server with a synchronous standby. The primary dies while several programs record, the standby takes over,
and the programs go on by the second host of one address: nothing that was acknowledged is lost, and nothing is there twice.

    server_standby.py [KILLS [SEED]]     also TAREBOOK_STANDBY_KILLS (1), TAREBOOK_SERVER_SEED (1)
    TAREBOOK_SERVER=no                   leaves it out, and says so

After each kill the server that died is made anew as the standby of the other one, so the next kill takes that one. Both are
set up by the lines of the guide, cli/guide/running.md."""
import os
import random
import re
import shlex
import shutil
import socket
import sys
import tempfile
import threading
import time

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "support"))
import postgres_server  # noqa: E402
from pq import Asker  # noqa: E402
from server_room import Ran, Room, Template, must  # noqa: E402

DESKS = 3
with open(os.path.join(os.environ["TAREBOOK_SOURCE"], "cli/guide/running.md")) as page:
    of_the_first, of_the_second = (block.splitlines() for block in re.findall(r"```standby\n(.*?)```", page.read(), re.S))
COPIES = ["--checkpoint=fast", "--no-sync"]  # quickly, as nothing here outlives the machine


class Pair:
    """Two servers, of which one records. Rooms see it as one server."""

    def __init__(self):
        self.primary = postgres_server.Server()
        self.primary.ask("postgres", "CREATE ROLE replicator REPLICATION LOGIN")
        self.standby = postgres_server.Server(copied_by=self.copy_words("second"))
        self.hosts = [s.folder.replace("/", "%2F") for s in (self.primary, self.standby)]
        self.wait_for_standby("second")

    def copy_words(self, called):
        (line,) = of_the_second
        assert line.startswith("pg_basebackup -D FOLDER ") and "host=office1 " in line and "=second" in line, line
        return [word.replace("office1", self.primary.folder).replace("=second", "=" + called) for word in shlex.split(line)] + COPIES

    def wait_for_standby(self, called):
        """From now on COMMIT waits for the standby."""
        for line in of_the_first:
            self.primary.ask("postgres", "ALTER SYSTEM SET " + line.replace("second", called))
        self.primary.ask("postgres", "SELECT pg_reload_conf()")
        until = time.monotonic() + 60
        while self.primary.ask("postgres", "SELECT count(*) FROM pg_stat_replication WHERE sync_state = 'sync'") != "1":
            assert time.monotonic() < until, "no standby\n" + self.standby.log()
            time.sleep(0.05)

    def take_over(self):
        self.standby.promote()
        self.primary, self.standby = self.standby, self.primary
        # Until there is a standby again it records alone.
        self.primary.ask("postgres", "ALTER SYSTEM RESET synchronous_standby_names")
        self.primary.ask("postgres", "SELECT pg_reload_conf()")

    def new_standby(self, called):
        self.standby.copy(self.copy_words(called))
        self.wait_for_standby(called)

    def address(self, database, user="office"):
        return "postgresql://%s@%s/%s?target_session_attrs=read-write" % (user, ",".join(self.hosts), database)

    def asker(self, database):
        return Asker(self.address(database))

    def create(self, *words):
        self.primary.create(*words)

    def drop(self, database):
        self.primary.drop(database)

    def close(self):
        for server in (self.primary, self.standby):
            server.__exit__()


class Desks:
    """Each types one recording after another, and one that was not acknowledged once more."""

    def __init__(self, room):
        self.room, self.lock, self.stop = room, threading.Lock(), threading.Event()
        self.wrong, self.acknowledged, self.told = [], 0, {"done": 0, "nothing": 0, "unknown": 0}
        self.desks = [threading.Thread(target=self.types, args=(n,)) for n in range(DESKS)]
        for desk in self.desks:
            desk.start()

    def types(self, desk):
        try:
            while not self.stop.is_set():
                with self.lock:
                    recording = self.room.any()
                self.until_acknowledged(recording, desk)
        except Exception as error:  # told by the main thread
            self.wrong.append(error)

    def until_acknowledged(self, recording, desk):
        was = None
        for _ in range(100):
            ran = Ran(recording, self.room.start(recording, desk=desk))
            with self.lock:
                self.told[ran.verdict] += 1
            must(not (was == "nothing" and ran.was_there()), "told that nothing was written, but it was", ran)
            was = ran.verdict
            if was == "done":
                self.acknowledged += 1
                return
            time.sleep(0.1)
        raise AssertionError("it is never recorded: %s" % recording)

    def join(self):
        self.stop.set()
        for desk in self.desks:
            desk.join()
        if self.wrong:
            raise self.wrong[0]


def killed(pair, room, dice, called):
    """How many were acknowledged, and what the programs said."""
    pair.primary.ask("postgres", "ALTER SYSTEM SET synchronous_commit = '%s'" % dice.choice(("on", "remote_apply")))
    pair.primary.ask("postgres", "SELECT pg_reload_conf()")
    desks = Desks(room)
    time.sleep(0.6 + dice.random())
    if dice.random() < 0.5:
        pair.primary.kill()
    else:
        pair.primary.stop("immediate")
    time.sleep(dice.choice((0, 0.2, 1)))
    pair.take_over()
    time.sleep(0.8)
    desks.join()
    assert desks.told["done"] >= DESKS, desks.told
    for recording in room.recordings:
        room.judge(recording)
    room.check()
    pair.new_standby(called)
    return desks.told


def restarted_alone(pair, room):
    """COMMIT waits for a standby that is not there, the primary dies, and starts again: it has what the standby lacks. A
    program that asks it must not call that recorded, as then the standby takes over."""
    pair.standby.stop("immediate")
    recording = room.any()
    program = room.start(recording)
    until = time.monotonic() + 60
    while pair.primary.ask("postgres", "SELECT count(*) FROM pg_stat_activity WHERE wait_event = 'SyncRep'") != "1":
        assert time.monotonic() < until, "no COMMIT waits for the standby"
        time.sleep(0.02)
    pair.primary.stop("immediate")
    pair.primary.start()
    while pair.primary.ask("postgres", "SELECT count(*) FROM pg_stat_activity WHERE wait_event = 'SyncRep'") != "1":
        must(program.poll() is None, "a program called recorded what the standby does not have", *(program.communicate() if
                                                                                                program.poll() is not None else ()))
        assert time.monotonic() < until, "the program does not ask the server that was started again"
        time.sleep(0.02)
    pair.primary.kill()
    pair.standby.start()
    pair.take_over()
    ran = Ran(recording, program)
    must(ran.verdict == "nothing", "what the standby never had", ran)
    room.again(recording, ran)
    pair.new_standby("other")


def silent_host(pair, room):
    """A host that takes connections and says nothing has the seconds of the address."""
    silent = tempfile.mkdtemp(dir="/tmp")
    with socket.socket(socket.AF_UNIX) as listening:
        listening.bind(os.path.join(silent, ".s.PGSQL.5432"))
        listening.listen(8)
        address = "postgresql://office@%s,%s/%s?target_session_attrs=read-write&connect_timeout=2" % (
            silent.replace("/", "%2F"), pair.primary.folder.replace("/", "%2F"), room.database)
        began = time.monotonic()
        ran = room.run(room.any(), address)
        took = time.monotonic() - began
    shutil.rmtree(silent)
    must(ran.verdict == "done" and 1 < took < 9, "%.1f s of a host that says nothing" % took, ran)


def main():
    words = [int(w) for w in sys.argv[1:]]
    kills = words[0] if words else int(os.environ.get("TAREBOOK_STANDBY_KILLS", "1"))
    seed = words[1] if len(words) > 1 else int(os.environ.get("TAREBOOK_SERVER_SEED", "1"))
    dice = random.Random(seed)
    folder = tempfile.mkdtemp(prefix="server-standby-")
    pair = Pair()
    told = {"done": 0, "nothing": 0, "unknown": 0}
    try:
        template = Template(pair, folder)
        room = Room(pair, pair.asker, template, dice, "office")
        silent_host(pair, room)
        restarted_alone(pair, room)
        for n in range(kills):
            if n % 10 == 9:
                room.last_look()
                room.close()
                room = Room(pair, pair.asker, template, dice, "office_%d" % n)
            for verdict, number in killed(pair, room, dice, "standby_%d" % n).items():
                told[verdict] += number
        room.last_look()
        room.close()
    finally:
        pair.close()
        shutil.rmtree(folder, ignore_errors=True)
    print("a book with a standby: %d times its primary died and the standby took over (CI 1; by hand TAREBOOK_STANDBY_KILLS=50); %d "
          "acknowledged, none lost; %d times nothing was written, %d times it was not known; seed %d" % (
              kills + 1, told["done"], told["nothing"], told["unknown"], seed))


if os.environ.get("TAREBOOK_SERVER") == "no":
    print("a book with a standby was left out: TAREBOOK_SERVER=no")
    sys.exit(0)
main()
