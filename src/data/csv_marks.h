/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where the cells of a text end. */
#ifndef DATA_CSV_MARKS_H
#define DATA_CSV_MARKS_H

#include <stddef.h>
#include <stdint.h>

#define CSV_MARKS_BYTES 65534	/* of text at most */

/*
 * Finds all separators and line feeds in text[n]; marks[n] receives how far behind
 * text - 1 they are, in order.  Returns how many there are.
 */
size_t csv_marks_find(const char *text, size_t n, char separator, uint16_t *marks);

#endif
