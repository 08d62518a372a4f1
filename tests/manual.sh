#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The manual is well formed, and its key section is the one that the action table
# gives.  (That its options are the program's: tests/cmd/test_cmd_main.c.)
#
#   manual.sh SOURCE_DIRECTORY BUILD_DIRECTORY         check
#   manual.sh SOURCE_DIRECTORY BUILD_DIRECTORY write   put the key section into the page
set -u
page=$1/man/twinpull.1
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
bad=0

"$2/twinpull" view --list-keys >"$dir/keys" || exit 1
if [ "${3-}" = write ]; then
	awk -v keys="$dir/keys" '
		/^\.\\" KEYS BEGIN/ { print; while ((getline line <keys) > 0) print line; skip = 1 }
		/^\.\\" KEYS END/ { skip = 0 }
		!skip { print }' "$page" >"$dir/page" && cat "$dir/page" >"$page"
fi

if command -v mandoc >/dev/null; then
	mandoc -T lint -W warning "$page" >&2 || bad=1
else
	echo 'manual: no mandoc, not linted'
fi
awk '/^\.\\" KEYS END/ { on = 0 } on { print } /^\.\\" KEYS BEGIN/ { on = 1 }' "$page" |
	diff "$dir/keys" - >&2 || {
	echo 'manual: the key section is not what the action table gives; see DEVELOPERS.md' >&2
	bad=1
}
[ $bad = 0 ] && echo 'manual: in order'
exit $bad
