"""What never ends is not read: pipes and devices in place of a file, and files that are too large for what they should be."""
import os
import subprocess

from book import BIN, Book

b = Book().small_register()
fifo = os.path.join(b.folder, "pipe")
os.mkfifo(fifo)
large = os.path.join(b.folder, "large")
with open(large, "wb") as f:
    f.truncate(1 << 30)
folder = os.path.join(b.folder, "folder")
os.mkdir(folder)
note = ("note", "OAK/RACK-A/4", "frost", "--photo")
trust = ("books", "trust", "truck", "--card")
for words, code in ((("verify", "/dev/zero"), 2), (("verify", fifo), 2), (("verify", large), 2), (("verify", folder), 2),
                    ((*note, fifo), 2), ((*note, "/dev/zero"), 2), ((*note, large), 2), ((*note, folder), 2),
                    (("--book", fifo, "check"), 3), (("--book", "/dev/zero", "check"), 3), (("--book", fifo, "salvage", "--to", "x"), 3),
                    (("--book", folder, "check"), 3), (("restore", fifo, "--to", os.path.join(b.folder, "again")), 3),
                    (("backup", "--to", fifo), 1), ((*trust, "/dev/zero"), 2), ((*trust, fifo), 2), ((*trust, large), 2),
                    (("merge", fifo), 2), (("pt", "R-22", "--at", "77F", "--refrigerants", fifo), 2),
                    (("pt", "R-22", "--at", "77F", "--refrigerants", "/dev/zero"), 2), (("due", "--rules", fifo), 2),
                    (("due", "--rules", "/dev/zero"), 2), (("job", "record", "/dev/zero"), 2), (("job", "record", fifo), 2),
                    (("import", "movements", fifo), 2), (("import", "movements", "/dev/zero"), 2), (("merge", "/dev/zero"), 2), (("check", "--against", "/dev/zero"), 2)):
    before = b.digest()
    done = subprocess.run([BIN, *words], env=b.env("2026-06-01T15:00:00Z"), stdin=subprocess.DEVNULL, capture_output=True,
                          text=True, timeout=20)
    assert done.returncode == code and done.stderr, (words, done.returncode, done.stdout, done.stderr)
    assert b.digest() == before
print("unbounded reads: pipes, devices and a gibibyte of nothing are refused at once")
