"""A room of lib/ calls no room that it does not name, directly or through those that it names: by the symbols of the
archives, where the order of a linker's command line cannot hide it; and by what its public headers include."""
import os
import re
import subprocess

from book import SOURCE

LIB = os.path.join(os.environ["TAREBOOK_BUILD"], "lib")
uses = {}
with open(os.path.join(LIB, "rooms.txt")) as f:
    for line in f:
        room, *named = line.split()
        uses[room] = named
assert len(uses) > 10 and uses["units"] == [], uses


def reached(room):
    return {room}.union(*(reached(other) for other in uses[room]))


defined, wanted = {}, {}  # symbol: the rooms that have it; room: the symbols that it lacks
for room in uses:
    told = subprocess.run(["nm", "--format=posix", os.path.join(LIB, "libtarebook_%s.a" % room)], check=True,
                          capture_output=True, text=True).stdout
    has, lacks = set(), set()
    for line in told.splitlines():
        words = line.split()
        if len(words) >= 2 and "tarebook" in words[0]:
            (lacks if words[1] == "U" else has).add(words[0])
    for symbol in has:
        defined.setdefault(symbol, set()).add(room)
    wanted[room] = lacks - has
calls = 0
for room, lacks in wanted.items():
    below = reached(room)
    for symbol in lacks:
        homes = defined.get(symbol, set())
        assert homes, "%s wants %s, which no room has" % (room, symbol)
        assert homes & below, "%s calls %s of %s, and names only %s" % (room, symbol, sorted(homes), sorted(below - {room}))
        calls += 1
assert calls > 300, calls
arrows = 0
PUBLIC = os.path.join(SOURCE, "lib/include/tarebook")
for room in uses:
    for name in os.listdir(os.path.join(PUBLIC, room)):
        with open(os.path.join(PUBLIC, room, name), encoding="utf-8") as f:
            for other in re.findall(r'#include "tarebook/(\w+)/', f.read()):
                assert other in reached(room), "tarebook/%s/%s includes a header of %s" % (room, name, other)
                arrows += 1
assert arrows > 100, arrows
print("%d rooms, %d calls between them, none upward" % (len(uses), calls))
