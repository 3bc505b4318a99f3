"""One fault point: the command under a fault, perhaps its recovery under another, and what must hold afterwards."""
import os

from program import KILLED, Folder

# kind: what fault.hpp shall do, at which calls, on which disk
KINDS = {
    "kill": ("kill", "OMWTSDLUC", "psow"),
    "torn": ("torn", "W", "psow"),
    "cut-psow": ("cut", "OMWTSDUC", "psow"),
    "cut-512": ("cut", "OMWTSDUC", "512"),
    "cut-4096": ("cut", "OMWTSDUC", "4096"),
    "error-once": ("error", "OMRWTSDLUAF", "psow"),
    "error-on": ("errors", "OMRWTSDLUAF", "psow"),
    "full": ("full", "MW", "psow"),
    "nowhere": ("nowhere", "MW", "psow"),
    "short": ("short", "rw", "psow"),
}
FATAL = ("kill", "torn", "cut-psow", "cut-512", "cut-4096")
NOT_A_SENTENCE = ("terminate called", "AddressSanitizer", "runtime error:", "Sanitizer", "what():", "core dumped",
                  "this should not have happened")


def count(kind, trace):
    """How many points a kind has in a command that makes these calls. A power cut may also come just after the end."""
    what, calls, _ = KINDS[kind]
    return sum(trace.count(c) for c in calls) + (1 if what == "cut" else 0)


def fault_text(kind, call, seed):
    what, calls, disk = KINDS[kind]
    return "%s:%s:%d:%d:%s" % (what, calls, call, seed, disk)


class Point:
    def __init__(self, scenario, kind, call, seed, then=None):
        self.scenario, self.kind, self.call, self.seed = scenario, kind, call, seed
        self.then = then  # (recovered by: "check" or "again", kind): a second fault during the recovery

    def __str__(self):
        text = "%s %s %d %d" % (self.scenario.name, self.kind, self.call, self.seed)
        return text + (" %s %s" % self.then if self.then else "")


def must(truth, why, *ran):
    if not truth:
        raise AssertionError(why + "".join("\n  " + str(r) for r in ran))


def in_log(trace):
    """Whether the commit lies in the log and was synced."""
    return "K" in trace


class Trial:
    def __init__(self, folder, point):
        self.folder, self.point, self.scenario = folder, point, point.scenario
        self.struck = []
        self.told_done = False

    def judge_answer(self, ran, kind, reads_only=False):
        """The exit code and the words are those of the fault's kind."""
        must(not any(w in ran.err for w in NOT_A_SENTENCE), "not a sentence", ran)
        if reads_only and self.is_of_older(ran):
            return
        if ran.trace.endswith("E!"):  # the power went after the answer
            must(ran.code in (0, 4), "nothing went wrong before the end, but it says so", ran)
        elif ran.struck and kind in FATAL:
            must(ran.code == KILLED, "a fatal fault struck, but it lives", ran)
            return
        if kind == "short" or not ran.struck:
            must(ran.code in (0, 4), "nothing went wrong, but it says so", ran)
        if ran.code not in (0, 4):
            must(ran.code == 3, "another exit code than 3", ran)
            must("DAMAGED" not in ran.out, "a disk that does not answer is called a damaged book", ran)
            told = ran.err
            if self.scenario.old_schema and told.startswith("remark: an older Tarebook wrote the book"):
                told = told[told.index("\n") + 1:]
            must(told.startswith("failed: ") and "\n  next: " in told, "no sentence, or not what to do next", ran)
            must(ran.out == "" or reads_only, "an answer, and yet a failure", ran)

    def now(self, ran=None):
        """before, done or other: what the book holds. After a command under a fault, only once `check` has looked."""
        rows = self.folder.rows()
        if rows == self.scenario.done:
            return "done"
        must(rows in self.scenario.before, "something partial is in the book", *([ran] if ran else []))
        return "before"

    def is_of_older(self, ran):
        """A book that is still of the older schema is not read, and the answer is the command that upgrades it."""
        return bool(self.scenario.old_schema) and ran.code == 3 and "tarebook upgrade" in ran.err

    def check(self):
        ran = self.folder.run_as_known(["check"])
        if self.is_of_older(ran):
            must(self.folder.schema() == self.scenario.old_schema, "an upgraded book is called an older one", ran)
        else:
            must(ran.code == 0, "check is not clean", ran)
        return ran

    def under_fault(self, words, kind, call, seed, reads_only=False):
        ran = self.folder.run(words, fault_text(kind, call, seed), self.scenario.spill)
        self.struck.append(ran.struck)
        self.judge_answer(ran, kind, reads_only)
        return ran

    def judge_effect(self, ran, kind, was):
        """`ran` was to record; what it said, and what is there, agree."""
        there = self.now(ran)
        if ran.code in (0, 4):
            self.told_done = True
        must(there == "done" or not self.told_done, "told to be recorded, and lost", ran)
        must(there == "done" or was != "done", "it was there, and is lost", ran)
        if was == "before" and ran.code == 3 and "Nothing was written" in ran.err:
            must(there == "before", "told that nothing was written, but it was", ran)
        if was == "before" and ran.code == 3 and there == "before":
            # after a COMMIT that failed on a disk that does not even take the rollback, not knowing is honest
            unknown = kind in ("error-on", "nowhere", "error-once") and "not known" in ran.err
            # on the way to a recording an older book was upgraded, and that is told
            upgraded = "was upgraded to schema" in ran.err and self.folder.rows() != self.scenario.rows_of_base
            must(unknown or upgraded or "Nothing was written" in ran.err, "nothing was written, but it does not say so", ran)
        if was == "before" and ran.code == KILLED and in_log(ran.trace):
            must(there == "done", "it was committed, and is lost", ran)

    def run(self):
        point, scenario, folder = self.point, self.scenario, self.folder
        folder.put(scenario.base)
        first = self.under_fault(scenario.words, point.kind, point.call, point.seed)
        if scenario.makes_book:
            self.run_start(first)
            return
        recovered = None
        if point.then:
            self.told_done = first.code in (0, 4)
            by, kind = point.then
            words = ["check"] if by == "check" else scenario.words
            found = folder.files()
            n = count(kind, folder.run(words, traced=True, spill=scenario.spill).trace)
            was = "done" if folder.rows() == scenario.done else "before"
            if by == "again":
                was = "before"
            folder.put(found)
            call = 1 + (point.seed * 7919 + point.call) % max(n, 1)
            recovered = self.under_fault(words, kind, call, point.seed + 1, reads_only=by == "check")
        self.check()
        for name, content in scenario.files.items():
            must(folder.files().get(name) == content, "the input is lost: " + name, first)
        if not point.then:
            self.judge_effect(first, point.kind, "before")
        elif point.then[0] == "check":
            there = self.now(recovered)
            must(there == was, "reading changed what is there: %s, %s" % (was, there), first, recovered)
        else:
            there = self.now(recovered)
            must(there == "done" or not (self.told_done or recovered.code in (0, 4)),
                 "told to be recorded, and lost", first, recovered)
        self.finish()

    def finish(self):
        point, scenario, folder = self.point, self.scenario, self.folder
        if scenario.old_schema:
            # the copy has its name only once it is whole, and before the book is another one
            kept = Folder(folder.path)
            kept.book += ".before-schema-%d" % scenario.new_schema
            there = os.path.exists(kept.book)
            must(there or folder.schema() == scenario.old_schema, "the book is upgraded, and there is no copy")
            if there:
                must(kept.schema() == scenario.old_schema and kept.rows() == scenario.rows_of_copy, "the copy is not whole")
                # between two faults the files are put back, by this process
                must(point.then or os.stat(kept.book).st_mode & 0o777 == 0o600, "others can read the copy")
        was = self.now()
        again = folder.run_as_known(scenario.words)
        must(again.code in (0, 4), "recording it again fails", again)
        already = again.out.startswith("already recorded") or again.out.endswith("; nothing was written\n")
        must(already == (was == "done"), "was %s, and says" % was, again)
        must(folder.rows() == scenario.done, "recorded again, the book is not as if it had been recorded once", again)
        following = folder.run_as_known(scenario.following)
        must(following.code in (0, 4), "the next record fails", following)
        # the same rows were checked once (Scenario.prepare): what is left to ask is whether the file is whole
        must(folder.rows() == scenario.last, "after the next record the book is not as it should be", following)
        must(folder.is_whole(), "SQLite finds the file damaged", following)

    def run_start(self, first):
        """A book that is being made: there is a whole one, or it can be made."""
        point, scenario, folder = self.point, self.scenario, self.folder
        if point.then:
            by, kind = point.then
            found = folder.files()
            n = count(kind, folder.run(scenario.words, traced=True).trace)
            folder.put(found)
            self.under_start_again(kind, 1 + (point.seed * 7919 + point.call) % max(n, 1), point.seed + 1)
        again = folder.run(scenario.words)
        if first.code in (0, 4):
            must(again.code == 3 and "exists already" in again.err, "a book that was made is gone", first, again)
        elif again.code != 0:
            must(again.code == 3 and "exists already" in again.err, "it cannot be made", first, again)
        self.check()
        following = folder.run(scenario.following)
        must(following.code in (0, 4), "the next record fails", following)
        self.check()

    def under_start_again(self, kind, call, seed):
        ran = self.folder.run(self.scenario.words, fault_text(kind, call, seed))
        self.struck.append(ran.struck)
        must(not any(w in ran.err for w in NOT_A_SENTENCE), "not a sentence", ran)
        must(ran.code in (0, 3, KILLED), "another exit code", ran)
