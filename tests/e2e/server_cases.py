"""The golden cases over a book on a PostgreSQL server of the test's own: the same commands, the same words.

    server_cases.py                a share of the cases, another one each day
    server_cases.py --all          all that can be
    server_cases.py NAME...        those whose path has NAME in it
    TAREBOOK_SERVER=no             leaves it out, and says so

A case that is about a file (its name, its bytes, a copy of it) stays with files; how many those are is told at the end.
"""
import concurrent.futures
import datetime
import difflib
import glob
import os
import re
import shutil
import sys
import zlib

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "reference"))
sys.path.insert(0, os.path.join(HERE, "..", "support"))
import postgres_server  # noqa: E402
import run_cases  # noqa: E402

SHARE = 48  # each day one case in so many
# Words of a line by which a case is about a file.
OF_A_FILE = re.compile(r"\.tarebook|--book|sqlite3|full-disk|while-held|older-book|as-nobody|tarebook-as-given-out|"
                       r"\$TAREBOOK|TAREBOOK=|\btarebook (backup|restore|salvage|upgrade|doctor)\b|\.drafts|HOME=|XDG_DATA")


class ServerTools(run_cases.Tools):
    """Each folder of a case has a database of its own, copied from that of its book; the key lies in the folder."""

    def __init__(self, server):
        super().__init__()
        self.server = server

    @staticmethod
    def database(folder):
        return os.path.basename(folder).replace("-", "_").lower()

    def environment(self, folder):
        return {"TAREBOOK": self.server.address(self.database(folder)), "XDG_DATA_HOME": os.path.join(folder, ".own")}

    def fresh(self, book):
        folder = super().fresh(None)
        template = self.templates.get(book)
        if template:
            self.server.create(self.database(folder), self.database(template))
            shutil.copytree(os.path.join(template, ".own"), os.path.join(folder, ".own"))
        else:
            self.server.create(self.database(folder))
        return folder

    def end_case(self, folder):
        super().end_case(folder)
        self.server.drop(self.database(folder))

    def begin_book(self, folder):
        self.server.create(self.database(folder))

    def end_book(self, name, folder):
        self.templates[name] = folder

    def state(self, folder):
        there = self.server.ask(self.database(folder), "SELECT to_regclass('tarebook.turn') IS NOT NULL")
        if there == "f":
            return "none"
        return self.server.ask(self.database(folder), "SELECT (SELECT recorded FROM tarebook.turn), (SELECT count(*) FROM tarebook.event), md5(string_agg("
                               "name || '=' || value, ',' ORDER BY name)) FROM tarebook.book")

    def ids(self, folder):
        ids = run_cases.known_ids(folder)
        if self.state(folder) == "none":
            return ids
        for line in self.server.ask(self.database(folder), "SELECT CASE name WHEN 'id' THEN '<book id>' ELSE '<key>' "
                                    "END || '=' || value FROM tarebook.book WHERE name IN ('id', 'public_key') UNION ALL "
                                    "SELECT '<digest>=' || encode(digest, 'hex') FROM tarebook.event").splitlines():
            what, value = line.split("=", 1)
            ids[value] = what
        return ids

    def masked(self, text, folder, ids):
        text = text.replace(self.server.address(self.database(folder)), "<folder>/shop.tarebook")
        return run_cases.masked(text, folder, ids)


def main():
    if os.environ.get("TAREBOOK_SERVER") == "no":
        print("the golden cases over a server were left out: TAREBOOK_SERVER=no")
        return 0
    everything = "--all" in sys.argv
    only = [a for a in sys.argv[1:] if not a.startswith("--")]
    paths = sorted(p for p in glob.glob(os.path.join(run_cases.CASES, "**", "*.txt"), recursive=True) if "/_books/" not in p)
    texts = {p: open(p).read() for p in paths}
    fit = [p for p in paths if not OF_A_FILE.search("\n".join(
        line for line in texts[p].splitlines() if line.startswith(("$", "prepare", "|", "!", "page"))))]
    if only:
        chosen = [p for p in fit if any(o in os.path.relpath(p, run_cases.CASES) for o in only)]
    elif everything:
        chosen = fit
    else:
        day = datetime.date.today().isoformat()
        chosen = [p for p in fit if zlib.crc32((day + os.path.basename(p)).encode()) % SHARE == 0]
    with postgres_server.Server() as server:
        tools = ServerTools(server)
        try:
            for name in sorted({s.split(None, 1)[1] for p in chosen for s in texts[p].splitlines() if s.startswith("book ")} -
                               {"none"}):
                tools.make_book(name)
            with concurrent.futures.ThreadPoolExecutor(2) as pool:
                results = list(pool.map(lambda p: run_cases.run_case(tools, p, False), chosen))
        finally:
            shutil.rmtree(tools.folder, ignore_errors=True)
    bad = 0
    for r in results:
        name = os.path.relpath(r.path, run_cases.CASES)
        # the refusal of a command that is about a file has other words, which no case over both engines may show
        if r.text != r.was:
            r.problems.append("\n".join(difflib.unified_diff(r.was.splitlines(), r.text.splitlines(), "in a file",
                                                             "on a server", lineterm="")))
        for problem in r.problems:
            print("%s: %s" % (name, problem))
        bad += bool(r.problems)
    print("golden cases over a server: %d of the %d that are not about a file (%d are), %d with problems" %
          (len(results), len(fit), len(paths) - len(fit), bad))
    return 1 if bad or not results else 0


if __name__ == "__main__":
    sys.exit(main())
