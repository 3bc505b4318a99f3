"""Letters that a terminal obeys are shown, on stdout as on stderr, whoever said them; in CSV they and what a spreadsheet
would compute are written so that nothing happens, and a program gets back exactly what was typed.
Letters: ECMA-48 (ESC, CSI as U+009B); Unicode UAX #9 (U+202E turns the order around). Cells: CWE-1236."""
import csv
import io
import json
import os
import re
import subprocess
import sys

from book import BIN, Book

ESC, CSI, RLO = "\x1b", "\u009b", "\u202e"
BAD = ESC + "[31m" + CSI + "2J" + RLO + "txt"
OBEYED = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")

b = Book().small_register()


def raw(*words, **kw):
    return subprocess.run([BIN, *words], env=b.env("2026-06-01T15:00:00Z"), stdin=subprocess.DEVNULL, capture_output=True, **kw)


def clean(done, *words):
    for stream in (done.stdout, done.stderr):
        text = stream.decode()
        found = OBEYED.search(text.replace("\r\n", "\n"))
        assert not found, (words, found, text)
    return done


def write(name, text):
    path = os.path.join(b.folder, name)
    with open(path, "w", newline="") as f:
        f.write(text)
    return path


def on_stderr():
    """Typed words, and what files say, come back in errors."""
    bundle = write("bundle", '{"bundle":1,"%s":0}\n' % BAD)
    sheet = write("visit.yaml", "sheet: 1\njob: \"%s\"\n%s: 3\n" % ("7", "x" + CSI + RLO))
    header = write("old.csv", "date,%s\r\n1,2\r\n" % BAD)
    mapping = write("a.map.yaml", "%s: 1\n" % ("x" + CSI + RLO))
    pack = write("pack.yaml", "name: \"%s\"\n%s: 1\n" % ("x" + CSI, "y" + RLO))
    for words in ((BAD,), ("weigh", BAD, "--gross", "3lb"), ("weigh", "RC-01", "--gross", BAD), ("report", "site", BAD),
                  ("recover", "--at", BAD), ("merge", bundle), ("merge", write(BAD.replace("/", ""), "x")),
                  ("job", "record", sheet), ("import", "movements", header), ("import", "movements", header, "--map", mapping),
                  ("--rules", pack, "due"), ("--refrigerants", pack, "due"), ("--book", BAD, "check"),
                  ("books", "trust", "x", "--card", BAD), ("verify", bundle), ("--format", "json", "report", "site", BAD)):
        done = raw(*words)
        assert done.returncode in (1, 2, 3), (words, done.returncode, done.stdout, done.stderr)
        assert done.stderr, words
        clean(done, *words)
    # JSON has the letters themselves, for whoever reads it as JSON
    told = json.loads(raw("--format", "json", "report", "site", BAD).stderr)
    assert BAD in told["seen"] or BAD in told["what"], told


def on_stdout():
    b.ok("note", "--circuit", "OAK/RACK-A/4", BAD + " seen", "--job", "41")
    b.ok("site", "add", "ODD", "--owner", "Bramble" + CSI + RLO + " Dairy", "--name", BAD)
    for words in (("history", "OAK/RACK-A/4"), ("report", "site", "ODD"), ("report", "job", "41"), ("list", "sites"),
                  ("report", "site", "ODD", "--format", "csv"), ("list", "sites", "--format", "csv"),
                  ("report", "inventory", "--format", "csv"), ("report", "site", "ODD", "--format", "html")):
        done = raw(*words)
        if done.returncode == 2:
            continue  # a page that has no such form
        assert done.returncode in (0, 4), (words, done.stderr)
        clean(done, *words)


def at_a_terminal():
    """A pipe gets JSON byte for byte, a terminal with escapes that mean the same."""
    script = "import pty, os, sys\nos.environ.update(%r)\nsys.exit(os.waitstatus_to_exitcode(pty.spawn(%r)))"
    words = [BIN, "export", "events", "--format", "json"]
    piped = raw(*words[1:]).stdout
    assert RLO.encode() in piped, "the test has lost its letter"
    shown = subprocess.run([sys.executable, "-c", script % (b.env("2026-06-01T15:00:00Z"), words)], capture_output=True).stdout
    text = shown.decode().replace("\r\n", "\n")
    assert RLO not in text and "\\u202e" in text, text[:300]
    assert text.strip().replace("\\u202e", RLO).replace("\\u009b", CSI) == piped.decode().strip()


def back(cell):
    """As the documents tell a program to read a cell."""
    if cell[:1] == "'" and len(cell) > 1 and (cell[1] == "'" or (cell[1] in "=+-@\t\r\uff1d\uff0b\uff0d\uff20")):
        cell = cell[1:]
    return re.sub(r"\\u\{([0-9a-f]+)\}", lambda m: chr(int(m.group(1), 16)), cell)


def in_a_spreadsheet():
    notes = ["=1+1", "+cmd|' /C calc'!A0", "-2+3", "@SUM(1)", "\t=1", "\r=1", "'=1", "''", "'tis", "plain, with comma", "-5", "\\u{41}",
             BAD, "\uff1d1+1", "a\r\nb", 'say "=1"']
    for n, note in enumerate(notes):
        b.ok("note", "--circuit", "OAK/RACK-A/4", note, "--job", "9%02d" % n, "--note", note)
    found = []
    page = raw("export", "events", "--format", "csv").stdout.decode()
    exported = os.path.join(b.folder, "year")
    b.ok("export", "year", "2026", "--to", exported)
    files = [page] + [open(os.path.join(exported, f), newline="").read() for f in sorted(os.listdir(exported)) if f.endswith(".csv")]
    for text in files:
        assert not OBEYED.search(text.replace("\r\n", "\n")), OBEYED.search(text)
        for row in csv.reader(io.StringIO(text, newline="")):
            for cell in row:
                computed = len(cell) > 1 and cell[0] in "=+-@\t\r\uff1d\uff0b\uff0d\uff20" and not re.fullmatch(r"[+-]?\d+(\.\d+)?", cell)
                assert not computed, cell
                found.append(back(cell))
    lost = [n for n in notes if n not in found and not any(n in f for f in found)]
    assert not lost, lost


def names_and_codes():
    for words in (("site", "add", "NEW", "--owner", "=HYPERLINK(1)"), ("site", "add", "NEW", "--name", "+1 Market"),
                  ("weigh", "RC-01", "--gross", "27.5lb", "--job", "@77"), ("weigh", "RC-01", "--gross", "27.5lb", "--by", "-ana"),
                  ("receive", "R-448A", "25lb", "--from", "-x Supply", "--first-id", "J-1")):
        done = b.run(*words)
        assert done.returncode in (1, 2), (words, done.returncode, done.stdout, done.stderr)
    table = write("movements.csv", "")
    del table


on_stderr()
on_stdout()
at_a_terminal()
in_a_spreadsheet()
names_and_codes()
print("shown letters: none is obeyed on stdout, stderr or in CSV; no cell is computed; each comes back")
