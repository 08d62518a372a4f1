/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of finding sensors at their end. */
#include "check_util.h"

#include "data/column.h"

Suite *check_flat_suite(void);

#define PULL_S 10.0
#define PSI 6.894757293168361

/* Manifold pressure that rises ever faster and would settle at 260 kPa, rounded off. */
static double live(double t)
{
	const double rising = 100 + 12 * fmax(t, 0) + 9 * fmax(t, 0) * fmax(t, 0);

	return 260 - 8 * log1p(exp((260 - rising) / 8));
}

static double round_to(double v, double step)
{
	return step > 0 ? step * round(v / step) : v;
}

/* A log of one channel: `value` with noise, the sensor's end behind it, then rounding. */
struct sensor {
	double rate;
	double (*value)(double t);
	double noise;
	double end;		/* INFINITY: none */
	double step;
	double scale;		/* of the unit */
	enum quantity_id id;
	const char *unit;
};

#define MAP_SENSOR(rate, noise, end, step) \
	{ rate, live, noise, end, step, 1, Q_MAP, "kPa" }

static void begin(struct bench_pull *b, const struct sensor *s, uint64_t seed)
{
	double *v;
	size_t i;

	bench_begin(b, s->rate, 1, PULL_S, 1);
	v = mem_array(bench_rows(b), sizeof *v);
	for (i = 0; i < bench_rows(b); i++) {
		const double t = bench_time(b, i);
		const double x = s->value(t > PULL_S ? 0 : t) + s->noise * bench_noise(&seed);

		v[i] = round_to(fmin(x, s->end), s->step) * s->scale;
	}
	column_set_decimals(bench_add_values(b, "sensor", s->id, s->unit, v)->column, 2);
	free(v);
}

static enum check_id check_of(const struct sensor *s)
{
	return s->id == Q_MAP ? CHECK_MAP_FLAT : CHECK_MAF_FLAT;
}

/* True rise beyond the end lasts from so many seconds on, to the end of the pull. */
static double crossing(const struct sensor *s)
{
	double t = 0.0;

	while (t < PULL_S && s->value(t) < s->end)
		t += 0.001;
	return t;
}

static void assert_flat(const struct sensor *s, uint64_t seed)
{
	struct bench_pull b;
	const struct series *v;
	double from = INFINITY, to = -INFINITY;
	size_t i;

	begin(&b, s, seed);
	bench_measure(&b, check_of(s));
	ck_assert_uint_eq(b.out.count, 1);
	v = &b.out.list[0].value;
	for (i = 0; i < v->n; i++)
		if (v->v[i] > 0) {
			from = fmin(from, v->t[i]);
			to = fmax(to, v->t[i]);
		}
	ck_assert_msg(to > from, "nothing found: end %g, rate %g, noise %g", s->end, s->rate,
		      s->noise);
	CHECK_NEAR(from, crossing(s), 2 / s->rate + 0.06);
	CHECK_NEAR(to, PULL_S, 1 / s->rate);
	CHECK_NEAR(bench_highest(&b, 0), to - from, 1e-9);
	CHECK_NEAR(v->v[0], 0, 0);
	ck_assert_ptr_nonnull(b.out.list[0].detail);
	bench_end(&b);
}

static void assert_live(const struct sensor *s, uint64_t seed)
{
	struct bench_pull b;

	begin(&b, s, seed);
	bench_measure(&b, check_of(s));
	ck_assert_uint_eq(b.out.count, 1);
	ck_assert_uint_gt(b.out.list[0].value.n, 10);
	CHECK_NEAR(bench_highest(&b, 0), 0, 0);
	ck_assert_ptr_null(b.out.list[0].detail);
	bench_end(&b);
}

START_TEST(test_ends)
{
	static const struct sensor sensors[] = {
		MAP_SENSOR(20, 0, 180, 0.1), MAP_SENSOR(20, 0.35, 180, 0.1),
		MAP_SENSOR(20, 1.05, 180, 0.1), MAP_SENSOR(5, 0.35, 200, 0.1),
		MAP_SENSOR(5, 0, 200, 0.1), MAP_SENSOR(100, 0.7, 160, 0.1),
		MAP_SENSOR(20, 0.35, 200, 1), MAP_SENSOR(10, 0, 200, 1),
		MAP_SENSOR(20, 1.05, 200, 1),
		{ 20, live, 0.35, 200, 0.1, 1 / PSI, Q_MAP, "psi" },
		{ 20, live, 0.35, 200, 0.1, 1, Q_MAF, "g/s" },
		{ 20, live, 0.35, 200, 0.1, 3.6, Q_MAF, "kg/h" },
	};
	size_t i;

	for (i = 0; i < COUNT(sensors); i++) {
		assert_flat(&sensors[i], 1);
		assert_flat(&sensors[i], 2);
	}
}
END_TEST

/* The same without an end: boost that settles well is no sensor's end. */
START_TEST(test_no_end)
{
	static const struct sensor sensors[] = {
		MAP_SENSOR(20, 0.35, INFINITY, 0.1), MAP_SENSOR(20, 0.1, INFINITY, 0.1),
		MAP_SENSOR(20, 1.05, INFINITY, 0.1), MAP_SENSOR(10, 0.35, INFINITY, 0.1),
		MAP_SENSOR(100, 0.7, INFINITY, 0.1), MAP_SENSOR(20, 0.35, INFINITY, 1),
		MAP_SENSOR(20, 0, INFINITY, 1),
		{ 20, live, 0.35, INFINITY, 0.1, 1 / PSI, Q_MAP, "psi" },
	};
	size_t i;

	for (i = 0; i < COUNT(sensors); i++) {
		assert_live(&sensors[i], 1);
		assert_live(&sensors[i], 2);
	}
}
END_TEST

/*
 * One and the same tenth of a kPa while engine speed goes from 4000 to 7000 rpm is no control's,
 * however softly it was come to: it is worth a note that says that it may be control.
 */
START_TEST(test_dead_still)
{
	const struct sensor fine = MAP_SENSOR(20, 0, INFINITY, 0.1);
	struct bench_pull b;

	begin(&b, &fine, 1);
	bench_measure(&b, CHECK_MAP_FLAT);
	ck_assert_double_gt(bench_highest(&b, 0), 4.0);
	ck_assert(b.out.list[0].guess);
	ck_assert_ptr_nonnull(strstr(b.out.list[0].detail, "perhaps control"));
	bench_end(&b);
}
END_TEST

/* Manifold pressure stands near its target, but boost of another sensor goes on. */
static double boost_goes_on(double t)
{
	return live(t) - 100;
}

START_TEST(test_witness)
{
	const struct sensor noisy = MAP_SENSOR(20, 1.0, 230, 1);
	struct bench_pull b;

	begin(&b, &noisy, 1);
	bench_add(&b, "boost", Q_BOOST, "kPa", boost_goes_on);
	bench_add_constant(&b, "target", Q_MAP_TARGET, "kPa", 231);
	bench_measure(&b, CHECK_MAP_FLAT);
	ck_assert_double_gt(bench_highest(&b, 0), 5.0);
	ck_assert(b.out.list[0].guess);
	bench_end(&b);

	begin(&b, &noisy, 1);
	bench_add_constant(&b, "target", Q_MAP_TARGET, "kPa", 231);
	bench_measure(&b, CHECK_MAP_FLAT);
	CHECK_NEAR(bench_highest(&b, 0), 0, 0);	/* for all that is known it is controlled */
	bench_end(&b);
}
END_TEST

/* It comes to rest within half a second and is then exactly constant: no corner. */
static double comes_to_rest(double t)
{
	const double left = 5.5 - t;

	if (left > 0.5)
		return 180 - 60 * (left - 0.25);
	return left > 0 ? 180 - 60 * left * left : 180;
}

/* A corner, but what follows lives: 1 kPa up and down in two seconds. */
static double wobbles(double t)
{
	return t < 4 ? 180 - 25 * (4 - t) : 180 + sin(3.14159265358979 * (t - 4));
}

/* A corner, and constant for a while at the end: of 2 s at 20 a second noise can hide much. */
static double late(double t)
{
	return fmin(fmax(100, 180 - 80 * (PULL_S - 2 - t)), 180);
}

START_TEST(test_no_corner)
{
	static const struct sensor sensors[] = {
		{ 20, comes_to_rest, 0, INFINITY, 0.1, 1, Q_MAP, "kPa" },
		{ 50, comes_to_rest, 0, INFINITY, 0.1, 1, Q_MAP, "kPa" },
		{ 20, wobbles, 0.35, INFINITY, 0.1, 1, Q_MAP, "kPa" },
		{ 20, late, 0.35, INFINITY, 0.1, 1, Q_MAP, "kPa" },
	};
	uint64_t seed;
	size_t i;

	for (i = 0; i < COUNT(sensors); i++)
		for (seed = 1; seed < 6; seed++)
			assert_live(&sensors[i], seed);
}
END_TEST

/* Noise behind the sensor's end, as of a cable: found where there is enough of it. */
static double ends_early(double t)
{
	return fmin(fmax(100, 180 - 80 * (3 - t)), 180);
}

START_TEST(test_noise_behind_end)
{
	struct sensor s = { 20, ends_early, 0.7, INFINITY, 0.1, 1, Q_MAP, "kPa" };
	struct bench_pull b;

	begin(&b, &s, 1);
	bench_measure(&b, CHECK_MAP_FLAT);
	CHECK_NEAR(bench_highest(&b, 0), PULL_S - 3, 0.2);
	ck_assert_str_eq(b.out.list[0].detail, "flat at 180 kPa: perhaps the sensor's end, perhaps control");
	bench_end(&b);
}
END_TEST

/* An air flow that stays the same while engine speed rises by half, entered however slowly. */
static double slow(double t)
{
	return 100 + 5 * t;
}

START_TEST(test_flow_by_speed)
{
	static const struct sensor s = { 20, slow, 0, 120, 0.1, 1, Q_MAF, "g/s" };

	assert_flat(&s, 3);
}
END_TEST

/* A pressure that creeps to its sensor's end: noise piles up there, and no shape tells. */
START_TEST(test_pile)
{
	static const struct sensor s = { 20, slow, 1.05, 125, 0.1, 1, Q_MAP, "kPa" };
	struct bench_pull b;

	begin(&b, &s, 4);
	bench_measure(&b, CHECK_MAP_FLAT);
	CHECK_NEAR(bench_highest(&b, 0), 5, 0.7);
	ck_assert_str_eq(b.out.list[0].detail, "flat at 125 kPa: perhaps the sensor's end, perhaps control");
	bench_end(&b);
}
END_TEST

/* A higher value elsewhere in the log: the sensor can do more. */
START_TEST(test_higher_elsewhere)
{
	static const struct sensor s = MAP_SENSOR(20, 0.35, 180, 0.1);
	struct bench_pull b;
	double *v;
	size_t i;

	bench_begin(&b, 20, 1, PULL_S, 1);
	v = mem_array(bench_rows(&b), sizeof *v);
	for (i = 0; i < bench_rows(&b); i++)
		v[i] = round_to(fmin(s.value(bench_time(&b, i)), s.end), s.step);
	v[2] = 190;
	bench_add_values(&b, "map", Q_MAP, "kPa", v);
	bench_measure(&b, CHECK_MAP_FLAT);
	CHECK_NEAR(bench_highest(&b, 0), 0, 0);
	free(v);
	bench_end(&b);
}
END_TEST

/* At its target it is control, whatever its shape; far below, it is not. */
static void with_target(double target, double air, bool flat)
{
	static const struct sensor s = MAP_SENSOR(20, 0, 180, 0.1);
	struct bench_pull b;

	begin(&b, &s, 1);
	bench_add_constant(&b, "target", air > 0 ? Q_BOOST_TARGET : Q_MAP_TARGET, "kPa", target);
	if (air > 0)
		bench_add_constant(&b, "baro", Q_BARO, "kPa", air);
	bench_measure(&b, CHECK_MAP_FLAT);
	ck_assert_int_eq(bench_highest(&b, 0) > 0, flat);
	bench_end(&b);
}

START_TEST(test_control)
{
	with_target(183, 0, false);
	with_target(188, 0, true);
	with_target(93, 90, false);
	with_target(80, 90, true);
}
END_TEST

/* A value that the logger holds between its turns repeats too, and not only at the top. */
START_TEST(test_held)
{
	struct bench_pull b;
	double *v;
	size_t i;

	bench_begin(&b, 40, 1, PULL_S, 1);
	v = mem_array(bench_rows(&b), sizeof *v);
	for (i = 0; i < bench_rows(&b); i++) {
		const double turn = floor((double)i / 30);

		v[i] = turn < 8 ? 100 + 2 * turn * turn : 210 - 3 * turn;
	}
	bench_add_values(&b, "map", Q_MAP, "kPa", v);
	bench_measure(&b, CHECK_MAP_FLAT);
	CHECK_NEAR(bench_highest(&b, 0), 0, 0);
	free(v);
	bench_end(&b);
}
END_TEST

/* A flat top with a cell missing here and there is one flat top. */
START_TEST(test_missing_cells)
{
	struct bench_pull b;
	double *v;
	uint64_t seed = 7;
	size_t i;

	bench_begin(&b, 20, 1, PULL_S, 1);
	v = mem_array(bench_rows(&b), sizeof *v);
	for (i = 0; i < bench_rows(&b); i++)
		v[i] = i % 17 == 3 ? NAN
				   : round_to(fmin(live(bench_time(&b, i)) +
						   0.5 * bench_noise(&seed), 180), 0.1);
	bench_add_values(&b, "map", Q_MAP, "kPa", v);
	bench_measure(&b, CHECK_MAP_FLAT);
	ck_assert(bench_highest(&b, 0) > 7.0);
	free(v);
	bench_end(&b);
}
END_TEST

START_TEST(test_wrong_unit)
{
	struct bench_pull b;

	bench_begin(&b, 20, 1, PULL_S, 1);
	bench_add(&b, "map", Q_MAP, "V", live);
	bench_measure(&b, CHECK_MAP_FLAT);
	bench_assert_refused(&b, "cannot be converted into kPa");
	bench_end(&b);
}
END_TEST

Suite *check_flat_suite(void)
{
	Suite *s = suite_create("check_flat");
	TCase *t = tcase_create("check_flat");

	tcase_add_test(t, test_ends);
	tcase_add_test(t, test_no_end);
	tcase_add_test(t, test_no_corner);
	tcase_add_test(t, test_dead_still);
	tcase_add_test(t, test_witness);
	tcase_add_test(t, test_noise_behind_end);
	tcase_add_test(t, test_flow_by_speed);
	tcase_add_test(t, test_pile);
	tcase_add_test(t, test_higher_elsewhere);
	tcase_add_test(t, test_control);
	tcase_add_test(t, test_held);
	tcase_add_test(t, test_missing_cells);
	tcase_add_test(t, test_wrong_unit);
	suite_add_tcase(s, t);
	return s;
}
