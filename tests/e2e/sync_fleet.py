"""Trucks and an office that share a folder for weeks, drawn by dice, through the real binary: the folder stands on two machines,
and what carries files between them loses, doubles, tears, delays and reorders them; one side is emptied or set back to last
week; syncs are killed; devices are lost, replaced, and new; clocks are off by a day. At the end, when the carrier works again,
the office has what it would have if it had seen everything, and nothing that was acknowledged and synced is lost.

TAREBOOK_SYNC_SEED repeats a run; by hand TAREBOOK_SYNC_TRUCKS=300 TAREBOOK_SYNC_DAYS=60."""
import collections
import concurrent.futures
import datetime as dt
import os
import random
import shutil
import time

from devices import NOTICE, Device, Shop

SEED = int(os.environ.get("TAREBOOK_SYNC_SEED", random.randrange(10**9)))
TRUCKS = int(os.environ.get("TAREBOOK_SYNC_TRUCKS", "4"))
DAYS = int(os.environ.get("TAREBOOK_SYNC_DAYS", "9"))
LIBRARY = os.environ.get("TAREBOOK_FOLDER_FAULT_LIBRARY") or os.path.join(os.environ["TAREBOOK_BUILD"], "tests/crash/libcrash_folder.so")
print("sync fleet: TAREBOOK_SYNC_SEED=%d TAREBOOK_SYNC_TRUCKS=%d TAREBOOK_SYNC_DAYS=%d%s" % (
    SEED, TRUCKS, DAYS, "" if TRUCKS >= 300 else " (300 trucks for 60 days: by hand)"), flush=True)
SMALL = TRUCKS * DAYS < 500
WORKERS = 1 if SMALL else int(os.environ.get("TAREBOOK_SYNC_WORKERS", os.cpu_count()))
RARE = 0.04 if SMALL else 10 / TRUCKS / DAYS  # devices lost: about ten in all
dice = random.Random(SEED)
counts = collections.Counter()


class Carrier:
    """Two folders, and what becomes of files on their way between them."""

    def __init__(self, shop):
        self.shop, self.sides = shop, [os.path.join(shop.room, side) for side in ("share", "share-of-trucks")]
        os.mkdir(self.sides[1])
        self.seen = [{}, {}]     # what each side had when it was last looked at
        self.under_way = []      # (day, side, name, bytes or None)
        self.weeks = [[], []]    # copies of earlier days
        self.read = {}           # by path: what tells whether a file changed, and its bytes

    def contents(self, folder):
        out = {}
        for entry in os.scandir(folder):
            if ".part-" in entry.name:
                continue
            about = entry.stat()
            known = (about.st_ino, about.st_size, about.st_mtime_ns)
            if self.read.get(entry.path, (None,))[0] != known:
                with open(entry.path, "rb") as f:
                    self.read[entry.path] = known, f.read()
            out[entry.name] = self.read[entry.path][1]
        return out

    def look(self, side, day):
        now = self.contents(self.sides[side])
        for name in sorted(set(now) | set(self.seen[side])):
            if now.get(name) == self.seen[side].get(name):
                continue
            luck = dice.random()
            if luck < 0.05:
                counts["files lost"] += 1
                continue
            wait = dice.choice([0, 0, 0, 1, 1, 2])
            content = now.get(name)
            self.under_way.append((day + wait, 1 - side, name, content))
            if content is not None and luck < 0.10:
                counts["files doubled"] += 1
                stem, ending = name.split(".", 1)
                self.under_way.append((day + wait, 1 - side, "%s copy 2.%s" % (stem, ending), content))
            elif content is not None and luck < 0.15:
                counts["files torn"] += 1
                self.under_way[-1] = (day + wait + 1, 1 - side, name, content)
                self.under_way.append((day + wait, 1 - side, name, content[:dice.randrange(len(content))]))
        self.seen[side] = now

    def deliver(self, day):
        here = [one for one in self.under_way if one[0] <= day]
        self.under_way = [one for one in self.under_way if one[0] > day]
        dice.shuffle(here)
        here.sort(key=lambda one: one[0])
        for _, side, name, content in here:
            path = os.path.join(self.sides[side], name)
            if content is None:
                if os.path.exists(path):
                    os.unlink(path)
            else:
                with open(path, "wb") as f:
                    f.write(content)
        for side in (0, 1):
            self.seen[side] = self.contents(self.sides[side])

    def set_back(self, day):
        side = dice.randrange(2)
        old = self.weeks[side][-7] if len(self.weeks[side]) >= 7 else {}
        for name in os.listdir(self.sides[side]):
            os.unlink(os.path.join(self.sides[side], name))
        for name, content in old.items():
            with open(os.path.join(self.sides[side], name), "wb") as f:
                f.write(content)
        counts["set back" if old else "emptied"] += 1
        if dice.random() < 0.5:  # the carrier takes what is gone for removed
            self.look(side, day)
        self.seen[side] = self.contents(self.sides[side])

    def keep(self):
        for side in (0, 1):
            self.weeks[side] = (self.weeks[side] + [self.contents(self.sides[side])])[-7:]

    def both_the_same(self, mends=False):
        """mends: of a torn file the whole one gets there as well."""
        self.under_way = []
        one, other = (self.contents(side) for side in self.sides)
        for name in set(one) | set(other):
            for side, has, lacks in ((1, one, other), (0, other, one)):
                # of a notice the later one
                if name in has and (name not in lacks or (NOTICE in name and has[name][:40] > lacks[name][:40])
                                    or (mends and NOTICE not in name and len(has[name]) > len(lacks[name]))):
                    with open(os.path.join(self.sides[side], name), "wb") as f:
                        f.write(has[name])
        self.seen = [self.contents(side) for side in self.sides]


class Truck(Device):
    def __init__(self, shop, name, n):
        super().__init__(shop, name)
        self.n, self.known = n, set()


class Fleet:
    def __init__(self):
        self.shop = Shop("tarebook-sync-fleet-")
        self.office = self.shop.office()
        self.number = self.office.number()  # of its card: the same as long as it lives
        self.carrier = Carrier(self.shop)
        self.names = collections.Counter()
        self.at_once = concurrent.futures.ThreadPoolExecutor(WORKERS)
        self.lost, self.synced, self.withdrawn = [], {}, {}
        for n in range(TRUCKS):
            self.office.add_cylinder("RC-%d" % n)
        self.trucks = [self.joins(n) for n in range(TRUCKS)]

    def joins(self, n):
        """A new device: the two people meet, so that the carrier has no part in it."""
        self.names[n] += 1
        shutil.copy(os.path.join(self.carrier.sides[0], self.office.id + NOTICE), self.carrier.sides[1])
        truck = Truck(self.shop, "truck-%d-%d" % (n, self.names[n]), n)
        truck.ok("start", "--company", "Fernhollow Refrigeration", "--zone", "America/Chicago", "--shop", self.carrier.sides[1], "--number",
                 self.number)
        self.office.ok("books", "trust", truck.name, "--card", truck.ok("books", "card").strip())
        assert truck.id  # asked while its book is there
        return truck

    def sync(self, device, luck=None, told_of=counts):
        """`luck`: it may be killed."""
        if luck and luck.random() < 0.08:
            fault = "%s:MWTSDNIG:%d:%d:4096" % (luck.choice(["kill", "after", "cut"]), luck.randint(1, 90), luck.randrange(10**6))
            done = device.run("sync", env={"LD_PRELOAD": LIBRARY, "TAREBOOK_FAULT_FOLDER": self.shop.room, "TAREBOOK_FAULT": fault})
            assert done.returncode in (0, 4, -9), (device.name, fault, done)
            told_of["syncs killed"] += done.returncode == -9
            if done.returncode == -9 and luck.random() < 0.5:
                return None  # the next one is of another day
        told = device.sync()
        told_of["syncs"] += 1
        told_of["files removed"] += told["files_removed"]
        told_of["events came"] += told["events_added"]
        self.synced[device] = device.own_ids
        return told

    def work(self, truck, dice, counts):
        code = "RC-%d" % truck.n if dice.random() < 0.8 else "RC-%d" % dice.randrange(TRUCKS)
        if code not in truck.known:
            if '"%s"' % code not in truck.ok("cylinder", "list", "--format", "json"):
                return  # it has nothing of the office yet
            truck.known.add(code)
        truck.weigh(code, 27 + dice.randrange(60) / 4)
        counts["acts"] += 1

    def lose(self, truck, day):
        counts["devices lost"] += 1
        self.trucks.remove(truck)
        self.lost.append(truck)
        for device, side in ((truck, 1), (self.office, 0)):  # what it synced before that day is on its way
            self.carrier.both_the_same(mends=True)
            if side == 0:
                self.sync(device)
        if dice.random() < 0.6:
            head = next((b["head"] for b in self.office.json("books")["books"] if b["book"] == truck.id), None)
            if head:
                self.office.ok("books", "withdraw", truck.name, "--last", str(head["seq"]), "--why", "lost")
                self.withdrawn[truck.name] = "%d:%s" % (head["seq"], head["digest"])
                counts["withdrawn"] += 1
        os.rename(truck.path, truck.path + ".gone")  # looked at again at the end
        self.trucks.append(self.joins(truck.n))

    def withdraw_silent(self, told):
        """Of whom nothing was heard for thirty days, and who is lost: what the office has of it counts."""
        for name in (one["name"] for one in (told or {"silent": []})["silent"]):
            if name in self.withdrawn or not any(truck.name == name for truck in self.lost):
                continue
            head = next(b["head"] for b in self.office.json("books")["books"] if b["name"] == name)
            if head and head["seq"]:
                self.office.ok("books", "withdraw", name, "--last", str(head["seq"]), "--why", "silent for thirty days")
                self.withdrawn[name] = "%d:%s" % (head["seq"], head["digest"])
                counts["withdrawn as silent"] += 1

    def day_of_a_truck(self, truck_and_dice):
        """Several at once, as they do not meet: each has dice of its own."""
        truck, luck = truck_and_dice
        tally = collections.Counter()
        truck.off = dt.timedelta(days=luck.choice([-1, 1])) if luck.random() < 0.05 else dt.timedelta()
        tally["clocks off"] += bool(truck.off)
        for _ in range(luck.choice([0, 1, 1, 2])):
            self.work(truck, luck, tally)
        if luck.random() < 0.7:
            self.sync(truck, luck, tally)
        return tally

    def live(self):
        new_on = sorted(dice.sample(range(1, DAYS), min(5, DAYS - 1))) if not SMALL else [DAYS // 2]
        back_on = {dice.randrange(DAYS // 2, DAYS)} if SMALL else set(dice.sample(range(8, DAYS), 3))
        for day in range(DAYS):
            if day in new_on:
                self.trucks.append(self.joins(dice.randrange(TRUCKS)))
                counts["new devices"] += 1
            day_of = [(truck, random.Random(dice.random())) for truck in self.trucks]
            for tally in self.at_once.map(self.day_of_a_truck, day_of):
                counts.update(tally)
            self.carrier.look(1, day)
            for truck in list(self.trucks):
                if dice.random() < RARE:
                    self.lose(truck, day)
            self.carrier.deliver(day)
            if dice.random() < 0.85:
                self.withdraw_silent(self.sync(self.office, dice))
                self.carrier.look(0, day)
            self.carrier.deliver(day)
            if day in back_on:
                self.carrier.set_back(day)
            self.carrier.keep()
            self.shop.later(days=1)
            if not SMALL and day % 10 == 9:
                sizes = [len(content) for content in self.carrier.contents(self.carrier.sides[0]).values()]
                print("day %d: %d files, %.1f MB, %.0f s" % (day + 1, len(sizes), sum(sizes) / 1e6, time.monotonic() - began), flush=True)

    def come_together(self):
        quiet = 0
        for rounds in range(15):
            moved = 0
            self.carrier.both_the_same()
            for device, side in [*((truck, 1) for truck in self.trucks), (self.office, 0)]:
                device.off = dt.timedelta()
                before = set(os.listdir(self.carrier.sides[side]))
                told = self.sync(device)
                for name in before - set(os.listdir(self.carrier.sides[side])):
                    if os.path.exists(os.path.join(self.carrier.sides[1 - side], name)):
                        os.unlink(os.path.join(self.carrier.sides[1 - side], name))
                moved += told["events_added"] + told["files_written"] + told["files_removed"]
                if device is self.office:
                    self.carrier.both_the_same()
            self.shop.later(days=2)
            quiet = quiet + 1 if moved == 0 else 0
            if quiet == 3:  # longer than a parcel that a device does not see is waited for: the carrier left torn ones
                counts["rounds until all was quiet"] = rounds - 2
                return
        raise AssertionError("it does not come to an end: TAREBOOK_SYNC_SEED=%d" % SEED)

    def compare(self):
        there = self.office.events()
        own_ids = {body["own_id"] for body in there.values() if body.get("own_id")}
        for truck in self.trucks:
            mine = {key: body for key, body in truck.events().items() if key[0] == truck.id}
            assert not set(mine) - set(there), (truck.name, "not in the office", sorted(set(mine) - set(there))[:3], SEED)
            behind = {key for key in there if key[0] == self.office.id} - set(truck.events())
            assert not behind, (truck.name, "lacks of the office", sorted(behind)[:3], SEED)
            truck.check()
        for truck in self.lost:
            for n in range(1, self.synced.get(truck, 0) + 1):
                assert "%s-%d" % (truck.name, n) in own_ids or truck.name in self.withdrawn, (truck.name, n, "synced, and lost", SEED)
        self.office.check()
        self.saw_everything(there)

    def saw_everything(self, there):
        """A book that gets all of each book in bundles by hand, without a folder."""
        again = Device(self.shop, "again")
        again.ok("start", "--company", "Fernhollow Refrigeration", "--zone", "America/Chicago", "--shop", self.office.ok("books", "card").strip())
        bundles = []
        for device in [self.office, *self.trucks, *self.lost]:
            if device in self.lost:
                # what it recorded and never synced is gone with it
                seen = [seq for book, seq in there if book == device.id]
                if not seen:
                    continue
                os.rename(device.path + ".gone", device.path)
            if device is not self.office:
                again.ok("books", "trust", device.name, "--card", device.ok("books", "card").strip())
            if device in self.lost:
                head = self.withdrawn.get(device.name) or next(
                    "%d:%s" % (b["head"]["seq"], b["head"]["digest"]) for b in self.office.json("books")["books"] if b["book"] == device.id)
                again.ok("books", "withdraw", device.name, "--last", head, "--why", "lost")
            bundles.append(device.path + ".bundle")
            device.ok("send", "--to", bundles[-1])
        dice.shuffle(bundles)
        again.ok("merge", *bundles)
        whole = again.events()
        others = {key for key in whole if key[0] != again.id}
        assert others == set(there), (sorted(others - set(there))[:3], sorted(set(there) - others)[:3], SEED)
        pages = [device.ok("report", "inventory", "--format", "csv") for device in (self.office, again)]
        assert pages[0] == pages[1], (pages, SEED)

        def told(device):
            return collections.Counter((f["check"], f["subject"], f["severity"], f["seen"], f["expected"], f["accepted"])
                                       for f in device.json("list", "exceptions")["items"] if f["check"] != "clock-ahead")
        here, apart = told(self.office), told(again)
        assert here == apart, (list((here - apart).items())[:3], list((apart - here).items())[:3], SEED)


began = time.monotonic()
fleet = Fleet()
fleet.live()
fleet.come_together()
fleet.compare()
print("sync fleet: %s, in %.0f s" % (", ".join("%s %d" % pair for pair in sorted(counts.items())), time.monotonic() - began))
assert counts["acts"] > 0 and counts["events came"] > 0
assert SMALL or (counts["acts"] > TRUCKS * DAYS / 3 and counts["files torn"] + counts["files lost"] > 0)
assert SMALL or counts["syncs killed"] > 0
