"""A socket between a program and its server that reads the messages of the protocol (PostgreSQL 15 documentation, 55.7)
and at one of them does what a fault does.

    with Between(server) as between:
        plan = between.plan(Plan(17, "in"))      # message 17 of the next program
        run(between.address("shop"))
        plan.struck
"""
import os
import select
import shutil
import socket
import struct
import tempfile
import threading

COMMIT = b"COMMIT\0"
WAIT_FOR_ANSWER = 20


class Plan:
    """`at`: the number of a message (the first one of a connection is the greeting), or bytes that are in it, for the
    `nth` time.

    how: "before": it is not sent, and the connection ends. "in": a part of its bytes is sent. "after": it is sent, and
    its answer never arrives. "answer": a part of its answer arrives. "pass": nothing is cut.
    first: called with the number of the server's process before anything of the message is sent
    then: called the same way once the connection was cut, or the message was sent; until it ends, no new connection is
    answered
    refuse: so many connections after it are ended at once"""

    def __init__(self, at, how, part=0.5, nth=1, first=None, then=None, refuse=0):
        self.at, self.how, self.part, self.nth, self.first, self.then, self.refuse = at, how, part, nth, first, then, refuse
        self.seen, self.commits, self.struck = 0, 0, False

    def is_at(self, message):
        self.seen += 1
        self.commits += message.endswith(COMMIT)
        if self.struck:
            return False
        if isinstance(self.at, bytes):
            self.nth -= self.at in message
            return self.nth == 0
        # Only the end of a statement is answered: the cut comes with the next one that is.
        return self.seen >= self.at and (self.how not in ("after", "answer") or message[:1] in (b"Q", b"S", b"c"))


class Messages:
    """Bytes in the order in which they come, taken apart into whole messages."""

    def __init__(self, greeted):
        self.bytes, self.greeted = b"", greeted

    def put(self, data):
        self.bytes += data

    def __iter__(self):
        while True:
            head = 1 if self.greeted else 0  # a greeting has no letter in front of its length
            if len(self.bytes) < head + 4:
                return
            size = head + struct.unpack("!I", self.bytes[head:head + 4])[0]
            if len(self.bytes) < size:
                return
            message, self.bytes = self.bytes[:size], self.bytes[size:]
            self.greeted = True
            yield message


class Between:
    def __init__(self, server):
        self.server, self.current, self.open = server, Plan(0, "pass"), True
        self.current.struck = True
        self.may_connect = threading.Event()
        self.may_connect.set()
        self.folder = tempfile.mkdtemp(prefix="between-", dir="/tmp")
        self.listening = socket.socket(socket.AF_UNIX)
        self.listening.bind(os.path.join(self.folder, ".s.PGSQL.5432"))
        self.listening.listen(8)
        threading.Thread(target=self.serve, daemon=True).start()

    def address(self, database, user="office"):
        return "postgresql://%s@/%s?host=%s" % (user, database, self.folder)

    def plan(self, plan):
        self.current = plan
        return plan

    def serve(self):
        while True:
            try:
                client, _ = self.listening.accept()
            except OSError:
                return
            threading.Thread(target=self.connected, args=(client,), daemon=True).start()

    def connected(self, client):
        self.may_connect.wait()
        if self.current.struck and self.current.refuse > 0:
            self.current.refuse -= 1
            client.close()
            return
        with client, socket.socket(socket.AF_UNIX) as server:
            try:
                server.connect(os.path.join(self.server.folder, ".s.PGSQL.5432"))
                Connection(self, client, server).pump()
            except OSError:  # one of the two has gone: so does the other
                pass

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.listening.close()
        shutil.rmtree(self.folder, ignore_errors=True)


class Connection:
    def __init__(self, between, client, server):
        self.between, self.client, self.server, self.process = between, client, server, 0
        self.asked, self.answered = Messages(False), Messages(True)

    def pump(self):
        while True:
            for ready in select.select([self.client, self.server], [], [])[0]:
                data = ready.recv(65536)
                if not data:
                    return
                if ready is self.server:
                    self.note_process(data)
                    self.client.sendall(data)
                elif not self.from_client(data):
                    return

    # The server tells the number of its process once, in front of its first answer.
    def note_process(self, data):
        if self.process == 0:
            self.answered.put(data)
            for message in self.answered:
                if message[:1] == b"K":
                    self.process = struct.unpack("!I", message[5:9])[0]

    def from_client(self, data):
        """False: the connection ends."""
        self.asked.put(data)
        waiting = b""
        for message in self.asked:
            plan = self.between.current
            if not plan.is_at(message):
                waiting += message
                continue
            self.between.may_connect.clear()
            plan.struck = True
            try:
                self.server.sendall(waiting)
                waiting = b""
                if plan.first:
                    plan.first(self.process)
                if plan.how != "before":
                    part = max(1, int(len(message) * plan.part)) if plan.how == "in" else len(message)
                    self.server.sendall(message[:part])
                if plan.how in ("after", "answer"):
                    answer = self.answer()
                    if plan.how == "answer":
                        self.client.sendall(answer[:int(len(answer) * plan.part)])
                if plan.how != "pass":
                    self.client.shutdown(socket.SHUT_RDWR)
                    self.server.shutdown(socket.SHUT_RDWR)
                if plan.then:
                    plan.then(self.process)
            finally:
                self.between.may_connect.set()
            if plan.how != "pass":
                return False
        self.server.sendall(waiting)
        return True

    def answer(self):
        """All that the server sends until it is ready for the next message."""
        out, messages = b"", Messages(True)
        self.server.settimeout(WAIT_FOR_ANSWER)
        while True:
            data = self.server.recv(65536)
            out += data
            messages.put(data)
            if not data or any(message[:1] in b"ZG" for message in messages):
                return out
