/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Plain decimals: a minus perhaps, digits, and a decimal mark among them. */
#ifndef DATA_CSV_PLAIN_H
#define DATA_CSV_PLAIN_H

#include <stdbool.h>
#include <stdint.h>

/* A number as a cell has it: digits / 10^fraction. */
struct csv_plain {
	uint64_t digits;	/* overflows when there are more than 19 */
	int count;		/* of them; 0: there is no number */
	int fraction;		/* how many are behind the mark */
	bool negative;
};

static inline const char *csv_plain_digits(const char *p, uint64_t *digits)
{
	unsigned digit;

	while ((digit = (unsigned)(unsigned char)*p - '0') <= 9) {
		*digits = *digits * 10 + digit;
		p++;
	}
	return p;
}

/* Scans digits with at most one mark; returns behind them.  Any text ends in a line end. */
static inline const char *csv_plain_scan(const char *p, char mark, struct csv_plain *out)
{
	uint64_t digits = 0;
	const char *from;

	out->negative = *p == '-';
	from = p += out->negative;
	p = csv_plain_digits(p, &digits);
	out->count = (int)(p - from);
	out->fraction = 0;
	if (*p == mark) {
		from = ++p;
		p = csv_plain_digits(p, &digits);
		out->fraction = (int)(p - from);
		out->count += out->fraction;
	}
	out->digits = digits;
	return p;
}

#endif
