"""The faults do what they say: where SQLite is told not to sync, a power cut loses what was committed; where it syncs
as the book does, never. Without this, a harness that breaks nothing would look like a program that nothing breaks."""
import os
import random
import sqlite3
import shutil
import subprocess
import sys
import tempfile

from program import FOLDER_LIBRARY, LIBRARY, ROOM

SEEDS = 60
folder = tempfile.mkdtemp(prefix="tarebook-crash-", dir=ROOM)
path = os.path.join(folder, "a.db")
COMMIT = "BEGIN IMMEDIATE; UPDATE t SET text = hex(randomblob(900)), version = 2; COMMIT; SELECT 'done';"


def survived(synchronous, fault):
    """(answered, what is there: version 1, version 2, or damage)"""
    for entry in os.scandir(folder):
        os.unlink(entry.path)
    db = sqlite3.connect(path)
    db.execute("CREATE TABLE t (n INTEGER PRIMARY KEY, text TEXT, version INTEGER)")
    db.executemany("INSERT INTO t VALUES (?, hex(randomblob(900)), 1)", [(n,) for n in range(30)])
    db.commit()
    db.close()
    done = subprocess.run(["sqlite3", "-batch", path], input="PRAGMA synchronous = %s; %s" % (synchronous, COMMIT),
                          env={"PATH": os.environ["PATH"], "LD_PRELOAD": LIBRARY, "TAREBOOK_FAULT": fault},
                          capture_output=True, text=True)
    assert done.stderr == "", done.stderr
    db = sqlite3.connect(path)
    try:
        whole = db.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        versions = {r[0] for r in db.execute("SELECT version FROM t")} if whole else set()
        rows = db.execute("SELECT count(*) FROM t").fetchone()[0] if whole else 0
    except sqlite3.DatabaseError:
        whole, versions, rows = False, set(), 0
    db.close()
    return "done" in done.stdout, versions.pop() if whole and len(versions) == 1 and rows == 30 else "damage"


rnd = random.Random(1)
lost, damaged, killed = 0, 0, 0
for seed in range(SEEDS):
    for disk in ("psow", "512", "4096"):
        fault = "cut:OMWTSDUC:%d:%d:%s" % (rnd.randrange(1, 160), seed, disk)
        answered, there = survived("EXTRA", fault)
        assert there == 2 if answered else there in (1, 2), (fault, answered, there)
        killed += not answered
        answered, there = survived("OFF", fault)
        lost += answered and there == 1
        damaged += there == "damage"
assert killed and lost and damaged, (killed, lost, damaged)

for what in ("kill", "torn"):
    for at in range(1, 40):
        answered, there = survived("EXTRA", "%s:W:%d:1:psow" % (what, at))
        assert there in (1, 2) and (there == 2 or not answered), (what, at, answered, there)

# The other library knows the names, too: one that was given by a rename or a link stays only once its folder was synced.
NAMES = """
import os, sys
folder, how, sync = sys.argv[1], sys.argv[2], sys.argv[3] == "synced"
part, made = os.path.join(folder, "part"), os.path.join(folder, "made")
fd = os.open(part, os.O_CREAT | os.O_WRONLY)
os.write(fd, b"newer")
if sync:
    os.fsync(fd)
{"rename": os.rename, "link": os.link}[how](part, made)
if sync:
    os.fsync(os.open(folder, os.O_RDONLY))
"""


def named(how, sync, before, fault):
    for entry in os.scandir(folder):
        os.unlink(entry.path)
    made = os.path.join(folder, "made")
    if before:
        with open(made, "wb") as f:
            f.write(before)
    env = {"PATH": os.environ["PATH"], "LD_PRELOAD": FOLDER_LIBRARY, "TAREBOOK_FAULT": fault, "TAREBOOK_FAULT_FOLDER": folder}
    code = subprocess.run([sys.executable, "-S", "-c", NAMES, folder, how, sync], env=env, stderr=subprocess.DEVNULL).returncode
    if not os.path.exists(made):
        return code, None
    with open(made, "rb") as f:
        return code, f.read()


names = {}
for how, before in (("rename", b""), ("rename", b"older"), ("link", b"")):
    for seed in range(10):
        assert named(how, "synced", before, "cut:N:9:%d" % seed) == (0, b"newer"), (how, before, seed)
        names.setdefault((how, before), set()).add(named(how, "not", before, "cut:N:9:%d" % seed))
    kept = before or None
    assert (0, kept) in names[how, before] and (0, b"newer") in names[how, before], names
    for fault in ("error:NI:1:1", "full:NI:1:1", "kill:NI:1:1", "error:W:1:1"):
        code, there = named(how, "synced", before, fault)
        assert code != 0 and there == kept, (how, before, fault, code, there)
    assert named(how, "synced", before, "after:NI:1:1") == (-9, b"newer")
shutil.rmtree(folder)
print("synced: nothing lost in %d power cuts (%d before the answer); not synced: lost %d times, damaged %d times" %
      (3 * SEEDS, killed, lost, damaged))
