"""A person at a terminal: what was not typed is asked for with what is most likely meant, a slip is asked again, an
interrupt writes nothing and the same command goes on with what was answered; a recovery of hours survives a reboot."""
import os
import re
import signal

from book import Book, demo
from terminal import Terminal as AnyTerminal

NOW = "2026-06-08T15:00:00Z"
b = demo(Book(start=False))


def Terminal(*words, now=NOW):
    return AnyTerminal(b, *words, now=now)


def kept():
    folder = b.path + ".drafts"
    return sorted(os.listdir(folder)) if os.path.isdir(folder) else []


# --- a whole recovery by answers alone, with two slips on the way ---
before = b.digest()
t = Terminal("recover", "--job", "4120", "--by", "ana", "--vacuum", "10inHg")
t.until(r"circuit, for example.*\n(?s:.*)> $")
first = re.search(r"  a\)  (\S+)", t.seen)[1]
assert first == "DAIRY/COOLER/2" or "/" in first, t.seen  # the latest circuits first
assert "produce" in t.seen or re.search(r"2026-06-0\d", t.seen), "what each is stands beside it"
t.type("OAK/RACK-A/44\n")
t.until(r"did you mean OAK/RACK-A/4\?(?s:.*)> $")
t.type("oak/rack-a/4\n")
t.until(r"= OAK/RACK-A/4  [^\n]*R-448A\ncylinder that it goes into\n(?s:.*)> $")
t.type("RC-01\n")
t.until(r"= RC-01  [^\n]*\nRC-01: (STOP AT|DO NOT FILL)(?s:.*)gross weight before.*the book expects .*\n> $")
t.type("27.55\n")
t.until(r"unit|cannot(?s:.*)> $")
t.type("27.55lb\n")
t.until(r"gross weight after.*\n> $")
assert b.digest() == before, "nothing is written while questions are asked"
assert kept() == ["asked-recover.entry"]

# --- an interrupt: nothing is written, and the answers are kept ---
t.type("\x03")
assert t.end() == -signal.SIGINT and b.digest() == before and kept() == ["asked-recover.entry"]

# --- the same command goes on with them ---
t = Terminal("recover", "--job", "4120", "--by", "ana", "--vacuum", "10inHg")
t.until(r"begun at 2026-06-08 10:00 and not recorded(?s:.*)--circuit +OAK/RACK-A/4(?s:.*)--before +27.55lb(?s:.*)\[Y/n\] $")  # the book's clock
t.type("\n")
t.until(r"gross weight after.*\n> $")
t.type("33.05lb\n")
code = t.end()
assert code in (0, 4) and "5.50 lb recovered into RC-01" in t.seen, (code, t.seen)
assert kept() == [] and b.digest() != before
recorded = re.search(r"recorded as (E\d+)", t.seen)[1]
page = b.json("report", "job", "4120", now=NOW)
assert [(w["event"], w["before_typed"], w["after_typed"]) for w in page["weighings"]] == [(recorded, "27.55lb", "33.05lb")]

# --- only what can be right is offered; why another was left out is said, and typed again it is taken ---
gas = {c["cylinder"]: c for c in b.json("report", "inventory", now=NOW)["cylinders"]}
t = Terminal("recover", "--circuit", "OAK/RACK-A/4")
menu = t.until(r"cylinder that it goes into\n(?s:.*)> $")
offered = re.findall(r"  [a-e]\)  (\S+)", menu)
assert offered and all(gas[c]["refrigerant"] in ("R-448A", None) and not gas[c]["do_not_fill"] and gas[c]["use"] != "supply" for c in offered), menu
for left_out, why in (("J-102", "DO NOT FILL: NEVER REFILL"), ("RC-02", "holds R-404A, and OAK/RACK-A has R-448A"), ("1", "unknown|no cylinder")):
    t.type(left_out + "\n")
    t.until(why + r"(?s:.*)> $")
t.type("RC-02\n")
t.until(r"= RC-02 (?s:.*)gross weight before(?s:.*)> $")
t.type("\x04")
assert t.end() == 2
for words, fits in ((("charge", "--circuit", "OAK/RACK-A/4"), lambda c: c["refrigerant"] == "R-448A" and float(c["net_lb"]) > 0),
                    (("weigh",), lambda c: True), (("return",), lambda c: True),
                    (("report", "cylinder"), lambda c: True), (("room",), lambda c: True)):
    t = Terminal(*words)
    offered = re.findall(r"  [a-e]\)  (\S+)", t.until(r"> $"))
    assert offered and all(fits(gas[c]) for c in offered), t.seen
    t.type("\x04")
    assert t.end() == 2, t.seen
t = Terminal("transfer")
t.until(r"comes from\n(?s:.*)> $")
t.type("RC-02\n")
offered = re.findall(r"  [a-e]\)  (\S+)", t.until(r"goes into\n(?s:.*)> $"))
assert "RC-02" not in offered and all(gas[c]["refrigerant"] in ("R-404A", None) for c in offered), t.seen
t.type("\x04")
assert t.end() == 2
t = Terminal("report", "job")
t.until(r"job number\n  a\)  4120 (?s:.*)> $")
t.type("a\n")
assert t.end() == 0 and "4120" in t.seen
for name in kept():
    os.unlink(os.path.join(b.path + ".drafts", name))

# --- an empty cylinder is watched for the gas that goes in; its rating and marks, too ---
b.ok("appliance", "add", "OAK/CASE", "--category", "commercial-refrigeration", "--refrigerant", "propane", "--full-charge", "30lb", "--charge-basis", "maker", now=NOW)
b.ok("circuit", "add", "OAK/CASE/1", now=NOW)
b.ok("appliance", "add", "OAK/CO2", "--category", "commercial-refrigeration", "--refrigerant", "CO2", "--full-charge", "30lb", "--charge-basis", "maker", now=NOW)
b.ok("circuit", "add", "OAK/CO2/1", now=NOW)
for code, spec in (("RC-22", ("--spec", "DOT-4BA400", "--tested", "2024-04", "--flammable", "yes")), ("RC-24", ())):
    b.ok("cylinder", "add", code, "--use", "recovery", "--wc", "47.6lb", "--tare", "27.5lb", *spec, now=NOW)
t = Terminal("recover", "--circuit", "OAK/CASE/1")
menu = t.until(r"goes into\n(?s:.*)> $")
assert re.findall(r"  [a-e]\)  (\S+)", menu)[0] == "RC-22" and re.search(r"RC-24 .*not on record: mark, test date, flammable rating", menu), menu
t.type("RC-22\n")
propane = b.ok("room", "RC-22", "--refrigerant", "propane", now=NOW).stdout
stop = re.search(r"STOP AT +(\S+) lb", propane)[1]
assert "RC-22: STOP AT %s lb" % stop in t.until(r"gross weight before(?s:.*)> $"), t.seen
assert "caution: flammable (R-290)" in t.seen
t.type("\x04")
assert t.end() == 2
begun = b.ok("recover", "begin", "--circuit", "OAK/CASE/1", "--into", "RC-22", "--before", "27.5lb", now=NOW).stdout
assert "STOP AT %s lb" % stop in begun, begun
noted = b.run("weigh", "RC-22", "--gross", "27.5lb", now=NOW)
assert "a recovery into RC-22 was begun at" in noted.stderr and "recover finish RC-22" in noted.stderr, noted
b.ok("recover", "drop", "RC-22", now=NOW)
t = Terminal("recover", "--circuit", "OAK/CO2/1")
menu = t.until(r"goes into\n(?s:.*)> $")
assert "RC-22" not in menu, menu
t.type("RC-22\n")
t.until(r"RC-22 was not offered: DO NOT FILL(?s:.*)> $")
t.type("\x04")
assert t.end() == 2
for name in kept():
    os.unlink(os.path.join(b.path + ".drafts", name))

# --- a question that was not ended is taken up by yes alone; a look-up leaves no answer ---
t = Terminal("recover")
t.until(r"circuit, for example(?s:.*)> $")
t.type("OAK/RACK-A/4\n")
t.until(r"goes into(?s:.*)> $")
t.type("\x04")
assert t.end() == 2
t = Terminal("recover")
t.until(r"\[Y/n\] $")
t.type("OAK/RACK-A/7\n")
t.until(r"y, or n to begin anew\n(?s:.*)\[Y/n\] $")
t.type("n\n")
t.until(r"circuit, for example(?s:.*)> $")
t.type("\x04")
assert t.end() == 2
t = Terminal("room")
t.until(r"cylinder\n(?s:.*)> $")
t.type("RC-01\n")
assert t.end() == 0 and "STOP AT" in t.seen and kept() == [], t.seen
before = b.digest()
t = Terminal("transfer", "--by", "ana")
t.until(r"comes from\n(?s:.*)> $")
t.type("RC-01\n")
t.until(r"goes into\n(?s:.*)> $")
t.type("RC-04\n")
t.until(r"RC-04: STOP AT(?s:.*)gross weight of RC-04 before(?s:.*)> $")
t.type("29.05\n")
t.until(r"needs its unit(?s:.*)> $")
t.type("\x04")
assert t.end() == 2 and b.digest() == before
for name in kept():
    os.unlink(os.path.join(b.path + ".drafts", name))

# --- who did it, the job and the vacuum are asked for where the rest had to be asked for; "-" leaves one open ---
circuits = [c for c in b.json("circuit", "list", now=NOW)["entries"] if c["code"].endswith("/4")]
t = Terminal("recover", "--into", "RC-01", "--before", "33.05lb")
t.until(r"circuit, for example(?s:.*)> $")
t.type("4\n" if len(circuits) == 1 else "OAK/RACK-A/4\n")
t.until(r"gross weight after.*\n> $")
t.type("33.55lb\n")
t.until(r"vacuum that was reached(?s:.*)> $")
t.type("ten\n")
t.until(r"cannot(?s:.*)> $")
t.type("10inHg\n")
t.until(r"who did it(?s:.*)  a\)  ana (?s:.*)\[ana\] > $")
t.type("\n")
t.until(r"job number(?s:.*)\[4120\] > $")  # of today at this site
t.type("-\n")
assert t.end() in (0, 4), t.seen
asked_for = b.json("report", "cylinder", "RC-01", now=NOW)["events"][-1]
assert "0.50 lb recovered into RC-01" in t.seen and kept() == [], t.seen

# --- an answer by its letter; Ctrl-D ends it with an error that names the flag; "n" begins anew ---
t = Terminal("recover")
t.until(r"  a\)  OAK/RACK-A/4(?s:.*)> $")  # used last just now
t.type("a\n")
t.until(r"cylinder that it goes into(?s:.*)> $")
t.type("\x04")
assert t.end() == 2 and "--into is missing" in t.seen and "goes on with it" in t.seen, t.seen
t = Terminal("recover")
t.until(r"\[Y/n\] $")
t.type("n\n")
t.until(r"circuit, for example(?s:.*)> $")
t.type("\x04")
assert t.end() == 2 and kept() == []

# --- answers of one command line never slip into another ---
t = Terminal("recover")
t.until(r"circuit, for example(?s:.*)> $")
t.type("OAK/RACK-A/4\n")
t.until(r"cylinder that it goes into(?s:.*)> $")
t.type("RC-04\n")
t.until(r"gross weight before(?s:.*)> $")
t.type("\x04")
assert t.end() == 2 and kept() == ["asked-recover.entry"]
t = Terminal("recover", "--circuit", "OAK/RACK-A/7")
assert "not recorded" not in t.until(r"cylinder that it goes into(?s:.*)> $")
t.type("\x04")
assert t.end() == 2
t = Terminal("recover", "--anyway", "was so")  # as after a refusal
t.until(r"RC-04(?s:.*)\[Y/n\] $")
t.type("n\n")
t.until(r"circuit, for example(?s:.*)> $")
t.type("\x04")
assert t.end() == 2 and kept() == []

# --- a vacuum that no gauge of that kind shows is asked for once more; no writes nothing, yes keeps it as an exception ---
before = b.digest()
for said, code in (("n\n", 1), ("y\n", 4)):
    t = Terminal("evacuate", "--circuit", "OAK/RACK-A/4", "--vacuum", "29.9inHg", "--held", "30", "--by", "ana")
    t.until(r"29\.9inHg on the gauge: is that what it showed\? \[y/N\] $")
    t.type(said)
    assert t.end() == code and (b.digest() == before) == (code == 1), (said, t.seen)
assert "vacuum-not-readable" in t.seen, t.seen

# --- an evacuation, an isolation and a pressure test ask what they need; no Enter on an offered circuit records one ---
before = b.digest()
t = Terminal("evacuate")
t.until(r"circuit, for example(?s:.*)> $")
t.type("\n")
t.until(r"= \S+ (?s:.*)vacuum that was reached, for example 500micron(?s:.*)> $")
assert b.digest() == before, "the circuit alone records nothing"
t.type("500\n")
t.until(r"unit|cannot(?s:.*)> $")
t.type("480micron\n")
t.until(r"minutes it was held(?s:.*)> $")
t.type("half an hour\n")
t.until(r"cannot read how many minutes(?s:.*)> $")
t.type("30 min\n")
t.until(r"pressure after holding(?s:.*)> $")
t.type("520micron\n")
t.until(r"who did it(?s:.*)> $")
t.type("ana\n")
t.until(r"job number(?s:.*)> $")
assert b.digest() == before
t.type("4120\n")
assert t.end() == 0 and "evacuated: vacuum reached 480micron, held 30 min, rise 520micron" in t.seen, t.seen
b.ok("appliance", "correct", "OAK/RACK-A", "--evacuate-to", "350micron", now=NOW)
t = Terminal("evacuate", "OAK/RACK-A/4")  # a typed circuit is asked for its vacuum alone; "-" leaves it open
t.until(r"vacuum that was reached, for example 350micron, which the register asks of OAK/RACK-A(?s:.*)> $")
t.type("-\n")
t.until(r"who did it(?s:.*)> $")
t.type("ana\n")
t.until(r"job number(?s:.*)> $")
t.type("-\n")
assert t.end() in (0, 4) and "vacuum not on record" in t.seen, t.seen
assert b.run("evacuate", "OAK/RACK-A/4", "--vacuum", "340micron", now=NOW).returncode == 0, "by flags nothing is asked"

before = b.digest()
t = Terminal("isolate", "--by", "ana", "--job", "4120")
t.until(r"circuit, for example(?s:.*)> $")
t.type("OAK/RACK-A/4\n")
points = t.until(r"= OAK/RACK-A/4 (?s:.*)what was closed, in order(?s:.*)\[a\] > $")
assert b.digest() == before and "liquid: ball valve 5/8" in points, points
t.type("\n")  # as the register has them
assert t.end() == 0 and "OAK/RACK-A/4 isolated: liquid: ball valve 5/8" in t.seen and "tarebook isolate OAK/RACK-A/4 --reopened" in t.seen, t.seen
t = Terminal("isolate", "OAK/RACK-A/4", "--by", "ana", "--job", "4120")
t.until(r"OAK/RACK-A/4 is isolated since 2026-06-08 10:00 \(E\d+\)(?s:.*)a\)  reopened(?s:.*)> $")
t.type("maybe\n")
t.until(r"reopened\|isolated(?s:.*)> $")
t.type("a\n")
assert t.end() == 0 and "OAK/RACK-A/4 reopened: it is back in service" in t.seen, t.seen
t = Terminal("isolate", "OAK/RACK-A/4", "--by", "ana", "--job", "4120")  # back in service: nothing is asked
assert t.end() == 0 and "OAK/RACK-A/4 isolated: " in t.seen and "> " not in t.seen, t.seen
b.ok("isolate", "OAK/RACK-A/4", "--reopened", now=NOW)
t = Terminal("isolate", "OAK/CASE/1", "--by", "ana", "--job", "4120")  # the register has no points of it
t.until(r"what was closed(?s:.*)> $")
t.type("king valve\n")
assert t.end() == 0 and "OAK/CASE/1 isolated: king valve" in t.seen and "caution: flammable (R-290)" in t.seen, t.seen

t = Terminal("pressure-test", "--by", "ana", "--job", "4120")
t.until(r"circuit, for example(?s:.*)> $")
t.type("OAK/RACK-A/4\n")
for asked, answer in ((r"pressure at its start", "300psig"), (r"minutes it was held", "60"), (r"pressure at its end", "298psig"), (r"pass or fail", "pass")):
    t.until(asked + r"(?s:.*)> $")
    t.type(answer + "\n")
assert t.end() == 0 and "held 60 min: pass" in t.seen and "dropped by 2 psi, to 298psig" in t.seen, t.seen

# --- of an earlier time no stop weight of now is shown before the weights, but what bars the filling is ---
t = Terminal("recover", "--circuit", "OAK/RACK-A/4", "--at", "2026-06-02 09:00")
t.until(r"goes into\n(?s:.*)> $")
t.type("RC-01\n")
asked = t.until(r"gross weight before(?s:.*)> $")
assert "STOP AT" not in asked and "that of now: tarebook room RC-01" in asked, asked
t.type("\x04")
assert t.end() == 2
for name in kept():
    os.unlink(os.path.join(b.path + ".drafts", name))

# --- without a terminal nothing is asked ---
done = b.run("recover", "--into", "RC-01", now=NOW)
assert done.returncode == 2 and "--circuit is missing" in done.stderr and kept() == []

# --- a recovery that takes hours ---
before = b.digest()
done = b.ok("recover", "begin", "--circuit", "OAK/RACK-A/4", "--into", "RC-04", "--before", "28.25lb", "--job", "4121", "--by", "ana",
            now="2026-06-08T11:00:00Z")
assert "STOP AT" in done.stdout and b.digest() == before and kept() == ["begun-RC-04.entry"]
assert b.run("recover", "begin", "--circuit", "OAK/RACK-A/4", "--into", "RC-04", "--before", "28.25lb", now=NOW).returncode == 1
wrong = b.run("recover", "begin", "--circuit", "OAK/RACK-A/4", "--into", "RC-05", "--before", "40lb", now=NOW)
assert wrong.returncode == 1 and "would become mixed gas" in wrong.stderr, wrong
assert b.run("recover", "finish", "RC-04", "--after", "100lb", now=NOW).returncode == 1, "over the limit is refused"
assert b.digest() == before and kept() == ["begun-RC-04.entry"], "and what was begun is still there"
done = b.ok("recover", "finish", "--after", "43.00lb", "--vacuum", "10inHg", now=NOW)
assert "14.75 lb recovered into RC-04" in done.stdout and kept() == []
(weighing,) = b.json("report", "job", "4121", now=NOW)["weighings"]
assert (weighing["before_typed"], weighing["after_typed"]) == ("28.25lb", "43.00lb")
assert "begun 2026-06-08 06:00" in b.ok("report", "job", "4121", now=NOW).stdout
assert b.run("recover", "finish", "RC-04", "--after", "44lb", now=NOW).returncode == 1
for odd in ("a/b", "\u00e4", "../x", ""):
    assert b.run("recover", "finish", odd, "--after", "44lb", now=NOW).returncode == 2, odd
bars = b.run("recover", "begin", "--circuit", "OAK/RACK-A/4", "--into", "J-102", "--before", "30lb", now=NOW)
assert bars.returncode == 4 and "DO NOT FILL" in bars.stdout, bars
b.ok("recover", "drop", now=NOW)
# a kept entry that is no longer whole is as good as none, and never in the way
os.makedirs(b.path + ".drafts", exist_ok=True)
for junk in (b"", b"tarebook entry 1\n", b"tarebook entry 1\nyesterday\n--into\tRC-01\n", b"\xff\x00" * 50):
    open(os.path.join(b.path + ".drafts", "begun-RC-04.entry"), "wb").write(junk)
    assert b.run("recover", "finish", "RC-04", "--after", "44lb", now=NOW).returncode == 1
# --- the country of a new book: asked, with that of its zone offered; a site of a book without one is asked for it, once ---
other = os.path.join(b.folder, "other.tarebook")
t = Terminal("--book", other, "start", "--company", "Kaeltewerk Distelgrund", "--zone", "Europe/Berlin", "--units", "kg")
t.until(r"country in which the shop works(?s:.*)  a\)  DE +Germany, by the zone\n\[DE\] > $")
assert not os.path.exists(other), "nothing is written while the question stands"
t.type("Germany\n")
t.until(r"did you mean DE \(Germany\)\?(?s:.*)> $")
t.type("\n")
assert t.end() == 0, t.seen
assert "by its zone" not in t.seen, "what a person answered was not taken from the zone"
b.ok("--book", other, "site", "add", "WERK", "--owner", "Brauhof Kleist")
assert b.json("--book", other, "site", "show", "WERK")["fields"]["country"] == "DE"

bare = os.path.join(b.folder, "bare.tarebook")
b.ok("--book", bare, "start", "--company", "Distelgrund", "--zone", "UTC")
b.ok("--book", bare, "site", "add", "ALT", "--owner", "Brauhof Kleist")  # without a terminal nothing is asked
assert "country" not in b.json("--book", bare, "site", "show", "ALT")["fields"]
t = Terminal("--book", bare, "site", "add", "NEU", "--owner", "Brauhof Kleist", "--zone", "Asia/Tokyo")
t.until(r"country in which it stands(?s:.*)  a\)  JP +Japan, by its zone\n\[JP\] > $")
t.type("\n")
assert t.end() == 0, t.seen
assert b.json("--book", bare, "site", "show", "NEU")["fields"]["country"] == "JP"

print("at the terminal: asked, asked again, interrupted, gone on, and a recovery of hours")
