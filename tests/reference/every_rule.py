"""Something hangs on each rule of each pack: a copy of the pack without it, and one with its value changed, change a case.

Which case that is stands in data/case-of-each-rule.csv (rule, how, case). "Changes" leaves out how many rules a page
counts, since a rule that is gone is always counted. The program of the tests takes the changed pack
(TAREBOOK_TEST_PACK).

    every_rule.py              a sample, another each day       every_rule.py --all    every rule
    every_rule.py --find       looks for cases of rules that have none in the table yet, and writes it
    every_rule.py PART...      only rules whose name has PART in it
"""
import csv
import datetime as dt
import glob
import os
import re
import shutil
import sys

import run_cases

SOURCE = os.environ["TAREBOOK_SOURCE"]
TABLE = os.path.join(os.path.dirname(os.path.abspath(__file__)), "data", "case-of-each-rule.csv")
SAMPLE = 12  # one in so many, each day other ones

# Rules on which no words of the program hang, each with the reason.
OUT_OF_REACH = {
    "us-82f.equipment-": "40 CFR 82.158 Table 2 is about equipment, not about what a technician does: unit tests alone",
    "eu-adr-p200.": "no cylinder says yet that it is carried in Europe",
}
# The value that makes a rule, by its kind.
VALUES = ("threshold", "within", "plan_within", "of_full_charge", "every", "level", "at_most", "compressor_running", "gases",
          "above", "up_to", "keep", "over", "least", "vacuum", "t_co2e_from", "t_co2e_below", "any_below", "check_every", "due", "gwp_from",
          "longest_days", "systems", "shows", "values")
# Rules whose value is not a number of their own, and what stands for it.
OTHER = {"verification-initial": "clause", "requalification": "every|types"}


def rules_of(path):
    """[(rule, first line, line behind the last)] of a pack."""
    with open(path) as f:
        lines = f.read().split("\n")
    inside, out = False, []
    for i, line in enumerate(lines):
        if line == "rules:":
            inside = True
        elif inside and re.match(r"  [^ #].*:$", line):
            if out:
                out[-1][2] = i
            out.append([line.strip()[:-1], i, len(lines)])
    return lines, [tuple(r) for r in out]


def bumped(key, value):
    date = re.match(r'"(\d\d)-(\d\d)"$', value)
    if date:
        return '"%02d-%s"' % (int(date.group(1)) + 1, date.group(2))
    if key == "least":
        return {"reclaimed": "virgin", "recycled": "virgin", "recovered": "recycled"}[value]
    if value.startswith("["):
        return "[" + {"gases": "R-23", "systems": "none", "shows": "nothing", "types": "3HT"}[key] + "]"
    return re.sub(r"\d+", lambda m: str(int(m.group()) + 1), value, count=1)


def changed(lines, first, end):
    """The lines with the rule's value changed; nothing where it has none."""
    kind = next(re.sub(r"^ *kind: ", "", x) for x in lines[first:end] if x.strip().startswith("kind:"))
    wanted = OTHER.get(kind, "|".join(VALUES)).split("|")
    for i in range(first, end):
        found = re.match(r"    (\w+):(?: (.*))?$", lines[i])
        if not found or found.group(1) not in wanted:
            continue
        key, value = found.groups()
        if key == "values":
            i += 1
            while i < end and not lines[i].startswith("      R-32:") and not lines[i + 1].startswith("    basis"):
                i += 1
            new = re.sub(r"(\d+)$", lambda m: str(int(m.group()) + 100), lines[i])
        elif key == "clause":
            new = lines[i][:-1] + ' as changed"'
        else:
            new = "    %s: %s" % (key, bumped(key, value))
        return lines[:i] + [new] + lines[i + 1:]
    return None


def plain(text):
    return re.sub(r"\(\d{4}-\d\d-\d\d, \d+ of \d+ rules? to confirm\)|rules applied: none of the packs|\b[a-z0-9-]+ ?,? ?(?=\(counted\))", "",
                  re.sub(r"\s*\n[|!]? ?", " ", text))


def changes(tools, pack_file, lines, case):
    with open(pack_file, "w") as f:
        f.write("\n".join(lines))
    tools.more = {"TAREBOOK_TEST_PACK": pack_file}
    result = run_cases.run_case(tools, os.path.join(run_cases.CASES, case))
    tools.more = {}
    return plain(result.text) != plain(result.was) or any(p.startswith("prepare ") for p in result.problems)


def write(known):
    with open(TABLE, "w", newline="") as f:
        out = csv.writer(f, lineterminator="\n")
        out.writerow(["rule", "how", "case"])
        out.writerows((rule, how, case) for (rule, how), case in sorted(known.items()))


def main(arguments):
    find, whole = "--find" in arguments, "--all" in arguments
    parts = [a for a in arguments if not a.startswith("--")]
    with open(TABLE, newline="") as f:
        known = {(row["rule"], row["how"]): row["case"] for row in csv.DictReader(f)}
    tools, bad, seen, number = run_cases.Tools(), [], 0, 0
    cases = sorted(os.path.relpath(p, run_cases.CASES) for p in glob.glob(os.path.join(run_cases.CASES, "**", "*.txt"), recursive=True)
                   if "/_books/" not in p)
    often = []  # cases that were found for other rules come first
    try:
        tools.make_book("small-shop")
        for path in sorted(glob.glob(os.path.join(SOURCE, "schema/rules/*.yaml"))):
            lines, rules = rules_of(path)
            copy = os.path.join(tools.folder, os.path.basename(path))
            for rule, first, end in rules:
                if any(rule.startswith(p) for p in OUT_OF_REACH) or (parts and not any(p in rule for p in parts)):
                    continue
                for how, text in (("gone", lines[:first] + lines[end:]), ("changed", changed(lines, first, end))):
                    number += 1
                    if text is None:
                        bad.append("%s has no value that this test knows" % rule)
                        continue
                    case = known.get((rule, how))
                    if case is None and find:
                        for candidate in often + [c for c in cases if c not in often and could_say(c)]:
                            if changes(tools, copy, text, candidate):
                                known[rule, how] = case = candidate
                                write(known)
                                often = [candidate] + [c for c in often if c != candidate]
                                break
                    elif case is not None and (find or not (whole or parts or number % SAMPLE == dt.date.today().toordinal() % SAMPLE)):
                        continue
                    elif case is not None and not changes(tools, copy, text, case):
                        bad.append("%s %s, and %s says the same" % (rule, how, case))
                    seen += 1
                    if case is None:
                        bad.append("%s %s: no case changes" % (rule, how))
    finally:
        shutil.rmtree(tools.folder, ignore_errors=True)
    print("\n".join(bad + ["%d of %d changes of packs looked at, %d problems" % (seen, number, len(bad))]))
    return len(bad)


def could_say(case):
    """Whether a case could say something about a rule: it is worth a look where a page of it has to do with clauses."""
    with open(os.path.join(run_cases.CASES, case)) as f:
        text = f.read()
    return len(re.findall(r"^[|!].*(?:CFR|CCR|Regulation)", text, re.M)) > 2 and not case.startswith(("published", "import"))


if __name__ == "__main__":
    sys.exit(1 if main(sys.argv[1:]) else 0)
