"""A scale at the other end of a pseudo terminal: it sends lines, over and over, until it is told to end."""
import os
import pty
import subprocess
import sys
import threading
import tty


class Scale:
    """`lines`: a function of the number of the sending that returns bytes, or one line that is always the same. Bytes
    are sent as they are; None from the function pulls the plug. `link`: a name that leads to the port, as long as it is
    plugged in."""

    def __init__(self, lines=None, every=0.02, link=None):
        self.master, self.slave = pty.openpty()
        tty.setraw(self.slave)
        self.port, self.link = os.ttyname(self.slave), link
        if link:
            if os.path.islink(link):
                os.unlink(link)
            os.symlink(self.port, link)
            self.port = link
        self.lines, self.every, self.ends, self.sent = lines, every, threading.Event(), 0
        self.thread = threading.Thread(target=self.play, daemon=True)
        self.thread.start()

    def show(self, lines):
        """From now on it sends these."""
        self.lines, self.sent = lines, 0

    def play(self):
        while not self.ends.wait(self.every):
            lines, n = self.lines, self.sent
            self.sent += 1
            piece = lines(n) if callable(lines) else lines
            if piece is None and callable(lines):
                return self.pull()
            if isinstance(piece, str):
                piece = piece.encode() + b"\r\n"
            if piece:
                try:
                    os.write(self.master, piece)
                except OSError:
                    return None
        return None

    def pull(self):
        if self.link and os.path.islink(self.link):
            os.unlink(self.link)
        for end in ("slave", "master"):
            fd = getattr(self, end)
            setattr(self, end, -1)
            if fd >= 0:
                os.close(fd)

    def end(self):
        self.ends.set()
        if threading.current_thread() is not self.thread:
            self.thread.join()
        self.pull()

    def __enter__(self):
        return self

    def __exit__(self, *problem):
        self.end()


if __name__ == "__main__":  # scale_player.py PORT LINE COMMAND...
    link, line, *command = sys.argv[1:]
    # half a line begins anew each time (STX), so that it is the same whenever somebody begins to listen
    bytes_sent = b"\x02" + line[:-2].encode() if line.endswith("\\c") else line.encode().decode("unicode_escape").encode("latin-1") + b"\r\n"
    if line == "pull":
        plays = lambda n: b"US,GS,+0031.20lb\r\n" if n < 100 else None  # noqa: E731
    else:
        plays = bytes_sent if line else None
    with Scale(plays, link=os.path.abspath(link)):
        code = subprocess.run(command).returncode
    sys.exit(code)
