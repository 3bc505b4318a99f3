"""First screens and reports, compared with fixtures/pages, and what people see most at 44, 80 and 120 columns, with
fixtures/pages/widths; README's picture of a page and of a label. `golden_pages.py --update` writes them anew."""
import difflib
import os
import re
import shutil
import subprocess
import sys
import xml.etree.ElementTree as xml

from book import SOURCE, Book, demo

PAGES = os.path.join(SOURCE, "fixtures", "pages")
NOW = "2026-06-08T14:00:00Z"
week = demo(Book(start=False))


def copy_of_week():
    book = Book(start=False)
    shutil.copytree(week.folder, book.folder, dirs_exist_ok=True)
    return book


b = copy_of_week()
# Read pages are taken of the demo week; recorded ones are made here, in this order.
COMMANDS = {
    "room": ["room", "RC-01"],
    "room-figures": ["room", "--refrigerant", "R-404A", "--wc", "47.6lb", "--tare", "27.5lb", "--gross", "33.8lb"],
    "room-could-be": ["room", "--could-be", "R-22,R-404A", "--wc", "123lb", "--tare", "57.4lb"],
    "circuit-show": ["circuit", "show", "OAK/RACK-A/4"],
    "report-cylinder": ["report", "cylinder", "RC-02"],
    "report-job": ["report", "job", "4102"],
    "report-appliance": ["report", "appliance", "OAK/RACK-A"],
    "report-site": ["report", "site", "OAK", "--year", "2026"],
    "report-inventory": ["report", "inventory"],
    "list-exceptions": ["list", "exceptions"],
    "check": ["check"],
    "site-list": ["site", "list"],
    "appliance-show": ["appliance", "show", "OAK/RACK-A"],
    "after-receive": ["receive", "R-448A", "2x25lb", "--from", "Harlan Supply", "--first-id", "J-301"],
    "after-recover": ["recover", "--circuit", "OAK/RACK-A/12", "--into", "RC-04", "--before", "28.25lb", "--after", "40.75lb",
                      "--job", "4110", "--by", "ana", "--vacuum", "10inHg", "--held", "5", "--drier", "yes"],
    "after-reuse": ["reuse", "--circuit", "OAK/RACK-A/12", "--from", "RC-04", "--before", "40.75lb", "--after", "29.00lb",
                    "--job", "4110", "--by", "ana"],
    "after-charge": ["charge", "--circuit", "OAK/RACK-A/12", "--from", "J-301", "--net", "3.25lb", "--job", "4110", "--by", "ana"],
    "after-weigh": ["weigh", "RC-05", "--gross", "37.25lb", "--by", "ana"],
    "after-release": ["release", "--circuit", "DAIRY/ICE/1", "--mass", "0.5lb", "--method", "estimate", "--why", "hose burst"],
    "after-return": ["return", "RC-06", "--to", "Larkfield Reclaim", "--gross", "32.25lb"],
    "after-count-begin": ["count", "begin", "--place", "truck-1", "--by", "ana"],
    "after-count-weigh": ["count", "weigh", "SC-02", "--gross", "136.75lb", "--cap", "on", "--by", "ana"],
    "after-count-missing": ["count", "missing", "RC-01", "--by", "ana"],
    "after-count-close": ["count", "close", "--by", "ana", "--second-person", "tom", "--reason", "SC-02=hose left open"],
    "refused-overfill": ["recover", "--circuit", "OAK/RACK-A/12", "--into", "RC-04", "--before", "29.00lb", "--after", "75.00lb"],
    "refused-other-refrigerant": ["recover", "--circuit", "DAIRY/ICE/1", "--into", "RC-04", "--before", "29.00lb", "--after", "31.00lb"],
    "refused-other-owner": ["reuse", "--circuit", "DAIRY/ICE/1", "--from", "RC-02", "--before", "35.55lb", "--after", "33.00lb"],
}


def plain(text):
    text = re.sub(r"\b[0-9a-f]{64}\b", "<digest>", text)
    return re.sub(r"\b[0-9a-f]{8,63}\b", "<hex>", text)


os.makedirs(PAGES, exist_ok=True)
bad = 0
for units in ("lb", "kg"):
    for name, words in COMMANDS.items():
        if units == "kg" and name.startswith(("after-", "refused-")):
            continue  # recorded once: below, the same events as pages in kg
        done = b.run("--units", units, *words, now=NOW)
        page = plain("$ tarebook %s\n%s%s(exit %d)\n" % (" ".join(words), done.stdout, done.stderr, done.returncode))
        file = os.path.join(PAGES, "%s.%s.txt" % (name, units))
        if "--update" in sys.argv:
            open(file, "w").write(page)
            continue
        want = open(file).read() if os.path.exists(file) else ""
        if want != page:
            bad += 1
            sys.stdout.writelines(difflib.unified_diff(want.splitlines(True), page.splitlines(True), file, "now"))
# the recorded screens in kg, on a second copy of the week
k = copy_of_week()
for name, words in COMMANDS.items():
    if not name.startswith(("after-", "refused-")):
        continue
    done = k.run("--units", "kg", *words, now=NOW)
    page = plain("$ tarebook %s\n%s%s(exit %d)\n" % (" ".join(words), done.stdout, done.stderr, done.returncode))
    file = os.path.join(PAGES, "%s.kg.txt" % name)
    if "--update" in sys.argv:
        open(file, "w").write(page)
    elif (open(file).read() if os.path.exists(file) else "") != page:
        bad += 1
        print("differs:", file)
# what people see most, at three widths; recorded screens on a copy of the week each
WIDTHS = (44, 80, 120)
WIDE = {
    "help": ["--help"],
    "recover-help": ["recover", "--help"],
    "inventory": ["report", "inventory"],
    "due": ["due", "--within", "60d"],
    "room": ["room", "RC-01"],
    "site": ["report", "site", "OAK", "--year", "2026"],
    "appliance": ["report", "appliance", "OAK/RACK-A"],
    "cylinder": ["report", "cylinder", "RC-02"],
    "job": ["report", "job", "4102"],
    "exceptions": ["list", "exceptions"],
    "first-screen": [],
    "year": ["report", "year", "2026"],
    "stock": ["report", "stock"],
    "truck": ["report", "truck", "truck-1"],
    "invoice": ["report", "invoice", "4102"],
    "books": ["books"],
    "retention": ["report", "retention"],
    "circuit": ["circuit", "show", "OAK/RACK-A/4"],
    "why": ["why", "fill-limit/RC-03/E69"],
    "refusal": COMMANDS["refused-overfill"],
    "recover": COMMANDS["after-recover"],
    "recover-mixed": ["recover", "--circuit", "DAIRY/ICE/1", "--into", "RC-01", "--before", "29.00lb", "--after", "31.00lb",
                                 "--anyway", "the hoses were on the wrong rack"],
}
PLAIN_RECOVERY = {44: 14, 80: 8}  # the most lines that a plain recovery answers with
os.makedirs(os.path.join(PAGES, "widths"), exist_ok=True)
copies = {width: copy_of_week() for width in WIDTHS}
for name, words in WIDE.items():
    for width in WIDTHS:
        book = copies[width]
        done = subprocess.run([book.binary, *words], env=dict(book.env(NOW), COLUMNS=str(width)), stdin=subprocess.DEVNULL,
                              capture_output=True, text=True)
        page = plain("$ COLUMNS=%d tarebook %s\n%s%s(exit %d)\n" % (width, " ".join(words), done.stdout, done.stderr, done.returncode))
        file = os.path.join(PAGES, "widths", "%s.%d.txt" % (name, width))
        if name == "recover" and width in PLAIN_RECOVERY:
            assert len(done.stdout.splitlines()) <= PLAIN_RECOVERY[width], done.stdout
        if "--update" in sys.argv:
            open(file, "w").write(page)
        elif (open(file).read() if os.path.exists(file) else "") != page:
            bad += 1
            print("differs:", file)


def picture_of(page, width, height):
    """A page for a browser as one drawing, which README can show: its style and its main part, in the letters of the machine
    that shows it."""
    style = page[page.index("<style>") + 7:page.index("</style>")]
    style = re.sub(r"(?m)^body\{", ".page{", style).replace("\nsvg{", "\n.page svg{")
    style += ".page{margin:0;max-width:none;height:%dpx;overflow:hidden}" % height
    main = page[page.index("<main>"):page.index("</main>") + 7].replace("<br>", "<br/>")
    main = main.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ')
    return ('<svg xmlns="http://www.w3.org/2000/svg" width="%d" height="%d" viewBox="0 0 %d %d">\n<style>%s</style>\n'
            '<foreignObject x="0" y="0" width="%d" height="%d">\n<div xmlns="http://www.w3.org/1999/xhtml" class="page">\n%s\n</div>\n'
            "</foreignObject>\n</svg>\n") % (width, height, width, height, style, width, height, main)


for name, drawing in (("page", picture_of(week.ok("report", "cylinder", "RC-02", "--format", "html", now=NOW).stdout, 900, 1110)),
                      ("label", week.ok("label", "RC-02", "--svg", now=NOW).stdout)):
    drawing = re.sub(r"(head E\d+ )[0-9a-f]{8}\b", r"\g<1>0123abcd", drawing)  # a book made anew has other digests
    root = xml.fromstring(drawing)
    assert root.tag.endswith("}svg") and not re.search(r"<script|(?:href|src)=", drawing), name
    assert "RC-02" in "".join(root.itertext()), name
    file = os.path.join(PAGES, name + ".svg")
    if "--update" in sys.argv:
        open(file, "w").write(drawing)
    elif (open(file).read() if os.path.exists(file) else "") != drawing:
        bad += 1
        print("differs:", file)
    assert "(fixtures/pages/%s.svg)" % name in open(os.path.join(SOURCE, "README.md")).read(), name
files = sorted(os.path.join(folder, name) for folder, _, names in os.walk(PAGES) for name in names)
for file in files:
    assert not re.search(r"\bsafe\b", open(file).read().lower()), file + " says that something is safe"
assert bad == 0, "%d pages differ" % bad
print("golden pages: %d agree" % len(files))
