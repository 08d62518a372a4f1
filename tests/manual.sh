#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The manual is well formed, and its sections of keys and checks are those that the
# tables of the program give.  (That its options are the program's:
# tests/cmd/test_cmd_main.c.)
#
#   manual.sh SOURCE_DIRECTORY BUILD_DIRECTORY         check
#   manual.sh SOURCE_DIRECTORY BUILD_DIRECTORY write   put the sections into the page
set -u
page=$1/man/twinpull.1
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
bad=0

"$2/twinpull" view --list-keys >"$dir/KEYS" || exit 1
"$2/twinpull" check --manual-checks >"$dir/CHECKS" || exit 1

if [ "${3-}" = write ]; then
	for part in KEYS CHECKS; do
		awk -v part="$part" -v made="$dir/$part" '
			index($0, ".\\\" " part " BEGIN") == 1 {
				print; while ((getline line <made) > 0) print line; skip = 1 }
			index($0, ".\\\" " part " END") == 1 { skip = 0 }
			!skip { print }' "$page" >"$dir/page" && cat "$dir/page" >"$page"
	done
fi

if command -v mandoc >/dev/null; then
	mandoc -T lint -W warning "$page" >&2 || bad=1
else
	echo 'manual: no mandoc, not linted'
fi
for part in KEYS CHECKS; do
	awk -v part="$part" '
		index($0, ".\\\" " part " END") == 1 { on = 0 }
		on { print }
		index($0, ".\\\" " part " BEGIN") == 1 { on = 1 }' "$page" |
		diff "$dir/$part" - >&2 || {
		echo "manual: the section of $part is not what its table gives; see DEVELOPERS.md" >&2
		bad=1
	}
done
[ $bad = 0 ] && echo 'manual: in order'
exit $bad
