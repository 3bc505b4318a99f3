"""The real binary, run with or without a fault (see fault.hpp), and what its book holds afterwards."""
import contextlib
import hashlib
import os
import shutil
import signal
import sqlite3

BIN = os.environ.get("TAREBOOK_CRASH_BIN") or os.environ["TAREBOOK_BIN"]
LIBRARY = os.environ["TAREBOOK_FAULT_LIBRARY"]
FOLDER_LIBRARY = os.path.join(os.path.dirname(LIBRARY), "libcrash_folder.so")
NOW = "2026-06-10T20:00:00Z"
KILLED = -signal.SIGKILL
SLOW_SECONDS = 60
# The power cut is modelled, so the disk under it need not be one.
ROOM = "/dev/shm" if os.access("/dev/shm", os.W_OK) and shutil.disk_usage("/dev/shm").free > 1 << 28 else None


class Ran:
    def __init__(self, words, code, out, err, trace):
        self.words, self.code, self.out, self.err, self.trace = words, code, out, err, trace
        self.struck = "!" in trace

    def __str__(self):
        return "%s\n    exit %s\n    out: %s\n    err: %s" % (" ".join(self.words), self.code, self.out.strip()[:600],
                                                          self.err.strip()[:900])


def text_of(path):
    try:
        with open(path, encoding="utf-8", errors="replace") as f:
            return f.read()
    except FileNotFoundError:
        return ""


class Known:
    """What a command without a fault did to files, for the next time that it meets the same files: the program is a
    function of them, of its words and of the clock that it is given. Most points end in one of a few states."""
    MOST = 400  # a book is a quarter of a megabyte, and each worker has its own

    def __init__(self):
        self.kept = {}

    def look(self, key):
        return self.kept.get(key)

    def keep(self, key, ran, files):
        if len(self.kept) >= self.MOST:
            self.kept.pop(next(iter(self.kept)))
        self.kept[key] = (ran, files)


known_runs = Known()
known_rows = {}


class Folder:
    """A folder with one book in it, for one process at a time."""

    def __init__(self, path, binary=BIN, told="told."):
        self.path, self.binary, self.told = path, binary, told
        self.more_env = {}
        self.library = LIBRARY
        self.book = os.path.join(path, "shop.tarebook")
        os.makedirs(path, exist_ok=True)

    def put(self, files):
        """Empties the folder and fills it with files (name: bytes)."""
        for entry in os.scandir(self.path):
            if entry.is_dir():
                shutil.rmtree(entry.path)
            else:
                os.unlink(entry.path)
        for name, content in files.items():
            with open(os.path.join(self.path, name), "wb") as f:
                f.write(content)

    def files(self):
        found = {}
        for entry in os.scandir(self.path):
            if entry.is_file() and not entry.name.startswith("told."):
                with open(entry.path, "rb") as f:
                    found[entry.name] = f.read()
        return found

    def state(self):
        """All files, and who may read them."""
        return {name: (content, os.stat(os.path.join(self.path, name)).st_mode & 0o777)
                for name, content in self.files().items()}

    def run_as_known(self, words):
        """Like `run` without a fault, for a command that makes nothing by chance."""
        before = self.state()
        whole = hashlib.sha256(repr((self.binary, self.path, sorted(self.more_env.items()), words)).encode())
        for name in sorted(before):
            content, mode = before[name]
            whole.update(("%s %o %d\n" % (name, mode, len(content))).encode())
            whole.update(content)
        key = whole.digest()
        found = known_runs.look(key)
        if not found:
            ran = self.run(words)
            after = self.state()
            known_runs.keep(key, ran, {n: after.get(n) for n in {*before, *after} if after.get(n) != before.get(n)})
            return ran
        ran, changed = found
        for name, now in changed.items():
            path = os.path.join(self.path, name)
            if now is None:
                os.unlink(path)
                continue
            with open(path, "wb") as f:
                f.write(now[0])
            os.chmod(path, now[1])
        return ran

    def run(self, words, fault=None, spill=False, traced=False, now=NOW, meanwhile=None):
        """`meanwhile` is called where the fault paused the program, which then goes on."""
        words = [w.replace("{folder}", self.path) for w in words]
        env = {"PATH": os.environ["PATH"], "HOME": self.path, "TAREBOOK": self.book, "TAREBOOK_NOW": now,
               **self.more_env}
        told = {name: os.path.join(self.path, self.told + name) for name in ("out", "err", "trace")}
        if fault or traced:
            env["LD_PRELOAD"] = self.library
            env["ASAN_OPTIONS"] = "verify_asan_link_order=0"
            env["TAREBOOK_FAULT_TRACE"] = told["trace"]
            if fault:
                env["TAREBOOK_FAULT"] = fault
            if spill:
                env["TAREBOOK_FAULT_SPILL"] = "1"
        flags = os.O_CREAT | os.O_TRUNC | os.O_WRONLY
        pid = os.posix_spawn(self.binary, [self.binary, *words], env, file_actions=[
            (os.POSIX_SPAWN_OPEN, 0, "/dev/null", os.O_RDONLY, 0),
            (os.POSIX_SPAWN_OPEN, 1, told["out"], flags, 0o600),
            (os.POSIX_SPAWN_OPEN, 2, told["err"], flags, 0o600)])

        def too_slow(*_):
            os.kill(pid, signal.SIGKILL)
            raise AssertionError("still running after %d s: %s" % (SLOW_SECONDS, " ".join(words)))
        signal.signal(signal.SIGALRM, too_slow)
        signal.alarm(SLOW_SECONDS)
        status = os.waitpid(pid, os.WUNTRACED)[1]
        if os.WIFSTOPPED(status):
            meanwhile()
            os.kill(pid, signal.SIGCONT)
            status = os.waitpid(pid, 0)[1]
        code = os.waitstatus_to_exitcode(status)
        signal.alarm(0)
        return Ran(words, code, text_of(told["out"]), text_of(told["err"]),
                   text_of(told["trace"]) if fault or traced else "")

    def schema(self):
        with contextlib.closing(sqlite3.connect("file:%s?mode=ro" % self.book, uri=True)) as db:
            return db.execute("PRAGMA user_version").fetchone()[0]

    def rows(self):
        """A digest of every row of every table: two books with the same one hold the same. Where the last log began is
        left out: it depends on what was left lying before."""
        if os.path.exists(self.book + "-wal") or os.path.exists(self.book + "-journal"):
            return self.rows_by_sqlite()
        with open(self.book, "rb") as f:
            key = hashlib.sha256(f.read()).digest()
        if key not in known_rows:
            known_rows[key] = self.rows_by_sqlite()
        return known_rows[key]

    def rows_by_sqlite(self):
        db = sqlite3.connect("file:%s?mode=ro" % self.book, uri=True)
        try:
            whole = hashlib.sha256(repr(db.execute("PRAGMA user_version").fetchone()).encode())
            names = [r[0] for r in db.execute("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name")]
            for name in names:
                whole.update(name.encode())
                for row in db.execute('SELECT * FROM "%s" ORDER BY 1, 2' % name):
                    if row[0] != "log_base":
                        whole.update(repr(row).encode())
            return whole.hexdigest()
        finally:
            db.close()

    def is_whole(self):
        with contextlib.closing(sqlite3.connect("file:%s?mode=ro" % self.book, uri=True)) as db:
            return db.execute("PRAGMA integrity_check").fetchall() == [("ok",)]

    def own_ids(self):
        db = sqlite3.connect("file:%s?mode=ro" % self.book, uri=True)
        try:
            return [r[0] for r in db.execute("SELECT own_id FROM event WHERE own_id IS NOT NULL ORDER BY rowid")]
        finally:
            db.close()
