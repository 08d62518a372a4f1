/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where a pull begins and ends, and what is none, on logs drawn by hand. */
#include <check.h>
#include <math.h>

#include "calc/calc_util.h"
#include "calc/pull_sketch.h"

Suite *pull_suite(void);

#define RATE 20.0

/* A change into fifth: the speed that fourth has, in a longer gear. */
#define FIFTH 33.0

/* There is no pull in what was sketched. */
static void expect_none(struct sketch *s, unsigned channels)
{
	struct pulls p = sketch_find(s, channels, NULL);

	ck_assert_uint_eq(p.count, 0);
	pulls_release(&p);
	sketch_release(s);
}

START_TEST(a_lift_ends_it)
{
	struct sketch s;
	struct pulls p;
	size_t first, last;

	sketch_init(&s, RATE);
	sketch_pull(&s, 6500.0, &first, &last);
	sketch_go(&s, 0.2, 6480.0, 0.0);
	sketch_go(&s, 4.0, 2500.0, 0.0);
	p = sketch_find(&s, SKETCH_USUAL | SKETCH_GEAR, NULL);
	ck_assert_uint_eq(p.count, 1);
	sketch_expect(&p, 0, first, last, 0);
	ck_assert_uint_eq(p.list[0].weak, 0);
	ck_assert_int_eq(p.list[0].gear, 4);
	CHECK_NEAR(p.list[0].ratio, 40.0, 1e-9);
	CHECK_NEAR(p.list[0].from_rpm, 2025.0, 1e-9);
	CHECK_NEAR(p.list[0].to_rpm, 6500.0, 1e-9);
	CHECK_NEAR(p.list[0].from_s, (double)first / RATE, 1e-9);
	CHECK_NEAR(p.list[0].to_s, (double)last / RATE, 1e-9);
	ck_assert_uint_eq(p.list[0].samples, last - first + 1);
	pulls_release(&p);
	sketch_release(&s);
}
END_TEST

/* The pedal takes its time; only what is on the floor counts. */
START_TEST(the_pedals_way_to_the_floor_is_not_in_it)
{
	static const double way[] = { 40.0, 70.0, 90.0, 96.0 };
	struct sketch s;
	struct pulls p;
	size_t i, first;

	sketch_init(&s, RATE);
	sketch_go(&s, 3.0, 2000.0, 15.0);
	for (i = 0; i < COUNT(way); i++)
		sketch_go(&s, 0.05, s.rpm + 20.0, way[i]);
	first = s.count;
	sketch_go(&s, 8.0, 6400.0, 100.0);
	for (i = COUNT(way); i-- > 0;)
		sketch_go(&s, 0.05, s.rpm, way[i]);
	sketch_go(&s, 2.0, 5000.0, 0.0);
	p = sketch_find(&s, SKETCH_USUAL, NULL);
	ck_assert_uint_eq(p.count, 1);
	sketch_expect(&p, 0, first, first + 159, 0);
	pulls_release(&p);
	sketch_release(&s);
}
END_TEST

START_TEST(the_log_may_end_in_it)
{
	struct sketch s;
	struct pulls p;
	size_t first, last;

	sketch_init(&s, RATE);
	sketch_pull(&s, 6500.0, &first, &last);
	p = sketch_find(&s, SKETCH_USUAL, NULL);
	ck_assert_uint_eq(p.count, 1);
	sketch_expect(&p, 0, first, last, 0);
	pulls_release(&p);
	sketch_release(&s);
}
END_TEST

START_TEST(a_lift_between_makes_two)
{
	struct sketch s;
	struct pulls p;
	size_t first, last;

	sketch_init(&s, RATE);
	sketch_pull(&s, 4200.0, &first, &last);
	sketch_go(&s, 0.4, 4150.0, 0.0);
	sketch_go(&s, 5.0, 6600.0, 100.0);
	p = sketch_find(&s, SKETCH_USUAL, NULL);
	ck_assert_uint_eq(p.count, 2);
	sketch_expect(&p, 0, first, last, 0);
	sketch_expect(&p, 1, last + 9, last + 108, 0);
	pulls_release(&p);
	sketch_release(&s);
}
END_TEST

START_TEST(a_change_of_gear_with_a_lift_makes_two)
{
	struct sketch s;
	struct pulls p;
	size_t first, last;

	sketch_init(&s, RATE);
	sketch_pull(&s, 6600.0, &first, &last);
	sketch_go(&s, 0.4, 6300.0, 0.0);
	sketch_shift(&s, 5, FIFTH);
	sketch_go(&s, 0.3, s.rpm, 0.0);
	sketch_go(&s, 5.0, 6700.0, 100.0);
	sketch_go(&s, 1.0, 6500.0, 0.0);
	p = sketch_find(&s, SKETCH_USUAL | SKETCH_GEAR, NULL);
	ck_assert_uint_eq(p.count, 2);
	sketch_expect(&p, 0, first, last, 0);
	sketch_expect(&p, 1, last + 15, last + 114, 0);
	ck_assert_int_eq(p.list[0].gear, 4);
	ck_assert_int_eq(p.list[1].gear, 5);
	CHECK_NEAR(p.list[1].ratio, FIFTH, 1e-9);
	pulls_release(&p);
	sketch_release(&s);
}
END_TEST

/* Appends a change into fifth with the foot left down; its rows are in no pull. */
static void flat_change(struct sketch *s)
{
	const double speed = s->rpm / s->ratio;
	const size_t from = s->count;
	const double high = s->rpm;
	size_t i;

	sketch_go(s, 0.3, speed * FIFTH, 100.0);
	for (i = from; i < s->count; i++)
		s->rows[i].speed = speed;
	s->rpm = high;
	sketch_shift(s, 5, FIFTH);
}

START_TEST(a_change_of_gear_with_the_foot_down_makes_two)
{
	const unsigned channels[] = { SKETCH_USUAL, SKETCH_PEDAL, SKETCH_PEDAL | SKETCH_GEAR };
	struct sketch s;
	struct pulls p;
	size_t first, last, i;

	sketch_init(&s, RATE);
	sketch_pull(&s, 6600.0, &first, &last);
	flat_change(&s);
	sketch_go(&s, 5.0, 6700.0, 100.0);
	sketch_go(&s, 1.0, 6500.0, 0.0);
	for (i = 0; i < COUNT(channels); i++) {
		p = sketch_find(&s, channels[i], NULL);
		ck_assert_uint_eq(p.count, 2);
		sketch_expect(&p, 0, first, last, 1);
		sketch_expect(&p, 1, last + 6, last + 106, 1);
		pulls_release(&p);
	}
	sketch_release(&s);
}
END_TEST

/* The clutch is shut, but the turbo is late: engine speed sags a little at first. */
START_TEST(a_pull_may_begin_with_a_sag)
{
	struct sketch s;
	struct pulls p;
	size_t first, last, second;

	sketch_init(&s, RATE);
	sketch_pull(&s, 6600.0, &first, &last);
	flat_change(&s);
	second = s.count - 1;
	sketch_go(&s, 0.3, s.rpm - 30.0, 100.0);
	sketch_go(&s, 5.0, 6700.0, 100.0);
	sketch_go(&s, 1.0, 6500.0, 0.0);
	p = sketch_find(&s, SKETCH_USUAL, NULL);
	ck_assert_uint_eq(p.count, 2);
	sketch_expect(&p, 0, first, last, 1);
	sketch_expect(&p, 1, second, second + 106, 1);
	pulls_release(&p);
	sketch_release(&s);
}
END_TEST

/* Seen by the ratio, or without road speed by the gear channel. */
START_TEST(a_kickdown_is_another_gear)
{
	const unsigned channels[] = { SKETCH_USUAL, SKETCH_PEDAL | SKETCH_GEAR };
	struct sketch s;
	struct pulls p;
	size_t first, i;

	sketch_init(&s, RATE);
	sketch_go(&s, 3.0, 2000.0, 15.0);
	sketch_go(&s, 0.6, 2150.0, 100.0);
	sketch_shift(&s, 3, 55.0);
	first = s.count;
	sketch_go(&s, 5.0, 6600.0, 100.0);
	sketch_go(&s, 1.0, 6300.0, 0.0);
	for (i = 0; i < COUNT(channels); i++) {
		p = sketch_find(&s, channels[i], NULL);
		ck_assert_uint_eq(p.count, 1);
		sketch_expect(&p, 0, first, first + 99, 1);
		CHECK_NEAR(p.list[0].ratio, i == 0 ? 55.0 : NAN, 0.5);
		pulls_release(&p);
	}
	sketch_release(&s);
}
END_TEST

/* One that cuts, and one that only takes the torque away. */
START_TEST(the_limiter_ends_it)
{
	struct sketch s;
	struct pulls p;
	size_t first, last;
	int i;

	sketch_init(&s, RATE);
	sketch_pull(&s, 7000.0, &first, &last);
	for (i = 0; _i == 0 && i < 10; i++) {
		sketch_go(&s, 0.1, 6940.0, 100.0);
		sketch_go(&s, 0.1, 7000.0, 100.0);
	}
	if (_i == 1)
		sketch_go(&s, 1.5, 7015.0, 100.0);
	sketch_go(&s, 2.0, 5000.0, 0.0);
	p = sketch_find(&s, SKETCH_USUAL, NULL);
	ck_assert_uint_eq(p.count, 1);
	sketch_expect(&p, 0, first, last, 1);
	pulls_release(&p);
	sketch_release(&s);
}
END_TEST

/* A slower rise is no end: torque taken away, a hill. */
START_TEST(a_slower_rise_goes_on)
{
	struct sketch s;
	struct pulls p;
	size_t first, last;

	sketch_init(&s, RATE);
	sketch_pull(&s, 5000.0, &first, &last);
	sketch_go(&s, 3.0, 5600.0, 100.0);
	sketch_go(&s, 2.0, 6600.0, 100.0);
	sketch_go(&s, 0.2, 6640.0, 100.0);
	sketch_go(&s, 1.0, 6400.0, 0.0);
	p = sketch_find(&s, SKETCH_USUAL, NULL);
	ck_assert_uint_eq(p.count, 1);
	sketch_expect(&p, 0, first, last + 104, 0);
	pulls_release(&p);
	sketch_release(&s);
}
END_TEST

/* Engine speed is `share` too high for the rows first .. last, with soft edges. */
static void slip(struct sketch *s, size_t first, size_t last, double share)
{
	size_t i;

	for (i = first; i <= last; i++)
		s->rows[i].rpm *= 1.0 + share * fmin(1.0, fmin((double)(i - first) / 4.0,
							       (double)(last - i) / 4.0));
}

/* Wheels and clutch alike: the engine runs ahead of the road and comes back. */
START_TEST(slip_does_not_end_it)
{
	static const double shares[] = { 0.08, 0.12, 0.20 };
	struct sketch s;
	struct pulls p;
	size_t first, last, i;

	for (i = 0; i < COUNT(shares); i++) {
		sketch_init(&s, RATE);
		sketch_pull(&s, 6800.0, &first, &last);
		sketch_go(&s, 1.0, 6500.0, 0.0);
		slip(&s, first + 60, first + 90, shares[i]);
		p = sketch_find(&s, SKETCH_USUAL, NULL);
		ck_assert_uint_eq(p.count, 1);
		sketch_expect(&p, 0, first, last, 0);
		ck_assert_uint_eq(p.list[0].weak, PULL_SLIP);
		CHECK_NEAR(p.list[0].ratio, 40.0, 0.5);
		pulls_release(&p);
		sketch_release(&s);
	}
}
END_TEST

/* Lifted before engine speed is back where it had run to. */
START_TEST(slip_near_the_end_does_not_end_it)
{
	struct sketch s;
	struct pulls p;
	size_t first, last;

	sketch_init(&s, RATE);
	sketch_pull(&s, 5000.0, &first, &last);
	sketch_go(&s, 1.0, 4800.0, 0.0);
	slip(&s, last - 25, last - 10, 0.10);
	p = sketch_find(&s, SKETCH_USUAL, NULL);
	ck_assert_uint_eq(p.count, 1);
	sketch_expect(&p, 0, first, last, 0);
	pulls_release(&p);
	sketch_release(&s);
}
END_TEST

START_TEST(slip_without_road_speed_does_not_end_it)
{
	struct sketch s;
	struct pulls p;
	size_t first, last;

	sketch_init(&s, RATE);
	sketch_pull(&s, 6800.0, &first, &last);
	sketch_go(&s, 1.0, 6500.0, 0.0);
	slip(&s, first + 60, first + 80, 0.08);
	p = sketch_find(&s, SKETCH_PEDAL, NULL);
	ck_assert_uint_eq(p.count, 1);
	sketch_expect(&p, 0, first, last, 0);
	pulls_release(&p);
	sketch_release(&s);
}
END_TEST

/* The clutch opens under full throttle and the engine runs away. */
START_TEST(an_engine_that_runs_away_ends_it)
{
	struct sketch s;
	struct pulls p;
	size_t first, last, i;

	sketch_init(&s, RATE);
	sketch_pull(&s, 4600.0, &first, &last);
	sketch_go(&s, 0.5, 6900.0, 100.0);
	for (i = last + 1; i < s.count; i++)
		s.rows[i].speed = s.rows[last].speed;
	sketch_go(&s, 1.0, 3000.0, 0.0);
	p = sketch_find(&s, SKETCH_USUAL, NULL);
	ck_assert_uint_eq(p.count, 1);
	sketch_expect(&p, 0, first, last, 1);
	pulls_release(&p);
	sketch_release(&s);
}
END_TEST

/* Neutral: standing, rolling, and with no road speed at all. */
START_TEST(revving_in_neutral_is_none)
{
	static const double speeds[] = { 0.0, 60.0, NAN };
	struct sketch s;
	size_t k, i;

	for (k = 0; k < COUNT(speeds); k++) {
		sketch_init(&s, RATE);
		sketch_go(&s, 3.0, 900.0, 0.0);
		sketch_go(&s, 0.7, 6800.0, 100.0);
		sketch_go(&s, 2.0, 900.0, 0.0);
		sketch_go(&s, 0.9, 6900.0, 100.0);
		sketch_go(&s, 2.0, 900.0, 0.0);
		for (i = 0; i < s.count; i++)
			s.rows[i].speed = speeds[k];
		expect_none(&s, isnan(speeds[k]) ? SKETCH_PEDAL : SKETCH_USUAL);
	}
}
END_TEST

/* A blip of the throttle for a change down. */
START_TEST(a_blip_is_none)
{
	struct sketch s;

	sketch_init(&s, 50.0);
	sketch_go(&s, 3.0, 2000.0, 0.0);
	sketch_go(&s, 0.5, 3700.0, 100.0);
	sketch_go(&s, 2.0, 2500.0, 0.0);
	expect_none(&s, SKETCH_PEDAL);
}
END_TEST

/* A clutch that slips all the way is no gear. */
START_TEST(a_clutch_that_never_shuts_is_none)
{
	struct sketch s;
	size_t i;

	sketch_init(&s, RATE);
	sketch_go(&s, 3.0, 2000.0, 15.0);
	sketch_go(&s, 4.0, 6500.0, 100.0);
	for (i = 60; i < s.count; i++)
		s.rows[i].speed = 50.0 + 0.05 * (double)(i - 60);
	expect_none(&s, SKETCH_USUAL);
}
END_TEST

START_TEST(part_throttle_is_none)
{
	struct sketch s;
	struct pulls p;

	sketch_init(&s, RATE);
	sketch_go(&s, 3.0, 1800.0, 10.0);
	sketch_go(&s, 8.0, 4800.0, 55.0);
	sketch_go(&s, 3.0, 2000.0, 0.0);
	sketch_go(&s, 9.0, 4200.0, 48.0);
	p = sketch_find(&s, SKETCH_USUAL | SKETCH_THROTTLE, NULL);
	ck_assert_uint_eq(p.count, 0);
	pulls_release(&p);
	/* nor beside a true one */
	sketch_go(&s, 3.0, 2000.0, 0.0);
	sketch_go(&s, 9.0, 6500.0, 100.0);
	p = sketch_find(&s, SKETCH_USUAL, NULL);
	ck_assert_uint_eq(p.count, 1);
	pulls_release(&p);
	sketch_release(&s);
}
END_TEST

START_TEST(a_short_burst_is_none)
{
	struct sketch s;
	size_t first, last;

	sketch_init(&s, RATE);
	sketch_pull(&s, 3000.0, &first, &last);
	sketch_go(&s, 2.0, 2000.0, 0.0);
	expect_none(&s, SKETCH_USUAL);
}
END_TEST

/* The foot down, but engine speed does not rise: the brake, a hill, top speed. */
START_TEST(full_throttle_at_a_steady_speed_is_none)
{
	struct sketch s;

	sketch_init(&s, RATE);
	sketch_go(&s, 3.0, 5000.0, 15.0);
	sketch_go(&s, 30.0, 5060.0, 100.0);
	sketch_go(&s, 2.0, 4000.0, 0.0);
	expect_none(&s, SKETCH_USUAL);
}
END_TEST

Suite *pull_suite(void)
{
	Suite *s = suite_create("pull");
	TCase *ends = tcase_create("ends");
	TCase *none = tcase_create("none");

	tcase_add_test(ends, a_lift_ends_it);
	tcase_add_test(ends, the_pedals_way_to_the_floor_is_not_in_it);
	tcase_add_test(ends, the_log_may_end_in_it);
	tcase_add_test(ends, a_lift_between_makes_two);
	tcase_add_test(ends, a_change_of_gear_with_a_lift_makes_two);
	tcase_add_test(ends, a_change_of_gear_with_the_foot_down_makes_two);
	tcase_add_test(ends, a_pull_may_begin_with_a_sag);
	tcase_add_test(ends, a_kickdown_is_another_gear);
	tcase_add_loop_test(ends, the_limiter_ends_it, 0, 2);
	tcase_add_test(ends, a_slower_rise_goes_on);
	tcase_add_test(ends, slip_does_not_end_it);
	tcase_add_test(ends, slip_near_the_end_does_not_end_it);
	tcase_add_test(ends, slip_without_road_speed_does_not_end_it);
	tcase_add_test(ends, an_engine_that_runs_away_ends_it);
	tcase_add_test(none, revving_in_neutral_is_none);
	tcase_add_test(none, a_blip_is_none);
	tcase_add_test(none, a_clutch_that_never_shuts_is_none);
	tcase_add_test(none, part_throttle_is_none);
	tcase_add_test(none, a_short_burst_is_none);
	tcase_add_test(none, full_throttle_at_a_steady_speed_is_none);
	suite_add_tcase(s, ends);
	suite_add_tcase(s, none);
	return s;
}
