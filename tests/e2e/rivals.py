"""Two commands that wait for one lock: the second always sees what the first did. Each recording command stands against
itself, and against those that could contradict it, while a third program holds the book; which of the two comes first is
left to the machine. Few pairs of each in CI; by hand TAREBOOK_RIVALS=20."""
import json
import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import time

from book import BIN, Book

PAIRS = int(os.environ.get("TAREBOOK_RIVALS", "2"))
NOW = "2027-03-01T15:00:00Z"

base = Book(start=False)
base.ok("start", "--company", "Fernhollow Refrigeration", "--zone", "America/Chicago", now="2026-05-01T15:00:00Z")
base.small_register()
for words in (
        ["cylinder", "add", "RC-03", "--use", "recovery", "--refrigerant", "R-448A", "--wc", "47.6lb", "--tare", "27.5lb", "--spec",
         "DOT-4BA400", "--tested", "2026-04", "--place", "shop"],
        ["cylinder", "add", "RC-04", "--use", "recovery", "--refrigerant", "R-448A", "--wc", "47.6lb", "--tare", "27.5lb", "--spec",
         "DOT-4BA400", "--tested", "2026-04", "--place", "shop"],
        ["cylinder", "add", "RC-05", "--use", "recovery", "--refrigerant", "R-448A", "--wc", "47.6lb", "--tare", "27.5lb", "--spec",
         "DOT-4BA400", "--tested", "2026-04", "--gross", "40lb", "--counted", "--owner", "Quillpost Markets"],
        ["machine", "add", "M1", "--flammable", "no"],
        ["technician", "add", "ana", "--name", "Ana", "--certificate", "U-1"],
        ["recover", "--circuit", "OAK/RACK-A/4", "--into", "RC-01", "--before", "27.5lb", "--after", "40lb", "--own-id", "v1"],
        ["recover", "--circuit", "OAK/RACK-A/4", "--into", "RC-03", "--before", "27.5lb", "--after", "37.5lb", "--own-id", "v2"],
        ["weigh", "RC-05", "--gross", "36lb", "--own-id", "v3"],
        ["return", "RC-04", "--to", "Quern Reclaim", "--gross", "27.5lb", "--own-id", "v4"],
        ["leak", "add", "OAK/RACK-A", "--place", "valve", "--own-id", "v5"],
        ["lost", "RC-02", "--why", "left on a roof", "--own-id", "v6"]):
    base.ok(*words)



def named(book, own_id):
    db = sqlite3.connect(book.path)
    (seq,) = db.execute("SELECT seq FROM event WHERE own_id = ?", (own_id,)).fetchone()
    db.close()
    return "E%d" % seq


E = {own: named(base, own) for own in ("v1", "v2", "v3", "v4", "v5", "v6")}
GAP = next(x["finding"] for x in base.json("list", "exceptions")["items"] if x["finding"].startswith("gap/RC-05/"))

other = Book(start=False)  # two trucks of the same shop, and a bundle of one
card = base.ok("books", "card").stdout.strip()
cards = []
for truck in ("t1", "t2"):
    path = os.path.join(other.folder, truck + ".tarebook")
    other.ok("--book", path, "start", "--company", "Fernhollow Refrigeration", "--shop", card)
    cards.append(other.ok("--book", path, "books", "card").stdout.strip())
bundle = os.path.join(other.folder, "t1.bundle")
other.ok("--book", os.path.join(other.folder, "t1.tarebook"), "send", "--to", bundle)
base.ok("books", "trust", "truck-0", "--card", cards[1])


def file_of(name, text):
    path = os.path.join(base.folder, name)
    with open(path, "w") as f:
        f.write(text)
    return path


SHEET = file_of("visit.yaml", """sheet: V-9
site: OAK
day: 2026-11-20
scale: S1
weighings:
  - act: recover
    circuit: OAK/RACK-A/4
    into: RC-03
    before: 37.50
    after: 38.00
    at: "10:00"
""")
ROWS = file_of("rows.csv", "kind,date,time,site,appliance,circuit,cylinder,refrigerant,gross_before_lb,gross_after_lb,technician,job\n"
               "recover,2026-11-21,10:00,OAK,RACK-A,4,RC-03,R-448A,37.5,38.5,ana,7\n")
COUNTED = base.folder + "/counted.csv"


def move(verb, cylinder="RC-03", *rest):
    pair = {"recover": ("--into", "--net", "1lb"), "charge": ("--from", "--net", "1lb"), "reuse": ("--from", "--net", "1lb")}[verb]
    return [verb, "--circuit", "OAK/RACK-A/4", pair[0], cylinder, *pair[1:], *rest]


COUNT = ["count", "begin", "--place", "shop"]
# What the two are; what stands before them; what becomes of them:
#   one: one is recorded, the other refused with one of these names
#   once: one is recorded, the other is answered "already recorded"
#   both: both are recorded, each on the book as it was then
#   some: both, or one and a refusal with one of these names, by which of them comes first
RIVALS = {
    "site add": ([], ["site", "add", "ELM", "--owner", "Elm"], None, "one", "entry-exists"),
    "appliance add": ([], ["appliance", "add", "OAK/NEW", "--category", "other", "--refrigerant", "R-22", "--full-charge", "5lb",
                           "--charge-basis", "maker"], None, "one", "entry-exists"),
    "circuit add": ([], ["circuit", "add", "OAK/RACK-A/5", "--serves", "fish"], None, "one", "entry-exists"),
    "cylinder add": ([], ["cylinder", "add", "RC-77", "--use", "recovery", "--tare", "20lb"],
                     ["cylinder", "add", "RC-77", "--use", "recovery", "--tare", "21lb"], "one", "entry-exists"),
    "scale add": ([], ["scale", "add", "S9", "--reads", "kg"], None, "one", "entry-exists"),
    "machine add": ([], ["machine", "add", "M9", "--flammable", "no"], None, "one", "entry-exists"),
    "technician add": ([], ["technician", "add", "zoe"], None, "one", "entry-exists"),
    "cylinder correct": ([], ["cylinder", "correct", "RC-01", "--tare", "27.6lb"], None, "both", ""),
    "void of an entry, and a use of it": ([["cylinder", "add", "RC-78", "--use", "recovery", "--own-id", "c78"]],
                                          ["void", "c78", "--why", "no such jug"], ["move", "RC-78", "--to", "truck-1"], "some",
                                          "unknown-cylinder"),
    "receive jugs": ([], ["receive", "R-448A", "2x25lb", "--from", "Quern Supply"], None, "both", ""),
    "receive": ([], ["receive", "RC-03", "--from", "Quern Supply", "--net", "2lb"], None, "both", ""),
    "recover": ([], move("recover"), None, "both", ""),
    "recover, to the limit": ([], ["recover", "--circuit", "OAK/RACK-A/4", "--into", "RC-03", "--net", "20lb"], None, "one",
                              "fill-limit"),
    "recover with one own id": ([], move("recover", "RC-03", "--own-id", "x"), None, "once", ""),
    "one own id for two acts": ([], move("recover", "RC-03", "--own-id", "x"), move("recover", "RC-01", "--own-id", "x"), "one",
                                "own-id-other-content"),
    "charge with one own id": ([], move("charge", "RC-03", "--own-id", "x"), None, "once", ""),
    "charge": ([], move("charge"), None, "both", ""),
    "reuse": ([], move("reuse"), None, "both", ""),
    "transfer": ([], ["transfer", "--from", "RC-03", "--into", "RC-01", "--net", "1lb"], None, "both", ""),
    "return": ([], ["return", "RC-03", "--to", "Quern Reclaim"], None, "one", "cylinder-gone"),
    "return and recover": ([], ["return", "RC-03", "--to", "Quern Reclaim"], move("recover"), "some", "cylinder-gone"),
    "return and lost": ([], ["return", "RC-03", "--to", "Quern Reclaim"], ["lost", "RC-03", "--why", "not in the van"], "one",
                        "cylinder-gone"),
    "destroy": ([], ["destroy", "RC-03", "--to", "Quern Furnace"], None, "one", "cylinder-gone"),
    "exchange": ([], ["exchange", "RC-03", "--for", "RC-30", "--with", "Quern Supply"], None, "one", "entry-exists cylinder-gone"),
    "release": ([], ["release", "--cylinder", "RC-03", "--mass", "1lb", "--method", "by eye", "--why", "hose"], None, "both", ""),
    "pumpdown": ([], ["pumpdown", "OAK/RACK-A/4", "--left", "5psig"], None, "both", ""),
    "weigh": ([], ["weigh", "RC-03", "--gross", "37.5lb"], None, "both", ""),
    "weigh with one own id": ([], ["weigh", "RC-03", "--gross", "37.5lb", "--own-id", "x"], None, "once", ""),
    "evacuate": ([], ["evacuate", "RC-03", "--vacuum", "500micron"], None, "both", ""),
    "air-check": ([], ["air-check", "RC-03", "--pressure", "142psig", "--temperature", "75F"], None, "both", ""),
    "requalify": ([], ["requalify", "RC-03", "--tested", "2027-02"], None, "both", ""),
    "move": ([], ["move", "RC-03", "--to", "truck-1"], None, "both", ""),
    "condemn and recover": ([], ["condemn", "RC-03", "--why", "dented"], move("recover"), "some", "condemned-cylinder"),
    "condemn": ([], ["condemn", "RC-03", "--why", "dented"], None, "both", ""),
    "lost": ([], ["lost", "RC-03", "--why", "gone"], None, "one", "cylinder-gone"),
    "found": ([], ["found", "RC-02", "--place", "shop"], None, "both", ""),
    "convert": ([], ["convert", "OAK/RACK-A", "--to", "R-449A"], None, "both", ""),
    "reclassify": ([], ["reclassify", "RC-03", "--evidence", "lab 7", "--to-condition", "reclaimed"], None, "both", ""),
    "leak add": ([], ["leak", "add", "OAK/RACK-A", "--place", "valve"], None, "both", ""),
    "inspect": ([], ["inspect", "OAK/RACK-A", "--method", "detector", "--result", "no-leak"], None, "both", ""),
    "repair": ([], ["repair", "L-1", "--done", "brazed"], None, "both", ""),
    "leak-test": ([], ["leak-test", "L-1", "--stage", "initial", "--result", "pass"], None, "both", ""),
    "plan": ([], ["plan", "OAK/RACK-A", "--kind", "retire", "--by", "2028-01-01"], None, "both", ""),
    "mothball": ([], ["mothball", "OAK/RACK-A", "--pressure", "0psig"], None, "both", ""),
    "extension": ([], ["extension", "OAK/RACK-A", "--for", "parts", "--until", "2028-01-01"], None, "both", ""),
    "settle": ([], ["settle", E["v4"], "--outcome", "reclaimed"], None, "one", "already-settled"),
    "settle and void of the return": ([], ["settle", E["v4"], "--outcome", "reclaimed"], ["void", E["v4"], "--why", "never sent"],
                                      "some", "settle-target"),
    "recycle": ([], ["recycle", "RC-03", "--oil-separated"], None, "both", ""),
    "count begin": ([], COUNT, None, "one", "count-open"),
    "count weigh": ([COUNT], ["count", "weigh", "RC-03", "--gross", "37.5lb"], None, "both", ""),
    "count missing": ([COUNT], ["count", "missing", "RC-03"], None, "both", ""),
    "count close": ([COUNT], ["count", "close"], None, "one", "count-closed unknown-count"),
    "count weigh and close": ([COUNT], ["count", "weigh", "RC-03", "--gross", "37.5lb"], ["count", "close"], "some",
                              "count-closed unknown-count"),
    "void": ([], ["void", E["v1"], "--why", "another job"], None, "one", "already-voided"),
    "correct": ([], ["correct", E["v1"], "--after", "44.10lb"], None, "one", "already-voided"),
    "correct with one own id": ([], ["correct", E["v1"], "--after", "39.10lb", "--own-id", "x"], None, "once", ""),
    "correct and void": ([], ["correct", E["v1"], "--after", "44.10lb"], ["void", E["v1"], "--why", "another job"], "one",
                         "already-voided"),
    "resolve": ([], ["resolve", GAP, "--why", "spilt"], None, "one", "finding-unknown"),
    "resolve and void": ([], ["resolve", GAP, "--why", "spilt"], ["void", E["v3"], "--why", "wrong scale"], "some", "finding-unknown"),
    "job record": ([], ["job", "record", SHEET], None, "once", ""),
    "import movements": ([], ["import", "movements", ROWS], None, "once", ""),
    "stock": ([], ["stock", "level", "R-448A", "--place", "shop", "--at-least", "20lb"], None, "both", ""),
    "isolate": ([], ["isolate", "OAK/RACK-A/4", "--close", "liquid valve"], None, "both", ""),
    "fit": ([], ["fit", "OAK/RACK-A/4", "--part", "valve"], None, "both", ""),
    "note": ([], ["note", "ice on the coil"], None, "both", ""),
    "pressure-test": ([], ["pressure-test", "OAK/RACK-A/4", "--pressure", "300psig", "--held", "60", "--end", "300psig", "--result", "pass"],
                      None, "both", ""),
    "oil": ([], ["oil", "OAK/RACK-A/4", "--out", "12oz", "--in", "16oz", "--kind", "POE"], None, "both", ""),
    "filter-drier": ([], ["filter-drier", "OAK/RACK-A/4", "--fitted", "core 48", "--why", "after opening"], None, "both", ""),
    "identify": ([], ["identify", "RC-01", "--refrigerant", "R-448A", "--result", "pass"], None, "both", ""),
    "compressor": ([], ["compressor", "OAK/RACK-A/4", "--of", "C2", "--fitted", "scroll, 10 hp", "--why", "seized"], None, "both", ""),
    "seal": ([], ["seal", "2026"], None, "one", "year-sealed"),
    "seal and a late entry": ([], ["seal", "2026"], move("recover", "RC-03", "--at", "2026-11-01 10:00"), "both", ""),
    "books trust": ([], ["books", "trust", "truck-1", "--card", cards[0]], None, "both", ""),
    "one name for two books": ([], ["books", "trust", "truck-0", "--card", cards[0]], ["books", "trust", "truck-0", "--card", cards[1]],
                               "one", "name-taken"),
    "books withdraw": ([], ["books", "withdraw", "truck-0", "--why", "stolen"], None, "both", ""),
    "people remove": ([["technician", "add", "yve", "--name", "Yve Corder"]],
                      ["people", "remove", "yve", "--asked", "by the person, in a letter"], None, "one", "person-unknown"),
    "merge": ([], ["merge", bundle], None, "both", ""),
    "merge and trust": ([], ["merge", bundle], ["books", "trust", "truck-1", "--card", cards[0]], "both", ""),
}
# Commands that record nothing, or whose rivals are looked at elsewhere.
LOOKING = {"due", "why", "room", "report", "list", "export", "check", "pt", "label", "send", "backup", "restore", "salvage", "prove",
           "verify", "completion", "man", "complete", "upgrade", "visit", "pages", "doctor", "sync"}
COVERED_BELOW = {"start", "import", "job"}
listed = [line.split()[0] for line in base.ok("--help").stdout.split("Today, in the field:")[1].splitlines() if line.startswith("  ") and line.split()
          and not line.startswith("   ")]
recording = set(listed) - LOOKING - COVERED_BELOW
missing = {c for c in recording if not any(c in (a[0], (b or a)[0]) for _, a, b, _, _ in RIVALS.values())}
assert not missing, "commands without a rival here: %s" % sorted(missing)


def wait_until_both_wait(pair, seconds):
    """Both are started; they have come to the lock when they sleep. The hold is long enough for a busy machine."""
    time.sleep(seconds)


def events_in(path):
    db = sqlite3.connect(path)
    (n,) = db.execute("SELECT count(*) FROM event").fetchone()
    db.close()
    return n


def run_pair(folder, path, first, second):
    env = dict(base.env(NOW), TAREBOOK=path)
    third = sqlite3.connect(path, isolation_level=None)
    third.execute("BEGIN IMMEDIATE")
    pair = [subprocess.Popen([BIN, *words, "--format", "json"], env=env, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
                             stderr=subprocess.PIPE, text=True) for words in (first, second)]
    wait_until_both_wait(pair, 0.12)
    third.execute("ROLLBACK")
    third.close()
    return [(p, *p.communicate(timeout=60)) for p in pair]


def error_name(err):
    try:
        told = json.loads(err[err.index("{"):])
        return told.get("error") or " ".join(p["error"] for p in told["file_problems"])
    except (ValueError, KeyError):
        return err


def prepared(name, before):
    folder = tempfile.mkdtemp(prefix="rivals-", dir=base.folder)
    path = os.path.join(folder, "shop.tarebook")
    shutil.copy(base.path, path)
    b = Book(start=False)
    b.path = path
    for words in before:
        b.ok(*words, now=NOW)
    return folder, path, b


def one_kind(name, before, first, second, becomes, names):
    template_folder, template, at = prepared(name, before)
    if first[:2] == ["void", "c78"]:
        first = ["void", named(at, "c78"), *first[2:]]
    for _ in range(PAIRS):
        folder, path, b = template_folder, os.path.join(template_folder, "pair.tarebook"), at
        shutil.copy(template, path)
        b.path = path
        events = events_in(path)
        done = run_pair(folder, path, first, second or first)
        said = [(name, p.args[1:], p.returncode, out, err) for p, out, err in done]
        taken = [p for p, out, err in done if p.returncode in (0, 4) and "already recorded" not in out + err]
        already = [p for p, out, err in done if p.returncode in (0, 4) and "already recorded" in out + err]
        refused = [error_name(err) for p, out, err in done if p.returncode in (1, 2)]
        assert len(taken) + len(already) + len(refused) == 2, said
        assert all(set(r.split()) & set(names.split()) for r in refused), said
        if becomes == "one":
            assert len(taken) == 1 and len(refused) == 1, said
        elif becomes == "once":
            assert len(taken) + len(already) == 2 and not refused, said
        elif becomes == "both":
            assert len(taken) == 2, said
        else:
            assert len(taken) >= 1, said
        check = b.json("check", codes=(0,), now=NOW)
        assert check["ok"] is True, (said, check)
        added = events_in(path) - events
        if becomes == "once":
            alone = events_after(template, first)
            assert added == alone, (said, added, alone)
        b.path = template
    shutil.rmtree(template_folder)


ALONE = {}


def events_after(template, words):
    """How many events the command adds where it is alone."""
    key = (template, tuple(words))
    if key not in ALONE:
        path = template + ".alone"
        shutil.copy(template, path)
        before = events_in(path)
        done = subprocess.run([BIN, *words], env=dict(base.env(NOW), TAREBOOK=path), stdin=subprocess.DEVNULL, capture_output=True,
                              text=True)
        assert done.returncode in (0, 4), done
        ALONE[key] = events_in(path) - before
        os.unlink(path)
    return ALONE[key]


only = sys.argv[1:]
for name, (before, first, second, becomes, names) in RIVALS.items():
    if not only or name in only:
        one_kind(name, before, first, second, becomes, names)

# Two that make one book: one of them makes it.
for _ in range(PAIRS):
    path = os.path.join(base.folder, "new.tarebook")
    pair = [subprocess.Popen([BIN, "--book", path, "start", "--company", "Fernhollow Refrigeration"], env=base.env(NOW),
                             stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) for _ in range(2)]
    for p in pair:
        p.communicate(timeout=60)
    assert sorted(p.returncode for p in pair) == [0, 3], [p.returncode for p in pair]
    os.unlink(path)

# Without anybody who holds the book: of equal commands none is accepted twice.
pairs = max(8, PAIRS * 2)
if PAIRS >= 20:
    pairs = 40
for n in range(pairs):
    path = os.path.join(base.folder, "pair.tarebook")
    shutil.copy(base.path, path)
    words = (["correct", E["v1"], "--after", "44.10lb"], ["void", E["v1"], "--why", "twice"],
             ["cylinder", "add", "RC-77", "--use", "recovery"], move("recover", "RC-03", "--own-id", "x"))[n % 4]
    pair = [subprocess.Popen([BIN, *words], env=dict(base.env(NOW), TAREBOOK=path), stdin=subprocess.DEVNULL,
                             stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) for _ in range(2)]
    told = [p.communicate(timeout=60) for p in pair]
    accepted = [p for p, (out, err) in zip(pair, told) if p.returncode in (0, 4) and "already recorded" not in out]
    assert len(accepted) == 1, (words, told)
print("rivals: %d kinds, %d pairs of each; %d pairs of equal commands with nobody in between, none accepted twice"
      % (len(RIVALS), PAIRS, pairs))
