"""A private PostgreSQL server in a folder of the test's own: made, started as an unprivileged user, stopped at the end.

    with postgres_server.Server() as server:
        server.create("one")
        server.address("one")     # postgresql://office@/one?host=FOLDER
"""
import glob
import os
import shutil
import signal
import subprocess
import tempfile


def binaries():
    """The folder with initdb and postgres; None where no server is installed."""
    found = shutil.which("initdb")
    if found:
        return os.path.dirname(os.path.realpath(found))
    folders = sorted(glob.glob("/usr/lib/postgresql/*/bin/initdb"))
    return os.path.dirname(folders[-1]) if folders else None


class Server:
    def __init__(self, settings=(), made_with=(), copied_by=None, folder=None):
        """settings: of the server; made_with: more words for initdb; copied_by: see copy(). folder: where the server stays
        with its databases for the next time; without it all goes at the end."""
        self.stays = folder is not None
        self.folder = folder or tempfile.mkdtemp(prefix="tarebook-server-",
                                                 dir="/dev/shm" if os.path.isdir("/dev/shm") else None)
        os.makedirs(self.folder, exist_ok=True)
        self.bin = binaries()
        assert self.bin, "no PostgreSQL server is installed (Debian: postgresql-15)"
        self.as_user = []
        if os.geteuid() == 0:  # the server refuses to run as root
            shutil.chown(self.folder, 65534, 65534)
            self.as_user = ["setpriv", "--reuid=65534", "--regid=65534", "--clear-groups"]
        os.chmod(self.folder, 0o755)
        self.data = os.path.join(self.folder, "data")
        self.settings = ["fsync=off", *settings]
        if copied_by:
            self.copy(copied_by)
            return
        if not os.path.exists(self.data):
            self.command("initdb", "-D", self.data, "-A", "trust", "-U", "office", "--locale=C", "-E", "UTF8", "--no-sync",
                         *made_with)
        self.start()

    def copy(self, words):
        """Forgets what it has, and is a copy of another server: by pg_basebackup with its words, FOLDER is its data's."""
        shutil.rmtree(self.data, ignore_errors=True)
        self.command(*(self.data if word == "FOLDER" else word for word in words))
        self.start()

    def promote(self):
        self.command("pg_ctl", "-D", self.data, "-w", "promote")

    def kill(self):
        """As where the machine stops at once: no process of it does anything more."""
        with open(os.path.join(self.data, "postmaster.pid")) as f:
            lines = f.read().splitlines()
        first, shared = int(lines[0]), lines[6].split()[1]
        with open("/proc/%d/task/%d/children" % (first, first)) as f:
            processes = [first, *map(int, f.read().split())]
        for process in processes:
            try:
                os.kill(process, signal.SIGKILL)
            except ProcessLookupError:
                pass
        # What it would have given back itself. A killed process that nobody has waited for yet looks like one that still
        # has the socket.
        subprocess.run(["ipcrm", "--shmem-id", shared], capture_output=True)
        os.unlink(os.path.join(self.folder, ".s.PGSQL.5432.lock"))

    def command(self, name, *words):
        done = subprocess.run([*self.as_user, os.path.join(self.bin, name), *words], capture_output=True, text=True,
                              cwd=self.folder, stdin=subprocess.DEVNULL)
        assert done.returncode == 0, "%s: %s%s" % (name, done.stdout, done.stderr)
        return done.stdout

    def start(self):
        options = ["-c listen_addresses=''", "-c unix_socket_directories='%s'" % self.folder, "-c max_connections=60",
                   "-c dynamic_shared_memory_type=mmap",  # in its folder, which goes at the end
                   *("-c %s" % one for one in self.settings)]
        # its output goes to the log alone: a pipe would stay open as long as the server runs
        subprocess.run([*self.as_user, os.path.join(self.bin, "pg_ctl"), "-D", self.data, "-l",
                        os.path.join(self.folder, "log"), "-w", "-o", " ".join(options), "start"], check=True,
                       stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, cwd=self.folder)

    def stop(self, mode="fast"):
        self.command("pg_ctl", "-D", self.data, "-m", mode, "-w", "stop")

    def address(self, database, user="office"):
        return "postgresql://%s@/%s?host=%s" % (user, database, self.folder)

    def ask(self, database, sql):
        done = subprocess.run([os.path.join(self.bin, "psql"), "-X", "-q", "-A", "-t", "-v", "ON_ERROR_STOP=1", "-h",
                               self.folder, "-U", "office", "-d", database, "-c", sql], capture_output=True, text=True)
        assert done.returncode == 0, "%s: %s" % (sql, done.stderr)
        return done.stdout.strip()

    def create(self, database, of=None, tablespace=None):
        self.ask("postgres", 'CREATE DATABASE "%s"%s%s' % (database, ' TEMPLATE "%s"' % of if of else "",
                                                           " TABLESPACE " + tablespace if tablespace else ""))

    def drop(self, database):
        self.ask("postgres", 'DROP DATABASE IF EXISTS "%s" WITH (FORCE)' % database)

    def cpu(self):
        """Seconds of the server's own processes and of those that have ended."""
        with open(os.path.join(self.data, "postmaster.pid")) as f:
            master = f.readline().strip()
        clock = 0
        for path in glob.glob("/proc/[0-9]*/stat"):
            try:
                with open(path) as f:
                    fields = f.read().rsplit(")", 1)[1].split()
            except OSError:  # it has ended meanwhile
                continue
            if path.split("/")[2] == master:
                clock += sum(int(n) for n in fields[11:15])
            elif fields[1] == master:
                clock += sum(int(n) for n in fields[11:13])
        return clock / os.sysconf("SC_CLK_TCK")

    def log(self):
        with open(os.path.join(self.folder, "log")) as f:
            return f.read()

    def __enter__(self):
        return self

    def __exit__(self, *_):
        subprocess.run([*self.as_user, os.path.join(self.bin, "pg_ctl"), "-D", self.data, "-m",
                        "fast" if self.stays else "immediate", "stop"],
                       stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, cwd="/")
        if not self.stays:
            shutil.rmtree(self.folder, ignore_errors=True)
