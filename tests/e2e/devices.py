"""Devices of one shop that share a folder, each with a book of its own, and the real binary at work on them."""
import atexit
import datetime as dt
import functools
import json
import os
import shutil
import subprocess
import tempfile

BIN = os.environ["TAREBOOK_BIN"]
PARCEL, NOTICE = ".tarebook-parcel", ".tarebook-device"


class Shop:
    def __init__(self, name="tarebook-sync-"):
        self.room = tempfile.mkdtemp(prefix=name, dir="/dev/shm" if os.access("/dev/shm", os.W_OK) else None)
        if not os.environ.get("TAREBOOK_KEEP"):
            atexit.register(shutil.rmtree, self.room, ignore_errors=True)
        self.folder = os.path.join(self.room, "share")
        os.mkdir(self.folder)
        self.now = dt.datetime(2026, 6, 1, 15)

    def device(self, name):
        return Device(self, name)

    def office(self):
        office = self.device("office")
        office.ok("start", "--company", "Fernhollow Refrigeration", "--zone", "America/Chicago")
        office.sync(self.folder)
        return office

    def truck(self, office, name):
        """A truck's book, as the folder and the office's number make it; the office trusts its number."""
        truck = self.device(name)
        truck.ok("start", "--company", "Fernhollow Refrigeration", "--zone", "America/Chicago", "--shop", self.folder, "--number",
                 office.number())
        office.ok("books", "trust", name, "--number", truck.number())
        return truck

    def files(self, ending=PARCEL, of=None):
        return sorted(name for name in os.listdir(self.folder) if ending in name and (of is None or name.startswith(of.id[:16])))

    def path(self, name):
        return os.path.join(self.folder, name)

    def later(self, **how):
        self.now += dt.timedelta(**how)


class Device:
    def __init__(self, shop, name):
        self.shop, self.name, self.off = shop, name, dt.timedelta()
        self.path = os.path.join(shop.room, name)
        self.own_ids = 0

    def begin(self, *words, env=None):
        now = (self.shop.now + self.off).strftime("%Y-%m-%dT%H:%M:%SZ")
        return subprocess.Popen([BIN, *words], stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
                                env={"PATH": os.environ["PATH"], "HOME": self.shop.room, "TAREBOOK": self.path, "TAREBOOK_NOW": now, **(env or {})})

    def run(self, *words, env=None):
        process = self.begin(*words, env=env)
        out, err = process.communicate()
        return subprocess.CompletedProcess(process.args, process.returncode, out, err)

    def ok(self, *words, codes=(0, 4), env=None):
        done = self.run(*words, env=env)
        assert done.returncode in codes, (self.name, words, done.returncode, done.stdout, done.stderr)
        return done.stdout

    def json(self, *words):
        return json.loads(self.ok(*words, "--format", "json"))

    def sync(self, *words):
        return self.json("sync", *words)

    @functools.cached_property
    def id(self):
        return self.ok("books", "card").strip().split(".")[2]

    def number(self):
        return self.sync()["card_number"]

    def weigh(self, cylinder, pounds):
        self.own_ids += 1
        self.ok("weigh", cylinder, "--gross", "%.2flb" % pounds, "--own-id", "%s-%d" % (self.name, self.own_ids), "--anyway", "it was so")

    def add_cylinder(self, code):
        self.own_ids += 1
        self.ok("cylinder", "add", code, "--use", "recovery", "--refrigerant", "R-448A", "--wc", "47.6lb", "--tare", "27lb", "--spec",
                "DOT-4BA400", "--tested", "2024-04", "--own-id", "%s-%d" % (self.name, self.own_ids))

    def events(self):
        """What counts here: each event as it is exported, by its book and number. That something came is no news to others."""
        out = {}
        for line in self.ok("export", "events", "--format", "json").splitlines():
            body = json.loads(line)
            for of_this_book in ("event", "voided_by"):  # names
                del body[of_this_book]
            if body["kind"] != "merge":
                out[body["book"], body["seq"]] = body
        return out

    def check(self):
        self.ok("check", codes=(0,))


def same_book(office, devices, lost=()):
    """The office has each event of each device, and nothing else; each device has all of the office."""
    there = office.events()
    whole = {}
    seen = {}
    for device in [office, *devices]:
        device.check()
        seen[device] = there if device is office else device.events()
        whole.update({key: body for key, body in seen[device].items() if key[0] == device.id})
    extra = {key for key in there if key not in whole and key[0] not in lost}
    missing = {key for key in whole if key not in there}
    assert not extra and not missing, ("only in the office", sorted(extra)[:5], "not in the office", sorted(missing)[:5])
    for device in devices:
        behind = {key for key in there if key[0] == office.id and key not in seen[device]}
        assert not behind, (device.name, "lacks of the office", [there[key] for key in sorted(behind)[:5]])
    return set(there)
