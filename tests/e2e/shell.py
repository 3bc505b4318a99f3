"""What a shell and a reader get: completion from the book's own codes, two examples on each help page that all run, a man
page that man takes."""
import os
import re
import shutil
import subprocess

from book import BIN, Book, demo

NOW = "2026-06-08T15:00:00Z"
b = demo(Book(start=False))
tools = os.path.join(b.folder, "bin")
os.makedirs(tools)
os.symlink(BIN, os.path.join(tools, "tarebook"))
env = dict(b.env(NOW), PATH=tools + ":" + os.environ["PATH"])


def shell(line, **kw):
    return subprocess.run(["bash", "-c", line], env=env, cwd=b.folder, capture_output=True, text=True, stdin=subprocess.DEVNULL, **kw)


def complete(*words, shell="bash"):
    done = b.run("complete", shell, *words, now=NOW)
    assert done.returncode == 0 and not done.stderr, (words, done.stderr)
    return done.stdout.splitlines()


# --- words, options, values of options, and the book's own codes ---
before = b.digest()
assert {"recover", "receive", "reuse", "return"} <= set(complete("re")) and not any(w.startswith("c") for w in complete("re"))
assert "complete" not in complete("")
assert complete("recover", "--circ") == ["--circuit"]
assert complete("recover", "--circuit", "OAK/RACK-A/") == ["OAK/RACK-A/4", "OAK/RACK-A/7", "OAK/RACK-A/12"]
assert complete("recover", "--circuit", "OAK/RACK-A/4", "--into", "RC-0") == ["RC-0%d" % n for n in range(1, 7)]
assert complete("recover", "--reason", "le") == ["leak"]
assert complete("recover", "--by", "") == ["ana", "tom"]
assert complete("recover", "begin", "--into", "CC") == ["CC-01", "CC-02"]
assert complete("report", "cyl") == ["cylinder"] and complete("report", "cylinder", "SC") == ["SC-01", "SC-02"]
assert complete("weigh", "--gross", "1lb", "SC") == ["SC-01", "SC-02"]
assert complete("--units", "kg", "room", "SC") == ["SC-01", "SC-02"]
assert "R-448A" in complete("pt", "R-44")
assert "RC-01\tR-448A" in complete("weigh", "RC", shell="fish") and "RC-01:R-448A" in complete("weigh", "RC", shell="zsh")
assert b.digest() == before
# without a book, or with one that cannot be read, there are words still, and no complaint
for path in ("/no/such/book", tools):
    done = subprocess.run([BIN, "--book", path, "complete", "bash", "weigh", ""], env=env, capture_output=True, text=True)
    assert done.returncode == 0 and not done.stderr and not done.stdout.strip(), done
assert complete("--book", "/no/such/book", "re")
# bash itself: names with blanks are quoted
script = b.run("completion", "bash").stdout
found = shell(script + """
COMP_WORDS=(tarebook recover --into RC-0); COMP_CWORD=3; _tarebook; printf '%s\\n' "${COMPREPLY[@]}"
COMP_WORDS=(tarebook site add X --owner ""); COMP_CWORD=5; _tarebook; printf '%s\\n' "${COMPREPLY[@]}" """)
assert found.stdout.splitlines() == ["RC-0%d" % n for n in range(1, 7)] + ["Bramble\\ Dairy\\ Co-op", "Quillpost\\ Elm", "Quillpost\\ Markets"], found
for name in ("zsh", "fish"):
    assert "tarebook complete " + name in b.run("completion", name).stdout
assert b.run("completion", "tcsh").returncode == 2

# --- two examples a command, and each is taken: refused perhaps, never misread ---
commands = re.findall(r"^  ([a-z-]+) ", b.run("--help").stdout.split("Today, in the field:\n")[1], re.M)
assert len(commands) > 50
open(os.path.join(b.folder, "visit.yaml"), "w").write("sheet: S-1\nsite: OAK\nday: 2026-06-08\nweighings:\n  - act: weigh\n    cylinder: RC-01\n    gross: 27.55lb\n    at: 08:00\n")
open(os.path.join(b.folder, "old.csv"), "w").write("kind,date,time,site,appliance,circuit,cylinder,refrigerant,gross_before_lb,gross_after_lb,technician,job\n")
open(os.path.join(b.folder, "list.csv"), "w").write("ID\nRC-77\n")
open(os.path.join(b.folder, "list.yaml"), "w").write("import: cylinders\nfields:\n  cylinder: ID\n")
for truck in ("truck-1", "truck-2", "truck-3"):  # what comes from other books
    for line in ("--book %s.tarebook start --company T --shop $(tarebook books card)", "--book %s.tarebook books card > %s.card",
                 "--book %s.tarebook send --to %s.bundle"):
        done = shell("tarebook " + line.replace("%s", truck))
        assert done.returncode == 0, done
shell("tarebook books head > head.line; mkdir cards share; cp truck-1.card cards")
for command in commands:
    page = b.run(command, "--help").stdout
    lines = page.split("Examples:\n")[1].splitlines() if "Examples:\n" in page else []
    assert len(lines) == 2 and all(line.startswith("tarebook " + command) for line in lines), (command, lines)
    for line in lines:
        done = shell(re.sub(r"> ~/\S+", "> /dev/null", line))
        allowed = (3,) if command == "start" else (0, 1, 4)  # there is a book already
        assert done.returncode in allowed, (line, done.returncode, done.stderr)

# --- the man page ---
page = b.run("man").stdout
assert page.startswith(".TH TAREBOOK 1") and all("\n.SS \\&" + c.replace("-", "\\-") in page for c in commands), page[:200]
path = os.path.join(b.folder, "tarebook.1")
open(path, "w").write(page)
readers = []
if shutil.which("mandoc"):
    readers.append("mandoc")
    found = subprocess.run(["mandoc", "-T", "lint", path], capture_output=True, text=True)
    assert found.returncode == 0 and not found.stdout, found.stdout
if shutil.which("man"):
    readers.append("man")
    for width in ("60", "80", "100"):
        found = subprocess.run(["man", "--warnings=all", "-l", path], env=dict(env, MANWIDTH=width, LC_ALL="C.UTF-8"), capture_output=True, text=True)
        assert found.returncode == 0 and not found.stderr, (width, found.stderr)
    shown = subprocess.run(["man", "-l", path], env=dict(env, MANWIDTH="100", LC_ALL="C.UTF-8"), capture_output=True, text=True)
    assert shown.returncode == 0 and "weight" in shown.stdout and "OAK/RACK-B" not in shown.stderr, shown.stderr
missing = [name for name in ("man", "mandoc") if name not in readers]
print("completion, examples and man page: %d commands%s" % (len(commands), "; not installed, so not asked: " + ", ".join(missing) if missing else ""))
