# Sourced by cli/try.sh and tests/run.sh: installs the Debian packages that are missing. Why each is there: DEVELOPERS.md.
build_packages="g++ cmake ninja-build pkg-config libsqlitecpp-dev libsqlite3-dev libcli11-dev libhowardhinnant-date-dev
 libyaml-cpp-dev libcsv-dev libfmt-dev nlohmann-json3-dev libsodium-dev nettle-dev libexpected-dev libqrencode-dev
 libxlsxwriter-dev tzdata"

install_missing() {
    missing=
    for package in "$@"; do
        dpkg-query -W -f='${Status}' "$package" 2>/dev/null | grep -q 'ok installed' || missing="$missing $package"
    done
    [ -z "$missing" ] && return 0
    echo "installing:$missing"
    as_root=
    [ "$(id -u)" = 0 ] || as_root=sudo
    $as_root apt-get update -qq && DEBIAN_FRONTEND=noninteractive $as_root apt-get install -y -qq ${apt_options:-} $missing >/dev/null
}
