"""Several desks record in one book on a server, each with a chain and a key of its own: trusted once, side by side where
they work on different cylinders, one after another where on the same; names, voids, own ids and resolutions across
them; the same exports after a move to a file. TAREBOOK_SERVER=no leaves it out, and says so."""
import glob
import json
import os
import re
import shutil
import stat
import sys
import threading

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "support"))
import postgres_server  # noqa: E402
import server_shop  # noqa: E402

shop = server_shop.Shop()


def events(book, person="ana"):
    return [json.loads(line) for line in shop.ok(book, "export", "events", "--format", "json", person=person).splitlines()]


def digest_of_last(book, kind):
    return [e for e in events(book) if e["kind"] == kind][-1]["digest"]


def listed(book):
    return json.loads(shop.ok(book, "list", "exceptions", "--format", "json"))["items"]


def become(book, person):
    said = shop.ok(book, "books", "desk", person=person)
    return re.search(r"--card (\S+)", said).group(1)


def trusted_once(server):
    server.create("shop")
    book = server.address("shop")
    shop.small_shop(book)
    shop.refused(book, ("weigh", "RC-01", "--gross", "30lb"), "tarebook books desk", person="bo")
    shop.refused(book, ("books", "desk"), "this person keeps the book")
    card = become(book, "bo")
    assert become(book, "bo") == card
    keys = glob.glob(os.path.join(shop.folder, "bo", "tarebook", "servers", "*.key"))
    assert len(keys) == 1 and stat.S_IMODE(os.stat(keys[0]).st_mode) == 0o600, keys
    count = server.ask("shop", "SELECT count(*) FROM tarebook.event")
    said = shop.refused(book, ("weigh", "RC-01", "--gross", "30lb"), "does not trust this desk", person="bo")
    assert "books trust NAME --card " + card in said, said
    assert server.ask("shop", "SELECT count(*) FROM tarebook.event") == count
    shop.ok(book, "books", "trust", "front-desk", "--card", card)
    assert "the book trusts it" in shop.ok(book, "books", "desk", person="bo")
    shop.ok(book, "weigh", "RC-01", "--gross", "27.5lb", person="bo")
    chains = [e["book"] for e in events(book)]
    assert sorted(chains.count(c) for c in set(chains))[0] == 2 and len(set(chains)) == 2, chains  # `start`, and the weighing
    shop.ok(book, "books", "trust", "back-desk", "--card", become(book, "cy"))
    shop.ok(book, "recover", "--circuit", "OAK/RACK-A/4", "--into", "RC-01", "--before", "27.5lb", "--after", "37.5lb",
            "--job", "7", "--by", "ana", "--drier", "yes", "--vacuum", "10inHg", person="cy")
    assert "in order" in shop.ok(book, "check"), shop.run(book, "check").stdout
    for person in ("ana", "bo", "cy"):
        assert "10" in shop.ok(book, "report", "cylinder", "RC-01", person=person)
        assert shop.ok(book, "report", "cylinder", "RC-01", person=person) == shop.ok(book, "report", "cylinder", "RC-01")
    # what only who keeps the book does
    for words, said in ((("books", "trust", "x", "--card", card), "who keeps the book"),
                        (("books", "withdraw", "back-desk", "--why", "x"), "who keeps the book"),
                        (("books", "move", "--to", os.path.join(shop.folder, "away.tarebook")), "who keeps the book"),
                        (("send", "--register", "--to", os.path.join(shop.folder, "x.bundle")), "who keeps the book"),
                        (("merge", os.path.join(shop.folder, "none.bundle")), "")):
        shop.refused(book, words, said, person="bo")
    return book, card


def what_it_says(book, card):
    """The number to compare stands on both screens; a desk is no truck; a key that is lost is named."""
    said = shop.ok(book, "books", "trust", "front-desk", "--card", card)
    number = re.search(r"its number is ([0-9 ]{19})", said).group(1)
    wrong = card[:-1] + ("0" if card[-1] != "0" else "1")
    assert "of its events count no more" in shop.ok(book, "books", "trust", "front-desk", "--card", wrong)
    assert "of its events count no more" not in shop.ok(book, "books", "trust", "front-desk", "--card", card)
    assert "in order" in shop.ok(book, "check")
    first = shop.ok(book)
    assert "merge FILE" not in first and "tarebook send" not in first, first
    said = shop.run(book, "doctor", person="bo").stdout
    assert "this person has none" not in said and ".key" in said, said
    key = glob.glob(os.path.join(shop.folder, "bo", "tarebook", "servers", "*.key"))[0]
    os.rename(key, key + ".away")
    shop.refused(book, ("books", "desk"), os.path.basename(key), person="bo")
    os.rename(key + ".away", key)
    return number


def who_recorded(book):
    """A page of an event names the desk that recorded it, at every desk alike; a job's page has a head of each chain."""
    cy = digest_of_last(book, "recover")
    chain = [e for e in events(book) if e["digest"] == cy][0]["book"]
    named = "recorded by back-desk (book %s)" % chain[:12]
    for person in ("ana", "bo", "cy"):
        assert named in shop.ok(book, "report", "event", cy[:12], person=person)
    assert json.loads(shop.ok(book, "report", "event", cy, "--format", "json"))["events"][0]["book"] == chain
    assert "recorded by" not in shop.ok(book, "report", "event", "E2")
    page = shop.ok(book, "report", "job", "7")
    heads = json.loads(shop.ok(book, "report", "job", "7", "--format", "json"))["heads"]
    assert [h["book"] for h in heads][1:] == [chain] and len(heads) == 2, heads
    told = "%s:%d:%s" % (chain, heads[1]["seq"], heads[1]["digest"][:32])
    assert told in page and "back-desk (book %s):" % chain[:12] in page, page
    assert told in shop.ok(book, "report", "job", "7", "--format", "html")
    assert "unchanged up to event %d" % heads[1]["seq"] in shop.ok(book, "check", "--against", told)
    done = shop.run(book, "check", "--against", told[:-1] + ("0" if told[-1] != "0" else "1"))
    assert done.returncode == 3, done.stdout


def first_screens(book, exceptions):
    """Whoever looks, and whoever recorded it: the first screen counts the exceptions, and its exit code says so."""
    pages = set()
    for person in ("ana", "bo", "cy", "eve"):
        done = shop.run(book, person=person)
        assert done.returncode == (4 if exceptions else 0), "%s: exit %d\n%s" % (person, done.returncode, done.stdout)
        pages.add(done.stdout)
    assert len(pages) == 1 and ("%d exception" % exceptions in pages.pop()) == (exceptions > 0), pages


def across(book):
    """A desk names what another one recorded."""
    cy = digest_of_last(book, "recover")
    said = shop.ok(book, "void", cy[:12], "--why", "the wrong circuit", person="bo")
    assert cy[:12] in said, said
    shop.refused(book, ("void", cy[:12], "--why", "again"), "voided already", person="cy")
    # one own id at two desks is one event
    words = ("recover", "--circuit", "OAK/RACK-A/4", "--into", "RC-01", "--before", "27.5lb", "--after", "36.5lb", "--job",
             "7", "--by", "ana", "--drier", "yes", "--vacuum", "10inHg", "--own-id", "sheet-7")
    shop.ok(book, *words, person="bo")
    assert "already recorded" in shop.ok(book, *words, person="cy")
    other = tuple("36lb" if w == "36.5lb" else w for w in words)
    shop.refused(book, other, "sheet-7 is recorded already", person="cy")
    # a leak of the book, repaired at a desk; and one that a desk found
    shop.ok(book, "leak", "add", "OAK/RACK-A", "--place", "valve stem", "--by", "ana")
    shop.ok(book, "repair", "L-1", "--by", "ana", "--done", "new stem", person="bo")
    said = shop.ok(book, "leak", "add", "OAK/RACK-A", "--place", "flare nut", "--by", "ana", person="bo")
    assert re.search(r"L-[0-9a-f]{12}", said), said
    code = re.search(r"L-[0-9a-f]{12}", said).group(0)
    shop.ok(book, "repair", code, "--by", "ana", "--done", "tightened", person="cy")
    # the book's own event, by its number, at a desk
    shop.ok(book, "weigh", "RC-02", "--gross", "33.0lb")
    named = [f["finding"] for f in listed(book)]
    assert len(named) == 1 and named[0].startswith("gap/RC-02/E"), named
    first_screens(book, 1)
    shop.ok(book, "resolve", named[0], "--why", "weighed again", person="cy")
    assert listed(book) == []
    first_screens(book, 0)
    # a desk's own event, resolved by the book
    shop.ok(book, "weigh", "RC-02", "--gross", "31.0lb", person="bo")
    named = [f["finding"] for f in listed(book)]
    assert len(named) == 1 and re.match("gap/RC-02/[0-9a-f]{12}$", named[0]), named
    first_screens(book, 1)
    shop.ok(book, "resolve", named[0], "--why", "weighed again")
    shop.ok(book, "weigh", "RC-02", "--gross", "31.0lb", person="bo")
    first_screens(book, 0)
    assert "in order" in shop.ok(book, "check"), shop.run(book, "check").stdout


def pages_of_desks(book):
    """What a desk recorded since is all that is made anew of a folder of pages, and of nothing else."""
    to = os.path.join(shop.folder, "pages")

    def made():
        return json.loads(shop.ok(book, "pages", "--to", to, "--format", "json"))
    first = made()
    assert first["pages_written"] == first["number_of_pages"], first
    again = made()
    assert again["pages_written"] == 0, again
    shop.ok(book, "weigh", "RC-02", "--gross", "33.1lb", person="bo")
    then = made()
    assert 0 < then["pages_written"] < then["number_of_pages"] / 2, (first, then)
    with open(os.path.join(to, [f for f in os.listdir(to) if "RC-02" in f][0])) as f:
        assert "33.10" in f.read()


def locked_key(book):
    """The key of a desk under a passphrase; the book's own key stays as it is."""
    shop.ok(book, "books", "lock", person="bo", TAREBOOK_NEW_PASSPHRASE="four words of mine")
    shop.refused(book, ("note", "x"), "locked with a passphrase", person="bo")
    shop.ok(book, "note", "by a key that was opened", person="bo", TAREBOOK_PASSPHRASE="four words of mine")
    shop.ok(book, "note", "by the book's own key")
    for person in ("ana", "bo"):
        said = shop.ok(book, "check", person=person)
        assert "in order" in said and ("locked" in said) == (person == "bo"), said
    shop.ok(book, "books", "unlock", person="bo", TAREBOOK_PASSPHRASE="four words of mine")
    assert "no signing key" in shop.ok(book, "check", person="eve")


def side_by_side(server, book):
    """Four desks and the book itself, on cylinders of their own and on two that all use."""
    people = ["ana", "bo", "cy", "di", "ed"]
    # as the guide says: `ed` comes by a role that does not own the tables
    server.ask("shop", "CREATE ROLE desks LOGIN; GRANT USAGE ON SCHEMA tarebook TO desks; GRANT SELECT, INSERT, UPDATE, "
                       "DELETE ON ALL TABLES IN SCHEMA tarebook TO desks")
    addresses = {person: book for person in people}
    addresses["ed"] = book.replace("office@", "desks@")
    for person in people[3:]:
        shop.ok(book, "books", "trust", "desk-" + person, "--card", become(addresses[person], person))
    for person in people:
        shop.ok(book, "cylinder", "add", "T-" + person, "--use", "recovery", "--refrigerant", "R-448A", "--wc", "47.6lb",
                "--tare", "27.5lb", "--spec", "DOT-4BA400", "--tested", "2024-04")
    failed, acknowledged = [], []

    def record(n, person):
        for i in range(10):
            cylinder = "RC-02" if i % 3 == 2 else "T-" + person
            own = "%s-%d" % (person, i)
            done = shop.run(addresses[person], "weigh", cylinder, "--gross", "%.2flb" % (27.5 + 0.05 * i + n), "--own-id", own,
                            "--anyway", "side by side", person=person)
            (acknowledged if done.returncode in (0, 4) else failed).append(own if done.returncode in (0, 4) else done.stderr)
    threads = [threading.Thread(target=record, args=(n, person)) for n, person in enumerate(people)]
    for t in threads:
        t.start()
    for t in threads:
        t.join()
    assert not failed, failed
    there = [e.get("own_id") for e in events(book)]
    for own in acknowledged:
        assert there.count(own) == 1, own
    assert "in order" in shop.ok(book, "check"), shop.run(book, "check").stdout
    return len(acknowledged)


def brought_up_to_date(server, book):
    """Tables that come with a newer program can be read by all who read, and written by all who record."""
    server.ask("shop", "DROP TABLE tarebook.to_judge, tarebook.judged_anew; DELETE FROM tarebook.schema_version WHERE version = 3")
    shop.ok(book, "note", "by a newer program")
    for right in ("'desks', 'tarebook.to_judge', 'INSERT'", "'desks', 'tarebook.judged_anew', 'UPDATE'",
                  "'pg_monitor', 'tarebook.to_judge', 'SELECT'"):
        assert server.ask("shop", "SELECT has_table_privilege(%s)" % right) == "t", right
    assert server.ask("shop", "SELECT has_table_privilege('pg_monitor', 'tarebook.to_judge', 'DELETE')") == "f"


def moved(server, book):
    shop.exports(book, os.path.join(shop.folder, "of-server"))
    back = os.path.join(shop.folder, "back.tarebook")
    shop.ok(book, "books", "move", book, "--to", back)
    shop.exports(back, os.path.join(shop.folder, "of-file"))
    server_shop.same(os.path.join(shop.folder, "of-server"), os.path.join(shop.folder, "of-file"))
    assert "in order" in shop.ok(back, "check")
    for person in ("ana", "bo"):
        shop.refused(book, ("weigh", "RC-01", "--gross", "30lb"), "was moved to " + back, person=person)
    shop.ok(back, "weigh", "RC-01", "--gross", "36.5lb")
    server.create("again")
    again = server.address("again")
    shop.ok(back, "books", "move", "--to", again)
    # the key of the book is there again, and the place that was left stays closed
    shop.refused(book, ("weigh", "RC-01", "--gross", "30lb"), "was moved to " + back)
    shop.refused(back, ("weigh", "RC-01", "--gross", "30lb"), "was moved to " + again)
    # a desk of before is none of the new place until it says so; the book trusts it still
    shop.refused(again, ("weigh", "RC-01", "--gross", "36.5lb"), "tarebook books desk", person="bo")
    shop.ok(again, "books", "desk", person="bo")
    shop.ok(again, "weigh", "RC-01", "--gross", "36.5lb", person="bo")
    shop.ok(again, "books", "withdraw", "front-desk", "--why", "left the shop")
    shop.refused(again, ("weigh", "RC-01", "--gross", "36.5lb"), "does not trust this desk", person="bo")
    assert "in order" in shop.ok(again, "check"), shop.run(again, "check").stdout


if os.environ.get("TAREBOOK_SERVER") == "no":
    print("the desks of a book on a server were left out: TAREBOOK_SERVER=no")
    sys.exit(0)
try:
    with postgres_server.Server() as server:
        book, card = trusted_once(server)
        what_it_says(book, card)
        who_recorded(book)
        across(book)
        pages_of_desks(book)
        locked_key(book)
        kept = side_by_side(server, book)
        brought_up_to_date(server, book)
        moved(server, book)
        print("desks: trusted once, named each other's events, %d events side by side, moved to a file and back" % kept)
finally:
    shutil.rmtree(shop.folder, ignore_errors=True)
