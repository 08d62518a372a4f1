/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of numbers as text: read bit for bit as strtod does, printed and read back. */
#include <limits.h>
#include <locale.h>

#include "base/num.h"
#include "base_util.h"

Suite *num_suite(void);

#define SHAPES 10
#define PER_SHAPE 100000	/* SHAPES times this: a million numbers */

static bool same_bits(double a, double b)
{
	return memcmp(&a, &b, sizeof a) == 0;
}

static size_t put_digits(char *out, uint64_t *seed, int n)
{
	int i;

	for (i = 0; i < n; i++)
		out[i] = (char)('0' + rng_below(seed, 10));
	out[n] = '\0';
	return (size_t)n;
}

static size_t put_sign(char *out, uint64_t *seed)
{
	static const char *const signs[] = { "", "-", "+", "" };

	return (size_t)sprintf(out, "%s", signs[rng_below(seed, 4)]);
}

/* Digits before and behind a point, either part perhaps empty, but not both. */
static void decimal(char *out, uint64_t *seed, int whole, int fraction)
{
	const int before = rng_below(seed, whole + 1);
	int behind = rng_below(seed, fraction + 1);

	if (before + behind == 0)
		behind = 1;
	out += put_sign(out, seed);
	out += put_digits(out, seed, before);
	*out++ = '.';
	put_digits(out, seed, behind);
}

/* What a logger writes: a few digits before the point and up to four behind. */
static void shape_short(char *out, uint64_t *seed)
{
	decimal(out, seed, 5, 4);
}

/* Around the 19 digits at which the fast road ends. */
static void shape_medium(char *out, uint64_t *seed)
{
	decimal(out, seed, 12, 12);
}

static void shape_long(char *out, uint64_t *seed)
{
	decimal(out, seed, 60, 60);
}

static void shape_leading_zeros(char *out, uint64_t *seed)
{
	out += put_sign(out, seed);
	out += sprintf(out, "000.%0*d", 1 + rng_below(seed, 30), 0);
	put_digits(out, seed, 1 + rng_below(seed, 20));
}

static void shape_integer(char *out, uint64_t *seed)
{
	out += put_sign(out, seed);
	put_digits(out, seed, 1 + rng_below(seed, 25));
}

static void add_exponent(char *out, uint64_t *seed, int least, int most)
{
	static const char *const marks[] = { "e", "E", "e+", "E+" };
	const int e = least + rng_below(seed, most - least + 1);

	if (e < 0)
		sprintf(out + strlen(out), "%c%d", "eE"[rng_below(seed, 2)], e);
	else
		sprintf(out + strlen(out), "%s%0*d", marks[rng_below(seed, 4)],
			1 + rng_below(seed, 4), e);
}

/* Near the powers of ten that are exact. */
static void shape_small_exponent(char *out, uint64_t *seed)
{
	decimal(out, seed, 9, 9);
	add_exponent(out, seed, -30, 30);
}

/* Over all a double can hold, and beyond both ends. */
static void shape_any_exponent(char *out, uint64_t *seed)
{
	decimal(out, seed, 20, 20);
	add_exponent(out, seed, -360, 330);
}

/* Any double at all, printed so that it reads back. */
static void shape_bits(char *out, uint64_t *seed)
{
	uint64_t bits;
	double v;

	do {
		bits = rng_next(seed);
		memcpy(&v, &bits, sizeof v);
	} while (!isfinite(v));
	sprintf(out, "%.17g", v);
}

/*
 * Exactly half-way between two doubles, where rounding is decided by the last of
 * some fifty digits: as it is, one up, one down.
 */
static void shape_half_way(char *out, uint64_t *seed)
{
	const uint64_t odd = (rng_next(seed) >> 10 | UINT64_C(1) << 53) | 1;
	const int power = rng_below(seed, 90) - 60;
	size_t n;

	/* odd has 54 bits, so a long double holds it where a double must round */
	sprintf(out, "%.60Lf", ldexpl((long double)odd, power));
	n = strlen(out);
	switch (rng_below(seed, 3)) {
	case 0:
		sprintf(out + n, "%s", "00000000000000000001");
		break;
	case 1:
		while (out[n - 1] == '0' || out[n - 1] == '.')
			n--;
		if (strchr(out, '.') != NULL && strchr(out, '.') < out + n)
			sprintf(out + n - 1, "%c9", out[n - 1] - 1);
		break;
	default:
		break;
	}
}

/* Half-way cases short enough for the fast road's own check to be wrong by one. */
static void shape_near_limit(char *out, uint64_t *seed)
{
	const uint64_t limit = UINT64_C(1) << 53;
	const uint64_t m = limit - 1000 + (uint64_t)rng_below(seed, 2000);

	out += sprintf(out, "%llu", (unsigned long long)m);
	if (rng_below(seed, 2))
		add_exponent(out, seed, -24, 24);
	else
		sprintf(out, ".%0*d", 1 + rng_below(seed, 24), 0);
}

static void (*const shapes[SHAPES])(char *, uint64_t *) = {
	shape_short, shape_medium, shape_long, shape_leading_zeros, shape_integer,
	shape_small_exponent, shape_any_exponent, shape_bits, shape_half_way,
	shape_near_limit,
};

START_TEST(test_parse_as_strtod)
{
	uint64_t seed = 1000 + (uint64_t)_i;
	char text[400];
	int i;

	for (i = 0; i < PER_SHAPE; i++) {
		double got = -1.0;

		shapes[_i](text, &seed);
		if (!num_parse(text, strlen(text), '.', &got, NULL))
			ck_abort_msg("'%s' was refused", text);
		if (!same_bits(got, strtod(text, NULL)))
			ck_abort_msg("'%s' gave %a, strtod %a", text, got, strtod(text, NULL));
	}
}
END_TEST

/* The same text with a comma is the same number, and a point is refused. */
START_TEST(test_parse_comma)
{
	uint64_t seed = 2000 + (uint64_t)_i;
	char text[400];
	int i;

	for (i = 0; i < 2000; i++) {
		const char *point;
		double got = -1.0;
		double want;

		shapes[_i](text, &seed);
		want = strtod(text, NULL);
		point = strchr(text, '.');
		ck_assert(point == NULL || !num_parse(text, strlen(text), ',', &got, NULL));
		if (point != NULL)
			text[point - text] = ',';
		ck_assert(num_parse(text, strlen(text), ',', &got, NULL));
		ck_assert_msg(same_bits(got, want), "'%s'", text);
	}
}
END_TEST

/*
 * A locale of our own with a decimal comma: whether the machine has any does not
 * matter, as long as it has localedef.
 */
static void enter_comma_locale(const char *dir)
{
	char *source = path_join(dir, "source");
	char *command = mem_printf("localedef -c -i '%s' '%s/comma' >'%s/log' 2>&1", source, dir, dir);

	put_file(source, "LC_NUMERIC\ndecimal_point \",\"\nthousands_sep \".\"\ngrouping 3;3\n"
			 "END LC_NUMERIC\n");
	(void)!system(command);		/* not 0: it warns of what is left out */
	setenv("LOCPATH", dir, 1);
	setlocale(LC_ALL, "comma");
	free(command);
	free(source);
}

START_TEST(test_in_locale)
{
	static const char long_number[] = "3.14159265358979323846264338327950288e2";
	char *dir = new_folder();
	char out[NUM_TEXT], own[NUM_TEXT];
	double v;

	enter_comma_locale(dir);
	snprintf(own, sizeof own, "%.1f", 1.5);
	if (strcmp(own, "1,5") != 0)
		fputs("no localedef: numbers were not tried under a decimal comma\n", stderr);
	ck_assert(num_parse("1.25", 4, '.', &v, NULL) && v == 1.25);
	ck_assert(num_parse("1,25", 4, ',', &v, NULL) && v == 1.25);
	ck_assert(!num_parse("1,25", 4, '.', &v, NULL));
	ck_assert(num_parse(long_number, strlen(long_number), '.', &v, NULL));
	ck_assert_double_eq(v, 314.159265358979323846264338327950288);
	ck_assert_str_eq(num_fixed(out, 1234567.5, 2), "1234567.50");
	ck_assert_str_eq(num_fixed(out, -0.25, 1), "-0.2");
	ck_assert_str_eq(num_signed(out, 0.5, 1), "+0.5");
	ck_assert_str_eq(num_signed(out, -0.001, 1), "0.0");
	ck_assert_str_eq(num_exact(out, 0.1), "0.1");
	ck_assert_str_eq(num_exact(out, 1.5e300), "1.5e+300");
	ck_assert_str_eq(num_exact(out, 1.0 / 3.0), "0.3333333333333333");
	/* and the locale is as it was */
	snprintf(out, sizeof out, "%.1f", 1.5);
	ck_assert_str_eq(out, own);
	setlocale(LC_ALL, "C");
	drop_folder(dir);
}
END_TEST

static const char *const refused[] = {
	"", " ", "\t", ".", "-", "+", "-.", "+.", "e", "e5", ".e5", "-e5", "1e", "1e+", "1e-",
	"1E", "1.5e", "1..2", "1.2.3", ".1.", "..1", "1,2", "--1", "+-1", "-+1", "1-", "1+",
	"- 1", "1 2", "1. 5", "1 e5", "1e 5", "1e5.0", "1e5e5", "0x10", "0X1p3", "x", "1x", "x1",
	"inf", "INF", "-inf", "infinity", "nan", "NAN", "-nan", "nan(1)", "NaN", "1f", "1.0f",
	"1d5", "1_000", "1'000", "1e+-5", "\n1", "1\n", "1\r", "\v1", "1%", "$1", "(1)", "1;",
	"\xc2\xa0" "1", "\xe2\x88\x92" "1", "\xef\xbb\xbf" "1", "12:30", "1/2",
};

START_TEST(test_parse_refused)
{
	double v = 77.0;
	int decimals = 33;

	ck_assert_msg(!num_parse(refused[_i], strlen(refused[_i]), '.', &v, &decimals), "'%s'",
		      refused[_i]);
	ck_assert(v == 77.0 && decimals == 33);
}
END_TEST

static const struct {
	const char *text;
	double want;
	int decimals;
} accepted[] = {
	{ "0", 0.0, 0 }, { "-0", -0.0, 0 }, { "-0.000", -0.0, 3 }, { "5.", 5.0, 0 },
	{ ".5", 0.5, 1 }, { "+7", 7.0, 0 }, { "  12.50\t", 12.5, 2 }, { "007", 7.0, 0 },
	{ "1e3", 1000.0, 0 }, { "1.50E-2", 0.015, 0 }, { "0e999999999999", 0.0, 0 },
	{ "9007199254740993", 9007199254740992.0, 0 }, { "1e-999999999999", 0.0, 0 },
	{ "4.9406564584124654e-324", 4.9406564584124654e-324, 0 },
	{ "2.4703282292062327e-324", 0.0, 0 }, { "2.4703282292062329e-324", 5e-324, 0 },
	{ "1.7976931348623157e308", 1.7976931348623157e308, 0 },
	{ "2.2250738585072011e-308", 2.2250738585072011e-308, 0 },
	{ "2.2250738585072012e-308", 2.2250738585072014e-308, 0 },
	{ "1e22", 1e22, 0 }, { "1e23", 1e23, 0 }, { "123456789012345678901234", 1.2345678901234568e23, 0 },
};

START_TEST(test_parse_accepted)
{
	int decimals = -1;
	double v = 77.0;

	ck_assert(num_parse(accepted[_i].text, strlen(accepted[_i].text), '.', &v, &decimals));
	ck_assert_msg(same_bits(v, accepted[_i].want), "'%s' gave %a", accepted[_i].text, v);
	ck_assert_int_eq(decimals, accepted[_i].decimals);
}
END_TEST

/* Only n bytes count, whatever follows, and a NUL within them is no digit. */
START_TEST(test_parse_length)
{
	char *exact = mem_try_array(3, 1);
	double v;

	memcpy(exact, "1.5", 3);	/* no terminator: a sanitizer sees any step beyond */
	ck_assert(num_parse(exact, 3, '.', &v, NULL) && v == 1.5);
	free(exact);
	ck_assert(num_parse("12345", 2, '.', &v, NULL) && v == 12.0);
	ck_assert(!num_parse("1\0" "2", 3, '.', &v, NULL));
	ck_assert(!num_parse("1", 0, '.', &v, NULL));
}
END_TEST

static const struct {
	const char *text;
	long low, high;
	bool ok;
	long want;
} wholes[] = {
	{ "1", 1, 9, true, 1 }, { "9", 1, 9, true, 9 }, { "0", 1, 9, false, 0 },
	{ "10", 1, 9, false, 0 }, { "-3", -5, 5, true, -3 }, { " 4 ", 0, 9, true, 4 },
	{ "1.5", 0, 9, false, 0 }, { "", 0, 9, false, 0 }, { "x", 0, 9, false, 0 },
	{ "3x", 0, 9, false, 0 }, { "1e400", 0, LONG_MAX, false, 0 },
	{ "-1e400", LONG_MIN, 0, false, 0 },
	{ "9223372036854775808", 0, LONG_MAX, false, 0 },
	{ "99999999999999999999", 0, LONG_MAX, false, 0 },
	/* not a double: must not silently become its neighbour */
	{ "9007199254740993", 0, LONG_MAX, false, 0 },
	{ "9007199254740991", 0, LONG_MAX, true, 9007199254740991 },
};

START_TEST(test_parse_int)
{
	long v = 77;

	ck_assert_int_eq(num_parse_int(wholes[_i].text, wholes[_i].low, wholes[_i].high, &v),
			 wholes[_i].ok);
	ck_assert_int_eq(v, wholes[_i].ok ? wholes[_i].want : 77);
}
END_TEST

START_TEST(test_fixed)
{
	char out[NUM_TEXT];

	ck_assert_str_eq(num_fixed(out, 1.25, 1), "1.2");	/* half to even, exact in binary */
	ck_assert_str_eq(num_fixed(out, 2.5, 0), "2");
	ck_assert_str_eq(num_fixed(out, -0.04, 1), "0.0");
	ck_assert_str_eq(num_fixed(out, -0.0, 0), "0");
	ck_assert_str_eq(num_fixed(out, -0.06, 1), "-0.1");
	ck_assert_str_eq(num_fixed(out, NAN, 3), "-");
	ck_assert_str_eq(num_signed(out, NAN, 3), "-");
	ck_assert_str_eq(num_signed(out, 3.0, 1), "+3.0");
	ck_assert_str_eq(num_signed(out, -3.0, 1), "-3.0");
	/* what rounds to zero reads the same from either side */
	ck_assert_str_eq(num_signed(out, 0.04, 1), "0.0");
	ck_assert_str_eq(num_signed(out, -0.04, 1), "0.0");
	ck_assert_str_eq(num_signed(out, -0.0, 0), "0");
	/* too long for the room: shorter, but still with its sign and no overrun */
	ck_assert_str_eq(num_fixed(out, 1e300, 2), "1e+300");
	ck_assert_str_eq(num_signed(out, 1e300, 2), "+1e+300");
	ck_assert_str_eq(num_signed(out, -1e300, 2), "-1e+300");
	ck_assert_uint_lt(strlen(num_fixed(out, -1.2345678e37, 6)), NUM_TEXT);
}
END_TEST

/* Read back, a fixed number is off by half a unit of its last decimal at most. */
START_TEST(test_fixed_round_trip)
{
	uint64_t seed = 3000;
	char out[NUM_TEXT];
	int i;

	for (i = 0; i < 50000; i++) {
		const double v = rng_magnitude(&seed, 8.0);
		const int decimals = rng_below(&seed, 9);
		int seen = -1;
		double back;

		num_fixed(out, v, decimals);
		ck_assert(num_parse(out, strlen(out), '.', &back, &seen));
		ck_assert_int_eq(seen, decimals);
		ck_assert_double_le(fabs(back - v), 0.5 * pow(10.0, -decimals) + 1e-15 * fabs(v));
		num_signed(out, v, decimals);
		ck_assert(num_parse(out, strlen(out), '.', &back, NULL));
		ck_assert(back == 0.0 || out[0] == (v < 0.0 ? '-' : '+'));
	}
}
END_TEST

/* The fewest digits with which strtod gives v back. */
static int fewest_digits(double v)
{
	char out[NUM_TEXT];
	int digits;

	for (digits = 1; digits < 17; digits++) {
		snprintf(out, sizeof out, "%.*e", digits - 1, v);
		if (strtod(out, NULL) == v)
			break;
	}
	return digits;
}

static int digits_in(const char *s)
{
	int digits = 0;
	int zeros = 0;

	for (; *s != '\0' && *s != 'e'; s++) {
		if (*s < '0' || *s > '9' || (digits == 0 && *s == '0'))
			continue;
		zeros = *s == '0' ? zeros + 1 : 0;
		digits++;
	}
	return digits - zeros;
}

START_TEST(test_exact)
{
	static const double edges[] = {
		0.1, 1.0 / 3.0, 1e22, 1e23, 123456.789, 5e-324, 1e-320, 2.5e-310,
		2.2250738585072014e-308, 1.7976931348623157e308, 9007199254740993.0, -0.0, 100.0,
	};
	uint64_t seed = 4000;
	char out[NUM_TEXT];
	char shape[64];
	size_t i;

	ck_assert_str_eq(num_exact(out, NAN), "");
	ck_assert_str_eq(num_exact(out, 100.0), "100");
	ck_assert_str_eq(num_exact(out, 0.1), "0.1");
	for (i = 0; i < 20000 + COUNT(edges); i++) {
		double v, back;

		if (i < COUNT(edges)) {
			v = edges[i];
		} else {
			shape_bits(shape, &seed);
			v = strtod(shape, NULL);
		}
		num_exact(out, v);
		ck_assert(num_parse(out, strlen(out), '.', &back, NULL));
		ck_assert_msg(same_bits(back, v), "%a printed as %s", v, out);
		if (v != 0.0)
			ck_assert_msg(digits_in(out) == fewest_digits(v), "%s has %d digits, %d do",
				      out, digits_in(out), fewest_digits(v));
	}
}
END_TEST

Suite *num_suite(void)
{
	Suite *s = suite_create("num");
	TCase *t = tcase_create("num");

	tcase_set_timeout(t, 120);
	tcase_add_loop_test(t, test_parse_as_strtod, 0, SHAPES);
	tcase_add_loop_test(t, test_parse_comma, 0, SHAPES);
	tcase_add_test(t, test_in_locale);
	tcase_add_loop_test(t, test_parse_refused, 0, COUNT(refused));
	tcase_add_loop_test(t, test_parse_accepted, 0, COUNT(accepted));
	tcase_add_test(t, test_parse_length);
	tcase_add_loop_test(t, test_parse_int, 0, COUNT(wholes));
	tcase_add_test(t, test_fixed);
	tcase_add_test(t, test_fixed_round_trip);
	tcase_add_test(t, test_exact);
	suite_add_tcase(s, t);
	return s;
}
