"""A sync that takes in, puts out and removes is struck at its calls that change files, in the book's folder and in the shared
one: killed before and after each rename and sync, its power cut, its disk full or failing, the shared folder taken away. The
next sync goes on, and all end with the same book. By hand TAREBOOK_SYNC_POINTS=100000; TAREBOOK_SYNC_ONLY="kill:NSG:3" repeats one."""
import json
import os
import random
import shutil
import signal
import subprocess
import sys

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "e2e"))
from devices import Shop, same_book  # noqa: E402

LIBRARY = os.environ.get("TAREBOOK_FOLDER_FAULT_LIBRARY") or os.path.join(os.environ["TAREBOOK_BUILD"], "tests/crash/libcrash_folder.so")
POINTS = int(os.environ.get("TAREBOOK_SYNC_POINTS", "6"))
SEED = int(os.environ.get("TAREBOOK_FAULT_SEED", random.randrange(10**9)))
ONLY = os.environ.get("TAREBOOK_SYNC_ONLY")
NAMES_AND_SYNCS, CHANGES = "NSG", "MWTSDNIG"

shop = Shop("tarebook-sync-points-")
office = shop.office()
office.add_cylinder("RC-01")
first, second = (shop.truck(office, name) for name in ("truck-1", "truck-2"))
for device in (office, first, second) * 2:
    device.sync()
for day in range(13):  # so many files that they become one, which both trucks have read
    shop.later(days=1)
    office.weigh("RC-01", 28 + day / 8)
    office.sync()
for device in (first, second):
    device.sync()
first.add_cylinder("RC-02"), first.weigh("RC-01", 33), first.sync()
second.weigh("RC-01", 34), second.sync()
office.weigh("RC-01", 35)
shop.later(hours=1)
ready = shop.room + ".ready"
shutil.copytree(shop.room, ready)


acknowledged = {key for device in (office, first, second) for key in device.events()}


def put_back():
    for name in os.listdir(shop.room):
        path = os.path.join(shop.room, name)
        shutil.rmtree(path) if os.path.isdir(path) else os.unlink(path)
    shutil.copytree(ready, shop.room, dirs_exist_ok=True)


def strike(fault, trace=None):
    env = {"LD_PRELOAD": LIBRARY, "TAREBOOK_FAULT_FOLDER": shop.room, "TAREBOOK_FAULT": fault, "TAREBOOK_FAULT_RANDOM": str(SEED),
           **({"TAREBOOK_FAULT_TRACE": trace} if trace else {})}
    if not fault.startswith("gone"):
        return office.run("sync", "--format", "json", env=env)
    # the stick is pulled out just before that call, and is back for the next sync
    env["TAREBOOK_FAULT"] = fault.replace("gone", "pause")
    process = office.begin("sync", "--format", "json", env=env)
    _, status = os.waitpid(process.pid, os.WUNTRACED)
    assert os.WIFSTOPPED(status), (fault, status)
    os.rename(shop.folder, shop.folder + ".away")
    process.send_signal(signal.SIGCONT)
    out, err = process.communicate(timeout=60)
    os.rename(shop.folder + ".away", shop.folder)
    return subprocess.CompletedProcess(process.args, process.returncode, out, err)


def calls(letters):
    put_back()
    trace = shop.room + ".trace"
    if os.path.exists(trace):
        os.unlink(trace)
    done = strike("none:::0:4096", trace)
    assert done.returncode in (0, 4), done
    told = json.loads(done.stdout)
    assert told["events_added"] > 3 and told["files_written"] == 2 and told["files_removed"] >= 1 and told["register_sent"], told
    with open(trace) as f:
        return sum(letter in letters for letter in f.read())


def try_point(what, letters, at):
    put_back()
    done = strike("%s:%s:%d:%d:4096" % (what, letters, at, SEED))
    point = "%s:%s:%d" % (what, letters, at)
    assert done.returncode in (0, 3, 4, -9), (point, SEED, done)
    if what in ("error", "full", "gone"):
        assert done.returncode != -9 and (done.returncode != 3 or "next:" in done.stderr or '"next"' in done.stdout + done.stderr), (point, done)
    for device in (office, first, second):
        device.sync()
    left = [name for name in os.listdir(shop.folder) if ".part-" in name]
    assert not left, (point, SEED, left)
    assert office.sync()["files_left"] == [] or what in ("cut", "torn"), (point, SEED)
    assert acknowledged <= same_book(office, [first, second]), (point, SEED, "acknowledged, and lost")
    return done.returncode


points = []
if ONLY:
    what, letters, at = ONLY.split(":")
    points = [(what, letters, int(at))]
else:
    names, changes = calls(NAMES_AND_SYNCS), calls(CHANGES)
    points = [("kill", NAMES_AND_SYNCS, at) for at in range(1, names + 1)]
    others = [(what, CHANGES, at) for what in ("after", "cut", "torn", "error", "full", "gone") for at in range(1, changes + 1)]
    random.Random(SEED).shuffle(others)
    points += others[:POINTS]
    print("sync: %d renames and syncs, %d calls that change files; TAREBOOK_FAULT_SEED=%d" % (names, changes, SEED), flush=True)
    assert names > 8 and changes > names, (names, changes)
codes = [try_point(*point) for point in points]
print("sync: struck at %d points, %d runs killed, %d refused" % (len(points), codes.count(-9), codes.count(3)))
assert ONLY or codes.count(-9) >= len([p for p in points if p[0] == "kill"])
for rest in (ready, shop.room + ".trace"):
    shutil.rmtree(rest, ignore_errors=True) if os.path.isdir(rest) else os.path.exists(rest) and os.unlink(rest)
