"""What is done with whole files: backups onto all sorts of names, restored and new books, upgrades, salvage, exports. Debris of
earlier steps lies about, and some is put there."""
import hashlib
import os

from campaign_world import NOTHING, Party, ids_of_bundle, says_nothing_was_written
from point import must

START = ["start", "--company", "Fernhollow Refrigeration", "--zone", "America/Chicago"]


def content(path):
    with open(path, "rb") as f:
        return f.read()


def side_files(path):
    return [path + s for s in ("-wal", "-journal", "-shm") if os.path.exists(path + s)]


def backup(world, party):
    dice, source = world.dice, party.held
    if party.backups and dice.random() < 0.35:
        source = dice.choice(party.backups)  # an older copy, onto the book itself as well
    everything = list(world.files.values())
    target = dice.choice([
        None, *party.backups[-2:], party.held, dice.choice(everything),
        *[world.files[p] for p in world.files if os.path.dirname(p) == party.folder][-2:],
        *[party.held] * (8 * (source is not party.held))])
    path = target.path if target else os.path.join(party.folder, "backup-%d" % world.next())
    was, must_there = content(path) if target else b"", set(target.must) if target else set()
    had_log = bool(side_files(path))
    ran = world.under_fault("backup", ["--book", source.path, "backup", "--to", path], refusable=target is not None)
    world.holds(source, ran)
    if not os.path.exists(path):
        must(target is None and ran.code != 0, "no file is there", ran)
        return
    if ran.code == 1 and not had_log and not ran.struck:  # a fault may come when the journal's kind is another one already
        must(content(path) == was, "refused, and the file is another one", ran)
    if ran.code == 0:
        must(path != source.path, "a book onto itself", ran)
        must_there |= source.must
    held = world.held(path, must_there)
    there = world.holds(held, ran)
    if target is None:
        must(source.must <= there, "a backup in part", ran)
    if ran.code == 0 or target is None or dice.random() < 0.3:
        world.check(path, ran)
    if target is None or ran.code == 0:
        held.must |= source.must & there
        if held is not party.held and held not in party.backups:
            party.backups.append(held)


def restore(world, party):
    """Goes on from a backup, as a book of its own; the old one stays where it is."""
    if not party.backups:
        return
    source = world.dice.choice(party.backups)
    path = os.path.join(party.folder, "restored-%d" % world.next())
    words = ["restore", source.path, "--to", path]
    ran = world.under_fault("restore", words)
    if os.path.exists(path):
        must(not says_nothing_was_written(ran), "told that nothing was written, and it was", ran)
        world.held(path, source.must)
    else:
        must(ran.code != 0, "told to be restored, and no file is there", ran)
        again = world.run(words)
        must(again.code == 0, "the same again fails", ran, again)
    held = world.held(path, source.must)
    world.holds(source, ran), world.holds(held, ran)
    world.check(path, ran)
    if party is not world.office and world.dice.random() < 0.5:
        n = world.number
        new = Party(party.name, party.folder, held)
        new.called, new.card = "%s-%d" % (party.name, n), world.run(["--book", path, "books", "card"]).out.strip()
        world.trucks[world.trucks.index(party)] = world.parties[world.parties.index(party)] = new
        trusted = world.run(["--book", world.office.held.path, "books", "trust", new.called, "--card", new.card])
        must(trusted.code in (0, 4), "the restored book cannot be trusted", trusted)


def start(world, party):
    """A new, a restored or a copied book where something lies beside the name."""
    path = os.path.join(party.folder, "new-%d" % world.next())
    ways = [["--book", path, *START], ["--book", party.held.path, "backup", "--to", path]]
    if party.backups:
        ways.append(["restore", world.dice.choice(party.backups).path, "--to", path])
    words = world.dice.choice(ways)
    if world.dice.random() < 0.5:
        beside = path + world.dice.choice(["-wal", "-journal", "-shm"])
        left = world.dice.choice([world.template.log, b"", world.dice.randbytes(4096), content(party.held.path)])
        with open(beside, "wb") as f:
            f.write(left)
        refused = world.run(words)
        if not left:  # it holds nothing that could get into a book
            must(refused.code == 0, "an empty file beside the name is refused", refused)
            world.check(path, refused)
            world.holds(world.held(path), refused)
            return
        must(refused.code == 3 and beside in refused.err and NOTHING in refused.err, "a strange file is not refused", refused)
        must(not os.path.exists(path) and content(beside) == left, "refused, and something was changed", refused)
        os.unlink(beside)
    ran = world.under_fault("start", words)
    if not os.path.exists(path):
        must(ran.code != 0, "told to be made, and no file is there", ran)
        again = world.run(words)
        must(again.code == 0, "it cannot be made", ran, again)
    world.check(path, ran)
    world.holds(world.held(path), ran)


def upgrade(world, party):
    schema = world.dice.choice(sorted(world.template.older))
    path = os.path.join(party.folder, "older-%d" % world.next())
    with open(os.open(path, os.O_CREAT | os.O_WRONLY, 0o600), "wb") as f:
        f.write(world.template.older[schema])
    held = world.held(path, {"old-1"})
    own = "own-%d" % world.next()
    words = world.dice.choice([["upgrade"], ["weigh", "RC-02", "--gross", "34.2lb", "--own-id", own]])
    for n in range(3):
        ran = world.run(["--book", path, *words]) if n == 2 else world.under_fault("upgrade", ["--book", path, *words])
        if ran.code in (0, 4) and words[0] == "weigh":
            held.must.add(own)
        world.holds(held, ran)
        if ran.code in (0, 4) and n:
            break
    must(ran.code in (0, 4), "it cannot be upgraded", ran)
    world.check(path, ran)
    copies = [e.path for e in os.scandir(party.folder) if e.name.startswith(os.path.basename(path) + ".before-schema-")
              and not e.name.endswith(".unfinished")]
    must(len(copies) == 1 and "old-1" in world.own_ids(copies[0]), "upgraded, and no copy is there", ran)
    must(not world.asked(copies[0], "SELECT 1 FROM secret"), "the copy holds the key", ran)


def salvage(world, party):
    to = os.path.join(party.folder, "salvaged-%d" % world.next())
    ran = world.under_fault("salvage", ["--book", party.held.path, "salvage", "--to", to])
    must(os.path.exists(to) or ran.code not in (0, 4), "told to be saved, and no file is there", ran)
    if os.path.exists(to):
        ids = ids_of_bundle(to)
        must(ids is not None, "a bundle without its end", ran)
        # a page that could not be read is told
        must(party.held.must <= ids or "R!" in ran.trace and ran.code == 4, "in the book, and not in what is saved of it", ran)
    world.holds(party.held, ran)


def export(world, party):
    to = os.path.join(party.folder, "export-%d" % world.next())
    ran = world.under_fault("export", ["--book", party.held.path, "export", "year", "2026", "--to", to])
    must(os.path.exists(to) or ran.code not in (0, 4), "told to be exported, and no folder is there", ran)
    if os.path.exists(to):
        sums = os.path.join(to, "SHA256SUMS")
        must(os.path.exists(sums), "an export without its sums: %s" % os.listdir(to), ran)
        for line in content(sums).decode().splitlines():
            digest, name = line.split(None, 1)
            file = os.path.join(to, name.lstrip("*"))
            must(os.path.exists(file) and hashlib.sha256(content(file)).hexdigest() == digest, "an export in part: " + name, ran)
    world.holds(party.held, ran)


def analysts(world, party):
    """The analysts' file, made or brought up to date: it is whole, whatever struck, and up to date where that was told."""
    path = os.path.join(party.folder, "analysts.sqlite")
    was_there = os.path.exists(path)
    ran = world.under_fault("analysts", ["--book", party.held.path, "export", "sqlite", "--to", path] + ["--update"] * was_there, refusable=True)
    must(os.path.exists(path) or ran.code not in (0, 4), "told to be made, and no file is there", ran)
    must(os.path.exists(path) or not was_there, "it was there, and is gone", ran)
    if os.path.exists(path):
        must(world.asked(path, "PRAGMA integrity_check") == [("ok",)], "the analysts' file is damaged", ran)
        if ran.code == 0:
            (here,), = world.asked(path, "SELECT count(*) FROM base_event")
            (there,), = world.asked(party.held.path, "SELECT count(*) FROM event WHERE id NOT IN (SELECT event FROM ineffective WHERE by = 0)")
            must(here == there, "%d events in the analysts' file, %d in the book" % (here, there), ran)
    world.holds(party.held, ran)
