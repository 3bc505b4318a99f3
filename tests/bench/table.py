"""Figures beside their goals: rows of the table "Where Tarebook wants to be", and the times they come from."""
import collections

Row = collections.namedtuple("Row", "name value unit goal stretch at_most verdict")


class Table:
    def __init__(self):
        self.rows, self.times, self.remarks = [], [], []
        self.peak_of_reading = 0.0  # MiB; reports, export and check

    def at_most(self, name, value, goal, stretch, unit):
        self._add(name, value, goal, stretch, unit, True)

    def at_least(self, name, value, goal, stretch, unit):
        self._add(name, value, goal, stretch, unit, False)

    def missing(self, name, why):
        self.rows.append(Row(name, None, "", None, None, True, "not measured: " + why))

    def remark(self, text):
        self.remarks.append(text)

    def time(self, title, label, figure):
        self.times.append((title, label, figure))
        print("  %-34s wall %10.4f s  (%.4f to %.4f)  cpu %9.4f s  peak %6.1f MiB  n=%d"
              % (label, figure.wall, figure.lo, figure.hi, figure.cpu, figure.rss, figure.runs), flush=True)

    def _add(self, name, value, goal, stretch, unit, at_most):
        def holds(limit):
            return limit is not None and (value <= limit if at_most else value >= limit)
        verdict = "stretch met" if holds(stretch) else "met" if holds(goal) else "MISSED"
        self.rows.append(Row(name, value, unit, goal, stretch, at_most, verdict))

    def text(self):
        out = ["%-76s %12s %10s %10s  %s" % ("job", "measured", "goal", "stretch", "")]
        for r in self.rows:
            if r.value is None:
                out.append("%-76s %s" % (r.name, r.verdict))
                continue
            sign = "<=" if r.at_most else ">="
            stretch = "" if r.stretch is None else "%s %g" % (sign, r.stretch)
            measured, goal = "%.4g %s" % (r.value, r.unit), "%s %g" % (sign, r.goal)
            out.append("%-76s %12s %10s %10s  %s" % (r.name, measured, goal, stretch, r.verdict))
        return "\n".join(out + self.remarks)
