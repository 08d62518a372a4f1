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

/* C. A. R. Hoare, "Algorithm 65: FIND", Communications of the ACM 4 (1961), p. 321. */
double search_nth(double *v, size_t n, size_t k)
{
	const ptrdiff_t wanted = (ptrdiff_t)k;
	ptrdiff_t low = 0;
	ptrdiff_t high = (ptrdiff_t)n - 1;

	while (low < high) {
		const double pivot = v[wanted];
		ptrdiff_t i = low;
		ptrdiff_t j = high;

		while (i <= j) {
			while (v[i] < pivot)
				i++;
			while (v[j] > pivot)
				j--;
			if (i <= j) {
				const double kept = v[i];

				v[i++] = v[j];
				v[j--] = kept;
			}
		}
		if (j < wanted)
			low = i;
		if (wanted < i)
			high = j;
	}
	return v[k];
}

double search_median(double *v, size_t n)
{
	const double upper = search_nth(v, n, n / 2);
	double lower;
	size_t i;

	if (n % 2 == 1)
		return upper;
	/* Those before are no greater. */
	lower = v[0];
	for (i = 1; i < n / 2; i++)
		lower = v[i] > lower ? v[i] : lower;
	return 0.5 * (lower + upper);
}
