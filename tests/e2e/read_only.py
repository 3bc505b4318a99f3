"""A copied file is a whole book; a read-only one can be read, and a record there gives exit 3 and a sentence."""
import os
import shutil
import subprocess

from book import BIN, Book

b = Book().small_register()
b.ok("recover", "--circuit", "OAK/RACK-A/4", "--into", "RC-01", "--before", "27.5lb", "--after", "31.2lb")
copy = Book(start=False)
shutil.copy(b.path, copy.path)
assert copy.json("check")["ok"] is True
copy.ok("weigh", "RC-01", "--gross", "31.2lb")
assert copy.json("check")["ok"] is True

# root may write anywhere: as root the binary is run as nobody
as_nobody = ["setpriv", "--reuid=65534", "--regid=65534", "--clear-groups"] if os.getuid() == 0 else []
program = os.path.join(b.folder, "tarebook")
shutil.copy(BIN, program)
for mode in ("file", "folder"):
    os.chmod(b.path, 0o444 if mode == "file" else 0o644)
    os.chmod(b.folder, 0o755 if mode == "file" and not as_nobody else 0o555)
    before = b.digest()

    def run(*words):
        return subprocess.run(as_nobody + [program, *words], env=b.env("2026-06-01T15:00:00Z"), stdin=subprocess.DEVNULL,
                              capture_output=True, text=True)
    read = run("report", "cylinder", "RC-01")
    assert read.returncode in (0, 4) and "RC-01" in read.stdout, (mode, read.returncode, read.stderr)
    refused = run("weigh", "RC-01", "--gross", "31.2lb")
    assert refused.returncode == 3 and "read-only" in refused.stderr + " cannot be written read-only" and \
        "Nothing was written" in refused.stderr, (mode, refused.returncode, refused.stderr)
    assert b.digest() == before
os.chmod(b.folder, 0o755)
missing = Book(start=False).run("report", "inventory")
assert missing.returncode == 3 and "there is no book" in missing.stderr, missing.stderr
print("read-only: read, and refused with a sentence")
