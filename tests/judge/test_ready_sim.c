/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * `ready` against simulated logs: each question on a log that has just that trouble, and
 * healthy logs of many kinds, which have none.
 */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/base_util.h"
#include "calc/pull_trial.h"
#include "judge/ready.h"

Suite *ready_sim_suite(void);

#ifndef BUILDDIR
#define BUILDDIR "."
#endif

#define HEALTHY 60

/* One simulated log, judged. */
struct simulated {
	struct loaded loaded;
	struct ready_report report;
};

static void simulate(const char *folder, const char *options)
{
	char *command = mem_printf("'%s' %s -o '%s/a.csv'", pull_trial_sim(BUILDDIR "/sim"),
				   options, folder);

	ck_assert_msg(system(command) == 0, "%s", command);
	free(command);
}

/* redline NaN: nothing is known of the car. */
static void simulated_init(struct simulated *s, const char *folder, const char *options,
			   double redline)
{
	const struct load_options load = { .names = NULL };
	const struct log_ref ref = { NULL, REF_BEST, 0 };
	struct ready_setup setup;
	struct request request;
	struct car car;
	struct run run;
	struct err e = ERR_INIT;
	char *path = mem_printf("%s/a.csv", folder);

	simulate(folder, options);
	request_init(&request);
	request.rate_hz = 10.0;
	car_init(&car);
	car.redline_rpm = redline;
	setup = (struct ready_setup){ &request, &car, UNITS_FILE };
	ck_assert_msg(load_log(path, &load, &s->loaded, &e) == ERR_NONE, "%s", e.text);
	ck_assert_int_eq(load_run(&s->loaded, &ref, &run, NULL), ERR_NONE);
	ck_assert_int_eq(ready_run(&s->report, &s->loaded, &run, &setup, NULL), ERR_NONE);
	run_release(&run);
	request_release(&request);
	car_release(&car);
	free(path);
}

static void simulated_release(struct simulated *s)
{
	ready_report_release(&s->report);
	loaded_release(&s->loaded);
}

static bool listed(const char *list, const char *id)
{
	const char *at = strstr(list, id);
	const size_t n = strlen(id);

	return at != NULL && (at == list || at[-1] == ' ') && (at[n] == ' ' || at[n] == '\0');
}

/* Every line that is weak or fails is in the list, and every one of the list is there. */
static void expect_trouble(const struct simulated *s, const char *what, const char *list)
{
	const struct ready_report *r = &s->report;
	char *rest = mem_strdup(list);
	char *at = NULL;
	char *word;
	size_t i;

	for (i = 0; i < r->count; i++)
		if (r->lines[i].result >= READY_WEAK)
			ck_assert_msg(listed(list, r->lines[i].id), "%s: %s: %s", what,
				      r->lines[i].id, r->lines[i].text);
	for (word = strtok_r(rest, " ", &at); word != NULL; word = strtok_r(NULL, " ", &at)) {
		bool found = false;

		for (i = 0; i < r->count; i++)
			found = found || (strcmp(r->lines[i].id, word) == 0 &&
					  r->lines[i].result >= READY_WEAK);
		ck_assert_msg(found, "%s: %s is not found", what, word);
	}
	free(rest);
}

static const struct {
	const char *options;
	const char *trouble;		/* exactly these lines are weak or fail */
	enum ready_result verdict;
} cases[] = {
	{ "--scenario aborted", "pull", READY_FAIL },
	{ "--scenario traffic", "pull", READY_FAIL },
	{ "--scenario short-lift", "from_rpm pedal", READY_FAIL },
	{ "--scenario gearchange", "to_rpm gear_change", READY_WEAK },
	{ "--scenario flatshift", "to_rpm gear_change", READY_WEAK },
	{ "--scenario slip", "slip", READY_WEAK },
	{ "--scenario slip --rate 10 --coarse", "slip", READY_WEAK },
	{ "--fault slip_clutch", "slip", READY_WEAK },
	{ "--from 2600", "from_rpm", READY_WEAK },
	{ "--from 3200", "from_rpm", READY_FAIL },
	{ "--to 6400", "to_rpm", READY_WEAK },
	{ "--to 5500", "to_rpm", READY_FAIL },
	{ "--max-seconds 14", "to_rpm", READY_FAIL },
	{ "--fault pedal_stuck", "to_rpm pedal", READY_FAIL },
	{ "--channels club,-pedal,-throttle", "pedal", READY_WEAK },
	{ "--channels club,-lambda,-knock1,-knock2,-knock3,-knock4", "channels", READY_WEAK },
	{ "--rate 5", "rate", READY_WEAK },
	{ "--rate 3", "rate", READY_FAIL },
	{ "--poll 4", "rate skew", READY_WEAK },
	{ "--poll 4 --fast rpm,pedal,throttle", "rate skew", READY_WEAK },
	{ "--poll 4 --poll-style hold", "rate skew", READY_WEAK },
	{ "--jitter 0.2", "regular", READY_WEAK },
	{ "--drop-rows 0.1", "gaps", READY_WEAK },
	{ "--drop-cells 0.1", "gaps", READY_WEAK },
	{ "--fault dropout", "gaps", READY_WEAK },
	{ "--clock-back 12", "to_rpm clock", READY_WEAK },
	{ "--time-decimals 0", "clock", READY_WEAK },
	{ "--time none", "clock", READY_FAIL },
	{ "--car large --map-max 220", "saturated", READY_WEAK },
	{ "--fault lambda_stuck --noise 0", "stuck", READY_WEAK },
	{ "--fault speed_lost", "stuck", READY_WEAK },
	{ "--fault coolant_high@t0-60:-40", "coolant", READY_FAIL },
	{ "--fault coolant_high@1-9000:25", "coolant", READY_WEAK },
	{ "--fault oil_hot@1-9000:40", "oil", READY_WEAK },
	{ "--fault iat_high@t0-30:30", "intake heat_soak", READY_WEAK },
	{ "--fault battery_low@1-9000:2.2", "battery", READY_WEAK },
	/* no trouble worth a word */
	{ "", "", READY_PASS },
	{ "--scenario limiter", "", READY_PASS },
	{ "--scenario two", "", READY_PASS },
	{ "--rate 10 --coarse", "", READY_PASS },
	{ "--poll 2", "", READY_PASS },
	{ "--drop-rows 0.01", "", READY_PASS },
	{ "--drop-cells 0.01", "", READY_PASS },
	{ "--jitter 0.1", "", READY_PASS },
	{ "--time-decimals 1", "", READY_PASS },
	{ "--noise 0", "", READY_PASS },
	{ "--noise 0 --coarse", "", READY_PASS },
	{ "--pedal-full 80 --throttle-full 75", "", READY_PASS },
	{ "--channels club,-pedal", "", READY_PASS },
	{ "--channels club,-speed,-wheel_speed,-gear", "", READY_PASS },
};

START_TEST(a_trouble_is_found_and_no_other)
{
	char *options = mem_printf("--channels club --style plain %s", cases[_i].options);
	char *folder = new_folder();
	struct simulated s;

	simulated_init(&s, folder, options, 7000.0);
	expect_trouble(&s, cases[_i].options, cases[_i].trouble);
	ck_assert_int_eq(s.report.verdict, cases[_i].verdict);
	simulated_release(&s);
	drop_folder(folder);
	free(options);
}
END_TEST

static const char *choose(uint64_t *rng, const char *const *words, int count)
{
	return words[rng_below(rng, count)];
}

#define CHOOSE(rng, ...) \
	choose(rng, (const char *const[]){ __VA_ARGS__ }, \
	       (int)COUNT(((const char *const[]){ __VA_ARGS__ })))

/* A pull as it should be, in one of many cars, loggers, namings and units. */
static char *healthy_options(uint64_t *rng, int seed)
{
	struct buf out = BUF_INIT;

	buf_printf(&out, "--seed %d --scenario %s", seed, CHOOSE(rng, "pull", "two", "limiter"));
	buf_printf(&out, " --car %s", CHOOSE(rng, "small", "large", "any"));
	buf_printf(&out, " --gear %s", CHOOSE(rng, "3", "4"));
	buf_printf(&out, " --from %s", CHOOSE(rng, "1500", "1700", "1900"));
	buf_printf(&out, " --rate %s", CHOOSE(rng, "12.5", "20", "25", "50", "100"));
	buf_printf(&out, " --jitter %s", CHOOSE(rng, "0", "0.03", "0.08"));
	buf_printf(&out, " --channels %s", CHOOSE(rng, "club", "drive", "all"));
	buf_printf(&out, " --style %s", CHOOSE(rng, "plain", "short", "snake", "trade"));
	buf_printf(&out, " --system %s", CHOOSE(rng, "metric", "us", "mixed"));
	buf_printf(&out, " --temp %s", CHOOSE(rng, "0", "10", "20", "30"));
	buf_printf(&out, " --noise %s", CHOOSE(rng, "0", "0.5", "1", "1.5"));
	buf_printf(&out, " %s", CHOOSE(rng, "", "", "--coarse", "--knock-negative"));
	buf_printf(&out, " %s", CHOOSE(rng, "", "", "--drop-rows 0.005", "--drop-cells 0.005"));
	buf_printf(&out, " %s", CHOOSE(rng, "", "", "--time ms", "--time hms", "--time iso"));
	return buf_take(&out);
}

/*
 * Only the coarseness of a quick car in third gear at 12.5 Hz may be called weak: over 100 rpm
 * from sample to sample is what the question is about.
 */
START_TEST(healthy_logs_are_fit)
{
	char *folder = new_folder();
	uint64_t rng = 4711;
	size_t unchecked = 0;
	int i;

	for (i = 0; i < HEALTHY; i++) {
		char *options = healthy_options(&rng, 100 + i);
		struct simulated s;
		size_t k;

		simulated_init(&s, folder, options, NAN);
		for (k = 0; k < s.report.count; k++) {
			const struct ready_line *line = &s.report.lines[k];

			unchecked += line->result == READY_UNCHECKED;
			if (strcmp(line->id, "rate") == 0 && strstr(line->text, "12.5 ") != NULL)
				continue;
			ck_assert_msg(line->result <= READY_UNCHECKED, "%s: %s: %s", options, line->id,
				      line->text);
		}
		simulated_release(&s);
		free(options);
	}
	/* the ethanol that nobody asks for, and a redline that nothing says */
	ck_assert_uint_le(unchecked, 3 * HEALTHY);
	drop_folder(folder);
}
END_TEST

Suite *ready_sim_suite(void)
{
	Suite *s = suite_create("ready_sim");
	TCase *t = tcase_create("logs");

	tcase_set_timeout(t, 120.0);
	tcase_add_loop_test(t, a_trouble_is_found_and_no_other, 0, (int)COUNT(cases));
	tcase_add_test(t, healthy_logs_are_fit);
	suite_add_tcase(s, t);
	return s;
}
