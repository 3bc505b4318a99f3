"""Bad typed input: a clear error, exit 1 or 2, and an unchanged book. Almost-valid rows stand in the unit tests."""
from book import Book

b = Book().small_register()
b.ok("recover", "--circuit", "OAK/RACK-A/4", "--into", "RC-01", "--before", "27.5lb", "--after", "31.2lb", "--own-id", "sheet-1")
before = b.digest()
REC = ["recover", "--circuit", "OAK/RACK-A/4", "--into", "RC-01"]
PAIR = REC + ["--before", "31.2lb", "--after"]
ROWS = [
    # words, exit code, what the message must say
    (PAIR + ["44,85lb"], 2, "comma"),
    (PAIR + ["-44.85lb"], 2, "sign"),
    (PAIR + ["4.485e1lb"], 2, "exponent"),
    (PAIR + ["44.85"], 2, "unit"),
    (PAIR + ["44.85", "--scale", "S3"], 2, "pounds and ounces"),
    (PAIR + ["12 lb 17 oz"], 2, "below 16"),
    (PAIR + ["44.85lb extra"], 2, "extra"),
    (PAIR + ["44.85st"], 2, "not a unit of weight"),
    (PAIR + ["0.00001lb"], 2, "finest step"),
    (PAIR + ["99999999999lb"], 2, "heavier"),
    (PAIR + ["forty"], 2, "number"),
    (PAIR + [""], 2, "missing"),
    (REC + ["--before", "31.2lb"], 2, "--after is missing"),
    (PAIR + ["44.85lb", "--net", "3lb"], 2, "--net"),
    (PAIR + ["44.85lb", "--at", "2026-02-30 10:00"], 2, "no such day"),
    (PAIR + ["44.85lb", "--at", "2026-03-08 02:30"], 2, "did not exist"),
    (PAIR + ["44.85lb", "--at", "2025-11-02 01:30"], 2, "twice"),
    (PAIR + ["44.85lb", "--at", "yesterday"], 2, "cannot read the day"),
    (PAIR + ["44.85lb", "--at", "2026-06-01 12:00"], 1, "future"),
    (PAIR + ["44.85lb", "--vacuum", "10"], 2, "unit"),
    (PAIR + ["44.85lb", "--vacuum", "10psi"], 2, "gauge or absolute"),
    (PAIR + ["44.85lb", "--vacuum", "40inHg"], 2, "perfect vacuum"),
    (PAIR + ["44.85lb", "--reason", "laek"], 2, "did you mean leak"),
    (PAIR + ["44.85lb", "--scale", "S9"], 1, "did you mean S"),
    (["recover", "--circuit", "OAK/RACK-A/5", "--into", "RC-01", "--net", "2lb"], 1, "did you mean OAK/RACK-A/4"),
    (["recover", "--circuit", "OAK/RACK-A/4", "--into", "RC-1", "--net", "2lb"], 1, "did you mean RC-01"),
    (["recovr", "--circuit", "OAK/RACK-A/4"], 2, "did you mean recover"),
    (["report", "cylindre", "RC-01"], 2, "did you mean cylinder"),
    (["recover", "--circut", "x"], 2, "--circut"),
    (["cylinder", "add", "RC-09", "--use", "recovery", "--refrigerant", "R-448Q"], 2, "R-448A"),
    (["cylinder", "add", "RC 09", "--use", "recovery"], 2, "code"),
    (["cylinder", "add", "RC-01", "--use", "recovery"], 1, "on record already"),
    (["cylinder", "add", "RC-09", "--use", "recovry"], 2, "did you mean recovery"),
    (["cylinder", "add", "RC-09", "--use", "recovery", "--tested", "2024-13"], 2, "month"),
    (["appliance", "add", "PINE/RACK", "--category", "other", "--refrigerant", "R-22", "--full-charge", "10lb", "--charge-basis",
      "maker"], 1, "PINE"),
    (["appliance", "add", "OAK/R2", "--category", "other", "--refrigerant", "R-22", "--full-charge", "60lb..50lb",
      "--charge-basis", "range"], 2, "ends below"),
    (["receive", "R-448A", "six", "--from", "Harlan"], 2, "6x25lb"),
    (["transfer", "--from", "RC-01", "--into", "RC-01", "--net", "1lb"], 1, "two cylinders"),
    (["transfer", "--from", "RC-01", "--into", "RC-02", "--from-after", "1lb"], 2, "both weights"),
    (["void", "E999", "--why", "no"], 1, "no such event"),
    (["void", "E1", "--why", "no"], 1, "first event"),
    (["resolve", "gap/RC-01/E99", "--why", "x"], 1, "no such open finding"),
    (REC + ["--before", "27.5lb", "--after", "31.3lb", "--own-id", "sheet-1"], 1, "other content"),
    (["charge", "--circuit", "OAK/RACK-A/4", "--from", "outside:", "--net", "2lb"], 2, "outside:NAME"),
    (["charge", "--circuit", "OAK/RACK-A/4", "--from", "RC-01", "--before", "31.2lb", "--after", "12lb"], 1, "RC-01"),
    (["start", "--company", "Again"], 3, "exists already"),
    (["site", "add", "X", "--owner", "a\udcff"], 2, "UTF-8"),
    (["room", "--refrigerant", "R-22"], 2, "--wc"),
    (["report", "site", "OAK", "--year", "26"], 2, "year"),
    (["report", "site", "OAKK"], 1, "OAK"),
    (["--units", "stone", "report", "inventory"], 2, "units"),
]
bad = []
for words, code, says in ROWS:
    done = b.run(*words)
    if done.returncode != code or says.lower() not in done.stderr.lower() or b.digest() != before:
        bad.append((words, "exit", done.returncode, "expected", code, says, done.stderr, done.stdout))
# the same again is recorded once (I7)
same = b.ok(*(REC + ["--before", "27.5lb", "--after", "31.2lb", "--own-id", "sheet-1"]))
assert "already recorded" in same.stdout and b.digest() == before, same.stdout
jugs = b.ok("receive", "R-448A", "3x25lb", "--from", "Harlan Supply", "--own-id", "inv-9").stdout
assert "J" in jugs
before = b.digest()
again = b.ok("receive", "R-448A", "3x25lb", "--from", "Harlan Supply", "--own-id", "inv-9").stdout
assert "already recorded" in again and b.digest() == before, again
opening = ["cylinder", "add", "SC-07", "--use", "supply", "--refrigerant", "R-448A", "--tare", "27lb", "--gross", "30lb", "--counted",
           "--owner", "shop", "--own-id", "count-7"]
b.ok(*opening)
before = b.digest()
assert "already recorded" in b.ok(*opening).stdout and b.digest() == before
for row in bad:
    print(*row, sep="\n  ")
assert not bad, "%d of %d rows" % (len(bad), len(ROWS))
print("bad input: %d rows refused as they should be" % len(ROWS))
