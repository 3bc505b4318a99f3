#!/bin/sh
# Builds what is given out and packs it: Release with link-time optimisation, by g++.
#     sh cli/package/make.sh deb                 build/package: tarebook_*.deb and libtarebook-dev_*.deb
#     sh cli/package/make.sh folder              build/package: tarebook-VERSION-amd64.tar.xz, for any Linux (folder.sh)
# A build takes minutes of the whole machine. BUILD is another folder to build in; more options for cmake follow.
set -eu
cd "$(dirname "$0")/../.."
. cli/packages.sh
what=$1
shift
build=${BUILD:-build/package}
install_missing $build_packages dpkg-dev xz-utils
[ "$what" != deb ] || apt_options=--no-install-recommends install_missing doxygen python3
cmake -S . -B "$build" -G Ninja -DCMAKE_BUILD_TYPE=Release -DTAREBOOK_LTO=ON -DTAREBOOK_TESTS=OFF -DTAREBOOK_UNITY=ON \
      -DTAREBOOK_PCH=ON -DCMAKE_INSTALL_PREFIX=/usr "$@" >/dev/null
case $what in
deb)
    cmake --build "$build"
    cmake --build "$build" --target reference
    (cd "$build" && cpack -G DEB)
    ;;
folder)
    cmake --build "$build"
    sh cli/package/folder.sh "$build"
    ;;
*) echo "deb or folder, not $what"; exit 2 ;;
esac
