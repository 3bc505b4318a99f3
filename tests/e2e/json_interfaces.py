"""The keys that scripts rely on, and figures that can be worked out by hand."""
import csv
import io

from book import Book, demo

b = demo(Book(start=False))


def has(obj, *keys):
    for k in keys:
        assert k in obj, (k, sorted(obj))


room = b.json("room", "--refrigerant", "R-404A", "--wc", "47.6lb", "--tare", "27.5lb", "--gross", "33.8lb")
has(room, "schema_version", "refrigerant", "limits", "binding_rule", "limit_net_lb", "limit_net_count", "limit_gross_lb",
    "slow_gross_lb", "stop_gross_lb", "room_lb", "liquid_full_c")
has(room["limits"][0], "rule", "net_lb", "source")
# 0.8 x 47.6 x SG 1.0451 (fill-worked-examples C77-03): 39.80 net, 67.30 gross; heel 6.3 lb: 33.50 left (REM-01)
assert abs(room["limit_net_lb"] - 39.80) < 0.02 and abs(room["limit_gross_lb"] - 67.30) < 0.02, room
assert abs(room["room_lb"] - 33.50) < 0.06 and room["stop_gross_lb"] <= room["limit_gross_lb"], room
assert abs(room["liquid_full_c"] - 57.7) < 0.3, room  # fill-limits.csv, R-404A

cyl = b.json("report", "cylinder", "RC-01")
has(cyl, "cylinder", "refrigerant", "owner", "condition", "place", "tare_lb", "net_lb", "gross_lb", "stop_gross_lb", "room_lb",
    "lots", "events")
has(cyl["events"][-1], "event", "at", "kind", "net_change_lb", "gross_after_lb", "gap_lb", "job", "exceptions")
assert int(cyl["net_count"]) == 362873896000 * 5 // 100, cyl["net_count"]  # 0.05 lb, exactly

site = b.json("report", "site", "ELM", "--from", "2026-06-01", "--to", "2026-06-07")
has(site, "site", "appliances", "totals")
has(site["appliances"][0], "appliance", "refrigerant", "full_charge_lb", "additions_lb", "circuits")
has(site["appliances"][0]["circuits"][0], "circuit", "recovered_lb", "reused_lb", "charged_lb", "net_lb")

has(b.json("report", "inventory"), "cylinders", "totals")
has(b.json("check"), "ok", "number_of_events", "problems")
items = b.json("list", "exceptions")
has(items, "items")
has(items["items"][0], "finding", "check", "subject", "event_names", "text")
has(b.json("report", "job", "4102"), "job")

# an exception is settled by an event, and then it is off the list
b.ok("resolve", items["items"][0]["finding"], "--why", "drawn down to 38.40 lb the same evening", now="2026-06-08T12:00:00Z")
assert len(b.json("list", "exceptions")["items"]) == len(items["items"]) - 1
# the options stand before or after the command
assert b.run("--format", "json", "report", "inventory").stdout == b.run("report", "inventory", "--format", "json").stdout

for words in (["report", "inventory"], ["report", "site", "OAK", "--year", "2026"], ["report", "cylinder", "RC-01"],
              ["list", "exceptions"], ["report", "job", "4102"]):
    rows = list(csv.reader(io.StringIO(b.ok(*words, "--format", "csv").stdout)))
    assert rows[0][0] == "schema_version" and len({len(r) for r in rows}) == 1, (words, rows[:2])

# void takes an event out from its own moment; the gap that the late entry had explained is back
before = b.json("report", "cylinder", "RC-02")
late = [e["event"] for e in before["events"] if e["kind"] == "reuse"][0]
b.ok("void", late, "--why", "wrong day", now="2026-06-08T12:30:00Z")
assert [i for i in b.json("list", "exceptions")["items"] if i["check"] == "gap" and i["subject"] == "RC-02"]
assert b.run("void", late, "--why", "again").returncode == 1
assert b.json("check", "--rebuild")["ok"] is True
print("JSON and CSV: as the interfaces say")
