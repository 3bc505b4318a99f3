"""Makes the reference of the public headers: make.py DOXYGEN DOXYFILE FOLDER, where FOLDER takes what is made on the way.

In the headers one comment serves like declarations that follow each other without a blank line, and fields may be told of
by the comment of their type (tests/e2e/documented.py holds them to it). doxygen wants words for each. So it is run twice: once
to hear which declarations have none of their own, then on copies in which these have the words that serve them. What no
words serve, or words that doxygen cannot read, end it: warnings are errors."""
import os
import re
import shutil
import subprocess
import sys

doxygen, doxyfile, folder = sys.argv[1:]
with open(doxyfile, encoding="utf-8") as f:
    settings = f.read()
roots = re.search(r"^INPUT\s*=(.*)", settings, re.M).group(1).split()[1:]


def run(text):
    done = subprocess.run([doxygen, "-"], input=text, capture_output=True, text=True)
    return done.returncode, [line for line in (done.stderr + done.stdout).splitlines() if line.strip()]


code, heard = run(settings + "\nWARN_AS_ERROR = NO\nGENERATE_HTML = NO\nGENERATE_XML = NO\n")
assert code == 0, "\n".join(heard)
bare = {}  # header: line: kind
for line in heard:
    found = re.match(r"(.*):(\d+): warning: Member (.*) \((\w+)\) of .* is not documented\.", line)
    if found:
        bare.setdefault(found[1], {})[int(found[2])] = found[4]

CODE = re.compile(r"^\s*(?!//)\S")


def statement(lines, at):
    """The first line of the declaration that is on line `at`, both counted from 0: what a template or a result stands on."""
    while at > 0 and CODE.match(lines[at - 1]) and not re.search(r"[;{}:,]\s*(//.*)?$", lines[at - 1]):
        at -= 1
    return at


def serving(lines, at, kind):
    """The words that serve a declaration without its own: those of like ones above, up to a blank line; of a field its
    type's. None where there are none."""
    text = lines[at]
    if "friend" in text and re.search(r"= default;", text):
        return "Compares member by member."
    if re.search(r"\bstatic void fields\(", text) or at + 1 < len(lines) and re.search(r"\bstatic void fields\(", lines[at + 1]):
        return "Lists the members to what reads, writes or compares them: see tarebook/event/event.hpp."
    if re.search(r"= (default|delete);", text):
        return "As the language has it."
    if re.search(r"\b(?:(\w+)\(const \1|operator=\(const \w+)& other\)", text):
        return "Copies it."
    if re.search(r"\b(?:(\w+)\(\1|operator=\(\w+)&& other\)", text):
        return "Moves it."
    up = at
    while up > 0 and lines[up].strip():
        behind = re.search(r"///< (.*)", lines[up])
        if behind:
            return behind[1]
        if lines[up].strip().startswith("///"):
            said = []
            while up >= 0 and lines[up].strip().startswith("///"):
                said.insert(0, lines[up].strip()[3:].strip())
                up -= 1
            return " ".join(said)
        if re.match(r"\s*(struct|class|enum)\b.*\{", lines[up]):
            break
        up -= 1
    return "Told of with its type." if kind in ("variable", "enumerator", "enumvalue") else None


def one_by_one(text):
    """A declaration of several fields as one of each, for words before each."""
    parts, depth, begin = [], 0, 0
    for at, letter in enumerate(text):
        depth += (letter in "<({[") - (letter in ">)}]")
        if letter in ",;" and depth == 0:
            parts.append(text[begin:at])
            begin = at + 1
    first = re.match(r"(\s*)(.*\S)\s+(\w+\s*(?:=.*|\{.*\})?)$", parts[0], re.S)
    if len(parts) < 2 or not first:
        return [text]
    return ["%s%s %s;" % (first[1], first[2], part.strip()) for part in [first[3], *parts[1:]]]


copies = folder + "/headers"
shutil.rmtree(copies, ignore_errors=True)
served = 0
inputs = []
for number, root in enumerate(roots):
    copy = "%s/%d/tarebook" % (copies, number)
    inputs.append(copy)
    shutil.copytree(root, copy)
    for top, _, files in os.walk(copy):
        for file in files:
            path = os.path.join(top, file)
            here = bare.get(os.path.join(root, os.path.relpath(path, copy)), {})
            with open(path, encoding="utf-8") as f:
                lines = f.read().split("\n")
            # Comments hold no commands: a backslash is one.
            lines = [re.sub(r"///.*", lambda m: m[0].replace("\\", "\\\\"), line) for line in lines]
            out, done = [], -1
            starts = {statement(lines, line - 1): (line - 1, kind) for line, kind in here.items()}
            for at, line in enumerate(lines):
                if at <= done:
                    continue
                words = at in starts and serving(lines, *starts[at])
                if not words:
                    out.append(line)
                    continue
                served += 1
                done = at
                if starts[at][1] == "variable":
                    while not re.search(r";\s*(//.*)?$", lines[done]):
                        done += 1
                    text = " ".join(re.sub(r"\s*//.*", "", l) if n == 0 else re.sub(r"\s*//.*", "", l).strip()
                                    for n, l in enumerate(lines[at:done + 1]))
                    for each in one_by_one(text):
                        out += ["/// " + words, each]
                else:
                    out += ["/// " + words, re.sub(r"\s*///<.*", "", line)]
            with open(path, "w", encoding="utf-8") as f:
                f.write("\n".join(out))
# The first page stands among the headers: from its own folder doxygen would make a page with the path of this tree.
front = shutil.copy(re.search(r"^INPUT\s*=\s*(\S+)", settings, re.M).group(1), inputs[0])
settings = re.sub(r"^INPUT .*", lambda m: "INPUT = %s %s" % (front, " ".join(inputs)), settings, flags=re.M)
settings = re.sub(r"^USE_MDFILE_AS_MAINPAGE .*", lambda m: "USE_MDFILE_AS_MAINPAGE = " + front, settings, flags=re.M)
for key in ("STRIP_FROM_PATH", "STRIP_FROM_INC_PATH"):
    settings = re.sub("^%s .*" % key, key + " = " + " ".join("%s/%d" % (copies, n) for n in range(len(roots))), settings, flags=re.M)
code, heard = run(settings)
if code or heard:
    print("\n".join(heard))
    sys.exit("the reference has declarations without words, or words that cannot be read")
shutil.rmtree(copies)
pages = sum(name.endswith(".html") for name in os.listdir(os.path.join(folder, "html")))
print("reference: %d pages in %s; %d declarations told of by words that they share" % (pages, os.path.join(folder, "html"), served))
