"""A command is stopped at each call to its file, and another program has a turn: it is either kept out, or both end up in
the book, once each. TAREBOOK_FAULT_TURNS (30) says at how many calls of each command."""
import contextlib
import os
import shutil
import sqlite3
import tempfile

import scenarios
from program import ROOM, Folder

TURNS = int(os.environ.get("TAREBOOK_FAULT_TURNS", "30"))
CALLS = "OMRWTSDLUAC"
OTHER = ["machine", "add", "M9"]


def events(folder):
    with contextlib.closing(sqlite3.connect("file:%s?mode=ro" % folder.book, uri=True)) as db:
        return db.execute("SELECT count(*) FROM event").fetchone()[0]


class Turn:
    def __init__(self, folder):
        self.folder, self.other, self.had = folder, Folder(folder.path, told="told.other."), False

    def __call__(self):
        try:
            db = sqlite3.connect(self.folder.book, timeout=0, isolation_level=None)
            db.execute("BEGIN EXCLUSIVE")  # what a whole turn needs
        except sqlite3.OperationalError:
            return  # kept out
        finally:
            db.close()
        ran = self.other.run(OTHER)
        assert ran.code in (0, 4), ran
        self.had = True


def main():
    room = tempfile.mkdtemp(prefix="tarebook-crash-", dir=ROOM)
    folder = Folder(os.path.join(room, "turns"))
    for scenario in scenarios.prepared(Folder(os.path.join(room, "prepare"))):
        if scenario.makes_book:
            continue
        folder.put(scenario.base)
        base = events(folder)
        assert folder.run(scenario.words).code in (0, 4)
        alone = events(folder) - base
        calls = [n for n, c in enumerate((c for c in scenario.traces["psow"] if c in CALLS), 1)]
        had = out = 0
        for call in calls[::max(1, len(calls) // TURNS)]:
            folder.put(scenario.base)
            turn = Turn(folder)
            ran = folder.run(scenario.words, "pause:%s:%d:0:psow" % (CALLS, call), scenario.spill, meanwhile=turn)
            where = "%s, stopped at call %d (...%s), the other %s\n%s" % (
                scenario.name, call, ran.trace[:ran.trace.find("!") + 1][-20:], "had a turn" if turn.had else "was kept out", ran)
            assert ran.code in (0, 4), where
            check = folder.run_as_known(["check"])
            assert check.code == 0, where + "\n" + str(check)
            assert events(folder) == base + alone + turn.had, where
            had += turn.had
            out += not turn.had
        assert had and out, (scenario.name, had, out)
        print("%-14s stopped at %3d calls: the other had a turn at %d, and was kept out at %d" %
              (scenario.name, had + out, had, out))
    shutil.rmtree(room)


main()
