#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The sample logs are what the simulator makes: byte for byte.
#
#   samples.sh SOURCE_DIRECTORY BUILD_DIRECTORY
set -eu
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
"$1/samples/make.sh" "$dir" "$2/sim" >/dev/null
for log in "$1"/samples/*.csv; do
	cmp "$log" "$dir/$(basename "$log")"
done
echo 'samples: as the simulator makes them'
