"""What the machine does to a book without any help from us: a full disk, another program that holds the book, a clock
that goes back, a log that was left behind or left out."""
import contextlib
import json
import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import time

import scenarios
from program import ROOM, Folder

RECORD = ["recover", "--circuit", "OAK/RACK-A/4", "--into", "RC-01", "--before", "27.5lb", "--after", "31.2lb",
          "--own-id", "one"]
WAIT_SECONDS = 10  # how long the program waits for another one: lib/book/db.cpp


def fresh(room, name, book):
    folder = Folder(os.path.join(room, name))
    folder.put({"shop.tarebook": book})
    return folder


def refused_whole(ran, words, folder, before):
    assert ran.code == 3 and words in ran.err and "Nothing was written" in ran.err, ran
    assert folder.rows() == before
    assert folder.run(["check"]).code == 0


def held_by_others(room, book):
    """A writer that does not end, a reader that does not end, and a writer that ends in time."""
    def hold(folder, *statements):
        db = sqlite3.connect(folder.book, isolation_level=None)
        for statement in statements:
            db.execute(statement).fetchone()
        return db
    writer, reader = fresh(room, "writer", book), fresh(room, "reader", book)
    before = writer.rows()
    holders = [hold(writer, "BEGIN IMMEDIATE"), hold(reader, "BEGIN", "SELECT count(*) FROM event")]
    began = time.monotonic()
    ran = reader.run(RECORD)  # who reads keeps nobody waiting
    assert ran.code in (0, 4) and time.monotonic() - began < WAIT_SECONDS / 2, ran
    began = time.monotonic()
    ran = writer.run(RECORD)
    waited = time.monotonic() - began
    refused_whole(ran, " is held by ", writer, before)
    assert WAIT_SECONDS - 1 < waited < 3 * WAIT_SECONDS, waited
    assert writer.run(["report", "inventory"]).code in (0, 4)  # a held book can be read
    for db in holders:
        db.close()
    assert writer.run(RECORD).code in (0, 4)
    for folder in (writer, reader):
        assert folder.own_ids()[-1] == "one" and folder.run(["check"]).code == 0
    folder = fresh(room, "brief-writer", book)
    db = hold(folder, "BEGIN IMMEDIATE")
    pid = os.fork()
    if pid == 0:
        os._exit(0 if folder.run(RECORD).code in (0, 4) else 1)
    time.sleep(1)
    db.execute("ROLLBACK")
    assert os.waitpid(pid, 0)[1] == 0
    db.close()
    assert folder.own_ids()[-1] == "one" and folder.run(["check"]).code == 0
    print("held by others: a reader keeps nobody; refused after %.0f s with a sentence; waited for who ended in time" % waited)


def clock_goes_back(room, book):
    folder = fresh(room, "clock", book)
    for gross, now in (("34.2lb", "2026-06-20T12:00:00Z"), ("34.1lb", "2026-06-19T12:00:00Z"),
                       ("34.3lb", "2026-06-21T12:00:00Z"), ("34.0lb", "1999-12-31T23:59:59Z"),
                       ("34.2lb", "2026-06-20T12:00:00Z")):
        ran = folder.run(["weigh", "RC-02", "--gross", gross, "--anyway", "the clock of the laptop is off"], now=now)
        assert ran.code in (0, 4), ran
        assert folder.run(["check"], now=now).code == 0
    report = folder.run(["report", "cylinder", "RC-02", "--format", "json"])
    when = [event["at"] for event in json.loads(report.out)["events"]]
    assert when == sorted(when) and when[0].startswith("1999"), when
    with contextlib.closing(sqlite3.connect("file:%s?mode=ro" % folder.book, uri=True)) as db:
        seqs = [r[0] for r in db.execute("SELECT seq FROM event ORDER BY rowid")]
    assert seqs == list(range(1, len(seqs) + 1)), seqs
    print("clock going back: recorded, told in order of time, chain in order of recording")


def log_left(room, book):
    """A command dies while it writes its log, or puts it into the book; then somebody copies both files, or one."""
    folder = fresh(room, "log", book)
    before = folder.rows()
    writes = folder.run(RECORD, traced=True).trace.count("W")
    after = folder.rows()
    newer = folder.files()["shop.tarebook"]
    told, there = [], []
    copy = Folder(os.path.join(room, "copy"))

    def looked_at(files):
        copy.put(files)
        check = copy.run(["check"])
        assert check.code in (0, 3), check
        assert check.code == 0 or check.err.startswith("failed: ") or "DAMAGED" in check.out, check
        assert check.code == 3 or copy.rows() in (before, after), check
        return check.code
    for at in range(1, writes + 1):
        folder.put({"shop.tarebook": book})
        ran = folder.run(RECORD, "kill:W:%d:1:psow" % at)
        assert ran.struck, ran
        files = {name: content for name, content in folder.files().items() if not name.endswith("-shm")}
        # both copied: the whole book, and what is there once stays
        assert looked_at(files) == 0, at
        there.append(copy.rows() == after)
        # the book without its log: what is half written is found, never taken for a book in order
        told.append(looked_at({"shop.tarebook": files["shop.tarebook"]}))
        # a whole book put in the place of the half-written one, its log still there
        for content in (book, newer):
            looked_at({**files, "shop.tarebook": content})
    assert there == sorted(there) and not there[0] and there[-1], there
    assert 0 in told and 3 in told, told
    print("a log left behind: %d points, the half-written copy found at %d of them" % (len(told), told.count(3)))


def full_disk(room, book):
    """On a file system of its own, with less and less room on it. This process has a mount namespace of its own."""
    disk = os.path.join(room, "disk")
    os.makedirs(disk)
    size = 1 << 20
    subprocess.run(["mount", "-t", "tmpfs", "-o", "size=%d" % size, "tmpfs", disk], check=True)
    folder = Folder(disk)
    outside = Folder(os.path.join(room, "outside"))
    outside.put({"shop.tarebook": book})
    before = outside.rows()
    full = whole = 0
    for free in list(range(0, 160, 4)) + [0]:
        folder.put({"shop.tarebook": book, "told.out": b"x" * 4096, "told.err": b"x" * 4096})
        with open(os.path.join(disk, "filler"), "wb", buffering=0) as f:
            there = os.statvfs(disk)
            pages = there.f_bavail * there.f_frsize // 4096 - free // 4
            for _ in range(max(pages, 0)):
                f.write(b"x" * 4096)
        # what is told goes elsewhere: a full disk must not lose the sentence
        ran = told_elsewhere(folder, outside, RECORD)
        if ran.code == 3:
            full += 1
            assert "the disk is full" in ran.err and "Nothing was written" in ran.err, (free, str(ran))
        else:
            whole += 1
            assert ran.code in (0, 4), (free, ran)
        check = told_elsewhere(folder, outside, ["check"])
        assert check.code == 0, (free, check)
        os.unlink(os.path.join(disk, "filler"))  # this script's own look wants room
        assert (folder.rows() == before) == (ran.code == 3), (free, str(ran))
        assert told_elsewhere(folder, outside, RECORD).code in (0, 4)
        assert told_elsewhere(folder, outside, ["check"]).code == 0
    assert full and whole, (full, whole)
    print("full disk: %d times full with a sentence, %d times there was room" % (full, whole))


def told_elsewhere(folder, outside, words):
    outside.book = folder.book
    return outside.run(words)


def main():
    room = tempfile.mkdtemp(prefix="tarebook-crash-", dir=ROOM)
    old = scenarios.book_of_schema_1(Folder(os.path.join(room, "old")))
    book = scenarios.book_of_today(Folder(os.path.join(room, "today")), old)
    if sys.argv[1:] == ["--full-disk"]:
        full_disk(room, book)
        return
    log_left(room, book)
    clock_goes_back(room, book)
    held_by_others(room, book)
    shutil.rmtree(room)
    # A mount of our own needs a namespace of our own, as root or, where the kernel lets us, as anybody.
    enter = ["unshare", "--mount"] if os.getuid() == 0 else ["unshare", "--user", "--map-root-user", "--mount"]
    trial = subprocess.run(enter + ["sh", "-c", "mount -t tmpfs -o size=1M tmpfs /mnt"], capture_output=True, text=True)
    if trial.returncode != 0:
        print("full disk: left out, no file system can be mounted here (%s)" % trial.stderr.strip())
        return
    subprocess.run(enter + [sys.executable, os.path.abspath(__file__), "--full-disk"], check=True)


if __name__ == "__main__":
    main()
