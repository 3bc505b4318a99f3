"""What a person sees who tries Tarebook for the first time: the week of the demo shop told on about two hundred lines, each
act with a sentence, all that was printed in a file, the pages where they are said to be, and three commands that run. And
the build before it, which says how far it is."""
import os
import re
import shlex
import subprocess

from book import SOURCE, Book

RELEASED = os.environ["TAREBOOK_RELEASED"]
b = Book(start=False)
env = {"PATH": os.environ["PATH"], "HOME": b.folder, "TMPDIR": b.folder, "TAREBOOK_BIN": RELEASED}
script = os.path.join(SOURCE, "fixtures/demo-week.sh")


def play(*words, **more):
    return subprocess.run(["sh", script, *words], env=dict(env, **more), stdin=subprocess.DEVNULL, capture_output=True, text=True)


done = play(b.folder + "/week")
assert done.returncode == 0 and not done.stderr, (done.stdout[-800:], done.stderr)
screen = done.stdout.splitlines()
assert 150 < len(screen) < 225, len(screen)
wide = [line for line in screen if len(line) > 80 and b.folder not in line]
assert not wide, wide

# Each act: a heading, what happens and why, then commands; no act is longer than two screens.
acts = re.split(r"\n=== (.*) ===\n", done.stdout)[1:]
titles, told = acts[::2], acts[1::2]
assert len(titles) == 11 and [t.split()[0].rstrip(":,") for t in titles if "day" in t.split()[0]] == [
    "Monday", "Monday", "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Saturday"], titles
for title, act in zip(titles, told):
    if title.startswith("The next Monday"):
        continue
    sentence, commands = act.split("\n\n", 1)
    assert sentence.endswith(".") and len(sentence.split()) < 50 and commands.startswith("$ tarebook "), (title, act)
    assert act.count("\n") < 40, (title, act.count("\n"))
assert told[0].count("$ tarebook") == 3  # the register: three commands
assert "PRACTICE: " not in done.stdout and "nothing in it is real" in done.stdout.split("\n===")[0]
for line in ("    15.75 lb recovered into RC-01", "    refused: RC-03 would hold 27.10 lb, over its limit of 25.31 lb",
             "    EXCEPTION fill-limit/RC-03/E69", "    already recorded as E72; nothing was written",
             "    the book is in order: 87 events; digests, chain, fold and balances agree", "    608(c), 40 CFR 82.154(a))."):
    assert line in done.stdout, line

# The file has every command of the week and the whole of its answer, the screen's lines among them.
with open(b.folder + "/week/week.txt", encoding="utf-8") as f:
    whole = f.read()
assert whole.count("\n$ tarebook ") > 50 > done.stdout.count("\n$ tarebook ") > 20, whole.count("\n$ tarebook ")
assert whole.count("PRACTICE: nothing in this book is real") > 50
missing = [line for line in screen[4:] if line.strip() and line.strip() not in whole]
assert not missing, missing
commands = re.findall(r"^\$ tarebook(?:.*\\\n)*.*", whole, re.M)
assert all(len(shlex.split(c.replace("\\\n", " "))) > 1 for c in commands[:-1]) and commands[-1] == "$ tarebook", commands[-1]

# Where the pages are, and the three things to try, as they stand.
page = re.search(r"file://(\S+)", done.stdout).group(1)
with open(page, encoding="utf-8") as f:
    links = re.findall(r'href="([a-z][^":]*\.html)"', f.read())
assert "place-truck-1.html" in links and all(os.path.exists(os.path.join(os.path.dirname(page), link)) for link in links), links
end = done.stdout.split("Three things to try:\n")[1].splitlines()
lines = [re.split(r" {2,}", line.strip())[0] for line in end[:4]]
assert lines[0].startswith("export TAREBOOK=") and all(line.startswith("tarebook ") for line in lines[1:]), lines
tried = subprocess.run(["bash", "-ec", "\n".join(lines)], env=env, capture_output=True, text=True)
assert tried.returncode == 0 and tried.stdout.count("PRACTICE:") == 3 and not tried.stderr, tried

# A folder that is there already is not played into; without one a new folder is made; without a program it says so.
again = play(b.folder + "/week")
assert again.returncode != 0 and "exists" in again.stderr
bare = subprocess.run(["/bin/sh", script], env={"PATH": "/nowhere", "TMPDIR": b.folder}, capture_output=True, text=True)
assert bare.returncode != 0

# The build says each tenth how far it is, ends with the build's own code, and shows what the compiler said of a failure.
project = os.path.join(b.folder, "project")
os.makedirs(project)
with open(project + "/CMakeLists.txt", "w") as f:
    f.write("""cmake_minimum_required(VERSION 3.25)
project(p LANGUAGES NONE)
foreach(n RANGE 1 20)
  add_custom_command(OUTPUT made-${n} COMMAND touch made-${n})
  list(APPEND made made-${n})
endforeach()
add_custom_target(good DEPENDS ${made})
add_custom_target(bad COMMAND sh -c "echo the compiler is unhappy; exit 3")
""")
subprocess.run(["cmake", "-S", project, "-B", project + "/b", "-G", "Ninja"], check=True, stdout=subprocess.DEVNULL)
told = subprocess.run(["sh", os.path.join(SOURCE, "cli/build_told.sh"), project + "/b", "good"], capture_output=True, text=True)
assert told.returncode == 0 and "usually" in told.stdout.splitlines()[0], told
steps = re.findall(r"built (\d+) of (\d+), \d+ s so far", told.stdout)
assert 8 < len(steps) < 13 and steps[-1][0] == steps[-1][1], told.stdout
failed = subprocess.run(["sh", os.path.join(SOURCE, "cli/build_told.sh"), project + "/b", "bad"], capture_output=True, text=True)
assert failed.returncode != 0 and "the compiler is unhappy" in failed.stdout and "the build failed" in failed.stdout, failed
print("first try: %d lines, %d commands of the week in its file" % (len(screen), len(commands)))
