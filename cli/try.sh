#!/bin/sh
# Installs what is missing, builds, and plays a week of the demo shop (fixtures/demo-week.sh).
set -eu
cd "$(dirname "$0")/.."
. cli/packages.sh
install_missing $build_packages

build=build/try
# -Og: built in half of the time of a release, and as quick for a week's book
cmake -S . -B "$build" -G Ninja -DCMAKE_BUILD_TYPE=Release "-DCMAKE_CXX_FLAGS_RELEASE=-Og -DNDEBUG" -DTAREBOOK_TESTS=OFF \
      -DTAREBOOK_UNITY=ON -DTAREBOOK_PCH=ON >/dev/null
sh cli/build_told.sh "$build" tarebook_cli
TAREBOOK_BIN=$PWD/$build/cli/tarebook
export TAREBOOK_BIN
exec sh fixtures/demo-week.sh
