/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Prints the unit table, one unit a line, for units_against_gnu.sh: name, the unit
 * it is converted through, factor and offset (base = value * factor + offset), with
 * tabs between.
 */
#include <stdio.h>

#include "data/unit.h"

int main(void)
{
	size_t i;

	for (i = 0; i < unit_count(); i++) {
		const struct unit *u = unit_by_index(i);

		printf("%s\t%s\t%.17g\t%.17g\n", u->ascii, unit_base_name(u->dim), u->factor,
		       u->offset);
	}
	return 0;
}
