"""Everything that the environment can set stands in the man page, and the man page names nothing else; each setting of a
configuration stands there, too."""
import glob
import os
import re

from book import SOURCE, Book

asked = {}
for room in ("cli", "lib"):
    for path in glob.glob(os.path.join(SOURCE, room, "**", "*.[ch]*"), recursive=True):
        with open(path, encoding="utf-8") as f:
            text = f.read()
        # Through getenv, or a function of ours that hands a name to it.
        for name in re.findall(r'(?:getenv|set_in_environment|passphrase_set)\(\s*"([A-Z_]+)"', text):
            asked.setdefault(name, path)
        calls = len(re.findall(r"\bgetenv\(", text))
        named = len(re.findall(r'\bgetenv\(\s*"', text))
        through = len(re.findall(r"\bgetenv\((?:name|variable)\)", text))
        assert calls == named + through, "a name that this test does not see: " + path
assert "HOME" in asked and "TAREBOOK" in asked and "TAREBOOK_PASSPHRASE" in asked, asked

man = Book(start=False).ok("man").stdout
section = man[man.index(".SH ENVIRONMENT"):man.index(".SH FILES")]
told = {name for line in re.findall(r"\.TP\n([A-Z_, ]+)\n", section) for name in line.split(", ")}
assert set(asked) <= told, ("not in the man page", {n: asked[n] for n in set(asked) - told})
assert told <= set(asked), ("nothing asks for it", told - set(asked))

with open(os.path.join(SOURCE, "cli", "config.cpp"), encoding="utf-8") as f:
    settings = re.findall(r'\{"([a-z]+)", &Config::', f.read())
files = man[man.index(".SH FILES"):]
assert len(settings) > 5 and not [s for s in settings if not re.search(r"\b%s = " % s, files)], settings
print("environment: %d names and %d settings stand in the man page" % (len(asked), len(settings)))
