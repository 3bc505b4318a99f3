"""Pages for a browser, read by a strict parser: whole, self-contained, accessible as far as markup tells, and no typed
text becomes markup. The figures of each are those of the text page."""
import base64
import hashlib
import html.parser
import re

from book import Book, demo

b = Book(start=False)
demo(b)
NOW = "2026-06-08T15:00:00Z"
NEVER = {"script", "link", "iframe", "object", "embed", "form", "img", "base", "a"}
VOID = {"meta", "br", "line", "rect", "circle", "polyline", "polygon", "path"}


class Strict(html.parser.HTMLParser):
    def __init__(self):
        super().__init__(convert_charrefs=True)
        self.open, self.words, self.headings, self.tables, self.style, self.policy = [], [], [], [], "", ""
        self.ids, self.pictures = [], 0

    def handle_starttag(self, tag, attrs):
        attrs = dict(attrs)
        assert tag not in NEVER, tag
        assert not any(name.startswith("on") or name in ("style", "src", "href") for name in attrs), attrs
        if tag == "meta" and "http-equiv" in attrs:
            self.policy = attrs["content"]
        if re.fullmatch("h[1-6]", tag):
            self.headings.append(int(tag[1]))
        if tag == "table":
            self.tables.append({"caption": False, "columns": 0, "cells": []})
        if tag == "caption":
            self.tables[-1]["caption"] = True
        if tag == "th":
            assert attrs.get("scope") == "col", attrs
            self.tables[-1]["columns"] += 1
        if tag == "tr":
            self.tables[-1]["cells"].append(0)
        if tag == "td":
            self.tables[-1]["cells"][-1] += 1
        if tag == "svg":
            assert attrs.get("role") == "img" and attrs.get("aria-label"), attrs
            self.pictures += 1
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        if tag in VOID:
            return
        assert self.open and self.open[-1] == tag, (tag, self.open)
        self.open.pop()

    def handle_data(self, data):
        if self.open and self.open[-1] == "style":
            self.style += data
        elif data.strip():
            self.words.append(data.strip())


def page(*words, now=NOW):
    done = b.run(*words, "--format", "html", now=now)
    assert done.returncode in (0, 4), (words, done.stderr)
    out = done.stdout
    assert out.startswith("<!DOCTYPE html>\n<html lang=\"en\">")
    p = Strict()
    p.feed(out)
    p.close()
    assert not p.open, p.open
    assert p.headings[0] == 1 and p.headings.count(1) == 1 and set(p.headings) <= {1, 2}, p.headings
    for table in p.tables:
        assert table["caption"] and all(n in (0, table["columns"]) for n in table["cells"]), table
    digest = base64.b64encode(hashlib.sha256(p.style.encode()).digest()).decode()
    assert "default-src 'none'" in p.policy and "style-src 'sha256-%s'" % digest in p.policy, (p.policy, digest)
    assert "http" not in out.replace("http-equiv", ""), "nothing from outside"
    p.text = " ".join(p.words)
    assert "local codes and a licensed person decide" in p.text
    return p


def luminance(colour):
    channels = [int(colour[i:i + 2], 16) / 255 for i in (1, 3, 5)] if len(colour) == 7 else [int(c * 2, 16) / 255 for c in colour[1:]]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one, other):
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


# WCAG 2.2, 1.4.3 and 1.4.11: text at least 4.5 to 1, graphics at least 3 to 1, in the light scheme and the dark one
style = page("report", "inventory").style
schemes = [dict(re.findall(r"--(\w+):(#[0-9a-f]+)", block)) for block in re.findall(r":root\{([^}]*)\}", style)]
assert len(schemes) == 2
for scheme in schemes:
    for paper in ("paper", "band"):
        for ink in ("ink", "soft", "mark"):
            assert contrast(scheme[ink], scheme[paper]) >= 4.5, (ink, paper, contrast(scheme[ink], scheme[paper]))
    for drawn in ("fill", "other", "mark", "soft"):
        assert contrast(scheme[drawn], scheme["paper"]) >= 3, drawn

# the same figures as on the text page, and a picture where there is something to show
for words, pictures in ((("report", "cylinder", "RC-02"), 2), (("report", "inventory"), 0), (("report", "site", "OAK", "--year", "2026"), 1),
                        (("report", "appliance", "OAK/RACK-A"), 1), (("report", "job", "4102"), 0), (("report", "truck", "truck-1"), 0),
                        (("list", "exceptions"), 0), (("label", "RC-02", "RC-03"), 2), (("due", "--within", "9999d"), 0)):
    shown = page(*words)
    text = b.ok(*words, now=NOW).stdout
    for figure in set(re.findall(r"\d+\.\d+ lb", text)):
        assert figure in shown.text, (words, figure)
    for event in set(re.findall(r"\bE\d+\b", text)):
        assert re.search(r"\b%s\b" % event, shown.text), (words, event)
    assert shown.pictures >= pictures, (words, shown.pictures)
    assert page(*words).text == shown.text  # twice the same

# the year: in other tables than the text's, and each gas that moved as a picture whose bands are the balance's figures
shown = page("report", "year", "2026")
year = b.json("report", "year", "2026", now=NOW)
terms = {}
for place in ("stock", "equipment"):
    for line in year[place]:
        for term in line["terms"]:
            key = (line["refrigerant"], place, term["term"])
            terms[key] = terms.get(key, 0) + int(term["mass_count"])
moved = sorted({gas for gas, _, _ in terms})
assert len(moved) > 2 and shown.tables and shown.pictures == len(moved), (moved, shown.pictures)
for (gas, place, term), count in terms.items():
    joint = count + (terms.get((gas, place, "charged"), 0) if term == "reused" else 0)
    pounds = abs(joint) / 362_873_896_000
    told = [words for words in shown.words if words.startswith(gas + ": ")]
    assert len(told) == 1, (gas, told)
    said = [float(figure) for figure in re.findall(r"([0-9.]+) lb", told[0])]
    if count and term != "charged":
        assert any(abs(figure - pounds) < 0.0006 for figure in said), (gas, place, term, pounds, told)
assert page("report", "year", "2026", "--site", "OAK").pictures and page("report", "year", "2026", "--owner", "Quillpost Markets").pictures
assert not page("report", "year", "2011").pictures

# a count: its sheet is printed when it is begun, and its page shows the figures of the text
begun = page("count", "begin", "--place", "truck-1")
assert "SC-02" in begun.text and "should weigh" in begun.text, begun.text
b.ok("count", "weigh", "SC-02", "--gross", "136.75lb", "--note", "<b>valve weeping</b>", now=NOW)
b.ok("count", "weigh", "<odd>&1", "--gross", "44lb", "--not-in-the-book", now=NOW)
for words in (("count", "show"), ("report", "count"), ("count", "sheet")):
    shown = page(*words)
    text = b.ok(*words, now=NOW).stdout
    for figure in set(re.findall(r"\d+\.\d+ lb", text)):
        assert figure in shown.text, (words, figure)
shown = page("count", "close", "--reason", "SC-02=<i>hose</i> left open")
assert "<odd>&1" in shown.text and "<i>hose</i> left open" in shown.text, shown.text
kilograms = page("report", "cylinder", "RC-02", "--units", "kg").text
# what is watched on a scale stands as the scale shows it, with kilograms beside
watched = re.sub(r"\d+\.\d+ lb \(\d+\.\d+ kg\)", "", kilograms)
assert " kg" in kilograms and watched != kilograms and not re.search(r"\d lb", watched), kilograms

# typed text stays text
hostile = ['<script>alert(1)</script>', '"><img src=x onerror=alert(1)>', "a =cmd()|' /C calc'!A0", "\u202eright to left", "\U0001f9ca ice & <b>", "x" * 10000]
for i, name in enumerate(hostile):
    site = "H%d" % i
    b.ok("site", "add", site, "--owner", name[:200], "--name", name[:200], now=NOW)
    b.ok("appliance", "add", site + "/A", "--category", "other", "--refrigerant", "R-404A", "--full-charge", "60lb", "--charge-basis", "maker", now=NOW)
    b.ok("circuit", "add", site + "/A/1", now=NOW)
    b.ok("charge", "--circuit", site + "/A/1", "--from", "outside:Brine", "--net", "1lb", "--job", "77", "--note", name, now=NOW)
    shown = page("report", "site", site, "--year", "2026")
    # what turns the direction of the words after it is shown, not sent
    assert name[:200].replace("\u202e", "\\u202e") in shown.text and "\u202e" not in shown.text, name[:60]
page("report", "job", "77")

# where there is no such page, that is said before anything is recorded
before = b.digest()
for words in (["room", "RC-02"], ["weigh", "RC-02", "--gross", "35.55lb"], ["check"], ["pt", "R-22", "--at", "70F"]):
    done = b.run(*words, "--format", "html", now=NOW)
    assert done.returncode == 2 and "no page of this for a browser" in done.stderr, (words, done)
assert b.digest() == before
print("pages for a browser: whole, self-contained, and the figures of the text")
