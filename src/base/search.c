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

static double least(const double *v, size_t n)
{
	double x = v[0];
	size_t i;

	for (i = 1; i < n; i++)
		x = v[i] < x ? v[i] : x;
	return x;
}

void search_quantiles(double *v, size_t n, const double *q, size_t count, double *out)
{
	size_t from = 0;	/* those before are no greater than any behind */
	size_t i;

	for (i = 0; i < count; i++) {
		const double place = q[i] * (double)(n - 1);
		const size_t k = (size_t)place;
		const double part = place - (double)k;

		out[i] = search_nth(v + from, n - from, k - from);
		if (k + 1 < n)
			out[i] = (1.0 - part) * out[i] + part * least(v + k + 1, n - k - 1);
		from = k;
	}
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
