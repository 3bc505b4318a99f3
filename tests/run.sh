#!/bin/sh
# Installs what is missing, builds by two compilers with warnings as errors, one of them with sanitizers, runs every test,
# says what it cost, and closes with "N passed, N failed". Slow campaigns run small here and say so; DEVELOPERS.md says how to run them large.
set -eu
cd "$(dirname "$0")/.."
. cli/packages.sh
install_missing $build_packages doctest-dev librapidcheck-dev python3 sqlite3 clang-format python3-jsonschema
apt_options=--no-install-recommends install_missing clang libclang-rt-14-dev lld llvm librsvg2-bin zbar-tools doxygen fonts-dejavu-core fonts-liberation
# The book on a PostgreSQL server is tried on one of the tests' own; its own service need not run.
if [ "${TAREBOOK_SERVER:-}" = no ]; then
    echo "left out: the book on a server (TAREBOOK_SERVER=no)"
else
    apt_options=--no-install-recommends install_missing libpq-dev postgresql
fi
command -v node >/dev/null || apt_options=--no-install-recommends install_missing nodejs  # runs the visit form's arithmetic

passed=0
failed=0
report() { # name, exit code
    if [ "$2" -eq 0 ]; then passed=$((passed + 1)); echo "passed  $1"; else failed=$((failed + 1)); echo "FAILED  $1"; fi
}

format_is_clean() {
    git ls-files -z '*.cpp' '*.hpp' 2>/dev/null | xargs -0 -r clang-format --dry-run --Werror
}
code=0; format_is_clean || code=$?; report "clang-format" "$code"

stop() { echo "$passed passed, $failed failed"; exit 1; }
mkdir -p build

# The program and the tests of random cases by g++, whose warnings are errors here, with assertions and without
# sanitizers: for what starts thousands of processes, for many cases, and for the installed package.
plain=$PWD/build/plain
build_plain() {
    cmake -S . -B "$plain" -G Ninja -DCMAKE_CXX_COMPILER=g++ -DCMAKE_BUILD_TYPE=Debug "-DCMAKE_CXX_FLAGS_DEBUG=-Og -g0" \
          -DTAREBOOK_WERROR=ON -DTAREBOOK_PROPERTIES_ALONE=ON -DTAREBOOK_TOGETHER=ON -DTAREBOOK_PCH=ON -DTAREBOOK_UNITY=ON \
          $(command -v ccache >/dev/null && echo -DCMAKE_CXX_COMPILER_LAUNCHER=ccache) >"$plain.configure.log" 2>&1 ||
        { cat "$plain.configure.log"; return 1; }
    cmake --build "$plain"
}
code=0; build_plain || code=$?; report "plain build, g++, warnings as errors" "$code"
[ "$code" -eq 0 ] || stop

# The tests and the fuzz targets by clang, with sanitizers: half of g++'s time for it.
build=build/checked
build_checked() {
    sh tests/fuzz/fuzz.sh configure -DTAREBOOK_PLAIN="$plain" >"$build.configure.log" 2>&1 ||
        { cat "$build.configure.log"; return 1; }
    cmake --build "$build"
}
code=0; build_checked || code=$?; report "checked build, clang, warnings as errors and sanitizers" "$code"
[ "$code" -eq 0 ] || stop

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

# What it all cost: the seconds of this shell and of all that it waited for.
times >build/times
awk -F'[ms ]+' '{ s += 60 * ($1 + $3) + $2 + $4 } END { printf "%.1f minutes of CPU", s / 60 }' build/times
du -sB1000000 build | awk '{ printf ", %.2f GB of build folder\n", $1 / 1000 }'
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
