"""The public headers from outside: each compiles alone, without a warning, and reaches nothing but the standard library,
tl::expected and one another: no SQLite, YAML or JSON library comes with the API.

A compiler takes half a second for the standard headers of one file alone. So they are precompiled, all of them, and that
a header includes what it uses of them is looked at in its text."""
import concurrent.futures
import datetime as dt
import os
import re
import subprocess
import tempfile

from book import SOURCE

FOLDERS = [os.path.join(SOURCE, "lib/include"), os.path.join(os.environ["TAREBOOK_BUILD"], "lib/include")]
headers = {}
for folder in FOLDERS:
    for top, _, files in os.walk(os.path.join(folder, "tarebook")):
        for name in files:
            with open(os.path.join(top, name), encoding="utf-8") as f:
                headers[os.path.relpath(os.path.join(top, name), folder)] = f.read()
assert len(headers) > 50 and "tarebook/version.hpp" in headers, sorted(headers)
bad = []

# What each includes, and what that includes.
includes = {name: re.findall(r'^\s*#\s*include\s*[<"]([^>"]+)[>"]', text, re.M) for name, text in headers.items()}


def reached(name, seen):
    for other in includes.get(name, []):
        if other not in seen:
            seen.add(other)
            reached(other, seen)
    return seen


EVERY = "tarebook/tarebook.hpp"
missing = set(headers) - {EVERY} - set(includes[EVERY])
assert not missing, "%s leaves out %s" % (EVERY, sorted(missing))
STANDARD = re.compile(r"^[a-z_]+$")  # <vector>, without folder or ending
for name in headers:
    for other in reached(name, set()):
        if not (STANDARD.match(other) or other == "tl/expected.hpp" or other in headers):
            bad.append("%s reaches <%s>" % (name, other))
    code = re.sub(r"//.*", "", headers[name])
    for word in ("sqlite", "SQLite", "YAML", "yaml_", "nlohmann", "json::", "fmt::", "CLI::", "sodium", "lxw_", "date::"):
        if word in code:
            bad.append("%s names %s" % (name, word))

# The standard header of each name that is used.
HOME = {"string": "string", "string_view": "string_view", "optional": "optional", "nullopt": "optional", "vector": "vector",
        "map": "map", "multimap": "map", "set": "set", "span": "span", "array": "array", "variant": "variant", "function": "functional",
        "chrono": "chrono", "unique_ptr": "memory", "shared_ptr": "memory", "filesystem": "filesystem", "unordered_map": "unordered_map",
        "runtime_error": "stdexcept", "int64_t": "cstdint", "uint64_t": "cstdint", "int32_t": "cstdint", "uint32_t": "cstdint",
        "uint8_t": "cstdint", "size_t": "cstddef", "bit_cast": "bit", "tuple": "tuple", "strong_ordering": "compare", "move": "utility",
        "pair": "utility", "sort": "algorithm", "lower_bound": "algorithm"}
BRINGS = {"utility": {"map", "string", "vector", "variant", "memory", "optional"},  # each of them must declare it
          "cstddef": {"string", "string_view", "vector", "array", "span"}}
for name, text in headers.items():
    code = re.sub(r"//.*", "", text)
    have = reached(name, set())
    for used in set(re.findall(r"\bstd::([a-z_0-9]+)", code)):
        home = HOME.get(used)
        if home and home not in have and not (BRINGS.get(home, set()) & have):
            bad.append("%s uses std::%s and includes no <%s>" % (name, used, home))

# Each alone. A header that another one includes before all others of ours is alone there, too: it needs no compiler of
# its own.
first_of = {next((i for i in list_ if i in headers), None) for name, list_ in includes.items() if name != EVERY}
compiled = sorted(name for name in headers if name not in first_of)
assert len(compiled) > 10
SAMPLE = 12  # one in so many, other ones each day; by hand all
if os.environ.get("TAREBOOK_HEADERS") != "all":
    compiled = [EVERY] + [name for n, name in enumerate(compiled) if n % SAMPLE == dt.date.today().toordinal() % SAMPLE and name != EVERY]
with open(os.path.join(os.environ["TAREBOOK_BUILD"], "CMakeCache.txt")) as f:
    compiler = re.search(r"^CMAKE_CXX_COMPILER:[A-Z]+=(.*)$", f.read(), re.M).group(1)
with tempfile.TemporaryDirectory(prefix="tarebook-headers-") as work:
    standard = sorted({i for list_ in includes.values() for i in list_ if STANDARD.match(i)})
    with open(work + "/standard.hpp", "w") as f:
        f.writelines("#include <%s>\n" % i for i in standard + ["tl/expected.hpp"])
    flags = [compiler, "-std=c++20", "-Wall", "-Wextra", "-Wpedantic", "-Wconversion", "-Wshadow", "-Werror"]
    flags += ["-I" + folder for folder in FOLDERS]
    subprocess.run(flags + ["-x", "c++-header", work + "/standard.hpp", "-o", work + "/standard.hpp.gch"], check=True)

    def alone(name):
        path = "%s/%s.cpp" % (work, name.replace("/", "_"))
        with open(path, "w") as f:
            f.write("#include <%s>\n#include <%s>\n" % (name, name))  # twice: it must guard itself
        done = subprocess.run(flags + ["-include", work + "/standard.hpp", "-fsyntax-only", path], capture_output=True, text=True)
        return "" if done.returncode == 0 else "%s does not compile alone:\n%s" % (name, done.stderr[:2000])

    with concurrent.futures.ThreadPoolExecutor(2) as pool:
        bad += [told for told in pool.map(alone, compiled) if told]
assert not bad, "\n".join(bad)
print("public headers: %d read, %d compiled alone (TAREBOOK_HEADERS=all: each)" % (len(headers), len(compiled)))
