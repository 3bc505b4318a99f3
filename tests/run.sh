#!/bin/sh
# Installs what is missing, builds with warnings as errors and sanitizers, runs every test, and closes with
# "N passed, N failed". TAREBOOK_FULL=1 runs the slow campaigns at full length (see DEVELOPERS.md).
set -eu
cd "$(dirname "$0")/.."
. cli/packages.sh
install_missing $build_packages doctest-dev librapidcheck-dev python3 sqlite3 clang-format
apt_options=--no-install-recommends install_missing clang libclang-rt-14-dev llvm librsvg2-bin zbar-tools

passed=0
failed=0
report() { # name, exit code
    if [ "$2" -eq 0 ]; then passed=$((passed + 1)); echo "passed  $1"; else failed=$((failed + 1)); echo "FAILED  $1"; fi
}

format_is_clean() {
    git ls-files -z '*.cpp' '*.hpp' 2>/dev/null | xargs -0 -r clang-format --dry-run --Werror
}
code=0; format_is_clean || code=$?; report "clang-format" "$code"

# The sanitized build is clang's: half of g++'s time for it, and it serves the fuzz targets as well. g++'s own warnings
# are errors in the plain build, which is one of the tests.
build=build/checked
mkdir -p build
sh tests/fuzz/fuzz.sh configure >"$build.configure.log" 2>&1 ||
    { cat "$build.configure.log"; echo "0 passed, 1 failed"; exit 1; }
code=0; cmake --build "$build" || code=$?; report "build with warnings as errors and sanitizers" "$code"
[ "$code" -eq 0 ] || { echo "$passed passed, $failed failed"; exit 1; }

# Two at a time: there are two cores, and most tests wait for a disk.
(cd "$build" && ctest -j 2 --timeout 600 --output-on-failure) >"$build.ctest.log" 2>&1 || cat "$build.ctest.log"
for name in $(cd "$build" && ctest -N | sed -n 's/^ *Test *#[0-9]*: //p'); do
    code=1
    if grep -q "Test *#[0-9]*: $name \.* *Passed" "$build.ctest.log"; then code=0; fi
    report "$name" "$code"
done

# Fuzzing, two targets at a time; what ran is said. By hand for longer: TAREBOOK_FUZZ_SECONDS=600.
fuzz_one() { # target
    code=0; sh tests/fuzz/fuzz.sh run "$1" >"build/fuzz-$1.out" 2>&1 || code=$?
    echo "$code" >"build/fuzz-$1.code"
}
set -- $(sh tests/fuzz/fuzz.sh list)
while [ $# -gt 0 ]; do
    pair="$1 ${2:-}"
    for target in $pair; do fuzz_one "$target" & done
    wait
    for target in $pair; do
        cat "build/fuzz-$target.out"
        report "fuzz_$target, $(sh tests/fuzz/fuzz.sh seconds "$target") s" "$(cat "build/fuzz-$target.code")"
        shift
    done
done
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
