"""One folder of linked pages: each link leads somewhere, no page is written that is not changed, an interrupted run is mended,
nothing else in the folder is touched, and what is renewed is byte for byte what a new folder has. An owner's folder has nothing
of another."""
import html.parser
import os
import random
import re
import signal
import subprocess
import time

from book import Book, demo

NOW = "2026-06-08T15:00:00Z"
b = demo(Book(start=False))


def pages(folder, *words, now=NOW, code=0):
    done = b.run("pages", "--to", os.path.join(b.folder, folder), *words, now=now)
    assert done.returncode == code, (words, done.returncode, done.stdout, done.stderr)
    found = re.search(r": (\d+) pages, (\d+) written(?:, (\d+) removed)?$", done.stdout.strip())
    return tuple(int(n or 0) for n in found.groups()) if found else done


def files(folder):
    path = os.path.join(b.folder, folder)
    return {name: open(os.path.join(path, name), "rb").read() for name in os.listdir(path) if name.endswith(".html")}


class Links(html.parser.HTMLParser):
    def __init__(self):
        super().__init__()
        self.to, self.words = [], []

    def handle_starttag(self, tag, attributes):
        if tag == "a":
            self.to.append(dict(attributes)["href"])
        assert tag not in ("script", "iframe", "form"), tag

    def handle_data(self, data):
        self.words.append(data)


def read(page):
    links = Links()
    links.feed(page.decode())
    return links


# --- every link leads to a page of the folder, and from the index each page is reached ---
made, written, _ = pages("all")
assert made == written == len(files("all")), (made, written)
there = files("all")
links = {name: set(read(page).to) for name, page in there.items()}
for name, to in links.items():
    assert to <= set(there) and name not in to, (name, to - set(there))
    assert "index.html" in to or name == "index.html", name
reached, ahead = set(), {"index.html"}
while ahead:
    name = ahead.pop()
    reached.add(name)
    ahead |= links[name] - reached
assert reached == set(there), set(there) - reached
assert "appliance-OAK.RACK-A.html" in links["job-4102.html"] and "cylinder-RC-04.html" in links["job-4102.html"]
assert "job-4102.html" in links["appliance-OAK.RACK-A.html"], links["appliance-OAK.RACK-A.html"]
words = " ".join(read(there["index.html"]).words)
assert "truck-1" in words and "head E" in words and len(there["index.html"]) < 100_000
# the pages themselves say when their last event was, and do not change with the head of the book
assert b"last event: E" in there["cylinder-RC-02.html"] and b"head E" not in there["cylinder-RC-02.html"]

# --- the index is the manager's morning: what is late with its days, what is over or missing, what is where; each with its page ---
late = Book().small_register()
for pounds, when in ((8, "2026-03-01"), (150, "2026-03-11")):
    late.ok("charge", "--circuit", "OAK/RACK-A/4", "--from", "outside:Brine-and-Sons", "--net", "%dlb" % pounds, now=when + "T15:00:00Z")
late.ok("recover", "--circuit", "OAK/RACK-A/4", "--into", "RC-01", "--before", "27.5lb", "--after", "79lb", "--anyway", "it happened", now="2026-05-21T12:00:00Z")
late.ok("cylinder", "add", "RC-09", "--use", "recovery", "--wc", "47.6lb", "--tare", "27.5lb", "--spec", "DOT-4BA400", "--tested", "2019-04", "--place", "truck-1", now="2026-05-21T13:00:00Z")
late.ok("lost", "RC-02", "--why", "not on the truck", now="2026-05-22T13:00:00Z")
week, b = b, late
pages("morning")
index = files("morning")["index.html"].decode()
b = week
body = re.sub(r"<style>.*?</style>", "", index, flags=re.S)
lead = re.search(r'<p class="lead">([^<]*)</p>', body)[1]
assert lead.startswith("1 cylinder OVER; 1 missing; 2 exceptions; 3 LATE, oldest 769 days"), lead
rows = [re.findall(r"<t[dh][^>]*>(.*?)</t[dh]>", row) for row in re.findall(r"<tr>(.*?)</tr>", body)]
plain = [[re.sub("<[^>]*>", "", field) for field in row] for row in rows]
asked = {row["clock"]: row for row in late.json("due", now=NOW)["items"] if row["late"]}
assert [row for row in plain if row[0].startswith("LATE by ")] == \
    [["LATE by %d days" % c["days_late"], c["due_on"], c["kind_in_words"], c["subject"]] for c in asked.values()], plain
wanted = [row[:2] for row in plain if row[0].startswith("RC-")]
assert wanted == [["RC-01", "OVER its limit by 9.70 lb"], ["RC-02", "missing"], ["RC-09", "out of test"]], wanted
assert any(row[0] == "truck-1" for row in plain) and 'href="appliance-OAK.RACK-A.html"' in body and 'href="cylinder-RC-01.html"' in body
heads = re.findall(r"<h2>(.*?)</h2>", body)
assert heads == ["Today", "What is late", "What is over, missing or out of test", "What is where", "All pages"], heads

# --- what is not changed is not written, not even touched ---
stamps = {name: os.stat(os.path.join(b.folder, "all", name)).st_mtime_ns for name in there}
assert pages("all") == (made, 0, 0)
assert stamps == {name: os.stat(os.path.join(b.folder, "all", name)).st_mtime_ns for name in there}

# --- what is renewed is what a new folder has ---
random.seed(int(os.environ.get("TAREBOOK_SEED", "7")))
acts = [("weigh", "RC-02", "--gross", "35.5lb"), ("move", "RC-04", "--to", "truck-2"),
        ("recover", "--circuit", "OAK/RACK-A/4", "--into", "RC-01", "--before", "27.55lb", "--after", "29.05lb", "--job", "4200"),
        ("charge", "--circuit", "OAK/RACK-A/7", "--from", "J-102", "--net", "2lb", "--job", "4200", "--reason", "leak"),
        ("leak", "add", "OAK/RACK-A", "--place", "flare"), ("weigh", "RC-05", "--gross", "18kg", "--at", "2026-06-05 10:00"),
        ("site", "correct", "OAK", "--name", "Oak Street store, rear"), ("cylinder", "add", "rc-01", "--use", "recovery", "--wc", "47.6lb", "--tare", "27lb"),
        ("transfer", "--from", "RC-01", "--into", "CC-02", "--net", "0.2lb", "--anyway", "wrong one"), ("return", "RC-03", "--to", "Larkfield Reclaim", "--gross", "38.4lb")]
minute = 0
for act in acts:
    minute += 1
    now = "2026-06-08T16:%02d:00Z" % minute
    done = b.run(*act, now=now)
    assert done.returncode in (0, 4), (act, done.stderr)
    _, written, _ = pages("all", now=now)
    if act[0] in ("weigh", "move", "recover", "charge") and "--at" not in act:
        assert written < 12, (act, written)
    pages("anew", now=now)
    renewed, anew = files("all"), files("anew")
    assert renewed == anew, (act, [name for name in set(renewed) | set(anew) if renewed.get(name) != anew.get(name)])
    subprocess.run(["rm", "-r", os.path.join(b.folder, "anew")], check=True)
# two codes that differ by capitals alone have two files, also for a disk that sees no difference
names = [name.lower() for name in files("all")]
assert len(set(names)) == len(names) and "cylinder-rc-01~~2.html" in names, names
# voided: its page goes
event = b.json("report", "job", "4200", now=now)["weighings"][0]["event"]
b.ok("void", event, "--why", "other book", now=now)
for other in b.json("report", "job", "4200", now=now)["weighings"]:
    b.ok("void", other["event"], "--why", "other book", now=now)
pages("all", now=now)
pages("anew", now=now)
assert files("all") == files("anew")
# the next day other things are late: all is looked at again
assert pages("all", now="2026-06-09T16:00:00Z")[1] >= 1

# --- an interrupted run is mended by the next; a stranger's file is not touched ---
path = os.path.join(b.folder, "all")
open(os.path.join(path, "notes.txt"), "w").write("the manager's own")
for name in random.sample(sorted(files("all")), 5):
    with open(os.path.join(path, name), "r+b") as f:
        f.truncate(100)
os.unlink(os.path.join(path, "index.html"))
for pause in (0.001, 0.003, 0.006, 0.01, 0.02):
    process = subprocess.Popen([b.binary, "pages", "--to", path], env=b.env("2026-06-10T16:00:00Z"), stdout=subprocess.DEVNULL)
    time.sleep(pause)
    process.send_signal(signal.SIGKILL)
    process.wait()
pages("all", now="2026-06-10T16:00:00Z")
pages("fresh", now="2026-06-10T16:00:00Z")
assert files("all") == files("fresh")
assert open(os.path.join(path, "notes.txt")).read() == "the manager's own"
left = [name for name in os.listdir(path) if not name.endswith(".html") and name not in ("notes.txt", ".tarebook-pages")]
assert all(".part-" in name for name in left), left  # of a killed run

# --- a list that somebody else wrote in removes nothing but pages of this folder ---
victim = os.path.join(b.folder, "victim.html")
open(victim, "w").write("not a page")
for line in ("../victim.html", victim, "../victim.txt", "notes.txt"):
    with open(os.path.join(path, ".tarebook-pages"), "a") as f:
        f.write(line + "\n")
pages("all", now="2026-06-10T16:00:00Z")
assert open(victim).read() == "not a page" and os.path.exists(os.path.join(path, "notes.txt"))

# --- jobs that differ by capitals alone keep their links, whichever was busy last ---
for number, (cylinder, job) in enumerate((("RC-02", "ABC"), ("RC-04", "abc"), ("RC-02", "ABC"), ("RC-04", "abc"))):
    now = "2026-06-10T17:%02d:00Z" % number
    gross = b.json("report", "cylinder", cylinder, now=now)["gross_lb"]
    b.ok("weigh", cylinder, "--gross", "%slb" % gross, "--job", job, now=now)
    pages("all", now=now)
    there = files("all")
    for name, page in there.items():
        assert set(read(page).to) <= set(there), (number, name, set(read(page).to) - set(there))

# --- refused, with nothing changed: another question, another book, a file that is not ours, no folder ---
before = files("all")
refused = pages("all", "--owner", "Quillpost Markets", code=1)
assert "of another book, owner or site" in refused.stderr and files("all") == before
other = Book()
assert other.run("pages", "--to", path).returncode == 1 and files("all") == before
os.mkdir(os.path.join(b.folder, "strange"))
open(os.path.join(b.folder, "strange", "index.html"), "w").write("mine")
assert "has the name of a page" in pages("strange", code=1).stderr and os.listdir(os.path.join(b.folder, "strange")) == ["index.html"]
open(os.path.join(b.folder, "file"), "w").write("x")
assert pages("file", code=1).returncode == 1 and pages("owners", "--owner", "Nobody", code=1).returncode == 1
assert pages("owners", "--owner", "Bramble Dairy Co-op", "--site", "OAK", code=2).returncode == 2
assert b.json("pages", "--to", os.path.join(b.folder, "json"))["number_of_pages"] == len(files("json"))

# an owner's name may have any words in it
for owner in ("Foods by Ann", "Foods by Bob"):
    b.ok("site", "add", owner[-3:].upper(), "--owner", owner)
pages("foods", "--owner", "Foods by Ann")
anns = files("foods")
assert "of another book, owner or site" in pages("foods", "--owner", "Foods by Bob", code=1).stderr and files("foods") == anns

# --- an owner's folder has nothing of another ---
pages("dairy", "--owner", "Bramble Dairy Co-op")
mine = files("dairy")
everything = b"\n".join(mine.values()).decode()
assert "DAIRY/COOLER" in everything
for foreign in ("OAK", "ELM", "Quillpost", "Oak Street", "Elm Hill", "RACK-A", "RC-01", "4101", "4102", "4103"):
    assert not re.search(r"(?<![A-Za-z0-9])%s(?![A-Za-z0-9])" % re.escape(foreign), everything), foreign
for name, page in mine.items():
    assert set(read(page).to) <= set(mine), name
pages("oak", "--site", "OAK")
site = files("oak")
assert "job-4102.html" in site and "job-4104.html" not in site and not any(name.startswith(("cylinder-", "place-")) for name in site)

# --- names as people type them lead nowhere else ---
b.ok("cylinder", "add", "HC-1", "--use", "recovery", "--wc", "47.6lb", "--tare", "27lb", "--place", '"><script>alert(1)</script>/../x', now=NOW)
b.ok("note", "see job ../../etc", "--job", "../..//<b>&?#", now=NOW)
pages("hostile", now="2026-06-11T10:00:00Z")
for name, page in files("hostile").items():
    assert "/" not in name and set(read(page).to) <= set(files("hostile")), name
print("pages: each link leads somewhere, the renewed folder is the new one, and nothing of others is touched")
