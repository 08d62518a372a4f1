/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of `twinpull ready`. */
#include <check.h>
#include <stdbool.h>
#include <string.h>

#include "../out/read_csv.h"
#include "base/buf.h"
#include "logs.h"

Suite *cmd_ready_suite(void);

/* What the small logs have, and no more. */
static const char request[] =
	"[request]\n"
	"source = the club's calibrator, sheet 3\n"
	"gear = 4\n"
	"rpm = 2000:6500\n"
	"rate_hz = 20\n"
	"channels = boost, lambda, knock_retard\n";

/* One pull in fourth gear from 2000 to 6500 rpm at 20 rows a second, and all of it well. */
static void write_good(const struct place *p)
{
	struct buf out = BUF_INIT;
	int i;

	buf_puts(&out, "Time (s),Engine Speed (rpm),Accelerator Pedal (%),Vehicle Speed (km/h),"
		 "Gear,Boost Pressure (kPa),Lambda,Knock Retard (deg)\n");
	for (i = 0; i <= 230; i++) {
		const bool pull = i >= 40 && i <= 190;
		const int rpm = i < 40 ? 2000 : pull ? 2000 + 30 * (i - 40) : 6500 - 20 * (i - 190);

		buf_printf(&out, "%.2f,%d,%d,%.2f,4,%.1f,%.3f,0.0\n", i / 20.0, rpm, pull ? 100 : 8,
			   rpm / 50.0, pull ? (rpm - 2000) / 40.0 : 0.0, 0.84 + 0.001 * (i * 7 % 11));
	}
	place_write(p, "good.csv", buf_text(&out));
	buf_release(&out);
}

static void write_all(const struct place *p)
{
	write_good(p);
	place_write(p, "request.ini", request);
}

/* Runs with --format json; the exit code is not 0 here. */
static json_t *judged(const struct place *p, int status, const char *const *argv)
{
	struct ran r = run_with(p, argv, NULL);
	json_t *root;

	ck_assert_int_eq(r.status, status);
	root = json_loads(r.out, 0, NULL);
	ck_assert_ptr_nonnull(root);
	ran_release(&r);
	return root;
}

#define JUDGED(place, status, ...) \
	judged(place, status, (const char *const[]){ "ready", "--format", "json", __VA_ARGS__, NULL })

static const json_t *line_of(const json_t *root, const char *id)
{
	const json_t *lines = json_object_get(root, "lines");
	size_t i;

	for (i = 0; i < json_array_size(lines); i++) {
		const json_t *line = json_array_get(lines, i);

		if (strcmp(json_string_value(json_object_get(line, "id")), id) == 0)
			return line;
	}
	ck_abort_msg("no line %s", id);
}

static const char *text_of(const json_t *object, const char *key)
{
	const json_t *value = json_object_get(object, key);

	ck_assert_msg(json_is_string(value), "%s is no text", key);
	return json_string_value(value);
}

START_TEST(test_json)
{
	struct place p = place_make();
	const json_t *line;
	json_t *root;

	write_all(&p);
	root = RUN_JSON(&p, "ready", "good.csv");
	assert_fields(root, "file pull verdict lines text request source car");
	assert_fields(node(root, "lines.0"), "id result value unit asked text advice");
	ck_assert_str_eq(text_of(root, "file"), "good.csv");
	ck_assert_double_eq(at(root, "pull"), 1);
	ck_assert_str_eq(text_of(root, "verdict"), "fit");
	ck_assert_str_eq(text_of(root, "source"), "the club's calibrator, sheet 3");
	ck_assert(json_is_null(json_object_get(root, "car")));
	line = line_of(root, "to_rpm");
	ck_assert_str_eq(text_of(line, "result"), "pass");
	ck_assert_str_eq(text_of(line, "unit"), "rpm");
	ck_assert_str_eq(text_of(line, "asked"), "at least 6500 rpm");
	ck_assert_double_eq_tol(json_number_value(json_object_get(line, "value")), 6500.0, 31.0);
	ck_assert(json_is_null(json_object_get(line, "advice")));
	line = line_of(root, "oil");
	ck_assert_str_eq(text_of(line, "result"), "not checked");
	ck_assert(json_is_null(json_object_get(line, "value")));
	json_decref(root);
	place_remove(&p);
}
END_TEST

/* 0 fit, 1 weak or not fit, 2 trouble. */
START_TEST(test_exit)
{
	struct place p = place_make();

	write_all(&p);
	EXPECT(&p, 0, "", "ready", "good.csv");
	EXPECT(&p, 1, "", "ready", "--request", "none", "good.csv");
	place_write(&p, "third.ini", "[request]\ngear = 3\n");
	EXPECT(&p, 1, "", "ready", "--request", "third.ini", "good.csv");
	EXPECT(&p, 2, "nothing.csv", "ready", "nothing.csv");
	EXPECT(&p, 2, "nothing.ini", "ready", "--request", "nothing.ini", "good.csv");
	EXPECT(&p, 2, "nothing.ini", "ready", "--car", "nothing.ini", "good.csv");
	place_write(&p, "bad.ini", "[request]\ngear = 4\nrate_hz = quick\n");
	EXPECT(&p, 2, "bad.ini: line 3", "ready", "--request", "bad.ini", "good.csv");
	EXPECT(&p, 2, "must name a file", "ready", "--request", "", "good.csv");
	EXPECT(&p, 2, "no @2", "ready", "good.csv@2");
	EXPECT(&p, 2, "request", "ready", "good.csv", "-o", "request.ini");
	place_remove(&p);
}
END_TEST

START_TEST(test_not_fit)
{
	struct place p = place_make();
	json_t *root;

	write_all(&p);
	place_write(&p, "third.ini", "[request]\ngear = 3\nchannels = boost, rail_pressure\n");
	root = JUDGED(&p, 1, "--request", "third.ini", "good.csv");
	ck_assert_str_eq(text_of(root, "verdict"), "not fit");
	ck_assert_str_eq(text_of(root, "text"), "Not fit to be judged; failed: gear, channels. "
			 "13 of 23 pass, 8 not checked.");
	ck_assert_str_eq(text_of(line_of(root, "gear"), "advice"), "Repeat the pull in gear 3.");
	ck_assert_ptr_nonnull(strstr(text_of(line_of(root, "channels"), "text"),
				     "rail_pressure"));
	json_decref(root);
	place_remove(&p);
}
END_TEST

/* A log without a pull, and one without engine speed, are judged as well. */
START_TEST(test_no_pull)
{
	struct place p = place_make();
	json_t *root;

	place_write(&p, "plain.csv", "t (s),x\n0,1\n1,2\n2,3\n");
	root = JUDGED(&p, 1, "plain.csv");
	ck_assert(json_is_null(json_object_get(root, "pull")));
	ck_assert_str_eq(text_of(line_of(root, "pull"), "result"), "fail");
	ck_assert_ptr_nonnull(strstr(text_of(line_of(root, "pull"), "text"), "No engine speed"));
	json_decref(root);
	write_good(&p);
	root = JUDGED(&p, 1, "--min-rise", "5000", "good.csv");
	ck_assert_ptr_nonnull(strstr(text_of(line_of(root, "pull"), "text"),
				     "2000 to 6500 rpm in 7.5 s"));
	json_decref(root);
	place_remove(&p);
}
END_TEST

START_TEST(test_csv)
{
	struct place p = place_make();
	struct csv_back csv;
	struct ran r;

	write_all(&p);
	r = RUN(&p, "ready", "--format", "csv", "good.csv");
	ck_assert_int_eq(r.status, 0);
	csv_back_read(&csv, r.out, r.out_len);
	ck_assert_uint_eq(csv.row_count, 24);
	ck_assert_str_eq(csv_back_at(&csv, 1, "file"), "good.csv");
	ck_assert_str_eq(csv_back_at(&csv, 1, "pull"), "1");
	ck_assert_str_eq(csv_back_at(&csv, 1, "verdict"), "fit");
	ck_assert_str_eq(csv_back_at(&csv, 2, "id"), "gear");
	ck_assert_str_eq(csv_back_at(&csv, 2, "result"), "pass");
	ck_assert_str_eq(csv_back_at(&csv, 2, "value"), "4");
	ck_assert_str_eq(csv_back_at(&csv, 2, "asked"), "gear 4 throughout");
	ck_assert_str_eq(csv_back_at(&csv, 2, "advice"), "");
	csv_back_release(&csv);
	ran_release(&r);
	place_remove(&p);
}
END_TEST

/* The verdict comes first, trouble before what passes, and the cautions once, last. */
START_TEST(test_text)
{
	struct place p = place_make();
	const char *fail, *weak, *pass, *unchecked, *caution;
	struct ran r;

	write_all(&p);
	place_write(&p, "hard.ini", "[request]\ngear = 3\nrate_hz = 25\n"
		    "channels = boost, lambda\n");
	r = RUN(&p, "ready", "--request", "hard.ini", "good.csv");
	ck_assert_int_eq(r.status, 1);
	ck_assert_ptr_eq(strstr(r.out, "good.csv@1   NOT FIT\nNot fit to be judged"), r.out);
	fail = strstr(r.out, "\nFAIL\n  gear         The pull is in gear 4.\n");
	weak = strstr(r.out, "\nWEAK\n  rate ");
	pass = strstr(r.out, "\npass\n  pull ");
	unchecked = strstr(r.out, "\nNOT CHECKED\n");
	caution = strstr(r.out, "A screening aid");
	ck_assert(fail != NULL && fail < weak && weak < pass && pass < unchecked &&
		  unchecked < caution);
	ck_assert_ptr_null(strstr(caution + 1, "A screening aid"));
	ck_assert_ptr_nonnull(strstr(r.out, "\n               -> Repeat the pull in gear 3.\n"));
	ran_release(&r);
	place_remove(&p);
}
END_TEST

/* No line is wider than 80 cells. */
START_TEST(test_width)
{
	struct place p = place_make();
	const char *line;
	struct ran r;

	log_write_both(&p);
	r = RUN(&p, "ready", "after.csv");
	for (line = r.out; *line != '\0'; line += strcspn(line, "\n"), line += *line == '\n')
		ck_assert_uint_le(strcspn(line, "\n"), 80);
	ran_release(&r);
	place_remove(&p);
}
END_TEST

START_TEST(test_samples)
{
	static const char *const logs[] = {
		SRCDIR "/samples/before.csv", SRCDIR "/samples/after-fixed.csv",
		SRCDIR "/samples/drive.csv",
	};
	struct place p = place_make();
	size_t i;

	for (i = 0; i < sizeof logs / sizeof logs[0]; i++) {
		struct ran r = RUN(&p, "ready", "--request", "none", logs[i]);

		ck_assert_msg(r.status == 0, "%s: %s", logs[i], r.out);
		ran_release(&r);
	}
	for (i = 0; i < 2; i++) {
		struct ran r = RUN(&p, "ready", logs[i]);

		ck_assert_msg(r.status == 0, "%s: %s", logs[i], r.out);
		ck_assert_ptr_nonnull(strstr(r.out, "request.ini"));
		ran_release(&r);
	}
	place_remove(&p);
}
END_TEST

Suite *cmd_ready_suite(void)
{
	Suite *s = suite_create("cmd_ready");
	TCase *t = tcase_create("ready");

	tcase_add_test(t, test_json);
	tcase_add_test(t, test_exit);
	tcase_add_test(t, test_not_fit);
	tcase_add_test(t, test_no_pull);
	tcase_add_test(t, test_csv);
	tcase_add_test(t, test_text);
	tcase_add_test(t, test_width);
	tcase_add_test(t, test_samples);
	suite_add_tcase(s, t);
	return s;
}
