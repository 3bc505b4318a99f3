#!/bin/sh
# Builds what is given out and packs it: Release, by g++, nine minutes of CPU. BUILD is another folder to build in; more
# options for cmake follow.
#     sh cli/package/make.sh deb       tarebook_*.deb and libtarebook-dev_*.deb, in build/package
#     sh cli/package/make.sh folder    tarebook-VERSION-amd64.tar.xz, for any Linux (folder.sh), in build/package
#     sh cli/package/make.sh arm64     tarebook-VERSION-arm64.tar.xz, cross compiled, in build/arm64; as root
set -eu
cd "$(dirname "$0")/../.."
umask 022  # what is packed can be read by all, and has the same bytes, whoever makes it (deb.cmake)
. cli/packages.sh
what=$1
shift
case $what in
deb | folder | arm64) ;;
*) echo "deb, folder or arm64, not $what"; exit 2 ;;
esac
# What is given out opens a book on a server, too, whatever the machine had on it: without libpq-dev it would say that it cannot.
build_packages="$build_packages libpq-dev"
install_missing $build_packages dpkg-dev xz-utils
build=${BUILD:-build/package}
configured() { # folder, options
    cmake -S . -G Ninja -DCMAKE_BUILD_TYPE=Release -DTAREBOOK_TESTS=OFF -DTAREBOOK_UNITY=ON -DTAREBOOK_PCH=ON \
          -DCMAKE_INSTALL_PREFIX=/usr -B "$@" >/dev/null
}
case $what in
deb)
    apt_options=--no-install-recommends install_missing doxygen python3
    configured "$build" "$@"
    cmake --build "$build"
    cmake --build "$build" --target reference
    (cd "$build" && cpack -G DEB)
    ;;
folder)
    configured "$build" "$@"
    cmake --build "$build"
    sh cli/package/folder.sh "$build"
    ;;
arm64)
    # The libraries of Debian's arm64 packages in a tree of their own, which is not started; the programs that write tables
    # while building are those of this machine.
    apt_options=--no-install-recommends install_missing g++-aarch64-linux-gnu qemu-user-static mmdebstrap
    tools=$PWD/build/tools
    configured "$tools"
    cmake --build "$tools" --target compile_catalogue compile_tubes compile_rules
    SYSROOT=${SYSROOT:-$PWD/build/arm64-tree}
    export SYSROOT
    [ -d "$SYSROOT" ] || {
        wanted=$(echo $build_packages | tr ' ' '\n' | grep -e '-dev$' | tr '\n' ',')
        mmdebstrap --arch=arm64 --variant=extract --include="${wanted}libc6-dev,libstdc++-12-dev,tzdata" bookworm "$SYSROOT" \
                   http://deb.debian.org/debian
    }
    build=${BUILD:-build/arm64}
    configured "$build" -DCMAKE_TOOLCHAIN_FILE="$PWD/cli/package/arm64.cmake" -DTAREBOOK_PLAIN="$tools" "$@"
    cmake --build "$build" --target tarebook_cli tarebook_documents
    CC=aarch64-linux-gnu-gcc sh cli/package/folder.sh "$build"
    ;;
esac
