"""Something hangs on each rule of each pack: a copy of the pack without it, and one with its value changed, change a case.

Which case that is stands in data/case-of-each-rule.csv (rule, how, case). "Changes" leaves out how many rules a page
counts, since a rule that is gone is always counted. The program of the tests takes the changed pack
(TAREBOOK_TEST_PACK).

    every_rule.py              a sample, another each day       every_rule.py --all    every rule
    every_rule.py --find       fills the table: looks for cases of rules that have none in it, or whose case says the same
    every_rule.py PART...      only rules whose name has PART in it

The search halves: without the first half of a pack's rules some cases change; of these, some change without the first
quarter; and so on, down to one rule. A case takes part that names the pack or a section of its clauses, and that an
unchanged copy of the pack leaves as it is.
"""
import concurrent.futures
import copy
import csv
import datetime as dt
import glob
import os
import re
import shutil
import sys
import tempfile

import run_cases

SOURCE = os.environ["TAREBOOK_SOURCE"]
TABLE = os.path.join(os.path.dirname(os.path.abspath(__file__)), "data", "case-of-each-rule.csv")
SAMPLE = 48  # one in so many, each day other ones

# The value that makes a rule: the first of these that it has.
VALUES = ("threshold", "within", "plan_within", "of_full_charge", "unsaturated_from", "every", "level", "at_most", "compressor_running",
          "gases", "above", "up_to", "keep", "over", "least", "vacuum", "t_co2e_below", "any_below", "by", "check_every", "due", "gwp_from",
          "longest_days", "systems", "shows", "values", "each", "not_full_at", "destroyed", "asked_within", "longest", "suspends", "grounds",
          "pressure_classes", "type")
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
    date = re.match(r'"(\d{4}-)?(\d\d)-(\d\d)"$', value)
    if date:
        return '"%s%02d-%s"' % (date.group(1) or "", int(date.group(2)) + 1, date.group(3))
    if key == "least":
        return {"reclaimed": "recycled", "recycled": "virgin", "recovered": "recycled"}[value]
    if key == "type":
        return {"I": "II", "II": "III", "III": "I"}[value]
    if value.startswith("["):
        other = {"gases": "R-23", "systems": "none", "shows": "nothing", "types": "3HT", "suspends": "plan", "grounds": "relief",
                 "pressure_classes": "high" if value == "[low]" else "low"}
        return "[" + other[key] + "]"
    far = value.endswith("psia")  # no gas has its pressure just beside a bound of a class
    return re.sub(r"\d+", lambda m: str(int(m.group()) // 2 if far else int(m.group()) + 1), value, count=1)


def changed(lines, first, end):
    """The lines with the rule's value changed; nothing where it has none."""
    kind = next(re.sub(r"^ *kind: ", "", x) for x in lines[first:end] if x.strip().startswith("kind:"))
    keys = {}
    for i in range(first, end):
        found = re.match(r"    (\w+):(?: (.*))?$", lines[i])
        if found:
            keys[found.group(1)] = i, found.group(2)
    for key in OTHER.get(kind, "|".join(VALUES)).split("|"):
        if key not in keys:
            continue
        i, value = keys[key]
        if key == "values":
            i += 1
            while i < end and not lines[i].startswith("      R-125:") and not lines[i + 1].startswith("    basis"):
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


class Pack:
    """A pack of schema/rules, and how cases come out under copies of it."""

    def __init__(self, tools, path):
        self.tools, self.name = tools, os.path.basename(path)
        self.lines, self.rules = rules_of(path)
        self.span = {rule: (first, end) for rule, first, end in self.rules}

    def without(self, rules):
        gone = {i for rule in rules for i in range(*self.span[rule])}
        return [line for i, line in enumerate(self.lines) if i not in gone]

    def copy_with(self, rule, how):
        return self.without([rule]) if how == "gone" else changed(self.lines, *self.span[rule])

    def changes(self, lines, case):
        folder = tempfile.mkdtemp(prefix="pack-", dir=self.tools.folder)
        tools = copy.copy(self.tools)
        tools.more = {"TAREBOOK_TEST_PACK": os.path.join(folder, self.name)}
        with open(tools.more["TAREBOOK_TEST_PACK"], "w") as f:
            f.write("\n".join(lines))
        os.chmod(folder, 0o755)  # a case may run the program without rights
        result = run_cases.run_case(tools, os.path.join(run_cases.CASES, case), with_json=False)
        shutil.rmtree(folder)
        return plain(result.text) != plain(result.was) or any(p.startswith("prepare ") for p in result.problems)

    def changing(self, lines, cases):
        with concurrent.futures.ThreadPoolExecutor(2) as pool:
            return [case for case, does in zip(cases, pool.map(lambda c: self.changes(lines, c), cases)) if does]

    def cases_without(self, rules, cases, out):
        """out[rule]: the cases that change where that one alone is gone."""
        if len(rules) < len(self.rules):  # a pack without any rule cannot be read
            cases = self.changing(self.without(rules), cases)
        if len(rules) == 1 or not cases:
            out.update((rule, cases) for rule in rules)
            return
        half = len(rules) // 2
        self.cases_without(rules[:half], cases, out)
        self.cases_without(rules[half:], cases, out)


SECTION = re.compile(r"\d+ [A-Z]+ [\d.]+\d|Regulation \(\w+\) [\d/]+")


def cases_about(pack):
    """Those that name the pack or a section of its clauses, the quickest first."""
    names, out = {pack.name.split(".")[0], *SECTION.findall("\n".join(pack.lines))}, []
    for path in glob.glob(os.path.join(run_cases.CASES, "**", "*.txt"), recursive=True):
        with open(path) as f:
            text = re.sub(r"\s*\n[|!] *", " ", f.read())
        if "/_books/" not in path and any(name in text for name in names):
            out.append((len(re.findall(r"^(?:\$|prepare) ", text, re.M)), os.path.relpath(path, run_cases.CASES)))
    return [case for _, case in sorted(out)]


def find(pack, wanted, known):
    """Fills the table for the rules `wanted` of a pack."""
    found, sound = {}, {}

    def is_sound(case):
        if case not in sound:
            sound[case] = not pack.changes(pack.lines, case)
            if not sound[case]:
                print("%s: %s changes under an unchanged copy, and takes no part" % (pack.name, case))
        return sound[case]

    pack.cases_without(wanted, cases_about(pack), found)
    for rule in wanted:
        for how in ("gone", "changed"):
            lines = pack.copy_with(rule, how)
            known.pop((rule, how), None)
            for case in found[rule] if lines else []:
                if is_sound(case) and (how == "gone" or pack.changes(lines, case)):
                    known[rule, how] = case
                    break
    write(known)


def write(known):
    with open(TABLE, "w", newline="") as f:
        out = csv.writer(f, lineterminator="\n")
        out.writerow(["rule", "how", "case"])
        out.writerows((rule, how, case) for (rule, how), case in sorted(known.items()))


def main(arguments):
    finding, whole = "--find" in arguments, "--all" in arguments
    parts = [a for a in arguments if not a.startswith("--")]
    with open(TABLE, newline="") as f:
        known = {(row["rule"], row["how"]): row["case"] for row in csv.DictReader(f)}
    tools, bad, seen, number, rules = run_cases.Tools(), [], 0, 0, set()

    def says_otherwise(change):
        pack, rule, how, lines = change
        case = known.get((rule, how), "")
        return bool(lines and case and os.path.exists(os.path.join(run_cases.CASES, case)) and pack.changes(lines, case))

    try:
        tools.make_book("small-shop")
        for path in sorted(glob.glob(os.path.join(SOURCE, "schema/rules/*.yaml"))):
            pack, looked_at = Pack(tools, path), []
            rules.update(pack.span)
            for rule, how in ((rule, how) for rule, _, _ in pack.rules for how in ("gone", "changed")):
                if parts and not any(p in rule for p in parts):
                    continue
                number += 1
                if finding or whole or parts or (rule, how) not in known or number % SAMPLE == dt.date.today().toordinal() % SAMPLE:
                    looked_at.append((pack, rule, how, pack.copy_with(rule, how)))
            seen += len(looked_at)
            with concurrent.futures.ThreadPoolExecutor(2) as pool:
                missed = [change for change, good in zip(looked_at, pool.map(says_otherwise, looked_at)) if not good]
            if finding and missed:
                find(pack, list(dict.fromkeys(rule for _, rule, _, _ in missed)), known)
                missed = [change for change in missed if change[1:3] not in known]
            for _, rule, how, lines in missed:
                case = known.get((rule, how))
                bad.append("%s has no value that this test knows" % rule if not lines
                           else "%s %s: %s" % (rule, how, case + " says the same" if case else "no case changes"))
    finally:
        shutil.rmtree(tools.folder, ignore_errors=True)
    bad += ["%s stands in the table, and in no pack" % rule for rule, _ in sorted(known) if rule not in rules]
    print("\n".join(bad + ["%d of %d changes of packs looked at, %d problems" % (seen, number, len(bad))]))
    return len(bad)


if __name__ == "__main__":
    sys.exit(1 if main(sys.argv[1:]) else 0)
