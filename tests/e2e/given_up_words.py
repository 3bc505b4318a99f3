"""One word, one idea: names that were given up are in no code and on no file, and comments and screens of lib and cli, README
and its pages say it straight. Each row names what to say instead. And each word of the glossary in DEVELOPERS.md is a word of the code."""
import os
import re

import manual_style

SOURCE = os.environ.get("TAREBOOK_SOURCE") or os.path.join(os.path.dirname(os.path.abspath(__file__)), "../..")

# Identifiers, where they may still be used (a prefix of the path), and what to say instead.
NAMES = [
    (r"look_again\w*", "", "enqueue, enqueue_statements"),
    (r"take_out", "lib/rules/", "retract (an event); remove (a lot)"),
    (r"[Bb]ench|Benches", "tests/bench/", "CylinderCursor, cursor"),
    (r"Building", "", "AtomicBookFile"),
    (r"Withholder", "", "Redactor"),
    (r"seen_letters", "", "escape_controls"),
    (r"(?:Kept)?Touch(?:es)?|touch_(?:of|reach)|keep_touch", "", "NearbyEvent, NearbyRow, nearby_reach"),
    (r"Takers?|takers_for", "", "CandidateCylinder, candidate_cylinders"),
    (r"\w*Standings?|Standing\w*|standing_at|\w*standings_?", "", "FillState, CircuitConditions, current_state, trust_text"),
    (r"Settled(?:By)?|settled_(?:by|clocks|events)|close_settled|unsettled", "",
     "Resolution, resolved_by, unresolved: a finding is resolved, a return is settled"),
    (r"\w*[Uu]ncounted|counted_(?:to|origins)|own_counts_to|changes_what_counts|count_anew", "",
     "effective_to, ineffective, changes_what_is_effective"),
    (r"Count(?!er|ry|ing|Of)[A-Z]\w*|Recount|recount|Known(?:Count)s?|known_counts?|judge_counts?|show_count|read_count|"
     r"count_(?:begin|weigh|missing|read|sheet|close|page|view|named\w*|id|progress|verdicts?|to_begin|document|json|csv|"
     r"false_alarms|may_\w+)|physical_counts|check_of_count|check_count_\w+", "", "Stocktake..., stocktake_...: a count is a number"),
    (r"(?:Kept|keep_|kept_|drop_)(?:Entry|entry|entries)|kept_file|(?:keep|drop)_file", "",
     "BegunEntry, begun_entry, keep_draft_file, cache_file"),
    (r"[Mm]asters?|\w*Master\w*|masters_\w+", "", "ListedEntry, register lists"),
    (r"Strangers?", "", "UnknownCodes"),
    (r"MapWords|Looked|look_at_(?:lines|command|cylinders|owners|branches|merges)", "", "MapOptions, SortedDrafts, sorted_lines"),
    (r"StepCosts?|step_costs?", "", "MigrationCost: a step is a cylinder's state after an event"),
]
# File names without their folder and ending.
FILES = [
    (r"words|\w+_words", "what is in it: kind_names, shared_text, clock_text, import_options"),
    (r"inside", "cylinder_contents"),
    (r"physical", "unit_text"),
    (r"each", "all_checks"),
    (r"\w*standing\w*", "cylinder_commands, cylinder_fitness, current_state"),
    (r"kept(?:_entry|_file)?", "begun_entry, draft_file"),
    (r"touch(?:es)?", "nearby_event"),
    (r"(?:import_)?masters", "register_lists"),
    (r"takers", "candidate_cylinders"),
    (r"building", "atomic_book_file"),
    (r"counts?|count_\w+", "stocktakes, stocktake_..."),
    (r"look", "sorted_drafts"),
]
# Words that make a comment a riddle.
RIDDLES = [
    (r"whatever", "name the cases, or say: any, all"),
    (r"who(?:m?)ever", "name the person, the program or the caller"),
    (r"nobody", "no person, no program, none: and say what follows"),
    (r"somebody|someone", "a person, another program"),
    (r"lies|lie|lay|lain", "is, has, is stored in"),
    (r"strangers?(?:'s)?", "unknown, not trusted"),
    (r"such a one|of its own mind", "name the thing again"),
    (r"all the same", "nevertheless"),
]
# Words on screen that say it inside out, or in other words than the trade: DEVELOPERS.md, "Words on screen".
SCREEN = [
    (r"lies|lie", "is"),
    (r"who(?:m)?ever|whatever", "name the person or the thing"),
    (r"nobody|somebody|someone", "no one, a person, another person"),
    (r"all the same", "nevertheless, anyway"),
    (r"(?<!there )(?:is|are) no (?!longer\b|one\b|other\b|more\b)(?:\w+|[{])", "is not a"),
    (r"(?:below|more than|less than) no(?:thing|ne)", "below zero, above zero"),
    (r"(?:is|are) (?:not )?to be had", "available, cannot be obtained"),
    (r"shall", "must, has to, is to"),
    (r"hangs? on", "depends on"),
    (r"speaks? (?:to|here|there)", "applies to"),
    (r"looked over", "inspected"),
    (r"(?:is|are|was|were) called", "is recorded as, has the name"),
    (r"proof of trying", "the attempt is on record"),
    (r"is out:", "no longer counts"),
    (r"got not|got \{\}, held", "reached"),
    (r"put (?:a new )?one on record|put a new one", "register one"),
    (r"say it with", "give it with"),
    (r"read over", "ignored"),
    (r"has met|would meet", "is together, would be added to"),
    (r"put back in(?:to)?", "reused in (gas), back in service (a circuit)"),
    (r"(?:is|are) said by", "subject first: X says"),
]

C_PARTS = re.compile(r'R"([^(\s]{0,16})\(.*?\)\1"|"(?:\\.|[^"\\\n])*"|(?<![0-9A-Za-z])\'(?:\\.|[^\'\\\n])+\'|//[^\n]*|/\*.*?\*/', re.S)


def split(text):
    """The code and the comments of a C++ text, each as long as the text and with its lines; strings are in neither."""
    def blank(part):
        return re.sub(r"[^\n]", " ", part)
    code, comments, at = [], [], 0
    for m in C_PARTS.finditer(text):
        is_comment = m.group(0).startswith("/")
        code += [text[at:m.start()], blank(m.group(0))]
        comments += [blank(text[at:m.start()]), m.group(0) if is_comment else blank(m.group(0))]
        at = m.end()
    return "".join(code) + text[at:], "".join(comments) + blank(text[at:])


def literals(text):
    """The literals of a C++ text, those that the compiler joins as one: (line, words)."""
    out, end = [], None
    for m in C_PARTS.finditer(text):
        part = m.group(0)
        if part.startswith("/") or part.startswith("'"):
            continue
        words = part[part.index("(") + 1:part.rindex(")")] if part.startswith("R") else part[1:-1]
        if out and end is not None and not text[end:m.start()].strip():
            out[-1] = (out[-1][0], out[-1][1] + words)
        else:
            out.append((text.count("\n", 0, m.start()) + 1, words))
        end = m.end()
    return out


def whole(pattern):
    return re.compile(r"(?<![A-Za-z0-9_])(?:%s)(?![A-Za-z0-9_])" % pattern)


NAME_RULES = [(whole(pattern), allowed, instead) for pattern, allowed, instead in NAMES]
RIDDLE_RULES = [(re.compile(r"\b(?:%s)\b" % pattern, re.I), instead) for pattern, instead in RIDDLES]
SCREEN_RULES = [(re.compile(r"(?<![\w-])(?:%s)(?!\w)" % pattern, re.I), instead) for pattern, instead in SCREEN]
FILE_RULES = [(re.compile(r"(?:%s)(?:_test)?\.(?:cpp|hpp)" % pattern), instead) for pattern, instead in FILES]


def found(path, text):
    """What is wrong in a file: (line, word, what to say instead); line 0 is its name."""
    out = [(0, os.path.basename(path), instead) for rule, instead in FILE_RULES if rule.fullmatch(os.path.basename(path))]
    code, comments = split(text)
    for rule, allowed, instead in NAME_RULES:
        if allowed and path.startswith(allowed):
            continue
        out += [(code.count("\n", 0, m.start()) + 1, m.group(0), instead) for m in rule.finditer(code)]
    if not path.startswith("tests/"):
        for rule, instead in RIDDLE_RULES:
            out += [(comments.count("\n", 0, m.start()) + 1, m.group(0), instead) for m in rule.finditer(comments)]
        for line, words in literals(text):
            for rule, instead in SCREEN_RULES:
                out += [(line, m.group(0), instead) for m in rule.finditer(words)]
    return sorted(out)


# The search finds each kind of word once, in its place alone.
PLANTED = '''// Whatever it is,
int take_out(int bench);  // is told
const char* text = "nobod \\" look_again";  /* nobody */
auto raw = R"x(Withholder // l ies)x"; char c = '"'; int n = 10'000; Withholder w;
'''
words = [(line, word) for line, word, _ in found("lib/book/takers.hpp", PLANTED)]
assert words == [(0, "takers.hpp"), (1, "Whatever"), (2, "bench"), (2, "take_out"), (3, "nobody"), (4, "Withholder")], words
assert [word for _, word, _ in found("lib/rules/a.cpp", "void take_out();")] == []
assert [(line, word) for line, word, _ in found("cli/a.cpp", '''
auto a = "the book li"
         "es on a disk; there is no disk"; auto b = "\\"{}\\" is no book";
''')] == [(2, "lies"), (3, "is no book")]
assert [word for _, word, _ in found("tests/unit/a.cpp", "int MasterEntry;  // nobody")] == ["MasterEntry"]

wrong, files, parts = [], 0, set()
for folder in ("lib", "cli", "tests"):
    for top, _, names in os.walk(os.path.join(SOURCE, folder)):
        for name in sorted(names):
            if not name.endswith((".cpp", ".hpp")):
                continue
            path = os.path.relpath(os.path.join(top, name), SOURCE)
            with open(os.path.join(top, name), encoding="utf-8") as f:
                text = f.read()
            files += 1
            wrong += ["%s:%d: \"%s\": say %s" % (path, line, word, instead) for line, word, instead in found(path, text)]
            if folder != "tests":
                for identifier in re.findall(r"[A-Za-z_]\w*", split(text)[0]):
                    parts.add(identifier)
                    parts.update(re.sub(r"(?<=[a-z0-9])(?=[A-Z])", "_", identifier).lower().split("_"))
assert files > 500, files
for path in manual_style.pages():
    for line, paragraph in manual_style.paragraphs(manual_style.read(path)):
        plain = re.sub(r"`[^`]*`", "CODE", paragraph)
        for rule, instead in RIDDLE_RULES + SCREEN_RULES:
            wrong += ["%s:%d: \"%s\": say %s" % (path, line, m.group(0), instead) for m in rule.finditer(plain)]

with open(os.path.join(SOURCE, "DEVELOPERS.md"), encoding="utf-8") as f:
    glossary = f.read().partition("\n## Glossary\n")[2].partition("\n## ")[0]
told = [word for row in re.findall(r"^\| (`[^|]*) \|", glossary, re.M) for word in re.findall(r"`([^`]+)`", row)]
assert 20 < len(told) == len(set(told)), told
wrong += ["DEVELOPERS.md: the glossary has `%s`, which is no word of the code" % word for word in told
          if not {word, word + "s"} & parts]
assert not wrong, "\n" + "\n".join(wrong)
print("%d files without a word that was given up; %d words in the glossary" % (files, len(told)))
