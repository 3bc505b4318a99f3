"""A command that waits for the book says for whom, goes on when it gets the book, and Ctrl-C ends it with nothing written."""
import os
import signal
import sqlite3
import subprocess
import time

from book import BIN, Book

b = Book().small_register()
words = [BIN, "weigh", "RC-01", "--gross", "28.00lb"]


def waiting():
    held = sqlite3.connect(b.path, isolation_level=None)
    held.execute("BEGIN IMMEDIATE")
    p = subprocess.Popen(words, env=b.env("2026-06-01T15:00:00Z"), stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
                         stderr=subprocess.PIPE, text=True)
    told = p.stderr.readline()  # comes after the first second, while the book is still held
    assert told.startswith("waiting for the book: "), told
    assert "process %d" % os.getpid() in told or "another program" in told, told
    assert "nothing is written" in told, told
    return held, p


before = b.digest()
held, p = waiting()
p.send_signal(signal.SIGINT)
out, err = p.communicate(timeout=20)
held.execute("ROLLBACK")
held.close()
assert p.returncode == -signal.SIGINT, p.returncode
assert "was ended" in err and "Nothing was written" in err, err
assert b.digest() == before and b.json("check")["ok"] is True

held, p = waiting()
time.sleep(0.2)
held.execute("ROLLBACK")
held.close()
out, err = p.communicate(timeout=20)
assert p.returncode in (0, 4), (p.returncode, err)
assert "recorded as" in out, out
assert b.json("check")["ok"] is True
print("waiting: told by whom; Ctrl-C ends it with nothing written; else it goes on")
