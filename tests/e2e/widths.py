"""Text fits the terminal. Over the pages of the demo week: no line is wider than asked but for a single word, no word is lost on
a narrow page, and no other format depends on the width. The width is that of COLUMNS, from 40 to 120, else of the terminal,
else 80. TAREBOOK_WIDTHS=all looks at each width; without it, at those where something changes and at some more each day."""
import collections
import datetime
import fcntl
import os
import pty
import re
import struct
import subprocess
import termios

from book import Book, demo

NOW = "2026-06-08T14:00:00Z"
b = demo(Book(start=False))
EDGES = [40, 44, 59, 60, 80, 120]
others = [w for w in range(40, 121) if w not in EDGES]
day = datetime.date.today().toordinal()
WIDTHS = EDGES + (others if os.environ.get("TAREBOOK_WIDTHS") == "all" else [w for w in others if w % 25 == day % 25])

cylinders = [c["cylinder"] for c in b.json("report", "inventory", now=NOW)["cylinders"]]
events = [e.split(",")[1] for e in b.ok("export", "events", "--format", "csv", now=NOW).stdout.splitlines()[1:]]
assert len(cylinders) > 8 and len(events) > 50, (cylinders, len(events))
PAGES = [["report", "inventory"], ["due"], ["due", "--within", "400d"], ["list", "exceptions"], ["check"], ["books"],
         ["report", "job", "4102"], ["report", "appliance", "OAK/RACK-A"], ["report", "site", "OAK", "--year", "2026"],
         ["report", "truck", "truck-1"], ["report", "year", "2026"], ["report", "year", "2026", "--owner", "Quillpost Markets"],
         ["report", "retention"], ["report", "stock"], ["report", "invoice", "4102"], ["why", "fill-limit/RC-03/E69"], ["circuit", "show", "OAK/RACK-A/4"], ["room", "--for", "62lb", "--refrigerant", "R-448A"],
         ["room", "--could-be", "R-22,R-404A", "--wc", "123lb", "--tare", "57.4lb"], ["pt", "R-448A"], ["pt", "R-448A", "--at", "70F"],
         ["pt", "R-448A", "--about"], ["pt", "R-22", "--cylinder-pressure", "142psig", "--at", "75F"], ["label", "RC-01", "RC-02"],
         ["site", "list"], ["appliance", "list"], ["circuit", "list"], ["cylinder", "list"], ["scale", "list"], ["technician", "list"],
         ["machine", "list"], ["appliance", "show", "OAK/RACK-A"], ["cylinder", "show", "RC-01"], ["report", "visit", "4102"], []]
PAGES += [["report", "cylinder", c] for c in cylinders] + [["room", c] for c in cylinders if not c.startswith("J-")]
PAGES += [["report", "event", "E%d" % n] for n in range(1, len(events), 9)]
os.mkdir(os.path.join(b.folder, "share"))
b.ok("sync", os.path.join(b.folder, "share"), now=NOW)
with open(os.path.join(b.folder, "share", "half.tarebook-parcel"), "w") as f:
    f.write("not all of it")
PAGES += [["sync"], ["books", "trust"]]
PAGES += [["--help"], ["recover", "--help"], ["cylinder", "add", "--help"], ["import", "movements", "--help"]]


def page(words, width, fmt=None):
    env = dict(b.env(NOW), COLUMNS=str(width))
    if width is None:
        del env["COLUMNS"]
    done = subprocess.run([b.binary, *words] + (["--format", fmt] if fmt else []), env=env, stdin=subprocess.DEVNULL, capture_output=True)
    return done.returncode, done.stdout.decode(), done.stderr.decode()


def letters(line):
    return len(line)


def too_wide(text, width):
    """The lines that are wider, and more than one word; quotes in a command are one."""
    return [line for line in text.splitlines() if letters(line) > width
            and len(re.sub(r'"[^"]*"|\'[^\']*\'', "q", line.strip().removeprefix("- ").removesuffix(" \\")).split()) > 1]


def words_in(text):
    """But for the mark of a command that goes on, the dash of a cell that says nothing, and the unit, which is in a heading
    or beside each figure. A digest may stand on two lines."""
    text = re.sub(r"(?<=[0-9a-f]{32})\n *(?=[0-9a-f]{32}\b)", "", text)
    return collections.Counter(w for w in (word.rstrip(",:;") for word in text.split()) if w not in ("\\", "-", "lb", "kg"))


looked = 0
for words in PAGES:
    code, wide, said = page(words, 120)
    assert code in (0, 1, 4), (words, code, said)
    if code == 1:  # a page that this book does not have
        continue
    wanted = words_in(wide)
    for width in WIDTHS:
        again, text, said = page(words, width)
        assert again == code, (words, width, said)
        bad = too_wide(text + said, width)
        assert not bad, "%s at %d: %s" % (" ".join(words), width, bad[0])
        lost = wanted - words_in(text)
        assert not lost, "%s at %d lost %s" % (" ".join(words), width, dict(lost))
        assert not re.search(r"[^\n]-\n *[a-z]", text) or "-\n" in wide or width < 120, words
        looked += 1
assert looked > 60 * len(WIDTHS), looked

# --- beyond the ends the width is clamped, and what is no number is not taken ---
room = ["room", "RC-01"]
assert page(room, 1) == page(room, 40) != page(room, 44)
assert page(room, 100000) == page(room, 120) == page(room, "9" * 40)
for odd in ("0", "-50", "wide", "", "80 "):
    assert page(room, odd) == page(room, 80), odd
assert page(room, None) == page(room, 80)  # a file, or another program

# --- only text depends on it ---
inventory = ["report", "inventory"]
for fmt in ("json", "csv", "html"):
    assert page(inventory, 44, fmt) == page(inventory, 120, fmt), fmt

# --- a refusal to a file is a line each, as scripts search it; for a width it hangs, and its command can be pasted ---
refused = ["recover", "--circuit", "OAK/RACK-A/12", "--into", "RC-04", "--before", "29.00lb", "--after", "75.00lb"]
said = page(refused, None)[2]
assert max(letters(line) for line in said.splitlines()) > 120, said
said = page(refused, 44)[2]
lines = said.splitlines()
assert lines[0].startswith("refused: ") and lines[1].startswith("  ") and not too_wide(said, 44), said
pasted = re.search(r"^ +(tarebook recover(?:.*\\\n)*.*)$", said, re.M).group(1)
typed = subprocess.run(["sh", "-c", 'tarebook() { printf "%s\\n" "$@"; }\n' + pasted], capture_output=True, text=True).stdout.split("\n")
assert typed[:3] == ["recover", "--circuit", "OAK/RACK-A/12"] and typed[-3:-1] == ["--anyway", "reason"], (pasted, typed)


# --- a terminal's own width, and COLUMNS before it ---
def at_terminal(words, columns, **more):
    leader, follower = pty.openpty()
    fcntl.ioctl(follower, termios.TIOCSWINSZ, struct.pack("HHHH", 24, columns, 0, 0))
    child = subprocess.Popen([b.binary, *words], env=dict(b.env(NOW), **more), stdin=follower, stdout=follower, stderr=follower)
    os.close(follower)
    text = b""
    try:
        while piece := os.read(leader, 65536):
            text += piece
    except OSError:  # the other end is closed
        pass
    child.wait()
    os.close(leader)
    return text.decode().replace("\r\n", "\n")


assert at_terminal(room, 50) == page(room, 50)[1]
assert at_terminal(room, 200) == page(room, 120)[1]
assert at_terminal(room, 0) == page(room, 80)[1]
assert at_terminal(room, 50, COLUMNS="100") == page(room, 100)[1]
assert not too_wide(at_terminal(["void", "E999", "--why", "entered twice on the day of the visit"], 44), 44)
# what a program reads stays whole on a terminal as well
assert at_terminal(["completion", "bash"], 44) == page(["completion", "bash"], None)[1]
assert at_terminal(["job", "blank", "--site", "OAK"], 44).count("\n") == page(["job", "blank", "--site", "OAK"], None)[1].count("\n")
print("widths: %d pages at %d widths" % (len(PAGES), len(WIDTHS)))
