"""A small shop's book and its commands, for tests of books on a server: each person has a folder of their own.

    shop = server_shop.Shop()
    shop.ok(book, "weigh", "RC-01", "--gross", "30lb", person="ana")
"""
import filecmp
import glob
import os
import subprocess
import tempfile

BIN = os.environ["TAREBOOK_BIN"]
SOURCE = os.environ["TAREBOOK_SOURCE"]
NOW = "2026-06-01T15:00:00Z"


class Shop:
    def __init__(self):
        self.folder = tempfile.mkdtemp(prefix="server-book-")
        os.symlink(BIN, os.path.join(self.folder, "tarebook"))

    def env(self, book, person, now=NOW):
        return {"PATH": self.folder + ":" + os.environ["PATH"], "TAREBOOK": book, "TAREBOOK_NOW": now,
                "LC_ALL": "C.UTF-8", "HOME": self.folder, "XDG_DATA_HOME": os.path.join(self.folder, person)}

    def run(self, book, *words, person="ana", now=NOW, timeout=60, **more):
        return subprocess.run([BIN, *words], env={**self.env(book, person, now), **more}, stdin=subprocess.DEVNULL,
                              capture_output=True, text=True, cwd=self.folder, timeout=timeout)

    def ok(self, book, *words, **more):
        done = self.run(book, *words, **more)
        assert done.returncode in (0, 4), "%s: exit %d\n%s%s" % (" ".join(words), done.returncode, done.stdout, done.stderr)
        return done.stdout

    def refused(self, book, words, said, **more):
        done = self.run(book, *words, **more)
        assert done.returncode in (1, 2, 3) and said in done.stderr, "%s: exit %d, not \"%s\":\n%s%s" % (
            " ".join(words), done.returncode, said, done.stdout, done.stderr)
        return done.stderr

    def typed(self, book, line, person="ana", now=NOW):
        """A line as a person types it."""
        done = subprocess.run(["bash", "-c", line], env=self.env(book, person, now), cwd=self.folder,
                              stdin=subprocess.DEVNULL, capture_output=True, text=True)
        assert done.returncode in (0, 4), "%s\n%s" % (line, done.stderr)
        return done.stdout

    def small_shop(self, book):
        """The book of the golden cases: each of its lines as a person types it."""
        with open(os.path.join(SOURCE, "tests/reference/cases/_books/small-shop.txt")) as f:
            text = f.read().replace("\\\n", " ")
        now = NOW
        for line in text.splitlines():
            if line.startswith("now "):
                now = line[4:]
            elif line.startswith("prepare "):
                self.typed(book, line[8:], now=now)

    def exports(self, book, to, **more):
        os.mkdir(to)
        with open(os.path.join(to, "events.json"), "w") as f:
            f.write(self.ok(book, "export", "events", "--format", "json", **more))
        self.ok(book, "export", "year", "2026", "--to", os.path.join(to, "year"), **more)
        self.ok(book, "export", "tables", "--to", os.path.join(to, "tables"), **more)
        for page in (("report", "inventory"), ("list", "exceptions"), ("due",)):
            with open(os.path.join(to, "-".join(page)), "w") as f:
                f.write(self.ok(book, *page, "--format", "json", **more))


def same(a, b):
    """Two folders of exports have the same files, byte for byte."""
    names = sorted(os.path.relpath(p, a) for p in glob.glob(a + "/**", recursive=True) if os.path.isfile(p))
    assert len(names) > 10, names
    assert names == sorted(os.path.relpath(p, b) for p in glob.glob(b + "/**", recursive=True) if os.path.isfile(p))
    for name in names:
        assert filecmp.cmp(os.path.join(a, name), os.path.join(b, name), False), "%s differs" % name
