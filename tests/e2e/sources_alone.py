"""Each source file, and each header that is not public, compiles alone: CI compiles a folder's files together, so that one
of them can live by what another one includes. (The public headers have public_headers.py.)

A file alone takes a compiler two seconds. So CI looks at those that were changed last and at a share of the others, other
ones each day; TAREBOOK_ALONE=all looks at each file, TAREBOOK_ALONE="FILE ..." at those."""
import concurrent.futures
import datetime as dt
import os
import re
import subprocess

from book import SOURCE

CHANGED, SHARE = 3, 3
BUILD = os.environ["TAREBOOK_BUILD"]
# What needs more than our own headers: a fuzz target is compiled by clang alone, the example over an installed library.
ELSEWHERE = ("tests/fuzz/", "tests/example/", "tests/bench/")


def git(*words):
    done = subprocess.run(["git", "-C", SOURCE, *words], capture_output=True, text=True)
    return done.stdout.split("\n") if done.returncode == 0 else []


everything = []
for top in ("lib", "cli", "tests"):
    for folder, _, names in os.walk(os.path.join(SOURCE, top)):
        everything += [os.path.relpath(os.path.join(folder, n), SOURCE) for n in names if n.endswith((".cpp", ".hpp"))]
everything = sorted(f for f in everything if not f.startswith(("lib/include/", *ELSEWHERE)))
assert len(everything) > 500, everything

asked = os.environ.get("TAREBOOK_ALONE", "")
if asked == "all":
    files = everything
elif asked:
    files = asked.split()
else:
    last = []
    for name in git("log", "-n", "30", "--format=", "--name-only"):
        if name in everything and name not in last:
            last.append(name)
    every = -(-len(everything) // SHARE)
    day = dt.date.today().toordinal() % every
    files = sorted(set(last[:CHANGED]) | {f for n, f in enumerate(everything) if n % every == day})

with open(os.path.join(BUILD, "CMakeCache.txt")) as f:
    compiler = re.search(r"^CMAKE_CXX_COMPILER:[A-Z]+=(.*)$", f.read(), re.M).group(1)
flags = [compiler, "-std=c++20", "-fsyntax-only", "-w", "-x", "c++"]
for folder in ("lib/include", "lib", "tests", "cli"):
    flags += ["-I", os.path.join(SOURCE, folder)]
flags += ["-I", os.path.join(BUILD, "lib", "include")]
# What the build tells a file or two, as text: names of libraries that are opened when needed, places of files.
told = set()
for folder, _, names in os.walk(SOURCE):
    if os.path.relpath(folder, SOURCE).split(os.sep)[0] in ("lib", "cli", "tests"):
        for n in names:
            if n == "CMakeLists.txt" or n.endswith(".cmake"):
                with open(os.path.join(folder, n)) as f:
                    told |= set(re.findall(r'\b([A-Z][A-Z_]+)="', f.read()))
assert "TAREBOOK_SOURCE_DIR" in told and "TAREBOOK_LIBPQ" in told, told
flags += ['-D%s="a place"' % name for name in sorted(told)]
# The book on a server is there where its library's headers are.
server = subprocess.run(["pkg-config", "--cflags", "libpq"], capture_output=True, text=True)
if server.returncode == 0:
    flags += server.stdout.split()
else:
    files = [f for f in files if not f.startswith(("lib/book/server_engine.", "lib/book/pq_library."))]


def alone(name):
    done = subprocess.run([*flags, os.path.join(SOURCE, name)], capture_output=True, text=True)
    return "" if done.returncode == 0 else "%s does not compile alone:\n%s" % (name, done.stderr[:1500])


# What is to be seen is seen: a name whose header is missing.
probe = os.path.join(BUILD, "alone-probe.cpp")
with open(probe, "w") as f:
    f.write('#include "tarebook/units/mass.hpp"\nstd::multimap<int, int> nothing_includes_map;\n')
assert "multimap" in alone(probe), "a missing include is not seen"
os.unlink(probe)

with concurrent.futures.ThreadPoolExecutor(2) as pool:
    bad = [told for told in pool.map(alone, files) if told]
assert not bad, "\n".join(bad)
print("sources: %d of %d compiled alone (TAREBOOK_ALONE=all: each)" % (len(files), len(everything)))
