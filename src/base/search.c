/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where a number stands among others. */
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

/* By steps of 1, 2, 4 ... away from the guess, until it lies between two of them. */
size_t search_near(const double *v, size_t n, double x, size_t guess)
{
	size_t low, high;
	size_t step = 1;

	low = high = guess < n ? guess : n;
	while (low > 0 && !(v[low - 1] < x)) {
		high = low - 1;
		low = step < low ? low - step : 0;
		step *= 2;
	}
	while (high < n && v[high] < x) {
		low = high + 1;
		high = step < n - high ? high + step : n;
		step *= 2;
	}
	return low + search_lower(v + low, high - low, x);
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
