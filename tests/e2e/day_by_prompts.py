"""A technician's day of two sites, eight recoveries, a leak and a return: by prompts alone with an open visit, by flags, and by
job sheets. The three books hold the same events, but for their times of recording and own ids. Keys are counted: a recovery
takes at most 25 after the command's Enter, with weights of five characters."""
import json
import re

from book import Book
from terminal import Terminal

DAY = "2026-06-01"
VISITS = (("OAK", "2207"), ("DAIRY", "2208"))


def shop():
    b = Book().small_register()
    b.ok("technician", "add", "ana")
    for circuit in ("OAK/RACK-A/7", "OAK/RACK-A/9", "DAIRY/ICE/2"):
        b.ok("circuit", "add", circuit)
    b.ok("cylinder", "add", "RC-03", "--use", "recovery", "--refrigerant", "R-404A", "--wc", "47.6lb", "--tare", "27.8lb", "--spec",
         "DOT-4BA400", "--tested", "2024-04")
    return b


# What was done, in order: the hour (UTC), the site, the words of the command, and the answers by flag.
ACTS = [
    ("13:00", "OAK", "isolate", {"CIRCUIT": "OAK/RACK-A/4", "close": "liquid: ball valve 5/8"}),
    ("13:05", "OAK", "recover", {"circuit": "OAK/RACK-A/4", "into": "RC-01", "before": "27.50", "after": "30.25", "vacuum": "10inHg"}),
    ("13:30", "OAK", "recover", {"circuit": "OAK/RACK-A/7", "into": "RC-01", "before": "30.25", "after": "33.00", "vacuum": "10inHg"}),
    ("14:00", "OAK", "recover", {"circuit": "OAK/RACK-A/9", "into": "RC-01", "before": "33.00", "after": "36.40", "vacuum": None}),
    ("14:20", "OAK", "recover", {"circuit": "OAK/RACK-A/4", "into": "RC-01", "before": "36.40", "after": "37.00", "vacuum": "12inHg"}),
    ("14:40", "OAK", "leak add", {"APPLIANCE": "OAK/RACK-A", "place": "flare at the drier"}),
    ("15:00", "OAK", "repair", {"LEAK": "L-1", "done": "flare cut anew"}),
    ("15:10", "OAK", "leak-test", {"LEAK": "L-1", "stage": "initial", "result": "pass"}),
    ("15:30", "OAK", "reuse", {"circuit": "OAK/RACK-A/4", "from": "RC-01", "before": "37.00", "after": "30.00"}),
    ("15:40", "OAK", "isolate", {"CIRCUIT": "OAK/RACK-A/4", "reopened": True}),
    ("17:00", "DAIRY", "recover", {"circuit": "DAIRY/ICE/1", "into": "RC-02", "before": "27.80", "after": "30.15", "vacuum": "10inHg"}),
    ("17:20", "DAIRY", "recover", {"circuit": "DAIRY/ICE/2", "into": "RC-02", "before": "30.15", "after": "33.05", "vacuum": "10inHg"}),
    ("17:40", "DAIRY", "recover", {"circuit": "DAIRY/ICE/1", "into": "RC-03", "before": "27.80", "after": "28.40", "vacuum": "10inHg"}),
    ("18:00", "DAIRY", "recover", {"circuit": "DAIRY/ICE/2", "into": "RC-02", "before": "33.05", "after": "33.65", "vacuum": "10inHg"}),
    ("19:00", "DAIRY", "return", {"ID": "RC-03", "to": "Larkfield Reclaim", "gross": "28.40"}),
]
JOB = dict(VISITS)


def when(hour):
    return "%sT%s:00Z" % (DAY, hour)


def by_flags(b):
    for hour, site, act, said in ACTS:
        words = act.split()
        for flag, value in said.items():
            words += [value] if flag.isupper() else ["--" + flag] if value is True else ["--" + flag, value] if value else []
        weighed = any(flag in said for flag in ("before", "gross"))
        b.ok(*words, "--job", JOB[site], "--by", "ana", *(("--scale", "S1") if weighed else ()), now=when(hour))
    return b


def by_sheets(b):
    for site, job in VISITS:
        lines = []
        for hour, at, act, said in ACTS:
            if at != site:
                continue
            local = "%02d:%s" % (int(hour[:2]) - 5, hour[3:])
            fields = {"act": {"leak add": "leak"}.get(act, act), "at": local}
            for flag, value in said.items():
                name = {"CIRCUIT": "circuit", "APPLIANCE": "appliance", "LEAK": "leak", "ID": "cylinder"}.get(flag, flag)
                if value:
                    fields[name] = value
            lines.append("  - " + json.dumps(fields))
        sheet = b.path + "." + job + ".yaml"
        with open(sheet, "w") as f:
            f.write("sheet: V-%s\nsite: %s\nday: %s\njob: %s\nby: ana\nscale: S1\nweighings:\n%s\n" % (job, site, DAY, job, "\n".join(lines)))
        b.ok("job", "record", sheet, now=when("20:00"))
    return b


def by_prompts(b):
    recoveries, keys = [], 0
    open_at = None

    def answered(hour, words, answers):
        """Types the answer to each question, by what it asks; gives the keys."""
        t = Terminal(b, *words, now=when(hour))
        while True:
            try:
                asked = t.until(r"> $|\[y/N\] $")
            except AssertionError:
                break  # it ended
            question = [pattern for pattern in answers if re.search(pattern, asked)]
            assert question, (words, asked)
            answer = answers[question[-1]]
            if callable(answer):
                answer = answer(asked)
            t.type(answer + "\n")
        code = t.end()
        assert code in (0, 4), (words, code, t.seen)
        return t

    for hour, site, act, said in ACTS:
        if site != open_at:
            if open_at:
                t = answered(hour, ["visit", "end"], {r"anyway": "y"})
                assert "the customer" in t.seen or "customer " in t.seen, t.seen
            answered(hour, ["visit", site], {r"job number": JOB[site], r"who does the work": "ana", r"scale in use": "S1"})
            with_scale = b.run("visit", now=when(hour))
            assert "job " + JOB[site] in with_scale.stdout
            open_at = site

        def picked(code):
            # the letter where it is offered, as a person would; else its last part
            def answer(asked):
                letters = dict((c, letter) for letter, c in re.findall(r"  ([a-e])\)  (\S+)", asked))
                first = re.search(r"\[(\S+)\] > $", asked)
                if first and first[1] == code:
                    return ""
                return letters.get(code) or code.split("/")[-1]
            return answer

        answers = {
            r"circuit, for example": picked(said.get("circuit") or said.get("CIRCUIT", "")),
            r"appliance, SITE": picked(said.get("APPLIANCE", "")),
            r"leak, for example": picked(said.get("LEAK", "")),
            r"cylinder that it (goes into|comes from)": picked(said.get("into") or said.get("from", "")),
            r"^(?s:.*)cylinder\n": picked(said.get("ID", "")),
            r"gross weight before": said.get("before", ""),
            r"gross weight after": said.get("after", ""),
            r"what the scale shows": said.get("gross", ""),
            r"vacuum that was reached": said.get("vacuum") or "-",
            r"who takes it": said.get("to", ""),
            r"where on it": said.get("place", ""),
            r"what was done": said.get("done", ""),
            r"initial\|follow-up": said.get("stage", ""),
            r"pass\|fail": said.get("result", ""),
        }
        words = act.split()
        for flag in ("close", "reopened"):
            if flag in said:
                words += ["--" + flag] + ([said[flag]] if said[flag] is not True else [])
        t = answered(hour, words, answers)
        keys += t.keys
        if act == "recover":
            recoveries.append(t.keys)
            assert t.seen.startswith("from the visit to %s: job %s, by ana" % (site, JOB[site])), t.seen
    answered("20:00", ["visit", "end"], {r"anyway": "y"})
    return b, recoveries, keys


def events(b):
    """What the bodies say, without their place in a book, their names, the time of recording and own ids."""
    out = []
    for line in b.ok("export", "events", "--format", "json").stdout.splitlines():
        event = json.loads(line)
        if event.get("kind") in ("start", "entry"):
            continue
        for name in ("book", "seq", "prev", "recorded", "own_id", "event", "digest"):
            event.pop(name, None)
        if not any(name in event["what"] for name in ("weighing", "gross", "before", "after", "net")):
            event.pop("scale", None)  # a sheet's scale stands on each of its lines, also where nothing was weighed
        out.append(event)
    return out


flags, sheets = events(by_flags(shop())), events(by_sheets(shop()))
b, recoveries, keys = by_prompts(shop())
prompts = events(b)
for other, name in ((sheets, "job sheets"), (prompts, "prompts")):
    assert len(flags) == len(other), (name, len(flags), len(other))
    for one, two in zip(flags, other):
        assert one == two, (name, one, two)
assert len(recoveries) == 8 and max(recoveries) <= 25, recoveries
print("a day by prompts, flags and sheets is the same: %d events, %d keys, recoveries %s" % (len(flags), keys, recoveries))
