#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The manual is well formed, names every option of every command and no other,
# and its key section is the one that the action table gives.
#
#   manual.sh SOURCE_DIRECTORY BUILD_DIRECTORY
set -u
page=$1/man/twinpull.1
twinpull=$2/twinpull
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
bad=0

if command -v mandoc >/dev/null; then
	mandoc -T lint -W warning "$page" >&2 || bad=1
else
	echo 'manual: no mandoc, not linted'
fi

plain=$(sed 's/\\-/-/g; s/\\fB//g; s/\\fR//g; s/\\fI//g' "$page")
for command in $("$twinpull" --help | sed -n 's/^  \([a-z]\{1,\}\) .*/\1/p'); do
	for option in $("$twinpull" "$command" --help | grep -o -- '^ *\(-[a-z], \)\{0,1\}--[a-z-]*' | grep -o -- '--[a-z-]*'); do
		printf '%s\n' "$plain" | grep -q -- "$option" || {
			echo "manual: $option of $command is not in it" >&2
			bad=1
		}
		echo "$option" >>"$dir/known"
	done
done
for option in $(printf '%s\n' "$plain" | sed -n 's/^\.B.* \(--[a-z-]*\).*/\1/p; s/^\.BR* \(--[a-z-]*\).*/\1/p' | sort -u); do
	grep -q -x -- "$option" "$dir/known" || [ "$option" = --help ] || [ "$option" = --version ] || {
		echo "manual: $option is no option of the program" >&2
		bad=1
	}
done

"$twinpull" view --list-keys >"$dir/keys"
awk '/^\.\\" KEYS END/ { on = 0 } on { print } /^\.\\" KEYS BEGIN/ { on = 1 }' "$page" |
	diff "$dir/keys" - >&2 || {
	echo 'manual: the key section is not what the action table gives; see DEVELOPERS.md' >&2
	bad=1
}
[ $bad = 0 ] && echo 'manual: in order'
exit $bad
