"""Pages for a browser, read by a strict parser: whole, self-contained, accessible as far as markup tells, and no typed
text becomes markup. The figures of each are those of the text page."""
import base64
import hashlib
import html.parser
import os
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
        self.open, self.words, self.headings, self.tables, self.styles, self.policy = [], [], [], [], [], ""
        self.ids, self.pictures, self.tags, self.above = [], 0, [], False
        self.title, self.lead, self.cards, self.name, self.kind = "", "", [], "", ""

    def handle_starttag(self, tag, attrs):
        attrs = dict(attrs)
        self.tags.append(tag)
        self.kind = attrs.get("class") or ""
        if tag == "section" and "card" in self.kind:
            self.cards.append({"": ""})
        assert tag not in NEVER, tag
        assert not any(name.startswith("on") or name in ("style", "src", "href") for name in attrs), attrs
        if tag == "meta" and "http-equiv" in attrs:
            self.policy = attrs["content"]
        if re.fullmatch("h[1-6]", tag):
            self.headings.append(int(tag[1]))
        if tag == "table":
            self.tables.append({"heading": self.above, "columns": 0, "cells": []})
        if tag == "style":
            self.styles.append("")
        if tag == "th" and "tfoot" in self.open:
            assert attrs.get("scope") == "row", attrs
            self.tables[-1]["cells"][-1] += 1
        elif tag == "th":
            assert attrs.get("scope") == "col", attrs
            self.tables[-1]["columns"] += 1
        if tag == "tr":
            self.tables[-1]["cells"].append(0)
        if tag == "td":
            self.tables[-1]["cells"][-1] += 1
        if tag not in ("div", "table"):
            self.above = tag in ("h2", "h3")  # what stands right above a table
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
            self.styles[-1] += data
        elif data.strip():
            self.words.append(data.strip())
            tag = self.open[-1] if self.open else ""
            if tag == "h1":
                self.title += data
            elif tag == "p" and self.kind == "lead":
                self.lead += data
            elif "section" in self.open and tag in ("h2", "h3") and self.cards:  # else one that is turned on paper
                self.cards[-1][""] += data
            elif "section" in self.open and tag == "dt":
                self.name = data
            elif "section" in self.open and tag == "dd":
                self.cards[-1][self.name] = data


def page(*words, now=NOW):
    done = b.run(*words, "--format", "html", now=now)
    assert done.returncode in (0, 4), (words, done.stderr)
    out = done.stdout
    assert out.startswith("<!DOCTYPE html>\n<html lang=\"en\">")
    p = Strict()
    p.feed(out)
    p.close()
    assert not p.open, p.open
    assert p.headings[0] == 1 and p.headings.count(1) == 1 and set(p.headings) <= {1, 2, 3}, p.headings
    assert all(later <= earlier + 1 for earlier, later in zip(p.headings, p.headings[1:])), p.headings  # no level is left out
    for table in p.tables:
        assert table["heading"] and all(n in (0, table["columns"]) for n in table["cells"]), table
    for style in p.styles:
        digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
        assert "default-src 'none'" in p.policy and "'sha256-%s'" % digest in p.policy, (p.policy, digest)
    # on paper each sheet says whose it is, and which of how many
    assert re.search('content:"(Fernhollow Refrigeration|Tarebook)"', p.styles[1]) and "counter(page)" in p.styles[0], p.styles[1]
    p.style = p.styles[0]
    for cells in re.findall(r'<td class="n">([^<]*)</td>', out):
        assert not re.fullmatch(r"[-+]?\d+\.\d+ (lb|kg)", cells), "a unit in a cell: " + cells
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
                        (("list", "exceptions"), 0), (("label", "RC-02", "RC-03"), 2), (("due", "--within", "9999d"), 0),
                        (("circuit", "show", "OAK/RACK-A/4"), 0), (("room", "RC-01"), 0), (("books",), 0), (("report", "retention"), 0),
                        (("room", "--refrigerant", "R-404A", "--wc", "47.6lb", "--tare", "27.5lb"), 0), (("pt", "R-448A"), 0),
                        (("pt", "R-448A", "--at", "70F"), 0), (("why", "fill-limit/RC-03/E69"), 0)):
    shown = page(*words)
    text = b.ok(*words, now=NOW).stdout
    numbers = set(re.findall(r"(?<![\w.])\d+\.\d+(?![\w.])", text))
    assert all(number in shown.text for number in numbers), (words, numbers)
    for figure in set(re.findall(r"(\d+\.\d+) lb", text)):  # in a table the unit stands in the heading
        assert figure in shown.text, (words, figure)
    for event in set(re.findall(r"\bE\d+\b", text)):
        assert re.search(r"\b%s\b" % event, shown.text), (words, event)
    assert shown.pictures >= pictures, (words, shown.pictures)
    assert page(*words).text == shown.text  # twice the same

# on the wall of the machine room: the points in their order, the gas, the charge and every caution of the text
shown = page("circuit", "show", "OAK/RACK-A/4")
circuit = b.json("circuit", "show", "OAK/RACK-A/4", now=NOW)
assert len(circuit["close"]) == 3 and circuit["cautions"]
places = [shown.words.index(point) for point in circuit["close"]]
assert places == sorted(places) and shown.tags.count("ol") == 1, places
assert all(caution in shown.text for caution in circuit["cautions"]) and "R-448A" in shown.text and "900.00 lb" in shown.text

# --- the first line of a page answers its question, in text, in a browser and in JSON alike ---
late = Book().small_register()
for pounds, when in ((8, "2026-03-01"), (150, "2026-03-11")):
    late.ok("charge", "--circuit", "OAK/RACK-A/4", "--from", "outside:Brine-and-Sons", "--net", "%dlb" % pounds, now=when + "T15:00:00Z")
late.ok("recover", "--circuit", "OAK/RACK-A/4", "--into", "RC-01", "--before", "27.5lb", "--after", "79lb", "--anyway", "it happened",
        "--job", "2207", now="2026-05-21T12:00:00Z")
late.ok("recover", "--circuit", "DAIRY/ICE/1", "--into", "RC-02", "--before", "27.8lb", "--after", "33.8lb", now="2026-05-21T13:00:00Z")
late.ok("weigh", "RC-02", "--gross", "31lb", now="2026-05-22T13:00:00Z")
late.ok("cylinder", "add", "RC-09", "--use", "recovery", "--refrigerant", "R-448A", "--wc", "47.6lb", "--tare", "27.5lb", "--spec", "DOT-4BA400",
        "--tested", "2019-04", "--gross", "40lb", "--counted", "--owner", "Quillpost Markets", now="2026-05-23T13:00:00Z")
THEN = "2026-06-28T14:00:00Z"
week, b = b, late


def first_line(*words):
    """Of a page for a browser, which is that of the text, whatever its width."""
    shown = page(*words, now=THEN)
    said = " ".join(b.ok(*words, now=THEN).stdout.split())
    assert said.startswith(shown.title) and shown.lead in said[:len(shown.title) + len(shown.lead) + 4], (shown.title, shown.lead, said[:200])
    return shown


due = b.json("due", "--within", "400d", now=THEN)
days = [item["days_late"] for item in due["items"] if item["late"]]
assert len(days) == due["number_late"] > 2 and days == sorted(days, reverse=True) and all(days), due
assert [item["late"] for item in due["items"]] == sorted((item["late"] for item in due["items"]), reverse=True)
shown = first_line("due", "--within", "400d")
assert shown.lead.startswith("%d LATE, oldest %d days" % (len(days), days[0])), shown.lead
cards = [words for words in shown.words if words.startswith("LATE by ") and "," in words]
assert [int(re.search(r"by (\d+)", words)[1]) for words in cards] == days, cards
for item, card in zip(due["items"], shown.cards):  # each clock has its fields, as in JSON
    assert card["asked for"] == item["text"] and card["clock"] == item["clock"] and card["next"] == item["next"], (item, card)
    assert item["opened_by"] in card["opened"] and (item["rule"] or "no rule of the packs") in card["rule"], (item, card)
    assert item["kind_in_words"] in card[""] and item["subject"] in card[""] and (item["due_on"] or "no day") in card[""], (item, card)
shown = first_line("list", "exceptions")
exceptions = b.json("list", "exceptions", now=THEN)
assert exceptions["number_over"] == 1 and exceptions["number_of_exceptions"] == len(exceptions["items"]) == len(shown.cards) > 1
assert shown.title == "%d exceptions" % len(shown.cards) and shown.lead.startswith("1 OVER its limit"), shown.lead
assert exceptions["items"][0]["check"] == "fill-limit" and shown.cards[0][""].startswith("RC-01, OVER its limit, E"), shown.cards
for item, card in zip(exceptions["items"], shown.cards):
    plain = {key: (item[key] or "").replace("80-percent-at-77F", "80 % liquid at 77 F") for key in ("text", "seen", "expected", "next")}
    assert (card["what"], card["seen"], card["expected"], card["next"]) == tuple(plain.values()), (item, card)
    assert card["finding"] == item["finding"] and item["kind_in_words"] in card[""] and item["check"] not in card[""], card
inventory = b.json("report", "inventory", now=THEN)
shown = first_line("report", "inventory")
assert shown.lead == "1 cylinder OVER, 1 out of test; %.2f lb in 3 cylinders" % inventory["net_lb"], shown.lead
assert (inventory["number_over"], inventory["number_out_of_test"]) == (1, 1)
codes = [words for words in shown.words if re.fullmatch(r"RC-\d+", words)]
assert codes[:2] == ["RC-01", "RC-09"] and "OVER its limit by 9.70 lb" in shown.text, codes
appliance = b.json("report", "appliance", "OAK/RACK-A", now=THEN)
shown = first_line("report", "appliance", "OAK/RACK-A")
assert appliance["number_late"] == 3 and shown.lead.startswith("3 LATE, oldest 79 days; leak rate 608.3 % on 2026-03-11, OVER its threshold of 20 %"), shown.lead
assert abs(appliance["leak_rate_percent"] - 150 / 900 * 365 / 10 * 100) < 1e-3
assert first_line("report", "cylinder", "RC-01").lead.startswith("OVER its limit by 9.70 lb; 51.50 lb of R-448A")
assert first_line("report", "cylinder", "RC-09").lead.startswith("DO NOT FILL; ")
assert "; room " in first_line("report", "cylinder", "RC-02").lead
assert first_line("report", "site", "OAK", "--year", "2026").lead == "3 LATE, oldest 79 days; added 158.00 lb of R-448A"
assert first_line("report", "job", "2207").lead == "51.50 lb recovered; 1 exception, 1 OVER its limit"
assert first_line("books").lead == "this one" and first_line("circuit", "show", "OAK/RACK-A/4").lead.startswith("R-448A; ")
year = b.json("report", "year", "2026", now=THEN)
shown = page("report", "year", "2026", now=THEN)
by_owner = {}
for line in year["losses"]:
    by_owner[line["owner"]] = by_owner.get(line["owner"], 0) + line["material_loss_lb"]
assert {row["owner"]: row["material_loss_lb"] for row in year["lost_by_owner"]} == {o: m for o, m in by_owner.items() if m}, year["lost_by_owner"]
assert shown.lead.startswith("lost %.2f lb of %s (" % (year["lost_by_owner"][0]["material_loss_lb"], year["lost_by_owner"][0]["owner"])), shown.lead
assert year["additions_over"] == 1 and "1 addition OVER its threshold" in shown.lead, shown.lead
assert "not a statement that a rule is met" not in shown.lead and "not a statement that a rule is met" in shown.words[-3], shown.words[-4:]
assert " ".join(b.ok("report", "year", "2026", now=THEN).stdout.split()).startswith("2026, Fernhollow Refrigeration: " + shown.lead)
b = week

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
assert len(moved) > 2 and shown.tables and shown.pictures == len(moved) + 1, (moved, shown.pictures)  # one of the stock
assert shown.text.count("Stock by gas in 2026") == 1 and not re.search(r"(?<!\d)0\.00", shown.text.split("Gas in cylinders")[1].split("charge before")[0])
for (gas, place, term), count in terms.items():
    joint = count + (terms.get((gas, place, "charged"), 0) if term == "reused" else 0)
    pounds = abs(joint) / 362_873_896_000
    told = [words for words in shown.words if words.startswith(gas + ": ")]
    assert len(told) == 1, (gas, told)
    said = [float(figure) for figure in re.findall(r"([0-9.]+) lb", told[0])]
    if count and term != "charged":
        assert any(abs(figure - pounds) < 0.0051 for figure in said), (gas, place, term, pounds, told)
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
    for figure in set(re.findall(r"(\d+\.\d+) lb", text)):
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
for words in (["room", "--for", "5lb", "--refrigerant", "R-448A"], ["weigh", "RC-02", "--gross", "35.55lb"], ["check"], ["pt", "R-22", "--about"]):
    done = b.run(*words, "--format", "html", now=NOW)
    assert done.returncode == 2 and "no page of this for a browser" in done.stderr and "expected text|json|csv." in done.stderr, (words, done)
assert b.digest() == before

# --- --file: its ending says the format; a format that the page does not have leaves no file, and is told with those that it has ---
folder = b.folder


def file(name):
    return os.path.join(folder, name)


for words in (("why", "fill-limit/RC-03/E69"), ("due",), ("pt", "R-448A"), ("circuit", "show", "OAK/RACK-A/4"), ("books",), ("report", "job", "4102")):
    for ending in ("html", "json", "csv", "txt"):
        path = file("-".join(words).replace("/", ".") + "." + ending)
        b.ok(*words, "--file", path, now=NOW)
        asked = [] if ending == "txt" else ["--format", ending]
        assert open(path).read() == b.ok(*words, *asked, now=NOW).stdout, path
        assert b.run(*words, "--file", path, now=NOW).returncode == 1 and open(path).read(), "never over another file"
for words, ending, formats in ((("why", "fill-limit/RC-03/E69"), "xlsx", "text|json|csv|html"), (("pt", "R-448A"), "xlsx", "text|json|csv|html"),
                               (("pt", "R-448A", "--about"), "html", "text|json|csv"), (("report", "truck", "truck-1"), "xlsx", "text|json|csv|html")):
    path = file("refused." + ending)
    for asked in ([], ["--format", ending]):
        done = b.run(*words, *asked, "--file", path, now=NOW)
        assert done.returncode == 2 and "seen %s; expected %s." % (ending, formats) in done.stderr and not os.path.exists(path), (words, done.stderr)
assert b.run("report", "cylinder", "RC-0", "--file", file("none.html"), now=NOW).returncode == 1 and not os.path.exists(file("none.html"))
# pages: refused before one is written
done = b.run("pages", "--to", file("folder"), "--format", "xlsx", now=NOW)
assert done.returncode == 2 and not os.path.exists(file("folder")), done
print("pages for a browser: whole, self-contained, and the figures of the text")
