/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Finding pulls in logs that lack something, or that are badly sampled. */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "calc/calc_util.h"
#include "calc/pull_sketch.h"

Suite *pull_logs_suite(void);

#define RATE 20.0

/* One pull 2000-6500 rpm, lifted from, in a log of this rate. */
static void one_pull(struct sketch *s, double rate, size_t *first, size_t *last)
{
	sketch_init(s, rate);
	sketch_pull(s, 6500.0, first, last);
	sketch_go(s, 0.2, 6480.0, 0.0);
	sketch_go(s, 4.0, 2500.0, 0.0);
}

/* The one pull of the sketch must be found; its weaknesses come back. */
static unsigned expect_one(struct sketch *s, unsigned channels, size_t first, size_t last,
			   size_t slack)
{
	struct pulls p = sketch_find(s, channels, NULL);
	unsigned weak;

	ck_assert_uint_eq(p.count, 1);
	sketch_expect(&p, 0, first, last, slack);
	weak = p.list[0].weak;
	pulls_release(&p);
	sketch_release(s);
	return weak;
}

/* Only every n-th row has the channel, beginning with row `phase`. */
static void poll(struct sketch *s, double *field, size_t n, size_t phase)
{
	const size_t width = sizeof(struct sketch_row) / sizeof(double);
	size_t i;

	for (i = 0; i < s->count; i++)
		if (i % n != phase)
			field[i * width] = NAN;
}

START_TEST(a_drive_need_not_read_100)
{
	static const double fulls[] = { 78.0, 0.78 };
	struct sketch s;
	size_t first, last, k, i;

	for (k = 0; k < COUNT(fulls); k++) {
		one_pull(&s, RATE, &first, &last);
		for (i = 0; i < s.count; i++) {
			s.rows[i].pedal *= fulls[k] / 100.0;
			s.rows[i].throttle *= fulls[k] / 100.0;
		}
		ck_assert_uint_eq(expect_one(&s, SKETCH_USUAL, first, last, 0), 0);
	}
	one_pull(&s, RATE, &first, &last);
	for (i = 0; i < s.count; i++)
		s.rows[i].throttle *= 0.78;
	ck_assert_uint_eq(expect_one(&s, SKETCH_THROTTLE | SKETCH_SPEED, first, last, 0), 0);
}
END_TEST

START_TEST(the_pedal_counts_before_the_throttle)
{
	struct sketch s;
	size_t first, last, i;

	one_pull(&s, RATE, &first, &last);
	for (i = first; i <= last; i++)
		s.rows[i].throttle = i % 40 < 20 ? 100.0 : 30.0;
	expect_one(&s, SKETCH_USUAL | SKETCH_THROTTLE, first, last, 0);
}
END_TEST

/* Torque control closes the throttle for a while; a foot that comes up closes it. */
START_TEST(a_throttle_may_close_for_a_moment)
{
	struct sketch s;
	struct pulls p;
	size_t first, last, i;

	one_pull(&s, RATE, &first, &last);
	for (i = first + 60; i < first + 90; i++)
		s.rows[i].throttle = 45.0;
	expect_one(&s, SKETCH_THROTTLE | SKETCH_SPEED, first, last, 0);

	one_pull(&s, RATE, &first, &last);
	for (i = first + 80; i < first + 90; i++)
		s.rows[i].throttle = 2.0;
	p = sketch_find(&s, SKETCH_THROTTLE | SKETCH_SPEED, NULL);
	ck_assert_uint_eq(p.count, 2);
	sketch_expect(&p, 0, first, first + 79, 0);
	sketch_expect(&p, 1, first + 90, last, 0);
	pulls_release(&p);
	sketch_release(&s);
}
END_TEST

/* The throttle trails the foot: it is down when the throttle is almost there. */
START_TEST(a_throttle_trails_the_foot)
{
	static const double way[] = { 20.0, 45.0, 70.0, 86.0, 97.0, 99.0 };
	struct sketch s;
	size_t first, last, i;

	one_pull(&s, RATE, &first, &last);
	for (i = 0; i < COUNT(way); i++)
		s.rows[first - 3 + i].throttle = way[i];
	expect_one(&s, SKETCH_THROTTLE | SKETCH_SPEED, first, last, 1);
}
END_TEST

START_TEST(without_pedal_and_throttle_by_load)
{
	struct sketch s;
	struct pulls p;
	size_t first, last, from, i;

	one_pull(&s, RATE, &first, &last);
	ck_assert_uint_eq(expect_one(&s, SKETCH_MAP | SKETCH_SPEED, first, last, 2),
			  PULL_NO_PEDAL);
	/* less load at the same engine speeds is part throttle, and so is a lean mixture */
	one_pull(&s, RATE, &first, &last);
	sketch_go(&s, 1.0, 2000.0, 0.0);
	from = s.count;
	sketch_go(&s, 12.0, 5500.0, 80.0);
	for (i = from; i < from + 80; i++)
		s.rows[i].map /= 0.8;	/* as much where the turbo does not yet help */
	sketch_go(&s, 2.0, 2500.0, 0.0);
	expect_one(&s, SKETCH_MAP | SKETCH_SPEED, first, last, 2);
	one_pull(&s, RATE, &first, &last);
	for (i = 0; i < s.count; i++)
		s.rows[i].lambda = 1.0;
	p = sketch_find(&s, SKETCH_MAP | SKETCH_SPEED | SKETCH_LAMBDA, NULL);
	ck_assert_uint_eq(p.count, 0);
	pulls_release(&p);
	sketch_release(&s);
}
END_TEST

/* With engine speed alone a rise to the top is all that can be told. */
START_TEST(by_engine_speed_alone)
{
	struct sketch s;
	size_t first, last;
	unsigned weak;

	sketch_init(&s, RATE);
	sketch_go(&s, 3.0, 3600.0, 40.0);
	sketch_go(&s, 2.0, 2000.0, 0.0);
	sketch_pull(&s, 6500.0, &first, &last);
	sketch_go(&s, 3.0, 2500.0, 0.0);
	weak = expect_one(&s, SKETCH_SPEED, first, last, 2);
	ck_assert_uint_eq(weak, PULL_NO_PEDAL);
}
END_TEST

START_TEST(without_road_speed_it_is_weaker)
{
	struct sketch s;
	size_t first, last;

	one_pull(&s, RATE, &first, &last);
	ck_assert_uint_eq(expect_one(&s, SKETCH_PEDAL, first, last, 0), PULL_NO_SPEED);
}
END_TEST

/* Road speed that is lost, or wild, for a while is no other gear. */
START_TEST(a_lost_road_speed_does_not_end_it)
{
	struct sketch s;
	size_t first, last, i;

	one_pull(&s, RATE, &first, &last);
	for (i = first + 40; i < first + 90; i++)
		s.rows[i].speed = 0.0;
	expect_one(&s, SKETCH_USUAL, first, last, 0);
	/* and comes back just as the foot is lifted */
	one_pull(&s, RATE, &first, &last);
	for (i = first + 90; i <= last; i++)
		s.rows[i].speed = 0.0;
	poll(&s, &s.rows[0].speed, 3, (last + 2) % 3);
	expect_one(&s, SKETCH_USUAL, first, last, 0);
}
END_TEST

START_TEST(five_rows_a_second_are_enough)
{
	struct sketch s;
	size_t first, last;

	one_pull(&s, 5.0, &first, &last);
	ck_assert_uint_eq(expect_one(&s, SKETCH_USUAL, first, last, 0), 0);
}
END_TEST

START_TEST(channels_may_come_in_turn)
{
	struct sketch s;
	size_t first, last;

	one_pull(&s, 50.0, &first, &last);
	poll(&s, &s.rows[0].rpm, 4, 0);
	poll(&s, &s.rows[0].pedal, 4, 1);
	poll(&s, &s.rows[0].speed, 4, 3);
	ck_assert_uint_eq(expect_one(&s, SKETCH_USUAL, first, last, 4), 0);
	/* the pedal every time: the ends are as sharp as it is */
	one_pull(&s, 50.0, &first, &last);
	poll(&s, &s.rows[0].rpm, 4, 0);
	poll(&s, &s.rows[0].speed, 4, 3);
	ck_assert_uint_eq(expect_one(&s, SKETCH_USUAL, first, last, 0), 0);
}
END_TEST

/* Takes `n` rows out of the pull, or all their cells. */
START_TEST(holes_are_bridged_and_told)
{
	static const size_t holes[] = { 8, 20, 50 };
	struct sketch s;
	size_t first, last, k, i;

	for (k = 0; k < COUNT(holes); k++) {
		one_pull(&s, RATE, &first, &last);
		for (i = first + 60; i < first + 60 + holes[k]; i++)
			s.rows[i].rpm = s.rows[i].pedal = s.rows[i].speed = NAN;
		ck_assert_uint_eq(expect_one(&s, SKETCH_USUAL, first, last, 0), PULL_GAPS);
		one_pull(&s, RATE, &first, &last);
		memmove(&s.rows[first + 60], &s.rows[first + 60 + holes[k]],
			(s.count - first - 60 - holes[k]) * sizeof s.rows[0]);
		s.count -= holes[k];
		ck_assert_uint_eq(expect_one(&s, SKETCH_USUAL, first, last - holes[k], 0),
				  PULL_GAPS);
	}
}
END_TEST

/* A hole behind which engine speed is not where it should be hides something. */
START_TEST(a_hole_may_hide_a_lift)
{
	struct sketch s;
	struct pulls p;
	size_t first, last, i;

	sketch_init(&s, RATE);
	sketch_pull(&s, 4500.0, &first, &last);
	sketch_go(&s, 2.0, 4520.0, 100.0);
	for (i = last + 1; i < s.count; i++)
		s.rows[i].rpm = s.rows[i].pedal = s.rows[i].speed = NAN;
	sketch_go(&s, 4.0, 6500.0, 100.0);
	p = sketch_find(&s, SKETCH_USUAL, NULL);
	ck_assert_uint_eq(p.count, 2);
	sketch_expect(&p, 0, first, last, 1);
	pulls_release(&p);
	sketch_release(&s);
}
END_TEST

START_TEST(single_wrong_samples_do_no_harm)
{
	struct sketch s;
	size_t first, last;

	one_pull(&s, RATE, &first, &last);
	s.rows[first + 40].rpm = 0.0;
	s.rows[first + 70].rpm = 12000.0;
	s.rows[first + 100].pedal = 0.0;
	s.rows[first - 20].pedal = 100.0;
	expect_one(&s, SKETCH_USUAL, first, last, 0);
}
END_TEST

START_TEST(noise_does_no_harm)
{
	static const double noises[] = { 3.0, 12.0, 30.0 };
	struct sketch s;
	size_t first, last, i;

	for (i = 0; i < COUNT(noises); i++) {
		one_pull(&s, RATE, &first, &last);
		sketch_shake(&s, noises[i]);
		expect_one(&s, SKETCH_USUAL, first, last, 0);
	}
}
END_TEST

START_TEST(no_pull_crosses_a_section)
{
	struct sketch s;
	struct pulls p;
	size_t first, last;

	one_pull(&s, RATE, &first, &last);
	s.second_section = first + 80;
	p = sketch_find(&s, SKETCH_USUAL, NULL);
	ck_assert_uint_eq(p.count, 2);
	sketch_expect(&p, 0, first, first + 79, 0);
	sketch_expect(&p, 1, first + 80, last, 0);
	pulls_release(&p);
	sketch_release(&s);
}
END_TEST

START_TEST(a_log_without_time_has_pulls_too)
{
	struct sketch s;
	struct datalog *log;
	struct pulls p;
	size_t first, last, i;

	one_pull(&s, 50.0, &first, &last);
	for (i = 0; i < s.count; i++)
		s.rows[i].t = (double)i;
	poll(&s, &s.rows[0].rpm, 6, 0);
	poll(&s, &s.rows[0].speed, 6, 3);
	log = sketch_log(&s, SKETCH_USUAL);
	log->time_source = TIME_ROWS;
	ck_assert_int_eq(pull_find(log, NULL, &p, NULL), ERR_NONE);
	ck_assert_uint_eq(p.count, 1);
	sketch_expect(&p, 0, first, last, 0);
	pulls_release(&p);
	datalog_free(log);
	sketch_release(&s);
}
END_TEST

START_TEST(the_least_rise_can_be_set)
{
	struct sketch s;
	struct pulls p;
	struct pull_options options = { .min_rise = 800.0 };
	size_t first, last;

	sketch_init(&s, RATE);
	sketch_pull(&s, 3000.0, &first, &last);
	sketch_go(&s, 2.0, 2000.0, 0.0);
	sketch_pull(&s, 3500.0, &first, &last);
	sketch_go(&s, 2.0, 2000.0, 0.0);
	p = sketch_find(&s, SKETCH_USUAL, &options);
	ck_assert_uint_eq(p.count, 2);
	ck_assert_uint_eq(pull_best(&p), 2);
	pulls_release(&p);
	options.min_rise = 1600.0;
	p = sketch_find(&s, SKETCH_USUAL, &options);
	ck_assert_uint_eq(p.count, 0);
	ck_assert_uint_eq(pull_best(&p), 0);
	options.min_rise = 0.0;
	p = sketch_find(&s, SKETCH_USUAL, &options);
	ck_assert_uint_eq(p.count, 1);
	sketch_expect(&p, 0, first, last, 0);
	pulls_release(&p);
	sketch_release(&s);
}
END_TEST

START_TEST(weaknesses_are_told)
{
	struct sketch s;
	struct pulls p;
	size_t first, last;

	sketch_init(&s, 5.0);
	sketch_go(&s, 3.0, 3200.0, 15.0);
	sketch_go(&s, 3.0, 5500.0, 100.0);
	sketch_go(&s, 3.0, 2000.0, 0.0);
	sketch_pull(&s, 6800.0, &first, &last);
	p = sketch_find(&s, SKETCH_USUAL, NULL);
	ck_assert_uint_eq(p.count, 2);
	ck_assert_uint_eq(p.list[0].weak,
			  PULL_FEW_SAMPLES | PULL_LATE_START | PULL_EARLY_END);
	ck_assert_uint_eq(p.list[1].weak, 0);
	pulls_release(&p);
	sketch_release(&s);
}
END_TEST

START_TEST(weaknesses_have_words)
{
	static const char *const keys[] = {
		"few_samples", "late_start", "early_end", "slip", "gaps", "no_pedal", "no_speed",
	};
	const char *key;
	unsigned bit;

	for (bit = 0; bit < COUNT(keys); bit++) {
		ck_assert_ptr_nonnull(pull_weakness(bit, &key));
		ck_assert_str_eq(key, keys[bit]);
	}
	ck_assert_ptr_null(pull_weakness(bit, NULL));
	ck_assert_int_eq(PULL_FEW_SAMPLES, 1 << 0);
	ck_assert_int_eq(PULL_NO_SPEED, 1 << 6);
}
END_TEST

START_TEST(without_engine_speed_it_is_an_error)
{
	const double v[] = { 1.0, 2.0, 3.0 };
	struct datalog *log = make_even_log("x.csv", 0.1, 3);
	struct pulls p;
	struct err e = ERR_INIT;

	put_channel(log, "pedal", Q_PEDAL, "%", v);
	ck_assert_int_eq(pull_find(log, NULL, &p, &e), ERR_DATA);
	ck_assert_ptr_nonnull(strstr(e.text, "x.csv"));
	ck_assert_ptr_nonnull(strstr(e.text, "engine speed"));
	ck_assert_uint_eq(p.count, 0);
	datalog_free(log);
}
END_TEST

Suite *pull_logs_suite(void)
{
	Suite *s = suite_create("pull_logs");
	TCase *lacking = tcase_create("lacking");
	TCase *sampled = tcase_create("sampled");
	TCase *rest = tcase_create("rest");

	tcase_add_test(lacking, a_drive_need_not_read_100);
	tcase_add_test(lacking, the_pedal_counts_before_the_throttle);
	tcase_add_test(lacking, a_throttle_may_close_for_a_moment);
	tcase_add_test(lacking, a_throttle_trails_the_foot);
	tcase_add_test(lacking, without_pedal_and_throttle_by_load);
	tcase_add_test(lacking, by_engine_speed_alone);
	tcase_add_test(lacking, without_road_speed_it_is_weaker);
	tcase_add_test(lacking, a_lost_road_speed_does_not_end_it);
	tcase_add_test(sampled, five_rows_a_second_are_enough);
	tcase_add_test(sampled, channels_may_come_in_turn);
	tcase_add_test(sampled, holes_are_bridged_and_told);
	tcase_add_test(sampled, a_hole_may_hide_a_lift);
	tcase_add_test(sampled, single_wrong_samples_do_no_harm);
	tcase_add_test(sampled, noise_does_no_harm);
	tcase_add_test(sampled, no_pull_crosses_a_section);
	tcase_add_test(sampled, a_log_without_time_has_pulls_too);
	tcase_add_test(rest, the_least_rise_can_be_set);
	tcase_add_test(rest, weaknesses_are_told);
	tcase_add_test(rest, weaknesses_have_words);
	tcase_add_test(rest, without_engine_speed_it_is_an_error);
	suite_add_tcase(s, lacking);
	suite_add_tcase(s, sampled);
	suite_add_tcase(s, rest);
	return s;
}
