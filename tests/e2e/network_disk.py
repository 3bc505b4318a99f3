"""A book on a disk of another machine: `start` warns, and the book is kept with a rollback journal, as a log is read by what one
machine alone remembers (sqlite.org/wal.html). The kernel's answer is that of an NFS disk (tests/crash/network_disk.cpp)."""
import os
import subprocess

from book import Book, sql

LIBRARY = os.environ["TAREBOOK_NETWORK_LIBRARY"]
WEIGH = ("weigh", "RC-01", "--gross", "27.5lb")


class Far(Book):
    def env(self, now=None):
        return {**super().env(now), "LD_PRELOAD": LIBRARY}


def journal(b):
    with sql(b.path) as db:
        return db.execute("PRAGMA journal_mode").fetchone()[0]


# --- a new book says what is promised there, and the guide what that is ---
b = Far(start=False)
done = b.ok("start", "--company", "Fernhollow Refrigeration", "--zone", "America/Chicago")
said = " ".join((done.stdout + done.stderr).split())
assert "network disk (NFS)" in said and "two machines that record at the same time can damage it" in said, done
assert journal(b) == "delete"
b.small_register()
b.ok(*WEIGH)
assert journal(b) == "delete" and os.listdir(b.folder) == ["shop.tarebook"], os.listdir(b.folder)
assert b.json("check")["ok"] is True

# --- a book that comes there from a disk of this machine changes over with its first recording, and says so ---
near = Book().small_register()
assert journal(near) == "wal"
far = Far(start=False)
os.rename(near.path, far.path)
done = far.ok(*WEIGH)
said = " ".join((done.stdout + done.stderr).split())
assert "it has a rollback journal now" in said, done
assert journal(far) == "delete"
assert "rollback journal now" not in far.ok(*WEIGH).stderr
assert far.json("check")["ok"] is True

# --- and back ---
near = Book(start=False)
os.rename(far.path, near.path)
near.ok(*WEIGH)
assert journal(near) == "wal" and near.json("check")["ok"] is True

# --- while a program on this machine has the log open, nobody on the network disk records beside it ---
far = Far(start=False)
os.rename(near.path, far.path)
with sql(far.path) as db:
    db.execute("SELECT count(*) FROM event").fetchone()
    done = subprocess.run([far.binary, *WEIGH], env=far.env("2026-06-01T15:00:00Z"), stdin=subprocess.DEVNULL, capture_output=True,
                          text=True)
    assert done.returncode == 3 and "Nothing was written" in " ".join(done.stderr.split()), done
far.ok(*WEIGH)
print("network disk: told at the start, a rollback journal there, a log again at home, and no recording beside an open log")
