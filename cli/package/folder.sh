#!/bin/sh
# Makes of a finished build one folder that runs on any Linux with nothing installed, and packs it as BUILD/NAME.tar.xz:
#     sh cli/package/folder.sh BUILD
# The program brings its own loader, C library and libraries, those of the Debian that it was built on, and a launcher that
# is linked without any. Of the machine it needs the kernel (3.10 or newer) alone; time zones are the machine's, and the
# folder's where it has none. For another machine CC names its C compiler, and SYSROOT the tree with its libraries.
set -eu
build=$1
source=$(cd "$(dirname "$0")/../.." && pwd)
here=$source/cli/package
CC=${CC:-cc}
SYSROOT=${SYSROOT:-}
triplet=$($CC -dumpmachine)
version=$(sed -n 's/^project(tarebook VERSION \([0-9.]*\).*/\1/p' "$source/CMakeLists.txt")
released=$(sed -n 's/^set(TAREBOOK_RELEASE_DATE \([0-9-]*\).*/\1/p' "$source/CMakeLists.txt")
case $triplet in
x86_64-*) arch=amd64 loader=ld-linux-x86-64.so.2 triplet=x86_64-linux-gnu ;;
aarch64-*) arch=arm64 loader=ld-linux-aarch64.so.1 triplet=aarch64-linux-gnu ;;
*) echo "no folder is made for $triplet"; exit 2 ;;
esac
name=tarebook-$version-$arch
out=$build/$name
objdump=objdump strip=strip
[ "$arch" = amd64 ] || { objdump=$triplet-objdump strip=$triplet-strip; }

rm -rf "$out"
cmake --install "$build" --component program --prefix "$out" >/dev/null
mkdir -p "$out/lib" "$out/licences"
mv "$out/bin/tarebook" "$out/lib/program"
rmdir "$out/bin"
$strip "$out/lib/program"

# What the program needs and opens, and what these need; the C library has all of its parts together.
in_tree() { # a library's file, by its name
    for folder in lib/$triplet usr/lib/$triplet lib usr/lib $triplet/lib usr/$triplet/lib; do
        [ -e "$SYSROOT/$folder/$1" ] && { readlink -f "$SYSROOT/$folder/$1"; return; }
    done
    echo "there is no $1 in ${SYSROOT:-/}" >&2
    return 1
}
needed() { $objdump -p "$1" | sed -n 's/^ *NEEDED *//p'; }
sheets=$(sed -n 's/^TAREBOOK_XLSXWRITER:[A-Z]*=//p' "$build/CMakeCache.txt")
sheets=$(basename "$(readlink -f "$sheets")")
server=libpq.so.5
grep -aqF "$server" "$out/lib/program" || { echo "the program was built without libpq-dev, and opens no book on a server"; exit 1; }
wanted="$(needed "$out/lib/program") $sheets $server"
taken=" $loader "
while [ -n "$wanted" ]; do
    more=
    for library in $wanted; do
        case $taken in *" $library "*) continue ;; esac
        taken="$taken$library "
        file=$(in_tree "$library")
        install -m 644 "$file" "$out/lib/$library"
        more="$more $(needed "$file")"
    done
    wanted=$(echo $more)
done
install -m 755 "$(in_tree "$loader")" "$out/lib/loader"

$CC -O2 -static -s -o "$out/tarebook" "$here/launcher.c"
$CC -O2 -fPIC -shared -s -o "$out/lib/zones.so" "$here/zones.c"
mkdir -p "$out/share/zoneinfo"
(cd "$SYSROOT/usr/share/zoneinfo" && tar -cf - --exclude=./posix --exclude=./right .) | tar -xf - -C "$out/share/zoneinfo"

# The licences of what is in it: of each library's Debian package, and of those whose archives the program holds.
cp "$source/LICENSE" "$out/licences/tarebook"
{
    for library in $taken; do
        dpkg-query -S "*/$library" 2>/dev/null | sed -n 's/^\([^:,]*\).*/\1/p' | grep -v -e '-cross$' -e '-i386$' | head -n 1
    done
    printf '%s\n' libyaml-cpp-dev libsodium-dev nettle-dev libcsv-dev libsqlitecpp-dev tzdata
} | sort -u >"$out/licences/.packages"
while read -r package; do
    for tree in "$SYSROOT" ""; do
        [ -e "$tree/usr/share/doc/$package/copyright" ] || continue
        cp -L "$tree/usr/share/doc/$package/copyright" "$out/licences/$package"
        break
    done
    [ -e "$out/licences/$package" ] || { echo "the licence of $package is not on this machine"; exit 1; }
done <"$out/licences/.packages"
rm "$out/licences/.packages"

cat >"$out/README.txt" <<TEXT
Tarebook $version for any Linux ($arch)

Nothing is installed: the program is ./tarebook, wherever this folder is. To type its name alone:
    ln -s "\$PWD/tarebook" ~/.local/bin/tarebook
A week of an invented shop, in a practice book:
    TAREBOOK_BIN="\$PWD/tarebook" sh share/doc/tarebook/fixtures/demo-week.sh
How it is used: share/doc/tarebook/README.md, and ./tarebook --help. The page for man is share/man/man1/tarebook.1.gz, the
completions of shells are below share. It writes spreadsheets, and opens a book on a PostgreSQL server.
It runs on Linux since 3.10 and uses no library of the machine. Libraries and time zones in it are Debian's, as old as this
folder: take a newer folder for newer ones. Their licences are in licences.
TEXT
tar --sort=name --mtime="$released 12:00:00Z" --owner=0 --group=0 --numeric-owner --mode=u+w,go-w,a+rX -C "$build" -cf - "$name" |
    xz -T1 -6 >"$build/$name.tar.xz"
echo "$build/$name.tar.xz: $(du -k "$build/$name.tar.xz" | cut -f1) KiB, unpacked $(du -sk "$out" | cut -f1) KiB"
