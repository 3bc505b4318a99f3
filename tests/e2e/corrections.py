"""Voids and corrections are judged on the end state, wherever in time they fall."""
from book import Book

b = Book().small_register()
day = "2026-06-01 0%d:00"


def weigh(gross, hour):
    b.ok("weigh", "RC-01", "--gross", gross, "--at", day % hour)


b.ok("recover", "--circuit", "OAK/RACK-A/4", "--into", "RC-01", "--before", "27.5lb", "--after", "37.5lb", "--at", day % 3)
weigh("37.5lb", 5)
weigh("37.5lb", 7)
b.ok("reuse", "--circuit", "OAK/RACK-A/4", "--from", "RC-01", "--before", "37.5lb", "--after", "30.5lb", "--at", day % 9)
# the correction puts the recovery two hours earlier, before everything else, and one pound lighter
first = next(e["event"] for e in b.json("report", "cylinder", "RC-01")["events"] if e["kind"] == "recover")
b.ok("correct", first, "--after", "36.5lb", "--at", day % 1, "--why", "wrong line of the sheet", now="2026-06-01T16:00:00Z")
assert b.json("check")["ok"] is True
cyl = b.json("report", "cylinder", "RC-01")
gaps = {e["at"][11:16]: e["gap_lb"] for e in cyl["events"] if e["gap_lb"]}
assert gaps == {"05:00": 1}, gaps  # the next reading finds the pound, the ones after it agree
assert abs(cyl["net_lb"] - 3.0) < 1e-9
# a correction to a later time than readings that stand
last = next(e["event"] for e in cyl["events"] if e["kind"] == "reuse")
b.ok("correct", last, "--at", day % 6, "--why", "it was before the weighing at seven", now="2026-06-01T16:00:00Z")
assert b.json("check")["ok"] is True
moved = [e for e in b.json("report", "cylinder", "RC-01")["events"] if e["gap_lb"]]
assert {e["at"][11:16]: round(e["gap_lb"], 6) for e in moved} == {"05:00": 1, "07:00": 7}, moved
# a tare that was measured later holds from its day; the first one holds before it
b.ok("cylinder", "correct", "RC-01", "--tare", "27.9lb", "--at", day % 8, now="2026-06-01T16:00:00Z")
weigh("37.5lb", 9)
assert abs(b.json("report", "cylinder", "RC-01")["net_lb"] - 9.6) < 1e-9
assert b.json("check")["ok"] is True
# flags that have no place in the event are told, not dropped
assert b.run("correct", last, "--mass", "3lb").returncode == 2
void = b.run("void", last, "--why", "twice")
assert void.returncode == 1 and "voided already" in void.stderr, void.stderr
print("corrections: the end state is what the events say")
