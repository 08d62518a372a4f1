#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Makes the sample logs again from the simulator, with fixed seeds: the same
# bytes on every machine. Use: make.sh [DIRECTORY [SIMULATOR]]; the directory is
# where the logs go (default: beside this script), the simulator is built from
# tests/sim when none is given.
set -eu

here=$(cd "$(dirname "$0")" && pwd)
out=${1:-$here}
sim=${2:-}

if [ -z "$sim" ]; then
	build=$(mktemp -d)
	trap 'rm -rf "$build"' EXIT
	# -std=c11 keeps compilers from fusing a multiplication with an addition.
	${CC:-cc} -std=c11 -D_POSIX_C_SOURCE=200809L -O2 -ffp-contract=off \
		"$here"/../tests/sim/*.c -o "$build/sim" -lm
	sim=$build/sim
fi

note='Invented data, made by a simulator: no such car, engine or driver exists.'

# The club hatchback in fourth gear on the airfield strip, 20 rows a second.
pull() {
	"$sim" --note "$note" --channels club --rate 20 --jitter 0.03 --scenario pull \
		--gear 4 --from 1880 --to 6900 --wave 0.001 --humidity 48 "$@"
}

pull --car small --seed 11 --temp 19.5 --pressure 99.62 --before 6 --after 8 \
	-o "$out/before.csv"
pull --car large --seed 24 --temp 22.5 --pressure 99.18 --before 7 --after 9 \
	--fault rail_sag@5900-7300~450:0.21 --fault lean@6000-7300~450:0.12 \
	--fault knock_cyl@5140-5345~20:5.8:3 -o "$out/after.csv"
pull --car large --seed 37 --temp 20.5 --pressure 99.43 --before 6 --after 7 \
	-o "$out/after-fixed.csv"

# A long mixed drive of the same car, from a simple scan-tool kind of logger.
"$sim" --note "$note" --scenario drive --minutes 7.5 --pulls 4 --car large --seed 61 \
	--channels drive --style short --rate 10 --jitter 0.05 --coarse --sep semicolon \
	--decimal comma --units row --time hms --time-decimals 2 --clock-start 36725.3 \
	--temp 18 --pressure 99.2 --humidity 55 --wave 0.003 -o "$out/drive.csv"
