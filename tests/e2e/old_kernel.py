"""On kernels of 2013 and 2016: the calls that Linux got since then are answered "no such call", and a book is started,
recorded in, sent, merged, backed up and shown as pages and as a spreadsheet all the same. What has no better way on such a
kernel (a new name that replaces no file, a file in memory) takes the older one."""
import functools
import os
import platform
import subprocess
import zipfile

from book import BIN, Book
from old_calls import FIRST_LATER, as_on_kernel

if platform.machine() != "x86_64":
    raise SystemExit("left out: the numbers of the calls are those of x86_64")
new = subprocess.run(["python3", "-c", "import os; os.memfd_create('x')"], preexec_fn=functools.partial(as_on_kernel, "3.10"),
                     capture_output=True, text=True)
assert "Function not implemented" in new.stderr, new  # the filter does filter

for version in sorted(FIRST_LATER):
    b = Book(start=False)

    def old(*words, codes=(0, 4)):
        done = subprocess.run([BIN, *words], env=b.env(), stdin=subprocess.DEVNULL, capture_output=True, text=True,
                              preexec_fn=functools.partial(as_on_kernel, version))
        assert done.returncode in codes, (version, words, done.returncode, done.stdout, done.stderr)
        return done.stdout + done.stderr

    old("start", "--company", "Fernhollow Refrigeration", "--zone", "America/Chicago")
    old("site", "add", "OAK", "--owner", "Quillpost Markets")
    old("appliance", "add", "OAK/RACK-A", "--category", "commercial-refrigeration", "--refrigerant", "R-448A", "--full-charge", "900lb",
        "--charge-basis", "calculated")
    old("circuit", "add", "OAK/RACK-A/4", "--serves", "produce")
    old("cylinder", "add", "RC-01", "--use", "recovery", "--refrigerant", "R-448A", "--wc", "47.6lb", "--tare", "27.5lb", "--spec", "DOT-4BA400",
        "--tested", "2024-04")
    assert "15.75 lb recovered into RC-01" in old("recover", "--circuit", "OAK/RACK-A/4", "--into", "RC-01", "--before", "27.5lb", "--after",
                                                  "43.25lb", "--job", "2207")
    old("report", "inventory", "--file", b.folder + "/inventory.xlsx")
    with zipfile.ZipFile(b.folder + "/inventory.xlsx") as sheets:
        assert sheets.testzip() is None and b"RC-01" in sheets.read("xl/sharedStrings.xml")
    assert "File exists" in old("report", "inventory", "--file", b.folder + "/inventory.xlsx", codes=(1,))  # no file is replaced
    old("pages", "--to", b.folder + "/pages")
    assert os.path.getsize(b.folder + "/pages/index.html") > 1000
    old("backup", "--to", b.folder + "/copy.tarebook")
    old("send", "--to", b.folder + "/bundle")
    old("export", "sqlite", "--to", b.folder + "/tables.sqlite")
    assert "the book is in order" in old("check")
print("old kernel: a book, its pages, a spreadsheet, a bundle, a backup and tables as on Linux " + " and ".join(sorted(FIRST_LATER)))
