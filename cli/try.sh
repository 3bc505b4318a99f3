#!/bin/sh
# Installs what is missing, builds, and runs a whole week of the demo shop (fixtures/demo-shop.sh).
set -eu
cd "$(dirname "$0")/.."
. cli/packages.sh
install_missing $build_packages

build=build/try
# -Og: built in half of the time of a release, and as quick for a week's book
cmake -S . -B "$build" -G Ninja -DCMAKE_BUILD_TYPE=Release "-DCMAKE_CXX_FLAGS_RELEASE=-Og -DNDEBUG" -DTAREBOOK_TESTS=OFF \
      -DTAREBOOK_UNITY=ON -DTAREBOOK_PCH=ON >/dev/null
cmake --build "$build" --target tarebook_cli
TAREBOOK_BIN=$PWD/$build/cli/tarebook
folder=$(mktemp -d "${TMPDIR:-/tmp}/tarebook-demo.XXXXXX")
TAREBOOK=$folder/demo.tarebook
export TAREBOOK_BIN TAREBOOK

say() { printf '\n=== %s ===\n' "$1"; }
shown() { printf '\n$ tarebook'; for word in "$@"; do case $word in *" "*|"") printf " '%s'" "$word";; *) printf ' %s' "$word";; esac; done; printf '\n'; }
run() {
    shown "$@"; code=0; "$TAREBOOK_BIN" "$@" || code=$?
    case $code in 0|4) ;; *) echo "the demo stopped: exit $code"; exit 1 ;; esac
}
refuse() {
    shown "$@"; code=0; "$TAREBOOK_BIN" "$@" || code=$?
    [ "$code" -eq 1 ] || { echo "the demo stopped: this should have been refused (exit $code)"; exit 1; }
}
# The week is told by its days, so that the clock is set: the program that is given out does that for practice books alone.
demo_start=--practice
. fixtures/demo-shop.sh

say "The truck is counted against the scale: one cylinder is short, one is not there"
clock 2026-06-06T20:00:00Z
run count begin --place truck-1 --by ana
run count weigh RC-02 --gross 34.05 --scale S1 --by ana
run count missing RC-01 --by ana
run count close --by ana --second-person Tom --reason RC-02="hose left open on Friday"

say "The reports"
run report job 4102
run report site OAK --year 2026
run report cylinder RC-01
run report inventory
run list exceptions
run check

say "The first screen of the next day: tarebook alone"
clock 2026-06-08T12:00:00Z
run

cat <<TEXT

The book of this week is $TAREBOOK. Type next:
  export TAREBOOK=$TAREBOOK PATH=$PWD/$build/cli:\$PATH
  tarebook                                  the first screen of the day
  tarebook room RC-04                       how much still fits
  tarebook room --for 62lb --refrigerant R-448A
                                            which cylinders take that
  tarebook circuit show OAK/RACK-A/4        what to close, and the vacuum needed
  tarebook report truck truck-1             what rides there
  tarebook report appliance OAK/RACK-A      additions and leak rates
  tarebook report site DAIRY --year 2026    a site's year
  tarebook --help                           all commands
or begin your own:  tarebook --book my.tarebook start --company "My shop"
TEXT
