/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Findings in words: units, differences, decimals, names, and what is said when. */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "out/finding_text.h"

Suite *finding_text_suite(void);

/* A finding of a check in a channel of this quantity, with numbers of a lean end. */
struct sketch {
	struct channel channel;
	struct finding finding;
	struct limits limits;
};

static void sketch_init(struct sketch *s, enum check_id id, enum quantity_id quantity,
			const char *unit, int index)
{
	*s = (struct sketch){ 0 };
	s->channel.name = (char *)"A Channel";
	s->channel.quantity = quantity_get(quantity);
	s->channel.unit = unit_find(unit, NULL);
	s->channel.index = index;
	s->finding = (struct finding){
		.check = check_get(id), .severity = SEVERITY_STOP, .channel = &s->channel,
		.pull = 1, .from_s = 8.35, .to_s = 9.2, .from_rpm = 5980.4, .to_rpm = 6810,
		.worst = 0.931, .worst_s = 8.95, .worst_rpm = 6640.2, .limit = 0.9,
		.over_s = 0.85, .samples = 17, .interval_s = 0.05, .sure = SURE_CLEAR,
	};
	limits_init(&s->limits);
}

static void sketch_values(struct sketch *s, double worst, double limit)
{
	s->finding.worst = worst;
	s->finding.limit = limit;
}

static char *title_of(const struct sketch *s)
{
	struct buf out = BUF_INIT;

	finding_title(&s->finding, &out);
	return buf_take(&out);
}

static char *where_of(const struct sketch *s)
{
	struct buf out = BUF_INIT;

	finding_where(&s->finding, &out);
	return buf_take(&out);
}

static char *worst_of(const struct sketch *s, enum unit_system system, bool ascii)
{
	struct buf out = BUF_INIT;

	finding_worst(&s->finding, system, ascii, &out);
	return buf_take(&out);
}

static char *limit_of(const struct sketch *s, enum unit_system system, bool ascii)
{
	struct buf out = BUF_INIT;

	finding_limit(&s->finding, &s->limits, system, ascii, &out);
	return buf_take(&out);
}

static char *sentence_of(const struct sketch *s, enum unit_system system, bool ascii)
{
	struct buf out = BUF_INIT;

	finding_sentence(&s->finding, &s->limits, system, ascii, &out);
	return buf_take(&out);
}

/* Takes the text over. */
static void assert_is(char *text, const char *want)
{
	ck_assert_str_eq(text, want);
	free(text);
}

START_TEST(test_sentence)
{
	struct sketch s;

	sketch_init(&s, CHECK_LEAN, Q_LAMBDA, "lambda", 0);
	assert_is(sentence_of(&s, UNITS_FILE, true),
		  "Lean under load, 5980-6810 rpm: 0.931 lambda at 6640 rpm, limit 0.900 lambda "
		  "(common practice, no source). Over it for 0.85 s, by 0.031 lambda at most; 17 "
		  "samples: clear; shorter than 0.05 s not excluded.");
	assert_is(worst_of(&s, UNITS_FILE, false), "0.931 λ at 6640 rpm");
	limits_release(&s.limits);
}
END_TEST

START_TEST(test_source)
{
	struct sketch s;

	sketch_init(&s, CHECK_LEAN, Q_LAMBDA, "lambda", 0);
	s.limits.path = mem_strdup("limits.ini");
	s.finding.own = true;
	assert_is(limit_of(&s, UNITS_FILE, true), "limit 0.900 lambda (limits.ini)");
	s.limits.source = mem_strdup("Blatt 3, 20 °C");
	assert_is(limit_of(&s, UNITS_FILE, false), "limit 0.900 λ (Blatt 3, 20 °C)");
	assert_is(limit_of(&s, UNITS_FILE, true), "limit 0.900 lambda (Blatt 3, 20 degC)");
	s.finding.own = false;
	assert_is(limit_of(&s, UNITS_FILE, true),
		  "limit 0.900 lambda (common practice, no source)");
	limits_release(&s.limits);
}
END_TEST

/* A temperature has an offset, a rise of temperature has none. */
START_TEST(test_temperature)
{
	struct sketch s;

	sketch_init(&s, CHECK_INTAKE_TEMP, Q_INTAKE_TEMP, "degC", 0);
	sketch_values(&s, 70, 65);
	assert_is(worst_of(&s, UNITS_FILE, true), "70 degC at 6640 rpm");
	assert_is(worst_of(&s, UNITS_US, true), "158 degF at 6640 rpm");
	assert_is(worst_of(&s, UNITS_US, false), "158 °F at 6640 rpm");
	ck_assert_double_eq_tol(finding_beyond(&s.finding, unit_find("degF", NULL)), 9, 1e-9);
	limits_release(&s.limits);
	sketch_init(&s, CHECK_INTAKE_RISE, Q_INTAKE_TEMP, "degC", 0);
	sketch_values(&s, 25, 20);
	assert_is(worst_of(&s, UNITS_US, true), "45 degF at 6640 rpm");
	assert_is(limit_of(&s, UNITS_US, true),
		  "limit 36 degF (common practice, no source)");
	limits_release(&s.limits);
}
END_TEST

/* UNITS_FILE is the channel's own unit; a system's comes before it. */
START_TEST(test_pressure)
{
	struct sketch s;

	sketch_init(&s, CHECK_BOOST_OVER, Q_BOOST, "psi", 0);
	sketch_values(&s, 30, 20);
	assert_is(worst_of(&s, UNITS_FILE, true), "4.4 psi at 6640 rpm");
	assert_is(worst_of(&s, UNITS_METRIC, true), "30 kPa at 6640 rpm");
	s.channel.unit = unit_find("bar", NULL);
	assert_is(worst_of(&s, UNITS_FILE, true), "0.30 bar at 6640 rpm");
	s.channel.unit = NULL;
	assert_is(worst_of(&s, UNITS_FILE, true), "30 kPa at 6640 rpm");
	limits_release(&s.limits);
}
END_TEST

/* A share of a pressure, a time, a ratio, a count: the check's own unit in every system. */
START_TEST(test_own_units)
{
	struct sketch s;

	sketch_init(&s, CHECK_RAIL, Q_RAIL_PRESSURE, "MPa", 0);
	sketch_values(&s, 21.64, 15);
	assert_is(worst_of(&s, UNITS_US, false), "21.6 % at 6640 rpm");
	limits_release(&s.limits);
	sketch_init(&s, CHECK_INJECTOR_DUTY, Q_INJECTOR_DUTY, "1", 0);
	sketch_values(&s, 97, 95);
	assert_is(worst_of(&s, UNITS_FILE, false), "97.0 % at 6640 rpm");
	limits_release(&s.limits);
	sketch_init(&s, CHECK_LIMITER, Q_RPM, "rpm", 0);
	sketch_values(&s, 2.4, 2);
	assert_is(worst_of(&s, UNITS_METRIC, false), "2.4 s at 6640 rpm");
	limits_release(&s.limits);
	sketch_init(&s, CHECK_MISFIRES, Q_MISFIRES, "", 2);
	sketch_values(&s, 21, 20);
	ck_assert_ptr_null(finding_unit(&s.finding, UNITS_US));
	assert_is(worst_of(&s, UNITS_US, false), "21 at 6640 rpm");
	assert_is(limit_of(&s, UNITS_US, false), "limit 20 (common practice, no source)");
	limits_release(&s.limits);
}
END_TEST

/* A worst value that is over the limit never looks like it. */
START_TEST(test_close)
{
	struct sketch s;

	sketch_init(&s, CHECK_KNOCK, Q_KNOCK_RETARD, "deg", 3);
	sketch_values(&s, 5.04, 5);
	assert_is(worst_of(&s, UNITS_FILE, true), "5.04 deg at 6640 rpm");
	assert_is(limit_of(&s, UNITS_FILE, true), "limit 5.00 deg (common practice, no source)");
	limits_release(&s.limits);
}
END_TEST

START_TEST(test_titles)
{
	struct sketch s;

	sketch_init(&s, CHECK_KNOCK, Q_KNOCK_RETARD, "deg", 12);
	assert_is(title_of(&s), "knock retard, cylinder 12");
	limits_release(&s.limits);
	sketch_init(&s, CHECK_KNOCK_ALL, Q_KNOCK_RETARD, "deg", 1);
	assert_is(title_of(&s), "all cylinders lose timing at once");
	limits_release(&s.limits);
	sketch_init(&s, CHECK_LEAN, Q_LAMBDA, "lambda", 2);
	assert_is(title_of(&s), "lean under load, bank 2");
	s.channel.index = 21;
	assert_is(title_of(&s), "lean under load, bank 2 sensor 1");
	limits_release(&s.limits);
	sketch_init(&s, CHECK_EXHAUST_TEMP, Q_EGT, "degC", 4);
	assert_is(title_of(&s), "exhaust gas hot, sensor 4");
	limits_release(&s.limits);
}
END_TEST

START_TEST(test_places)
{
	struct sketch s;

	sketch_init(&s, CHECK_LEAN, Q_LAMBDA, "lambda", 0);
	assert_is(where_of(&s), "5980-6810 rpm");
	s.finding.to_rpm = 5980.2;
	assert_is(where_of(&s), "at 5980 rpm");
	s.finding.to_rpm = s.finding.worst_rpm = NAN;
	assert_is(where_of(&s), "8.35-9.20 s");
	assert_is(worst_of(&s, UNITS_FILE, true), "0.931 lambda at 8.95 s");
	limits_release(&s.limits);
}
END_TEST

/* One sample is one sample, below a limit is below, and what is not known is not said. */
START_TEST(test_trust)
{
	struct buf out = BUF_INIT;
	struct sketch s;

	sketch_init(&s, CHECK_OIL_PRESSURE, Q_OIL_PRESSURE, "kPa", 0);
	sketch_values(&s, 280, 300);
	s.finding.samples = 1;
	s.finding.over_s = 0.01;
	s.finding.interval_s = 0;
	s.finding.sure = SURE_THIN;
	s.finding.detail = (char *)"0.4 Hz, 20 °C";
	finding_trust(&s.finding, UNITS_FILE, true, &out);
	ck_assert_str_eq(out.data, "below it for 0.010 s, by 20 kPa; 1 sample: thin");
	buf_release(&out);
	assert_is(worst_of(&s, UNITS_FILE, true), "280 kPa at 6640 rpm (0.4 Hz, 20 degC)");
	assert_is(worst_of(&s, UNITS_FILE, false), "280 kPa at 6640 rpm (0.4 Hz, 20 °C)");
	limits_release(&s.limits);
}
END_TEST

/* Every check can be put into words in every system, in ASCII, with no number lost. */
START_TEST(test_every_check)
{
	const struct check *c = check_get((enum check_id)_i);
	int system;

	for (system = UNITS_FILE; system <= UNITS_US; system++) {
		struct sketch s;
		char *text;
		size_t i;

		sketch_init(&s, c->id, c->needs[0].any[0], c->unit, 0);
		sketch_values(&s, c->side == CHECK_OVER ? 120 : 80, 100);
		text = sentence_of(&s, (enum unit_system)system, true);
		for (i = 0; text[i] != '\0'; i++)
			ck_assert_msg((unsigned char)text[i] < 128, "%s", text);
		ck_assert_ptr_null(strstr(text, "nan"));
		ck_assert_ptr_null(strstr(text, " - "));
		ck_assert_ptr_nonnull(strstr(text, c->side == CHECK_OVER ? "Over it" :
					     "Below it"));
		ck_assert_msg(c->unit[0] == '\0' ||
			      finding_unit(&s.finding, (enum unit_system)system) != NULL,
			      "%s: unit %s", c->name, c->unit);
		free(text);
		limits_release(&s.limits);
	}
}
END_TEST

Suite *finding_text_suite(void)
{
	Suite *s = suite_create("finding_text");
	TCase *t = tcase_create("finding_text");

	tcase_add_test(t, test_sentence);
	tcase_add_test(t, test_source);
	tcase_add_test(t, test_temperature);
	tcase_add_test(t, test_pressure);
	tcase_add_test(t, test_own_units);
	tcase_add_test(t, test_close);
	tcase_add_test(t, test_titles);
	tcase_add_test(t, test_places);
	tcase_add_test(t, test_trust);
	tcase_add_loop_test(t, test_every_check, 0, CHECK_COUNT);
	suite_add_tcase(s, t);
	return s;
}
