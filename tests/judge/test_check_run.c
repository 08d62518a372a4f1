/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of running all checks: what runs, what cannot and why, the order of findings. */
#include "calc/calc_util.h"

#include "judge/check.h"

Suite *check_run_suite(void);

#define ROWS 401
#define STEP 0.05

/* Two pulls of 8 s, 4 s apart: engine speed, lambda, two cylinders and the coolant. */
struct drive {
	struct loaded loaded;
	struct pull pull[2];
	struct run run;
	struct limits limits;
	struct car car;
	struct check_setup setup;
	struct check_report report;
};

static double in_pull(double t)
{
	return t < 8 ? t : t >= 12 ? t - 12 : NAN;
}

static double rpm_at(double t)
{
	return isnan(in_pull(t)) ? 2000 : 2000 + 500 * in_pull(t);
}

static double mixture(double t)
{
	return t > 15 && t < 17 ? 0.93 : 0.82;
}

static double quiet(double t)
{
	(void)t;
	return 0.0;
}

static double knocks(double t)
{
	return t > 4 && t < 4.6 ? 3.0 : t > 14 && t < 14.6 ? 4.0 : 0.0;
}

static double warm(double t)
{
	(void)t;
	return 90;
}

static struct pull pull_of(const struct datalog *log, size_t first, size_t last)
{
	struct pull p = whole_pull(log);

	p.first = first;
	p.last = last;
	p.from_s = log->time[first];
	p.to_s = log->time[last];
	return p;
}

static void begin(struct drive *d)
{
	struct datalog *log = make_even_log("drive.csv", STEP, ROWS);

	memset(d, 0, sizeof *d);
	put_function(log, "rpm", Q_RPM, "rpm", rpm_at);
	put_function(log, "lambda", Q_LAMBDA, "lambda", mixture);
	put_function(log, "knock 1", Q_KNOCK_RETARD, "deg", quiet)->index = 1;
	put_function(log, "knock 2", Q_KNOCK_RETARD, "deg", knocks)->index = 2;
	put_function(log, "coolant", Q_COOLANT_TEMP, "degC", warm);
	d->pull[0] = pull_of(log, 0, 159);
	d->pull[1] = pull_of(log, 240, 399);
	d->loaded = (struct loaded){ log, { d->pull, 2 }, true };
	limits_init(&d->limits);
	car_init(&d->car);
	d->setup = (struct check_setup){ .limits = &d->limits, .car = &d->car };
}

static enum err_code check(struct drive *d, size_t number, struct err *e)
{
	enum err_code code;

	check_report_release(&d->report);
	run_release(&d->run);
	ck_assert_int_eq(run_init(&d->run, d->loaded.log, &d->loaded.pulls, number, NULL),
			 ERR_NONE);
	code = check_run(&d->report, &d->loaded, &d->run, &d->setup, e);
	return code;
}

static void end(struct drive *d)
{
	check_report_release(&d->report);
	run_release(&d->run);
	datalog_free(d->loaded.log);
	limits_release(&d->limits);
	car_release(&d->car);
}

static const struct not_run *not_run(const struct drive *d, enum check_id id)
{
	size_t i;

	for (i = 0; i < d->report.not_run_count; i++)
		if (d->report.not_run[i].check->id == id)
			return &d->report.not_run[i];
	return NULL;
}

static void assert_found(const struct drive *d, size_t i, enum check_id id, enum severity s,
			 size_t pull)
{
	ck_assert_uint_lt(i, d->report.count);
	ck_assert_int_eq(d->report.findings[i].check->id, id);
	ck_assert_int_eq(d->report.findings[i].severity, s);
	ck_assert_uint_eq(d->report.findings[i].pull, pull);
}

START_TEST(test_one_pull)
{
	struct drive d;

	begin(&d);
	ck_assert_int_eq(check(&d, 1, NULL), ERR_NONE);
	ck_assert_uint_eq(d.report.pulls, 1);
	ck_assert_uint_eq(d.report.count, 1);
	assert_found(&d, 0, CHECK_KNOCK, SEVERITY_CAUTION, 1);
	ck_assert_str_eq(d.report.findings[0].channel->name, "knock 2");
	ck_assert_int_eq(d.report.worst, SEVERITY_CAUTION);
	ck_assert_uint_eq(d.report.ran + d.report.not_run_count, CHECK_COUNT);
	end(&d);
}
END_TEST

/* Each pull of a whole log, the severest first, then in the order of the drive. */
START_TEST(test_whole_log)
{
	struct drive d;

	begin(&d);
	ck_assert_int_eq(check(&d, RUN_WHOLE, NULL), ERR_NONE);
	ck_assert_uint_eq(d.report.pulls, 2);
	assert_found(&d, 0, CHECK_LEAN, SEVERITY_STOP, 2);
	assert_found(&d, 1, CHECK_LEAN_TREND, SEVERITY_STOP, 2);
	assert_found(&d, 2, CHECK_KNOCK, SEVERITY_CAUTION, 1);
	assert_found(&d, 3, CHECK_KNOCK, SEVERITY_CAUTION, 2);
	ck_assert_uint_eq(d.report.count, 4);
	ck_assert_int_eq(d.report.worst, SEVERITY_STOP);
	end(&d);
}
END_TEST

/* What cannot run says why, and of what kind the reason is. */
START_TEST(test_not_run)
{
	struct drive d;
	int id;

	begin(&d);
	d.limits.of[CHECK_COOLANT_TEMP].off = true;
	for (id = SEVERITY_NOTE; id < SEVERITIES; id++)
		d.limits.of[CHECK_KNOCK_ALL].level[id].n = 0;
	ck_assert_int_eq(check(&d, 1, NULL), ERR_NONE);
	ck_assert_ptr_null(not_run(&d, CHECK_KNOCK));
	ck_assert_ptr_null(not_run(&d, CHECK_LEAN));
	ck_assert_int_eq(not_run(&d, CHECK_COOLANT_TEMP)->kind, NOT_RUN_OFF);
	ck_assert_int_eq(not_run(&d, CHECK_KNOCK_ALL)->kind, NOT_RUN_LIMIT);
	ck_assert_int_eq(not_run(&d, CHECK_OIL_TEMP)->kind, NOT_RUN_CHANNEL);
	ck_assert_str_eq(not_run(&d, CHECK_OIL_TEMP)->why, "not logged: oil temperature");
	ck_assert_int_eq(not_run(&d, CHECK_KNOCK_ODD)->kind, NOT_RUN_OTHER);
	end(&d);
}
END_TEST

/* The lean end comes as the rail pressure goes; knock half a minute before has nothing of it. */
static double rail(double t)
{
	return t > 14.8 && t < 17 ? 70 : 100;
}

static double rail_target(double t)
{
	(void)t;
	return 100;
}

START_TEST(test_cause)
{
	const struct finding *of_rail;
	struct drive d;
	size_t i;

	begin(&d);
	put_function(d.loaded.log, "rail", Q_RAIL_PRESSURE, "bar", rail);
	put_function(d.loaded.log, "rail target", Q_RAIL_TARGET, "bar", rail_target);
	ck_assert_int_eq(check(&d, RUN_WHOLE, NULL), ERR_NONE);
	assert_found(&d, 0, CHECK_RAIL, SEVERITY_STOP, 2);
	of_rail = &d.report.findings[0];
	ck_assert_ptr_null(of_rail->cause);
	assert_found(&d, 1, CHECK_LEAN, SEVERITY_STOP, 2);
	ck_assert_ptr_eq(d.report.findings[1].cause, of_rail);
	assert_found(&d, 2, CHECK_LEAN_TREND, SEVERITY_STOP, 2);
	ck_assert_ptr_eq(d.report.findings[2].cause, of_rail);
	for (i = 3; i < d.report.count; i++) {	/* knock: before the lean end, and in another pull */
		ck_assert_int_eq(d.report.findings[i].check->id, CHECK_KNOCK);
		ck_assert_ptr_null(d.report.findings[i].cause);
	}
	end(&d);
}
END_TEST

/* A limit of the calibrator's is known as his. */
START_TEST(test_own_limit)
{
	struct drive d;

	begin(&d);
	d.limits.of[CHECK_KNOCK].level[SEVERITY_CAUTION].value[0] = 2.5;
	d.limits.of[CHECK_KNOCK].own[SEVERITY_CAUTION] = true;
	ck_assert_int_eq(check(&d, 1, NULL), ERR_NONE);
	assert_found(&d, 0, CHECK_KNOCK, SEVERITY_CAUTION, 1);
	ck_assert(d.report.findings[0].own);
	CHECK_NEAR(d.report.findings[0].limit, 2.5, 1e-9);
	end(&d);
}
END_TEST

START_TEST(test_nothing_to_judge)
{
	struct err e = ERR_INIT;
	struct drive d;

	begin(&d);
	d.loaded.pulls.count = 0;
	ck_assert_int_eq(check(&d, RUN_WHOLE, &e), ERR_DATA);
	ck_assert_ptr_nonnull(strstr(e.text, "no pull"));
	d.loaded.pulls.count = 2;
	d.loaded.log->time_source = TIME_ROWS;
	ck_assert_int_eq(check(&d, 1, &e), ERR_DATA);
	ck_assert_ptr_nonnull(strstr(e.text, "--rate"));
	ck_assert_uint_eq(d.report.count, 0);
	end(&d);
}
END_TEST

Suite *check_run_suite(void)
{
	Suite *s = suite_create("check_run");
	TCase *t = tcase_create("check_run");

	tcase_add_test(t, test_one_pull);
	tcase_add_test(t, test_whole_log);
	tcase_add_test(t, test_not_run);
	tcase_add_test(t, test_cause);
	tcase_add_test(t, test_own_limit);
	tcase_add_test(t, test_nothing_to_judge);
	suite_add_tcase(s, t);
	return s;
}
