"""The guide leads from an old, untidy spreadsheet to a site's report in fewer than ten commands: this runs those very
commands, from the guide's own text, and holds the report against sums of the file made here."""
import csv
import os
import re
import subprocess
from decimal import Decimal

from book import BIN, SOURCE, Book

with open(os.path.join(SOURCE, "cli/guide/from-paper.md"), encoding="utf-8") as f:
    section = f.read().split("## From an old spreadsheet\n")[1].split("\n## ")[0]
block = [line[4:] for line in section.split("\n") if line.startswith("    ")]
commands = [c for c in re.sub(r"\\\n\s*", "", "\n".join(block)).split("\n") if c]
assert 2 <= len(commands) < 10, commands
assert commands[-1].startswith("tarebook report site LARK"), commands

book = Book(start=False)
os.symlink(BIN, os.path.join(book.folder, "tarebook"))
env = book.env("2026-06-01T15:00:00Z")
env["PATH"] = book.folder + ":" + env["PATH"]
shown = ""
for command in commands:
    done = subprocess.run(["sh", "-c", command], cwd=SOURCE, env=env, stdin=subprocess.DEVNULL, capture_output=True,
                          text=True)
    assert done.returncode in (0, 4), (command, done.returncode, done.stdout, done.stderr)
    shown = done.stdout

with open(os.path.join(SOURCE, "fixtures/old-spreadsheet/movements.csv"), encoding="utf-8-sig", newline="") as f:
    rows = [{k.lower(): v.strip() for k, v in r.items()} for r in csv.DictReader(f) if any(v.strip() for v in r.values())]


def pounds(text):
    return Decimal(text.replace("lb", "").strip())


assert 50 <= len(rows) <= 70, len(rows)
site = book.json("report", "site", "LARK", "--year", "2025")
for circuit in [("RACK-A", "1"), ("RACK-A", "2"), ("ICE", "1")]:
    here = [r for r in rows if (r["site"], r["appliance"], r["circuit"]) == ("LARK",) + circuit]
    charged = sum(pounds(r["gross_before_lb"]) - pounds(r["gross_after_lb"]) for r in here if r["kind"].lower() == "charge")
    taken = sum(pounds(r["gross_after_lb"]) - pounds(r["gross_before_lb"]) for r in here if r["kind"].lower() == "recover")
    line = next(l for l in shown.split("\n") if l.strip().startswith("LARK/%s/%s " % circuit))
    assert "%.2f" % charged in line and "%.2f" % taken in line, (line, charged, taken)
last = {}
for r in sorted(rows, key=lambda r: (r["date"], r["time"].rjust(8 if r["time"].count(":") == 2 else 5))):
    last[r["cylinder"]] = pounds(r["gross_after_lb"])
for c in book.json("report", "inventory")["cylinders"]:
    assert Decimal(str(c["gross_lb"])) == last[c["cylinder"]], c
assert book.json("check")["ok"] is True
digest = book.digest()
again = subprocess.run(["sh", "-c", commands[1]], cwd=SOURCE, env=env, capture_output=True, text=True)
assert again.returncode == 0 and "already recorded: %d rows; nothing was written" % len(rows) in again.stdout, again
assert book.digest() == digest
print("old spreadsheet: %d rows, %d commands" % (len(rows), len(commands)))
