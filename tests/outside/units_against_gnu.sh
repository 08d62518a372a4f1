#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Compares every factor and offset of the unit table with GNU units (Debian package
# `units`), to 1e-12 relative.  Its own definitions come from NIST and BIPM tables,
# see its file definitions.units.
#
#     units_against_gnu.sh PRINT_UNITS
#
# PRINT_UNITS is the program made from print_units.c.  Exit status: 0 all agree,
# 1 something differs or has no counterpart here, 77 GNU units is not installed.

set -eu

if [ $# -ne 1 ]; then
	echo "usage: $0 PRINT_UNITS" >&2
	exit 2
fi
if ! command -v units >/dev/null 2>&1; then
	echo "GNU units is not installed (Debian: apt-get install units); skipped" >&2
	exit 77
fi

# The name in GNU units of what is called $1 here; nothing when there is none.
gnu_name() {
	case $1 in
	count | 1 | :1 | lambda) echo 1 ;;
	%) echo percent ;;
	h) echo hour ;;
	krpm) echo '1000 rpm' ;;
	1/s) echo 'revolution/s' ;;
	rad/s) echo 'radian/s' ;;
	deg/s) echo 'degree/s' ;;
	km/h) echo 'km/hour' ;;
	mph) echo 'mile/hour' ;;
	kn) echo knot ;;
	m/s2) echo 'm/s^2' ;;
	g) echo gravity ;;
	ft/s2) echo 'ft/s^2' ;;
	mi) echo mile ;;
	mbar) echo millibar ;;
	kgf/cm2) echo 'kgf/cm^2' ;;
	K) echo kelvin ;;
	kg/h) echo 'kg/hour' ;;
	lb/h) echo 'lb/hour' ;;
	m3/s) echo 'm^3/s' ;;
	m3/h) echo 'm^3/hour' ;;
	L/h) echo 'liter/hour' ;;
	L/min) echo 'liter/min' ;;
	gal/h) echo 'usgallon/hour' ;;
	gal/min) echo 'usgallon/min' ;;
	cc/min) echo 'cm^3/min' ;;
	ft3/min) echo 'ft^3/min' ;;
	deg) echo degree ;;
	rad) echo radian ;;
	Nm) echo 'newton meter' ;;
	hp) echo horsepower ;;
	PS) echo metrichorsepower ;;
	g/rev) echo gram ;;
	mg/rev) echo milligram ;;
	g/stroke) echo gram ;;
	mg/stroke) echo milligram ;;
	kg/rev | kg/stroke) echo kg ;;
	s | ms | us | min | rpm | m/s | ft/s | m | km | cm | mm | in | ft | yd | kg | lb | \
	Pa | hPa | kPa | MPa | bar | psi | inHg | inH2O | mmHg | torr | atm | \
	kg/s | kg/min | g/s | g/min | mg/s | lb/min | V | mV | A | mA | 'lbf ft' | 'lbf in' | \
	'kgf m' | W | kW | Hz | kHz) echo "$1" ;;
	'') echo 1 ;;
	esac
}

# convert FROM TO: one number.
convert() {
	units --terse --output-format '%.17g' "$1" "$2"
}

# close A B SCALE: do they agree to 1e-12 of SCALE?
close() {
	awk -v a="$1" -v b="$2" -v scale="$3" 'BEGIN {
		d = a - b
		if (d < 0) d = -d
		if (scale < 0) scale = -scale
		exit !(d <= 1e-12 * scale)
	}'
}

compared=0
wrong=0
tab=$(printf '\t')
list=$(mktemp)
trap 'rm -f "$list"' EXIT
"$1" >"$list"

while IFS= read -r line; do
	name=${line%%"$tab"*}
	rest=${line#*"$tab"}
	base=${rest%%"$tab"*}
	rest=${rest#*"$tab"}
	factor=${rest%%"$tab"*}
	offset=${rest#*"$tab"}
	case $name in
	degC)
		zero=$(convert 'tempC(0)' tempK)
		want=$(convert degC kelvin)
		;;
	degF)
		zero=$(convert 'tempF(0)' tempK)
		want=$(convert degF kelvin)
		;;
	*)
		gnu=$(gnu_name "$name")
		if [ -z "$gnu" ]; then
			echo "$name: no counterpart in this script" >&2
			wrong=$((wrong + 1))
			continue
		fi
		zero=0
		want=$(convert "$gnu" "$(gnu_name "$base")")
		;;
	esac
	compared=$((compared + 1))
	if ! close "$factor" "$want" "$want" || ! close "$offset" "$zero" "$zero"; then
		echo "$name: factor $factor offset $offset, GNU units $want and $zero" >&2
		wrong=$((wrong + 1))
	fi
done <"$list"

echo "$compared units compared with GNU units, $wrong wrong"
[ "$wrong" -eq 0 ] && [ "$compared" -gt 0 ]
