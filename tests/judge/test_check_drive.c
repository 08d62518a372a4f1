/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of the checks of throttle, acceleration, misfires, slip and limiter. */
#include "check_util.h"

Suite *check_drive_suite(void);

#define KMH_PER_RPM 0.025

/* Replaces the pull's engine speed. */
static void set_rpm(struct bench_pull *b, double (*rpm)(double t))
{
	struct channel *ch = &b->loaded.log->channels[0];
	size_t i;

	column_free(ch->column);
	ch->column = column_new();
	for (i = 0; i < bench_rows(b); i++)
		ck_assert(column_push(ch->column, rpm(bench_time(b, i))));
}

static double pedal_of_pull(double t)
{
	return t >= 0 && t <= 10 ? 98 : 10;
}

/* At its stop it reads 84; from 4 to 5 s it closes by a quarter. */
static double throttle_closes(double t)
{
	return t < 0 || t > 10 ? 8 : t >= 4 && t <= 5 ? 63 : 84;
}

START_TEST(throttle_is_held_against_its_own_highest)
{
	struct bench_pull b;

	bench_begin(&b, 20, 2, 10, 2);
	bench_add(&b, "throttle", Q_THROTTLE, "%", throttle_closes);
	bench_add(&b, "pedal", Q_PEDAL, "%", pedal_of_pull);
	bench_measure(&b, CHECK_THROTTLE);
	ck_assert_uint_eq(b.out.count, 1);
	CHECK_NEAR(bench_value(&b, 0, 3.0), 0, 1e-9);
	CHECK_NEAR(bench_value(&b, 0, 4.5), 25, 1e-9);
	bench_end(&b);
}
END_TEST

/* The foot comes up between two samples of the pedal, the throttle with it. */
static double pedal_early(double t)
{
	return t >= 0 && t <= 9.7 ? 1 : 0.1;
}

static double throttle_early(double t)
{
	return t >= 0 && t <= 9.7 ? 0.9 : 0.05;
}

START_TEST(a_lift_between_polled_samples_is_no_closing)
{
	struct bench_pull b;
	size_t phase;

	for (phase = 0; phase < 8; phase++) {
		bench_begin(&b, 20, 2, 10, 2);
		bench_add(&b, "throttle", Q_THROTTLE, "1", throttle_early);
		bench_add_polled(&b, "pedal", Q_PEDAL, "1", pedal_early, 8, phase);
		bench_measure(&b, CHECK_THROTTLE);
		ck_assert_uint_eq(b.out.count, 1);
		CHECK_NEAR(bench_highest(&b, 0), 0, 1e-9);
		bench_end(&b);
	}
}
END_TEST

/* From 6 to 6.5 s there is no acceleration at all, from 8 to 8.6 s half of it. */
static double rpm_dips(double t)
{
	const double lost = fmin(fmax(t - 6, 0), 0.5) + 0.5 * fmin(fmax(t - 8, 0), 0.6);

	return t < 0 ? 2000 : 2000 + 500 * (t - lost);
}

START_TEST(dips_of_acceleration)
{
	static const double rates[] = { 10, 20, 50, 100 };
	struct bench_pull b;
	size_t i;

	for (i = 0; i < sizeof rates / sizeof rates[0]; i++) {
		bench_begin(&b, rates[i], 2, 10, 2);
		set_rpm(&b, rpm_dips);
		bench_measure(&b, CHECK_HESITATION);
		ck_assert_uint_eq(b.out.count, 1);
		CHECK_NEAR(bench_value(&b, 0, 3.0), 0, 0.1);
		CHECK_NEAR(bench_value(&b, 0, 6.2), 100, 0.1);
		CHECK_NEAR(bench_value(&b, 0, 7.2), 0, 0.1);
		CHECK_NEAR(bench_value(&b, 0, 8.3), 50, 0.1);
		bench_end(&b);
	}
}
END_TEST

static uint64_t noise_seed;
static double noise_rpm, step_rpm;

static double rough(double rpm)
{
	const double v = rpm + noise_rpm * bench_noise(&noise_seed);

	return step_rpm > 0 ? step_rpm * floor(v / step_rpm) : v;
}

/* Slow at first, quicker with the boost from 3 s on, bent at 5 s, and falling to the top. */
static double rpm_curved(double t)
{
	static const double at[] = { 0, 3, 5, 6, 10 }, accel[] = { 200, 250, 800, 800, 350 };
	double rpm = 2000;
	size_t i;

	for (i = 1; i < 5 && t > at[i - 1]; i++) {
		const double dt = fmin(t, at[i]) - at[i - 1];
		const double bend = (accel[i] - accel[i - 1]) / (at[i] - at[i - 1]);

		rpm += accel[i - 1] * dt + bend * dt * dt / 2;
	}
	return rough(t > 10 ? rpm - 1000 * (t - 10) : rpm);
}

START_TEST(acceleration_that_bends_does_not_dip)
{
	static const double rates[] = { 10, 20, 50, 100 };
	struct bench_pull b;
	size_t i, k;

	for (i = 0; i < sizeof rates / sizeof rates[0]; i++)
		for (k = 0; k < 20; k++) {
			noise_seed = 1 + k;
			noise_rpm = 4.5;
			step_rpm = k % 2 == 0 ? 0 : 10;
			bench_begin(&b, rates[i], 2, 10, 2);
			set_rpm(&b, rpm_curved);
			bench_measure(&b, CHECK_HESITATION);
			ck_assert_uint_eq(b.out.count, 1);
			ck_assert_double_lt(bench_highest(&b, 0), 30);
			bench_end(&b);
		}
}
END_TEST

static double rpm_slow_rough(double t)
{
	return rough(2000 + 30 * t);
}

/* Wheels spin from 4 to 5 s, the engine 10 % ahead of the road, and grip within 0.1 s. */
static double rpm_spins(double t)
{
	const double ahead = t < 4 || t > 5.1 ? 0 : t < 4.3 ? (t - 4) / 0.3 : t < 5 ? 1 :
			     (5.1 - t) / 0.1;

	return bench_rpm(t) * (1 + 0.1 * ahead);
}

static double road_goes_on(double t)
{
	return bench_rpm(t) / 50;
}

/* Engine speed that falls when the wheels grip is no dip; without road speed it is one. */
START_TEST(grip_is_no_dip)
{
	struct bench_pull b;
	int with;

	for (with = 0; with < 2; with++) {
		bench_begin(&b, 50, 1, 10, 1);
		set_rpm(&b, rpm_spins);
		if (with)
			bench_add(&b, "speed", Q_SPEED, "km/h", road_goes_on);
		bench_measure(&b, CHECK_HESITATION);
		if (with)
			ck_assert_double_lt(bench_highest(&b, 0), 20);
		else
			ck_assert_double_gt(bench_highest(&b, 0), 100);
		bench_end(&b);
	}
}
END_TEST

START_TEST(dips_that_cannot_be_seen)
{
	struct bench_pull b;

	bench_begin(&b, 8, 2, 10, 2);
	bench_measure(&b, CHECK_HESITATION);
	bench_assert_refused(&b, "too slow to see a dip");
	bench_end(&b);
	noise_seed = 3;
	noise_rpm = 10;
	step_rpm = 0;
	bench_begin(&b, 10, 2, 10, 2);
	set_rpm(&b, rpm_slow_rough);
	bench_measure(&b, CHECK_HESITATION);
	bench_assert_refused(&b, "too rough");
	bench_end(&b);
}
END_TEST

static double misfires_counted(double t)
{
	return t < 5 ? 12 : t < 7 ? 15 : 34;
}

START_TEST(misfires_since_the_start)
{
	struct bench_pull b;

	bench_begin(&b, 20, 2, 10, 2);
	bench_add(&b, "misfires cyl 1", Q_MISFIRES, NULL, misfires_counted);
	bench_add_constant(&b, "misfires cyl 2", Q_MISFIRES, NULL, 7);
	bench_measure(&b, CHECK_MISFIRES);
	ck_assert_uint_eq(b.out.count, 2);
	CHECK_NEAR(bench_value(&b, 0, 4.0), 0, 0);
	CHECK_NEAR(bench_value(&b, 0, 6.0), 3, 0);
	CHECK_NEAR(bench_value(&b, 0, 9.0), 22, 0);
	CHECK_NEAR(bench_highest(&b, 1), 0, 0);
	bench_end(&b);
}
END_TEST

/* Of the driven wheels: the road's, with the engine. */
static double speed_of_engine(double t)
{
	return KMH_PER_RPM * (t < 0 ? 2000 : bench_rpm(fmin(t, 10)));
}

/* From 2 to 3 s, of a pull of 10, engine and wheels run 10 % ahead of the road. */
static double speed_of_road(double t)
{
	return speed_of_engine(t) / (t >= 2 && t <= 3 ? 1.1 : 1);
}

static double speed_of_road_mph(double t)
{
	return speed_of_road(t) / 1.609344;
}

START_TEST(slip_of_the_wheels)
{
	struct bench_pull b;

	bench_begin(&b, 20, 2, 10, 2);
	bench_add(&b, "vehicle speed", Q_SPEED, "mph", speed_of_road_mph);
	bench_add(&b, "driven wheel speed", Q_SPEED, "km/h", speed_of_engine);
	bench_measure(&b, CHECK_SLIP);
	ck_assert_uint_eq(b.out.count, 2);
	CHECK_NEAR(bench_value(&b, 0, 1.0), 0, 1e-6);
	CHECK_NEAR(bench_value(&b, 0, 2.5), 10, 1e-6);
	CHECK_NEAR(bench_value(&b, 0, 4.0), 0, 1e-6);
	CHECK_NEAR(bench_highest(&b, 1), 0, 1e-6);
	ck_assert_str_eq(b.out.list[0].detail, "the driven wheels, not the clutch");
	bench_end(&b);
}
END_TEST

START_TEST(slip_of_the_clutch)
{
	struct bench_pull b;

	bench_begin(&b, 20, 2, 10, 2);
	bench_add(&b, "vehicle speed", Q_SPEED, "mph", speed_of_road_mph);
	bench_add(&b, "driven wheel speed", Q_SPEED, "km/h", speed_of_road);
	bench_measure(&b, CHECK_SLIP);
	ck_assert_uint_eq(b.out.count, 2);
	CHECK_NEAR(bench_value(&b, 1, 2.5), 10, 1e-6);
	ck_assert_str_eq(b.out.list[1].detail, "the clutch, not the driven wheels");
	bench_end(&b);
	bench_begin(&b, 20, 2, 10, 2);
	bench_add(&b, "vehicle speed", Q_SPEED, "km/h", speed_of_road);
	bench_measure(&b, CHECK_SLIP);
	ck_assert_ptr_null(b.out.list[0].detail);
	bench_end(&b);
}
END_TEST

/* Slip for more than half of the pull: the gear is still the lower ratio. */
static double speed_long_slip(double t)
{
	return speed_of_engine(t) / (t >= 1 && t <= 6.5 ? 1.1 : 1);
}

START_TEST(slip_for_most_of_the_pull)
{
	struct bench_pull b;

	bench_begin(&b, 20, 2, 10, 2);
	bench_add(&b, "vehicle speed", Q_SPEED, "km/h", speed_long_slip);
	bench_measure(&b, CHECK_SLIP);
	CHECK_NEAR(bench_value(&b, 0, 4.0), 10, 1e-6);
	CHECK_NEAR(bench_value(&b, 0, 8.0), 0, 1e-6);
	bench_end(&b);
}
END_TEST

/* Whole km/h, 0.4 s late, and tyres that creep by up to 2 % while the pull goes on. */
static double speed_sound(double t)
{
	const double late = t - 0.4;
	const double creep = 0.02 * fmin(fmax(late, 0), 4) / 4;

	return floor(speed_of_engine(late) / (1 + creep));
}

START_TEST(a_sound_car_does_not_slip)
{
	static const double rates[] = { 5, 20, 100 };
	struct bench_pull b;
	size_t i;

	for (i = 0; i < sizeof rates / sizeof rates[0]; i++) {
		bench_begin(&b, rates[i], 2, 10, 2);
		bench_add(&b, "vehicle speed", Q_SPEED, "km/h", speed_sound);
		bench_measure(&b, CHECK_SLIP);
		ck_assert_uint_eq(b.out.count, 1);
		ck_assert_double_lt(bench_highest(&b, 0), 3);
		bench_end(&b);
	}
}
END_TEST

/* A speed that is lost for a second, and one that is never there. */
static double speed_lost(double t)
{
	return t >= 4 && t <= 5 ? 0 : speed_of_engine(t);
}

START_TEST(a_lost_speed_is_no_slip)
{
	struct bench_pull b;
	const struct series *v;
	size_t i;

	bench_begin(&b, 20, 2, 10, 2);
	bench_add(&b, "vehicle speed", Q_SPEED, "km/h", speed_lost);
	bench_measure(&b, CHECK_SLIP);
	CHECK_NEAR(bench_highest(&b, 0), 0, 1e-6);
	v = &b.out.list[0].value;
	for (i = 0; i < v->n; i++)
		ck_assert(v->t[i] < 4 || v->t[i] > 5);
	bench_end(&b);
	bench_begin(&b, 20, 2, 10, 2);
	bench_add_constant(&b, "vehicle speed", Q_SPEED, "km/h", 0);
	bench_measure(&b, CHECK_SLIP);
	bench_assert_refused(&b, "no road speed has readings");
	bench_end(&b);
}
END_TEST

/* The limiter holds the engine about 7000 rpm until 11.5 s; then the foot comes up. */
static double pedal_held(double t)
{
	return t >= 0 && t <= 11.5 ? 100 : 0;
}

static double rpm_limited(double t)
{
	if (t <= 10)
		return t < 0 ? 2000 : bench_rpm(t);
	if (t > 11.5)
		return 7000 - 1500 * (t - 11.5);
	return 7000 - 200 * fabs(sin(3.14159265358979 * (t - 10) / 0.3));
}

START_TEST(time_against_the_limiter)
{
	struct bench_pull b;
	const struct series *v;

	bench_begin(&b, 20, 2, 10, 4);
	set_rpm(&b, rpm_limited);
	bench_add(&b, "pedal", Q_PEDAL, "%", pedal_held);
	bench_measure(&b, CHECK_LIMITER);
	ck_assert_uint_eq(b.out.count, 1);
	v = &b.out.list[0].value;
	CHECK_NEAR(v->t[0], 10, 1e-9);
	CHECK_NEAR(v->t[v->n - 1], 11.5, 0.051);
	CHECK_NEAR(v->v[0], 1.5, 0.051);
	CHECK_NEAR(v->v[v->n - 1], 1.5, 0.051);
	bench_end(&b);
}
END_TEST

static void assert_no_hold(double (*rpm)(double t), double (*pedal)(double t))
{
	struct bench_pull b;

	bench_begin(&b, 20, 2, 10, 4);
	set_rpm(&b, rpm);
	bench_add(&b, "pedal", Q_PEDAL, "%", pedal);
	bench_measure(&b, CHECK_LIMITER);
	ck_assert_uint_eq(b.out.count, 1);
	ck_assert_uint_eq(b.out.list[0].value.n, 1);
	CHECK_NEAR(b.out.list[0].value.t[0], 10, 1e-9);
	CHECK_NEAR(b.out.list[0].value.v[0], 0, 0);
	bench_end(&b);
}

/* A change of gear with the foot down: engine speed falls by a fifth in 0.3 s, and rises. */
static double rpm_shifted(double t)
{
	if (t <= 10)
		return t < 0 ? 2000 : bench_rpm(t);
	return t < 10.3 ? 7000 - 1400 * (t - 10) / 0.3 : 5600 + 300 * (t - 10.3);
}

static double rpm_lifted(double t)
{
	return t <= 10 ? (t < 0 ? 2000 : bench_rpm(t)) : 7000 - 120 * (t - 10);
}

/* Top speed: engine speed comes to 6000 rpm ever slower, the foot down. */
static double rpm_top_speed(double t)
{
	return t < 0 ? 2000 : 6000 - 4000 * exp(-t / 2);
}

START_TEST(what_is_no_limiter)
{
	assert_no_hold(rpm_shifted, pedal_held);
	assert_no_hold(rpm_lifted, pedal_of_pull);
	assert_no_hold(rpm_top_speed, pedal_held);
}
END_TEST

START_TEST(limiter_without_foot_or_clock)
{
	struct bench_pull b;

	bench_begin(&b, 20, 2, 10, 4);
	set_rpm(&b, rpm_limited);
	bench_measure(&b, CHECK_LIMITER);
	bench_assert_refused(&b, "neither pedal nor throttle");
	bench_end(&b);
	bench_begin(&b, 20, 2, 10, 4);
	bench_add(&b, "pedal", Q_PEDAL, "%", pedal_held);
	b.loaded.log->time_source = TIME_ROWS;
	bench_measure(&b, CHECK_LIMITER);
	bench_assert_refused(&b, "the log has no times");
	bench_end(&b);
}
END_TEST

Suite *check_drive_suite(void)
{
	Suite *s = suite_create("check_drive");
	TCase *c = tcase_create("engine");

	tcase_add_test(c, throttle_is_held_against_its_own_highest);
	tcase_add_test(c, a_lift_between_polled_samples_is_no_closing);
	tcase_add_test(c, dips_of_acceleration);
	tcase_add_test(c, acceleration_that_bends_does_not_dip);
	tcase_add_test(c, grip_is_no_dip);
	tcase_add_test(c, dips_that_cannot_be_seen);
	tcase_add_test(c, misfires_since_the_start);
	suite_add_tcase(s, c);
	c = tcase_create("slip");
	tcase_add_test(c, slip_of_the_wheels);
	tcase_add_test(c, slip_of_the_clutch);
	tcase_add_test(c, slip_for_most_of_the_pull);
	tcase_add_test(c, a_sound_car_does_not_slip);
	tcase_add_test(c, a_lost_speed_is_no_slip);
	suite_add_tcase(s, c);
	c = tcase_create("limiter");
	tcase_add_test(c, time_against_the_limiter);
	tcase_add_test(c, what_is_no_limiter);
	tcase_add_test(c, limiter_without_foot_or_clock);
	suite_add_tcase(s, c);
	return s;
}
