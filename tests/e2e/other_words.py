"""Exceptions worded by another edition of the program are no damage: `check` says so, and --rebuild words them anew. An
exception that is missing, or about something else, is damage."""
import sqlite3

from book import Book


def changed(book, sql):
    db = sqlite3.connect(book.path)
    db.execute(sql)
    db.commit()
    db.close()


book = Book().small_register()
book.ok("recover", "--circuit", "OAK/RACK-A/4", "--into", "RC-01", "--before", "27.5lb", "--after", "75lb",
        "--anyway", "it was in there already")
assert "remark" not in book.ok("check", codes=(0,)).stdout

changed(book, "UPDATE finding SET next = 'as an older edition put it'")
done = book.ok("check", codes=(0,))
assert "in order" in done.stdout and "other words" in done.stdout, done.stdout
book.ok("check", "--rebuild", codes=(0,))
assert "other words" not in book.ok("check", codes=(0,)).stdout

changed(book, "UPDATE finding SET subject = 'RC-02' WHERE name = 'fill-limit'")
done = book.ok("check", codes=(3,))
assert "its exceptions are not what the checks give" in done.stdout, done.stdout
assert done.stdout.count("exceptions are not") == 1, done.stdout
book.ok("check", "--rebuild", codes=(0,))
changed(book, "DELETE FROM finding")
assert "exceptions" in book.ok("check", codes=(3,)).stdout
