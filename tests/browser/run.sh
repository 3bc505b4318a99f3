#!/bin/sh
# The pages in a headless browser, by hand: installs what is missing (Debian packages; npm packages into build/browser,
# nothing into the tree), makes pages of the demo week with TAREBOOK_BIN, else with the build that is there, and looks at
# each of them. `run.sh KEEP` copies the pages, screenshots and PDFs to the folder KEEP, to be looked at by a person;
# `run.sh --update` takes what it sees as the new golden pictures (tests/browser/golden): look at them before a commit.
set -eu
cd "$(dirname "$0")/../.."
. cli/packages.sh
node= # a node that is there brings its npm, which Debian's would not stand beside
command -v npm >/dev/null || node="nodejs npm"
apt_options=--no-install-recommends install_missing chromium python3 fonts-dejavu-core poppler-utils $node
for built in build/checked build/dev; do
    [ -n "${TAREBOOK_BIN:-}" ] || [ ! -x "$built/cli/for_tests/tarebook" ] || TAREBOOK_BIN=$PWD/$built/cli/for_tests/tarebook
done
[ -n "${TAREBOOK_BIN:-}" ] || { echo "build the program first, or set TAREBOOK_BIN" >&2; exit 1; }
export TAREBOOK_BIN TAREBOOK_SOURCE="$PWD" PYTHONDONTWRITEBYTECODE=1

packages=build/browser
mkdir -p "$packages"
if ! cmp -s tests/browser/package.json "$packages/package.json" || [ ! -d "$packages/node_modules/axe-core" ]; then
    echo "installing into $packages: axe-core and puppeteer-core, of the versions in tests/browser/package.json"
    cp tests/browser/package.json "$packages/"
    npm install --prefix "$packages" --ignore-scripts --no-audit --no-fund --silent
fi

shown=$(mktemp -d)
trap 'rm -rf "$shown"' EXIT
python3 tests/browser/make_pages.py "$shown"
code=0
update=
[ "${1:-}" != --update ] || { update=--update; shift; }
node tests/browser/look.mjs "$packages/node_modules" "$shown" tests/browser/golden $update || code=$?
node tests/browser/folder.mjs "$packages/node_modules" "$shown" || code=$?
node tests/browser/visit_form.mjs "$packages/node_modules" "$shown" || code=$?
[ -z "${1:-}" ] || { mkdir -p "$1"; cp -r "$shown"/* "$1/"; echo "pages, screenshots and PDFs: $1"; }
exit "$code"
