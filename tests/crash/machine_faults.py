"""What the machine does to a book without any help from us: a full disk, another program that holds the book, a clock
that goes back, a journal that was left behind or left out."""
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
    """A writer that does not end, a reader that does not end, and one of each that ends in time."""
    def hold(folder, *statements):
        db = sqlite3.connect(folder.book, isolation_level=None)
        for statement in statements:
            db.execute(statement).fetchone()
        return db
    writer, reader = fresh(room, "writer", book), fresh(room, "reader", book)
    before = writer.rows()
    holders = [hold(writer, "BEGIN IMMEDIATE"), hold(reader, "BEGIN", "SELECT count(*) FROM event")]
    began = time.monotonic()
    pid = os.fork()  # both wait at the same time
    if pid == 0:
        code = 1
        try:
            refused_whole(reader.run(RECORD), " is held by ", reader, before)
            code = 0
        except AssertionError as error:
            print("stuck reader:", error, file=sys.stderr)
        finally:
            os._exit(code)
    ran = writer.run(RECORD)
    waited = time.monotonic() - began
    refused_whole(ran, " is held by ", writer, before)
    assert os.waitpid(pid, 0)[1] == 0
    assert WAIT_SECONDS - 1 < waited < 3 * WAIT_SECONDS, waited
    assert writer.run(["report", "inventory"]).code in (0, 4)  # a held book can be read
    for db in holders:
        db.close()
    for folder in (writer, reader):
        ran = folder.run(RECORD)
        assert ran.code in (0, 4), ran
        assert folder.run(["check"]).code == 0
    for name, statements in (("brief-writer", ["BEGIN IMMEDIATE"]),
                             ("brief-reader", ["BEGIN", "SELECT count(*) FROM event"])):
        folder = fresh(room, name, book)
        db = hold(folder, *statements)
        pid = os.fork()
        if pid == 0:
            os._exit(0 if folder.run(RECORD).code in (0, 4) else 1)
        time.sleep(1)
        db.execute("ROLLBACK")
        assert os.waitpid(pid, 0)[1] == 0, name
        assert folder.own_ids()[-1] == "one" and folder.run(["check"]).code == 0
    print("held by others: refused after %.0f s with a sentence; waited for who ended in time" % waited)


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


def journal_left(room, book):
    """A command dies with the book half written; then somebody copies one file and not the other."""
    folder = fresh(room, "journal", book)
    before = folder.rows()
    trace = folder.run(RECORD, traced=True).trace
    after = folder.rows()
    last_write = trace.count("W", 0, trace.rindex("D"))
    told = []
    for at in range(1, last_write + 1):
        folder.put({"shop.tarebook": book})
        ran = folder.run(RECORD, "kill:W:%d:1:psow" % at)
        assert ran.struck, ran
        files = folder.files()
        journal = files.get("shop.tarebook-journal")
        # both copied: the whole book
        copy = Folder(os.path.join(room, "copy"))
        copy.put(files)
        assert copy.run(["check"]).code == 0 and copy.rows() == before
        # the book without its journal: what is half written is found, never taken for a book in order
        copy.put({"shop.tarebook": files["shop.tarebook"]})
        check = copy.run(["check"])
        if check.code == 0:  # nothing of it had been written that counts
            assert copy.rows() == (after if at > last_write else before), (at, str(check))
        else:
            assert check.code == 3 and (check.err.startswith("failed: ") or "DAMAGED" in check.out), (at, str(check))
        told.append(check.code)
        # a whole book put in the place of the half-written one, its journal still there: as it was before, as it is after
        for name, rows in (("older", before), ("newer", after)):
            content = book
            if name == "newer":
                copy.put({"shop.tarebook": book})
                assert copy.run(RECORD).code in (0, 4)
                content = copy.files()["shop.tarebook"]
            copy.put({"shop.tarebook": content, **({"shop.tarebook-journal": journal} if journal else {})})
            check = copy.run(["check"])
            assert check.code in (0, 3), check
            if check.code == 0:
                assert copy.rows() in (before, rows), (at, name)
    assert 0 in told and 3 in told, told
    print("a journal left behind: %d points, the half-written copy found at %d of them" % (last_write, told.count(3)))


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
            assert "the disk is full" in ran.err and "Nothing was written" in ran.err, (free, ran)
        else:
            whole += 1
            assert ran.code in (0, 4), (free, ran)
        check = told_elsewhere(folder, outside, ["check"])
        assert check.code == 0, (free, check)
        assert (folder.rows() == before) == (ran.code == 3), (free, ran)
        os.unlink(os.path.join(disk, "filler"))
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
    journal_left(room, book)
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


main()
