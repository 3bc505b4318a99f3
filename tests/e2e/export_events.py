"""`export events`: every event leaves, as CSV and as JSON Lines, and both say the same; the lines alone prove the chain."""
import csv
import hashlib
import io
import json

from book import Book, demo

book = demo(Book(start=False))
table = list(csv.DictReader(io.StringIO(book.ok("export", "events").stdout)))
lines = book.ok("export", "events", "--format", "json").stdout.splitlines()
assert len(table) == len(lines) > 60, (len(table), len(lines))

ADDED = ("schema_version", "event", "digest", "voided_by")


def body_of(line):
    """The bytes that the digest covers: the keys of the event, in order (RFC 8785), without those that the export adds."""
    event = {k: v for k, v in json.loads(line).items() if k not in ADDED}
    return json.dumps(event, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


bodies = {json.loads(line)["event"]: line for line in lines}
for row in table:
    line = json.loads(bodies[row["event"]])
    assert hashlib.sha256(body_of(bodies[row["event"]]).encode()).hexdigest() == row["digest"] == line["digest"], row
    assert line["kind"] == row["kind"] and (line["voided_by"] or "") == row["voided_by"], row
    assert line["schema_version"] == int(row["schema_version"]) == 2, row
digest = "0" * 64
for seq in range(1, len(lines) + 1):
    body = bodies["E%d" % seq]
    assert json.loads(body)["prev"] == digest, seq
    digest = hashlib.sha256(body_of(body).encode()).hexdigest()

# An entry of the register has what was typed for it, in both forms.
# In the table a person has a name in place of a code.
names = {one["person_code"]: one["name"] for one in book.json("people", "list")["people"]}
assert "Ana Reyes" in names.values()
entries = [r for r in table if r["kind"] == "entry"]
assert len(entries) > 20 and all(r["values"] == "" for r in table if r["kind"] != "entry")
for row in entries:
    said = json.loads(bodies[row["event"]])["what"].get("values", {})
    typed = {name: v["typed"] if isinstance(v, dict) else names.get(v, v) for name, v in said.items()}
    assert (json.loads(row["values"]) if row["values"] else {}) == typed, row
assert any(json.loads(r["values"]).get("tare") == "27.50lb" for r in entries if r["values"])

# From a day on: the same lines without those of earlier days.
since = "2026-06-03"
for form, at in (("csv", 1), ("json", 0)):
    whole = book.ok("export", "events", "--format", form).stdout.splitlines()
    part = book.ok("export", "events", "--since", since, "--format", form).stdout.splitlines()
    assert at < len(part) < len(whole) and part == whole[:at] + whole[len(whole) - len(part) + at:], form
days = [r["date"] for r in table]
late = list(csv.DictReader(io.StringIO(book.ok("export", "events", "--since", since).stdout)))
assert [r for r in table if r["date"] >= since] == late and min(r["date"] for r in late) == since > min(days)
assert book.run("export", "events", "--since", "soon").returncode == 2

# In order of time, and what a row shows of a movement is what its body says.
order = [(json.loads(bodies[r["event"]])["at"], int(r["event"][1:])) for r in table]
assert order == sorted(order)
recoveries = [r for r in table if r["kind"] == "recover"]
assert recoveries
for row in recoveries:
    what = json.loads(bodies[row["event"]])["what"]
    assert row["circuit"] == what["circuit"] and row["cylinder"] == what["into"], row
    if "before" in what["weighing"]:
        counts_a_pound = 362873896000
        assert round(float(row["before_lb"]) * counts_a_pound, -6) == round(int(what["weighing"]["before"]["count"]), -6), row
voided = [r for r in table if r["voided_by"]]
assert voided and all(r["voided_by"] in bodies for r in voided)
