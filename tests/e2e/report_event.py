"""`report event` at any time says of an event what was said when it was recorded: masses, gaps, levels and exceptions of
each of its cylinders. The demo week is recorded in JSON, and each of its events is asked for at the end."""
import json
import os
import subprocess

from book import BIN, SOURCE, Book

b = Book(start=False)
script = """say() { :; }
run() { "$TAREBOOK_BIN" --format json "$@" >>"$OUT" 2>/dev/null || [ $? = 4 ]; echo >>"$OUT"; }
refuse() { ! "$TAREBOOK_BIN" "$@" >/dev/null 2>&1; }
set -eu
. %s/fixtures/demo-shop.sh
""" % SOURCE
out = os.path.join(b.folder, "recorded")
subprocess.run(["sh", "-c", script], env={**b.env("2026-06-01T11:30:00Z"), "TAREBOOK_BIN": BIN, "TAREBOOK_SOURCE": SOURCE, "OUT": out}, check=True)
recorded, decoder = {}, json.JSONDecoder()
text = open(out, encoding="utf-8").read().strip()
while text:
    try:
        page, end = decoder.raw_decode(text)
    except ValueError:  # a line for people
        end, page = len(text.split("\n", 1)[0]), {}
    text = text[end:].lstrip()
    if page.get("page") == "recorded":
        recorded.update({e["event"]: e for e in page["events"]})
assert len(recorded) > 40, len(recorded)


def told(event):
    cylinders = [{k: c[k] for k in ("cylinder", "net_change_count", "gap_count", "net_count", "gross_count")} for c in event["cylinders"]]
    return (event["digest"], event["kind"], event["at"], event["job"], event["technician"], event.get("net_count"), cylinders,
            sorted(f["finding"] for f in event["findings"] if f["severity"] != "note"))


def number(event):
    return int(event["event"][1:])


def cylinders(event):
    return {c["cylinder"] for c in event["cylinders"]}


# a late entry changes what follows it in time, and that is said as it is now
kinds, left_out = set(), 0
for name, event in recorded.items():
    if any(number(other) > number(event) and other["at"] < event["at"] and cylinders(other) & cylinders(event)
           for other in recorded.values()):
        left_out += 1
        continue
    (later,) = json.loads(b.run("--format", "json", "report", "event", name, now="2026-06-09T15:00:00Z").stdout)["events"]
    assert told(later) == told(event), (name, told(later), told(event))
    kinds.add(event["kind"])
assert {"recover", "charge", "reuse", "transfer", "return", "receive", "entry"} <= kinds and left_out < 5, (kinds, left_out)
newest = json.loads(b.run("--format", "json", "report", "event", now="2026-06-09T15:00:00Z").stdout)["events"][0]
assert newest["digest"] == list(recorded.values())[-1]["digest"]
print("report event: %d events of %d kinds say what they said" % (len(recorded), len(kinds)))
