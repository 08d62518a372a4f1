#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# All tests of `make check`, one after another; Check's own lines come last.
#
#   run.sh SOURCE_DIRECTORY BUILD_DIRECTORY
#
# CHECK_JOBS=N in the environment shares the Check suites among N processes.
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
run csv-third-readers "$python" "$src/tests/data/third_reader.py" "$build/csv_dump" \
	"$src/tests/data/corpus"
run numpy-spans "$python" "$src/tests/outside/numpy_spans.py" "$build/twinpull" "$build/sim"

parts() { # every part of the suites at the same time; fails if one does
	jobs=$1
	part=1
	children=
	while [ "$part" -le "$jobs" ]; do
		CHECK_PART=$part/$jobs "$build/check_all" &
		children="$children $!"
		part=$((part + 1))
	done
	status=0
	for child in $children; do
		wait "$child" || status=1
	done
	return $status
}

if [ -x "$build/check_all" ]; then
	# Loops over blocks by the registers that every machine of the kind has.
	run narrow env GLIBC_TUNABLES=glibc.cpu.hwcaps=-AVX2 "$build/check_all" packed column select stats_large
	if [ "${CHECK_JOBS:-1}" -gt 1 ]; then
		run check parts "$CHECK_JOBS"
	else
		run check "$build/check_all"
	fi
else
	echo 'check or libvterm is missing: the unit tests were not built' >&2
	failed="$failed check"
fi
[ -z "$failed" ] || { echo "failed:$failed" >&2; exit 1; }
