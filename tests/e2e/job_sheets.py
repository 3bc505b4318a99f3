"""Job sheets through the real binary: recorded once, all or nothing, every problem in one run, drafts kept and removed."""
import json
import os
import re
import stat
import subprocess

from book import BIN, SOURCE, Book

NOW = "2026-06-01T15:00:00Z"
HEAD = """sheet: V-1
site: OAK
day: 2026-05-28
job: 2207
scale: S1
weighings:
"""
ONE = "  - {act: recover, at: 09:00, circuit: OAK/RACK-A/4, into: RC-01, before: 27.5, after: 38.25, vacuum: 10inHg}\n"
TWO = "  - {act: weigh, at: 11:30, cylinder: RC-01, gross: 38.25}\n"
THREE = "  - {act: reuse, at: 14:00, circuit: OAK/RACK-A/4, from: RC-01, before: 38.25, after: 30.1}\n"

b = Book().small_register()
sheet = os.path.join(b.folder, "visit.yaml")
drafts = b.path + ".drafts"


def write(text, name=sheet):
    with open(name, "wb") as f:
        f.write(text if isinstance(text, bytes) else text.encode())
    return name


def refused(text, code, *says, name=sheet):
    """Refused with this code and these words, the book unchanged, the text kept; gives where."""
    before = b.digest()
    done = b.run("job", "record", write(text, name))
    assert done.returncode == code, (done.returncode, done.stderr, done.stdout)
    assert done.stdout == "" and b.digest() == before, done.stdout
    for words in says:
        assert words in done.stderr, (words, done.stderr)
    kept = re.search(r"kept as a draft: (.*)", done.stderr)
    return kept.group(1) if kept else None


# several problems in one run, each at its line, and the text is kept for its owner alone
wrong = HEAD + ONE.replace("27.5", "27,5") + TWO.replace("RC-01", "RC-1") + THREE.replace("reuse", "resue")
kept = refused(wrong, 2, sheet + ":7: 5: there is no such key", sheet + ":8: cylinder: there is no cylinder RC-1 on record", "did you mean RC-01?",
               sheet + ":9: act: ", "did you mean reuse?", "problems in " + sheet)
assert kept == os.path.join(drafts, "V-1.yaml"), kept
assert open(kept).read() == wrong
assert stat.S_IMODE(os.stat(kept).st_mode) == 0o600 and stat.S_IMODE(os.stat(drafts).st_mode) == 0o700
assert os.listdir(drafts) == ["V-1.yaml"], os.listdir(drafts)

# what the checks refuse is exit 1, and says how to record it if it did happen; a reason stands on its own line only
overfull = HEAD + ONE.replace("38.25", "80") + ONE.replace("RC-01", "RC-02").replace("38.25", "80")
refused(overfull, 1, sheet + ":7: RC-01 would hold", sheet + ":8: RC-02 would hold", "anyway: \"reason\"")
half = HEAD + ONE.replace("38.25", "80").replace("}", ", anyway: vapour burst the hose}") + \
    ONE.replace("RC-01", "RC-02").replace("38.25", "80")
refused(half, 1, sheet + ":8: RC-02 would hold")

# recorded: the screens, and the draft is gone with its folder
done = b.ok("job", "record", write(HEAD + ONE + TWO))
assert "10.75 lb recovered into RC-01" in done.stdout and "STOP AT" in done.stdout and "job 2207" in done.stdout, done.stdout
assert not os.path.exists(drafts)

# again: nothing, whatever the clock says by then
before = b.digest()
again = b.run("job", "record", sheet, now="2027-01-01T00:00:00Z")
assert again.returncode == 0 and "already recorded: sheet V-1" in again.stdout and b.digest() == before, again
assert b.json("job", "record", sheet)["events"] == [] and b.digest() == before

# new lines at its end: they alone
more = b.ok("job", "record", write(HEAD + ONE + TWO + THREE))
assert "2 recorded already" in more.stdout and "1 new" in more.stdout and "8.15 lb reused" in more.stdout, more.stdout
assert more.stdout.count("recorded as E") == 1, more.stdout

# a changed line, and a line left out
kept = refused(HEAD + ONE.replace("38.25", "38.35") + TWO + THREE, 1, sheet + ":7: V-1/1 is recorded already as E",
               "with other content", "tarebook correct E")
refused(HEAD + ONE + TWO, 1, "line 3 of this sheet is recorded as E", "tarebook void E")
assert os.path.exists(kept)
b.ok("job", "record", write(HEAD + ONE + TWO + THREE))
assert not os.path.exists(kept)

# a reason on the line
second = (HEAD + ONE).replace("V-1", "V-2").replace("RC-01", "RC-02").replace("27.5", "27.8").replace("38.25", "30")
refused(second, 1, sheet + ":7: ")
took = b.run("job", "record", write(second.replace("}", ", anyway: no other jug on the truck}")))
assert took.returncode == 4 and "EXCEPTION" in took.stdout, took
assert "no other jug on the truck" in b.run("list", "exceptions").stdout

# the standard input; what is typed is kept too, and the draft itself can be mended and recorded
typed = (HEAD + TWO).replace("V-1", "V-3")


def from_stdin(text, *words):
    return subprocess.run([BIN, "job", "record", "-", *words], env=b.env(NOW), input=text.encode(), capture_output=True)


bad = from_stdin(typed.replace("38.25", "thirty"))
assert bad.returncode == 2 and b"(typed):7: gross: " in bad.stderr, bad.stderr
draft = os.path.join(drafts, "V-3.yaml")
assert ("tarebook job record " + draft).encode() in bad.stderr, bad.stderr
b.ok("job", "record", write(typed.replace("38.25", "30.1"), draft))
assert not os.path.exists(drafts)
assert from_stdin(typed.replace("38.25", "30.1")).stdout.startswith(b"already recorded")

# JSON: the recorded page, and the problems as one object
page = from_stdin((HEAD + TWO).replace("V-1", "V-4").replace("38.25", "30.1"), "--format", "json")
assert [e["kind"] for e in json.loads(page.stdout)["events"]] == ["weigh"], page
bad = from_stdin(wrong.replace("V-1", "V-5"), "--format", "json")
told = json.loads(bad.stderr)
assert bad.returncode == 2 and not told["written"] and told["kept"].endswith("V-5.yaml"), told
assert [(p["line"], p["field"], p["error"]) for p in told["file_problems"]] == [
    (7, "5", "sheet-unknown-key"), (8, "cylinder", "unknown-cylinder"), (9, "act", "sheet-word")], told
os.remove(told["kept"])

# a blank that is filled in records
blank = b.ok("job", "blank", "--site", "OAK", "--job", "2208").stdout
assert "OAK/RACK-A/4" in blank and "produce" in blank
filled = blank.replace("day:", "day: 2026-05-29", 1)
for key, value in [("act", "weigh"), ("at", "08:15"), ("cylinder", "RC-01"), ("note", "start of the week")]:
    filled = re.sub(r"(\n  (?:- |  )%s:)" % key, r"\1 " + value, filled, count=1)
filled = filled.replace("    cylinder: RC-01", "    cylinder: RC-01\n    gross: 30.1lb", 1)
done = b.ok("job", "record", write(filled))
assert "job 2208" in done.stdout, done.stdout
assert b.run("job", "blank", "--site", "OKA").returncode == 1

# the sheet in the guide, after README's first recovery
guide = open(os.path.join(SOURCE, "cli/guide/visits.md")).read()
shown = "".join(line[4:] + "\n" for line in re.search(r"((?:    [^\n]*\n)*    sheet: [^\n]*\n(?:    [^\n]*\n)*)", guide).group(1).splitlines())
r = Book().small_register()
r.ok("recover", "--circuit", "OAK/RACK-A/4", "--into", "RC-01", "--before", "27.5lb", "--after", "43.25lb", "--at", "2026-05-27 10:00")
done = r.ok("job", "record", write(shown))
assert "7.85 lb recovered" in done.stdout and "EXCEPTION" not in done.stdout, done.stdout

# bad bytes of every sort: a line, no crash, an unchanged book
ROWS = [
    # text, exit code, what the message must say
    (b"", 2, "the sheet is empty"),
    (b"# only a remark\n", 2, "the sheet is empty"),
    (b"\xff\xfes\0h\0", 2, ":1: the text is not UTF-8"),
    (HEAD.encode() + b"  - \0\n", 2, ":7: a control character"),
    (HEAD + "  - &x {act: weigh}\n", 2, ":7: a sheet takes no anchor"),
    (HEAD + "  - *x\n", 2, ":7: a sheet takes no alias"),
    (HEAD + "  - !x {act: weigh}\n", 2, ":7: a sheet takes no tag"),
    (HEAD + "  - <<: {act: weigh}\n", 2, ":7: <<: a sheet takes no merge key"),
    (HEAD + "\t- {act: weigh}\n", 2, ":7: a tab"),
    (HEAD + ONE + "---\n" + HEAD + ONE, 2, ":8: one file is one sheet"),
    (HEAD + "  - {act: weigh, act: weigh}\n", 2, ":7: act: the key is there twice"),
    (HEAD + "  - {act: weigh\n", 2, ":7: the bracket does not end"),
    (HEAD + "  - {act: weigh, note: \"x}\n", 2, ":7: the quote does not end"),
    (HEAD + ONE + "note: one: two\n", 2, ":8: this is not YAML"),
    (HEAD + "  - " + "[" * 50000 + "\n", 2, ":7: lists and keys are nested too deeply"),
    (HEAD + "note: " + "x" * 70000 + "\n", 2, ":7: the line is too long"),
    (HEAD + "# " + "x" * 60000 * 1 + "\n" + ("# " + "x" * 1000 + "\n") * 1100, 2, "too large"),
    ("technician: ana\n" + HEAD + ONE, 2, ":1: technician: there is no such key"),
]
for text, code, says in ROWS:
    refused(text, code, says)
for name in os.listdir(drafts):
    assert name == "V-1.yaml" or name.startswith("unnamed-"), name
# DOS line ends and a byte order mark are taken
dos = "\ufeff" + (HEAD + TWO).replace("V-1", "V-6").replace("38.25", "30.1").replace("\n", "\r\n")
b.ok("job", "record", write(dos))
missing = b.run("job", "record", os.path.join(b.folder, "none.yaml"))
assert missing.returncode == 2 and "cannot be read" in missing.stderr, missing
assert b.run("job", "record", b.folder).returncode == 2
# where no draft can be kept, the refusal stands
os.rename(drafts, drafts + ".away")
write("in the way", drafts)
lost = b.run("job", "record", write(wrong))
assert lost.returncode == 2 and "could not be kept" in lost.stderr, lost.stderr
assert b.ok("check").returncode == 0
print("job sheets: recorded once, refused whole, drafts kept")
