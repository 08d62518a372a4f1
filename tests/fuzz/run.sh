#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Builds the fuzzers with clang's libFuzzer and runs each for some seconds, from the
# reader's corpus and the samples' INI files as seeds.
#
#   run.sh SECONDS
set -eu
seconds=${1:-60}
cd "$(dirname "$0")/../.."
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cc=${FUZZ_CC:-clang}
command -v "$cc" >/dev/null || { echo 'fuzz: no clang'; exit 77; }

# Lists of words:
# shellcheck disable=SC2046
flags="-std=c11 -D_XOPEN_SOURCE=700 -g -O1 -fsanitize=address,undefined
	-fno-sanitize-recover=all -Isrc -Itests $(echo $(pkg-config --cflags gsl inih zlib))"
libs="$(pkg-config --libs gsl inih zlib) -lcsv -lm -lpthread"
export cc flags work

# The library once, for all of them.
printf '%s\n' tests/data/log_compare.c src/base/*.c src/data/*.c src/calc/*.c src/judge/*.c \
	src/keep/*.c | xargs -P "$(getconf _NPROCESSORS_ONLN)" -I{} sh -c '
		# shellcheck disable=SC2086
		"$cc" $flags -fsanitize=fuzzer-no-link -c "$1" -o "$work/$(echo "$1" | tr / -).o"' sh {}

for target in tests/fuzz/fuzz_*.c; do
	name=$(basename "$target" .c)
	# shellcheck disable=SC2086
	"$cc" $flags -fsanitize=fuzzer "$target" "$work"/*.o $libs -o "$work/$name"
	mkdir -p "$work/$name.corpus"
	cp samples/*.ini "$work/$name.corpus"
	set --
	dict=tests/fuzz/${name#fuzz_}.dict
	[ ! -e "$dict" ] || set -- "-dict=$dict"
	"$work/$name" "$@" -max_total_time="$seconds" -max_len=65536 -timeout=10 -verbosity=0 \
		-print_final_stats=1 "$work/$name.corpus" tests/data/corpus 2>"$work/$name.log" || {
		tail -n 40 "$work/$name.log" >&2
		exit 1
	}
	grep -E 'number_of_executed_units' "$work/$name.log" | sed "s/^/$name: /"
done
