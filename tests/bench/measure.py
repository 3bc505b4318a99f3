"""Whole processes, measured: wall, CPU and peak memory of finished children (wait4), and their syncs (strace).

Commands of one group run in turn, A B C A B C ..., so that a slow minute of the machine falls on all of them alike. A
child's peak memory is never below this Python's own (about 15 MiB): the floor of the figure.
"""
import collections
import os
import re
import shutil
import statistics
import subprocess
import tempfile
import time

Run = collections.namedtuple("Run", "wall cpu rss")          # s, s, MiB
Figure = collections.namedtuple("Figure", "wall lo hi cpu rss runs")

SLOW_S = 5.0        # a command that takes longer than this runs three times at most
TAKEN = (0, 4)      # done; done with exceptions


def once(argv, env=None):
    with tempfile.TemporaryFile() as out:
        began = time.perf_counter()
        child = subprocess.Popen(argv, stdin=subprocess.DEVNULL, stdout=out, stderr=subprocess.STDOUT, env=env)
        _, status, used = os.wait4(child.pid, 0)
        wall = time.perf_counter() - began
        child.returncode = os.waitstatus_to_exitcode(status)
        if child.returncode not in TAKEN:
            out.seek(0)
            said = out.read(2000).decode("utf-8", "replace")
            raise SystemExit("exit %d: %s\n%s" % (child.returncode, " ".join(argv), said))
        return Run(wall, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024)


def group(commands, runs, warmup=1, env=None):
    """commands: {label: function that prepares a run and returns its argv}. Returns {label: Figure}; a first run of
    each warms the caches and is not counted."""
    got = {label: [] for label in commands}
    for turn in range(-warmup, runs):
        for label, prepare in commands.items():
            done = got[label]
            if len(done) >= 3 and done[0].wall > SLOW_S:
                continue
            run = once(prepare(), env)
            if turn >= 0:
                done.append(run)
    return {label: figure(done) for label, done in got.items()}


def figure(runs):
    walls = [r.wall for r in runs]
    return Figure(statistics.median(walls), min(walls), max(walls), statistics.median(r.cpu for r in runs),
                  max(r.rss for r in runs), len(runs))


def syncs(argv, env=None):
    """How often the command asks the disk to hold what it wrote; None where there is no strace."""
    if not shutil.which("strace"):
        return None
    with tempfile.NamedTemporaryFile("r") as trace:
        traced = ["strace", "-f", "-qq", "-e", "trace=fsync,fdatasync", "-o", trace.name, *argv]
        exit_code(traced, env)
        return len(re.findall(r"\bf(?:data)?sync\(", trace.read()))


def exit_code(argv, env=None):
    quiet = subprocess.DEVNULL
    return subprocess.run(argv, env=env, stdin=quiet, stdout=quiet, stderr=quiet).returncode
