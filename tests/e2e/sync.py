"""A folder that devices share: what `sync` promises whatever becomes of the folder's files. the guide's six commands; doubles,
torn, damaged and strangers' files; an emptied folder and one of last week; folds and who must have read them; lost, new and
restored devices; sealed and plain; a full disk, a folder that is gone, two at once, a clock that is a day off."""
import datetime as dt
import json
import os
import random
import re
import shutil
import subprocess
import types

from devices import BIN, NOTICE, PARCEL, Shop, same_book
from terminal import Terminal

tried = []
ONLY = os.environ.get("TAREBOOK_SYNC_ONLY", "").split()


def case(run):
    if not ONLY or run.__name__ in ONLY:
        run()
    tried.append(run.__name__)


def small_shop():
    shop = Shop()
    office = shop.office()
    office.add_cylinder("RC-01")
    trucks = [shop.truck(office, "truck-%d" % n) for n in (1, 2)]
    office.sync()
    for truck in trucks:
        truck.sync()
    return shop, office, trucks


def evening(*devices, rounds=2):
    for _ in range(rounds):
        for device in devices:
            device.sync()


@case
def two_trucks_and_an_office_in_six_commands():
    shop = Shop()
    office, first, second = shop.device("office"), shop.device("truck-1"), shop.device("truck-2")
    start = ["--company", "Fernhollow Refrigeration", "--zone", "America/Chicago"]
    office.ok("start", *start)
    office.add_cylinder("RC-01")
    digits = re.compile(r"\d{4}\s\d{4}\s\d{4}\s\d{4}")

    def number(text):
        return digits.search(" ".join(text.split())).group(0)
    of_office = number(office.ok("sync", shop.folder))                                                       # 1
    numbers = [number(truck.ok("start", *start, "--shop", shop.folder, "--number", of_office)) for truck in (first, second)]  # 2, 3
    for name, one in zip(("truck-1", "truck-2"), numbers):                                                    # 4, 5
        office.ok("books", "trust", name, "--number", one)
    office.ok("sync")                                                                                         # 6
    for truck in (first, second):
        told = truck.sync()
        assert told["came"] == [{"name": "office", "events_added": 5}], told
        truck.weigh("RC-01", 27.1)
    first.add_cylinder("RC-02")  # known to the other truck by the office's register alone
    evening(first, office, second)
    assert "RC-02" in second.ok("room", "RC-02"), "the register of the office did not come"
    assert first.sync()["events_added"] == 0 and office.sync()["files_written"] == 0
    same_book(office, [first, second])
    # nothing stands open to who sees the folder
    for name in os.listdir(shop.folder):
        with open(shop.path(name), "rb") as f:
            assert b"RC-01" not in f.read(), name


@case
def a_wrong_number_is_no_card():
    shop = Shop()
    office = shop.office()
    good = office.number()
    wrong = good[:-1] + str((int(good[-1]) + 1) % 10)
    truck = shop.device("truck")
    words = ["start", "--company", "Fernhollow Refrigeration", "--zone", "America/Chicago", "--shop", shop.folder]
    for number, name in ((wrong, "number-unknown"), (good[:-1], "number-format"), ("12 34", "number-format")):
        done = truck.run(*words, "--number", number, "--format", "json")
        assert done.returncode in (1, 2) and name in done.stdout + done.stderr and not os.path.exists(truck.path), done
    done = truck.run(*words)
    assert done.returncode == 2 and "--number is missing" in done.stderr, done


@case
def doubles_torn_damaged_and_strange_files():
    shop, office, (first, second) = small_shop()
    first.weigh("RC-01", 30)
    first.sync()
    own = shop.files(of=first)
    newest = max(own, key=lambda name: os.stat(shop.path(name)).st_mtime_ns)
    with open(shop.path(newest), "rb") as f:
        good = f.read()
    # as programs that copy folders leave them
    shutil.copy(shop.path(newest), shop.path(newest.replace(PARCEL, " copy 2" + PARCEL)))
    shutil.copy(shop.path(newest), shop.path(newest + " (1)"))
    shutil.copy(shop.path(shop.files(NOTICE, of=first)[0]), shop.path(first.id + " (conflict)" + NOTICE))
    with open(shop.path(newest), "wb") as f:
        f.write(good[:len(good) // 2])      # half of it is there
    with open(shop.path("half" + PARCEL), "wb") as f:
        f.write(good[:200])
    before = set(shop.files())
    second.weigh("RC-01", 29)
    second.sync()
    [flipped] = set(shop.files()) - before
    with open(shop.path(flipped), "r+b") as f:
        f.seek(-400, os.SEEK_END)
        byte = f.read(1)[0]
        f.seek(-400, os.SEEK_END)
        f.write(bytes([byte ^ 1]))
    with open(shop.path("holiday.jpg"), "wb") as f:
        f.write(b"\xff\xd8 no business of ours")
    os.mkfifo(shop.path("pipe" + PARCEL)), os.mkfifo(shop.path("pipe" + NOTICE)), os.mkdir(shop.path("folder" + PARCEL))
    for ending in (PARCEL, NOTICE):
        with open(shop.path("large" + ending), "wb") as f:
            f.truncate(1 << 30)
    stranger = Shop()
    other = stranger.office()
    another = stranger.truck(other, "truck-9")
    other.sync(), another.sync()
    for name in os.listdir(stranger.folder):
        shutil.copy(stranger.path(name), shop.path(name))
    told = office.sync()
    assert told["events_added"] == 2, told  # a double had all of it
    left = {one["file"]: one["why"] for one in told["files_left"]}
    assert "not all of it" in left[newest] and "not all of it" in left["half" + PARCEL] and "damaged" in left[flipped], left
    assert sum("another shop" in why for why in left.values()) == len(os.listdir(stranger.folder)), left
    assert all("cannot be read" in left[name] for name in ("pipe" + PARCEL, "pipe" + NOTICE, "folder" + PARCEL, "large" + NOTICE)), left
    assert "not all of it" in left["large" + PARCEL], left
    assert not any("copy" in name or "(1)" in name or "jpg" in name for name in left), left
    assert set(left) <= set(os.listdir(shop.folder))
    # the sender sees that a file of its own is not whole, where another one still needs it
    assert second.sync()["files_written"] == 1
    assert office.sync()["came"] == [{"name": "truck-2", "events_added": 2}]
    evening(first, second, office)
    same_book(office, [first, second])


@case
def of_one_shop_and_known_to_none():
    """A book that took the shop's card, and that the office does not know: its files wait, and count for nothing."""
    shop, office, (first, second) = small_shop()
    spy = shop.device("spy")
    spy.ok("start", "--company", "Fernhollow Refrigeration", "--zone", "America/Chicago", "--shop", shop.folder, "--number", office.number())
    spy.add_cylinder("RC-09")
    spy.sync()
    told = office.sync()
    assert told["events_added"] == 0 and len(told["waiting"]) == 1 and told["files_left"] == [], told
    assert told["waiting"][0]["card_number"] == spy.number()
    assert first.sync()["waiting"] == []  # whom to trust is the office's word
    os.unlink(shop.path(shop.files(NOTICE, of=spy)[0]))
    left = office.sync()["files_left"]
    assert len(left) == 2 and all("no device that is trusted" in one["why"] for one in left), left
    assert spy.sync()["events_added"] == 0, "what was sealed before is not for it"
    same_book(office, [first, second])


@case
def emptied_and_of_last_week():
    shop, office, (first, second) = small_shop()
    last_week = os.path.join(shop.room, "last-week")
    dice = random.Random(7)
    for day in range(8):
        shop.later(days=1)
        for truck in (first, second):
            truck.weigh("RC-01", 28 + day / 4)
            if dice.random() < 0.7:
                truck.sync()
        if day == 3:
            shutil.copytree(shop.folder, last_week)
        if dice.random() < 0.7:
            office.sync()
        if day == 5:
            shutil.rmtree(shop.folder)
            os.mkdir(shop.folder)
    shutil.rmtree(shop.folder)
    shutil.copytree(last_week, shop.folder)
    evening(first, second, office)
    same_book(office, [first, second])
    # whoever was away needs nothing but what stands there now
    for name in os.listdir(shop.folder):
        os.unlink(shop.path(name))
    evening(office, first, second)
    again = shop.truck(office, "truck-3")
    evening(office, first, second, again)
    same_book(office, [first, second, again])


@case
def many_become_one():
    shop, office, (first, second) = small_shop()
    evening(office, first, second, rounds=3)  # what was sealed anew for the second truck stands for what was there before
    for day in range(14):
        shop.later(days=1)
        office.weigh("RC-01", 28 + day / 8)
        assert office.sync()["files_removed"] == 0
        first.sync()  # the other truck is away
    many = len(shop.files(of=office))
    assert many >= 12, many
    gathered = [name for name in shop.files(of=office) if b'"gathers":true' in open(shop.path(name), "rb").read(600)]
    assert gathered, "nothing was gathered"
    office.sync(), first.sync()
    assert office.sync()["files_removed"] == 0, "one device has not read it yet"
    second.sync()
    told = office.sync()
    assert told["files_removed"] > 5 and len(shop.files(of=office)) < 6, (told, shop.files(of=office))
    # the others' notices are asked, not a memory of the own: an older notice keeps the files
    shop.later(days=1)
    evening(first, second, office)
    same_book(office, [first, second])
    # who is silent for thirty days is named, with what waits
    office.weigh("RC-01", 40)
    shop.later(days=31)
    office.sync(), first.sync()
    told = office.sync()
    assert [(one["name"], one["events_waiting"]) for one in told["silent"]] == [("truck-2", 1)], told["silent"]


@case
def a_lost_device_and_a_new_one():
    shop, office, (first, second) = small_shop()
    first.weigh("RC-01", 30)
    evening(first, office)
    office.ok("books", "withdraw", "truck-1", "--last", str(office.json("books")["books"][1]["head"]["seq"]), "--why", "stolen")
    office.weigh("RC-01", 31)
    told = office.sync()
    assert told["sent_to"] == ["truck-2"], told
    thief = first.sync()
    assert thief["events_added"] == 0 and any("sealed it before" in one["why"] for one in thief["files_left"]), thief
    first.weigh("RC-01", 45)
    first.sync()
    told = office.sync()
    assert told["events_added"] == 0 and any("withdrawn" in one["why"] for one in told["files_left"]), told
    before = len(office.events())
    new = shop.truck(office, "truck-3")
    told = office.sync()  # sealed anew: from the first event on
    assert told["sent_to"] == ["truck-2", "truck-3"] and told["events_sent"] > 6, told
    assert new.sync()["events_added"] == told["events_sent"]
    evening(office, second)
    assert len(office.events()) > before
    same_book(office, [second, new], lost={first.id})


@case
def restored_books_pass_on_what_the_folder_lacks():
    shop, office, (first, second) = small_shop()
    first.weigh("RC-01", 30)     # never synced by this book
    backup = os.path.join(shop.room, "backup")
    first.ok("backup", "--to", backup)
    lost = first.id
    os.unlink(first.path)
    again = shop.device("truck-1-again")
    first.ok("restore", backup, "--to", again.path)
    again.sync(shop.folder)
    office.ok("books", "trust", "truck-1-again", "--number", again.number())
    told = office.sync()
    assert {one["name"]: one["events_added"] for one in told["came"]}.get("truck-1", 0) >= 1, told
    evening(again, second, office)
    assert any(body.get("own_id") == "truck-1-1" for body in office.events().values()), "the restored book's events are lost"
    same_book(office, [again, second], lost={lost})
    # the office's own machine is gone: its book goes on from a copy, as another device
    office.ok("backup", "--to", os.path.join(shop.room, "office-backup"))
    old = office.id
    os.unlink(office.path)
    new = shop.device("office-again")
    office.ok("restore", os.path.join(shop.room, "office-backup"), "--to", new.path)
    number = new.sync(shop.folder)["card_number"]
    for truck in (again, second):
        assert any(one["card_number"] == number for one in truck.json("books", "trust")["waiting"])
        truck.ok("books", "trust", "office-again", "--number", number)
    again.weigh("RC-01", 33)
    evening(again, second, new)
    assert new.sync()["files_left"] == []
    same_book(new, [again, second], lost={lost, old})


@case
def a_book_that_was_copied_back():
    """The file of last week in the place of today's: the folder has what it lacks."""
    shop, office, (first, second) = small_shop()
    shutil.copy(first.path, first.path + ".old")
    first.weigh("RC-01", 30)
    evening(first, office)
    ids = [body["own_id"] for body in first.events().values() if body.get("own_id")]
    shutil.copy(first.path + ".old", first.path)
    told = first.sync()
    assert told["events_added"] >= 1, told
    assert set(ids) <= {body.get("own_id") for body in first.events().values()}
    evening(first, office, second)
    for device in (office, first, second):
        device.check()


@case
def trucks_that_trust_each_other():
    shop, office, (first, second) = small_shop()
    second.ok("books", "trust", "truck-1", "--number", first.number())
    first.weigh("RC-01", 30)
    first.sync()
    told = second.sync()
    assert told["events_added"] == 0 and any("sealed it before" in one["why"] for one in told["files_left"]), told
    office.sync()   # the office has it, and sees that the second truck wants it
    assert any(one["name"] == "truck-1" for one in second.sync()["came"]), "nobody passed it on"
    evening(first, office, second)
    mine = {key for key in first.events() if key[0] == first.id}
    assert mine <= set(second.events())
    assert office.sync()["files_written"] == 0
    same_book(office, [first, second])


@case
def plain_where_a_shop_wants_to_look_inside():
    shop, office, (first, _) = small_shop()
    first.sync(shop.folder, "--plain")
    first.weigh("RC-01", 30)
    told = first.sync()
    assert told["files_written"] == 1
    inside = [name for name in shop.files(of=first) if b"RC-01" in open(shop.path(name), "rb").read()]
    assert len(inside) == 1, inside
    copy = shop.device("copy")
    shutil.copy(office.path, copy.path)
    copy.ok("merge", shop.path(inside[0]))  # by hand, too
    assert office.sync()["events_added"] == 2
    sealed = next(name for name in shop.files(of=office))
    first.ok("merge", shop.path(sealed))
    stranger = Shop()
    other = stranger.office()
    done = other.run("merge", shop.path(sealed))
    assert done.returncode == 1 and "sealed to another book" in done.stderr, done
    done = office.run("merge", shop.path(shop.files(NOTICE)[0]))
    assert done.returncode == 1 and "does not begin as a bundle does" in done.stderr, done


@case
def a_full_disk_and_a_folder_that_is_gone():
    shop, office, (first, second) = small_shop()
    second.weigh("RC-01", 29)
    second.sync()
    office.weigh("RC-01", 30)
    away = shop.folder + ".away"
    os.rename(shop.folder, away)
    done = office.run("sync")
    assert done.returncode == 3 and "cannot be read" in done.stderr and "the same command again" in done.stderr, done
    os.rename(away, shop.folder)
    # the folder on a disk on which nothing more has room
    small = os.path.join(shop.room, "full")
    os.mkdir(small)
    script = ("mount -t tmpfs -o size=64k none %s && cp %s/* %s/ && { dd if=/dev/zero of=%s/rest bs=1k 2>/dev/null; %s sync %s; echo $?; "
              "rm %s/rest; %s sync; echo $?; ls %s; cp %s/* %s/; }" % (
                  small, shop.folder, small, small, BIN, small, small, BIN, small, small, shop.folder))
    env = {"PATH": os.environ["PATH"], "HOME": shop.room, "TAREBOOK": office.path, "TAREBOOK_NOW": "2026-06-02T15:00:00Z"}
    done = subprocess.run(["unshare", *([] if os.getuid() == 0 else ["-r"]), "-m", "sh", "-c", script], env=env,
                          stdin=subprocess.DEVNULL, capture_output=True, text=True)
    if "mount" in done.stderr and "denied" in done.stderr:
        print("no mount here: the full disk was not tried")
        return
    codes = [int(line) for line in done.stdout.splitlines() if line.isdigit()]
    assert codes[0] == 3 and codes[1] in (0, 4), (done.stdout, done.stderr)
    assert "came: 2 events of truck-2" in done.stdout and "what came is in the book" in done.stderr, (done.stdout, done.stderr)
    assert ".part-" not in done.stdout
    office.sync(shop.folder)
    evening(first, second, office)
    same_book(office, [first, second])


@case
def two_at_once_and_a_clock_that_is_a_day_off():
    shop, office, (first, second) = small_shop()
    first.off, second.off = dt.timedelta(days=1), dt.timedelta(days=-1)
    for _ in range(3):
        for device in (office, first, second):
            device.weigh("RC-01", 30)
        at_once = [subprocess.Popen([BIN, "sync"], stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
                                    env={"PATH": os.environ["PATH"], "HOME": shop.room, "TAREBOOK": device.path,
                                         "TAREBOOK_NOW": (shop.now + device.off).strftime("%Y-%m-%dT%H:%M:%SZ")})
                   for device in (office, first, second, office)]
        for one in at_once:
            out, err = one.communicate(timeout=60)
            assert one.returncode in (0, 4) or (one.returncode == 1 and "another sync of this book" in err), (out, err)
        shop.later(hours=30)
    evening(first, second, office, rounds=3)
    same_book(office, [first, second])


@case
def what_is_unsent_and_since_when():
    shop, office, (first, _) = small_shop()
    assert "not sent" not in first.ok()
    first.weigh("RC-01", 30)
    shop.later(days=2)
    first.weigh("RC-01", 30)
    told = first.json()["items"]
    unsent = [one for one in told if one["what"] == "not sent"]
    assert len(unsent) == 1 and unsent[0]["now"].startswith("2 events, first recorded 2026-06-01") and unsent[0]["next"] == "tarebook sync", told
    first.sync()
    assert "not sent" not in first.ok()
    office.sync(), first.sync()   # that something came is no news
    assert "not sent" not in first.ok()


@case
def what_a_lost_device_left_is_removed():
    shop, office, (first, second) = small_shop()
    for day in range(4):
        first.weigh("RC-01", 30 + day)
        first.sync()
        shop.later(days=1)
    office.sync()
    assert len(shop.files(of=first)) > 3 and shop.files(NOTICE, of=first)
    office.ok("books", "withdraw", "truck-1", "--last", str(office.json("books")["books"][1]["head"]["seq"]), "--why", "lost")
    before = set(shop.files())
    first.weigh("RC-01", 40)
    first.sync()   # whoever found it
    [beyond] = set(shop.files()) - before
    told = office.sync()
    assert told["files_removed"] >= 4 and shop.files(of=first) == [beyond], (told, shop.files(of=first), beyond)
    assert [one["file"] for one in told["files_left"]] == [beyond], told
    # a person looks at it, and takes it in after all
    office.ok("books", "trust", "truck-1", "--card", first.ok("books", "card").strip())
    assert office.sync()["events_added"] == 1
    head = office.json("books")["books"][1]["head"]["seq"]
    office.ok("books", "withdraw", "truck-1", "--last", str(head), "--why", "lost")
    told = office.sync()
    assert told["files_left"] == [] and shop.files(of=first) == shop.files(NOTICE, of=first) == [], (told, os.listdir(shop.folder))
    evening(second, office)
    assert office.sync()["files_written"] == 0
    same_book(office, [second], lost={first.id})


@case
def withdrawn_without_a_word_of_what_counts():
    shop, office, (first, second) = small_shop()
    first.weigh("RC-01", 30)
    evening(first, office)
    office.ok("books", "withdraw", "truck-1", "--why", "never ours")
    told = office.sync()   # the book has it all, apart
    assert told["files_left"] == [] and shop.files(of=first) == [], told
    evening(second, office)
    same_book(office, [second])


@case
def a_restored_device_stands_for_the_one_before():
    """The old notice is still in the folder: it says nothing new, so nothing waits for it, and its files go."""
    shop, office, (first, second) = small_shop()
    first.weigh("RC-01", 30)
    evening(first, office)
    first.ok("backup", "--to", os.path.join(shop.room, "backup"))
    lost = first.id
    os.unlink(first.path)
    shop.later(days=1)
    again = shop.device("truck-1-again")
    again.ok("restore", os.path.join(shop.room, "backup"), "--to", again.path)
    again.sync(shop.folder)
    office.ok("books", "trust", "truck-1-again", "--number", again.number())
    evening(again, office, second)
    old = [name for name in os.listdir(shop.folder) if name.startswith(lost[:16])]
    assert old == [], old
    office.weigh("RC-01", 31)
    assert office.sync()["sent_to"] == ["truck-1-again", "truck-2"]
    again.sync(), second.sync()
    same_book(office, [again, second], lost={lost})


@case
def a_device_that_lives_is_not_replaced():
    """Its copy goes on as another book, and so does it: both are devices. A clock far ahead takes nothing from the living one."""
    shop, office, (first, second) = small_shop()
    for name, off in (("copy", dt.timedelta()), ("copy-of-tomorrow", dt.timedelta(days=900))):
        first.ok("backup", "--to", os.path.join(shop.room, name + "-backup"))
        shop.later(hours=1)
        copy = shop.device(name)
        copy.off = off
        copy.ok("restore", os.path.join(shop.room, name + "-backup"), "--to", copy.path)
        copy.off = dt.timedelta()
        copy.sync(shop.folder)
        office.ok("books", "trust", name, "--number", copy.number())
        shop.later(hours=13)
        first.weigh("RC-01", 30)
        evening(first, copy, office)
        office.weigh("RC-01", 31)
        assert "truck-1" in office.sync()["sent_to"] and shop.files(NOTICE, of=first), name
        assert first.sync()["came"], name


@case
def the_folder_of_the_configuration():
    shop, office, (first, second) = small_shop()
    conf, other = os.path.join(shop.room, "conf"), os.path.join(shop.room, "other")
    with open(conf, "w") as f:
        f.write("sync = %s\n" % shop.folder)
    third = shop.device("truck-3")
    third.ok("start", "--company", "Fernhollow Refrigeration", "--zone", "America/Chicago", "--shop", office.ok("books", "card").strip())
    assert third.run("sync").returncode == 2
    third.ok("sync", env={"TAREBOOK_CONFIG": conf})
    office.ok("books", "trust", "truck-3", "--number", json.loads(third.ok("sync", "--format", "json", env={"TAREBOOK_CONFIG": conf}))["card_number"])
    office.sync()
    third.ok("sync", env={"TAREBOOK_CONFIG": conf})
    third.weigh("RC-01", 30)
    shop.later(days=1)
    first_screen = third.ok(env={"TAREBOOK_CONFIG": conf})
    assert re.search(r"not sent +1 event, first recorded 2026-06-01 10:00 +tarebook sync", first_screen), first_screen
    assert third.run("sync").returncode == 2, "what the configuration says is kept nowhere else"
    said = third.ok("sync", "--plain", env={"TAREBOOK_CONFIG": conf})
    assert "2 events for office" in said, said
    assert third.run("sync").returncode == 2, third.run("sync")
    # the environment goes before what was typed once, that before the configuration
    os.mkdir(other)
    first.ok("sync", env={"TAREBOOK_SYNC": other})
    assert os.listdir(other)
    for name in os.listdir(other):
        os.unlink(os.path.join(other, name))
    with open(conf, "w") as f:
        f.write("sync = %s\n" % other)
    first.ok("sync", env={"TAREBOOK_CONFIG": conf})
    assert not os.listdir(other)
    # a book to learn with does not take the folder of the real ones
    practice = shop.device("practice")
    practice.ok("start", "--company", "Fernhollow Refrigeration", "--zone", "America/Chicago", "--practice")
    done = practice.run("sync", env={"TAREBOOK_CONFIG": conf})
    assert done.returncode == 2 and "has no folder yet" in done.stderr and not os.listdir(other), done
    evening(first, second, office)
    third.sync(shop.folder)
    office.sync()
    same_book(office, [first, second, third])


@case
def who_waits_is_asked_about_at_a_terminal():
    shop = Shop()
    office = shop.office()
    trucks = [shop.device("truck-%d" % n) for n in (1, 2)]
    for truck in trucks:
        truck.ok("start", "--company", "Fernhollow Refrigeration", "--zone", "America/Chicago", "--shop", shop.folder, "--number", office.number())
    numbers = {truck.number() for truck in trucks}
    # without a terminal: the command
    assert "tarebook books trust NAME --number NUMBER" in " ".join(office.ok("sync").split())

    def terminal():
        at = types.SimpleNamespace(binary=BIN, env=lambda now: {"PATH": os.environ["PATH"], "HOME": shop.room, "TAREBOOK": office.path, "TAREBOOK_NOW": now})
        return Terminal(at, "sync", now="2026-06-01T15:00:00Z")
    before = office.events()
    t = terminal()
    asked = set()
    for _ in numbers:
        t.until(r"read this number to you: [\d ]{19}\? Trust it\? \[y/N\] $")
        asked.add(re.findall(r"to you: ([\d ]{19})\?", t.seen)[-1])
        t.type("\n")
    assert t.end() == 0 and asked == numbers and office.events() == before, t.seen
    t = terminal()
    for name in ("truck-1", "truck-2"):
        t.until(r"Trust it\? \[y/N\] $")
        t.type("y\n")
        t.until("its name here, for example truck-1: $")
        if name == "truck-2":
            t.type("truck-1\n")
            t.until("another book has the name truck-1 already(?s:.*)its name here, for example truck-1: $")
        t.type(name + "\n")
    assert t.end() == 0, t.seen
    said = " ".join(t.seen.split())
    assert all(re.search(name + " is trusted from now on, recorded as E[23]", said) for name in ("truck-1", "truck-2")), said
    assert "came: 2 events of truck-1, 2 of truck-2" in said and re.search(r"went: \d events for truck-1, truck-2", said), said
    evening(*trucks, office)
    same_book(office, trucks)


print("sync: %d cases: %s" % (len(tried), ", ".join(name.replace("_", " ") for name in tried)))
assert len(tried) == 20, len(tried)
