/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Numbers as text, whatever the locale. */
#include "base/num.h"

#include <float.h>
#include <langinfo.h>
#include <locale.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"

#define MAX_EXACT_POWER 22	/* 10^22 is the last power of ten exact in a double */
#define LONG_NUMBER 128	/* bytes; longer ones are copied to the heap */
#define MAX_FAST_DIGITS 19	/* more may not fit 64 bits */
#define WHOLE_LIMIT 9007199254740992.0	/* 2^53: from here on doubles skip whole numbers */

static const double powers_of_ten[MAX_EXACT_POWER + 1] = {
	1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
};

/* What a scan of the text found; the text is sign, digits, mark, digits, exponent. */
struct decimal_scan {
	uint64_t mantissa;
	int digits;		/* significant ones, without leading zeros */
	int after_mark;
	int exponent;
	bool negative;
	bool has_exponent;
};

static bool is_blank(char c)
{
	return c == ' ' || c == '\t';
}

static bool is_digit(char c)
{
	return c >= '0' && c <= '9';
}

static const char *scan_digits(const char *p, const char *end, struct decimal_scan *d)
{
	for (; p < end && is_digit(*p); p++) {
		if (d->digits > 0 || *p != '0')
			d->digits++;
		if (d->digits <= MAX_FAST_DIGITS)
			d->mantissa = d->mantissa * 10 + (uint64_t)(*p - '0');
	}
	return p;
}

static const char *scan_exponent(const char *p, const char *end, struct decimal_scan *d)
{
	const char *mark = p;
	bool negative = false;
	int value = 0;

	if (p == end || (*p != 'e' && *p != 'E'))
		return p;
	p++;
	if (p < end && (*p == '-' || *p == '+'))
		negative = *p++ == '-';
	if (p == end || !is_digit(*p))
		return mark;
	for (; p < end && is_digit(*p); p++)
		if (value < 100000)
			value = value * 10 + (*p - '0');
	d->exponent = negative ? -value : value;
	d->has_exponent = true;
	return p;
}

static bool scan_decimal(const char *s, const char *end, char mark, struct decimal_scan *d)
{
	const char *p = s;
	const char *whole;
	const char *fraction = NULL;

	if (p < end && (*p == '-' || *p == '+'))
		d->negative = *p++ == '-';
	whole = p;
	p = scan_digits(p, end, d);
	if (p < end && *p == mark) {
		fraction = ++p;
		p = scan_digits(p, end, d);
		d->after_mark = (int)(p - fraction);
	}
	if (p - whole - (fraction != NULL) <= 0)
		return false;
	p = scan_exponent(p, end, d);
	return p == end;
}

/*
 * The slow road: strtod itself, on a terminated copy with the decimal mark that it
 * expects in the locale as it is.
 */
static double parse_slow(const char *s, size_t n, char mark)
{
	const char *radix = nl_langinfo(RADIXCHAR);
	const char *at = memchr(s, mark, n);
	const size_t whole = at == NULL ? n : (size_t)(at - s);
	char room[LONG_NUMBER];
	char *copy = n + strlen(radix) < sizeof(room) ? room : mem_alloc(n + strlen(radix) + 1);
	char *to = copy;
	double v;

	memcpy(to, s, whole);
	to += whole;
	if (at != NULL) {
		memcpy(to, radix, strlen(radix));
		to += strlen(radix);
		memcpy(to, at + 1, n - whole - 1);
		to += n - whole - 1;
	}
	*to = '\0';
	v = strtod(copy, NULL);
	if (copy != room)
		free(copy);
	return v;
}

bool num_parse(const char *s, size_t n, char decimal, double *out, int *decimals)
{
	struct decimal_scan d = { 0 };
	const char *end = s + n;
	int power;
	double v;

	while (s < end && is_blank(*s))
		s++;
	while (end > s && is_blank(end[-1]))
		end--;
	if (!scan_decimal(s, end, decimal, &d))
		return false;
	power = d.exponent - d.after_mark;
	if (d.digits <= MAX_FAST_DIGITS && d.mantissa <= (UINT64_C(1) << 53) &&
	    power >= -MAX_EXACT_POWER && power <= MAX_EXACT_POWER) {
		v = (double)d.mantissa;
		v = power < 0 ? v / powers_of_ten[-power] : v * powers_of_ten[power];
		v = d.negative ? -v : v;
	} else {
		v = parse_slow(s, (size_t)(end - s), decimal);
	}
	*out = v;
	if (decimals != NULL)
		*decimals = d.has_exponent ? 0 : d.after_mark;
	return true;
}

bool num_parse_int(const char *s, long low, long high, long *out)
{
	double v;

	if (!num_parse(s, strlen(s), '.', &v, NULL) || v != floor(v))
		return false;
	if (fabs(v) >= WHOLE_LIMIT || v < (double)low || v > (double)high)
		return false;
	*out = (long)v;
	return true;
}

/* printf follows LC_NUMERIC: whatever mark it wrote becomes a point. */
static void point_in(char *s)
{
	const char *mark = localeconv()->decimal_point;
	char *at;

	if (mark[0] == '.' || mark[0] == '\0')
		return;
	at = strstr(s, mark);
	if (at == NULL)
		return;
	*at = '.';
	memmove(at + 1, at + strlen(mark), strlen(at + strlen(mark)) + 1);
}

static char *print_fixed(char out[NUM_TEXT], double v, int decimals, const char *format,
			 const char *short_format)
{
	int n;

	if (isnan(v)) {
		strcpy(out, "-");
		return out;
	}
	n = snprintf(out, NUM_TEXT, format, decimals, v);
	if (n >= NUM_TEXT)
		snprintf(out, NUM_TEXT, short_format, v);
	point_in(out);
	/* what rounds to nothing has no sign */
	if ((out[0] == '-' || out[0] == '+') && strspn(out + 1, "0.") == strlen(out + 1))
		memmove(out, out + 1, strlen(out));
	return out;
}

char *num_fixed(char out[NUM_TEXT], double v, int decimals)
{
	return print_fixed(out, v, decimals, "%.*f", "%.6g");
}

char *num_signed(char out[NUM_TEXT], double v, int decimals)
{
	return print_fixed(out, v, decimals, "%+.*f", "%+.6g");
}

char *num_exact(char out[NUM_TEXT], double v)
{
	/* 15 always read back, but for numbers so small that they have fewer bits */
	int digits = fabs(v) < DBL_MIN ? 1 : DBL_DIG;
	char text[NUM_TEXT] = "";
	bool is_back = isnan(v);

	for (; !is_back && digits <= DBL_DECIMAL_DIG; digits++) {
		double back;

		snprintf(text, sizeof text, "%.*g", digits, v);
		point_in(text);
		is_back = isinf(v) || (num_parse(text, strlen(text), '.', &back, NULL) && back == v);
	}
	return strcpy(out, text);
}
