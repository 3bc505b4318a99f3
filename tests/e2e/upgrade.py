"""A book that an older version wrote: no reader changes it; a recording or `upgrade` makes it one of today, whole or not
at all, beside a copy of what it was."""
import os
import pty
import random
import shutil
import signal
import sqlite3
import subprocess
import time

from book import BIN, Book
from older_book import events, older_book

NOW = "2026-06-10T20:00:00Z"
KEY = bytes.fromhex("987f850150feec1b379f58e9357d713d46b1786dc989ec2a49c50de5b4fdd115"
                    "253837aeb4be0062013622817bd28f7ea0e4ee2b5916ae22a8d325d57eea97f9")  # of tests/crash/book_v1.sql
WEIGH = ("weigh", "RC-02", "--gross", "34.2lb")


def older(schema=1, megabytes=0):
    b = Book(start=False)
    older_book(b.path, schema, megabytes)
    b.copy = b.path + ".before-schema-14"
    return b


def bytes_of(path):
    with open(path, "rb") as f:
        return f.read()


def files(b):
    return sorted(os.listdir(b.folder))


def with_terminal(b, answer, *words):
    pid, master = pty.fork()
    if pid == 0:
        os.execve(BIN, [BIN, *words], b.env(NOW))
    seen = b""
    answered = False
    while True:
        try:
            got = os.read(master, 65536)
        except OSError:
            got = b""
        if not got:
            break
        seen += got
        if b"[y/N]" in seen and not answered:
            answered = True
            os.write(master, answer.encode() + b"\n")
    os.close(master)
    return os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]), " ".join(seen.decode().split())


def of_every_schema():
    for schema in range(1, 14):
        b = older(schema)
        whole, told = bytes_of(b.path), events(b.path)
        for words in (("check",), ("report", "inventory"), ("list", "exceptions"), ("send", "--to", "x.bundle"),
                      ("backup", "--to", os.path.join(b.folder, "copy")), ("upgrade", "--dry-run"), ("books",)):
            done = b.run(*words, now=NOW)
            if words[0] == "upgrade":
                assert done.returncode == 0 and "from schema %d to 14" % schema in done.stdout and b.copy in done.stdout, done
            else:
                assert done.returncode == 3 and "tarebook upgrade" in done.stderr and "less than 1 s" in done.stderr, (words, done)
        assert bytes_of(b.path) == whole and files(b) == ["shop.tarebook"], (schema, files(b))
        assert b.run("complete", "bash", "weigh", "", now=NOW).returncode == 0
        done = b.ok(*WEIGH, now=NOW) if schema % 2 else b.ok("upgrade", now=NOW)
        assert b.copy in done.stdout + done.stderr and "without" in done.stdout + done.stderr, done
        assert events(b.path)[:len(told)] == told == events(b.copy), schema
        assert os.stat(b.copy).st_mode & 0o777 == 0o600 and files(b) == ["shop.tarebook", "shop.tarebook.before-schema-14"]
        assert KEY in bytes_of(b.path) and KEY not in bytes_of(b.copy) and KEY[:16] not in bytes_of(b.copy)
        assert b.json("check", now=NOW)["ok"] is True
        b.ok(*WEIGH, now=NOW)
    print("upgrade: eleven schemas, read by nobody, upgraded with every event as it was, the copy without the key")


def one_that_takes_long():
    b = older(1, 120)
    before = b.digest()
    done = b.run(*WEIGH, now=NOW)
    assert done.returncode == 3 and "tarebook upgrade" in done.stderr and "Nothing was written" in done.stderr, done
    code, seen = with_terminal(b, "n", *WEIGH)
    assert code == 3 and "Upgrade it now?" in seen and "tarebook upgrade" in seen and "Nothing was written" in seen, seen
    assert b.digest() == before and files(b) == ["shop.tarebook"]
    code, seen = with_terminal(b, "", "report", "inventory")
    assert code == 3 and "[y/N]" not in seen, "a reader is not asked"
    code, seen = with_terminal(b, "y", *WEIGH)
    assert code == 0 and "remark: an older Tarebook wrote the book" in seen and "recorded as" in seen, seen
    assert b.json("check", now=NOW)["ok"] is True and events(b.copy) == events(b.path)[:-1]
    print("upgrade: one that takes longer than two seconds is asked about, and refused without a terminal")


def what_lies_at_the_name():
    b = older(2)
    old = bytes_of(b.path)
    b.ok("upgrade", now=NOW)
    b.ok(*WEIGH, now=NOW)
    # put back, as the person who is disappointed does, and upgraded again: the copy is an earlier self
    newer = bytes_of(b.path)
    open(b.path, "wb").write(old)
    b.ok("upgrade", now=NOW)
    # what lies there has gone on elsewhere, or is another file, or a link: it stays
    for content in (newer, b"", b"mine", bytes_of(Book().path)):
        open(b.path, "wb").write(old)
        open(b.copy, "wb").write(content)
        for words in (("upgrade",), ("upgrade", "--dry-run"), WEIGH):
            done = b.run(*words, now=NOW)
            assert done.returncode == 3 and "not an earlier copy of this book" in done.stderr and "--copy FILE" in done.stderr, done
        assert bytes_of(b.path) == old and bytes_of(b.copy) == content
    os.unlink(b.copy)
    for target in ("nowhere", b.path):
        os.symlink(target, b.copy)
        assert b.run("upgrade", now=NOW).returncode == 3 and bytes_of(b.path) == old and os.path.islink(b.copy)
        os.unlink(b.copy)
    hard = os.path.join(b.folder, "hard")
    os.link(b.path, hard)
    assert b.run("upgrade", "--copy", hard, now=NOW).returncode == 3 and bytes_of(b.path) == old
    # with the key: a whole book, to put back
    os.unlink(hard)
    b.ok("upgrade", "--with-key", "--copy", hard, now=NOW)
    shutil.copy(hard, b.path)
    b.ok(*WEIGH, now=NOW)
    assert b.json("check", now=NOW)["ok"] is True
    print("upgrade: the copy replaces nothing but an earlier self of the book")


def without_the_key():
    b = older(5)
    again = os.path.join(b.folder, "again")
    b.ok("upgrade", now=NOW)
    copy = bytes_of(b.copy)
    b.ok("restore", b.copy, "--to", again, now=NOW)
    assert bytes_of(b.copy) == copy, "restoring upgrades another file"
    b.ok("--book", again, *WEIGH, now=NOW)
    assert b.json("--book", again, "check", now=NOW)["ok"] is True
    # a backup of before the upgrade is replaced by the next one
    friday = os.path.join(b.folder, "friday")
    older_book(friday, 5)
    b.ok("backup", "--to", friday, now=NOW)
    assert events(friday) == events(b.path) and b.json("--book", friday, "check", now=NOW)["ok"] is True
    print("upgrade: the copy is restored, an older backup is replaced")


def killed():
    rnd = random.Random(7)
    points = int(os.environ.get("TAREBOOK_KILL_POINTS", "60")) // 3
    b = older(1, 20)
    old = bytes_of(b.path)
    began = time.perf_counter()
    b.ok("upgrade", now=NOW)
    whole = time.perf_counter() - began
    told, left = events(b.copy), set()
    for n in range(points):
        for name in files(b):
            os.unlink(os.path.join(b.folder, name))
        open(b.path, "wb").write(old)
        p = subprocess.Popen([BIN, "upgrade"], env=b.env(NOW), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        time.sleep(rnd.random() * whole * 1.1)
        p.send_signal(signal.SIGKILL)
        p.wait()
        left.update(files(b))
        if os.path.exists(b.copy):
            assert events(b.copy) == told and KEY not in bytes_of(b.copy), n
        b.ok("upgrade", now=NOW)
        assert events(b.path) == told == events(b.copy), n
        assert b.json("check", now=NOW)["ok"] is True
        # killed while it went over to another journal, it may leave one, which goes with the next recording
        b.ok("machine", "add", "M-77", now=NOW)
        assert events(b.path)[:-1] == told and files(b) == ["shop.tarebook", "shop.tarebook.before-schema-14"], (n, files(b))
        assert b.json("check", now=NOW)["ok"] is True
    assert b.copy[len(b.folder) + 1:] + ".unfinished" in left, left
    print("upgrade: killed %d times, the next one ends it" % points)


def two_at_once():
    for words in (("upgrade",), WEIGH):
        b = older(1, 10)
        both = [subprocess.Popen([BIN, *words], env=b.env(NOW), stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
                                 stderr=subprocess.PIPE, text=True) for _ in range(2)]
        for p in both:
            out, err = p.communicate(timeout=120)
            assert p.returncode == 0, (words, out, err)
        assert b.json("check", now=NOW)["ok"] is True and files(b) == ["shop.tarebook", "shop.tarebook.before-schema-14"]
        assert b.run("upgrade", now=NOW).stdout.endswith("nothing was written\n")
    print("upgrade: of two at once, one does it")


def on_another_disk():
    if not os.access("/dev/shm", os.W_OK) or os.stat("/dev/shm").st_dev == os.stat(older().folder).st_dev:
        return
    b = older(1, 10)
    copy = "/dev/shm/tarebook-copy-%d" % os.getpid()
    try:
        done = b.ok("upgrade", "--dry-run", "--copy", copy, now=NOW)
        assert "in /dev/shm: " in done.stdout and "in %s: " % b.folder in done.stdout, done.stdout
        b.ok("upgrade", "--copy", copy, now=NOW)
        assert files(b) == ["shop.tarebook"] and os.stat(copy).st_mode & 0o777 == 0o600 and KEY not in bytes_of(copy)
    finally:
        if os.path.exists(copy):
            os.unlink(copy)
    print("upgrade: the copy on another disk")


def damaged():
    b = older(1)
    db = sqlite3.connect(b.path, isolation_level=None)
    (trigger,) = db.execute("SELECT sql FROM sqlite_schema WHERE name = 'event_is_never_changed'").fetchone()
    db.execute("DROP TRIGGER event_is_never_changed")
    db.execute("UPDATE event SET body = replace(body, 'RC-02', 'RC-03') WHERE rowid = 12")
    db.execute(trigger)
    changed = db.execute("SELECT rowid FROM event WHERE body LIKE '%RC-03%'").fetchall()
    db.close()
    assert changed == [(12,)], changed
    before = b.digest()
    for words in (("upgrade",), WEIGH):
        done = b.run(*words, now=NOW)
        assert done.returncode == 3 and "event row 12" in done.stderr and "Nothing was written" in done.stderr, done
    assert b.digest() == before and files(b) == ["shop.tarebook"]
    done = b.run("salvage", "--to", os.path.join(b.folder, "rescued"), now=NOW)
    assert done.returncode in (0, 4), done
    print("upgrade: a damaged book stays as it is")


of_every_schema()
one_that_takes_long()
what_lies_at_the_name()
without_the_key()
killed()
two_at_once()
on_another_disk()
damaged()
