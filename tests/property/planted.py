"""Mistakes of the kind that a change of the engine makes, each planted in a copy of the source: a look of the engine at
itself (units/must_hold.hpp) stops it before COMMIT, and where those looks are left out, the tests of random histories
find it.

    planted.py                  whether each place is still in the source, once: what CI runs
    planted.py --run [NAME...]  builds each, and runs the tests of random histories: half an hour on two cores

A copy of the tree lies in build/planted; --run wants ccache.
"""
import os
import re
import shutil
import subprocess
import sys

SOURCE = os.environ.get("TAREBOOK_SOURCE") or os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "..")
SEEDS = 100
TESTS = ("property_book", "property_merge", "property_tables")

# name: (file, what stands there, what a tired person might have written)
MISTAKES = {
    "balance-sign": ("lib/book/table_sink.cpp", "balances_.add(row.account, row.lot, Mass::from_count(row.mass));",
                     "balances_.add(row.account, row.lot, -Mass::from_count(row.mass));"),
    "balance-of-old-postings": ("lib/book/table_sink.cpp",
                                "for (const auto& row : stored) balances_.take(row.account, row.lot, Mass::from_count(row.mass));", ""),
    "step-not-rewritten": ("lib/book/table_sink.cpp", "state = ? WHERE cylinder = ? AND at = ? ", "state = ? WHERE cylinder = -? AND at = ? "),
    "step-left": ("lib/book/table_sink.cpp", '"DELETE FROM step WHERE cylinder = ? AND at = ?', '"DELETE FROM step WHERE cylinder = ? AND at < ?'),
    "current-state-on-the-way": ("lib/book/replay.cpp", "if (cursor->changed && cursor->at_end)", "if (cursor->changed)"),
    "posting-missing": ("lib/book/replay.cpp", "for (const auto& p : outcome.postings) {",
                        "for (const auto& p : outcome.postings) {\n        if (&p != &outcome.postings.front() && &p == &outcome.postings.back()) break;"),
    "order-by-arrival": ("lib/book/replay.cpp", "if (!std::is_sorted(order.begin(), order.end(), before)) std::stable_sort(order.begin(), order.end(), before);", ""),
    "nothing-follows": ("lib/book/replay.cpp", "    queue_[cursor.ahead.front().place] = cursor.ahead.front().row;\n    if", "    if"),
    "end-too-early": ("lib/book/replay.cpp", "cursor.at_end = !before || before->place < place;", "cursor.at_end = true;"),
    "stale-cursor": ("lib/book/replay.cpp", "    cursor.state = unpacked(before->state);\n", ""),
    "state-from-the-end": ("lib/book/replay.cpp", "if (!cursor.at_end) before = past_.last_before(cursor.account, place);", ""),
    "voided-postings-stay": ("lib/book/replay.cpp", "        sink_.postings(row, {}, {}, Rows::there);\n", ""),
    "voided-step-unfollowed": ("lib/book/replay.cpp", "            cursor.changed = true;\n            follow(cursor, place);\n",
                               "            cursor.changed = true;\n"),
    "chain-forgets": ("lib/book/transaction.cpp", "            e.previous = previous;\n", ""),
    "chain-skips": ("lib/book/transaction.cpp", "            e.seq = head.seq + 1;\n", "            e.seq = head.seq + 2;\n"),
    "head-of-before": ("lib/book/transaction.cpp", "if (!drafts.empty()) sign_head(book, head);", "if (!drafts.empty()) sign_head(book, {head.seq, work_->head.digest});"),
    "draw-adds": ("lib/ledger/lots.cpp", "for (const auto& part : out) add_to(lots, part.key, -part.mass);", "for (const auto& part : out) add_to(lots, part.key, part.mass);"),
    "share-lost": ("lib/ledger/lots.cpp", "        ++parts[i].count;\n", ""),
    "lots-unsorted": ("lib/ledger/lots.cpp", "        lots.insert(it, {key, mass});\n", "        lots.push_back({key, mass});\n"),
    "gap-sign": ("lib/ledger/fold.cpp", "out_.postings.push_back({counter, part.key, -part.mass});", "out_.postings.push_back({counter, part.key, part.mass});"),
    "moved-sign": ("lib/ledger/fold.cpp", "        effect_.moved += by;", "        effect_.moved -= by;"),
    "lot-skipped": ("lib/ledger/fold.cpp", "        post(parts, 1);\n        shift(total(parts));\n        for (const auto& lot : noise)",
                    "        post({parts.begin(), parts.empty() ? parts.end() : parts.end() - 1}, 1);\n        shift(total(parts));\n        for (const auto& lot : noise)"),
}


def squeezed(text):
    return re.sub(r"\s+", " ", text)


def problems():
    for name, (path, there, _) in MISTAKES.items():
        with open(os.path.join(SOURCE, path)) as f:
            times = f.read().count(there)
        if times != 1:
            yield "%s: %s has what it wants to spoil %d times: %s" % (name, path, times, squeezed(there))


def copied():
    folder = os.path.join(SOURCE, "build", "planted")
    shutil.rmtree(os.path.join(folder, "source"), ignore_errors=True)
    for part in ("CMakeLists.txt", "lib", "cli", "schema", "tests", "README.md", "fixtures"):
        at, to = os.path.join(SOURCE, part), os.path.join(folder, "source", part)
        os.makedirs(os.path.dirname(to), exist_ok=True)
        shutil.copytree(at, to) if os.path.isdir(at) else shutil.copy(at, to)
    return folder


def build(folder, watched):
    out = os.path.join(folder, "watched" if watched else "unwatched")
    if not os.path.exists(os.path.join(out, "build.ninja")):
        subprocess.run(["cmake", "-S", os.path.join(folder, "source"), "-B", out, "-G", "Ninja", "-DCMAKE_BUILD_TYPE=Debug",
                        "-DCMAKE_CXX_COMPILER_LAUNCHER=ccache", "-DTAREBOOK_PCH=ON", "-DTAREBOOK_UNITY=ON",
                        "-DCMAKE_CXX_FLAGS_DEBUG=-O1 -g0" + ("" if watched else " -DTAREBOOK_UNWATCHED")], check=True, stdout=subprocess.DEVNULL)
    done = subprocess.run(["ninja", "-C", out, *TESTS], capture_output=True, text=True)
    if done.returncode:
        raise SystemExit("a planted mistake does not compile:\n" + done.stdout[-3000:])
    return out


def found(out, seeds):
    """Which test fails first, and what it says of itself."""
    env = dict(os.environ, TAREBOOK_PROPERTY_RUNS=str(seeds), TAREBOOK_PROPERTY_SEED="1")
    for test in TESTS:
        program = next(os.path.join(top, test) for top, _, files in os.walk(out) if test in files)
        done = subprocess.run([program], env=env, capture_output=True, text=True)
        if done.returncode:
            broken = re.search(r"does not hold: ([^)\n]*)", done.stdout + done.stderr)
            return test, broken.group(1) if broken else ""
    return None


def run(names):
    folder, bad = copied(), 0
    for watched in (True, False):
        if found(build(folder, watched), 10):
            raise SystemExit("the tests fail without a mistake")
    for name in names or MISTAKES:
        path, there, instead = MISTAKES[name]
        with open(os.path.join(SOURCE, path)) as f:
            text = f.read()
        spoilt = os.path.join(folder, "source", path)
        with open(spoilt, "w") as f:
            f.write(text.replace(there, instead))
        stopped, later = found(build(folder, True), SEEDS), found(build(folder, False), SEEDS)
        with open(spoilt, "w") as f:
            f.write(text)
        good = stopped and stopped[1] and later
        bad += not good
        print("%-6s %s: %s; unwatched %s" % ("ok" if good else "BAD", name, "stopped by \"%s\" (%s)" % (stopped[1], stopped[0]) if stopped
                                             else "not stopped", "found by " + later[0] if later else "not found"), flush=True)
    print("%d mistakes, %d not stopped or not found" % (len(names or MISTAKES), bad))
    return bad


def main(arguments):
    wrong = list(problems())
    print("\n".join(wrong) or "%d mistakes can be planted" % len(MISTAKES))
    if wrong:
        return 1
    return run(arguments[1:]) if arguments[:1] == ["--run"] else 0


if __name__ == "__main__":
    sys.exit(1 if main(sys.argv[1:]) else 0)
