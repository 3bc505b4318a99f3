"""A forgotten visit never writes a wrong job: another day, twelve hours and another site are asked for at a terminal and
refused without one; what is typed comes before the visit; two visits, two people, and the HTML of the customer's sheet."""
import json
import os
import re

from book import Book
from terminal import Terminal

MORNING, NOON, NIGHT, TOMORROW = "2026-06-01T12:00:00Z", "2026-06-01T17:00:00Z", "2026-06-02T00:30:00Z", "2026-06-02T13:00:00Z"
b = Book().small_register()
for person in ("ana", "tom"):
    b.ok("technician", "add", person)


def at_terminal(now, words, *answers):
    t = Terminal(b, *words, now=now)
    for pattern, answer in answers:
        t.until(pattern)
        t.type(answer)
    return t, t.end()


def last_event():
    lines = b.ok("export", "events", "--format", "json").stdout.splitlines()
    return max(lines, key=lambda line: json.loads(line)["seq"])


b.ok("visit", "OAK", "--job", "2207", "--by", "ana", "--with", "tom", "--scale", "S1", now=MORNING)

# without a terminal nothing is taken from it; with --visit, job, person and scale are
b.ok("weigh", "RC-01", "--gross", "27.5lb", now=NOON)
assert '"job"' not in last_event() and '"by"' not in last_event()
b.ok("weigh", "RC-01", "--gross", "27.5", "--visit", now=NOON)
assert '"job":"2207"' in last_event() and '"by":"ana"' in last_event() and '"scale":"S1"' in last_event()

# what is typed comes first; another job means other work, and takes nothing
t, code = at_terminal(NOON, ["weigh", "RC-01", "--gross", "27.5", "--by", "tom"])
assert code == 0 and t.seen.startswith("from the visit to OAK: job 2207, scale S1\n") and '"by":"tom"' in last_event(), t.seen
t, code = at_terminal(NOON, ["weigh", "RC-01", "--gross", "27.5lb", "--job", "99"])
assert code == 0 and "from the visit" not in t.seen and '"by"' not in last_event() and '"job":"99"' in last_event(), t.seen
assert b.run("weigh", "RC-01", "--gross", "27.5", "--visit", "--format", "json", now=NOON).stdout.startswith("{")

# desk work takes nothing
b.ok("site", "correct", "OAK", "--name", "Oak Street store", now=NOON)
assert '"job"' not in last_event()

# more than twelve hours later: asked; a no writes nothing, a yes goes on
before = b.digest()
t, code = at_terminal(NIGHT, ["weigh", "RC-01", "--gross", "27.5"], (r"more than 12 hours ago. Does it still go on\? \[y/N\] $", "\n"))
assert code == 1 and b.digest() == before and "visit end ends it" in t.seen, t.seen
t, code = at_terminal(NIGHT, ["weigh", "RC-01", "--gross", "27.5"], (r"\[y/N\] $", "y\n"))
assert code == 0 and '"job":"2207"' in last_event(), t.seen
# the next day
t, code = at_terminal(TOMORROW, ["weigh", "RC-01", "--gross", "27.5"], (r"another day. Does it still go on\? \[y/N\] $", "n\n"))
assert code == 1, t.seen
before = b.digest()
done = b.run("weigh", "RC-01", "--gross", "27.5", "--visit", now=TOMORROW)
assert done.returncode == 1 and "another day" in done.stderr and b.digest() == before, done
# another job is none of the visit's business on any day
assert at_terminal(TOMORROW, ["weigh", "RC-01", "--gross", "27.5lb", "--job", "99"])[1] == 0

# another site: asked before any weight; a no writes nothing
before = b.digest()
words = ["recover", "--circuit", "DAIRY/ICE/1", "--into", "RC-02", "--before", "27.8", "--after", "29.8"]
t, code = at_terminal(NOON, words, (r"DAIRY/ICE/1 is of DAIRY. Record it for job 2207 anyway\? \[y/N\] $", "n\n"))
assert code == 1 and b.digest() == before and "visit switch" in t.seen, t.seen
t, code = at_terminal(NOON, words, (r"anyway\? \[y/N\] $", "y\n"))
assert code in (0, 4) and '"job":"2207"' in last_event(), t.seen
assert t.seen.count("[y/N]") == 1, "asked once"

# circuits of the site are offered first, and its cylinders' place
t = Terminal(b, "recover", now=NOON)
menu = t.until(r"circuit, for example(?s:.*)> $")
assert re.findall(r"  [a-e]\)  (\S+)", menu) == ["OAK/RACK-A/4"], menu
t.type("4\n")
assert "= OAK/RACK-A/4" in t.until(r"goes into\n(?s:.*)> $")
t.type("\x04")
t.end()
for name in os.listdir(b.path + ".drafts"):
    if name.startswith("asked-"):
        os.unlink(os.path.join(b.path + ".drafts", name))

# a recovery that was begun before the visit keeps its own job
b.ok("recover", "begin", "--circuit", "OAK/RACK-A/4", "--into", "RC-01", "--before", "27.5lb", "--job", "2206", now=NOON)
t, code = at_terminal(NOON, ["recover", "finish", "RC-01", "--after", "30.5lb"])
assert '"job":"2206"' in last_event() and '"by"' not in last_event() and "from the visit" not in t.seen, (t.seen, last_event())
b.ok("recover", "begin", "--circuit", "OAK/RACK-A/4", "--into", "RC-01", "--before", "30.5", "--visit", now=NOON)
t, code = at_terminal(NOON, ["recover", "finish", "RC-01", "--after", "31.5"])
assert '"job":"2207"' in last_event() and '"by":"ana"' in last_event(), (t.seen, last_event())

# what is put back in part is still missing, and what hoses keep is not
c = Book().small_register()
c.ok("recover", "--circuit", "OAK/RACK-A/4", "--into", "RC-01", "--before", "27.5lb", "--after", "39.25lb", "--job", "7", now=NOON)
c.ok("reuse", "--circuit", "OAK/RACK-A/4", "--from", "RC-01", "--before", "39.25lb", "--after", "34.25lb", "--job", "7", now=NOON)
c.ok("visit", "OAK", "--job", "7", now=MORNING)
missing = c.json("visit", now=NOON)["gaps"]
assert [gap["what"] for gap in missing] == ["6.75 lb recovered from OAK/RACK-A/4 is not put back"], missing
assert "--from RC-01" in missing[0]["next"]
c.ok("reuse", "--circuit", "OAK/RACK-A/4", "--from", "RC-01", "--before", "34.25lb", "--after", "27.9lb", "--job", "7", now=NOON)
assert c.json("visit", now=NOON)["gaps"] == []
c.ok("appliance", "add", "OAK/RACK-B", "--category", "other", "--refrigerant", "R-448A", "--full-charge", "90lb", "--charge-basis", "maker", now=NOON)
c.ok("pumpdown", "OAK/RACK-A/4", "--to", "OAK/RACK-B", "--mass", "12lb", "--method", "level", "--job", "7", now=NOON)
assert c.json("visit", now=NOON)["gaps"] == [], "it is in an appliance"

# a caution is in full once a visit, also at a terminal, over two commands; another visit has its own
for once in (True, False):
    t, code = at_terminal(NOON, ["oil", "RACK-A/4", "--in", "12oz", "--kind", "POE"])
    assert code == 0 and bool(re.search(r"used\s+oil\s+goes", t.seen)) == once and "gloves, goggles" in t.seen, t.seen
assert "used oil goes" in b.ok("oil", "OAK/RACK-A/4", "--in", "12oz", "--kind", "POE", now=NOON).stdout, "without a visit each time"

# the files are the person's own, and the end leaves none; two people on the sheet, which is safe to print
b.ok("note", "<script>alert(1)</script> gauge swapped", "--circuit", "OAK/RACK-A/4", "--job", "2207", now=NOON)
folder = b.path + ".drafts"
assert all(os.stat(os.path.join(folder, name)).st_mode & 0o077 == 0 for name in os.listdir(folder))
html = b.ok("visit", "end", "--discard", "--format", "html", now=NOON).stdout
assert "<script" not in html and "&lt;script" in html and "customer" in html and "ana" in html and "tom" in html, html[:2000]
assert not os.path.isdir(folder), os.listdir(folder)
sheet = b.ok("report", "visit", "2207", now=NOON).stdout
assert "gauge swapped" in sheet and re.search(r"\nbook: E\d+ [0-9a-f]{16}\n$", sheet), sheet
assert not re.search(r"[0-9a-f]{17}", sheet) and not re.search(r"\bE\d+\b", sheet[:sheet.index("\nbook:")]), "no hashes and numbers in the customer's part"

# a practice book keeps its heading above all
other = Book(start=False)
other.ok("start", "--practice", "--company", "Distelgrund", "--zone", "UTC")
assert other.ok("--book", other.path).stdout.splitlines()[0].startswith("PRACTICE")

# no book yet: the first step
none = Book(start=False)
first = none.run()
assert first.returncode == 0 and "no book yet" in first.stdout and "tarebook start --company" in first.stdout, first
print("visits: asked where one may be over or elsewhere, and nothing is taken that was not meant")
