"""`books lock` and `books unlock` on a disk that fails at each of their calls: what they say is what was done."""
import contextlib
import sqlite3
import tempfile

from program import ROOM, Folder

PASSPHRASE = "quern and tern and bourn"
CALLS = "OMRWTSDLUAF"


def is_locked(folder):
    with contextlib.closing(sqlite3.connect(folder.book)) as db:  # a left journal is rolled back, as by the next command
        return db.execute("SELECT length(secret_key) FROM secret").fetchone()[0] != 64


points = taken = 0
with tempfile.TemporaryDirectory(prefix="tarebook-lock-", dir=ROOM) as path:
    folder = Folder(path)
    folder.more_env = {"TAREBOOK_PASSPHRASE": PASSPHRASE, "TAREBOOK_NEW_PASSPHRASE": PASSPHRASE}
    folder.put({})
    assert folder.run(["start", "--company", "Fernhollow Refrigeration", "--zone", "America/Chicago"]).code == 0
    for word, after in (("lock", True), ("unlock", False)):
        base = folder.files()
        whole = folder.run(["books", word], "none:::0:psow")
        assert whole.code == 0 and is_locked(folder) == after, whole
        done = folder.files()
        calls = sum(whole.trace.count(c) for c in CALLS)
        assert calls > 10, whole.trace
        for kind in ("error", "errors"):
            for call in range(1, calls + 1):
                folder.put(base)
                ran = folder.run(["books", word], "%s:%s:%d:1:psow" % (kind, CALLS, call))
                points += 1
                there = is_locked(folder) == after
                assert ran.code in (0, 3), ran
                if ran.code == 0:
                    assert there, "told to be done, and is not: %s" % ran
                elif "Nothing was written" in ran.err or "nothing was written" in ran.err:
                    assert not there, "told that nothing was written, and it was: %s" % ran
                elif there:
                    taken += 1
                    assert "has taken it" in ran.err or "not known" in ran.err, ran
                check = folder.run_as_known(["check"])
                assert check.code == 0, check
        folder.put(done)
    assert taken > 0, "no fault came after the end"
print("lock and unlock: %d faults, %d of them after it was done, each told as it is" % (points, taken))
