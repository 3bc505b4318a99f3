"""Import at the size of a shop's decade: generated movements, clean and with a real shop's untidiness. The balances are
computed here from the CSV alone, without a line of the program's code. Then: the same file twice, a grown one, files that
cannot be taken, and an import that is killed."""
import csv
import os
import pty
import random
import shutil
import signal
import subprocess
import sys
import time
from decimal import Decimal

from book import BIN, SOURCE, Book

MOVEMENTS = int(os.environ.get("TAREBOOK_IMPORT_ROWS", "10000"))
KILLS = int(os.environ.get("TAREBOOK_IMPORT_KILLS", "12"))
SEED = int(os.environ.get("TAREBOOK_SEED", "1"))
work = Book(start=False).folder
generator = [sys.executable, os.path.join(SOURCE, "tests/workload/gen_events.py")]
subprocess.run([*generator, "-n", str(MOVEMENTS), "--seed", str(SEED), "--form", "csv,lists", "-o", work], check=True)
subprocess.run([*generator, "--seed", str(SEED), "--noise", work], check=True, stdout=subprocess.DEVNULL)


def path(name):
    return os.path.join(work, name)


def rows_of(name):
    with open(path(name), newline="") as f:
        return list(csv.DictReader(f))


def words(name):
    return ["import", "movements", name, "--cylinders", path("cylinders.csv"), "--circuits", path("circuits.csv"),
            "--register", "--owner", "Quillpost Markets"]


# A register's designations and a spreadsheet's differ in a hyphen or a letter's case; here both lose them.
def bare(gas):
    return gas.upper().replace("-", "").replace("R", "", 1)


tare = {r["cylinder"]: Decimal(r["tare_lb"]) for r in rows_of("cylinders.csv")}


def by_hand(rows):
    """Cylinder -> last reading less tare; circuit -> put in less taken out. Stable by time, as the file has them."""
    net, circuits = {}, {}
    for r in sorted(rows, key=lambda r: (r["date"], r["time"])):
        before, after = Decimal(r["gross_before_lb"]), Decimal(r["gross_after_lb"])
        net[r["cylinder"]] = after - tare[r["cylinder"]]
        if r["kind"] in ("charge", "recover"):
            code = "/".join((r["site"], r["appliance"], r["circuit"]))
            sums = circuits.setdefault(code, {"charge": Decimal(0), "recover": Decimal(0)})
            sums[r["kind"]] += abs(before - after)
    return net, circuits


def agrees(book, rows, name):
    net, circuits = by_hand(rows)
    cylinders = book.json("report", "inventory")["cylinders"]
    seen = {c["cylinder"]: Decimal(str(c["net_lb"])) for c in cylinders}
    assert len(seen) == len(tare), (name, len(seen))
    for code in tare:
        assert seen[code] == net.get(code, 0), (name, code, seen[code], net.get(code))
    told = {}
    for site in sorted({c.split("/")[0] for c in circuits}):
        page = book.json("report", "site", site, "--from", "2019-01-01", "--to", "2027-12-31")
        for appliance in page["appliances"]:
            for circuit in appliance["circuits"]:
                told[circuit["circuit"]] = circuit
    for code, sums in circuits.items():
        at = told[code]
        assert Decimal(str(at["charged_lb"])) == sums["charge"], (name, code, at, sums)
        assert Decimal(str(at["recovered_lb"])) == sums["recover"], (name, code, at, sums)
    assert book.json("check")["ok"] is True


# Clean: no row refused, nothing to settle, every balance as computed.
clean_rows = rows_of("events.csv")
clean = Book()
done = clean.json(*words(path("events.csv")), codes=(0,))
assert (done["rows"], done["recorded"], done["already_recorded"]) == (MOVEMENTS, MOVEMENTS, 0), done
assert done["number_of_exceptions"] == 0, done
agrees(clean, clean_rows, "clean")
inventory = {c["cylinder"]: c for c in clean.json("report", "inventory")["cylinders"]}
for r in clean_rows:
    assert bare(inventory[r["cylinder"]]["refrigerant"]) == bare(r["refrigerant"]), r

# Twice: nothing is written, and that is said.
digest = clean.digest()
again = clean.run(*words(path("events.csv")))
assert again.returncode == 0, again
assert again.stdout == "already recorded: %d rows; nothing was written\n" % MOVEMENTS, again.stdout
assert clean.digest() == digest
# The same rows in another dress are the same rows: other order of columns, other case, other zeros, a mark at the start.
columns = ["time", "date", "kind", "gross_after_lb", "gross_before_lb", "circuit", "appliance", "site", "job", "technician",
           "refrigerant", "cylinder"]
with open(path("dressed.csv"), "w", encoding="utf-8-sig", newline="") as f:
    out = csv.writer(f, lineterminator="\r\n")
    out.writerow(c.upper() for c in columns)
    for r in clean_rows:
        dressed = dict(r, kind=r["kind"].title(), refrigerant="r-" + r["refrigerant"][1:].lower(),
                       gross_after_lb=r["gross_after_lb"].rstrip("0").rstrip("."), cylinder=" %s " % r["cylinder"])
        out.writerow(dressed[c] for c in columns)
        if len(dressed["job"]) % 3 == 0:
            f.write("\r\n")
again = clean.run(*words(path("dressed.csv")))
assert (again.returncode, clean.digest()) == (0, digest), again

# Noise: none refused; contents are the last reading less the tare; the gaps are the generator's list, row by row.
noisy_rows = rows_of("noisy.csv")
noisy = Book()
done = noisy.json(*words(path("noisy.csv")), codes=(4,))
assert (done["rows"], done["recorded"]) == (len(noisy_rows), len(noisy_rows)), done
agrees(noisy, noisy_rows, "noisy")
open_findings = noisy.json("list", "exceptions")["items"]
assert done["number_of_exceptions"] == len(open_findings), (done, len(open_findings))
seen = sorted((i["subject"], i["event_names"][0]) for i in open_findings if i["check"] == "gap")
# Entries of the register come first in the chain, then the rows in the order of the file: a row's line is its event's
# place. The gap's size is in the text; the exact one is held against the generator's to the hundredth.
first_row = done["head"]["seq"] - len(noisy_rows) + 1
wanted = sorted((g["cylinder"], "E%d" % (first_row + int(g["line"]) - 2)) for g in rows_of("gaps.csv"))
assert seen == wanted, (len(seen), len(wanted), set(seen) ^ set(wanted))
sizes = {("E%d" % (first_row + int(g["line"]) - 2)): abs(Decimal(g["gap_lb"])) for g in rows_of("gaps.csv")}
for i in open_findings:
    if i["check"] == "gap":
        assert ": %s lb " % sizes[i["event_names"][0]] in i["text"], (i, sizes[i["event_names"][0]])
digest = noisy.digest()
again = noisy.run(*words(path("noisy.csv")))
assert again.returncode == 0 and "already recorded: %d rows" % len(noisy_rows) in again.stdout, again
assert noisy.digest() == digest

# A file that has grown brings in what is new; the book is then the same as after the whole file at once.
with open(path("events.csv")) as f:
    lines = f.readlines()
half = len(lines) // 2
with open(path("grown.csv"), "w") as f:
    f.writelines(lines[:half])
grown = Book()
first = grown.json(*words(path("grown.csv")))
with open(path("grown.csv"), "w") as f:
    f.writelines(lines)
second = grown.json(*words(path("grown.csv")))
assert (first["recorded"], second["recorded"], second["already_recorded"]) == (half - 1, len(lines) - half, half - 1)
agrees(grown, clean_rows, "grown")

# Two rows with the very same cells are two movements, once each however often the file comes.
same = "recover,2024-03-01,10:00,S01,A01,C01,RC-0002,R32,17.50,17.60,tech01,J1\n"
with open(path("same.csv"), "w") as f:
    f.write(lines[0] + same + same)
twins = Book()
assert twins.json(*words(path("same.csv")))["recorded"] == 2
assert twins.json(*words(path("same.csv")))["already_recorded"] == 2

# Bad files: told by line and column, exit 1 or 2, the book unchanged to the byte.
head = lines[0]
row = "charge,2024-05-01,10:00,S01,A01,C01,SC-0002,R32,80.00,79.00,tech01,J1\n"


def with_cell(column, text):
    cells = row.rstrip("\n").split(",")
    cells[head.rstrip("\n").split(",").index(column)] = text
    return ",".join(cells) + "\n"


BAD = [  # bytes of the file, exit code, what is said
    ("", 2, "there is no row in the file"),
    ("\n \n,,,\n", 2, "there is no row in the file"),
    (head.replace("technician", "tech") + row, 2, "bad.csv:1: technician: column \"technician\" is missing"),
    (head.replace("job", "kind") + row, 2, "bad.csv:1: kind: column \"kind\" is there twice"),
    (head.rstrip("\n") + ",colour\n", 2, "bad.csv:1: colour: column \"colour\" is not one"),
    (head.replace(",", ";") + row.replace(",", ";"), 2, "separated by \";\""),
    ("\ufeff".encode("utf-16-le") + (head + row).encode("utf-16-le"), 2, "bad.csv:1: the file is written in UTF-16"),
    (head + row + row.replace("S01", "S\0001"), 2, "bad.csv:3: there is a zero byte"),
    (head + row.replace("tech01", "\"tech01"), 2, "bad.csv:2: the quote opened in line 2 is not closed"),
    (head + row.replace("tech01", "\"tech01") + "\n" * 2000, 2, "bad.csv:2: the quote opened in line 2 is not closed"),
    (head + row.replace("tech01", "te\"ch"), 2, "bad.csv:2: cell 11 has a quote out of place"),
    (head + row.replace("tech01", "t" * 70000), 2, "bad.csv:2: a cell is longer than 65536 bytes"),
    (head + row.replace("tech01", "t" * 20000), 2, "bad.csv:2: technician: the text is 20000 bytes long"),
    ((head + row).encode().replace(b"tech01", b"tech\xff"), 2, "bad.csv:2: technician: the cell is not UTF-8 text"),
    (head + row.replace("tech01", "te\x07ch"), 2, "bad.csv:2: technician: the cell has a control character"),
    (head + row.replace(",J1", ""), 2, "bad.csv:2: the row has 11 cells"),
    (head + row.replace(",J1", ",J1,more"), 2, "bad.csv:2: the row has 13 cells"),
    (head + with_cell("kind", "chrage"), 2, "bad.csv:2: kind: \"chrage\" is not a kind of movement"),
    (head + with_cell("kind", ""), 2, "bad.csv:2: kind: the kind is missing"),
    (head + with_cell("date", "05/01/2024"), 2, "bad.csv:2: date: cannot read a date"),
    (head + with_cell("date", "2024-02-30"), 2, "bad.csv:2: date: cannot read a date"),
    (head + with_cell("date", ""), 2, "bad.csv:2: date: the date is missing"),
    (head + with_cell("time", "10.30"), 2, "bad.csv:2: time: cannot read the time of day"),
    (head + with_cell("time", "24:00"), 2, "bad.csv:2: time: cannot read the time of day"),
    (head + with_cell("time", ""), 2, "bad.csv:2: time: the time is missing"),
    (head + with_cell("time", "02:30").replace("2024-05-01", "2024-03-10"), 2,
     "bad.csv:2: time: the clocks went forward"),
    (head + with_cell("time", "01:30").replace("2024-05-01", "2024-11-03"), 2, "bad.csv:2: time: the clocks went back"),
    (head + with_cell("site", ""), 2, "bad.csv:2: site: the site is missing"),
    (head + with_cell("appliance", ""), 2, "bad.csv:2: appliance: the appliance is missing"),
    (head + with_cell("circuit", "C 1"), 2, "bad.csv:2: circuit: that is not a code for a circuit"),
    (head + with_cell("cylinder", ""), 2, "bad.csv:2: cylinder: the cylinder is missing"),
    (head + with_cell("cylinder", "SC/1"), 2, "bad.csv:2: cylinder: that is not a code for a cylinder"),
    (head + with_cell("refrigerant", "R999"), 2, "bad.csv:2: refrigerant: \"R999\" is not a refrigerant"),
    (head + with_cell("gross_before_lb", "\"80,00\""), 2, "bad.csv:2: gross_before_lb: a comma is not a decimal point"),
    (head + with_cell("gross_before_lb", ""), 2, "bad.csv:2: gross_before_lb: a weight is missing"),
    (head + with_cell("gross_before_lb", "-80"), 2, "bad.csv:2: gross_before_lb: a scale reading has no sign"),
    (head + with_cell("gross_after_lb", "36kg"), 2, "bad.csv:2: gross_after_lb: the column is in pounds"),
    (head + with_cell("gross_after_lb", "79 lb 4 oz"), 2, "bad.csv:2: gross_after_lb: the column is in pounds"),
    (head + with_cell("gross_after_lb", "79.0005"), 2, "bad.csv:2: gross_after_lb: finer than a row of weights"),
    (head + with_cell("gross_after_lb", "7.9e1"), 2, "bad.csv:2: gross_after_lb: a weight is written out"),
    (head + with_cell("gross_after_lb", "79000000"), 2, "bad.csv:2: gross_after_lb: heavier than"),
    (head + row + with_cell("cylinder", "SC-9999") * 3, 1, "bad.csv:3: cylinder: there is no cylinder SC-9999 on record (3 rows)"),
    (head + with_cell("circuit", "C09"), 1, "bad.csv:2: circuit: there is no circuit S01/A01/C09 on record"),
    (head + with_cell("refrigerant", "R22"), 1, "bad.csv:2: refrigerant: the row says R-22, and S01/A01 is on record with R-32"),
    (head + row.replace("2024", "2031"), 1, "bad.csv:2: date: 2031-05-01 10:00 is in the future"),
    (head + with_cell("gross_after_lb", "12.00"), 1, "bad.csv:2: gross_after_lb: SC-0002 would give 68.00 lb"),
    (head + row.replace("charge", "recover").replace("80.00,79.00", "80.00,180.00"), 1, "over its limit of"),
]
target = Book()
target.json(*words(path("events.csv")))
r32 = next(r for r in rows_of("circuits.csv") if (r["site"], r["appliance"]) == ("S01", "A01"))
for number, (text, code, told) in enumerate(BAD):
    if r32["refrigerant"] != "R32" and "R-32" in told:
        told = told.split(" is on record")[0].replace("R-32", "")
    before = target.digest()
    with open(path("bad.csv"), "wb") as f:
        f.write(text if isinstance(text, bytes) else text.encode())
    done = target.run("import", "movements", path("bad.csv"))
    assert done.returncode == code, (number, text[:300], done.returncode, done.stdout, done.stderr)
    assert told in done.stderr, (number, told, done.stderr)
    assert "Nothing was written." in done.stderr and not done.stdout, (number, done)
    assert target.digest() == before, (number, text[:300])
# a reason takes what a check refuses, and nothing that cannot be read
with open(path("bad.csv"), "w") as f:
    f.write(head + with_cell("gross_after_lb", "12.00"))
assert target.run("import", "movements", path("bad.csv"), "--anyway", "hose left open").returncode == 4
for place, told in ((work, "that is a folder"), (path("nowhere.csv"), "cannot be opened")):
    done = target.run("import", "movements", place)
    assert done.returncode == 2 and told in done.stderr, done
os.mkfifo(path("pipe"))
done = target.run("import", "movements", path("pipe"))
assert done.returncode == 2 and "not an ordinary file" in done.stderr, done
# more problems than anybody reads: a thousand, then how many more
with open(path("bad.csv"), "w") as f:
    f.write(head + with_cell("date", "then") * 1500)
done = target.run("import", "movements", path("bad.csv"))
assert done.stderr.count("cannot read a date") == 1000 and "and 500 more" in done.stderr, done.stderr[-500:]
assert "1500 problems in" in done.stderr
# One progress line, written over itself and wiped at the end, where stderr is a terminal; none where nobody looks on.
assert "\r" not in done.stderr
watched = Book()
ours, theirs = pty.openpty()
running = subprocess.Popen([BIN, *words(path("events.csv"))], env=watched.env("2026-06-01T15:00:00Z"),
                           stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=theirs)
os.close(theirs)
shown = b""
while True:
    try:
        piece = os.read(ours, 4096)
    except OSError:  # how Linux says that the other end was closed
        break
    if not piece:
        break
    shown += piece
assert running.communicate()[0].startswith(b"%d rows: " % MOVEMENTS) and running.returncode == 0
assert shown.startswith(b"\rimporting: ") and shown.endswith(b"\r\x1b[K") and b"\n" not in shown, shown[-80:]

# Killed at any moment, an import leaves the book as it was; the next one then brings in all of it.
rnd = random.Random(SEED)
small = path("small.csv")
with open(small, "w") as f:
    f.writelines(lines[:3001])
fresh = Book()
fresh.ok("site", "add", "S01", "--owner", "Quillpost Markets")
spare = fresh.path + ".spare"
shutil.copy(fresh.path, spare)
began = time.perf_counter()
fresh.ok(*words(small))
typical = time.perf_counter() - began
killed = 0
for n in range(KILLS):
    shutil.copy(spare, fresh.path)
    running = subprocess.Popen([BIN, *words(small)], env=fresh.env("2026-06-01T15:00:00Z"), stdin=subprocess.DEVNULL,
                               stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    time.sleep(typical * (n + rnd.random()) / KILLS)
    running.send_signal(signal.SIGKILL)
    running.communicate()
    check = fresh.json("check")
    assert check["ok"] is True, check
    if running.returncode == -signal.SIGKILL and check["number_of_events"] == 2:
        killed += 1
    else:
        assert check["number_of_events"] > 3000, check  # all or nothing: it was done before the signal came
    again = fresh.json(*words(small))
    assert again["recorded"] + again["already_recorded"] == 3000, again
    assert fresh.json("check")["ok"] is True
assert killed > 0, "no import was killed while it ran"
shutil.rmtree(work)
print("import: %d clean, %d noisy with %d gaps, %d bad files, %d killed of %d, seed %d"
      % (MOVEMENTS, len(noisy_rows), len(wanted), len(BAD), killed, KILLS, SEED))
