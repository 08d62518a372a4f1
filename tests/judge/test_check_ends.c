/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of the known ends of sensors: the scalings of SAE J1979. */
#include "check_util.h"

#include "data/column.h"

Suite *check_ends_suite(void);

#define PULL_S 10.0
#define PSI 6.894757293168361

static double round_to(double v, double step)
{
	return step > 0 ? step * round(v / step) : v;
}

/* Three samples at the end of a J1979 scaling are enough, in any unit that is fine enough. */
static void at_standard_end(enum quantity_id id, const char *unit, double scale, int decimals,
			    double end, double highest, size_t count, const char *words)
{
	struct bench_pull b;
	double *v;
	size_t i;

	bench_begin(&b, 10, 1, PULL_S, 1);
	v = mem_array(bench_rows(&b), sizeof *v);
	for (i = 0; i < bench_rows(&b); i++)
		v[i] = (i < 50 ? 100 + round((double)i) : 90) * scale;
	for (i = 0; i < count; i++)
		v[50 + i] = end * scale;
	v[60] = highest * scale;
	for (i = 0; i < bench_rows(&b); i++)
		v[i] = round_to(v[i], pow(10, -decimals));
	column_set_decimals(bench_add_values(&b, "sensor", id, unit, v)->column, decimals);
	bench_measure(&b, id == Q_MAP ? CHECK_MAP_FLAT : CHECK_MAF_FLAT);
	if (words != NULL) {
		CHECK_NEAR(bench_highest(&b, 0), 0.1 * (double)(count - 1), 1e-9);
		ck_assert_str_eq(b.out.list[0].detail, words);
	} else {
		CHECK_NEAR(bench_highest(&b, 0), 0, 0);
	}
	free(v);
	bench_end(&b);
}

#define ONE_BYTE "flat at 255 kPa, the end of a one-byte channel (SAE J1979)"
#define TWO_BYTES "flat at 655.35 g/s, the end of a two-byte channel (SAE J1979)"

START_TEST(test_standard_ends)
{
	at_standard_end(Q_MAP, "kPa", 1, 0, 255, 0, 3, ONE_BYTE);
	at_standard_end(Q_MAP, "kPa", 1, 1, 255, 0, 5, ONE_BYTE);
	at_standard_end(Q_MAP, "psi", 1 / PSI, 2, 255, 0, 3, ONE_BYTE);
	at_standard_end(Q_MAP, "bar", 0.01, 2, 255, 0, 3, ONE_BYTE);
	at_standard_end(Q_MAF, "g/s", 1, 2, 655.35, 0, 3, TWO_BYTES);
	at_standard_end(Q_MAF, "kg/h", 3.6, 2, 655.35, 0, 3, TWO_BYTES);
	/* Two samples, another value, a higher one elsewhere, or a log too coarse to tell. */
	at_standard_end(Q_MAP, "kPa", 1, 0, 255, 0, 2, NULL);
	at_standard_end(Q_MAP, "kPa", 1, 0, 253, 0, 3, NULL);
	at_standard_end(Q_MAP, "kPa", 1, 0, 255, 256, 3, NULL);
	at_standard_end(Q_MAP, "bar", 0.01, 1, 255, 0, 3, NULL);
	at_standard_end(Q_MAF, "g/s", 1, 2, 655.0, 0, 3, NULL);
}
END_TEST

/* A finer channel that happens to be at 255 kPa is not at the end of one byte. */
START_TEST(test_not_one_byte)
{
	struct bench_pull b;
	double *v;
	size_t i;

	bench_begin(&b, 10, 1, PULL_S, 1);
	v = mem_array(bench_rows(&b), sizeof *v);
	for (i = 0; i < bench_rows(&b); i++)
		v[i] = i < 50 ? 100.3 + (double)i : i < 54 ? 255 : 90;
	column_set_decimals(bench_add_values(&b, "map", Q_MAP, "kPa", v)->column, 1);
	bench_measure(&b, CHECK_MAP_FLAT);
	CHECK_NEAR(bench_highest(&b, 0), 0, 0);
	free(v);
	bench_end(&b);
}
END_TEST

/* In whole kPa, a live crest: a parabola of 4 kPa a second squared about 5 s. */
static double crest(double top, double t)
{
	return floor(top - 4 * (t - 5) * (t - 5) + 0.5);
}

static double crest_to_255(double t)
{
	return crest(255.4, t);
}

static double crest_beyond_255(double t)
{
	return fmin(crest(265, t), 255);
}

/* A crest that comes to 255 kPa and no further lives; one that would go beyond is cut. */
START_TEST(test_crest)
{
	struct bench_pull b;

	bench_begin(&b, 25, 1, PULL_S, 1);
	column_set_decimals(bench_add(&b, "map", Q_MAP, "kPa", crest_to_255)->column, 0);
	bench_measure(&b, CHECK_MAP_FLAT);
	ck_assert(b.out.list[0].guess);
	CHECK_NEAR(bench_highest(&b, 0), 0, 0);
	bench_end(&b);
	bench_begin(&b, 25, 1, PULL_S, 1);
	column_set_decimals(bench_add(&b, "map", Q_MAP, "kPa", crest_beyond_255)->column, 0);
	bench_measure(&b, CHECK_MAP_FLAT);
	ck_assert(!b.out.list[0].guess);
	CHECK_NEAR(bench_highest(&b, 0), 3.2, 0.1);
	bench_end(&b);
}
END_TEST

Suite *check_ends_suite(void)
{
	Suite *s = suite_create("check_ends");
	TCase *t = tcase_create("check_ends");

	tcase_add_test(t, test_standard_ends);
	tcase_add_test(t, test_not_one_byte);
	tcase_add_test(t, test_crest);
	suite_add_tcase(s, t);
	return s;
}
