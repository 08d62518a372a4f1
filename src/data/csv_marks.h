/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where the cells of a text end. */
#ifndef DATA_CSV_MARKS_H
#define DATA_CSV_MARKS_H

#include <stddef.h>
#include <stdint.h>

#include "base/wide.h"

#define CSV_MARKS_BYTES 65534	/* of text at most */

#define CSV_MARKS_SPARE 8	/* room behind the marks that is written to */

struct csv_marks {
	enum wide wide;
	char separator;
	uint8_t counts[256];	/* bits set in a byte */
	_Alignas(16) uint16_t places[256][8];	/* their numbers, from 1 */
};

/* By registers of the machine, but none wider than `wide`. */
void csv_marks_init(struct csv_marks *m, char separator, enum wide wide);

/*
 * Finds all separators and line feeds in text[n]; marks[n + CSV_MARKS_SPARE] receives
 * how far behind text - 1 they are, in order.  Returns how many there are.
 */
size_t csv_marks_find(const struct csv_marks *m, const char *text, size_t n, uint16_t *marks);

#endif
