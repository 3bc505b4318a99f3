"""kill -9 while recording. Every acknowledged event is there, none is partial, `check` is clean, the next record works.
TAREBOOK_KILL_POINTS (60) says how often."""
import os
import random
import signal
import subprocess
import time

from book import BIN, Book, sql

points = int(os.environ.get("TAREBOOK_KILL_POINTS", "60"))
seed = int(os.environ.get("TAREBOOK_SEED", "1"))
rnd = random.Random(seed)
b = Book().small_register()


def words(n):
    return ["weigh", "RC-01", "--gross", "27.%02dlb" % (50 + n % 20), "--own-id", "k%d" % n]


began = time.perf_counter()
for n in range(5):
    b.ok("weigh", "RC-01", "--gross", "27.5lb", "--own-id", "warm%d" % n)
typical = (time.perf_counter() - began) / 5
acknowledged, killed = [], 0
for n in range(points):
    p = subprocess.Popen([BIN, *words(n)], env=b.env("2026-06-01T15:00:00Z"), stdin=subprocess.DEVNULL,
                         stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    time.sleep(rnd.random() * typical * 1.2)
    p.send_signal(signal.SIGKILL)
    if p.wait() in (0, 4):
        acknowledged.append(n)
    else:
        killed += 1
    if n % 10 == 9:
        assert b.json("check")["ok"] is True
check = b.json("check")
assert check["ok"] is True, check
with sql("file:%s?mode=ro" % b.path, uri=True) as db:
    there = {r[0] for r in db.execute("SELECT own_id FROM event WHERE own_id LIKE 'k%'")}
missing = ["k%d" % n for n in acknowledged if "k%d" % n not in there]
assert not missing, missing
for n in range(points):  # recording all of them again ends with each exactly once
    b.ok(*words(n))
with sql("file:%s?mode=ro" % b.path, uri=True) as db:
    counts = db.execute("SELECT count(*), count(DISTINCT own_id) FROM event WHERE own_id LIKE 'k%'").fetchone()
assert counts == (points, points), counts
assert b.json("check")["ok"] is True
print("kill points: %d (%d killed before they were done), seed %d" % (points, killed, seed))
