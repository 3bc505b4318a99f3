"""A person's terminal, played: what a program asks there, and what is typed."""
import fcntl
import os
import pty
import re
import signal
import select
import struct
import subprocess
import termios
import time


class Terminal:
    """A pseudo terminal that the program takes for a real one."""

    def __init__(self, book, *words, now):
        self.master, slave = pty.openpty()
        fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 120, 0, 0))
        env = dict(book.env(now), TERM="dumb")

        def own_terminal():
            signal.signal(signal.SIGINT, signal.SIG_DFL)  # a run in the background has it ignored
            os.setsid()
            fcntl.ioctl(0, termios.TIOCSCTTY, 0)

        self.process = subprocess.Popen([book.binary, *words], stdin=slave, stdout=slave, stderr=slave, env=env, preexec_fn=own_terminal)
        os.close(slave)
        self.seen = ""
        self.keys = 0  # that were typed, Enter too

    def until(self, pattern, seconds=60):
        start, end = len(self.seen), time.monotonic() + seconds
        while not re.search(pattern, self.seen[self.mark if hasattr(self, "mark") else 0:]):
            ready, _, _ = select.select([self.master], [], [], max(0.0, end - time.monotonic()))
            assert ready, (pattern, self.seen)
            try:
                got = os.read(self.master, 65536).decode("utf-8", "replace")
            except OSError:
                got = ""
            assert got, (pattern, self.seen)
            self.seen += got.replace("\r\n", "\n")
        new = self.seen[start:]
        self.mark = len(self.seen)
        return new

    def type(self, text):
        self.keys += len(text)
        os.write(self.master, text.encode())

    def end(self):
        while True:
            try:
                got = os.read(self.master, 65536).decode("utf-8", "replace")
            except OSError:
                break
            if not got:
                break
            self.seen += got.replace("\r\n", "\n")
        code = self.process.wait(60)
        os.close(self.master)
        return code
