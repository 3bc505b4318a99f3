"""`export sqlite` and `export tables`: the answers in fixtures/analysts beside a slow computation from `export events` alone;
the same tables as CSV; no key in the file; what an update writes; the file while the book is written."""
import contextlib
import csv
import datetime as dt
import glob
import json
import os
import re
import sqlite3
import subprocess
import threading
import time
from collections import defaultdict

from book import SOURCE, Book, sql
from plain_shop import Appliance

LB = 362873896000  # counts of 1.25 ng
ANSWERS = os.path.join(SOURCE, "fixtures", "analysts")


def at(day, hour=15):
    return "%sT%02d:00:00Z" % (day, hour)


# --- a shop with a few months of events ---
b = Book().small_register()
b.ok("technician", "add", "ana", "--name", "Ana Reyes", now=at("2026-06-02"))
b.ok("technician", "add", "tom", "--name", "Tom Okafor", now=at("2026-06-02"))
# A stamped limit below what the gas would allow: so the slow computation needs no table of densities.
for code, gas, tare, limit in (("RC-11", "R-448A", "27.5lb", "20lb"), ("RC-12", "R-404A", "28lb", "25lb")):
    b.ok("cylinder", "add", code, "--use", "recovery", "--refrigerant", gas, "--wc", "47.6lb", "--tare", tare, "--stamped-limit", limit,
         "--spec", "DOT-4BA400", "--tested", "2024-04", now=at("2026-06-02"))
b.ok("receive", "R-448A", "6x25lb", "--from", "Harlan Supply", now=at("2026-06-05"))
b.ok("receive", "R-404A", "2x24lb", "--from", "Harlan Supply", now=at("2026-06-05"))
jugs = sorted(c["cylinder"] for c in b.json("report", "inventory")["cylinders"] if c["cylinder"].startswith("J"))
BIG, SMALL = "OAK/RACK-A/4", "DAIRY/ICE/1"


def recover(day, circuit, into, before, after, by, job, reason="open"):
    return b.ok("recover", "--circuit", circuit, "--into", into, "--before", before, "--after", after, "--by", by, "--job", job,
                "--reason", reason, now=at(day))


def charge(day, circuit, jug, net, by, job, *more):
    return b.ok("charge", "--circuit", circuit, "--from", jug, "--net", net, "--by", by, "--job", job, "--reason", "leak",
                *more, now=at(day))


def event_of(done):
    return re.search(r"\b(E\d+)\b", done.stdout)[1]


recover("2026-06-12", BIG, "RC-11", "27.5lb", "46.1lb", "ana", "1001")  # 18.6 lb: 93 % of 20 lb
b.ok("reuse", "--circuit", BIG, "--from", "RC-11", "--before", "46.1lb", "--after", "29.5lb", "--by", "ana", "--job", "1001",
     now=at("2026-06-14"))
charge("2026-06-14", BIG, jugs[0], "9.5lb", "ana", "1001")
recover("2026-07-03", SMALL, "RC-12", "28lb", "40.25lb", "tom", "1002")
charge("2026-07-04", SMALL, jugs[6], "14lb", "tom", "1002")
charge("2026-07-20", BIG, jugs[0], "12lb", "tom", "1003")
recover("2026-08-02", SMALL, "RC-12", "40.25lb", "51.5lb", "ana", "1004")  # 23.5 lb: 94 % of 25 lb
wrong = event_of(charge("2026-08-03", BIG, jugs[1], "20lb", "ana", "1005"))
b.ok("void", wrong, "--why", "typed twice", now=at("2026-08-03", 16))
charge("2026-08-20", BIG, jugs[1], "16.25lb", "ana", "1006")
b.ok("weigh", "RC-12", "--gross", "50.9lb", "--by", "tom", now=at("2026-09-01"))  # 0.6 lb less than the book
sent = event_of(b.ok("return", "RC-12", "--to", "Larkfield Reclaim", "--gross", "50.9lb", "--by", "tom", now=at("2026-09-15")))
b.ok("settle", sent, "--refrigerant", "22.4lb", "--oil", "0.3lb", "--purity", "98.6", "--outcome", "reclaimed", "--credit", "31.36 USD",
     "--by", "ana", now=at("2026-10-20"))
recover("2026-10-04", BIG, "RC-11", "29.5lb", "46.5lb", "tom", "1007", "overcharge")
charge("2026-11-02", SMALL, jugs[6], "6lb", "tom", "1008")
path = os.path.join(b.folder, "shop.sqlite")
before = b.digest()
told = b.ok("export", "sqlite", "--to", path, now=at("2026-11-02")).stdout
assert "no key" in told and b.digest() == before, told


def rows(query, file=path):
    with sql(file) as db:
        cursor = db.execute(query)
        names = [d[0] for d in cursor.description]
        return [dict(zip(names, row)) for row in cursor.fetchall()]


def answer(name):
    with open(os.path.join(ANSWERS, name + ".sql"), encoding="utf-8") as f:
        return rows(f.read())


# --- the same by hand, from the events alone ---
events = [json.loads(line) for line in b.ok("export", "events", "--format", "json").stdout.splitlines()]
counting = [e for e in events if e["voided_by"] is None]
by_digest = {e["digest"]: e for e in events}


def counts(weight):
    return int(weight["count"])


def amount(e):
    """What the event moved, as a positive count."""
    w = e["what"]["weighing"]
    return counts(w["net"]) if "net" in w else abs(counts(w["after"]) - counts(w["before"]))


def lb(count):
    return round(count / LB, 2)


moved = defaultdict(lambda: [0, 0])
for e in counting:
    if e["kind"] in ("recover", "charge", "reuse"):
        moved[e.get("by"), e["date"][:7]][e["kind"] != "recover"] += amount(e)
assert len(moved) >= 5
assert answer("pounds-per-technician") == [
    {"technician": who, "month": month, "recovered_lb": lb(out), "put_in_lb": lb(into)} for (who, month), (out, into) in sorted(moved.items())]

register = {(e["what"]["entry"], e["what"]["code"]): e["what"]["values"] for e in counting if e["kind"] == "entry"}


def hundredths(count):
    assert count * 100 % LB == 0, count
    return count * 100 // LB


quarters = defaultdict(list)
for code in ("DAIRY/ICE", "OAK/RACK-A"):
    said = register["appliance", code]
    plain = Appliance(code, "", said["category"], said["refrigerant"], hundredths(counts(said["full_charge"])), "annualizing")
    for e in counting:
        if e["kind"] in ("recover", "charge", "reuse") and e["what"]["circuit"].startswith(code + "/"):
            sign = -1 if e["kind"] == "recover" else 1
            reason = "overcharge" if e["what"].get("reason") == "overcharge" else "leak"
            plain.moves.append((dt.date.fromisoformat(e["date"]), e["job"], sign * hundredths(amount(e)), reason, ""))
    for day, counted, rate, _ in plain.rates():
        quarters[code, "%d-Q%d" % (day.year, (day.month + 2) // 3)].append((counted, rate))
assert answer("leak-rate-trend") == [
    {"appliance": code, "quarter": quarter, "additions": len(all_in), "added_lb": sum(m for m, _ in all_in) / 100,
     "highest_rate_percent": round(float(max(r for _, r in all_in)), 3)} for (code, quarter), all_in in sorted(quarters.items())]

# Levels: a gross weight less the tare; a net weight is taken off what was there.
contents, level, gone = defaultdict(int), {}, set()
days, lost = defaultdict(float), defaultdict(int)
owner_of_site = {code: values["owner"] for (kind, code), values in register.items() if kind == "site"}
gas_in = {}
limits = {code: counts(values["stamped_limit"]) for (kind, code), values in register.items() if kind == "cylinder" and "stamped_limit" in values}
tares = {code: counts(values["tare"]) for (kind, code), values in register.items() if kind == "cylinder" and "tare" in values}


def moment(e):
    return dt.datetime.fromisoformat(e["at"].replace("Z", "+00:00"))


last = max(moment(e) for e in events)


def stands(code, now):
    """Adds up to now the time for which the level was above 90 % of the limit."""
    if code in level and code in limits and 10 * contents[code] > 9 * limits[code] and code not in gone:
        days[code] += (now - level[code]).total_seconds() / 86400
    level[code] = now


gaps = defaultdict(int)
for e in counting:
    what = e["what"]
    code = {"recover": what.get("into"), "charge": what.get("from"), "reuse": what.get("from"), "receive": what.get("cylinder"),
            "weigh": what.get("cylinder"), "return": what.get("cylinder")}.get(e["kind"])
    if code is None:
        continue
    stands(code, moment(e))
    if e["kind"] == "receive":
        contents[code] += counts(what["weighing"]["net"])
        gas_in[code] = (what["refrigerant"], "shop")
        continue
    w = what.get("weighing", {})
    seen = w.get("before") or what.get("gross")
    if seen and code in tares:
        gaps[code] += counts(seen) - tares[code] - contents[code]
        contents[code] = counts(seen) - tares[code]
    if e["kind"] == "return":
        gone.add(code)
    elif e["kind"] != "weigh":
        contents[code] += amount(e) if e["kind"] == "recover" else -amount(e)
        if e["kind"] == "recover":
            gas_in[code] = ("R-448A" if code == "RC-11" else "R-404A", owner_of_site[what["circuit"].split("/")[0]])
for code in list(level):
    stands(code, last)
assert answer("days-over-90-percent") == [
    {"cylinder": code, "days": round(n, 3)} for code, n in sorted(days.items(), key=lambda x: (-x[1], x[0]))] and len(days) == 2, days

credit = defaultdict(lambda: [0, 0, 0])
for e in counting:
    if e["kind"] == "settle" and "credit_amount" in e["what"]:
        sent_by = by_digest[e["what"]["target"]]["what"]
        money = e["what"]["credit_amount"]
        sums = credit[sent_by["to"], e["what"].get("gas"), money["currency"]]
        sums[0] += 1
        sums[1] += counts(e["what"]["refrigerant"])
        sums[2] += int(money["minor"])
assert answer("credit-per-pound") == [
    {"facility": to, "refrigerant": gas, "currency": currency, "statements": n, "stated_lb": lb(stated), "credit": minor / 100,
     "credit_per_lb": round(minor / 100 / (stated / LB), 4)} for (to, gas, currency), (n, stated, minor) in credit.items()] and len(credit) == 1

# Lost by equipment: what was put in beyond what was taken out and is not out still; overcharge that is taken out leaves
# nothing out. Lost in storage: what weighings found less than there should be.
left_out = defaultdict(int)
for e in counting:
    if e["kind"] in ("recover", "charge", "reuse"):
        appliance = "/".join(e["what"]["circuit"].split("/")[:2])
        owner, gas = owner_of_site[appliance.split("/")[0]], register["appliance", appliance]["refrigerant"]
        lost[owner, gas] += -amount(e) if e["kind"] == "recover" else amount(e)
        if e["kind"] != "recover":
            left_out[appliance] = max(0, left_out[appliance] - amount(e))
        elif e["what"]["reason"] != "overcharge":
            left_out[appliance] += amount(e)
for appliance, out in left_out.items():
    lost[owner_of_site[appliance.split("/")[0]], register["appliance", appliance]["refrigerant"]] += out
for code, gap in gaps.items():
    if gap:
        gas, owner = gas_in[code]
        lost[owner, gas] -= gap
assert any(gaps.values()) and any(left_out.values())
assert answer("gas-lost-per-owner") == [
    {"owner": owner, "refrigerant": gas, "year": 2026, "lost_lb": lb(n)} for (owner, gas), n in sorted(lost.items()) if abs(n) > LB // 200], (
        answer("gas-lost-per-owner"), {k: lb(n) for k, n in lost.items()})
assert len(glob.glob(os.path.join(ANSWERS, "*.sql"))) == 5, "an answer that no test runs"

# --- what the file says of itself ---
with sql(b.path) as db:
    (secret,) = db.execute("SELECT secret_key FROM secret").fetchone()
with open(path, "rb") as f:
    whole = f.read()
assert secret not in whole and secret[:32] not in whole, "the signing key is in it"
listed = rows("SELECT view_name, column_name, type, description FROM column_list ORDER BY view_name, n")
views = {r["name"]: r["sql"] for r in rows("SELECT name, sql FROM sqlite_schema WHERE type = 'view'")}
assert len(views) == 12 and {r["view_name"] for r in listed} == set(views)
for name, text in views.items():
    columns = [r for r in listed if r["view_name"] == name]
    with sql(path) as db:
        assert [d[0] for d in db.execute("SELECT * FROM %s LIMIT 0" % name).description] == [c["column_name"] for c in columns]
    assert all("-- " + c["description"] in text for c in columns), name  # comments in the schema
    for c in columns:
        if c["column_name"].endswith("_lb"):  # each mass stands three times, and says the same
            stem = c["column_name"][:-3]
            for r in rows("SELECT %s_count AS n, %s_lb AS lb, %s_kg AS kg FROM %s" % (stem, stem, stem, name)):
                assert (r["n"] is None) == (r["lb"] is None) == (r["kg"] is None), (name, stem)
                assert r["n"] is None or (abs(r["lb"] - r["n"] / LB) < 1e-9 and abs(r["kg"] - r["n"] / 8e11) < 1e-9), (name, stem)
assert {r["kind"] for r in rows("SELECT DISTINCT kind FROM register_value")} == {e["what"]["entry"] for e in counting if e["kind"] == "entry"}
assert {r["voided_by"] for r in rows("SELECT voided_by FROM event WHERE NOT counts")} == {e["digest"] for e in events if e["kind"] == "void"}
assert {(r["name"], r["digest"]) for r in rows("SELECT name, digest FROM event")} == {(e["event"], e["digest"]) for e in events}

# The pages say the same: losses of the year, what is in each cylinder, equivalents.
page = b.json("report", "year", "2026")
for line in page["losses"]:
    site = line["site"] or "storage"
    (got,) = rows("SELECT sum(material_loss_count) AS m, sum(simplified_loss_count) AS s FROM loss WHERE year = 2026 AND refrigerant = "
                  "'%s' AND owner = '%s' AND site = '%s'" % (line["refrigerant"], line["owner"], site))
    assert (got["m"] or 0) == int(line["material_loss_count"]), line
    assert (got["s"] or 0) == int(line["simplified_loss_count"] or 0), line
    for q in line["equivalents"]:
        (got,) = rows("SELECT sum(t_co2e) AS t FROM loss_equivalent WHERE year = 2026 AND refrigerant = '%s' AND owner = '%s' AND site = "
                      "'%s' AND gwp_set = '%s'" % (line["refrigerant"], line["owner"], site, q["gwp_set"]))
        assert abs((got["t"] or 0) - (q["t_co2e"] or 0)) < 1e-3, (line, q, got)
now = {r["cylinder"]: r for r in rows("SELECT * FROM cylinder_level WHERE is_last")}
inventory = b.json("report", "inventory")["cylinders"]
for c in inventory:
    if c["cylinder"] in now:
        assert now[c["cylinder"]]["contents_count"] == int(c["net_count"]), c
assert len([c for c in inventory if c["cylinder"] in now]) > 5
(stock,) = rows("SELECT sum(stock_count) AS n FROM stock_by_day s WHERE date = (SELECT max(date) FROM stock_by_day t WHERE t.refrigerant "
                "= s.refrigerant AND t.owner = s.owner)")
assert stock["n"] == sum(r["contents_count"] for r in now.values()) != 0
found = rows("SELECT check_name, subject FROM finding WHERE NOT resolved")
assert sorted((r["check_name"], r["subject"]) for r in found) == sorted(
    (i["check"], i["subject"]) for i in b.json("list", "exceptions")["items"] if i["event_names"]), found
(ship,) = rows("SELECT * FROM shipment")
assert (ship["facility"], ship["cylinder"], round(ship["sent_lb"], 2)) == ("Larkfield Reclaim", "RC-12", 22.9), ship

# --- an update writes what changed, in place, and ends as a file that is made anew ---


def dump(file):
    with sql(file) as db:
        return {name: sorted(map(repr, db.execute("SELECT * FROM " + name))) for name in views}


def updated():
    done = b.ok("export", "sqlite", "--to", path, "--update").stdout
    looked_at, written = map(int, re.search(r"; (\d+) of them looked at, (\d+) rows written", done).groups())
    anew = os.path.join(b.folder, "anew.sqlite")
    b.ok("export", "sqlite", "--to", anew)
    assert dump(path) == dump(anew)
    os.unlink(anew)
    return looked_at, written


assert updated() == (0, 0)
inode = os.stat(path).st_ino
charge("2026-11-20", BIG, jugs[2], "3lb", "ana", "1009")
assert updated() == (1, 6), "a charge: its event, movement (once more by appliance), level, an addition and a year's loss of the appliance"
b.ok("charge", "--circuit", BIG, "--from", jugs[1], "--net", "1lb", "--reason", "leak", "--by", "tom", "--at", "2026-08-21 09:00",
     now=at("2026-11-21"))  # entered late: the jug's later levels change
looked_at, written = updated()
assert 1 <= looked_at < 6 and written > 3, (looked_at, written)
b.ok("void", "E%d" % [e for e in events if e["kind"] == "recover"][0]["seq"], "--why", "another cylinder", now=at("2026-11-22"))
assert 2 <= updated()[0] < len(events)
b.ok("site", "correct", "OAK", "--owner", "Quillpost Elm", now=at("2026-11-23"))  # another owner from that day on
b.ok("cylinder", "correct", "RC-11", "--stamped-limit", "19lb", now=at("2026-11-23"))
updated()
# One event between two appliances, the last of one and the first of the other.
b.ok("appliance", "add", "OAK/RACK-B", "--category", "commercial-refrigeration", "--refrigerant", "R-448A", "--full-charge", "300lb",
     "--charge-basis", "maker", now=at("2026-11-23"))
b.ok("circuit", "add", "OAK/RACK-B/1", "--serves", "dairy", now=at("2026-11-23"))
b.ok("pumpdown", BIG, "--to", "OAK/RACK-B", "--mass", "3lb", "--method", "receiver level", now=at("2026-11-24"))
updated()
# An update looks at the additions of the days that changed, and at no earlier ones. So these change earlier ones: an old job
# gets a movement more, and loses it again; what another job took out for a repair is put back, and that is voided.


def recorded(*words, **kw):
    return b.json(*words, **kw)["events"][0]["event"]


more = recorded("charge", "--circuit", BIG, "--from", jugs[2], "--net", "2lb", "--by", "ana", "--job", "1006", "--reason", "leak",
                now=at("2026-11-25"))
updated()
b.ok("void", more, "--why", "another rack", now=at("2026-11-25", 16))
updated()
b.ok("cylinder", "add", "RC-13", "--use", "recovery", "--refrigerant", "R-448A", "--wc", "47.6lb", "--tare", "27.5lb", "--spec", "DOT-4BA400",
     "--tested", "2024-04", now=at("2026-11-25", 17))
b.ok("charge", "--circuit", BIG, "--from", jugs[2], "--net", "7lb", "--by", "ana", "--job", "1010", "--reason", "leak", now=at("2026-11-26"))
recover("2026-11-26", BIG, "RC-13", "27.5lb", "32.5lb", "ana", "1010")
updated()
(before,) = rows("SELECT added_lb AS lb FROM addition WHERE job = '1010'")
back = recorded("reuse", "--circuit", BIG, "--from", "RC-13", "--before", "32.5lb", "--after", "27.5lb", "--by", "ana", "--job", "1011",
                "--reason", "put-back", now=at("2026-11-28"))
updated()
(after,) = rows("SELECT added_lb AS lb FROM addition WHERE job = '1010'")
assert after["lb"] == before["lb"] + 2, "3 of 5 lb were pumped over before, 2 lb are of job 1010, which so added 2 lb more"
b.ok("void", back, "--why", "another rack", now=at("2026-11-28", 16))
updated()
assert rows("SELECT added_lb AS lb FROM addition WHERE job = '1010'") == [before]
assert os.stat(path).st_ino == inode, "the file was replaced"
assert rows("SELECT value FROM register_value WHERE kind = 'site' AND code = 'OAK' AND field = 'owner' AND holds_now") == [{"value": "Quillpost Elm"}]

# While a program asks the file, another may record in the book; while one records, the file can be made.
with sql(b.path, isolation_level=None) as recording:
    recording.execute("BEGIN IMMEDIATE")
    assert updated() == (0, 0)
    recording.execute("ROLLBACK")

# Who reads the file while it is brought up to date sees one state: before the update, or after it.
def look(db):
    db.execute("BEGIN")
    seen = [db.execute("SELECT (SELECT CAST(value AS INTEGER) FROM about WHERE name = 'events') AS noted, (SELECT count(*) FROM event), (SELECT "
                       "sum(stock_count) FROM movement), (SELECT sum(contents_count) FROM cylinder_level WHERE is_last)").fetchone() for _ in range(2)]
    db.execute("ROLLBACK")
    noted, events, moved, there = seen[0]
    assert seen[0] == seen[1] and noted == events and moved == there, seen
    return events


stop, states = threading.Event(), []


def read_on():
    with contextlib.closing(sqlite3.connect(path, timeout=60, isolation_level=None)) as db:
        while not stop.is_set():
            states.append(look(db))


reader = threading.Thread(target=read_on)
reader.start()
for n in range(6):
    charge("2026-11-29", SMALL, jugs[6], "0.5lb", "tom", "20%02d" % n)
    b.ok("export", "sqlite", "--to", path, "--update")
stop.set()
reader.join()
assert len(states) > 6 and states == sorted(states) and states[-1] > states[0], states
with contextlib.closing(sqlite3.connect(path, isolation_level=None)) as holding:
    holding.execute("BEGIN")
    (first,) = holding.execute("SELECT count(*) FROM event").fetchone()
    charge("2026-11-29", SMALL, jugs[6], "0.5lb", "tom", "2006")
    waiting = subprocess.Popen([b.binary, "export", "sqlite", "--to", path, "--update"], env=b.env(), stdout=subprocess.PIPE, text=True)
    time.sleep(0.5)
    assert waiting.poll() is None, "it waits for the one who reads"
    assert holding.execute("SELECT count(*) FROM event").fetchone() == (first,)
    holding.execute("ROLLBACK")
    assert "1 of them looked at" in waiting.communicate(timeout=60)[0] and waiting.returncode == 0
    assert holding.execute("SELECT count(*) FROM event").fetchone() == (first + 1,)
    # One who goes on reading is not waited for for ever.
    holding.execute("BEGIN")
    holding.execute("SELECT count(*) FROM event").fetchone()
    charge("2026-11-29", SMALL, jugs[6], "0.5lb", "tom", "2007")
    told = b.run("export", "sqlite", "--to", path, "--update")
    assert told.returncode == 3 and "another program reads" in told.stderr, told
    assert holding.execute("SELECT count(*) FROM event").fetchone() == (first + 1,)
    holding.execute("ROLLBACK")
updated()

# --- the same as CSV ---
folder = os.path.join(b.folder, "tables")
b.ok("export", "tables", "--to", folder)
package = json.load(open(os.path.join(folder, "datapackage.json"), encoding="utf-8"))
assert {r["name"] for r in package["resources"]} == set(views) and set(os.listdir(folder)) == {v + ".csv" for v in views} | {"datapackage.json"}
for resource in package["resources"]:
    fields = resource["schema"]["fields"]
    with open(os.path.join(folder, resource["path"]), newline="", encoding="utf-8") as f:
        table = list(csv.DictReader(f))
    assert len(table) == len(rows("SELECT * FROM " + resource["name"])), resource["name"]
    assert not table or list(table[0]) == [f["name"] for f in fields]
    for field in fields:
        form = {"integer": r"-?\d+", "number": r"-?\d+\.\d{6}", "boolean": "[01]", "date": r"\d{4}-\d\d-\d\d",
                "datetime": r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", "string": r"(?s).*"}[field["type"]]
        assert all(re.fullmatch(form, r[field["name"]]) for r in table if r[field["name"]]), (resource["name"], field)
    keys = [tuple(r[k] for k in resource["schema"]["primaryKey"]) for r in table] if "primaryKey" in resource["schema"] else []
    assert len(keys) == len(set(keys)), resource["name"]

# --- what goes wrong leaves what was there ---
size = os.path.getsize(path)
assert b.run("export", "sqlite", "--to", path).returncode == 1 and os.path.getsize(path) == size
other = Book()
assert other.run("export", "sqlite", "--to", path, "--update").returncode == 1
assert b.run("export", "sqlite", "--to", b.path, "--update").returncode == 1
assert b.run("export", "sqlite", "--to", os.path.join(b.folder, "no", "such.sqlite")).returncode == 3
assert b.run("export", "sqlite", "--to", os.path.join(b.folder, "none.sqlite"), "--update").returncode == 1
assert not glob.glob(os.path.join(b.folder, "*.part-*")) and b.json("check")["ok"]
print("analysts' file: 5 answers as by hand from %d events; updates as new files; %d tables as CSV" % (len(events), len(views)))
