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

bodies = {"E%d" % json.loads(line)["seq"]: line for line in lines}
for row in table:
    body = bodies[row["event"]]
    assert hashlib.sha256(body.encode()).hexdigest() == row["digest"], row
    assert json.loads(body)["kind"] == row["kind"], row
digest = "0" * 64
for seq in range(1, len(lines) + 1):
    body = bodies["E%d" % seq]
    assert json.loads(body)["prev"] == digest, seq
    digest = hashlib.sha256(body.encode()).hexdigest()

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
