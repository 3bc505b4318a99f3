"""Two processes that record at once lose nothing, and the chain stays one."""
import subprocess

from book import BIN, Book

b = Book().small_register()
each = 20
scripts = []
for who, cylinder in (("a", "RC-01"), ("b", "RC-02")):
    line = 'i=0; while [ $i -lt %d ]; do "%s" weigh %s --gross 28.%s0lb --own-id %s$i >/dev/null || [ $? = 4 ] || exit 1; i=$((i+1)); done'
    scripts.append(subprocess.Popen(["sh", "-c", line % (each, BIN, cylinder, "2" if who == "a" else "1", who)],
                                    env=b.env("2026-06-01T15:00:00Z"), stdin=subprocess.DEVNULL))
assert [p.wait() for p in scripts] == [0, 0]
check = b.json("check")
assert check["ok"] is True, check
for cylinder in ("RC-01", "RC-02"):
    weighings = [e for e in b.json("report", "cylinder", cylinder)["events"] if e["kind"] == "weigh"]
    assert len(weighings) == each, (cylinder, len(weighings))
print("two writers: %d events each, all there" % each)
