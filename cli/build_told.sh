#!/bin/sh
# Builds a target and says, each tenth, how far it is, and how long it usually takes. What a compiler says is shown where
# the build fails.
#     sh cli/build_told.sh BUILD-FOLDER TARGET
set -eu
build=$1
log=$build/build.log
echo "building: usually two to five minutes on two cores; what the compiler says goes to $log"
started=$(date +%s)
{
    code=0
    cmake --build "$build" --target "$2" 2>&1 || code=$?
    echo "ended with $code"
} | tee "$log" | awk -v started="$started" '
    /^\[[0-9]+\/[0-9]+\]/ {
        split(substr($1, 2), at, "[/\\]]")
        if (at[2] < 10) next  # what cmake looks at before
        tenth = int(10 * at[1] / at[2])
        if (tenth > told) {
            "date +%s" | getline now
            close("date +%s")
            printf "  built %d of %d, %d s so far\n", at[1], at[2], now - started
            fflush()
            told = tenth
        }
    }'
code=$(sed -n '$s/^ended with //p' "$log")
if [ "$code" != 0 ]; then
    grep -v '^\[' "$log" | tail -n 40
    echo "the build failed: the last lines of $log are above"
fi
exit "$code"
