"""A book on a PostgreSQL server of the test's own: made, moved there and back with the same exports, recorded in by several
programs at once, cut off before, in and after its COMMIT, its server killed; what works on files alone is refused, and the
list of that in DEVELOPERS.md is whole. TAREBOOK_SERVER=no leaves it out, and says so."""
import glob
import os
import re
import shutil
import socket
import stat
import struct
import subprocess
import sys
import tempfile
import threading
import time

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "support"))
import postgres_server  # noqa: E402
import server_shop  # noqa: E402
from between import COMMIT, Between, Plan  # noqa: E402

SOURCE, BIN, NOW = server_shop.SOURCE, server_shop.BIN, server_shop.NOW
shop = server_shop.Shop()
folder, run, ok, refused = shop.folder, shop.run, shop.ok, shop.refused


def made_and_refused(server):
    server.create("made")
    book = server.address("made")
    refused(book, ("check",), "there is no book at")
    assert "is at postgresql://" in ok(book, "start", "--company", "Fernhollow", "--zone", "UTC")
    refused(book, ("start", "--company", "Fernhollow", "--zone", "UTC"), "has a book already")
    keys = glob.glob(os.path.join(folder, "ana", "tarebook", "servers", "*.key"))
    assert len(keys) == 1 and stat.S_IMODE(os.stat(keys[0]).st_mode) == 0o600, keys
    assert stat.S_IMODE(os.stat(os.path.dirname(keys[0])).st_mode) == 0o700
    with open(keys[0], "rb") as f:
        key = f.read()
    dump = subprocess.run([os.path.join(server.bin, "pg_dump"), "-h", server.folder, "-U", "office", "made"],
                          capture_output=True).stdout
    assert b"tarebook" in dump and key.hex().encode() not in dump and key[:32].hex().encode() not in dump
    # another person reads, and records nothing
    assert "in order" in ok(book, "check", person="ben")
    refused(book, ("site", "add", "ELM", "--owner", "X"), "no signing key", person="ben")
    assert "in order: 1 event" in ok(book, "check")
    ok(book, "site", "add", "ELM", "--owner", "X")
    # a dry run leaves nothing
    before = server.ask("made", "SELECT count(*) FROM tarebook.event")
    with open(os.path.join(folder, "rows.csv"), "w") as f:
        f.write("date,kind,cylinder\n")
    run(book, "import", "movements", os.path.join(folder, "rows.csv"), "--dry-run")
    assert server.ask("made", "SELECT count(*) FROM tarebook.event") == before
    refused(book.replace("office@", "office:secret@"), ("check",), "has a password in it")
    refused("postgresql://office@/none?host=" + server.folder, ("check",), "does not answer")
    # events are not changed, whoever asks
    for sql in ("UPDATE tarebook.event SET body = ''", "DELETE FROM tarebook.event", "TRUNCATE tarebook.event"):
        try:
            server.ask("made", sql)
        except AssertionError as e:
            assert "never" in str(e), e
        else:
            raise AssertionError("the server let it be: " + sql)
    # what another way altered is found
    server.ask("made", "ALTER TABLE tarebook.event DISABLE TRIGGER ALL")
    server.ask("made", "UPDATE tarebook.event SET body = replace(body, 'ELM', 'OAK') WHERE seq = 2")
    assert "the digest is not that of its body" in run(book, "check").stdout


def of_files_alone(server):
    """What is refused, what DEVELOPERS.md says is refused, and what the sources refuse is one list."""
    book = server.address("shop")
    words = {"backup": ("backup", "--to", "x.tarebook"), "backup --into": ("backup", "--into", folder),
             "restore": ("restore", book, "--to", "x.tarebook"), "salvage": ("salvage", "--to", "x"),
             "upgrade": ("upgrade",)}
    in_sources = set()
    for path in glob.glob(os.path.join(SOURCE, "lib/**/*.cpp"), recursive=True):
        with open(path) as f:
            in_sources.update(re.findall(r'refuse_on_server\([^;"]*"([^"]+)"', f.read()))
    with open(os.path.join(SOURCE, "DEVELOPERS.md")) as f:
        table = f.read().split("| on a file alone |", 1)[1].split("\n\n", 1)[0]
    in_docs = set(re.findall(r"^\| `([^`]+)` \|", table, re.M))
    assert set(words) == in_sources == in_docs, (set(words), in_sources, in_docs)
    for name, command in words.items():
        said = refused(book, command, "is on a server")
        assert "next: " in said, said


def moved(server):
    file = os.path.join(folder, "shop.tarebook")
    shop.small_shop(file)
    shop.exports(file, os.path.join(folder, "of-file"))
    server.create("shop")
    book = server.address("shop")
    refused(file, ("books", "move", file, "--to", "other.tarebook"), "from a file to a server")
    said = ok(file, "books", "move", "--to", book)
    assert "each with its digest" in said, said
    assert "in order" in ok(book, "check") and "in order" in ok(file, "check")
    shop.exports(book, os.path.join(folder, "of-server"))
    server_shop.same(os.path.join(folder, "of-file"), os.path.join(folder, "of-server"))
    refused(file, ("site", "add", "ELM", "--owner", "X"), "was moved to")
    refused(file, ("books", "move", "--to", book), "only who has it moves the book")
    of_files_alone(server)
    ok(book, "site", "add", "ELM", "--owner", "X", "--name", "Elm")
    ok(book, "weigh", "RC-01", "--gross", "30lb")
    # and back
    back = os.path.join(folder, "back.tarebook")
    assert "each with its digest" in ok(book, "books", "move", book, "--to", back)
    assert not glob.glob(os.path.join(folder, "ana", "tarebook", "servers", "*" + server.ask(
        "shop", "SELECT value FROM tarebook.book WHERE name = 'id'") + ".key"))
    assert "in order" in ok(back, "check") and stat.S_IMODE(os.stat(back).st_mode) == 0o600
    shop.exports(book, os.path.join(folder, "of-server-again"))
    shop.exports(back, os.path.join(folder, "of-file-again"))
    server_shop.same(os.path.join(folder, "of-server-again"), os.path.join(folder, "of-file-again"))
    refused(book, ("site", "add", "ASH", "--owner", "X"), "was moved to")
    ok(back, "site", "add", "ASH", "--owner", "X")
    assert "in order" in ok(back, "check")


def as_the_guide_says(server):
    """The lines of the guide, with the addresses of this server. The second one moves a book that is there."""
    with open(os.path.join(SOURCE, "cli/guide/running.md")) as f:
        lines = f.read().split("```server\n", 1)[1].split("```", 1)[0].splitlines()
    assert len(lines) == 3, lines
    for database in ("typed_1", "typed_2"):
        server.create(database)
    os.mkdir(os.path.join(folder, "typed"))
    ok(os.path.join(folder, "typed", "shop.tarebook"), "start", "--company", "Fernhollow", "--zone", "UTC")
    for line, database in zip(lines, ("typed_1", "typed_2", "typed_2")):
        env = {"PATH": folder + ":" + os.environ["PATH"], "HOME": folder, "LC_ALL": "C.UTF-8", "TAREBOOK_NOW": NOW}
        line = line.replace("postgresql://office/tarebook", "'%s'" % server.address(database))
        done = subprocess.run(["bash", "-c", line], env=env, cwd=os.path.join(folder, "typed"), stdin=subprocess.DEVNULL,
                              capture_output=True, text=True)
        assert done.returncode == 0, line + "\n" + done.stderr
    assert "in order" in ok(os.path.join(folder, "typed", "shop-again.tarebook"), "check")


def several_at_once(server):
    server.create("busy")
    book = server.address("busy")
    ok(book, "start", "--company", "Fernhollow", "--zone", "UTC")
    failed = []

    def record(desk):
        for n in range(8):
            done = run(book, "site", "add", "S-%d-%d" % (desk, n), "--owner", "X")
            if done.returncode != 0:
                failed.append(done.stderr)
    desks = [threading.Thread(target=record, args=(d,)) for d in range(4)]
    for d in desks:
        d.start()
    for d in desks:
        d.join()
    assert not failed, failed
    assert "in order: 33 events" in ok(book, "check")


def heads_read(server, database):
    """As the server counts them: what a connection read is counted when it is over."""
    return int(server.ask(database, "SELECT coalesce(seq_tup_read, 0) + coalesce(idx_tup_fetch, 0) FROM "
                                    "pg_stat_user_tables WHERE schemaname = 'tarebook' AND relname = 'head'"))


def reads_no_more(server):
    """Each recording signs a head. The next one looks at the last of them, and not at all that were signed before."""
    server.create("long")
    book = server.address("long")
    shop.small_shop(book)

    def weigh(day):
        ok(book, "weigh", "RC-02", "--gross", "33.8lb", "--anyway", "again", now="2026-07-%02dT15:00:00Z" % day,
           PGOPTIONS="-c enable_seqscan=off")  # a table as small as this one is read whole otherwise

    def read_by_one(day):
        time.sleep(1)  # the connections before it are counted
        before = heads_read(server, "long")
        weigh(day)
        time.sleep(1)
        return heads_read(server, "long") - before
    weigh(1)
    early = read_by_one(2)
    for day in range(3, 23):
        weigh(day)
    late = read_by_one(23)
    assert 0 < late <= early + 5, "a recording read %d heads, and after 20 recordings more %d" % (early, late)


def cut_off(server):
    server.create("cut")
    book = server.address("cut")
    ok(book, "start", "--company", "Fernhollow", "--zone", "UTC")
    with Between(server) as between:
        plan = between.plan(Plan(COMMIT, "before"))
        refused(between.address("cut"), ("site", "add", "S-1", "--owner", "X"), "Nothing was written")
        assert plan.struck
        assert "in order: 1 event" in ok(book, "check")
        # the server has committed, and its answer is lost: the program asks, and the answer is what the server says
        plan = between.plan(Plan(COMMIT, "after"))
        assert "site S-1 added" in ok(between.address("cut"), "site", "add", "S-1", "--owner", "X")
        assert plan.struck
    assert "in order: 2 events" in ok(book, "check")
    # the backend goes while COMMIT is under way
    server.ask("cut", "CREATE FUNCTION public.slow() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN PERFORM pg_sleep(20); "
                      "RETURN NULL; END $$; CREATE CONSTRAINT TRIGGER slow AFTER INSERT ON tarebook.head DEFERRABLE "
                      "INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION public.slow()")
    done = []
    going = threading.Thread(target=lambda: done.append(run(book, "site", "add", "S-2", "--owner", "X")))
    going.start()
    for _ in range(100):
        time.sleep(0.1)
        if server.ask("cut", "SELECT count(pg_terminate_backend(pid)) FROM pg_stat_activity WHERE query = 'COMMIT' AND "
                             "wait_event = 'PgSleep'") == "1":
            break
    going.join()
    assert done[0].returncode == 3 and "Nothing was written" in done[0].stderr, done[0].stderr
    server.ask("cut", "DROP TRIGGER slow ON tarebook.head")
    ok(book, "site", "add", "S-2", "--owner", "X")
    assert "in order: 3 events" in ok(book, "check")
    # a statement that takes too long, and a server that lets nobody write
    server.ask("cut", "ALTER DATABASE cut SET default_transaction_read_only = on")
    refused(book, ("site", "add", "S-3", "--owner", "X"), "cannot be written")
    assert "in order: 3 events" in ok(book, "check")
    server.ask("postgres", "ALTER DATABASE cut RESET default_transaction_read_only")


def cut_off_behind(server):
    """The connection breaks behind COMMIT, where the program reads for its answer: no word says that nothing was written."""
    server.create("behind")
    book = server.address("behind")
    shop.small_shop(book)
    table = os.path.join(folder, "behind.csv")

    def recording(number):
        with open(table, "w") as f:
            f.write("kind,date,time,site,appliance,circuit,cylinder,refrigerant,gross_before_lb,gross_after_lb,technician,job\n"
                    "recover,2026-05-20,10:%02d,OAK,RACK-A,4,RC-02,R-448A,27.50,27.60,ana,B7\n" % number)
        return (("import", "movements", table, "--anyway", "made up"),
                ("weigh", "RC-02", "--gross", "27.6lb", "--anyway", "made up", "--own-id", "behind-%d" % number))
    told = 0
    with Between(server) as between:
        for which in (0, 1):  # an import, then a recording of a person
            for number in range(10):
                whole = between.plan(Plan(10 ** 9, "pass"))
                shop.ok(between.address("behind"), *recording(which * 20 + 2 * number)[which])
                before = int(server.ask("behind", "SELECT count(*) FROM tarebook.event"))
                plan = between.plan(Plan(whole.seen - number, "before"))
                done = shop.run(between.address("behind"), *recording(which * 20 + 2 * number + 1)[which])
                there = int(server.ask("behind", "SELECT count(*) FROM tarebook.event")) - before
                nothing = "Nothing was written" in done.stderr
                assert not (there and nothing) and (there or nothing or not plan.struck), (which, number, there, done.stderr)
                told += there and done.returncode == 3 and "is in the book" in done.stderr
                if there and done.returncode == 3:
                    assert "recorded" in done.stderr, done.stderr
    assert told > 0, "no program read anything behind its COMMIT"
    assert "in order" in shop.ok(book, "check")


def cut_off_while_made(server):
    """`start` and `books move` say the truth of a COMMIT that was cut off. In a book that was said not to have moved a person
    goes on recording."""
    with Between(server) as between:
        for how, said in (("before", "Nothing was written"), ("after", "")):
            started, moved, file = "started_" + how, "moved_" + how, os.path.join(folder, how + ".tarebook")
            server.create(started)
            server.create(moved)
            ok(file, "start", "--company", "Fernhollow", "--zone", "UTC")
            for book, to, words in ((between.address(started), started, ("start", "--company", "Fernhollow", "--zone", "UTC")),
                                    (file, moved, ("books", "move", "--to", between.address(moved)))):
                plan = between.plan(Plan(COMMIT, how))
                if said:
                    refused(book, words, said)
                    refused(server.address(to), ("check",), "there is no book at")
                else:
                    ok(book, *words)
                    ok(server.address(to), "site", "add", "ELM", "--owner", "X")
                assert plan.struck
            if said:
                ok(file, "site", "add", "ELM", "--owner", "X")
            else:
                refused(file, ("site", "add", "OAK", "--owner", "X"), "was moved to")


def all_has_ended(server, database):
    """The server has ended what programs that are gone began there: their COMMIT, or nothing."""
    for _ in range(100):
        if server.ask("postgres", "SELECT count(*) FROM pg_stat_activity WHERE datname = '%s'" % database) == "0":
            return
        time.sleep(0.05)
    raise AssertionError("the server goes on with what is gone in " + database)


def move_killed(server):
    """A program that moves a file to the server is killed around the server's COMMIT: nothing is recorded in the file from then
    on, until the same command has ended the move. What was recorded on the server meanwhile stays."""
    with Between(server) as between:
        for when in ("before", "after"):
            to, other, file = "killed_" + when, "other_" + when, os.path.join(folder, "killed-%s.tarebook" % when)
            for database in (to, other):
                server.create(database)
            address = server.address(to)
            ok(file, "start", "--company", "Fernhollow", "--zone", "UTC")
            ok(file, "site", "add", "ELM", "--owner", "X")
            kills = []
            call = lambda _: kills[0].kill()  # noqa: E731
            plan = between.plan(Plan(COMMIT, "pass", **({"first": call} if when == "before" else {"then": call})))
            kills.append(subprocess.Popen([BIN, "books", "move", "--to", between.address(to)], env=shop.env(file, "ana"),
                                          cwd=folder, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL,
                                          stderr=subprocess.DEVNULL))
            kills[0].wait()
            assert plan.struck
            all_has_ended(server, to)
            for words in (("site", "add", "OAK", "--owner", "X"), ("check", "--rebuild")):
                said = refused(file, words, "is on its way to")
                assert "where the move was cut off" in said and "books move" in said and between.address(to) in said, said
                assert "gone for good" in said and "tarebook restore %s --to FILE" % file in said, said
            refused(file, ("books", "lock"), "is on its way to", TAREBOOK_NEW_PASSPHRASE="four words of mine")
            assert "in order: 2 events" in ok(file, "check")
            moved = server.ask(to, "SELECT to_regclass('tarebook.event') IS NOT NULL") == "t"
            assert moved or when == "before"
            # as a book of its own it goes on at once
            on = file + "-on"
            ok(on, "restore", file, "--to", on)
            ok(on, "site", "add", "OAK", "--owner", "X")
            assert "in order" in ok(on, "check") and "does not know" not in ok(on, "check")
            if not moved:
                plan = between.plan(Plan(COMMIT, "before"))
                refused(file, ("books", "move", "--to", between.address(to)), "Nothing was written")
                assert plan.struck
                refused(file, ("site", "add", "OAK", "--owner", "X"), "is on its way to")
            if moved:
                ok(address, "site", "add", "ASH", "--owner", "X")
                said = refused(file, ("books", "move", "--to", server.address(other)), "may be there")
                assert "gone for good" in said and "tarebook restore %s --to FILE" % file in said, said
            said = ok(file, "books", "move", "--to", address)
            assert ("an earlier move" in said) == moved, said
            refused(file, ("site", "add", "OAK", "--owner", "X"), "was moved to " + address)
            ok(address, "site", "add", "OAK", "--owner", "X")
            said = ok(address, "check")
            assert "in order: %d events" % (4 if moved else 3) in said and "does not know" not in said, said
            assert "does not know" not in ok(file, "check")


def to_a_file_killed(server):
    """A program that moves a book to a file is killed, or cut off, around the moment in which the file gets its name: nothing is
    recorded on the server from the note on, until the same command has ended the move. Where the file was not made, the server
    goes on."""
    with Between(server) as between:
        def killed_at(plan, book, to):
            kills = []
            setattr(plan, "first" if plan.how == "before" else "then", lambda _: kills[0].kill())
            between.plan(plan)
            kills.append(subprocess.Popen([BIN, "books", "move", "--to", to], env=shop.env(between.address(book), "ana"),
                                          cwd=folder, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL,
                                          stderr=subprocess.DEVNULL))
            kills[0].wait()
            assert plan.struck
            all_has_ended(server, book)

        def new_book(name):
            server.create(name)
            ok(server.address(name), "start", "--company", "Fernhollow", "--zone", "UTC")
            ok(server.address(name), "site", "add", "ELM", "--owner", "X")
            return server.address(name), os.path.join(folder, name + ".tarebook")

        def ended(book, address, file, events):
            said = ok(between.address(book), "books", "move", "--to", file)
            refused(address, ("site", "add", "OAK", "--owner", "X"), "was moved to " + file)
            ok(file, "site", "add", "OAK", "--owner", "X")
            for there in (address, file):
                told = ok(there, "check")
                assert "in order" in told and "does not know" not in told, told
            assert "in order: %d events" % events in ok(file, "check")
            return said
        # the file has its name: it goes on, and the server does not
        address, file = new_book("named")
        desk = ok(address, "books", "desk", person="ben")
        ok(address, "books", "trust", "front-desk", "--card", re.search(r"--card (\S+)", desk).group(1))
        ok(address, "note", "of a desk", person="ben")
        killed_at(Plan(b"moved_to", "before"), "named", file)
        assert os.path.exists(file)
        for words in (("site", "add", "OAK", "--owner", "X"), ("check", "--rebuild")):
            said = refused(address, words, "is on its way to " + file)
            assert "books move %s --to %s" % (address, file) in said and "tarebook restore" not in said, said
        said = refused(address, ("note", "x"), "is on its way to " + file, person="ben")
        assert "books move" not in said and "who keeps the book" in said, said
        assert "in order" in ok(address, "check")
        ok(file, "site", "add", "ASH", "--owner", "X")
        said = refused(address, ("books", "move", "--to", file + "-other"), "may be there")
        assert not os.path.exists(file + "-other")
        assert "an earlier move" in ended("named", address, file, 7)
        # its COMMIT was not sent, or came to its end, and there is no file: another name does, too
        for how in ("before", "pass"):
            address, file = new_book("noted_" + how)
            killed_at(Plan(COMMIT, how), "noted_" + how, file)
            assert not os.path.exists(file) and not glob.glob(file + "-*")
            for left in glob.glob(file + ".new-*"):
                os.remove(left)
            if how == "before":
                ok(address, "site", "add", "ASH", "--owner", "X")
            else:
                said = refused(address, ("site", "add", "ASH", "--owner", "X"), "is on its way to " + file)
                assert "books move %s --to FILE" % address in said, said
                file += "-other"
            ended("noted_" + how, address, file, 4 if how == "before" else 3)
        # a desk that waits for the COMMIT of the note finds it; a file that takes the name meanwhile ends the move
        address, file = new_book("taken")
        waited = []

        def meanwhile(_):
            waited.append(run(address, "site", "add", "ASH", "--owner", "X"))
            with open(file, "w") as f:
                f.write("a list")
        plan = between.plan(Plan(COMMIT, "pass", then=meanwhile))
        refused(between.address("taken"), ("books", "move", "--to", file), "is not a book")
        assert plan.struck and "is on its way to" in waited[0].stderr, waited
        ok(address, "site", "add", "ASH", "--owner", "X")
        os.remove(file)
        # the connection breaks: what the command says of the file is so, and one of the two goes on
        for n, (at, how, nth) in enumerate(((b"moving_to", "before", 1), (COMMIT, "before", 1), (COMMIT, "after", 1),
                                            (b"LOCK TABLE turn", "before", 2), (b"moved_to", "before", 1), (COMMIT, "before", 2),
                                            (COMMIT, "after", 2))):
            address, file = new_book("broken_%d" % n)
            plan = between.plan(Plan(at, how, nth=nth))
            done = run(between.address("broken_%d" % n), "books", "move", "--to", file)
            there = os.path.exists(file)
            assert plan.struck and there != ("Nothing was written" in done.stderr), (at, how, nth, done)
            if there:
                refused(address, ("note", "x"), file)
            else:
                ok(address, "note", "x")
            if done.returncode:
                ok(between.address("broken_%d" % n), "books", "move", "--to", file)
            refused(address, ("note", "x"), "was moved to " + file)
            ok(file, "note", "x")
            assert "in order: %d events" % (3 if there else 4) in ok(file, "check"), (at, how, nth)
        # the server does not come back while the command takes its note away: it says what it does not know
        address, file = new_book("silent")
        plan = between.plan(Plan(b"LOCK TABLE turn", "before", nth=2, refuse=100000))
        refused(between.address("silent"), ("books", "move", "--to", file), "has not moved to " + file)
        assert plan.struck and not os.path.exists(file)
        refused(address, ("note", "x"), "is on its way to " + file)
        between.plan(Plan(0, "pass"))
        ended("silent", address, file, 3)


def key_of_the_living_book(server):
    """This person keeps the book on a server. An older copy of its file, which has the key, too, moves nowhere else, and what is
    refused leaves the key where it is. A move that does not come off takes back only the key that it put there."""
    for database in ("living", "elsewhere", "once_more"):
        server.create(database)
    file, older = os.path.join(folder, "living.tarebook"), os.path.join(folder, "older.tarebook")
    living = server.address("living")
    ok(file, "start", "--company", "Fernhollow", "--zone", "UTC")
    shutil.copy(file, older)
    ok(file, "books", "move", "--to", living)
    key = os.path.join(folder, "ana", "tarebook", "servers",
                       server.ask("living", "SELECT value FROM tarebook.book WHERE name = 'id'") + ".key")
    with Between(server) as between:
        for at in (COMMIT, b"CREATE SCHEMA"):
            between.plan(Plan(at, "before"))
            refused(older, ("books", "move", "--to", between.address("elsewhere")), "Nothing was written")
            ok(living, "note", "its keeper records")
        said = refused(older, ("books", "move", "--to", server.address("elsewhere")), "for a server already")
        assert key in said and "rename" in said, said
        refused(server.address("elsewhere"), ("check",), "there is no book at")
        # a passphrase gives the key another form
        ok(older, "books", "lock", TAREBOOK_NEW_PASSPHRASE="four words of mine")
        refused(older, ("books", "move", "--to", server.address("elsewhere")), "for a server already",
                TAREBOOK_PASSPHRASE="four words of mine")
        ok(older, "books", "unlock", TAREBOOK_PASSPHRASE="four words of mine")
        ok(living, "note", "its keeper records")
        # no server has it any more, and its keeper does what the message says
        os.rename(key, key + ".aside")
        plan = between.plan(Plan(COMMIT, "before"))
        refused(older, ("books", "move", "--to", between.address("elsewhere")), "Nothing was written")
        assert plan.struck and not os.path.exists(key)
        ok(older, "site", "add", "ELM", "--owner", "X")
        # killed between its note in the file and its key: the same command ends it
        kills = []
        plan = between.plan(Plan(COMMIT, "before", first=lambda _: kills[0].kill()))
        kills.append(subprocess.Popen([BIN, "books", "move", "--to", between.address("elsewhere")], env=shop.env(older, "ana"),
                                      cwd=folder, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL,
                                      stderr=subprocess.DEVNULL))
        kills[0].wait()
        assert plan.struck
        os.remove(key)
        ok(older, "books", "move", "--to", between.address("elsewhere"))
        ok(server.address("elsewhere"), "site", "add", "OAK", "--owner", "X")
        # its folder is closed: the file goes on
        fresh = os.path.join(folder, "fresh.tarebook")
        ok(fresh, "start", "--company", "Fernhollow", "--zone", "UTC")
        with open(os.path.join(folder, "no-folder"), "w"):
            pass
        refused(fresh, ("books", "move", "--to", server.address("once_more")), "cannot be kept in",
                XDG_DATA_HOME=os.path.join(folder, "no-folder"))
        ok(fresh, "site", "add", "ELM", "--owner", "X")
        ok(fresh, "books", "move", "--to", server.address("once_more"))


def cut_off_without_an_event(server):
    """A rebuild, and a merge of which all lies in quarantine, record no event: the server is asked nevertheless."""
    server.create("no_event")
    book, truck, bundle = (server.address("no_event"), *(os.path.join(folder, name) for name in ("truck", "bundle")))
    ok(book, "start", "--company", "Fernhollow", "--zone", "UTC")
    ok(truck, "start", "--company", "Fernhollow", "--zone", "UTC", "--shop", ok(book, "books", "card").strip())
    ok(truck, "send", "--to", bundle)

    def there():
        return server.ask("no_event", "SELECT count(*) FROM tarebook.quarantine"), server.ask(
            "no_event", "SELECT value FROM tarebook.book WHERE name = 'checks_edition'")
    with Between(server) as between:
        for words, done in ((("check", "--rebuild"), lambda: there()[1] != "0"), (("merge", bundle), lambda: there()[0] == "1")):
            for how in ("before", "in", "after", "answer"):
                server.ask("no_event", "DELETE FROM tarebook.quarantine; UPDATE tarebook.book SET value = '0' WHERE name = "
                                       "'checks_edition'")
                plan = between.plan(Plan(COMMIT, how))
                if how in ("before", "in"):
                    refused(between.address("no_event"), words, "Nothing was written")
                else:
                    ok(between.address("no_event"), *words)
                assert plan.struck and done() == (how in ("after", "answer")), (words, how, there())
        # another such one has ended before this one asks: it does not know which of the two it was
        server.ask("no_event", "DELETE FROM tarebook.quarantine")
        plan = between.plan(Plan(COMMIT, "before", then=lambda _: ok(book, "check", "--rebuild")))
        refused(between.address("no_event"), ("merge", bundle), "Whether it was written is not known")
        ok(book, "merge", bundle)
        assert plan.struck and there()[0] == "1"
    said = ok(book, "check")
    assert "in order" in said and "does not know" not in said, said


def lock_cut_off(server):
    """The key is in a file of the person, and the book notes what it is when it is locked. Cut off in between, a lock says
    the truth, and `check` finds the two as they were or as they shall be."""
    server.create("locks")
    book = server.address("locks")
    ok(book, "start", "--company", "Fernhollow", "--zone", "UTC")
    file = os.path.join(folder, "ana", "tarebook", "servers",
                        server.ask("locks", "SELECT value FROM tarebook.book WHERE name = 'id'") + ".key")

    def key():
        with open(file, "rb") as f:
            return f.read()
    now, words = "", 0  # the passphrase that the key has
    with Between(server) as between:
        for at, how in ((b"locked_key", "before"), (b"locked_key", "after"), (COMMIT, "before"), (COMMIT, "in"),
                        (COMMIT, "after")):
            for act in ("lock", "lock", "unlock"):  # a plain key, one that is locked, and back
                words += 1
                new = "" if act == "unlock" else "four words of mine, %d" % words
                before, plan = key(), between.plan(Plan(at, how))
                done = run(between.address("locks"), "books", act, TAREBOOK_PASSPHRASE=now, TAREBOOK_NEW_PASSPHRASE=new)
                assert plan.struck, (at, how, act)
                if at == COMMIT and how == "after":
                    assert done.returncode == 0, done.stderr
                else:
                    assert done.returncode == 3 and "Nothing was written" in done.stderr, (at, how, act, done.stderr)
                    assert key() == before, "%s cut %s %s changed the key, and called it nothing" % (act, how, at)
                    assert "in order" in ok(book, "check"), (at, how, act)
                    ok(book, "books", act, TAREBOOK_PASSPHRASE=now, TAREBOOK_NEW_PASSPHRASE=new)
                now = new
                assert "in order" in ok(book, "check"), (at, how, act, run(book, "check").stdout)
                ok(book, "note", "after " + act, TAREBOOK_PASSPHRASE=now)
        # the folder of the key is closed to its person: nothing is noted either
        os.chmod(os.path.dirname(file), 0o500)
        if not os.access(os.path.dirname(file), os.W_OK):
            refused(book, ("books", "lock"), "Nothing was written", TAREBOOK_NEW_PASSPHRASE="four words of mine")
        os.chmod(os.path.dirname(file), 0o700)
        assert "in order" in ok(book, "check")
        # killed in between: what `check` says of it, and the same command ends it
        for act, new, said in (("lock", "four words of mine", "is not as the book notes it"),
                               ("unlock", "", "is now without a passphrase")):
            ok(book, "books", "lock", TAREBOOK_PASSPHRASE=now, TAREBOOK_NEW_PASSPHRASE="other words of mine")
            now, kills = "other words of mine", []
            plan = between.plan(Plan(COMMIT, "before", first=lambda _: kills[0].kill()))
            kills.append(subprocess.Popen([BIN, "books", act], env={**shop.env(between.address("locks"), "ana"),
                                          "TAREBOOK_PASSPHRASE": now, "TAREBOOK_NEW_PASSPHRASE": new}, cwd=folder,
                                          stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL))
            kills[0].wait()
            assert plan.struck
            told = run(book, "check").stdout
            assert said in told and "tarebook books " + act in told and "damaged" not in told, told
            ok(book, "books", act, TAREBOOK_PASSPHRASE=new, TAREBOOK_NEW_PASSPHRASE=new)
            assert "in order" in ok(book, "check")
            now = new
        # a server that has committed, and does not come back while the program asks
        plan = between.plan(Plan(COMMIT, "after", refuse=100000))
        said = refused(between.address("locks"), ("books", "lock"), "whether the book notes it is not known",
                       TAREBOOK_NEW_PASSPHRASE="four words of mine")
        assert plan.struck and "locked with the new passphrase" in said and "Nothing was written" not in said, said
        refused(book, ("note", "x"), "locked with a passphrase")
        for act in ("lock", "unlock"):
            ok(book, "books", act, TAREBOOK_PASSPHRASE="four words of mine", TAREBOOK_NEW_PASSPHRASE="four words of mine")
            assert "in order" in ok(book, "check")


def dies_while_greeting():
    """A server that dies says so to whom it is just letting in (its process gets SIGQUIT): what libpq would put on the screen
    by itself stays away, and the person reads one sentence. A server that is silent for a moment is waited for."""
    at = tempfile.mkdtemp(prefix="greeting-", dir="/tmp")
    listening = socket.socket(socket.AF_UNIX)
    listening.bind(os.path.join(at, ".s.PGSQL.5432"))
    listening.listen(8)
    notice = b"SWARNING\0VWARNING\0C57P02\0Mterminating connection because of crash of another server process\0\0"

    def greet():
        for silence in (0, 2):
            for _ in range(2 if silence else 1):  # the second time it is asked anew
                client, _ = listening.accept()
                with client:
                    client.settimeout(silence or 10)
                    client.recv(4096)
                    if silence == 0:
                        client.sendall(b"R" + struct.pack("!ii", 8, 0) + b"N" + struct.pack("!i", 4 + len(notice)) + notice)
                    else:
                        time.sleep(silence)
    greeting = threading.Thread(target=greet, daemon=True)
    greeting.start()
    for _ in range(2):
        said = refused("postgresql://office@/shop?host=" + at, ("check",), "does not answer")
        assert "WARNING" not in said and "crash of another" not in said and said.startswith("failed: the server"), said
    greeting.join()
    listening.close()
    shutil.rmtree(at)


def killed(server):
    """The server dies while programs record: what was acknowledged is there when it is back."""
    server.create("killed")
    book = server.address("killed")
    ok(book, "start", "--company", "Fernhollow", "--zone", "UTC")
    acknowledged, stop = [], threading.Event()

    def record(desk):
        n = 0
        while not stop.is_set():
            n += 1
            code = "S-%d-%d" % (desk, n)
            if run(book, "site", "add", code, "--owner", "X").returncode == 0:
                acknowledged.append(code)
    desks = [threading.Thread(target=record, args=(d,)) for d in range(2)]
    for d in desks:
        d.start()
    for _ in range(3):
        time.sleep(1.5)
        server.stop("immediate")
        time.sleep(0.2)
        server.start()
    stop.set()
    for d in desks:
        d.join()
    assert len(acknowledged) > 3, acknowledged
    there = ok(book, "site", "list", "--format", "csv")
    for code in acknowledged:
        assert code in there, code + " was acknowledged, and is lost"
    assert "in order" in ok(book, "check")
    return len(acknowledged)


if os.environ.get("TAREBOOK_SERVER") == "no":
    print("the book on a server was left out: TAREBOOK_SERVER=no")
    sys.exit(0)
try:
    # fsync: a server that is killed has its files from the machine's memory; a power cut is not tried here
    with postgres_server.Server() as server:
        made_and_refused(server)
        moved(server)
        as_the_guide_says(server)
        several_at_once(server)
        reads_no_more(server)
        cut_off(server)
        cut_off_behind(server)
        cut_off_while_made(server)
        move_killed(server)
        to_a_file_killed(server)
        key_of_the_living_book(server)
        cut_off_without_an_event(server)
        lock_cut_off(server)
        dies_while_greeting()
        kept = killed(server)
        print("a book on a server: made, moved there and back, four programs at once, cut off, its server killed three "
              "times with %d acknowledged events, nothing lost" % kept)
finally:
    shutil.rmtree(folder, ignore_errors=True)
