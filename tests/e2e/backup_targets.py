"""A backup, a restored and a new book take a name only where nothing is lost by it."""
import os
import shutil
import sqlite3
import subprocess

from book import BIN, Book, sql


def events_in(path):
    with sql("file:%s?mode=ro" % path, uri=True) as db:
        return db.execute("SELECT count(*), max(digest) FROM event").fetchone()


def older_onto_newer():
    """`backup` from an older copy leaves the newer book as it is."""
    b = Book().small_register()
    old = os.path.join(b.folder, "monday.tarebook")
    b.ok("backup", "--to", old)
    for pounds in range(5):
        b.ok("weigh", "RC-01", "--gross", "%d.5lb" % (28 + pounds))
    before = b.digest()
    done = b.run("--book", old, "backup", "--to", b.path)
    assert done.returncode == 1, (done.returncode, done.stdout, done.stderr)
    assert "event 16 " in done.stderr and "event 11 " in done.stderr, done.stderr
    assert b.digest() == before, "the newer book was touched"
    # two copies that went on apart: neither is older
    fork = os.path.join(b.folder, "fork.tarebook")
    shutil.copy(old, fork)
    b.ok("--book", fork, "weigh", "RC-02", "--gross", "28lb")
    for source, target in ((fork, b.path), (b.path, fork)):
        assert b.run("--book", source, "backup", "--to", target).returncode == 1
    # the older one is replaced, also where it is read-only
    os.chmod(old, 0o400)
    b.ok("backup", "--to", old)
    assert events_in(old) == events_in(b.path)


def nothing_through_links():
    """A link is no backup, whether or not it leads anywhere."""
    b = Book()
    b.ok("backup", "--to", os.path.join(b.folder, "friday"))
    for leads_to in ("nowhere", "friday"):
        link = os.path.join(b.folder, "link-" + leads_to)
        os.symlink(leads_to, link)
        assert b.run("backup", "--to", link).returncode == 1
        assert os.path.islink(link), "the link was replaced"


def target_in_use():
    """Somebody who is about to record in the file that shall be replaced ends first."""
    b = Book()
    friday = os.path.join(b.folder, "friday")
    b.ok("backup", "--to", friday)
    holder = sqlite3.connect(friday, isolation_level=None)
    holder.execute("BEGIN IMMEDIATE")
    done = subprocess.Popen([BIN, "backup", "--to", friday], env=b.env(), stderr=subprocess.PIPE, stdout=subprocess.PIPE,
                            text=True)
    out, err = done.communicate()
    holder.execute("ROLLBACK")
    assert done.returncode == 3 and "held by another program" in err, (done.returncode, out, err)


older_onto_newer()
nothing_through_links()
target_in_use()
print("backup targets: an older copy replaces nothing newer, links stay, a file in use is waited for")
