"""`start`, `backup` and `restore` on a disk where each of their calls fails in turn, once: what they say they made is whole, and
where they failed nothing has the name."""
import os
import tempfile

from program import FOLDER_LIBRARY, ROOM, Folder

CALLS = "MWTSGDN"
START = ["start", "--company", "Fernhollow Refrigeration", "--zone", "America/Chicago"]

points = failed = 0
with tempfile.TemporaryDirectory(prefix="tarebook-made-", dir=ROOM) as path:
    folder = Folder(path, told=os.path.join(path, "told."))
    folder.library = FOLDER_LIBRARY
    folder.more_env = {"TAREBOOK_FAULT_FOLDER": path}
    made = os.path.join(path, "made")
    assert folder.run(START).code == 0
    assert folder.run(["site", "add", "OAK", "--owner", "Quillpost Markets"]).code == 0
    base = folder.files()
    for words in (["--book", made, *START], ["backup", "--to", made], ["restore", folder.book, "--to", made]):
        folder.put(base)
        whole = folder.run(words, "none:::0")
        assert whole.code == 0, whole
        for call in range(1, sum(whole.trace.count(c) for c in CALLS) + 1):
            folder.put(base)
            ran = folder.run(words, "error:%s:%d:1" % (CALLS, call))
            points += 1
            assert ran.code in (0, 3), (call, str(ran))
            assert ran.code == 3 or "NG!" not in ran.trace, ("the name may not stay, and nobody is told", str(ran))
            if ran.code == 3 and not os.path.exists(made):
                failed += 1
                continue
            check = folder.run(["--book", made, "check"])
            assert check.code == 0, (call, str(ran), str(check))
            assert ran.code == 0 or "othing was written" not in ran.err, (call, str(ran))
assert failed > points / 4, (failed, points)
print("made books: %d faults, %d of them told, what was made is whole" % (points, failed))
