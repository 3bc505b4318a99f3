#!/bin/sh
# Fuzzing by libFuzzer (clang), with AddressSanitizer and UndefinedBehaviorSanitizer.
#   fuzz.sh list             the targets
#   fuzz.sh configure ...    sets up the build of fuzz.sh build; more words go to cmake. TAREBOOK_SANITIZE=ALL: every check
#   fuzz.sh build            into build/checked, the build that tests/run.sh tests
#   fuzz.sh seconds TARGET   for how long it runs: TAREBOOK_FUZZ_SECONDS, else 1
#   fuzz.sh run TARGET       for so long, from tests/fuzz/seeds and found; new inputs are kept in
#                            build/fuzz/corpus/TARGET, an input that breaks a promise in build/fuzz/broken, and what
#                            libFuzzer says in build/fuzz/TARGET.log
# A broken promise is mended, and its input kept as tests/fuzz/found/TARGET/NAME: every test run replays it.
set -eu
cd "$(dirname "$0")/../.."
checked=build/checked
build=build/fuzz
here=tests/fuzz

configure() {
    # -g0: a sanitizer's trace names functions; for its lines give -DCMAKE_CXX_FLAGS_DEBUG=-g1, a tenth of the time more. lld: a fifth of the other linker's time for programs of this size
    cmake -S . -B "$checked" -G Ninja -DCMAKE_CXX_COMPILER=clang++ -DCMAKE_BUILD_TYPE=Debug -DCMAKE_CXX_FLAGS_DEBUG=-g0 \
          -DCMAKE_EXE_LINKER_FLAGS=-fuse-ld=lld \
          -DTAREBOOK_WERROR=ON -DTAREBOOK_SANITIZE="${TAREBOOK_SANITIZE:-ON}" -DTAREBOOK_FUZZ=ON -DTAREBOOK_TOGETHER=ON -DTAREBOOK_PCH=ON \
          -DTAREBOOK_UNITY=ON $(command -v ccache >/dev/null && echo -DCMAKE_CXX_COMPILER_LAUNCHER=ccache) "$@"
}

seconds() { # target
    echo "${TAREBOOK_FUZZ_SECONDS:-1}"
}

run() { # target
    mkdir -p "$build/corpus/$1" "$build/broken"
    folders="$build/corpus/$1 $here/seeds/$1"
    [ ! -d "$here/found/$1" ] || folders="$folders $here/found/$1"
    dictionary=
    [ ! -f "$here/$1.dict" ] || dictionary=-dict="$here/$1.dict"
    code=0
    # AddressSanitizer keeps freed memory aside, 256 MiB unless told: the limit is meant for our own memory.
    ASAN_OPTIONS=quarantine_size_mb=16 UBSAN_OPTIONS=print_stacktrace=1 \
        "$checked/tests/fuzz/fuzz_$1" $folders $dictionary -max_total_time="$(seconds "$1")" \
        -rss_limit_mb=512 -timeout=5 -max_len=4096 -print_final_stats=1 -artifact_prefix="$build/broken/$1-" \
        >"$build/$1.log" 2>&1 || code=$?
    sed -n 's/^stat::number_of_executed_units: */executions /p; s/^stat::peak_rss_mb: */peak MiB /p' "$build/$1.log"
    # libFuzzer's clock goes on while a machine stands still. What is slow by itself is slow alone, too.
    if [ "$code" -eq 70 ] && "$checked/tests/fuzz/fuzz_$1" -timeout=5 "$build/broken/$1"-timeout-* >>"$build/$1.log" 2>&1; then
        echo "cut short: the machine stood still; the input alone is quick"
        rm -f "$build/broken/$1"-timeout-*
        code=0
    fi
    [ "$code" -eq 0 ] || tail -n 40 "$build/$1.log"
    return "$code"
}

case ${1:-} in
list) sed -n 's/^tarebook_fuzz(\([a-z]*\) .*/\1/p' "$here/CMakeLists.txt" ;;
configure) shift && configure "$@" ;;
build) configure && cmake --build "$checked" --target fuzz ;;
seconds) seconds "$2" ;;
run) run "$2" ;;
*) sed -n '2,10s/^# //p' "$0"; exit 2 ;;
esac
