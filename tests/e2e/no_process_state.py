"""Neither the refrigerants nor the rule packs keep anything for the whole program that could change: what a file brings
belongs to the Catalogue or Rulebook that read it. By the archives: each object of these rooms in memory that can be
written is a constant that is filled once, `static const` or `constexpr` in its source."""
import glob
import os
import re
import subprocess

from book import SOURCE

LIB = os.path.join(os.environ["TAREBOOK_BUILD"], "lib")
WRITABLE = re.compile(r"^\.(bss|data|tbss|tdata)(?!\.rel\.ro)")


def sources_of(room):
    files = glob.glob(os.path.join(SOURCE, "lib", room, "*.?pp")) + glob.glob(os.path.join(LIB, room, "*.cpp"))
    files += glob.glob(os.path.join(SOURCE, "lib/include/tarebook", room, "*.hpp"))
    assert len(files) > 10, files
    return "\n".join(open(path, encoding="utf-8").read() for path in files)


def objects_of(room):
    """The names of our objects in writable memory: of Catalogue::find(...)::compiled the last word."""
    told = subprocess.run(["objdump", "-t", "-C", os.path.join(LIB, "libtarebook_%s.a" % room)], check=True,
                          capture_output=True, text=True).stdout
    assert "tarebook::" in told, "no symbols of ours in the archive of " + room
    for line in told.splitlines():
        found = re.match(r"[0-9a-f]+ .{7} (\S+)\s+[0-9a-f]+\s+(?:\.\w+ )?(.*)$", line)
        if not found or not WRITABLE.match(found[1]) or "tarebook::" not in found[2]:
            continue
        if found[2].startswith("guard variable for "):
            continue
        name = re.sub(r"\[abi:\w+\]$", "", found[2])
        yield re.search(r"(\w+)$", name)[1]


def changeable(names, text):
    constant = r"(?:\b(?:static const|constexpr|constinit const)|^const)\b[^;=({]*[\s&*>]%s\b"
    return sorted(name for name in names if not re.search(constant % re.escape(name), text, re.M))


# The look itself: it takes a constant, and finds what is none.
assert changeable(["index", "packs"], "static const std::map<int, int> index = 1; static std::deque<int> packs;") == ["packs"]
seen = 0
for room in ("refrigerant", "rules"):
    names = set(objects_of(room))
    seen += len(names)
    left = changeable(names, sources_of(room))
    assert not left, "lib/%s keeps for the whole program, and not as a constant: %s" % (room, ", ".join(left))
assert seen > 5, seen  # such as the index of designations, and each compiled pack
print("%d constants that are filled once; nothing else of the catalogue and the rule packs lasts beyond its value" % seen)
