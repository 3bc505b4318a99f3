"""The reference of the public headers is made without a warning, and a declaration without words ends it."""
import os
import re
import shutil
import subprocess
import sys
import tempfile

from book import SOURCE

DOXYGEN = shutil.which("doxygen")
if not DOXYGEN:
    print("reference: doxygen is not on this machine; nothing was looked at")
    sys.exit(0)
MAKE = os.path.join(SOURCE, "lib/reference/make.py")
with open(os.path.join(os.environ["TAREBOOK_BUILD"], "reference/Doxyfile"), encoding="utf-8") as f:
    settings = f.read()
made = re.search(r"^OUTPUT_DIRECTORY\s*=\s*(\S+)", settings, re.M).group(1)


def make(folder, headers):
    text = settings.replace(made, folder).replace(os.path.join(SOURCE, "lib/include"), headers)
    with open(folder + "/Doxyfile", "w", encoding="utf-8") as f:
        f.write(text)
    return subprocess.run([sys.executable, MAKE, DOXYGEN, folder + "/Doxyfile", folder], capture_output=True, text=True)


with tempfile.TemporaryDirectory(prefix="tarebook-reference-") as folder:
    headers = os.path.join(SOURCE, "lib/include")
    done = make(folder, headers)
    assert done.returncode == 0, done.stdout + done.stderr
    pages = os.listdir(folder + "/html")
    assert len(pages) > 300 and "index.html" in pages, len(pages)
    for page, words in (("classtarebook_1_1Book.html", "An open book"),
                        ("structtarebook_1_1kinds_1_1Transfer.html", "into_weighing"),
                        ("structtarebook_1_1DraftFacts.html", "the library reads no clock of its own")):
        with open(os.path.join(folder, "html", page), encoding="utf-8") as f:
            assert words in f.read(), (page, words)
    # Two builds of one tree give the same pages: none names the folder that it was made in or from.
    for page in pages:
        path = os.path.join(folder, "html", page)
        if os.path.isfile(path):
            with open(path, "rb") as f:
                held = f.read()
            assert folder.encode() not in held and SOURCE.encode() not in held, page + " names a folder of this machine"
    # One header with a function that no words serve, one with a field of a type that is told of.
    shutil.copytree(headers, folder + "/include")
    with open(folder + "/include/tarebook/units/walk.hpp", encoding="utf-8") as f:
        text = f.read()
    for planted, good in (("\nint not_told_of(int x);\n", False), ("\n/// Told of.\nstruct Told {\n    int a, b = 2;\n};\n", True),
                          ("\n/// Says <nothing> that a page can show.\nint riddle();\n", False)):
        with open(folder + "/include/tarebook/units/walk.hpp", "w", encoding="utf-8") as f:
            f.write(text.replace("\n/// What a visit answers.", planted + "\n/// What a visit answers."))
        done = make(folder, folder + "/include")
        assert (done.returncode == 0) == good, (planted, done.stdout, done.stderr)
        assert good or "not_told_of" in done.stdout or "nothing" in done.stdout, done.stdout
print("reference: %d pages without a warning" % len(pages))
