"""The tests in C++ over books on a PostgreSQL server of the test's own: from the same sources as over files, as each asks
a BookRoom (tests/support/book_room.hpp) where its books are.

    server_properties.py              a share of them, other ones each day, and few random cases of each property
    server_properties.py --all        all that can be, with as many random cases as over files
    server_properties.py WORD...      those whose name has a WORD in it, with as many random cases as over files
    TAREBOOK_SERVER=no                leaves it out, and says so

A test that is about files says why (files_alone): those are listed by --all. A test that is not, and opens a book in a file,
fails in each run over files already.
"""
import datetime
import glob
import os
import re
import subprocess
import sys
import tempfile
import xml.etree.ElementTree
import zlib

HERE = os.path.dirname(os.path.abspath(__file__))
TESTS = os.path.dirname(HERE)
sys.path.insert(0, os.path.join(TESTS, "support"))
import postgres_server  # noqa: E402

BUILDS = [os.environ["TAREBOOK_BUILD"], *os.environ.get("TAREBOOK_CHECKED_BUILD", "").split()]
# What holds of a file and not yet of a server. Such a test has to fail here: else it comes off this list.
DIFFERS = {"a dry run does not wait for another program that is recording"}
# Hundreds of books, or of looks at one: by --all or by their words.
LARGE = {"sync: whichever bit of a file in the folder is flipped, nothing of it is taken in, and it stays",
         "a merge of a hundred books is recorded as events that no check finds fault with, and names each book once"}
# Over files nothing waits, so these say something over a server alone: each day.
SERVER_ALONE = {"what is judged anew in parts, between other recordings, ends as if all had been judged at once (I5)"}
SHARE = 20  # each day one test in so many of the others
PART = 30  # of random cases


def programs():
    """The tests of each build: where a build has random cases alone, another one has the others."""
    found = []
    for build in BUILDS:
        together = os.path.join(build, "tests", "tarebook_tests")
        found += [together] if os.path.exists(together) else sorted(
            p for p in glob.glob(os.path.join(build, "tests", "**", "*"), recursive=True)
            if os.path.basename(p).startswith(("unit_", "property_")) and os.path.isfile(p) and os.access(p, os.X_OK))
    assert found, "no tests in C++ are built in " + " or ".join(BUILDS)
    return found


def sources_with_rooms():
    """Files of tests that include book_room.hpp, by way of other headers of the tests or straight."""
    texts = {}
    for path in glob.glob(os.path.join(TESTS, "**", "*.[ch]pp"), recursive=True):
        with open(path) as f:
            texts[path] = f.read()
    with_room = {"book_room.hpp"}
    grown = True
    while grown:
        grown = False
        for path, text in texts.items():
            names = {os.path.basename(n) for n in re.findall(r'^#include "([^"]+)"', text, re.M)}
            if path.endswith(".hpp") and names & with_room and os.path.basename(path) not in with_room:
                with_room.add(os.path.basename(path))
                grown = True
    out = {}
    for path, text in texts.items():
        names = {os.path.basename(n) for n in re.findall(r'^#include "([^"]+)"', text, re.M)}
        if path.endswith("_test.cpp") and names & with_room:
            out[path] = text
    return out


def cases(program, sources):
    """Name of each test of these sources, and whether it is about files alone."""
    patterns = ",".join("*/" + os.path.relpath(p, TESTS) for p in sources)
    listed = subprocess.run([program, "-ltc", "-r=xml", "-ns", "--source-file=" + patterns],
                            env={**os.environ, "TAREBOOK_TEST_SERVER": "postgresql://none/none"}, capture_output=True, text=True)
    found = xml.etree.ElementTree.fromstring(listed.stdout)
    return {c.get("name"): c.get("skipped") == "true" for c in found.iter("TestCase")}


def as_filter(names):
    return ",".join(name.replace("\\", "?").replace(",", "\\,") for name in names)


def run(program, names, server, properties):
    with tempfile.NamedTemporaryFile("r", prefix="books-of-tests-") as told:
        env = {**os.environ, "TAREBOOK_TEST_SERVER": server.address("postgres"), "TAREBOOK_TEST_BOOKS": told.name, **properties}
        done = subprocess.run([program, "-tc=" + as_filter(names)], env=env, stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
                              text=True, errors="replace")
        lines = [line.rstrip("\n").split("\t") for line in told]
    missing = set(names) - {name for _, _, name in lines}
    failed = {name for _, how, name in lines if how == "failed"}
    wrong = ["fails over a server: %s" % name for name in sorted(failed - DIFFERS)]
    wrong += ["does not fail any more; take it off DIFFERS: %s" % name for name in sorted(DIFFERS & set(names) - failed - missing)]
    wrong += ["did not run to its end: %s" % name for name in sorted(missing)]
    if done.returncode != 0 and not failed:
        wrong.append("%s ended with %d" % (program, done.returncode))
    if wrong:
        print(done.stdout)
    return wrong, lines


def main(arguments):
    if os.environ.get("TAREBOOK_SERVER") == "no":
        print("the tests in C++ over a server were left out: TAREBOOK_SERVER=no")
        return 0
    sources = sources_with_rooms()
    reasons = {"".join(re.findall(r'"((?:[^"\\]|\\.)*)"', name)).replace('\\"', '"'): why
               for text in sources.values()
               for name, why in re.findall(r'TEST_CASE\(\s*((?:"(?:[^"\\]|\\.)*"\s*)+)\*\s*(?:test::)?files_alone\("([^"]*)"\)', text)}
    everything, words = "--all" in arguments, [a for a in arguments if not a.startswith("--")]
    day = datetime.date.today().isoformat()
    wrong, over_server, without_books, of_files, seen = [], [], 0, {}, set()
    began = os.times()
    with postgres_server.Server() as server:
        for program in programs():
            all_cases = {name: alone for name, alone in cases(program, sources).items() if name not in seen}
            seen.update(all_cases)
            of_files.update({name: reasons[name] for name, alone in all_cases.items() if alone})
            can = [name for name, alone in all_cases.items() if not alone]
            if words:
                chosen = [n for n in can if any(w in n for w in words)]
            elif everything:
                chosen = can
            else:
                chosen = [n for n in can if n in SERVER_ALONE or n not in LARGE and zlib.crc32((day + n).encode()) % SHARE == 0]
            if not chosen:
                continue
            found, lines = run(program, chosen, server, {} if everything or words else {"TAREBOOK_PROPERTY_PART": str(PART)})
            wrong += found
            over_server += [name for where, _, name in lines if where == "server"]
            without_books += sum(where == "none" for where, _, _ in lines)
            assert {where for where, _, _ in lines} <= {"server", "none"}, lines
        cpu = server.cpu() + sum(os.times()[:4]) - sum(began[:4])
    assert LARGE | DIFFERS | SERVER_ALONE <= seen, "no test has this name: %s" % sorted((LARGE | DIFFERS | SERVER_ALONE) - seen)
    assert set(reasons) <= set(of_files), sorted(set(reasons) - set(of_files))
    if everything:
        for name, why in sorted(of_files.items()):
            print("about files alone: %s (%s)" % (name, why))
    print("\n".join([*wrong, "tests in C++ over a server: %d with their books there, %d without a book, %d of them differ; "
                     "%d are about files alone; %.0f s of CPU" % (len(over_server), without_books, len(DIFFERS & set(
                         over_server)), len(of_files), cpu)]))
    return 1 if wrong or not over_server else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
