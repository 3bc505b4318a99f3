"""What is recorded in a book and what travels between books, step by step; each with a fault at times."""
import os

from campaign_world import ids_of_bundle, says_nothing_was_written
from point import must

PASSPHRASE = "quern and tern and bourn"
CYLINDERS = ("RC-01", "RC-02", "RC-03", "RC-04")
BECAUSE = ["--anyway", "it was done"]


def record(world, party):
    dice, own = world.dice, "own-%d" % world.next()
    cylinder, low = dice.choice(CYLINDERS), dice.randrange(2800, 4000)
    before, after = "%.2flb" % (low / 100), "%.2flb" % (low / 100 + dice.randrange(50, 800) / 100)
    words, more = dice.choice([
        (["weigh", cylinder, "--gross", before], 0), (["weigh", cylinder, "--gross", after], 0),
        (["recover", "--circuit", "OAK/RACK-A/4", "--into", cylinder, "--before", before, "--after", after], 0),
        (["reuse", "--circuit", "OAK/RACK-A/4", "--from", cylinder, "--before", after, "--after", before], 0),
        (["machine", "add", "M-%s" % own], 0), (["move", cylinder, "--to", dice.choice(["truck-1", "shop"])], 0),
        (["receive", "R-448A", "2x25lb", "--from", "Tallgrass Supply", "--condition", "virgin", "--spec", "DOT-39"], 4)])
    ids = {own} | {"%s#%d" % (own, n) for n in range(2, more + 1)}
    if words[0] in ("weigh", "recover", "reuse"):
        words = words + BECAUSE
    world.record(words[0], party, [*words, "--own-id", own], ids, refusable=words[0] == "reuse")


def sheet(world, party):
    n = world.next()
    path = os.path.join(party.folder, "visit-%d.yaml" % n)
    with open(path, "w", encoding="utf-8") as f:
        f.write(world.template.sheet.replace("OAK-351f720fccd0", "OAK-%012x" % n))
    world.record("sheet", party, ["job", "record", path], {"OAK-%012x/%d" % (n, line) for line in (1, 2, 3, 4)})


def movements(world, party):
    n = world.next()
    path = os.path.join(party.folder, "movements-%d" % n)
    rows, weight = world.dice.randint(1, 5), world.dice.randrange(2760, 3000)
    with open(path + ".csv", "w", encoding="utf-8") as f:
        f.write("kind,date,time,site,appliance,circuit,cylinder,refrigerant,gross_before_lb,gross_after_lb,technician,job\n")
        for row in range(rows):
            f.write("recover,2026-05-%02d,09:%02d,OAK,RACK-A,4,IM-%d,R-448A,%.2f,%.2f,Ana,%d\n" % (
                row + 1, n % 60, n, (weight + 100 * row) / 100, (weight + 100 * row + 100) / 100, n))
    with open(path + "-cylinders.csv", "w", encoding="utf-8") as f:
        f.write("cylinder,refrigerant,water_capacity_lb,tare_lb\nIM-%d,R-448A,47.6,%.2f\n" % (n, weight / 100))
    circuits = os.path.join(world.room, "circuits.csv")
    before = world.own_ids(party.held.path)
    words = ["import", "movements", path + ".csv", "--cylinders", path + "-cylinders.csv", "--circuits", circuits, "--register",
             "--owner", "Quillpost Markets"]
    told = world.record("import", party, words, None)
    new = sum(o.startswith("row:") for o in world.own_ids(party.held.path) - before)
    must(new == rows if told else new in (0, rows), "%d of %d rows are there" % (new, rows))


def seal(world, party):
    own = "own-%d" % world.next()
    world.record("seal", party, ["seal", "2025", "--own-id", own], {own}, refusable=True)


def send(world, party):
    to = os.path.join(world.room, "mail", "%s-%d" % (party.called, world.next()))
    words = ["--book", party.held.path, "send", "--to", to, *world.dice.choice([[], ["--since", "last"]])]
    ran = world.under_fault("send", words, refusable=True)
    taken(world, party, to, ran)
    if world.dice.random() < 0.5:
        words[4] = to + "-again"
        again = world.run(words)
        must(again.code == 0 or again.code == 1 and "no event to send" in again.err, "the same again fails", ran, again)
        taken(world, party, to + "-again", again)
    world.holds(party.held, ran)


def taken(world, party, to, ran):
    """A file of that name is whole, and what it holds is sent; what is told to be sent is in some file."""
    there = os.path.exists(to)
    must(there or ran.code != 0, "told to be sent, and no file is there", ran)
    must(not there or not says_nothing_was_written(ran), "told that nothing was written, and it was", ran)
    if there:
        ids = ids_of_bundle(to)
        must(ids is not None, "a bundle without its end", ran)
        party.sent |= ids
        (world.of_office if party is world.office else world.mail).append((party, to))
    if ran.code == 0 or ran.code == 1 and "no event to send" in ran.err:
        must(party.own <= party.sent, "acknowledged, and in no bundle: %s" % sorted(party.own - party.sent)[:5], ran)


def register(world, party):
    to = os.path.join(world.room, "mail", "register-%d" % world.next())
    ran = world.under_fault("send register", ["--book", world.office.held.path, "send", "--to", to, "--register-only"])
    if os.path.exists(to):
        must(ids_of_bundle(to) is not None, "a bundle without its end", ran)
        world.of_office.append((world.office, to))
    must(os.path.exists(to) or ran.code != 0, "told to be sent, and no file is there", ran)


def merge(world, party):
    """What the trucks sent into the office, in any order and again; what the office sent into a truck."""
    office = party is world.office
    bundles = world.mail if office else world.of_office
    if not bundles:
        return
    chosen = [world.dice.choice(bundles[-6:]) for _ in range(world.dice.randint(1, 2))]
    words = ["merge", *dict.fromkeys(path for _, path in chosen)]
    if not world.record("merge", party, words, None):
        return
    there = world.own_ids(party.held.path)
    kept = {row[0] for row in world.asked(party.held.path, "SELECT lines FROM quarantine")}
    for sender, path in chosen:
        ids = ids_of_bundle(path)
        left = [i for i in ids - there if not any('"own_id":"%s"' % i in (k if isinstance(k, str) else k.decode()) for k in kept)]
        must(not left, "merged, and neither in the book nor in its quarantine: %s" % left[:5])
        must(ids <= there or not (sender is world.office or sender.trusted), "of a trusted book, and not in this one")
        party.held.must |= ids & there


def sync(world, party):
    """A truck and the office share a folder, which keeps what earlier steps left there."""
    share = os.path.join(world.room, "share")
    os.makedirs(share, exist_ok=True)
    words = ["--book", party.held.path, "sync", share]
    ran = world.under_fault("sync", words)
    world.holds(party.held, ran)
    if party is world.office or not party.trusted:
        return
    if ran.struck:
        again = world.run(words)
        must(again.code in (0, 4), "the next sync does not go on", ran, again)
    done = world.run(["--book", world.office.held.path, "sync", share])
    must(done.code in (0, 4), "the office's sync fails", ran, done)
    there = world.holds(world.office.held, done)
    must(party.own <= there, "synced, and not in the office: %s" % sorted(party.own - there)[:5], ran, done)
    world.office.held.must |= party.own
    if world.dice.random() < 0.3:
        world.check(world.office.held.path, ran, done)


def trust(world, party):
    """Withdraws a truck, or trusts it again."""
    truck, own = world.dice.choice(world.trucks), "own-%d" % world.next()
    words = ["books", "withdraw", truck.called, "--why", "lost", "--own-id", own]
    if not truck.trusted:
        words = ["books", "trust", truck.called, "--card", truck.card, "--own-id", own]
    if world.record(words[1], world.office, words, {own}):
        truck.trusted = not truck.trusted
    elif own in world.own_ids(world.office.held.path):
        truck.trusted = not truck.trusted


def rebuild(world, party):
    before = world.asked(party.held.path, "SELECT rowid, origin, seq, digest, own_id, body FROM event ORDER BY rowid")
    ran = world.under_fault("rebuild", ["--book", party.held.path, "check", "--rebuild"])
    after = world.asked(party.held.path, "SELECT rowid, origin, seq, digest, own_id, body FROM event ORDER BY rowid")
    must(before == after, "a rebuild changed an event", ran)
    world.holds(party.held, ran)
    world.check(party.held.path, ran)


def lock(world, party):
    """Locks the key, records with it, and unlocks it; each may go wrong, and what is told is what was done."""
    def locked():
        return world.asked(party.held.path, "SELECT length(secret_key) FROM secret")[0][0] != 64

    def turned(word, locks):
        ran = world.under_fault(word, ["--book", party.held.path, "books", word])
        must(ran.code != 0 or locked() == locks, "told to be done, and it is not", ran)
        must(not says_nothing_was_written(ran) or locked() != locks, "told that nothing was written, and it was", ran)
    world.program.more_env.update(TAREBOOK_PASSPHRASE=PASSPHRASE, TAREBOOK_NEW_PASSPHRASE=PASSPHRASE)
    turned("lock", True)
    world.holds(party.held)
    record(world, party)
    if locked():
        turned("unlock", False)
    if locked():
        must(world.run(["--book", party.held.path, "books", "unlock"]).code == 0 and not locked(), "it cannot be unlocked")
    world.check(party.held.path)
    for name in ("TAREBOOK_PASSPHRASE", "TAREBOOK_NEW_PASSPHRASE"):
        del world.program.more_env[name]


def people(world, party):
    """A name comes in and is removed; where the book says that its file was laid out anew, no byte of it is there."""
    n = world.next()
    name, path = "Ottoline Brackwater-%d" % n, party.held.path
    if not world.record("technician", party, ["technician", "add", "T-%d" % n, "--name", name, "--own-id", "own-%d" % n], {"own-%d" % n}):
        return
    own = "own-%d" % world.next()
    world.record("people", party, ["people", "remove", name, "--asked", "by the person", "--own-id", own], {own}, refusable=True)
    if own not in world.own_ids(path):
        return
    must(not world.asked(path, "SELECT 1 FROM person WHERE name = '%s'" % name), "removed, and in its table")
    if world.asked(path, "SELECT 1 FROM book WHERE name = 'names_removed'"):
        done = world.run(["--book", path, "people", "remove", "--tidy"])
        must(done.code in (0, 4), "it cannot be laid out anew", done)
    for ending in ("", "-wal", "-journal"):
        if os.path.exists(path + ending):
            with open(path + ending, "rb") as f:
                must(name.encode() not in f.read(), "a byte of a removed name is in the file " + ending)
