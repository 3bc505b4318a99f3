"""README.md and its pages are short and lead somewhere: README has a screen near its top and at most 150 lines, no sentence is
over 30 words, and every relative link leads to a file that is there, and to a heading of it. DEVELOPERS.md keeps to the
width. Everyday questions (everyday_questions.csv) are answered where a link of README leads. Whether their examples run is for tests/reference/run_cases.py --manual."""
import csv
import glob
import os
import re

SOURCE = os.environ.get("TAREBOOK_SOURCE") or os.path.join(os.path.dirname(os.path.abspath(__file__)), "../..")
README_LINES, SCREEN_LINE, SENTENCE_WORDS, WIDTH = 150, 20, 30, 130
DEVELOPERS_WIDTH = 120
# The paragraph that states the job is the shop's own, and stays as it is.
JOB = "A refrigeration service shop's refrigerant recovery and handling book: "


def read(path):
    with open(os.path.join(SOURCE, path), encoding="utf-8") as f:
        return f.read()


def paragraphs(text):
    """What is read as sentences: (line, text) of each paragraph, item of a list and cell of a table, without blocks and headings."""
    out, fence, start, part = [], False, 0, []
    for number, line in enumerate(text.splitlines() + [""], 1):
        if line.startswith("```"):
            fence = not fence
        item = re.match(r"\s*(?:[-*]|\d+\.) +", line)
        block = line.startswith("    ") and not part and not item
        if fence or block or not line.strip() or line.startswith(("#", "|", "```")) or item:
            if part:
                out.append((start, " ".join(part)))
                part = []
        if fence or block or not line.strip() or line.startswith(("#", "```")):
            continue
        if line.startswith("|"):
            out += [(number, cell.strip()) for cell in re.split(r"(?<!\\)\|", line) if re.search(r"\w", cell)]
            continue
        if not part:
            start = number
        part.append(line[item.end():].strip() if item else line.strip())
    return out


def sentences(paragraph):
    """Its sentences; what stands between backquotes, and the target of a link, is one word."""
    plain = re.sub(r"`[^`]*`", "CODE", paragraph)
    plain = re.sub(r"!?\[([^\]]*)\]\([^)]*\)", r"\1", plain)
    return [s for s in re.split(r"(?<=[.!?])[\"')]*\s+(?=[A-Z\"'(0-9])", plain) if s.strip()]


def words(sentence):
    return len(re.findall(r"[^\s]*\w[^\s]*", sentence))


def anchor(heading):
    """As a page on the web names a heading: small letters, no marks, hyphens for blanks."""
    heading = re.sub(r"\[([^\]]*)\]\([^)]*\)", r"\1", heading.strip()).lower()
    return re.sub(r"[^\w\- ]", "", heading).replace(" ", "-")


def anchors(text):
    out, seen = set(), {}
    for heading in re.findall(r"^#{1,6} +(.+?)\s*$", re.sub(r"^```.*?^```", "", text, flags=re.M | re.S), re.M):
        name = anchor(heading)
        out.add(name if name not in seen else "%s-%d" % (name, seen[name]))
        seen[name] = seen.get(name, 0) + 1
    return out


def links(text):
    """The targets of its links, without blocks of code and what stands between backquotes: (line, target)."""
    plain = re.sub(r"^```.*?^```|^    .*?$|`[^`\n]*`", lambda m: re.sub(r"[^\n]", " ", m.group(0)), text, flags=re.M | re.S)
    return [(plain.count("\n", 0, m.start()) + 1, m.group(1)) for m in re.finditer(r"\[[^\]]*\]\(([^)\s]+)\)", plain)]


def broken(path, text, folder=SOURCE):
    """What is wrong with the links of a page that stands at the path below the folder."""
    out = []
    for line, target in links(text):
        if re.match(r"[a-z]+:", target):
            continue
        file, _, name = target.partition("#")
        there = os.path.normpath(os.path.join(folder, os.path.dirname(path), file)) if file else os.path.join(folder, path)
        if not os.path.exists(there):
            out.append("%s:%d: there is no %s" % (path, line, target))
            continue
        if name:
            with open(there, encoding="utf-8") as f:
                if name not in anchors(f.read()):
                    out.append("%s:%d: %s has no heading #%s" % (path, line, file or path, name))
    return out


def section(text, name):
    """The part of a page under the heading with that anchor, up to the next one of its rank; all of it without a name."""
    if not name:
        return text
    part, rank, fence = [], 0, False
    for line in text.splitlines():
        fence = fence != line.startswith("```")
        heading = None if fence else re.match(r"(#+) +(.*)", line)
        if heading and rank and len(heading.group(1)) <= rank:
            break
        if heading and anchor(heading.group(2)) == name:
            rank = len(heading.group(1))
        if rank:
            part.append(line)
    return "\n".join(part)


def unanswered(readme):
    """The questions without an answer at one hop from README."""
    with open(os.path.join(os.path.dirname(os.path.abspath(__file__)), "everyday_questions.csv"), encoding="utf-8", newline="") as f:
        rows = list(csv.reader(f))[1:]
    assert len(rows) >= 20, rows
    targets = {target for _, target in links(readme)}
    for _, question, target, answer in rows:
        path, _, name = target.partition("#")
        if path and target not in targets:
            yield "README.md has no link to %s, where is answered: %s" % (target, question)
        elif answer not in section(read(path or "README.md"), name):
            yield "%s has no \"%s\": %s" % (target, answer, question)


def pages():
    return ["README.md", "lib/README.md", "fixtures/README.md"] + sorted(
        os.path.relpath(p, SOURCE) for p in glob.glob(os.path.join(SOURCE, "cli/guide/*.md")))


def main():
    # Each search finds what it is for.
    planted = "# A `b`, c's\n\nOne two\nthree. Four `a b c d`.\n\n    five six\n\n- seven\n  eight\n- nine\n\n| a | b c |\n|---|---|\n\n```x\nten\n```\n[y](#a-b-cs)\n[z](no.md)\n"
    assert [p for _, p in paragraphs(planted)] == ["One two three. Four `a b c d`.", "seven eight", "nine", "a", "b c",
                                                   "[y](#a-b-cs) [z](no.md)"], paragraphs(planted)
    assert [words(s) for s in sentences("One two three. Four `a b c d` (five 1.5 lb). \"Six\" [seven eight](x.md).")] == [3, 5, 3]
    assert anchors(planted) == {"a-b-cs"} and anchors("## A\n## A\n") == {"a", "a-1"}
    assert links(planted) == [(17 + 1, "#a-b-cs"), (19, "no.md")], links(planted)

    assert section("# a\n## b\nc\n### d\n```\n## e\n```\n## f\n", "b") == "## b\nc\n### d\n```\n## e\n```"
    wrong, number = [], 0
    readme = read("README.md")
    lines = readme.splitlines()
    if len(lines) > README_LINES:
        wrong.append("README.md has %d lines; at most %d" % (len(lines), README_LINES))
    if not readme.split("\n\n")[1].startswith(JOB):
        wrong.append("README.md does not begin with the paragraph that states the job")
    if "```console" not in lines[:SCREEN_LINE]:
        wrong.append("README.md shows no screen within its first %d lines" % SCREEN_LINE)
    led_to = set()
    for path in pages():
        text = read(path)
        led_to |= {os.path.normpath(os.path.join(os.path.dirname(path), target.partition("#")[0])) for _, target in links(text)}
        for line, paragraph in paragraphs(text):
            if path == "README.md" and paragraph.startswith(JOB):
                continue
            for sentence in sentences(paragraph):
                number += 1
                if words(sentence) > SENTENCE_WORDS:
                    wrong.append("%s:%d: %d words: %s" % (path, line, words(sentence), sentence))
        wrong += ["%s:%d: %d letters wide" % (path, n, len(line)) for n, line in enumerate(text.splitlines(), 1)
                  if len(line) > WIDTH and not line.startswith("|")]
        wrong += broken(path, text)
    wrong += unanswered(readme)
    wrong += ["no page leads to %s" % path for path in pages()[1:] if path not in led_to]
    developers = read("DEVELOPERS.md")
    wrong += ["DEVELOPERS.md:%d: %d letters wide" % (n, len(line)) for n, line in enumerate(developers.splitlines(), 1)
              if len(line) > DEVELOPERS_WIDTH]
    for path in ["DEVELOPERS.md", "cli/package/README.md", "schema/output/README.md", "schema/saturation/README.md", "tests/README.md"]:
        wrong += broken(path, read(path))
    assert number > 200, "the sentences are no longer found"
    assert not wrong, "\n" + "\n".join(wrong)
    print("%d sentences on %d pages, README.md %d lines, each link leads to a heading or a file" % (number, len(pages()), len(lines)))


if __name__ == "__main__":
    main()
