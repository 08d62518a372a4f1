/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where a number stands among sorted ones. */
#include "base/search.h"

size_t search_lower(const double *v, size_t n, double x)
{
	size_t low = 0;
	size_t high = n;

	while (low < high) {
		const size_t middle = low + (high - low) / 2;

		if (v[middle] < x)
			low = middle + 1;
		else
			high = middle;
	}
	return low;
}

size_t search_upper(const double *v, size_t n, double x)
{
	size_t low = 0;
	size_t high = n;

	while (low < high) {
		const size_t middle = low + (high - low) / 2;

		if (v[middle] <= x)
			low = middle + 1;
		else
			high = middle;
	}
	return low;
}
