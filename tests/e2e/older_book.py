"""A book as an older version wrote it: what schema 1 was, and the steps up to a number."""
import glob
import os
import sqlite3

SOURCE = os.environ["TAREBOOK_SOURCE"]


def older_book(path, schema=1, megabytes=0):
    """`megabytes` more of empty pages: what an upgrade takes is told from the size of the file."""
    steps = sorted(glob.glob(os.path.join(SOURCE, "schema", "book", "*.sql")))[1:schema]
    os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
    db = sqlite3.connect(path, isolation_level=None)
    for n, file in enumerate([os.path.join(SOURCE, "tests", "crash", "book_v1.sql"), *steps], 1):
        with open(file, encoding="utf-8") as f:
            db.executescript(f.read())
        db.execute("PRAGMA user_version = %d" % n)
    if megabytes:
        db.executescript("CREATE TABLE room (x); INSERT INTO room VALUES (zeroblob(%d)); DROP TABLE room" % (megabytes << 20))
    db.close()
    return path


def events(path):
    db = sqlite3.connect(path)
    try:
        return db.execute("SELECT seq, digest, body FROM event ORDER BY rowid").fetchall()
    finally:
        db.close()
