#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# All tests of `make check`, one after another; Check's own lines come last.
#
#   run.sh SOURCE_DIRECTORY BUILD_DIRECTORY
#
# A test that lacks something of the machine (numpy, GNU units, mandoc) ends with
# 77 and is named as skipped.
set -u
src=$1 build=$2
failed=
export srcdir="$src"

run() { # run NAME COMMAND ...
	name=$1
	shift
	if "$@"; then
		:
	elif [ $? = 77 ]; then
		echo "$name: skipped"
	else
		echo "$name: FAILED" >&2
		failed="$failed $name"
	fi
}

python=/usr/bin/python3
[ -x "$python" ] || python=python3

run floors "$src/tests/floors.sh" "$src"
run samples "$src/tests/samples.sh" "$src" "$build"
run manual "$src/tests/manual.sh" "$src" "$build"
run units "$src/tests/outside/units_against_gnu.sh" "$build/print_units"
run csv-second-reader "$python" "$src/tests/data/second_reader.py" "$build/csv_dump" \
	"$src/tests/data/corpus"
run numpy-spans "$python" "$src/tests/outside/numpy_spans.py" "$build/twinpull" "$build/sim"

if [ -x "$build/check_all" ]; then
	run check "$build/check_all"
else
	echo 'check or libvterm is missing: the unit tests were not built' >&2
	failed="$failed check"
fi
[ -z "$failed" ] || { echo "failed:$failed" >&2; exit 1; }
