"""Writes the pages that a browser shall look at into a folder: the demo week's, a count, labels, a year's export, and one
of names that would like to be markup; in `folder` the linked pages of that book, in `large` those of one of 5 000 events."""
import os
import subprocess
import sys

sys.path.insert(0, os.path.join(os.environ["TAREBOOK_SOURCE"], "tests", "e2e"))
from book import Book, demo  # noqa: E402

out = sys.argv[1]
NOW = "2026-06-08T15:00:00Z"
b = demo(Book(start=False))


def save(name, *words):
    done = b.run(*words, "--format", "html", now=NOW)
    assert done.returncode in (0, 4), (words, done.stderr)
    with open(os.path.join(out, name + ".html"), "w", encoding="utf-8") as f:
        f.write(done.stdout)


name = "<script>alert(1)</script>\"><img src=x onerror=alert(1)> \u202eright to left \U0001f9ca " + "long" * 80
b.ok("site", "add", "HOSTILE", "--owner", name, "--name", name, now=NOW)
b.ok("appliance", "add", "HOSTILE/A", "--category", "other", "--refrigerant", "R-404A", "--full-charge", "60lb", "--charge-basis", "maker", now=NOW)
b.ok("circuit", "add", "HOSTILE/A/1", now=NOW)
b.ok("charge", "--circuit", "HOSTILE/A/1", "--from", "outside:Brine", "--net", "1lb", "--job", "77", "--note", name, now=NOW)
for page, words in {
    "inventory": ("report", "inventory"),
    "cylinder": ("report", "cylinder", "RC-02"),
    "site": ("report", "site", "OAK", "--year", "2026"),
    "hostile": ("report", "site", "HOSTILE", "--year", "2026"),
    "appliance": ("report", "appliance", "OAK/RACK-A"),
    "job": ("report", "job", "4102"),
    "visit-sheet": ("report", "visit", "4102"),
    "truck": ("report", "truck", "truck-1"),
    "year": ("report", "year", "2026"),
    "owner-year": ("report", "year", "2026", "--owner", "Quillpost Markets"),
    "exceptions": ("list", "exceptions"),
    "due": ("due", "--within", "9999d"),
    "labels": ("label", "RC-02", "RC-03"),
    "count-sheet": ("count", "begin", "--place", "truck-1"),
}.items():
    save(page, *words)
save("visit-form", "job", "blank", "--site", "OAK", "--job", "4102", "--place", "truck-1")
b.ok("count", "weigh", "SC-02", "--gross", "136.75lb", now=NOW)
save("count", "report", "count")
b.ok("export", "year", "2026", "--to", os.path.join(b.folder, "year"), now=NOW)
os.rename(os.path.join(b.folder, "year", "summary.html"), os.path.join(out, "summary.html"))

b.ok("pages", "--to", os.path.join(out, "folder"), now=NOW)
large = Book()
subprocess.run([sys.executable, os.path.join(os.environ["TAREBOOK_SOURCE"], "tests/workload/gen_events.py"), "-n", "5000", "--seed", "1",
                "--form", "csv,lists", "-o", large.folder], check=True, stdout=subprocess.DEVNULL)
at = lambda name: os.path.join(large.folder, name)  # noqa: E731
large.ok("import", "movements", at("events.csv"), "--cylinders", at("cylinders.csv"), "--circuits", at("circuits.csv"), "--register",
         "--owner", "Quillpost Markets", now="2026-06-08T15:00:00Z")
assert large.json("check", now=NOW)["number_of_events"] >= 5000
large.ok("pages", "--to", os.path.join(out, "large"), now=NOW)
