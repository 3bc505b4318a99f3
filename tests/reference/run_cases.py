"""Golden cases through the real binary: each file in cases/ is one, and is read as well as run.

    # What it shows, in sentences. Source: the publication beside a figure that has one.
    book small-shop                  the named book of cases/_books that it starts from; "none" for no book
    now 2026-06-02T15:00:00Z         sets the clock (from here on; a book sets its own)
    prepare tarebook weigh ...       a shell line that must end with 0 or 4; what it prints is not looked at
    file visit.yaml                  a file in the folder, with the lines that follow as "> ..."
    page site.json                   a file that the lines before have made: a page in JSON, held to its JSON Schema
    covers fill-limit                names of errors and findings that the commands of this file produce
    $ tarebook room RC-01            a shell line, as a person types it, in a folder of its own
    | ...                            what it prints to stdout
    ! ...                            what it prints to stderr
    exit 1, book unchanged           its exit code, and whether a book's file changed

Exit codes 1, 2 and 3 must leave the book unchanged, whatever the file says (3 may say that it is recorded, and then it is). Where a file covers names, its commands are
run a second time, in JSON, on another copy of the same book: there each name must turn up. The path of the folder, the
book's ids and digests are masked. Then the whole is looked at: every name of an error and of a check that the sources
can produce, every sentence of a storage failure and every command must have a case, or stand in the lists below.

    run_cases.py                     runs all cases            run_cases.py NAME...   only files whose path has NAME in it
    run_cases.py --update [NAME...]  writes the expected parts anew; then read the diff
    run_cases.py --manual            runs the examples of README.md and of its pages, holds the screens there to the
                                     program's answers (--update writes them anew), and looks at every --help
"""
import concurrent.futures
import difflib
import glob
import hashlib
import json
import os
import re
import shutil
import sqlite3
import subprocess
import sys
import tempfile

import page_schemas

BIN = os.environ["TAREBOOK_BIN"]
SOURCE = os.environ["TAREBOOK_SOURCE"]
CASES = os.path.join(os.path.dirname(os.path.abspath(__file__)), "cases")
NOW = "2026-06-01T15:00:00Z"

# Names that no words typed at the program can produce, each with the reason.
NAMES_OUT_OF_REACH = {
    "field-form": "the command line, sheets and imports read each value first; for other programs: tests/example/hostile.cpp",
    "field-unknown": "as field-form", "moment-missing": "as field-form", "moment-offset": "as field-form",
    "weight-typed": "as field-form", "extension-day": "as field-form",
    "money-in-words": "as field-form; a correction of an event of before reaches it (tests/unit/record has it)",
    "malformed": "an event of another program's bundle: tests/e2e/hostile_bundles",
    "format-html": "errors/format-html.txt has it, but nothing can be asked in JSON and in HTML at once",
    "format-xlsx": "errors/format-xlsx.txt has it, but nothing can be asked in JSON and as sheets at once",
    "xlsx-to-terminal": "errors/sheets.txt has it, but nothing can be asked in JSON and as sheets at once",
    "file-not-written": "as xlsx-to-terminal",
    "fill-limit-water-capacity": "room and the checks ask for the water capacity before they ask for a limit",
    "being-judged-anew": "needs a server: tests/e2e/server_refold",
    "desk-not-keeper": "needs a server: tests/e2e/server_desks",
    "bundle-changed": "needs a file that is written to while a merge waits for the book: tests/e2e/waiting",
    "answered-no": "asked at a terminal only; a case has none (tests/unit has it)",
    "minutes-format": "asked at a terminal only: tests/e2e/at_the_terminal has it",
    "body-unreadable": "told as a storage failure: \"event row 18 is damaged\" (storage/damaged-event)",
    "period-backwards": "the command line asks first (days-backwards); for other programs",
    "passphrase-differs": "asked at a terminal only; a case has none",
    "csv-too-many-lines": "needs a file of a hundred million lines",
    "circuit-refrigerant-unknown": "the command line asks each appliance for its refrigerant",
    "gwp-sets-mixed": "for other programs: no page adds equivalents of two sets (tests/unit/rules has it)",
    "pressure-class-unknown": "no command asks for a level yet (tests/unit/rules has it)",
    "unforeseen": "an exception that nobody foresaw: a case that reaches it is a bug to mend",
}
SENTENCES_OUT_OF_REACH = {
    "the book {} is on a network disk and has a write-ahead log, and another ": "needs a network disk",
    "this machine lacks the library that writes spreadsheets: {}": "needs a machine without libxlsxwriter",
    "the sheets could not be put together: {}": "needs a machine that has no room for a temporary file",
    "{} is not the code of a country. Nothing was written.": "the command line reads the code first "
                                                                                    "(country-unknown); tests/unit/book has it",
    "an event of the book is gone": "needs a row that goes while the book is judged anew, under its own lock",
    "an event of the book is damaged: ": "check names it first, and `check --rebuild` of a damaged book stops there: "
                                         "storage/damaged-event has the same in other words",
    "the passphrase cannot be tried: it takes 64 MiB of memory. Nothing was written.": "needs a machine without memory",
    "the shop {} is for practice, and the new book is real. Nothing was written.": "the command line refuses the card first",
    "the shop {} is real, and the new book is for practice. Nothing was written.": "the command line refuses the card first",
    "the machine gives no random numbers; no key can be made": "needs a machine without random numbers",
    "the book {} was upgraded to schema {}, and cannot be read now ({}).": "needs a disk that fails just then: tests/crash",
    "the copy of the book {} is not as the book is ({}). Nothing was written.": "needs a disk that alters what is written",
    "the book {} could not be read to its end ({}).": "needs a disk that stops answering while SQLite looks at its pages",
    "the book {} failed at the very end: {}. Whether it was written is not known.": "needs a disk that fails at the last "
                                                                                   "write: tests/crash",
    "the book {} has taken it ({}), but the disk did not confirm it: {}.": "needs a disk that fails at the last "
                                                                                "sync: tests/crash",
    "this program was built without PostgreSQL's client library, and cannot open ": "needs a build without libpq-dev",
    "this machine lacks the library that talks to a PostgreSQL server: {}": "needs a machine without libpq5",
    "{} has a book already. Nothing was written.": "needs a server: tests/e2e/server_book",
    "make one: tarebook start --book {} --company NAME": "needs a server: tests/e2e/server_book",
    "{} exists already, and is not this book as it is now. Nothing was written.": "needs a server: tests/e2e/server_book",
    "event {} of the moved book is not the one that was to be moved. Nothing was written.": "needs a server: tests/e2e/server_book",
    "this person has no signing key for the book {}: {} is not there. Nothing was written.": "needs a server: tests/e2e/server_book",
    "the book {} was written by a newer Tarebook (schema {} of a server, this one knows {}).": "needs a server: tests/e2e/server_book",
    "the signing key cannot be kept in {}: {}. Nothing was written.": "needs a server: tests/e2e/server_book",
    "this person has the signing key of this book for a server already: {}. Nothing was written.": "needs a server: tests/e2e/server_book",
    "record in the book on that server; where none has it any more, rename {}, then the same command ": "needs a server: tests/e2e/server_book",
    "the signing key in {}, and {}: {}": "needs a server that goes away just then: tests/e2e/server_book",
    "the signing key in {} cannot be read.": "needs a server: tests/e2e/server_book",
    "there is no home folder for what belongs to this person alone: the signing key, drafts": "needs a server: tests/e2e/server_book",
    "the server of the book {} went away at the very end: {}. Whether it was written ": "needs a server: tests/e2e/server_book",
    "only the person who keeps the book {}. Nothing was written.": "needs a server: tests/e2e/server_desks",
    "others record in the book {} at the same time, again and again ({}). ": "needs a server: tests/e2e/server_desks",
    "the book does not trust this desk. Nothing was written.": "needs a server: tests/e2e/server_desks",
    "the book {} was moved to {}, and nothing more is recorded here. Nothing was written.": "needs a server: tests/e2e/server_desks",
    "the book {} is on its way to {}. Nothing was written.": "needs a server: tests/e2e/server_book",
    "wait for the move; where the move was cut off, the person who keeps the book ends it": "needs a server: tests/e2e/server_book",
    "wait for the move; where the move was cut off: tarebook books move {} --to {}; {}": "needs a server: tests/e2e/server_book",
    "the book {} is on its way to {}, and may be there. Nothing was written.": "needs a server: tests/e2e/server_book",
    "the book {} has not moved to {}; whether it can be recorded in is not known.": "needs a server that goes away just then: "
                                                                                    "tests/e2e/server_book",
    "end that move: tarebook books move {} --to {}; {}": "needs a server: tests/e2e/server_book",
    "the server does not know this desk. Nothing was written.": "needs a server: tests/e2e/server_desks",
    "this person keeps the book, and records in it with its own key. Nothing was written.": "needs a server: tests/e2e/server_desks",
    "which desk this person is cannot be kept in {}: {}. Nothing was written.": "needs a server: tests/e2e/server_desks",
    "who keeps the book types once: tarebook books trust NAME --card {}": "needs a server: tests/e2e/server_desks",
    "put it back from a copy; or remove {}, and become another desk": "needs a server: tests/e2e/server_desks",
    "this person is a desk of the book, and its key {} is not there. Nothing was ": "needs a server: tests/e2e/server_desks",
    "the book is in {}; whether the one at {} is closed is not known ({}).": "needs a server that goes away just then: tests/e2e/server_faults",
    "the book is made, but it cannot be opened: {}": "needs a server that goes away just then: tests/e2e/server_faults",
    "the server of the book {} went away at the very end: {}. Whether it was ": "needs a server that goes away just then: tests/e2e/server_faults",
    "{} cannot be made: {} could not be put into it. Nothing was written.": "needs a disk that fails just then: tests/crash",
    "{} was written whole, but the disk did not confirm it ({}).": "needs a folder that cannot be synced: tests/crash",
    "{} is written, but the disk did not confirm it: {}. It is not noted as sent.": "needs a folder that cannot be synced and a "
                                                                                   "file that cannot be removed: tests/crash",
}
# Build-time readers of schema/: their errors end the build, and the program does not contain them.
NOT_IN_THE_PROGRAM = ("catalogue_source.", "checked_yaml.", "compile_catalogue.")


class Tools:
    """A folder on the PATH with the program, readable by everybody so that a case can also run it without rights."""

    def __init__(self):
        self.folder = tempfile.mkdtemp(prefix="tarebook-cases-")
        os.chmod(self.folder, 0o755)
        shutil.copy(BIN, os.path.join(self.folder, "tarebook"))
        shutil.copy(os.environ["TAREBOOK_RELEASED"], os.path.join(self.folder, "tarebook-as-given-out"))
        self.script("as-nobody", "[ $(id -u) = 0 ] || exec \"$@\"\n"
                                 "exec setpriv --reuid=65534 --regid=65534 --clear-groups \"$@\"\n")
        # runs a shell line where the folder "full" is a disk on which the book just fits
        self.script("full-disk", "mkdir full && exec unshare $([ $(id -u) = 0 ] || echo -r) -m sh -c 'mount -t tmpfs -o size=4m none full && "
                                 "cp shop.tarebook full/ && { dd if=/dev/zero of=full/rest 2>/dev/null; sh -c \"$1\"; }' "
                                 "sh \"$1\"\n")
        # makes shop.tarebook a book of an older schema: what the first one wrote, and the steps up to the number
        self.script("older-book", "umask 077; { cat %s; for n in $(seq 2 $1); do cat %s$n*.sql; echo \"PRAGMA user_version = $n;\"; done; } "
                                  "| sqlite3 shop.tarebook\n" % (os.path.join(SOURCE, "tests/crash/book_v1.sql"),
                                                               os.path.join(SOURCE, "schema/book/000")))
        # runs a command while another program has the book to itself
        self.script("while-held", "sqlite3 shop.tarebook 'BEGIN EXCLUSIVE' '.system touch held; while [ -e held ]; do sleep 0.1; done' &\n"
                                  "until [ -e held ]; do sleep 0.1; done\n"
                                  "code=0; \"$@\" || code=$?; rm held; wait; exit $code\n")
        # runs a command while a scale at the port "bench" sends the line; \\c ends one that has no end, and "pull" pulls the plug
        self.script("with-scale", "exec python3 %s bench \"$@\"\n" % os.path.join(SOURCE, "tests/support/scale_player.py"))
        self.templates = {}
        self.more = {}  # of the environment

    def script(self, name, lines):
        path = os.path.join(self.folder, name)
        with open(path, "w") as f:
            f.write("#!/bin/sh\n" + lines)
        os.chmod(path, 0o755)

    def run(self, line, folder, now):
        env = {"PATH": self.folder + ":" + os.environ["PATH"], "TAREBOOK": os.path.join(folder, "shop.tarebook"),
               "HOME": folder, "TAREBOOK_NOW": now, "LC_ALL": "C.UTF-8", **self.environment(folder), **self.more}
        done = subprocess.run(["bash", "-c", line], env=env, cwd=folder, stdin=subprocess.DEVNULL, capture_output=True,
                              timeout=120)
        return done.returncode, done.stdout.decode(errors="replace"), done.stderr.decode(errors="replace")

    # What is another matter where the book is on a server (tests/e2e/server_cases.py).
    def environment(self, folder):
        return {}

    def end_case(self, folder):
        shutil.rmtree(folder, ignore_errors=True)

    def begin_book(self, folder):
        pass

    def end_book(self, name, folder):
        self.templates[name] = os.path.join(folder, "shop.tarebook")

    def state(self, folder):
        return book_files(folder)

    def ids(self, folder):
        return known_ids(folder)

    def masked(self, text, folder, ids):
        return masked(text, folder, ids)

    def fresh(self, book):
        folder = tempfile.mkdtemp(prefix="case-", dir=self.folder)
        if book in self.templates:
            shutil.copy(self.templates[book], os.path.join(folder, "shop.tarebook"))
        return folder

    def make_book(self, name):
        folder = tempfile.mkdtemp(prefix="book-", dir=self.folder)
        self.begin_book(folder)
        steps = steps_of(open(os.path.join(CASES, "_books", name + ".txt")).read(), name)
        now = NOW
        for step in steps:
            if step.word == "now":
                now = step.text
            elif step.word == "prepare":
                code, _, err = self.run(step.text, folder, now)
                assert code in (0, 4), "book %s: %s: exit %d\n%s" % (name, step.text, code, err)
            else:
                assert step.word == "#", "book %s: unexpected: %s" % (name, step.text)
        self.end_book(name, folder)


class Step:
    def __init__(self, word, text, lines):
        self.word, self.text, self.lines = word, text, lines
        self.out, self.err, self.end = [], [], ""


def steps_of(content, where):
    steps = []
    lines = content.splitlines()
    i = 0
    while i < len(lines):
        line = lines[i]
        start = i
        while line.startswith(("$ ", "prepare ")) and line.endswith("\\") and i + 1 < len(lines):
            i += 1
            line = line[:-1].rstrip() + " " + lines[i].strip()
        kept = lines[start:i + 1]
        word = line.split(" ", 1)[0]
        rest = line[len(word) + 1:]
        if line == "" or word == "#":
            steps.append(Step("#", line, kept))
        elif word == ">":
            assert steps and steps[-1].word == "file", "%s:%d: no file before it" % (where, i + 1)
            steps[-1].lines += kept
            steps[-1].out.append(rest)
        elif word in ("book", "now", "prepare", "covers", "file", "page", "$"):
            steps.append(Step(word, rest, kept))
        elif word in ("|", "!", "exit"):
            assert steps and steps[-1].word == "$", "%s:%d: no command before it" % (where, i + 1)
            if word == "exit":
                steps[-1].end = line
            else:
                (steps[-1].out if word == "|" else steps[-1].err).append(rest)
        else:
            raise AssertionError("%s:%d: cannot read: %s" % (where, start + 1, line))
        i += 1
    return steps


def book_files(folder):
    h = hashlib.sha256()
    for path in sorted(glob.glob(os.path.join(folder, "*.tarebook"))):
        h.update(path.encode())
        if os.path.isfile(path):
            with open(path, "rb") as f:
                h.update(f.read())
    return h.hexdigest()


def known_ids(folder):
    """What is random in the books of a folder: ids, keys and digests."""
    ids = {}
    for path in glob.glob(os.path.join(folder, "*")):
        try:
            if not os.path.isfile(path) or open(path, "rb").read(6) != b"SQLite":
                continue
            db = sqlite3.connect("file:%s?immutable=1" % path, uri=True)
            for name, value in db.execute("SELECT name, value FROM book WHERE name IN ('id', 'public_key')"):
                ids[value] = "<book id>" if name == "id" else "<key>"
            for (digest,) in db.execute("SELECT digest FROM event"):
                ids[digest.hex()] = "<digest>"
            db.close()
        except sqlite3.Error:
            pass
    return ids


def masked(text, folder, ids):
    text = text.replace(folder, "<folder>")
    for value, name in ids.items():
        if name == "<book id>":
            text = text.replace("J" + value[:2].upper() + "-", "J<book>-")

    def mask(match):
        for value, name in ids.items():
            if value.startswith(match.group()):
                return name
        return match.group()
    text = re.sub(r"\b(process|row) \d+, running since \d\d:\d\d:\d\d", r"\1 <n>, running since <time>", text)
    text = re.sub(r"\brow \d{12,}", "row <number>", text)  # of a book: its random id is in it
    text = re.sub(r"\b\d{4} \d{4} \d{4} \d{4}\b", "<number of a book>", text)  # of its id and its key
    return re.sub(r"\b[0-9a-f]{8,64}\b", mask, text)


def shown(prefix, text):
    lines = text.split("\n")
    if lines[-1] == "":
        lines.pop()
    else:
        lines[-1] += "\\c"  # the line was not ended
    return [(prefix + " " + line).rstrip() for line in lines]


def names_in(value):
    if isinstance(value, dict):
        for key, v in value.items():
            if key in ("check", "error") and isinstance(v, str):
                yield v
            yield from names_in(v)
    elif isinstance(value, list):
        for v in value:
            yield from names_in(v)


def names_told(out, err):
    for text in (out, err):
        start = text.find("{")
        if start < 0:
            continue
        try:
            yield from names_in(json.loads(text[start:]))
        except ValueError:
            pass


class Result:
    def __init__(self, path):
        self.path, self.problems, self.text, self.was = path, [], "", ""
        self.names, self.lines, self.errors = set(), [], []


def run_case(tools, path, with_json=True):
    result = Result(path)
    with open(path) as f:
        result.was = f.read()
    steps = steps_of(result.was, os.path.relpath(path, CASES))
    book = next((s.text for s in steps if s.word == "book"), None)
    if book is None or not steps or not result.was.startswith("# "):
        result.problems.append("a case begins with a comment, and names its book")
        return result
    wanted = {name for s in steps if s.word == "covers" for name in s.text.split()}
    told = set()
    for as_json in (False, True) if wanted and with_json else (False,):
        folder = tools.fresh(book)
        now = NOW
        text = []
        for step in steps:
            if not as_json:
                text += step.lines
            if step.word == "now":
                now = step.text
            elif step.word == "file":
                with open(os.path.join(folder, step.text), "w") as f:
                    f.write("".join(line + "\n" for line in step.out))
            elif step.word == "page":
                with open(os.path.join(folder, step.text)) as f:
                    result.problems += page_schemas.problems_of(f.read())
            elif step.word == "prepare":
                code, _, err = tools.run(step.text, folder, now)
                if code not in (0, 4):
                    result.problems.append("prepare %s: exit %d\n%s" % (step.text, code, err))
            elif step.word == "$":
                line = step.text
                if as_json:
                    if "--format" in line:
                        continue
                    line = re.sub(r"(^|\s)(tarebook(?:-as-given-out)?)(\s)", r"\1\2 --format json\3", line, count=1)
                before = tools.state(folder)
                code, out, err = tools.run(line, folder, now)
                changed = tools.state(folder) != before
                if changed and (code in (1, 2) or (code == 3 and not err.startswith("failed: it is recorded"))) and not as_json:
                    result.problems.append("exit %d, and yet the book changed: %s" % (code, line))
                if code > 4 or code < 0:
                    result.problems.append("exit %d: %s\n%s" % (code, line, err))
                result.problems += page_schemas.problems_of(out) + page_schemas.problems_of(err)
                if as_json:
                    told.update(names_told(out, err))
                    step_code = int(re.match(r"exit (\d+)", step.end).group(1)) if step.end else code
                    if code != step_code:
                        result.problems.append("in JSON exit %d, in text exit %d: %s" % (code, step_code, line))
                    continue
                ids = tools.ids(folder)
                text += shown("|", tools.masked(out, folder, ids)) + shown("!", tools.masked(err, folder, ids))
                step.end = "exit %d, book %s" % (code, "changed" if changed else "unchanged")
                text.append(step.end)
                result.lines.append(step.text)
                result.errors.append(tools.masked(err, folder, ids))
        if not as_json:
            result.text = "\n".join(text) + "\n"
        tools.end_case(folder)
    result.names = wanted & told
    for name in sorted(wanted - told if with_json else ()):
        result.problems.append("covers %s, but no command produced it (it produced: %s)" %
                               (name, ", ".join(sorted(told)) or "nothing"))
    return result


def sources():
    for room in ("lib", "cli"):
        for folder, _, files in os.walk(os.path.join(SOURCE, room)):
            for name in sorted(files):
                if name.endswith((".cpp", ".hpp")) and not name.startswith(NOT_IN_THE_PROGRAM):
                    with open(os.path.join(folder, name)) as f:
                        yield os.path.relpath(os.path.join(folder, name), SOURCE), f.read()


def names_of_errors():
    """Every name that stands in the sources where an Error is made, with the file."""
    names = {}
    for path, text in sources():
        name, name_or_word = '"([a-z0-9]+(?:-[a-z0-9]+)+)"', '"([a-z0-9]+(?:-[a-z0-9]+)*)"'
        # a word without a hyphen is a name only where nothing else can stand: others are keys and columns
        for made in (r"\b(?:usage|refuse|refused|\w*slip|problem|failure|\w*error|where|unreadable)\(\s*" + name + r"\s*,",
                     r"\b(?:slip|failure)\(\s*" + name_or_word + r"\s*,", r"ErrorKind::\w+,\s*" + name_or_word,
                     r"\b(?:error|unreadable)\([^\"?;]{0,60}\?\s*" + name + r"\s*:",
                     r"\b(?:error|unreadable)\([^?;]{0,60}\?[^:;]{0,60}:\s*" + name + r"\s*,",
                     r"\b(?:tell|problem|wrong)\([^,\"]*,\s*" + name + r"\s*,", r'\["error"\] = ' + name):
            for found in re.findall(made, text):
                names.setdefault(found, path)
        if 'fmt::format("unknown-{}"' in text:
            for kind in ("site", "appliance", "circuit", "cylinder", "scale", "machine", "technician"):
                names.setdefault("unknown-" + kind, path)
    return names


def names_of_checks():
    with open(os.path.join(SOURCE, "lib/checks/table.cpp")) as f:
        return {name: "lib/checks/table.cpp" for name in re.findall(r'Row\{"([a-z0-9-]+)"', f.read())}


def storage_sentences():
    """Each sentence of a StorageError as a pattern, with the file: {} stands for anything."""
    found = {}
    for path, text in sources():
        for at in re.finditer(r"StorageError\(", text):
            rest = text[at.end():]
            head = rest[:400].split("StorageError(")[0]
            # a choice between two sentences has both before the first comma outside a literal
            for literal in re.findall(r'(?:fmt::format\(|\?|:|^)\s*"((?:[^"\\]|\\.)+)"', head.split(");")[0]):
                if " " not in literal:
                    continue
                pattern = ".*".join(re.escape(part) for part in re.split(r"\{[^}]*\}", literal))
                found.setdefault(literal, (pattern, path))
    return found


def commands(tools, words=()):
    """The tree of commands as --help lists them: a tuple of words for each that can be run, with its help text."""
    folder = tools.fresh(None)
    code, out, err = tools.run(" ".join(("tarebook",) + tuple(words) + ("--help",)), folder, NOW)
    assert code == 0, (words, code, err)
    below = out.split("\nSubcommands:\n" if words else "\nToday, in the field:\n")
    if len(below) == 1:
        return {tuple(words): out}
    # one that can stand alone, too
    found = {tuple(words): below[0] + "\n"} if "[SUBCOMMAND]" in below[0] else {}
    for name in re.findall(r"^  ([a-z-]+) ", below[1], re.M):
        found.update(commands(tools, tuple(words) + (name,)))
    return found


def look_at_the_whole(tools, results):
    bad = []
    covered = {name for r in results for name in r.names}
    errors = names_of_errors()
    checks = names_of_checks()
    assert len(errors) > 40 and len(checks) > 30, "the names are no longer found in the sources"
    for name, path in sorted({**errors, **checks}.items()):
        if name not in covered and name not in NAMES_OUT_OF_REACH:
            bad.append("%s (%s) has no case" % (name, path))
    for name in sorted(NAMES_OUT_OF_REACH):
        if name in covered:
            bad.append("%s is called out of reach, and yet a case produces it" % name)
        if name not in errors and name not in checks:
            bad.append("%s is called out of reach, and no source has it" % name)
    said = "\n".join(text for r in results for text in r.errors)
    sentences = storage_sentences()
    assert len(sentences) > 10, "the sentences of storage failures are no longer found in the sources"
    for literal, (pattern, path) in sorted(sentences.items()):
        if not re.search(pattern, said) and literal not in SENTENCES_OUT_OF_REACH:
            bad.append('the sentence "%s" (%s) has no case' % (literal, path))
    for literal in SENTENCES_OUT_OF_REACH:
        if literal not in sentences:
            bad.append('the sentence "%s" is called out of reach, and no source has it' % literal)
        elif re.search(sentences[literal][0], said):
            bad.append('the sentence "%s" is called out of reach, and yet a case produces it' % literal)
    lines = [re.sub(r"--(?:units|format|book) \S+ ", "", line) for r in results for line in r.lines]
    tree = commands(tools)
    for words in tree:
        if not any((" ".join(("tarebook",) + words) + " ") in line + " " for line in lines):
            bad.append("the command \"tarebook %s\" has no case" % " ".join(words))
    bad += page_schemas.never_met()
    print("%d names of errors, %d of checks, %d sentences of storage failures, %d commands, %d kinds of pages in JSON" %
          (len(errors), len(checks), len(sentences), len(tree), len(page_schemas.met)))
    return bad


def cases(arguments):
    update = "--update" in arguments
    only = [a for a in arguments if not a.startswith("--")]
    tools = Tools()
    try:
        paths = sorted(p for p in glob.glob(os.path.join(CASES, "**", "*.txt"), recursive=True) if "/_books/" not in p)
        assert paths, "no cases"
        paths.sort(key=lambda p: (os.path.basename(p) != "held-by-another.txt", p))  # it waits ten seconds: begin with it
        chosen = [p for p in paths if not only or any(o in os.path.relpath(p, CASES) for o in only)]
        with concurrent.futures.ThreadPoolExecutor(2) as pool:
            books = [os.path.basename(p)[:-4] for p in sorted(glob.glob(os.path.join(CASES, "_books", "*.txt")))]
            list(pool.map(tools.make_book, books))
            results = list(pool.map(lambda p: run_case(tools, p), chosen))
        bad = 0
        for r in results:
            name = os.path.relpath(r.path, CASES)
            if r.text and r.text != r.was:
                if update and not any(p.startswith("prepare ") for p in r.problems):
                    with open(r.path, "w") as f:
                        f.write(r.text)
                else:
                    bad += 1
                    sys.stdout.writelines(difflib.unified_diff(r.was.splitlines(True), r.text.splitlines(True), name, "now"))
            for problem in r.problems:
                bad += 1
                print("%s: %s" % (name, problem))
        if not only:
            for line in look_at_the_whole(tools, results):
                bad += 1
                print(line)
        print("golden cases: %d run, %d problems" % (len(results), bad))
        return bad
    finally:
        shutil.rmtree(tools.folder, ignore_errors=True)


def pages_of_the_manual():
    """The paths of README.md and of the pages that it leads to, as they stand under the source folder."""
    found = ["README.md", "lib/README.md", "fixtures/README.md"]
    return found + sorted(os.path.relpath(p, SOURCE) for p in glob.glob(os.path.join(SOURCE, "cli/guide/*.md")))


RUN_WORD = r"(?:[A-Z_]+=\S+ )*(?:tarebook|sqlite3|mkdir|cp) "  # what a line of a block begins with, if it is run


def examples(text):
    """What a page shows, in its order:

        ("run", a shell line)            of an indented block, or between backquotes in a table or in a sentence
        ("by hand", a line)              of an indented block, of another program
        ("sheet", a job sheet)           an indented block that begins with "sheet:", kept as visit.yaml
        ("screen", a line, its answer, the line as it is written)
                                         of a block fenced as console: "$ LINE" and what it prints; "..." alone ends what is shown
        ("file", its kind, its text)     any other fenced block
    """
    lines = text.splitlines() + [""]
    block, prose, fence, fenced = [], [], None, []
    for line in lines:
        if fence is not None:
            if line != "```":
                fenced.append(line)
                continue
            if fence == "console":
                for part in re.findall(r"^\$ ((?:.*\\\n)*.*)\n?((?:(?!\$ ).*(?:\n|$))*)", "\n".join(fenced), re.M):
                    yield "screen", re.sub(r"\\\n\s*", "", part[0]), part[1].rstrip("\n"), part[0]
            else:
                yield "file", fence, "\n".join(fenced) + "\n"
            fence, fenced = None, []
            continue
        if line.startswith("    "):
            block.append(line[4:])
            continue
        if block and block[0].startswith("sheet:"):
            yield "sheet", "\n".join(block) + "\n"
        elif block and not block[0].startswith("import:"):  # not a mapping
            for command in re.sub(r"\\\n\s*", "", "\n".join(block)).splitlines():
                yield ("run" if re.match(RUN_WORD, command) else "by hand"), command
        block = []
        if line.strip() and not line.startswith("```"):
            prose.append(line)
            continue
        for command in re.findall(r"`(%s[^`]+)`" % RUN_WORD, " ".join(part.strip() for part in prose)):
            yield "run", command
        prose = []
        if line.startswith("```"):
            fence = line[3:]


PLANTED = """One `tarebook a
b`, `c`.

    tarebook d \\
         e
    sh f

| `tarebook g` | A=1 |

```console
$ tarebook h
i
...
$ tarebook j
```

    sheet: k

    import: l

```config
m
```
"""


def answer_is(shown, answer):
    """Whether the shown part of an answer is as it came: whole, or its first lines where "..." follows them."""
    shown, answer = ([line.rstrip() for line in part.rstrip("\n").split("\n")] for part in (shown, answer))
    if shown[-1] == "...":
        return answer[:len(shown) - 1] == shown[:-1] and len(answer) >= len(shown)
    return answer == shown


class Page:
    """A page of the manual as a new user types it, after README's first recovery; a folder for each book that it starts."""

    def __init__(self, tools, path, first):
        self.tools, self.path, self.bad, self.shown, self.ran = tools, path, [], {}, 0
        self.spoken, self.heard = [], []  # numbers of cards in the page, and those that the programs showed, in their order
        with open(os.path.join(SOURCE, path), encoding="utf-8") as f:
            self.text = f.read()
        items = list(examples(self.text))
        typed = {item[1] for item in items if item[0] == "run"}
        self.ahead = {}  # screens above all that the page types, whose command it types further down
        self.own = False  # whether one of its own commands was run
        self.fresh()
        for line in first:
            self.run(line)
        for item in items:
            self.own = self.own or item[0] == "run"
            if item[0] == "run":
                if item[1].startswith("tarebook start "):
                    self.fresh()
                self.run(item[1])
            elif item[0] == "sheet":
                self.write("visit.yaml", item[1])
            elif item[0] == "screen" and not self.own and item[1] in typed:
                self.ahead[item[1]] = item
            elif item[0] == "screen":
                self.run(item[1], item)
            elif item[0] == "by hand":  # what builds and installs, and takes minutes
                if not item[1].startswith(("sh cli/", "sh tests/", "apt ")):
                    self.bad.append("%s: is not run: %s" % (self.path, item[1]))
            else:
                self.file(item[1], item[2])

    def fresh(self):
        self.folder = self.tools.fresh(None)
        for name in ("fixtures", "schema"):
            os.symlink(os.path.join(SOURCE, name), os.path.join(self.folder, name))
        os.mkdir(os.path.join(self.folder, "share"))

    def write(self, name, text):
        os.makedirs(os.path.dirname(os.path.join(self.folder, name)), exist_ok=True)
        with open(os.path.join(self.folder, name), "w", encoding="utf-8") as f:
            f.write(text)

    def file(self, kind, text):
        if kind == "config":
            self.write(".config/tarebook/config", text)
        elif kind in ("cpp", "cmake"):  # part of the example that the test of the installed package builds and runs
            there = ""
            for path in glob.glob(os.path.join(SOURCE, "tests/example/*" + {"cpp": ".cpp", "cmake": ".txt"}[kind])):
                with open(path, encoding="utf-8") as f:
                    there += f.read()
            if text not in there:
                self.bad.append("%s: not in tests/example as it stands here:\n%s" % (self.path, text))
        elif kind == "server":  # lines that need a server: tests/e2e/server_book types them
            assert all(re.match(RUN_WORD, line) for line in text.splitlines()), text
        elif kind in ("desks", "standby"):  # tests/e2e/server_desks and server_standby do so
            pass
        elif kind != "yaml":
            self.bad.append("%s: a block of the unknown kind \"%s\"" % (self.path, kind))

    def run(self, line, screen=None):
        typed = line
        number = r"\b\d{4} \d{4} \d{4} \d{4}\b"
        for one in re.findall(number, line):
            self.spoken += [one] if one not in self.spoken else []
            line = line.replace(one, self.heard[self.spoken.index(one)])
        code, out, err = self.tools.run(line, self.folder, NOW)
        self.heard += [one for one in re.findall(number, out) if one not in self.heard]
        self.ran += 1
        screen = self.ahead.pop(typed, screen)
        shown = screen[2] if screen else None
        expected = (1,) if shown is not None and shown.startswith("refused: ") else (0, 4)
        if code not in expected:
            self.bad.append("%s: exit %d: %s\n%s" % (self.path, code, typed, err))
        if shown is not None and not answer_is(shown, out + err):
            self.bad.append("%s: the answer of `%s` is now\n%s" % (self.path, typed, out + err))
            answer = (out + err).rstrip("\n").split("\n")
            if shown.endswith("..."):
                answer = answer[:max(len(shown.split("\n")) - 1, 1)] + ["..."]
            was = "$ %s\n%s\n" % (screen[3], shown)
            assert self.text.count(was) == 1, was
            self.text = self.text.replace(was, "$ %s\n%s\n" % (screen[3], "\n".join(answer)))


def first_recovery():
    """The commands under README's "A first recovery", from which the other pages go on."""
    with open(os.path.join(SOURCE, "README.md"), encoding="utf-8") as f:
        block = re.search(r"\n## A first recovery\n\n((?:    .*\n)+)", f.read()).group(1)
    return [item[1] for item in examples(block)]


def manual(update=False):
    """README.md and its pages, each with its examples and screens; then every help page."""
    tools = Tools()
    tools.more["COLUMNS"] = "80"  # what a terminal breaks, a screen of a page has broken
    bad = []
    try:
        found = [("run", "tarebook a b"), ("run", "tarebook d e"), ("by hand", "sh f"), ("run", "tarebook g"),
                 ("screen", "tarebook h", "i\n...", "tarebook h"), ("screen", "tarebook j", "", "tarebook j"),
                 ("sheet", "sheet: k\n"), ("file", "config", "m\n")]
        assert list(examples(PLANTED)) == found, list(examples(PLANTED))
        assert answer_is("a\n...", "a\nb\n") and answer_is("a", "a \n") and not answer_is("a", "a\nb\n")
        assert not answer_is("b\n...", "a\nb\n") and not answer_is("a\n...", "a\n")
        first = first_recovery()
        assert len(first) > 6, first
        paths = pages_of_the_manual()
        ran = 0
        for path in paths:
            page = Page(tools, path, [] if path == "README.md" else first)
            bad += page.bad
            ran += page.ran
            if update:
                with open(os.path.join(SOURCE, path), "w", encoding="utf-8") as f:
                    f.write(page.text)
            if path.startswith("cli/guide/") and page.ran < len(first) + 2:
                bad.append("%s: its examples are no longer found" % path)
        tools.more.clear()
        folder = tools.fresh(None)
        tree = commands(tools)
        for words, page in sorted(tree.items()):
            name = "tarebook " + " ".join(words)
            # a long option has its description on the next line, far to the right
            options = re.findall(r"^ +(--?[a-z][a-z,-]*)(?: [A-Z]\S*(?: in \[[^]]*\]| REQUIRED)*)?(.*)\n(?=(.*))", page, re.M)
            if not options:
                bad.append(name + " --help lists no option")
            for option, described, below in options:
                if not described.strip() and not below.startswith(" " * 20):
                    bad.append("%s --help does not describe %s" % (name, option))
        front = tools.run("tarebook --help", folder, NOW)[1]
        pages = " ".join((front + " ".join(tree.values())).split())
        described = [d for path, text in sources() if path.startswith("cli/")
                     for d in re.findall(r'add_(?:option|flag)\("[^"]+",[^;"(]*"((?:[^"\\]|\\.)*)"', text)]
        assert len(described) > 50, "the options are no longer found in the sources"
        bad += ["no help page says: " + d for d in described if d and " ".join(d.replace('\\"', '"').split()) not in pages]
        print("the manual: %d examples on %d pages, %d help pages" % (ran, len(paths), len(tree)))
    finally:
        shutil.rmtree(tools.folder, ignore_errors=True)
    for line in bad:
        print(line)
    return len(bad)


if __name__ == "__main__":
    sys.exit(1 if (manual("--update" in sys.argv) if "--manual" in sys.argv else cases(sys.argv[1:])) else 0)
