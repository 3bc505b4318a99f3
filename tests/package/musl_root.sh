#!/bin/sh
# A root that has musl and busybox in place of Debian's C library and tools, as small distributions have, for folder.py:
#     sh tests/package/musl_root.sh ROOT          as root; busybox is built of Debian's sources in ROOT.work, a minute of CPU
set -eu
root=$(mkdir -p "$1" && cd "$1" && pwd)
work=$root.work
. "$(dirname "$0")/../../cli/packages.sh"
apt_options=--no-install-recommends install_missing musl musl-tools musl-dev linux-libc-dev gcc make bzip2 dpkg-dev
mkdir -p "$work/lists/partial" "$work/headers"
cd "$work"
echo "deb-src http://deb.debian.org/debian bookworm main" >sources.list
apt_source() { apt-get -qq -o Dir::Etc::SourceList="$work/sources.list" -o Dir::Etc::SourceParts=- -o Dir::State::Lists="$work/lists" "$@"; }
apt_source update
apt_source source --download-only busybox
tar -xf busybox_*.orig.tar.bz2
for folder in linux asm-generic mtd scsi; do ln -sfn "/usr/include/$folder" "headers/$folder"; done
ln -sfn "/usr/include/$(gcc -print-multiarch)/asm" headers/asm
cd busybox-*
make defconfig >/dev/null
# What musl has no headers for.
sed -i 's/^CONFIG_\(TC\|FEATURE_TC_INGRESS\|EXTRA_COMPAT\|FEATURE_MOUNT_NFS\|FEATURE_HAVE_RPC\|FEATURE_INETD_RPC\|FEATURE_UTMP\|FEATURE_WTMP\)=y/# CONFIG_\1 is not set/' .config
yes '' 2>/dev/null | make oldconfig >/dev/null
make CC="musl-gcc -idirafter $work/headers" >"$work/make.log" 2>&1 || { tail -n 20 "$work/make.log"; exit 1; }
mkdir -p "$root/bin" "$root/lib" "$root/etc" "$root/dev" "$root/proc" "$root/tmp"
cp busybox "$root/bin/busybox"
cp -L /lib/ld-musl-*.so.1 "$root/lib/"
for name in $("$root/bin/busybox" --list); do [ -e "$root/bin/$name" ] || ln -s busybox "$root/bin/$name"; done
echo 'root:x:0:0:root:/:/bin/sh' >"$root/etc/passwd"
echo 'PRETTY_NAME="musl and busybox"' >"$root/etc/os-release"
rm -r "$work"
