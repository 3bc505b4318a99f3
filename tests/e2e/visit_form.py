"""The visit form: one file that asks for nothing, whose policy names its script and style; hostile names become no markup;
its table of lines agrees with schema/job-sheet.schema.yaml key for key; and what its script makes of entries is a sheet that
`job record` takes once. What a browser does with it: tests/browser."""
import base64
import hashlib
import html.parser
import json
import os
import re
import shutil
import subprocess

from book import SOURCE, Book

NOW = "2026-06-01T15:00:00Z"
HOSTILE = "<script>alert(1)</script>\"'><img src=x onerror=alert(1)> & </script><!-- \u202e ${x} ]]>"
NEVER = {"link", "iframe", "object", "embed", "form", "img", "base", "a"}
VOID = {"meta", "br", "input"}

b = Book().small_register()
b.ok("site", "add", "PINE", "--owner", HOSTILE, "--name", HOSTILE)
b.ok("appliance", "add", "PINE/A", "--category", "other", "--refrigerant", "R-448A", "--full-charge", "60lb", "--charge-basis", "maker")
b.ok("circuit", "add", "PINE/A/1", "--serves", HOSTILE, "--close", HOSTILE, "--close", "suction: ball valve")
b.ok("technician", "add", "ana", "--name", HOSTILE)
b.ok("leak", "add", "PINE/A", "--place", HOSTILE)
b.ok("cylinder", "add", "RC-03", "--use", "recovery", "--wc", "47.6lb", "--tare", "27.5lb", "--place", "truck-1")
b.ok("cylinder", "add", "RC-04", "--use", "recovery", "--refrigerant", "R-448A", "--tare", "27.5lb", "--place", "truck-1")
b.ok("cylinder", "add", "RC-05", "--use", "recovery", "--refrigerant", "R-448A", "--wc", "47.6lb", "--tare", "27.5lb", "--spec", "DOT-4BA400", "--tested", "2014-04")


b.ok("cylinder", "add", "SC-01", "--use", "supply", "--refrigerant", "R-448A", "--wc", "47.6lb", "--tare", "27.5lb", "--spec", "DOT-4BA400", "--tested", "2024-04")


class Strict(html.parser.HTMLParser):
    def __init__(self):
        super().__init__(convert_charrefs=True)
        self.open, self.blocks, self.words, self.policy, self.ids, self.labels = [], [], [], "", [], []

    def handle_starttag(self, tag, attrs):
        attrs = dict(attrs)
        assert tag not in NEVER, tag
        assert not any(name.startswith("on") or name in ("style", "src", "href", "action") for name in attrs), attrs
        if attrs.get("http-equiv") == "Content-Security-Policy":
            self.policy = attrs["content"]
        if "id" in attrs:
            self.ids.append(attrs["id"])
        if tag in ("script", "style"):
            self.blocks.append([tag, attrs.get("type", ""), attrs.get("id", ""), ""])
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        if tag in VOID:
            return
        assert self.open and self.open[-1] == tag, (tag, self.open)
        self.open.pop()

    def handle_data(self, data):
        if self.open and self.open[-1] in ("script", "style"):
            self.blocks[-1][3] += data
        elif data.strip():
            self.words.append(data.strip())


def form(*words, now=NOW):
    out = b.ok("job", "blank", *words, "--format", "html", now=now).stdout
    p = Strict()
    p.feed(out)
    p.close()
    assert not p.open and len(set(p.ids)) == len(p.ids), (p.open, p.ids)
    kinds = [(tag, kind, name) for tag, kind, name, _ in p.blocks]
    assert kinds == [("style", "", ""), ("script", "application/json", "book"), ("script", "application/json", "entries"), ("script", "", "")], kinds
    p.style, p.book, p.entries, p.script = (text for _, _, _, text in p.blocks)
    p.text, p.page = " ".join(p.words), out
    return p


def policy_hash(text):
    return "'sha256-%s'" % base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


before = b.digest()
p = form("--site", "PINE", "--job", "2208")
assert b.digest() == before
assert p.policy == ("default-src 'none'; style-src %s; script-src %s; base-uri 'none'; form-action 'none'; require-trusted-types-for 'script'; "
                    "trusted-types 'none'" % (policy_hash(p.style), policy_hash(p.script))), p.policy
# nothing from outside, nothing that makes code or markup of text
assert "http" not in p.page.replace("http-equiv", "") and "url(" not in p.style and "@import" not in p.style
for word in ("eval", "innerHTML", "outerHTML =", "insertAdjacent", "document.write", "Function(", "fetch(", "XMLHttpRequest", "import(", "sendBeacon",
             "WebSocket", "parseFloat", "Math.round", "<!--", "</"):
    assert word not in p.script.replace("outerHTML + ", "").replace("\"</\" + ", ""), word
# the script and the style are the files, byte for byte
room = os.path.join(SOURCE, "lib", "report")
texts = {name: open(os.path.join(room, name), encoding="utf-8").read() for name in
         ("visit_form.css", "visit_sheet.js", "visit_form.js", "visit_form_lines.json")}
assert p.script == texts["visit_sheet.js"] + texts["visit_form.js"] and p.style == texts["visit_form.css"]

# Hostile names are text, wherever they stand.
assert p.page.count("<script") == 3 and p.page.count("</script>") == 3 and "<img" not in p.page and "\u202e" not in p.words
assert p.text.count("alert(1)") >= 3, "the names themselves are shown"
book = json.loads(p.book)
assert json.loads(p.entries) is None
assert book["circuits"][0]["close"] == [HOSTILE, "suction: ball valve"] and book["people"][0]["name"] == HOSTILE
assert book["leaks"] == [{"leak": "L-1", "appliance": "PINE/A", "place": HOSTILE}]
assert re.fullmatch("PINE-[0-9a-f]{12}", book["id"]) and book["id"] != json.loads(form("--site", "PINE").book)["id"]

# Figures are those of `room`, as of the moment of the page on the site's clock.
assert book["as_of"] == "2026-06-01 10:00" and book["zone"] == "America/Chicago" and book["made"] == NOW
cylinders = {c["cylinder"]: c for c in book["cylinders"]}
assert set(cylinders) == {"RC-01", "RC-03", "RC-04", "RC-05", "SC-01"}, cylinders  # RC-02 is kept for another gas
room_01 = b.json("room", "RC-01", now=NOW)
stop = cylinders["RC-01"]["stops"][0]
assert stop["stop_count"] == room_01["stop_gross_count"] and stop["slow_count"] == room_01["slow_gross_count"], (stop, room_01)
assert "STOP AT %s" % stop["stop"] in p.text and "as of 10:00" in p.text
# An empty cylinder that is kept for no gas: its weight with the gas of the site, which is not that of unknown contents.
assert [s["gas"] for s in cylinders["RC-03"]["stops"]] == ["R-448A"]
assert cylinders["RC-03"]["stops"][0]["stop_count"] == stop["stop_count"]
assert cylinders["RC-04"]["stops"] == [] and "water capacity" in cylinders["RC-04"]["not_known"]
assert cylinders["RC-05"]["do_not_fill"] and "DO NOT FILL: out of test since" in p.text
aboard = json.loads(form("--site", "PINE", "--place", "truck-1").book)["cylinders"]
assert [c["cylinder"] for c in aboard] == ["RC-03", "RC-04"]
assert "NO SCRIPT RUNS HERE" in p.text and "local codes and a licensed person decide" in p.text

# The table of lines against the schema of job sheets, key for key and word for word.
assert book["lines"] == json.loads(texts["visit_form_lines.json"])
schema = open(os.path.join(SOURCE, "schema", "job-sheet.schema.yaml"), encoding="utf-8").read()
top, defs = schema.split("\n$defs:\n")
defined = {name: body for name, body in re.findall(r"^  ([a-z-]+):(.*(?:\n(?:    .*|))*)", defs, re.M)}
keys_of = lambda body: set(re.findall(r"^      ([a-z_-]+):", body, re.M))
acts = {name: body for name, body in defined.items() if "act: {const: %s}" % name in body}
assert len(acts) == 23, sorted(acts)
lines = book["lines"]
# `plan` is signed at a desk; `isolated` says as a remark what the form writes as a line of its own
LEFT_OUT = {"acts": {"plan"}, "head": {"isolated"}}
assert set(acts) - set(lines["acts"]) == LEFT_OUT["acts"] and set(lines["acts"]) <= set(acts)
assert keys_of(defined["line"]) == set(lines["every"])
for act, known in lines["acts"].items():
    written = known["keys"] + known["more"]
    assert len(set(written)) == len(written) and not set(written) & set(lines["every"]), act
    assert set(written) | {"act"} == keys_of(acts[act]), (act, set(written) ^ keys_of(acts[act]))
    required = re.search(r"required: \[([^]]*)\]", acts[act]).group(1).split(", ")
    assert set(required) - {"act"} <= set(known["need"]), (act, required)
    for key in written:
        kind = lines["keys"].get(act + "." + key) or lines["keys"][key]
        field = re.search(r"^      %s: (.*)" % re.escape(key), acts[act], re.M).group(1)
        words = re.search(r"enum: \[([^]]*)\]", field if "#/$defs/reason" not in field else defined["reason"])
        if kind["kind"] == "choice":
            assert words, (act, key)
            assert kind["words"].split("|") == [w.strip("\"") for w in words.group(1).split(", ") if w != "null"], (act, key)
        assert ("weight" in field) == (kind["kind"] == "weight"), (act, key, field)
        assert ("flag" in field or "boolean" in field) == (kind["kind"] == "flag"), (act, key, field)
        assert ("minutes" in field or "integer" in field) == (kind["kind"] == "whole"), (act, key, field)
used = {act + "." + key for act, known in lines["acts"].items() for key in known["keys"] + known["more"]}
assert all(name in used or any(u.endswith("." + name) for u in used) or name in lines["every"] for name in lines["keys"]), "a key of no line"
head = set(re.findall(r"^  ([a-z]+):", top.split("\nproperties:\n")[1], re.M))

# What has no place in a form, or on a sheet of text.
for words, says in {
    ("--site", "OAKS"): "no site OAKS",
    ("--site", "OAK", "--place", "truck-9"): "no cylinder at truck-9",
}.items():
    done = b.run("job", "blank", *words, "--format", "html")
    assert done.returncode == 1 and done.stdout == "" and says in done.stderr, done.stderr
done = b.run("job", "blank", "--site", "OAK", "--place", "truck-1")
assert done.returncode == 2 and done.stdout == "" and "--format html" in done.stderr, done.stderr

practice = Book(start=False)
practice.ok("start", "--practice", "--company", "Fernhollow Refrigeration", "--zone", "America/Chicago")
practice.ok("site", "add", "OAK", "--owner", "Quillpost Markets")
shown = practice.ok("job", "blank", "--site", "OAK", "--format", "html").stdout
assert shown.startswith("<!DOCTYPE html>") and "<h1>PRACTICE: Visit form: OAK</h1>" in shown and "nothing in this book is real" in shown

node = shutil.which("node")
if not node:
    print("visit form: the page is as it must be; its script was not run, as node is not here (package nodejs)")
    raise SystemExit(0)


def ask(*asked):
    done = subprocess.run([node, os.path.join(SOURCE, "tests", "e2e", "visit_form_sheet.js"), os.path.join(room, "visit_sheet.js")],
                          input=json.dumps(asked), capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


# Weights: what the form reads is what the program reads. 1 lb is 453.59237 g exactly (international yard and pound agreement
# of 1959, NIST Handbook 44, appendix C).
typed = ["31.20", "0.1", "0.3", ".5", "12 lb 8 oz", "12 8", "12lb 8oz", "14.15kg", "14.1503 kg", "850g", "850.1 G", "200oz", "27,5", "31.2000001", "31.20 kg 4",
         "12.5 lb 8 oz", "12 lb 16 oz", "-3", "3e2", "7.", "1 2 3", "999999999", "0", "31.20lbs", "31.20 stone", "12 lb 8.01 oz", "12 lb 8.001 oz"]
for unit, scale in (("lb", "lb"), ("kg", "kg"), ("lb oz", "lb-oz")):
    # each typed weight becomes a remark of a dry reading of a sheet: the program says which it refuses
    told = ask(*[["weight", text, unit] for text in typed])
    sheet = "sheet: W-1\nsite: OAK\nday: 2026-05-28\nscale: %s\nweighings:\n" % {"lb": "S1", "kg": "S9", "lb-oz": "S3"}[scale]
    if scale == "kg":
        b.ok("scale", "add", "S9", "--reads", "kg", "--division", "0.02kg")
    for text, w in zip(typed, told):
        sheet += "  - {act: weigh, at: \"09:00\", cylinder: RC-99, gross: %s}\n" % json.dumps(w["text"])
    path = os.path.join(b.folder, "weights.yaml")
    with open(path, "w") as f:
        f.write(sheet)
    refusal = json.loads(b.run("job", "record", path, "--format", "json").stderr)
    at_weights = {q["line"] - 6 for q in refusal["file_problems"] if q["field"] == "gross"}
    assert at_weights, refusal
    for n, (text, w) in enumerate(zip(typed, told)):
        # the form may ask for more: it wants a weight of few digits, and a unit that it can subtract
        assert not (n in at_weights and "problem" not in w), (unit, text, w, refusal["file_problems"])
        assert "problem" in w or w["counts"], (text, w)
counts = {text: w for text, w in zip(typed, ask(*[["weight", text, "lb"] for text in typed]))}
pound = 362873896000
assert counts["31.20"] == {"text": "31.20lb", "counts": str(3120 * pound // 100)} and counts["12 lb 8 oz"]["counts"] == str(25 * pound // 2)
assert counts["14.15kg"]["counts"] == str(14150 * 800000000) and counts["200oz"]["counts"] == str(25 * pound // 2)
for text in ("27,5", "31.2000001", "12 lb 16 oz", "-3", "3e2", "7.", "1 2 3", "31.20 stone", "12 lb 8.001 oz"):
    assert "problem" in counts[text], (text, counts[text])

entries = {"sheet": book["id"] + ".0badcafe", "changes": 3, "ticks": {}, "given": None,
           "head": {"job": "2208", "day": "2026-06-01", "by": "ana", "scale": "S1", "note": HOSTILE, "readings": [["suction", "42psig"], ["box: \"A\"", "36F"]]},
           "lines": []}


def line(act, unit="lb", day="2026-06-01", **values):
    return {"act": act, "unit": unit, "day": day, "values": {key.replace("__", "-"): value for key, value in values.items()}}


# 0.3 - 0.1 is 0.2, and 44.85 - 31.20 is 13.65; binary fractions say otherwise of both.
moved = lambda l: [d["words"] for d in ask(["differences", l])[0]]
assert 0.3 - 0.1 != 0.2 and 44.85 - 31.20 != 13.65
assert moved(line("recover", into="RC-01", before="0.1", after="0.3")) == ["0.20 lb into RC-01"]
assert moved(line("recover", into="RC-01", before="31.20", after="44.85")) == ["13.65 lb into RC-01"]
assert moved(line("charge", **{"from": "J-1", "before": "31.255", "after": "31.2"})) == ["0.055 lb out of J-1"]
assert moved(line("recover", unit="lb oz", into="RC-01", before="12 8", after="20 1.5")) == ["7 lb 9.50 oz into RC-01"]
assert moved(line("transfer", unit="kg", into="RC-01", **{"from": "RC-05", "from-before": "20.02", "from-after": "18.5", "into-before": "15", "into-after": "16.52"})) == \
    ["1.52 kg out of RC-05", "1.52 kg into RC-01"]


def remarks(l, old=False, scale="S1"):
    return ["%s: %s" % (r["level"], r["words"]) for r in ask(["remarks", book, {**entries["head"], "scale": scale}, l, old])[0]]


# STOP AT of RC-01: 80 % of 47.6 lb of water at most, so that no remark of it can come from the test itself.
stop_lb = int(stop["stop_count"]) / pound
at_stop, over = "%.2f" % stop_lb, "%.2f" % (stop_lb + 0.05)
to_rc01 = dict(circuit="PINE/A/1", into="RC-01", before="27.5", vacuum="10inHg")
said = remarks(line("recover", after=at_stop, **to_rc01))
assert not any(r.startswith("stop") for r in said) and any("slow down" in r for r in said) and any("room in RC-01: 0.00 lb" in r for r in said), said
said = remarks(line("recover", after=over, **to_rc01))
assert any(r.startswith("stop: OVER STOP AT: RC-01 at %s lb is 0.05 lb over STOP AT %s (as of 10:00)" % (over, stop["stop"])) for r in said), said
assert any("as of 10:00, older than 12 h" in r for r in remarks(line("recover", after=over, **to_rc01), old=True))
assert any(r.startswith("stop: OVER STOP AT") for r in remarks(line("weigh", cylinder="RC-01", gross=over)))
assert "look: Weight after 31.23 lb: scale S1 shows steps of 0.05 lb, and not this weight" in remarks(line("recover", after="31.23", **to_rc01))
assert not any("shows steps" in r for r in remarks(line("recover", after="31.25", **to_rc01)))
assert any(r.startswith("stop: DO NOT FILL RC-05: out of test") for r in remarks(line("recover", circuit="PINE/A/1", into="RC-05")))
heavy = "%.2f" % (stop_lb + 5)
assert not any("STOP AT" in r for r in remarks(line("charge", circuit="PINE/A/1", before=heavy, **{"from": "SC-01"})))
assert any("SC-01 is for supply" in r for r in remarks(line("recover", circuit="PINE/A/1", into="SC-01")))
assert any("STOP AT of RC-04 is not known" in r for r in remarks(line("recover", circuit="PINE/A/1", into="RC-04", before="27.5", after="28")))
assert any("under its tare" in r for r in remarks(line("weigh", cylinder="RC-01", gross="27.45")))
assert any("the other way" in r for r in remarks(line("recover", circuit="PINE/A/1", into="RC-01", before="30", after="29")))
assert "lack: missing: into cylinder; weight before and weight after, or net weight" in remarks(line("recover", circuit="PINE/A/1"))

# Old after twelve hours, and not known where the phone's clock is before the page's.
hour = 3600 * 1000
assert [a["old"] for a in ask(*[["age", t, 0] for t in (0, 12 * hour, 12 * hour + 61000, -5 * 60000, -hour)])] == [False, False, True, False, True]
assert ask(["clock", 0, "America/Chicago"])[0] == {"day": "1969-12-31", "time": "18:00"}

# A sheet with hostile words: recorded once, with all that was typed.
entries["lines"] = [
    line("isolate", at="09:00", circuit="PINE/A/1", close=HOSTILE + "\nsuction: ball valve"),
    line("recover", at="09:30", circuit="PINE/A/1", into="RC-01", before="27.50", after="31.20", vacuum="10inHg", held="5",
         note=HOSTILE + "\n- not: a key\n\u2028 \ud83e\uddca", readings=[["suction", "10inHg"]]),
    line("leak-test", at="10:10", leak="L-1", stage="initial", result="pass"),
    line("fit", at="10:20", circuit="PINE/A/1", part="filter-drier", tag=": #1 @x *y %z", quantity="2"),
    line("inspect", at="10:25", appliance="PINE/A", method="electronic leak detector", result="no-leak"),
    line("note", at="00:10", day="2026-06-02", text="after midnight"),
]
text = ask(["sheetText", book, entries])[0]
assert "    at: \"2026-06-02 00:10\"\n" in text and text.count("\n  - act: ") == 6 and "before: \"27.50lb\"" in text, text
path = os.path.join(b.folder, "visit.yaml")
with open(path, "w", encoding="utf-8") as f:
    f.write(text)
done = b.run("job", "record", path, "--format", "json", now="2026-06-02T15:00:00Z")
assert done.returncode in (0, 4), (done.stderr, text)
events = json.loads(done.stdout)["events"]
assert len(events) == 6, events
after_first = b.digest()
again = b.run("job", "record", path, now="2026-06-02T16:00:00Z")
assert again.returncode == 0 and "already recorded: sheet %s" % entries["sheet"] in again.stdout and b.digest() == after_first, again.stdout
state = b.json("room", "RC-01", now="2026-06-02T16:00:00Z")
assert state["gross_count"] == str(3120 * pound // 100), state
# A line more at the end is one event more; a line that was changed is refused.
entries["lines"].append(line("weigh", at="00:30", day="2026-06-02", cylinder="RC-01", gross="31.20"))
with open(path, "w", encoding="utf-8") as f:
    f.write(ask(["sheetText", book, entries])[0])
more = b.ok("job", "record", path, now="2026-06-02T16:00:00Z")
assert "6 recorded already" in more.stdout and ", 1 new" in more.stdout, more.stdout
given = {**entries, "given": {"at": "", "lines": ask(*[["lineText", book, entries["head"], l] for l in entries["lines"]])}}
assert ask(["changedSinceGiven", book, given])[0] == []
given["lines"] = json.loads(json.dumps(given["lines"]))
given["lines"][1]["values"]["after"] = "31.25"
assert ask(["changedSinceGiven", book, given])[0] == [2]
with open(path, "w", encoding="utf-8") as f:
    f.write(ask(["sheetText", book, given])[0])
changed = b.run("job", "record", path, now="2026-06-02T16:00:00Z")
assert changed.returncode == 1 and "Nothing was written" in changed.stderr, changed.stderr

# Every key of every line goes through: the program may refuse a value, and never the key, the shape or the word.
plain = {"circuit": "PINE/A/1", "appliance": "PINE/A", "cylinder": "RC-01", "leak": "L-1", "person": "ana", "scale": "S1", "machine": "M1", "weight": "30.00",
         "pressure": "500micron", "whole": "3", "flag": "true", "text": "some words: with a colon", "area": "two\nlines", "points": "one\ntwo: 2", "time": "09:00"}
kind_of = lambda act, key: lines["keys"].get(act + "." + key) or lines["keys"][key]
tried, sheets = [], []
for act, known in lines["acts"].items():
    for key in known["keys"] + known["more"] + lines["every"]:
        kind = kind_of(act, key)["kind"]
        for value in kind_of(act, key)["words"].split("|") if kind == "choice" else [plain.get(kind, "")]:
            values = {k: plain[kind_of(act, k)["kind"]] for k in ["at"] + known["need"] if kind_of(act, k)["kind"] in plain}
            values[key] = [["suction", "42psig"]] if kind == "readings" else value
            if act == "inspect" and (key == "of" or value in ("pass", "fail")):
                values.update({"of": "detection-system", "result": value if value in ("pass", "fail") else "pass"})
            tried.append((act, key, value))
            sheets.append({**entries, "sheet": book["id"] + ".%08x" % len(tried), "lines": [{"act": act, "unit": "lb", "day": "2026-06-01", "values": values}]})
wrong = []
for (act, key, value), text in zip(tried, ask(*[["sheetText", book, one] for one in sheets])):
    assert "    %s:" % key in text, (act, key, text)
    with open(path, "w", encoding="utf-8") as f:
        f.write(text)
    told = b.run("job", "record", path, "--format", "json", now="2026-06-02T17:00:00Z")
    if told.returncode in (1, 2):
        for problem in json.loads(told.stderr)["file_problems"]:
            if problem["error"] in ("sheet-unknown-key", "sheet-key-of-other-act", "sheet-shape", "sheet-word", "sheet-number"):
                wrong.append((act, key, value, problem))
assert not wrong, wrong
assert len(tried) > 150, len(tried)

# What comes from a file or from the browser's storage is taken field by field: no other form's, no unknown act.
assert ask(["entriesFrom", book, {"sheet": "OAK-1", "lines": []}])[0] is None and ask(["entriesFrom", book, None])[0] is None
taken = ask(["entriesFrom", book, {"sheet": book["id"] + ".1", "lines": [{"act": "__proto__"}, {"act": "plan"}, {"act": "weigh", "unit": "x", "values": {"gross": 5, "x": 1}}]}])[0]
assert [l["act"] for l in taken["lines"]] == ["weigh"] and taken["lines"][0]["unit"] == "lb" and taken["lines"][0]["values"]["gross"] == "", taken
# The head of a sheet has no key that the schema lacks.
written = set(re.findall(r"^([a-z]+):", ask(["sheetText", book, entries])[0], re.M))
assert head - written == LEFT_OUT["head"] and written <= head, (written, head)
print("visit form: one file without a request, %d acts, %d keys and words through `job record`; its script run by node" % (len(lines["acts"]), len(tried)))
