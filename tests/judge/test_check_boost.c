/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of the checks of boost, with pulls whose values are worked out by hand. */
#include "check_util.h"

Suite *check_boost_suite(void);

#define PI 3.14159265358979323846
#define BARO 100.0

/* Gauge, kPa: up to 100 in two seconds, there for good. */
static double boost_steady(double t)
{
	return t < 0 ? -60 : fmin(50 * t, 100);
}

static double map_steady(double t)
{
	return boost_steady(t) + BARO;
}

/* The same with 30 kPa more from 5 to 7 s. */
static double boost_high(double t)
{
	return boost_steady(t) + (t >= 5 && t <= 7 ? 30 : 0);
}

static double boost_low_psi(double t)
{
	return (boost_steady(t) - (t >= 5 && t <= 7 ? 30 : 0)) / 6.894757293168361;
}

static double map_high_bar(double t)
{
	return (boost_high(t) + BARO) / 100;
}

static void assert_relation(const struct bench_pull *b, enum check_relation relation)
{
	ck_assert_uint_eq(b->out.count, 1);
	ck_assert_int_eq(b->out.list[0].relation, relation);
	ck_assert_uint_gt(b->out.list[0].reference.n, 0);
}

START_TEST(over_is_actual_less_target)
{
	struct bench_pull b;

	bench_begin(&b, 20, 2, 10, 2);
	bench_add(&b, "boost", Q_BOOST, "kPa", boost_high);
	bench_add_constant(&b, "boost target", Q_BOOST_TARGET, "bar", 1.0);
	bench_measure(&b, CHECK_BOOST_OVER);
	assert_relation(&b, RELATION_ABOVE);
	CHECK_NEAR(bench_value(&b, 0, 1.0), -50, 1e-9);
	CHECK_NEAR(bench_value(&b, 0, 4.0), 0, 1e-9);
	CHECK_NEAR(bench_value(&b, 0, 6.0), 30, 1e-9);
	CHECK_NEAR(b.out.list[0].reference.v[0], 100, 1e-9);
	bench_end(&b);
}
END_TEST

START_TEST(under_is_target_less_actual_in_psi)
{
	struct bench_pull b;

	bench_begin(&b, 20, 2, 10, 2);
	bench_add(&b, "boost", Q_BOOST, "psi", boost_low_psi);
	bench_add_constant(&b, "boost target", Q_BOOST_TARGET, "kPa", 100);
	bench_measure(&b, CHECK_BOOST_UNDER);
	assert_relation(&b, RELATION_BELOW);
	CHECK_NEAR(bench_value(&b, 0, 4.0), 0, 1e-9);
	CHECK_NEAR(bench_value(&b, 0, 6.0), 30, 1e-9);
	bench_end(&b);
}
END_TEST

START_TEST(absolute_goes_with_absolute)
{
	struct bench_pull b;

	bench_begin(&b, 20, 2, 10, 2);
	bench_add(&b, "map", Q_MAP, "bar", map_high_bar);
	bench_add_constant(&b, "map target", Q_MAP_TARGET, "kPa", 200);
	bench_measure(&b, CHECK_BOOST_OVER);
	CHECK_NEAR(bench_value(&b, 0, 6.0), 30, 1e-9);
	bench_end(&b);
}
END_TEST

START_TEST(gauge_and_absolute_do_not_go_together)
{
	static const enum check_id ids[] = { CHECK_BOOST_OVER, CHECK_BOOST_UNDER,
					     CHECK_BOOST_OVERSHOOT };
	struct bench_pull b;
	size_t i;

	bench_begin(&b, 20, 2, 10, 2);
	bench_add(&b, "boost", Q_BOOST, "kPa", boost_steady);
	bench_add_constant(&b, "map target", Q_MAP_TARGET, "kPa", 200);
	for (i = 0; i < sizeof ids / sizeof ids[0]; i++) {
		bench_measure(&b, ids[i]);
		bench_assert_refused(&b, "barometric pressure is missing");
	}
	bench_end(&b);
	bench_begin(&b, 20, 2, 10, 2);
	bench_add(&b, "map", Q_MAP, "kPa", map_steady);
	bench_add_constant(&b, "boost target", Q_BOOST_TARGET, "kPa", 100);
	bench_measure(&b, CHECK_BOOST_OVER);
	bench_assert_refused(&b, "boost is absolute and its target gauge");
	bench_end(&b);
}
END_TEST

START_TEST(gauge_is_taken_first_of_two_pairs)
{
	struct bench_pull b;

	bench_begin(&b, 20, 2, 10, 2);
	bench_add(&b, "map", Q_MAP, "kPa", map_steady);
	bench_add_constant(&b, "map target", Q_MAP_TARGET, "kPa", 150);
	bench_add(&b, "boost", Q_BOOST, "kPa", boost_high);
	bench_add_constant(&b, "boost target", Q_BOOST_TARGET, "kPa", 100);
	bench_measure(&b, CHECK_BOOST_OVER);
	ck_assert_str_eq(b.out.list[0].channel->name, "boost");
	CHECK_NEAR(bench_value(&b, 0, 6.0), 30, 1e-9);
	bench_end(&b);
}
END_TEST

/* A target in MPa whose unit was guessed as bar must not make everything a finding. */
START_TEST(guessed_units_that_do_not_fit_are_refused)
{
	struct bench_pull b;
	struct channel *target;

	bench_begin(&b, 20, 2, 10, 2);
	bench_add(&b, "boost", Q_BOOST, "kPa", boost_steady);
	target = bench_add_constant(&b, "boost target", Q_BOOST_TARGET, "bar", 0.1);
	bench_measure(&b, CHECK_BOOST_OVER);
	CHECK_NEAR(bench_value(&b, 0, 6.0), 90, 1e-9);
	*target->raw_unit = '\0';
	bench_measure(&b, CHECK_BOOST_OVER);
	bench_assert_refused(&b, "units of boost and its target do not fit");
	bench_end(&b);
}
END_TEST

/* Boost in rows of its own turn: target between its own samples, none of it made up. */
START_TEST(polled_and_missing_samples)
{
	struct bench_pull b;
	const struct series *v;
	size_t i;

	bench_begin(&b, 20, 2, 10, 2);
	bench_add_polled(&b, "boost", Q_BOOST, "kPa", boost_high, 4, 1);
	bench_add_polled(&b, "boost target", Q_BOOST_TARGET, "kPa", map_steady, 4, 3);
	bench_measure(&b, CHECK_BOOST_OVER);
	v = &b.out.list[0].value;
	ck_assert_uint_ge(v->n, 48);
	ck_assert_uint_le(v->n, 51);
	for (i = 0; i < v->n; i++)
		if (v->t[i] > 2.5)
			CHECK_NEAR(v->v[i], v->t[i] >= 5 && v->t[i] <= 7 ? -70 : -100, 1e-9);
	bench_end(&b);
}
END_TEST

/* 100 kPa are reached at 2 s; a peak of 40 over it in the first second, 25 later on. */
static double boost_peaks(double t)
{
	double v = t < 0 ? -60 : fmin(50 * t, 100);

	if (t > 2 && t < 2.8)
		v += 40 * sin(PI * (t - 2) / 0.8);
	if (t > 5 && t < 6)
		v += 25;
	return v;
}

START_TEST(overshoot_is_what_follows_the_spool)
{
	struct bench_pull b;
	const struct series *v;

	bench_begin(&b, 50, 2, 10, 2);
	bench_add(&b, "boost", Q_BOOST, "kPa", boost_peaks);
	bench_add_constant(&b, "boost target", Q_BOOST_TARGET, "kPa", 100);
	bench_measure(&b, CHECK_BOOST_OVERSHOOT);
	assert_relation(&b, RELATION_ABOVE);
	v = &b.out.list[0].value;
	/* Near the target from 95 kPa on, which is at 1.9 s; then for a second. */
	CHECK_NEAR(b.scene.spooled_s, 1.9, 0.1);
	CHECK_NEAR(v->t[0], b.scene.spooled_s, 0.02);
	CHECK_NEAR(v->t[v->n - 1], b.scene.spooled_s + 1, 0.02);
	CHECK_NEAR(bench_highest(&b, 0), 40, 1e-9);
	bench_end(&b);
}
END_TEST

/* Up to 150 kPa at 3 s, and 10 kPa less each second from there on. */
static double boost_fades(double t)
{
	return t < 0 ? -60 : t < 3 ? 50 * t : 150 - 10 * (t - 3);
}

START_TEST(falls_since_the_highest)
{
	struct bench_pull b;

	bench_begin(&b, 50, 2, 10, 2);
	bench_add(&b, "boost", Q_BOOST, "kPa", boost_fades);
	bench_measure(&b, CHECK_BOOST_FALLS);
	ck_assert_uint_eq(b.out.count, 1);
	CHECK_NEAR(bench_value(&b, 0, 2.0), 0, 1e-9);
	/*
	 * 60 at 9 s but for the top, which the mean over 0.6 s blunts: at best it lies 0.1 s on
	 * the slope of 50 and 0.5 s on that of 10, (50 x 0.1^2 + 10 x 0.5^2) / 2 / 0.6.
	 */
	CHECK_NEAR(bench_value(&b, 0, 9.0), 60 - 2.5, 0.1);
	bench_end(&b);
}
END_TEST

START_TEST(falls_is_for_logs_without_a_target)
{
	struct bench_pull b;

	bench_begin(&b, 50, 2, 10, 2);
	bench_add(&b, "boost", Q_BOOST, "kPa", boost_fades);
	bench_add_constant(&b, "boost target", Q_BOOST_TARGET, "kPa", 150);
	bench_measure(&b, CHECK_BOOST_FALLS);
	bench_assert_refused(&b, "judged against its target");
	bench_end(&b);
	bench_begin(&b, 50, 2, 10, 2);
	bench_add(&b, "boost", Q_BOOST, "V", boost_fades);
	bench_measure(&b, CHECK_BOOST_FALLS);
	bench_assert_refused(&b, "cannot be converted into kPa");
	bench_end(&b);
}
END_TEST

/* A swing of 15 kPa about a boost that rises and falls slowly; noise of 1 kPa. */
static double swing_hz;
static uint64_t swing_seed;

static double boost_swings(double t)
{
	const double course = t < 0 ? -60 : t < 2 ? 50 * t : 100 + 10 * sin(0.4 * (t - 2));
	const double swing = t > 2 ? 15 * sin(2 * PI * swing_hz * (t - 2)) : 0;

	return course + swing + bench_noise(&swing_seed);
}

static void assert_swing(double rate, double hz)
{
	struct bench_pull b;
	char text[16];
	const struct series *v;
	size_t i;

	swing_hz = hz;
	swing_seed = 7;
	bench_begin(&b, rate, 2, 12, 2);
	bench_add(&b, "boost", Q_BOOST, "kPa", boost_swings);
	bench_measure(&b, CHECK_BOOST_SWING);
	ck_assert_uint_eq(b.out.count, 1);
	v = &b.out.list[0].value;
	ck_assert_double_lt(v->t[0], 5.0);
	CHECK_NEAR(v->t[v->n - 1], 12, 1e-9);
	for (i = 0; i < v->n; i++)
		CHECK_NEAR(v->v[i], 15, 0.15 * 15);
	snprintf(text, sizeof text, "%.1f Hz", hz);
	ck_assert_str_eq(b.out.list[0].detail, text);
	bench_end(&b);
}

START_TEST(amplitude_of_a_swing)
{
	assert_swing(20, 2.5);
	assert_swing(50, 2.5);
	assert_swing(100, 2.5);
	assert_swing(50, 1.5);
	assert_swing(50, 3.2);
	assert_swing(50, 4.0);
	assert_swing(20, 4.0);
	assert_swing(20, 1.5);
}
END_TEST

/* What a sound car does, all at once: spool, overshoot, a bend, a fall, noise of 1 kPa. */
static double boost_sound(double t)
{
	double v = t < 0 ? -60 : fmin(45 * t, 110);

	if (t > 2.4 && t < 3.2)
		v += 25 * sin(PI * (t - 2.4) / 0.8);
	if (t > 6)
		v -= 12 * (t - 6);
	return v + bench_noise(&swing_seed);
}

START_TEST(a_sound_boost_does_not_swing)
{
	static const double rates[] = { 8, 10, 20, 50, 100 };
	struct bench_pull b;
	size_t i, k;

	for (i = 0; i < sizeof rates / sizeof rates[0]; i++)
		for (k = 0; k < 20; k++) {
			swing_seed = 100 + k;
			bench_begin(&b, rates[i], 2, 10, 2);
			bench_add(&b, "boost", Q_BOOST, "kPa", boost_sound);
			bench_measure(&b, CHECK_BOOST_SWING);
			ck_assert_uint_eq(b.out.count, 1);
			ck_assert_double_lt(bench_highest(&b, 0), 4);
			bench_end(&b);
		}
}
END_TEST

static double target_steps(double t)
{
	return t < 6 ? 100 : 140;
}

static double boost_steps(double t)
{
	return t < 0 ? -60 : fmin(50 * t, 100) + (t > 6 ? 40 * (1 - exp(-(t - 6) / 0.1)) : 0);
}

START_TEST(one_step_is_no_swing)
{
	struct bench_pull b;

	bench_begin(&b, 50, 2, 12, 2);
	bench_add(&b, "boost", Q_BOOST, "kPa", boost_steps);
	bench_measure(&b, CHECK_BOOST_SWING);
	ck_assert_double_lt(bench_highest(&b, 0), 4);
	bench_end(&b);
	/* The target's own step is not the boost's either. */
	bench_begin(&b, 50, 2, 12, 2);
	bench_add(&b, "boost", Q_BOOST, "kPa", boost_steps);
	bench_add(&b, "boost target", Q_BOOST_TARGET, "kPa", target_steps);
	bench_measure(&b, CHECK_BOOST_SWING);
	ck_assert_double_lt(bench_highest(&b, 0), 8);
	bench_end(&b);
}
END_TEST

START_TEST(swings_that_cannot_be_seen)
{
	struct bench_pull b;

	bench_begin(&b, 5, 2, 12, 2);
	bench_add(&b, "boost", Q_BOOST, "kPa", boost_steady);
	bench_measure(&b, CHECK_BOOST_SWING);
	bench_assert_refused(&b, "too slow to see a swing");
	bench_end(&b);
	bench_begin(&b, 20, 2, 12, 2);
	bench_add_polled(&b, "boost", Q_BOOST, "kPa", boost_steady, 4, 0);
	bench_measure(&b, CHECK_BOOST_SWING);
	bench_assert_refused(&b, "too slow to see a swing");
	bench_end(&b);
	bench_begin(&b, 20, 2, 2.7, 2);
	bench_add(&b, "boost", Q_BOOST, "kPa", boost_steady);
	bench_measure(&b, CHECK_BOOST_SWING);
	bench_assert_refused(&b, "too little of the pull");
	bench_end(&b);
}
END_TEST

static double drive(double t)
{
	return t < 4 ? 0.6 : 0.95;
}

/* As a share, 1 is all; boost is short of its target by 10 kPa from 6 s on. */
static double boost_short(double t)
{
	return t < 0 ? -60 : t < 6 ? fmin(50 * t, 100) : 90;
}

START_TEST(wastegate_counts_while_boost_is_short)
{
	struct bench_pull b;

	bench_begin(&b, 20, 2, 10, 2);
	bench_add(&b, "wastegate", Q_WASTEGATE, "1", drive);
	bench_add(&b, "boost", Q_BOOST, "kPa", boost_short);
	bench_measure(&b, CHECK_WASTEGATE_STOP);
	ck_assert_uint_eq(b.out.count, 1);
	ck_assert_int_eq(b.out.list[0].relation, RELATION_VALUE);
	CHECK_NEAR(bench_value(&b, 0, 1.0), 60, 1e-9);	/* no target: wherever */
	CHECK_NEAR(bench_value(&b, 0, 5.0), 95, 1e-9);
	bench_end(&b);
	bench_begin(&b, 20, 2, 10, 2);
	bench_add(&b, "wastegate", Q_WASTEGATE, "1", drive);
	bench_add(&b, "boost", Q_BOOST, "kPa", boost_short);
	bench_add_constant(&b, "boost target", Q_BOOST_TARGET, "kPa", 100);
	bench_measure(&b, CHECK_WASTEGATE_STOP);
	CHECK_NEAR(bench_value(&b, 0, 1.0), 60, 1e-9);
	CHECK_NEAR(bench_value(&b, 0, 5.0), 0, 1e-9);	/* at its stop, but on target */
	CHECK_NEAR(bench_value(&b, 0, 8.0), 95, 1e-9);
	bench_end(&b);
}
END_TEST

START_TEST(wastegate_must_be_in_per_cent)
{
	struct bench_pull b;

	bench_begin(&b, 20, 2, 10, 2);
	bench_add(&b, "wastegate", Q_WASTEGATE, "V", drive);
	bench_add(&b, "boost", Q_BOOST, "kPa", boost_short);
	bench_measure(&b, CHECK_WASTEGATE_STOP);
	bench_assert_refused(&b, "not in per cent");
	bench_end(&b);
}
END_TEST

Suite *check_boost_suite(void)
{
	Suite *s = suite_create("check_boost");
	TCase *c = tcase_create("target");

	tcase_add_test(c, over_is_actual_less_target);
	tcase_add_test(c, under_is_target_less_actual_in_psi);
	tcase_add_test(c, absolute_goes_with_absolute);
	tcase_add_test(c, gauge_and_absolute_do_not_go_together);
	tcase_add_test(c, gauge_is_taken_first_of_two_pairs);
	tcase_add_test(c, guessed_units_that_do_not_fit_are_refused);
	tcase_add_test(c, polled_and_missing_samples);
	tcase_add_test(c, overshoot_is_what_follows_the_spool);
	tcase_add_test(c, falls_since_the_highest);
	tcase_add_test(c, falls_is_for_logs_without_a_target);
	suite_add_tcase(s, c);
	c = tcase_create("swing");
	tcase_add_test(c, amplitude_of_a_swing);
	tcase_add_test(c, a_sound_boost_does_not_swing);
	tcase_add_test(c, one_step_is_no_swing);
	tcase_add_test(c, swings_that_cannot_be_seen);
	suite_add_tcase(s, c);
	c = tcase_create("wastegate");
	tcase_add_test(c, wastegate_counts_while_boost_is_short);
	tcase_add_test(c, wastegate_must_be_in_per_cent);
	suite_add_tcase(s, c);
	return s;
}
