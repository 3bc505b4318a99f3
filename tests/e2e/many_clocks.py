"""A busy shop's clocks: what was recovered for repairs and not put back, 700 times. Pages for people show the first clocks
and count the rest; CSV and JSON have each; the first look is kept, and the same as a look anew."""
import csv
import datetime
import io
import os
import re
import shutil

from book import Book

NOW = "2026-11-30T15:00:00Z"
b = Book()
b.small_register()
for n in (1, 2):
    b.ok("appliance", "add", f"OAK/UNIT-{n}", "--refrigerant", "R-448A", "--full-charge", "400lb", "--charge-basis", "maker", "--category", "commercial-refrigeration")
    b.ok("circuit", "add", f"OAK/UNIT-{n}/1", "--serves", "a case")
b.ok("cylinder", "add", "RC-91", "--refrigerant", "R-448A", "--wc", "1000lb", "--tare", "300lb", "--use", "recovery")
day = datetime.date(2026, 1, 5)
gross, rows = 300.0, []
for n in range(700):  # 0.50 lb each: 350 lb
    rows.append(["recover", (day + datetime.timedelta(days=n // 4)).isoformat(), f"{8 + n % 4:02d}:00", "OAK", f"UNIT-{1 + n % 2}", "1",
                 "RC-91", "R-448A", f"{gross:.2f}", f"{gross + 0.5:.2f}", "", f"J{n:04d}"])
    gross += 0.5
path = os.path.join(b.folder, "busy.csv")
with open(path, "w", newline="") as f:
    out = csv.writer(f)
    out.writerow("kind date time site appliance circuit cylinder refrigerant gross_before_lb gross_after_lb technician job".split())
    out.writerows(rows)
b.ok("import", "movements", path, now=NOW)


def due(*words):
    return b.ok("due", *words, now=NOW).stdout


def put_backs(text):
    return [row for row in csv.DictReader(io.StringIO(text)) if row["what"] == "put-back"]


each = list(csv.DictReader(io.StringIO(due("--format", "csv"))))
assert len(put_backs(due("--format", "csv"))) == 700, len(each)
text = due()
more = int(re.search(r"(\d+) more, after these in order", text).group(1))
cards = len(re.findall(r"^ *clock +due/", text, re.M))
assert cards == 200 and cards + more == len(each), (cards, more, len(each))
answer = re.search(r"; (\d+) without a day", re.sub(r"\s+", " ", text))
assert answer and int(answer.group(1)) == sum(not row["due_on"] for row in each), text[:200]
# the first ones in their order, and the same from what the first look has kept
assert re.findall(r"^ *clock +(due/\S+)", text, re.M) == [row["clock"] for row in each][:200]
kept = os.path.join(b.folder, ".cache")
shutil.rmtree(kept, ignore_errors=True)
assert due() == text and due() == text

page = b.ok("report", "appliance", "OAK/UNIT-1", now=NOW).stdout
assert len(re.findall(r"^ *clock +due/", page, re.M)) == 30, page
assert "320 more, after these in order" in page, page[:3000]
assert "320 older ones, 160.00 lb in all" in page, page[-3000:]
whole = b.ok("report", "appliance", "OAK/UNIT-1", "--all", now=NOW).stdout
assert len(re.findall(r"^ *clock +due/", whole, re.M)) == 350 and "more, after these" not in whole
assert len(b.json("report", "appliance", "OAK/UNIT-1", now=NOW)["still_out"]) == 350
job = b.ok("report", "job", "J0000", now=NOW).stdout
assert "340 more, after these in order: tarebook report appliance OAK/UNIT-1" in job, job
first = b.ok(now=NOW).stdout
assert "350.00 lb taken out of" in re.sub(r"\s+", " ", first), first

# as a folder: no page is larger than a few clocks need, and a put-back is seen in the next one
folder = os.path.join(b.folder, "pages")
b.ok("pages", "--to", folder, now=NOW)
sizes = {name: os.path.getsize(os.path.join(folder, name)) for name in os.listdir(folder)}
assert max(sizes.values()) < 400_000, sorted(sizes.items(), key=lambda item: -item[1])[:3]
assert sum(name.startswith("job-") for name in sizes) == 700
with open(os.path.join(folder, "due.html")) as f:
    assert f"{more} more" in f.read()
print("many clocks: %d cards and %d more of %d; 30 and 320 more at one appliance" % (cards, more, len(each)))
