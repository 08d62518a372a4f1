/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Numbers with marks between their thousands: "1.234,5", "1,234.5", "1 234,5". */
#ifndef DATA_CSV_GROUP_H
#define DATA_CSV_GROUP_H

#include <stddef.h>

enum csv_group {
	CSV_GROUP_NONE,		/* no such number */
	CSV_GROUP_SURE,		/* it can be nothing else */
	CSV_GROUP_UNSURE,	/* "1.234": with the other decimal mark it is a fraction */
};

/*
 * Reads all n bytes as a number with `decimal` as its decimal mark, and a point, comma,
 * apostrophe, blank or no-break space before every three digits of its whole part.
 */
enum csv_group csv_group_parse(const char *s, size_t n, char decimal, double *out,
			       int *decimals);

#endif
