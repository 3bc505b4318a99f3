"""Scales played at the other end of a pseudo terminal: a weight is read once it stands still, by a flag, by Enter at a
prompt and by a pattern of one's own; what is no weight is told, a typed one always goes, and the book says which weight
was read. A hand scanner is a keyboard: a code and Enter picks the cylinder, from our labels too."""
import fcntl
import os
import pty
import re
import select
import shutil
import signal
import subprocess
import sys
import termios
import time

sys.path.insert(0, os.path.join(os.environ["TAREBOOK_SOURCE"], "tests", "support"))
from book import BIN, Book  # noqa: E402
from scale_player import Scale  # noqa: E402

NOW = "2026-06-01T15:00:00Z"
begun = time.monotonic()
b = Book().small_register()
drafts = b.path + ".drafts"
STILL = "ST,GS,+0031.20lb"


class Terminal:
    """A person at a keyboard."""

    def __init__(self, *words):
        self.master, slave = pty.openpty()

        def own_terminal():
            signal.signal(signal.SIGINT, signal.SIG_DFL)  # a run in the background has it ignored
            os.setsid()
            fcntl.ioctl(0, termios.TIOCSCTTY, 0)

        self.process = subprocess.Popen([BIN, *words], stdin=slave, stdout=slave, stderr=slave, env=dict(b.env(NOW), TERM="dumb"),
                                        preexec_fn=own_terminal)
        os.close(slave)
        self.seen, self.mark = "", 0

    def until(self, pattern, seconds=30):
        end = time.monotonic() + seconds
        while not re.search(pattern, self.seen[self.mark:]):
            ready, _, _ = select.select([self.master], [], [], max(0.0, end - time.monotonic()))
            assert ready, (pattern, self.seen)
            try:
                got = os.read(self.master, 65536).decode("utf-8", "replace")
            except OSError:
                got = ""
            assert got, (pattern, self.seen)
            self.seen += got.replace("\r\n", "\n")
        new, self.mark = self.seen[self.mark:], len(self.seen)
        return new

    def type(self, text):
        os.write(self.master, text.encode())

    def end(self):
        while True:
            assert select.select([self.master], [], [], 30)[0], self.seen
            try:
                got = os.read(self.master, 65536).decode("utf-8", "replace")
            except OSError:
                break
            if not got:
                break
            self.seen += got.replace("\r\n", "\n")
        code = self.process.wait(30)
        os.close(self.master)
        return code


def event(name):
    (one,) = b.json("report", "event", name)["events"]
    return one


def recorded(done):
    return re.search(r"recorded as (E\d+)", done.stdout)[1]


def refused(name, *words, code=1):
    before = b.digest()
    done = b.run(*words, "--format", "json")
    assert done.returncode == code and '"error": "%s"' % name in done.stderr, (words, done)
    assert b.digest() == before
    return done.stderr


# --- a port is a fact of this device: beside the book, not in the chain ---
refused("scale-no-port", "weigh", "RC-01", "--gross", "scale")
bench = os.path.join(b.folder, "bench")
scale = Scale(STILL, link=bench)
before = b.digest()
said = b.ok("scale", "add", "S1", "--port", scale.port, "--baud", "9600", "--wait", "5").stdout
assert scale.port in said and "9600" in said and b.digest() == before and os.listdir(drafts) == ["port-S1.entry"]
assert scale.port in b.ok("scale", "show", "S1").stdout and scale.port in b.ok("scale", "list").stdout
assert b.run("scale", "add", "S9", "--port", scale.port).returncode == 2, "a new scale still needs what it reads"
assert os.listdir(drafts) == ["port-S1.entry"]
b.ok("scale", "add", "S9", "--reads", "kg", "--port", scale.port, "--line", "W ([0-9.]+)")
assert sorted(os.listdir(drafts)) == ["port-S1.entry", "port-S9.entry"]
assert "several" in refused("scale-no-port", "weigh", "RC-01", "--gross", "scale")
b.ok("scale", "correct", "S9", "--port", "")
assert os.listdir(drafts) == ["port-S1.entry"] and "port" not in b.ok("scale", "show", "S9").stdout
for junk in (b"", b"tarebook entry 1\n2026-06-01T15:00:00Z\nscale\tS9\nport\t/dev/x\nbaud\tx\nwait_ms\t1\n", b"\xff" * 99):
    open(os.path.join(drafts, "port-S9.entry"), "wb").write(junk)
    assert "read from" not in b.ok("scale", "show", "S9").stdout
os.unlink(os.path.join(drafts, "port-S9.entry"))

# --- by a flag: steady, moving then steady, equal lines; the event names the scale and says which weight was read ---
done = b.ok("weigh", "RC-01", "--gross", "scale")
assert "S1 shows 31.20lb" in done.stderr and "31.20 lb" in done.stdout
assert event(recorded(done))["weights_from_scale"] == ["gross"]
whole = b.ok("report", "event", recorded(done)).stdout
assert "read from scale S1, not typed: gross" in whole, whole
scale.show(lambda n: "US,GS,+00%.2flb" % (31.2 + 0.05 * n) if n < 8 else "ST,GS,+0031.60lb")
done = b.ok("weigh", "RC-01", "--gross", "scale", "--scale", "S1")
assert "scale       31.60 lb" in done.stdout, done
scale.show("31.60 lb")
done = b.ok("weigh", "RC-01", "--gross", "scale")
assert "scale       31.60 lb" in done.stdout
typed = b.ok("weigh", "RC-01", "--gross", "31.60lb")
assert event(recorded(typed))["weights_from_scale"] == [] and "not typed" not in b.ok("report", "event", recorded(typed)).stdout
assert "31.60lb" in b.ok("export", "events", "--format", "json").stdout

# --- what is no weight is told, and writes nothing ---
b.ok("scale", "add", "S1", "--wait", "0.3")
for lines, name in (("OL,GS,+9999999lb", "scale-overload"), ("ST,GS,+0014.20kg", "scale-other-unit"), ("ST,NT,+0003.20lb", "scale-net"),
                    ("ST,GS,+0000.00lb", "scale-empty"), ("US,GS,+0031.20lb", "scale-moving"), (None, "scale-silent"),
                    (b"ST,GS,+00", "scale-half-line"), (b"\xff\xf3\xfe\r\n", "scale-not-understood"), ("READY", "scale-not-understood")):
    scale.show(lines)
    assert "typed weight goes" in refused(name, "weigh", "RC-01", "--gross", "scale"), name
b.ok("scale", "add", "S1", "--wait", "5")
scale.show(STILL)
refused("scale-now", "weigh", "RC-01", "--gross", "scale", "--at", "09:00", code=2)
refused("scale-twice", "recover", "--circuit", "OAK/RACK-A/4", "--into", "RC-01", "--before", "scale", "--after", "scale", code=2)
refused("scale-no-port", "weigh", "RC-01", "--gross", "scale", "--scale", "S3")
refused("scale-baud", "scale", "add", "S1", "--baud", "9601", code=2)
refused("scale-pattern", "scale", "add", "S1", "--line", "(a+", code=2)
assert b.ok("weigh", "RC-01", "--gross", "31.60lb", "--scale", "S1").returncode == 0, "a typed weight goes beside a port"

# --- a recovery of hours: the weight before is read when it begins, the one after when it ends ---
begin = b.ok("recover", "begin", "--circuit", "OAK/RACK-A/4", "--into", "RC-01", "--before", "scale", "--job", "2207", "--by", "ana")
assert "31.20lb before" in begin.stdout and "S1 shows 31.20lb" in begin.stderr
scale.show("ST,GS,+0044.85lb")
done = b.ok("recover", "finish", "--after", "scale", "--vacuum", "10inHg")
assert "13.65 lb recovered into RC-01" in done.stdout, done
assert event(recorded(done))["weights_from_scale"] == ["before", "after"]
begin = b.ok("recover", "begin", "--circuit", "OAK/RACK-A/4", "--into", "RC-01", "--before", "44.85lb", "--job", "2207")
scale.show("ST,GS,+0045.85lb")
half = b.ok("recover", "finish", "--after", "scale")
assert event(recorded(half))["weights_from_scale"] == ["after"]
job = b.json("report", "job", "2207")
assert [w["weights_from_scale"] for w in job["weighings"]] == [["before", "after"], ["after"]]
page = b.ok("report", "job", "2207").stdout
assert "* as the scale sent it" in page and "44.85lb*" in page and re.search(r" 44\.85lb +45\.85lb\*", page), page

# --- net weights, and other commands ---
scale.show("ST,NT,-0002.00lb")
done = b.ok("reuse", "--circuit", "OAK/RACK-A/4", "--from", "RC-01", "--net", "scale", "--anyway", "two owners' gas, as told")
assert "2.00 lb reused in" in done.stdout and event(recorded(done))["weights_from_scale"] == ["net"]
refused("scale-empty", "recover", "--circuit", "OAK/RACK-A/4", "--into", "RC-01", "--net", "scale")
scale.show("ST,GS,+0043.85lb")
done = b.ok("return", "RC-01", "--to", "Harlan Reclaim", "--gross", "scale")
assert event(recorded(done))["weights_from_scale"] == ["gross"]

# --- a pattern of one's own, which listening proposes ---
scale.show(lambda n: "W%02d (%.2f) lb %s" % (n % 7, 31.2, "=" if n % 2 else "~"))
heard = b.ok("scale", "listen", "S1", "--seconds", "0.3").stdout
assert "not understood" in heard and "31.20 lb" in heard, heard
pattern = re.search(r"--line '(.*)'\n", heard)[1]
b.ok("scale", "add", "S1", "--line", pattern)
scale.show(lambda n: "W%02d (%.2f) lb =" % (n % 7, 33.8))
done = b.ok("weigh", "RC-02", "--gross", "scale")
assert "scale       33.80 lb" in done.stdout, done
assert pattern in b.ok("scale", "show", "S1").stdout
b.ok("scale", "add", "S1", "--line", r"(?:(?<moving>m)|s)(?<number>[0-9.]+)", "--wait", "0.3")
scale.show(lambda n: "m34.00" if n < 5 else "m34.05")
refused("scale-moving", "weigh", "RC-02", "--gross", "scale")
b.ok("scale", "add", "S1", "--line", "", "--wait", "5")
scale.show(lambda n: (STILL, "US,GS,+0031.25lb", "OL")[n % 3])
heard = b.ok("scale", "listen", "S1", "--seconds", "0.3").stdout
assert "31.20 lb, gross, stands still" in heard and "31.25 lb, gross, moving" in heard and "over or under" in heard, heard
scale.show(None)
assert '"scale-silent"' in b.run("scale", "listen", "S1", "--seconds", "0.1", "--format", "json").stderr

# --- at a prompt: Enter reads, a finding is told and asked again, a typed weight goes ---
scale.show("OL")
t = Terminal("weigh", "RC-02")
t.until(r"what the scale shows\n\[Enter reads S1\] > $")
t.type("\n")
t.until(r"over or under its range(?s:.*)typed weight goes(?s:.*)\[Enter reads S1\] > $")
scale.show("ST,GS,+0033.80lb")
t.type("\n")
assert t.end() in (0, 4) and "S1 shows 33.80lb" in t.seen, t.seen
last = b.json("report", "cylinder", "RC-02")["events"][-1]["event"]
assert event(last)["weights_from_scale"] == ["gross"]
t = Terminal("weigh", "RC-02")
t.until(r"\[Enter reads S1\] > $")
t.type("33.80lb\n")
assert t.end() in (0, 4), t.seen
assert event(b.json("report", "cylinder", "RC-02")["events"][-1]["event"])["weights_from_scale"] == []

# both weights of a recovery by Enter, with an interrupt in between: what was read stays read
b.ok("cylinder", "add", "RC-05", "--use", "recovery", "--refrigerant", "R-404A", "--wc", "47.6lb", "--tare", "27.8lb", "--spec", "DOT-4BA400",
     "--tested", "2024-04")
scale.show("ST,GS,+0027.80lb")
t = Terminal("recover", "--circuit", "DAIRY/ICE/1", "--into", "RC-05", "--vacuum", "10inHg", "--by", "ana", "--job", "2208")
t.until(r"gross weight before(?s:.*)\[Enter reads S1\] > $")
t.type("\n")
t.until(r"gross weight after(?s:.*)\[Enter reads S1\] > $")
t.type("\x03")
assert t.end() == -signal.SIGINT
scale.show("ST,GS,+0029.80lb")
t = Terminal("recover", "--circuit", "DAIRY/ICE/1", "--into", "RC-05", "--vacuum", "10inHg", "--by", "ana", "--job", "2208")
t.until(r"--before +27.80lb, read from S1(?s:.*)\[Y/n\] $")
t.type("\n")
t.until(r"gross weight after(?s:.*)> $")
t.type("scale\n")
assert t.end() in (0, 4) and "2.00 lb recovered into RC-05" in t.seen, t.seen
(weighing,) = b.json("report", "job", "2208")["weighings"]
assert weighing["weights_from_scale"] == ["before", "after"]
# `--after scale` beside a weight that was asked for waits until the work is done
t = Terminal("recover", "--circuit", "DAIRY/ICE/1", "--into", "RC-05", "--before", "scale", "--after", "scale", "--by", "ana", "--job", "2209")
t.until(r"gross weight after(?s:.*)\[Enter reads S1\] > $")
scale.show("ST,GS,+0030.30lb")
t.type("\n")
t.until(r"vacuum(?s:.*)> $")
t.type("-\n")
assert t.end() in (0, 4) and "0.50 lb recovered into RC-05" in t.seen, t.seen

# --- a hand scanner types the code of a label, and Enter ---
code = "RC-02"
if shutil.which("rsvg-convert") and shutil.which("zbarimg"):
    png = os.path.join(b.folder, "label.png")
    subprocess.run(["rsvg-convert", "-d", "203", "-p", "203", "-o", png], input=b.ok("label", "RC-02", "--svg").stdout.encode(), check=True)
    code = subprocess.run(["zbarimg", "-q", "--raw", png], capture_output=True, check=True).stdout.decode().strip()
for words, more in ((("weigh",), "what the scale shows"), (("recover", "--circuit", "DAIRY/ICE/1"), "gross weight before|type it again"),
                    (("return",), "who takes it"), (("requalify", "--tested", "2026-05"), "recorded as"), (("move", "--to", "truck-2"), "recorded as"),
                    (("report", "cylinder"), "RC-02"), (("charge", "--circuit", "DAIRY/ICE/1"), "gross weight before|type it again")):
    t = Terminal(*words)
    t.until(r"> $")
    t.type(code.lower() + "\r")  # a scanner ends with the key Enter, and may have its own mind about capitals
    t.until(more)
    t.type("\x04\x04")
    t.end()

# --- the plug is pulled in the middle, and there is none: told, and a typed weight goes ---
scale.show(lambda n: "US,GS,+0031.20lb" if n < 5 else None)
refused("scale-unplugged", "weigh", "RC-02", "--gross", "scale")
refused("scale-port", "weigh", "RC-02", "--gross", "scale")
assert "not there now" in b.ok("scale", "show", "S1").stdout
b.ok("weigh", "RC-02", "--gross", "33.80lb")
t = Terminal("weigh", "RC-02")
t.until(r"\[Enter reads S1\] > $")
t.type("\n")
t.until(r"is not there(?s:.*)\[Enter reads S1\] > $")
t.type("33.80lb\n")
assert t.end() in (0, 4), t.seen
# the same name again, at another port behind it
with Scale(STILL, link=bench):
    b.ok("weigh", "RC-02", "--gross", "scale")
with Scale("ST,GS,+0033.80lb", link=bench):
    assert "scale       33.80 lb" in b.ok("weigh", "RC-02", "--gross", "scale").stdout
assert "in order" in b.ok("check").stdout
scale.end()
print("scales at a port: read, told, typed and scanned, in %.1f s" % (time.monotonic() - begun))
