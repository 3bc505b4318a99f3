"""The table as one SVG: how much of its goal each figure uses, on a logarithmic scale. Left of the line is met."""
import math
from xml.sax.saxutils import escape

STYLE = """
  .page { fill: #ffffff } text { fill: #1c1c1c; font: 13px sans-serif } .quiet { fill: #5c5c5c; font-size: 11px }
  .met { fill: #2f6f8f } .missed { fill: #b4532a }
  .goal { stroke: #1c1c1c; stroke-width: 2 } .grid { stroke: #dddddd }
  .stretch { stroke: #1c1c1c; stroke-width: 1; stroke-dasharray: 2 2 }
  @media (prefers-color-scheme: dark) {
    .page { fill: #17191b } text { fill: #ececec } .quiet { fill: #a8a8a8 }
    .met { fill: #6fb3d2 } .missed { fill: #e58a5f }
    .goal, .stretch { stroke: #ececec } .grid { stroke: #3a3d40 }
  }
"""
LEFT, WIDE, ROW, TOP = 24, 620, 44, 92
LEAST, MOST = 1 / 32, 8.0       # of the goal: the ends of the scale


def x_of(share):
    share = min(max(share, LEAST), MOST)
    return LEFT + WIDE * math.log(share / LEAST) / math.log(MOST / LEAST)


def svg(rows, machine):
    shown = [r for r in rows if r.value is not None]
    high = TOP + ROW * len(shown) + 40
    said = "; ".join("%s: %s, %s" % (r.name, value_text(r), r.verdict) for r in shown)
    out = ['<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" role="img" aria-labelledby="t d">'
           % (LEFT * 2 + WIDE + 180, high),
           '<title id="t">Tarebook: each job against its goal</title>',
           '<desc id="d">%s</desc>' % escape(said),
           "<style>%s</style>" % STYLE, '<rect class="page" width="100%" height="100%"/>',
           '<text x="%d" y="28">Each job against its goal: a bar that ends left of the line is met</text>' % LEFT,
           '<text class="quiet" x="%d" y="48">%s</text>' % (LEFT, escape(machine))]
    for share in (1 / 32, 1 / 16, 1 / 8, 1 / 4, 1 / 2, 1, 2, 4, 8):
        x = x_of(share)
        out.append('<line class="%s" x1="%.1f" x2="%.1f" y1="%d" y2="%d"/>'
                   % ("goal" if share == 1 else "grid", x, x, TOP - 14, high - 34))
        word = "goal" if share == 1 else "%g x" % share if share > 1 else "1/%d" % round(1 / share)
        out.append('<text class="quiet" x="%.1f" y="%d" text-anchor="middle">%s</text>' % (x, high - 16, word))
    for i, r in enumerate(shown):
        y = TOP + ROW * i
        share = (r.value / r.goal) if r.at_most else (r.goal / max(r.value, 1e-9))
        end = x_of(share)
        kind = "missed" if r.verdict == "MISSED" else "met"
        out.append('<text x="%d" y="%d">%s</text>' % (LEFT, y, escape(r.name)))
        out.append('<rect class="%s" x="%d" y="%d" width="%.1f" height="14"/>'
                   % (kind, LEFT, y + 6, max(end - LEFT, 1)))
        if r.stretch is not None:
            s = x_of(r.stretch / r.goal if r.at_most else r.goal / r.stretch)
            out.append('<line class="stretch" x1="%.1f" x2="%.1f" y1="%d" y2="%d"/>' % (s, s, y + 3, y + 23))
        out.append('<text x="%d" y="%d">%s, %s</text>'
                   % (LEFT + WIDE + 10, y + 18, escape(value_text(r)), r.verdict))
    out.append("</svg>")
    return "\n".join(out) + "\n"


def value_text(r):
    return ("%.3g %s" % (r.value, r.unit)).strip()
