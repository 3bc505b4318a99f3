"""Two builds of the same tree give the same bytes: the tree is built once more, under another name in another folder, with
another umask, time zone, language and home, without ccache, and its packages are held to those that lie in BUILD.

    sh cli/package/make.sh deb && sh cli/package/make.sh folder
    python3 tests/package/again.py [BUILD]      # BUILD: build/package, made of the tree as it is now

By hand, not in CI: a release build, ten minutes of CPU. KEEP names a folder where the second tree stays, to be built
on."""
import filecmp
import glob
import hashlib
import os
import shutil
import subprocess
import sys
import tempfile
import time

SOURCE = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
BUILD = os.path.abspath(sys.argv[1] if len(sys.argv) > 1 else os.path.join(SOURCE, "build/package"))
os.umask(0o077)
kept = os.environ.get("KEEP")
WORK = kept or tempfile.mkdtemp(prefix="tarebook-once-more-")
tree = WORK + "/another-name/of-a-tree"
home = WORK + "/home"
for folder in (tree, home):
    os.makedirs(folder, exist_ok=True)
names = subprocess.run(["git", "ls-files", "-z"], cwd=SOURCE, capture_output=True, check=True).stdout.decode().split("\0")
for file in filter(None, names):
    os.makedirs(os.path.dirname(os.path.join(tree, file)), exist_ok=True)
    if not os.path.exists(os.path.join(tree, file)) or not filecmp.cmp(os.path.join(SOURCE, file), os.path.join(tree, file), shallow=False):
        shutil.copyfile(os.path.join(SOURCE, file), os.path.join(tree, file))  # bytes alone: modes and times are of now
built = {os.path.basename(path): path for path in glob.glob(BUILD + "/*.deb") + glob.glob(BUILD + "/*.tar.xz")}
assert len([name for name in built if name.endswith(".deb")]) == 2, "%s has no two packages" % BUILD
other = dict(os.environ, HOME=home, TZ="Pacific/Auckland", LC_ALL="C", LANG="C", CCACHE_DISABLE="1", TMPDIR=home)
for name in ("SOURCE_DATE_EPOCH", "TAREBOOK", "TAREBOOK_NOW", "BUILD"):
    other.pop(name, None)
before, wall = os.times(), time.time()
for what in ["deb"] + ["folder"] * any(name.endswith(".tar.xz") for name in built):
    subprocess.run(["sh", "cli/package/make.sh", what], cwd=tree, env=other, check=True, stdout=subprocess.DEVNULL)
after = os.times()
cost = after.children_user + after.children_system - before.children_user - before.children_system
differ = []
for name, path in sorted(built.items()):
    digests = []
    for each in (path, os.path.join(tree, "build/package", name)):
        with open(each, "rb") as f:
            digests.append(hashlib.sha256(f.read()).hexdigest())
    print("%s  %s  %s" % (digests[0][:16], digests[1][:16], name))
    differ += [name] * (digests[0] != digests[1])
if differ and shutil.which("diffoscope"):
    subprocess.run(["diffoscope", built[differ[0]], os.path.join(tree, "build/package", differ[0])])
if not kept:
    shutil.rmtree(WORK)
assert not differ, "built twice, and differs: " + ", ".join(differ)
print("again: %d files have the same bytes; the second build took %.0f s of CPU, %.0f s in all" % (len(built), cost, time.time() - wall))
