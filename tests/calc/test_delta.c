/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of differences by bands, through a span, and where they are largest. */
#include "calc/delta.h"
#include "calc_util.h"

Suite *delta_suite(void);

struct fixture {
	struct datalog *a, *b;
	struct overlay o;
	struct pairing pairs;
};

/* A: 2000 to 7000 rpm in 10 s.  B: 2250 to 6250 in 5 s. */
static double rpm_a(double t)
{
	return 2000.0 + 500.0 * t;
}

static double rpm_b(double t)
{
	return 2250.0 + 800.0 * t;
}

/* Straight lines over rpm, so that the means of a band are its middle's values. */
static double boost_a(double t)
{
	return 0.02 * (rpm_a(t) - 2000.0) - 20.0;
}

static double boost_b(double t)
{
	return 0.03 * (rpm_b(t) - 2000.0) - 20.0;
}

static double zero(double t)
{
	(void)t;
	return 0.0;
}

static double one(double t)
{
	(void)t;
	return 1.0;
}

static void setup(struct fixture *f)
{
	f->a = make_even_log("a.csv", 0.05, 201);
	f->b = make_even_log("b.csv", 0.04, 126);
	put_function(f->a, "rpm", Q_RPM, "rpm", rpm_a);
	put_function(f->a, "boost", Q_BOOST, "kPa", boost_a);
	put_function(f->a, "zero", Q_NONE, NULL, zero);
	put_function(f->a, "only a", Q_NONE, NULL, one);
	put_function(f->b, "rpm", Q_RPM, "rpm", rpm_b);
	put_function(f->b, "boost", Q_BOOST, "kPa", boost_b);
	put_function(f->b, "zero", Q_NONE, NULL, one);
	f->o = (struct overlay){ .axis = AXIS_RPM, .align = ALIGN_CROSSING, .crossing = NAN };
	make_run(&f->o.a, f->a, 0, 200);
	make_run(&f->o.b, f->b, 0, 125);
	ck_assert(overlay_align(&f->o));
	pairing_build(&f->pairs, f->a, f->b, UNITS_FILE);
	ck_assert_uint_eq(f->pairs.count, 4);
}

static void teardown(struct fixture *f)
{
	pairing_release(&f->pairs);
	overlay_release(&f->o);
	datalog_free(f->a);
	datalog_free(f->b);
}

static void compute(struct delta *d, const struct fixture *f, double from, double to,
		    double width)
{
	ck_assert_int_eq(delta_compute(d, &f->o, &f->pairs, from, to, width, NULL), ERR_NONE);
}

/* Bands begin at multiples of the width; the first and last are cut to what both cover. */
START_TEST(test_bands)
{
	static const double ends[] = { 2250, 2500, 3000, 3500, 4000, 4500, 5000, 5500, 6000, 6250 };
	struct fixture f;
	struct delta d;
	size_t i;

	setup(&f);
	compute(&d, &f, NAN, NAN, 500.0);
	CHECK_NEAR(d.from, 2250.0, 1e-9);
	CHECK_NEAR(d.to, 6250.0, 1e-9);
	ck_assert_uint_eq(d.band_count, COUNT(ends) - 1);
	for (i = 0; i < d.band_count; i++) {
		const struct delta_band *band = &d.bands[i];
		const double middle = 0.5 * (ends[i] + ends[i + 1]);

		CHECK_NEAR(band->from, ends[i], 1e-9);
		CHECK_NEAR(band->to, ends[i + 1], 1e-9);
		CHECK_NEAR(band->cells[0].a, middle, 1e-8);
		CHECK_NEAR(band->cells[0].delta, 0.0, 1e-8);
		CHECK_NEAR(band->cells[1].a, 0.02 * (middle - 2000.0) - 20.0, 1e-10);
		CHECK_NEAR(band->cells[1].b, 0.03 * (middle - 2000.0) - 20.0, 1e-10);
		CHECK_NEAR(band->cells[1].delta, 0.01 * (middle - 2000.0), 1e-10);
		CHECK_NEAR(band->elapsed_a, (ends[i + 1] - ends[i]) / 500.0, 1e-9);
		CHECK_NEAR(band->elapsed_b, (ends[i + 1] - ends[i]) / 800.0, 1e-9);
	}
	CHECK_NEAR(d.elapsed_a, 8.0, 1e-9);
	CHECK_NEAR(d.elapsed_b, 5.0, 1e-9);
	delta_release(&d);
	teardown(&f);
}
END_TEST

/* Per cent of what A has, signed as B - A whatever A's sign; none of nothing. */
START_TEST(test_percent)
{
	struct fixture f;
	struct delta d;

	setup(&f);
	compute(&d, &f, 2500.0, 3000.0, 500.0);
	ck_assert_uint_eq(d.band_count, 1);
	/* A is -5 there, B 2.5: up by 150 per cent */
	CHECK_NEAR(d.bands[0].cells[1].a, -5.0, 1e-10);
	CHECK_NEAR(d.bands[0].cells[1].percent, 150.0, 1e-9);
	CHECK_NEAR(d.bands[0].cells[2].delta, 1.0, 1e-12);
	ck_assert_double_nan(d.bands[0].cells[2].percent);
	/* a channel that B lacks */
	CHECK_NEAR(d.bands[0].cells[3].a, 1.0, 1e-12);
	ck_assert_double_nan(d.bands[0].cells[3].b);
	ck_assert_double_nan(d.bands[0].cells[3].delta);
	ck_assert_double_nan(d.bands[0].cells[3].percent);
	ck_assert_double_nan(d.largest[3].delta);
	delta_release(&d);
	teardown(&f);
}
END_TEST

START_TEST(test_largest)
{
	struct fixture f;
	struct delta d;

	setup(&f);
	compute(&d, &f, NAN, NAN, 500.0);
	CHECK_NEAR(d.largest[1].delta, 42.5, 1e-9);
	CHECK_NEAR(d.largest[1].at, 6250.0, 1e-9);
	CHECK_NEAR(d.largest[1].a, 65.0, 1e-9);
	CHECK_NEAR(d.largest[1].b, 107.5, 1e-9);
	delta_release(&d);
	compute(&d, &f, 3000.0, 4000.0, 500.0);
	CHECK_NEAR(d.largest[1].delta, 20.0, 1e-9);
	CHECK_NEAR(d.largest[1].at, 4000.0, 1e-9);
	delta_release(&d);
	teardown(&f);
}
END_TEST

/* A span is cut to what both cover; outside of it there is nothing to compare. */
START_TEST(test_span)
{
	struct err e = ERR_INIT;
	struct fixture f;
	struct delta d;

	setup(&f);
	compute(&d, &f, 0.0, 2600.0, 250.0);
	CHECK_NEAR(d.from, 2250.0, 1e-9);
	ck_assert_uint_eq(d.band_count, 2);
	CHECK_NEAR(d.bands[1].from, 2500.0, 1e-9);
	CHECK_NEAR(d.bands[1].to, 2600.0, 1e-9);
	delta_release(&d);
	ck_assert_int_eq(delta_compute(&d, &f.o, &f.pairs, 6500.0, 7000.0, 500.0, &e), ERR_DATA);
	ck_assert_ptr_nonnull(strstr(e.text, "rpm axis"));
	ck_assert_ptr_null(d.bands);
	delta_release(&d);
	teardown(&f);
}
END_TEST

/* On the time axis bands are of seconds, and both take as long through each. */
START_TEST(test_time_axis)
{
	struct fixture f;
	struct delta d;
	size_t i;

	setup(&f);
	f.o.axis = AXIS_TIME;
	f.o.align = ALIGN_START;
	ck_assert(overlay_align(&f.o));
	compute(&d, &f, NAN, NAN, 0.1);
	CHECK_NEAR(d.from, 0.0, 1e-12);
	CHECK_NEAR(d.to, 5.0, 1e-12);
	ck_assert_uint_eq(d.band_count, 50);
	for (i = 0; i < d.band_count; i++) {
		CHECK_NEAR(d.bands[i].from, 0.1 * (double)i, 1e-12);
		CHECK_NEAR(d.bands[i].elapsed_b, 0.1, 1e-12);
		CHECK_NEAR(d.bands[i].cells[0].a, 2000.0 + 50.0 * (double)i + 25.0, 1e-8);
		CHECK_NEAR(d.bands[i].cells[0].b, 2250.0 + 80.0 * (double)i + 40.0, 1e-8);
	}
	delta_release(&d);
	/* below zero too */
	f.o.align = ALIGN_CROSSING;
	f.o.crossing = 4000.0;
	ck_assert(overlay_align(&f.o));
	compute(&d, &f, -2.0, 2.0, 0.5);
	ck_assert_uint_eq(d.band_count, 8);
	CHECK_NEAR(d.bands[0].from, -2.0, 1e-12);
	CHECK_NEAR(d.bands[4].from, 0.0, 1e-12);
	CHECK_NEAR(d.bands[4].cells[0].delta, 0.25 * 300.0, 1e-8);
	delta_release(&d);
	teardown(&f);
}
END_TEST

/* However many bands: they cover the span without a gap, or it is an error. */
START_TEST(test_many_bands)
{
	struct err e = ERR_INIT;
	struct fixture f;
	struct delta d;

	setup(&f);
	compute(&d, &f, NAN, NAN, 1.0);
	ck_assert_uint_eq(d.band_count, 4000);
	CHECK_NEAR(d.bands[3999].to, 6250.0, 1e-9);
	delta_release(&d);
	compute(&d, &f, NAN, NAN, 1e6);
	ck_assert_uint_eq(d.band_count, 1);
	delta_release(&d);
	ck_assert_int_eq(delta_compute(&d, &f.o, &f.pairs, NAN, NAN, 0.001, &e), ERR_DATA);
	ck_assert_ptr_nonnull(strstr(e.text, "bands"));
	delta_release(&d);
	teardown(&f);
}
END_TEST

/* Weighted by what each covers, the bands' means give the mean of the whole. */
START_TEST(test_bands_add_up)
{
	uint64_t seed = 151;
	int round;

	for (round = 0; round < 50; round++) {
		const double width = rng_range(&seed, 50, 3000);
		double sum = 0.0;
		struct fixture f;
		struct delta d, all;
		size_t i;

		setup(&f);
		compute(&d, &f, NAN, NAN, width);
		compute(&all, &f, NAN, NAN, 1e6);
		for (i = 0; i < d.band_count; i++) {
			ck_assert(i == 0 || d.bands[i].from == d.bands[i - 1].to);
			sum += (d.bands[i].to - d.bands[i].from) * d.bands[i].cells[1].delta;
		}
		CHECK_NEAR(sum / (d.to - d.from), all.bands[0].cells[1].delta, 1e-9);
		delta_release(&d);
		delta_release(&all);
		teardown(&f);
	}
}
END_TEST

Suite *delta_suite(void)
{
	Suite *s = suite_create("delta");
	TCase *t = tcase_create("delta");

	tcase_set_timeout(t, 60);
	tcase_add_test(t, test_bands);
	tcase_add_test(t, test_percent);
	tcase_add_test(t, test_largest);
	tcase_add_test(t, test_span);
	tcase_add_test(t, test_time_axis);
	tcase_add_test(t, test_many_bands);
	tcase_add_test(t, test_bands_add_up);
	suite_add_tcase(s, t);
	return s;
}
