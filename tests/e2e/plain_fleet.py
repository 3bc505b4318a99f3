"""What a fleet did, in plain numbers: the slow, independent model beside which fleet.py lays the office's book.

Weights are whole numbers of 0.05 lb. An act is one weighing or one movement as a truck's device wrote it down; what the
office should show follows from the acts that arrived and count, in the order of the times that they claim. What only two
books together show is told by the words of the guide, not by the program: one act in both, two sites at one time, gas
drawn before another book filled it in.
"""
import datetime as dt
import zoneinfo

REACH = dt.timedelta(hours=36)  # how far apart two books may tell of one act
ONE_MOMENT = dt.timedelta(minutes=15)
ZONE = zoneinfo.ZoneInfo("America/Chicago")


def lb(units):
    return "%d.%02dlb" % divmod(units * 5, 100)


class Cylinder:
    def __init__(self, code, tare, holder):
        self.code, self.tare, self.holder = code, tare, holder
        self.net, self.locked_until = 0, None
        self.touched_by = set()  # clock, loss, conflict: then what it holds is not what the books can know

    @property
    def gross(self):
        return self.tare + self.net


class Act:
    """`turn` is its place in what really happened; `at` the time that the device wrote down."""

    def __init__(self, turn, book, branch, at, own_id, kind, circuit, moves):
        self.turn, self.book, self.branch, self.at, self.own_id = turn, book, branch, at, own_id
        self.kind, self.circuit, self.moves = kind, circuit, moves  # moves: {cylinder: (before, after)}
        self.seq = None  # its number in its chain, once a bundle told it

    def order(self):
        return self.at, self.book, self.branch, self.seq


def by_cylinder(acts):
    out = {}
    for act in sorted(acts, key=Act.order):
        for code in act.moves:
            out.setdefault(code, []).append(act)
    return out


def last_readings(acts):
    """{cylinder: gross} by the last act that counts."""
    return {code: of_it[-1].moves[code][1] for code, of_it in by_cylinder(acts).items()}


def moved(act, code):
    before, after = act.moves[code]
    return after - before if act.kind != "weigh" else 0


def local_day(act):
    return act.at.replace(tzinfo=dt.timezone.utc).astimezone(ZONE).date()


def site(act):
    return act.circuit.split("/")[0]


def pairs_of_two_books(acts):
    for code, of_it in by_cylinder(acts).items():
        for i, later in enumerate(of_it):
            for earlier in reversed(of_it[:i]):
                if later.at - earlier.at > REACH:
                    break
                if earlier.book != later.book:
                    yield code, earlier, later


def true_of(acts):
    """{check: cylinders of which it may be told}."""
    out = {"entered-twice": set(), "two-places": set(), "drawn-before-filled": set()}
    drawn_first, clock_off = set(), set()
    for code, a, b in pairs_of_two_books(acts):
        if (a.kind, a.circuit, a.moves[code]) == (b.kind, b.circuit, b.moves[code]) and moved(a, code) and \
                local_day(a) == local_day(b):
            out["entered-twice"].add(code)
        if a.circuit and b.circuit and site(a) != site(b) and b.at - a.at <= ONE_MOMENT:
            out["two-places"].add(code)
        if moved(a, code) < 0 < moved(b, code):
            drawn_first.add(code)
        if b.turn < a.turn:
            clock_off.add(code)
    # A weighing of a wrong time may look as a fill would, within what weights may be off: the clock was off all the same.
    out["drawn-before-filled"] = drawn_first & clock_off
    return out


def explains(acts, code, own_ids):
    """Whether the two acts, fill and draw, stand directly behind each other as the office has them, and what is before
    them is what the fill found: only then do their weights say that they are the wrong way round."""
    of_it = by_cylinder(acts)[code]
    i = [act.own_id for act in of_it].index(own_ids[1])
    return 0 < i < len(of_it) - 1 and of_it[i + 1].own_id == own_ids[0] and \
        of_it[i - 1].moves[code][1] == of_it[i + 1].moves[code][0]
