"""A book in a folder of its own, and the real binary to work on it."""
import atexit
import contextlib
import hashlib
import json
import os
import shutil
import sqlite3
import subprocess
import tempfile

BIN = os.environ["TAREBOOK_BIN"]
SOURCE = os.environ["TAREBOOK_SOURCE"]


@contextlib.contextmanager
def sql(path, **more):
    """The file as another program has it: committed and closed at the end, so that no log lies beside it."""
    db = sqlite3.connect(path, **more)
    try:
        with db:
            yield db
    finally:
        db.close()


class Book:
    def __init__(self, start=True, binary=BIN):
        self.binary = binary
        self.folder = tempfile.mkdtemp(prefix="tarebook-e2e-")
        if not os.environ.get("TAREBOOK_KEEP"):  # to look at what a failing test made
            atexit.register(shutil.rmtree, self.folder, ignore_errors=True)
        self.path = os.path.join(self.folder, "shop.tarebook")
        if start:
            self.ok("start", "--company", "Fernhollow Refrigeration", "--zone", "America/Chicago")

    def env(self, now=None):
        env = {"PATH": os.environ["PATH"], "TAREBOOK": self.path, "HOME": self.folder}
        if now:
            env["TAREBOOK_NOW"] = now
        return env

    def run(self, *words, now="2026-06-01T15:00:00Z", binary=None):
        return subprocess.run([binary or self.binary, *words], env=self.env(now), stdin=subprocess.DEVNULL, capture_output=True, text=True)

    def ok(self, *words, codes=(0, 4), **kw):
        done = self.run(*words, **kw)
        assert done.returncode in codes, (words, done.returncode, done.stdout, done.stderr)
        return done

    def json(self, *words, **kw):
        return json.loads(self.ok(*words, "--format", "json", **kw).stdout)

    def digest(self):
        with open(self.path, "rb") as f:
            return hashlib.sha256(f.read()).hexdigest()

    def small_register(self):
        self.ok("site", "add", "OAK", "--owner", "Quillpost Markets")
        self.ok("site", "add", "DAIRY", "--owner", "Bramble Dairy Co-op")
        self.ok("appliance", "add", "OAK/RACK-A", "--category", "commercial-refrigeration", "--refrigerant", "R-448A",
                "--full-charge", "900lb", "--charge-basis", "calculated")
        self.ok("appliance", "add", "DAIRY/ICE", "--category", "industrial-process", "--refrigerant", "R-404A",
                "--full-charge", "42lb", "--charge-basis", "maker")
        self.ok("circuit", "add", "OAK/RACK-A/4", "--serves", "produce")
        self.ok("circuit", "add", "DAIRY/ICE/1", "--serves", "ice builder")
        self.ok("cylinder", "add", "RC-01", "--use", "recovery", "--refrigerant", "R-448A", "--wc", "47.6lb", "--tare",
                "27.5lb", "--spec", "DOT-4BA400", "--tested", "2024-04")
        self.ok("cylinder", "add", "RC-02", "--use", "recovery", "--refrigerant", "R-404A", "--wc", "47.6lb", "--tare",
                "27.8lb", "--spec", "DOT-4BA400", "--tested", "2024-04")
        self.ok("scale", "add", "S1", "--reads", "lb", "--division", "0.05lb")
        self.ok("scale", "add", "S3", "--reads", "lb-oz", "--division", "0.5oz")
        return self


def demo(book):
    """Runs fixtures/demo-shop.sh on the book, each command checked for its exit code. TAREBOOK_MANY_BIN: a program without
    sanitizers that makes the week where another test is about it."""
    script = r"""
set -eu
say() { :; }
run() { code=0; "$TAREBOOK_BIN" "$@" >/dev/null 2>"$ERR" || code=$?; case $code in 0|4) ;; *) echo "exit $code: $*" >&2; cat "$ERR" >&2; exit 9;; esac; }
refuse() { code=0; "$TAREBOOK_BIN" "$@" >/dev/null 2>"$ERR" || code=$?; [ "$code" = 1 ] || { echo "not refused ($code): $*" >&2; exit 9; }; }
. "$TAREBOOK_SOURCE/fixtures/demo-shop.sh"
"""
    env = book.env()
    env.update(TAREBOOK_BIN=os.environ.get("TAREBOOK_MANY_BIN", BIN), TAREBOOK_SOURCE=SOURCE, ERR=os.path.join(book.folder, "err"))
    done = subprocess.run(["sh", "-c", script], env=env, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return book
