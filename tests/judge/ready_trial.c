/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Making a log by hand, and asking about it. */
#include "judge/ready_trial.h"

static bool in_pull(size_t row)
{
	return row >= ROLL && row <= ROLL + PULL;
}

static double rpm_at(size_t row)
{
	if (row < ROLL)
		return FROM_RPM;
	if (row <= ROLL + PULL)
		return FROM_RPM + RISE * (double)(row - ROLL) / RATE;
	return FROM_RPM + RISE * PULL / RATE - 30.0 * (double)(row - ROLL - PULL);
}

/* Wiggles a little, as sensors do, and never repeats a value. */
double wiggle(size_t row)
{
	return 0.01 * (double)(row * 7 % 11) + 0.0001 * (double)row;
}

struct values steady(double level, double noise)
{
	struct values out;
	size_t i;

	for (i = 0; i < ROWS; i++)
		out.v[i] = level + noise * wiggle(i);
	return out;
}

struct values from_rpm(double factor)
{
	struct values out;
	size_t i;

	for (i = 0; i < ROWS; i++)
		out.v[i] = factor * rpm_at(i);
	return out;
}

struct values pedal(void)
{
	struct values out;
	size_t i;

	for (i = 0; i < ROWS; i++)
		out.v[i] = in_pull(i) ? 100.0 : 8.0;
	return out;
}

struct channel *put(struct trial *t, const char *name, enum quantity_id id,
			   const char *unit, struct values values)
{
	return put_channel(t->log, name, id, unit, values.v);
}

/* Engine speed and pedal; the tests add what else they need. */
void bare_init(struct trial *t)
{
	memset(t, 0, sizeof *t);
	t->log = make_even_log("a.csv", 1.0 / RATE, ROWS);
	request_init(&t->request);
	t->request.rate_hz = 10.0;
	car_init(&t->car);
	put(t, "Engine Speed", Q_RPM, "rpm", from_rpm(1.0));
	put(t, "Pedal", Q_PEDAL, "%", pedal());
}

/* All that the built-in request asks for, and all of it well. */
void full_init(struct trial *t)
{
	bare_init(t);
	t->car.redline_rpm = 7000.0;
	put(t, "Gear", Q_GEAR, NULL, steady(4.0, 0.0));
	put(t, "Speed", Q_SPEED, "km/h", from_rpm(1.0 / RATIO));
	put(t, "Boost", Q_BOOST, "kPa", from_rpm(0.02));
	put(t, "MAP", Q_MAP, "kPa", from_rpm(0.04));
	put(t, "Lambda", Q_LAMBDA, "lambda", steady(0.84, 0.1));
	put(t, "Timing", Q_IGNITION, "deg", from_rpm(0.002));
	put(t, "Knock", Q_KNOCK_RETARD, "deg", steady(0.0, 0.0));
	put(t, "IAT", Q_INTAKE_TEMP, "degC", steady(25.0, 1.0));
	put(t, "Ambient", Q_AMBIENT_TEMP, "degC", steady(20.0, 0.0));
	put(t, "Coolant", Q_COOLANT_TEMP, "degC", steady(90.0, 1.0));
	put(t, "Oil", Q_OIL_TEMP, "degC", steady(95.0, 1.0));
	put(t, "Battery", Q_BATTERY, "V", steady(14.0, 0.1));
	put(t, "Ethanol", Q_ETHANOL, "%", steady(5.0, 0.0));
	t->request.ethanol_percent = 5.0;
}

struct channel *of(struct trial *t, const char *name)
{
	size_t i;

	for (i = 0; i < t->log->channel_count; i++)
		if (strcmp(t->log->channels[i].name, name) == 0)
			return &t->log->channels[i];
	ck_abort_msg("no channel %s", name);
}

/* Other values for a channel that is there. */
void change(struct trial *t, const char *name, struct values values)
{
	struct channel *ch = of(t, name);
	size_t i;

	column_free(ch->column);
	ch->column = column_new();
	for (i = 0; i < ROWS; i++)
		ck_assert(column_push(ch->column, values.v[i]));
}

void drop(struct trial *t, const char *name)
{
	change(t, name, steady(NAN, 0.0));
}

/* Judges pull `number`, or the whole log. */
void judge(struct trial *t, size_t number)
{
	const struct ready_setup setup = { &t->request, &t->car, t->units };
	struct run run;

	t->loaded.log = t->log;
	t->loaded.has_rpm = pull_find(t->log, NULL, &t->loaded.pulls, NULL) == ERR_NONE;
	ck_assert_int_eq(run_init(&run, t->log, &t->loaded.pulls, number, NULL), ERR_NONE);
	ck_assert_int_eq(ready_run(&t->report, &t->loaded, &run, &setup, NULL), ERR_NONE);
	run_release(&run);
}

void trial_release(struct trial *t)
{
	ready_report_release(&t->report);
	request_release(&t->request);
	car_release(&t->car);
	loaded_release(&t->loaded);
}

const struct ready_line *line_of(const struct trial *t, const char *id)
{
	const struct ready_line *found = NULL;
	size_t i;

	for (i = 0; i < t->report.count && found == NULL; i++)
		if (strcmp(t->report.lines[i].id, id) == 0)
			found = &t->report.lines[i];
	return found;
}

/* The line's result and value; what is not a pass has words of advice. */
void expect_line(const struct trial *t, const char *id, enum ready_result result,
			double value, double tolerance)
{
	const struct ready_line *line = line_of(t, id);

	ck_assert_msg(line != NULL, "no line %s", id);
	ck_assert_msg(line->result == result, "%s: %s, not %s: %s", id,
		      ready_result_name(line->result), ready_result_name(result), line->text);
	CHECK_NEAR(line->value, value, tolerance);
	if (result == READY_WEAK || result == READY_FAIL) {
		ck_assert_ptr_nonnull(line->advice);
		ck_assert_ptr_nonnull(line->asked);
	}
	if (result == READY_PASS)
		ck_assert_ptr_null(line->advice);
}

void release_and_expect(struct trial *t, const char *id, enum ready_result result,
			       double value, double tolerance)
{
	judge(t, 1);
	expect_line(t, id, result, value, tolerance);
	trial_release(t);
}
