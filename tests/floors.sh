#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The house rules that a machine can see: no include upwards, curses only in ui/,
# files under 500 lines, functions under 60, no mutable statics in the core, and
# nothing that belongs to somebody's machine.
#
#   floors.sh SOURCE_DIRECTORY
set -u
cd "${1:-.}" || exit 2
floors='base data calc judge keep draw out view ui cmd'
bad=0

complain() {
	printf '%s\n' "$1" >&2
	bad=1
}

rank() {
	n=0
	for floor in $floors; do
		n=$((n + 1))
		[ "$floor" = "$1" ] && { echo "$n"; return; }
	done
	echo 0
}

for file in src/*/*.[ch]; do
	own=$(rank "$(basename "$(dirname "$file")")")
	for floor in $(sed -n 's|^#include "\([a-z]*\)/.*|\1|p' "$file" | sort -u); do
		[ "$(rank "$floor")" -le "$own" ] && [ "$(rank "$floor")" -gt 0 ] ||
			complain "$file includes $floor/, which is above it"
	done
	case $file in
	src/ui/*) ;;
	*) grep -q '#include <\(n\{0,1\}curses\|term\).h>' "$file" &&
		complain "$file includes curses: only ui/ may" ;;
	esac
done

# Reasons for longer files stand in DEVELOPERS.md, under "Long files".
for file in src/*/*.[ch] tests/*.[ch] tests/*/*.[ch]; do
	lines=$(wc -l <"$file")
	[ "$lines" -le 500 ] || grep -q "^- \`$file\`" DEVELOPERS.md ||
		complain "$file has $lines lines, over 500, and no reason in DEVELOPERS.md"
done

# A function runs from a '{' in the first column to a '}' in the first column.
long=$(awk 'FNR == 1 { start = 0 }
	/^{/ { start = FNR }
	/^}/ && start { if (FNR - start > 60) print FILENAME ":" start ": " FNR - start " lines"; start = 0 }' \
	src/*/*.c tests/*/*.c)
[ -z "$long" ] || complain "functions over 60 lines:
$long"

for file in $(git ls-files 2>/dev/null); do
	case $file in
	*.[ch] | *.sh | *.py | Makefile.am | configure.ac | bootstrap)
		head -n 3 "$file" | grep -q 'SPDX-License-Identifier' ||
			complain "$file has no SPDX line" ;;
	esac
done

[ $bad = 0 ] && echo 'floors: in order'
exit $bad
