/* SPDX-License-Identifier: GPL-3.0-or-later */
/* request.ini, over the usual request. */
#include "keep/ini_util.h"
#include "keep/request_file.h"

Suite *request_file_suite(void);

static struct ini_place place;

static void begin(void)
{
	ini_setup(&place);
}

static void end(void)
{
	ini_teardown(&place);
}

static enum err_code read_text(struct request *r, const char *text, struct err *e)
{
	put_file(place.path, text);
	return request_read(r, place.path, e);
}

static void read_well(struct request *r, const char *text)
{
	struct err e = ERR_INIT;

	ck_assert_msg(read_text(r, text, &e) == ERR_NONE, "%s", e.text);
}

static void check_channels(const struct request *r, const char *want)
{
	struct buf b = BUF_INIT;
	size_t i;

	for (i = 0; i < r->channel_count; i++)
		buf_printf(&b, "%s|", r->channels[i]);
	ck_assert_str_eq(buf_text(&b), want);
	buf_release(&b);
}

static void check_window(const double got[2], double from, double to)
{
	const double want[2] = { from, to };
	int i;

	for (i = 0; i < 2; i++)
		ck_assert(isnan(want[i]) ? isnan(got[i]) : got[i] == want[i]);
}

#define USUAL "rpm|boost|lambda|ignition|knock_retard|intake_temp|coolant_temp|"

static void check_usual_windows(const struct request *r)
{
	check_window(r->coolant_c, 75, 105);
	check_window(r->oil_c, 70, 125);
	check_window(r->intake_c, NAN, 50);
	check_window(r->battery_v, 13, NAN);
	ck_assert(isnan(r->ethanol_percent));
	ck_assert_double_eq(r->ethanol_within, 5);
}

START_TEST(the_usual_request)
{
	struct request r;

	request_init(&r);
	ck_assert_ptr_null(r.path);
	ck_assert_ptr_null(r.source);
	ck_assert_int_eq(r.gear, 0);
	ck_assert_double_eq(r.from_rpm, 2000);
	ck_assert(isnan(r.to_rpm));
	ck_assert_double_eq(r.rate_hz, 10);
	check_channels(&r, USUAL);
	check_usual_windows(&r);
	request_release(&r);
	ck_assert_ptr_null(r.channels);
	ck_assert_uint_eq(r.channel_count, 0);
}
END_TEST

START_TEST(what_is_named_goes_over_it)
{
	struct request r;

	request_init(&r);
	read_well(&r, "[request]\nsource = calibrator\x07, sheet 2\ngear = 4\nrpm = 2200 : 6900\n"
		      "rate_hz = 20\nchannels = RPM,my sensor [V] , egt\ncoolant_c = 80:100\n"
		      "oil_c = :120\nintake_c = 5:\nbattery_v = off\nethanol_percent = 85\n"
		      "ethanol_within = 3\n");
	ck_assert_str_eq(r.path, place.path);
	ck_assert_str_eq(r.source, "calibrator , sheet 2");
	ck_assert_int_eq(r.gear, 4);
	ck_assert_double_eq(r.from_rpm, 2200);
	ck_assert_double_eq(r.to_rpm, 6900);
	ck_assert_double_eq(r.rate_hz, 20);
	check_channels(&r, "RPM|my sensor [V]|egt|");
	check_window(r.coolant_c, 80, 100);
	check_window(r.oil_c, NAN, 120);
	check_window(r.intake_c, 5, NAN);
	check_window(r.battery_v, NAN, NAN);
	ck_assert_double_eq(r.ethanol_percent, 85);
	ck_assert_double_eq(r.ethanol_within, 3);

	read_well(&r, "[request]\ngear = any\nrpm = :6000\nrate_hz = off\nethanol_percent = off\n");
	ck_assert_ptr_null(r.source);
	ck_assert_int_eq(r.gear, 0);
	ck_assert(isnan(r.from_rpm) && r.to_rpm == 6000);
	ck_assert(isnan(r.rate_hz) && isnan(r.ethanol_percent));
	check_channels(&r, "RPM|my sensor [V]|egt|");
	check_window(r.coolant_c, 80, 100);
	request_release(&r);
}
END_TEST

START_TEST(the_rest_stays_usual)
{
	struct request r;

	request_init(&r);
	read_well(&r, "[request]\n");
	check_channels(&r, USUAL);
	check_usual_windows(&r);
	read_well(&r, "[request]\nrpm = 1800:\n");
	ck_assert(r.from_rpm == 1800 && isnan(r.to_rpm));
	check_channels(&r, USUAL);
	check_usual_windows(&r);
	request_release(&r);
}
END_TEST

static const struct ini_mistake mistakes[] = {
	{ "[requests]\n", 1, "no section 'requests'; did you mean request?" },
	{ "gear = 4\n", 1, "is in no section; put [request] before it" },
	{ "[request]\ngears = 4\n", 2, "no key 'gears'; did you mean gear?" },
	{ "[request]\nxyzzy = 4\n", 2, "use one of: source, gear, rpm, rate_hz, channels," },
	{ "[request]\ngear = 4\ngear = 4\n", 3, "already, on line 2" },
	{ "[request]\n[request]\n", 2, "already, on line 1" },
	{ "[request]\nsource =\n", 2, "source is empty" },
	{ "[request]\ngear = 0\n", 2, "neither a gear from 1 to 10 nor any" },
	{ "[request]\ngear = 11\n", 2, "neither a gear" },
	{ "[request]\ngear = 3.5\n", 2, "neither a gear" },
	{ "[request]\nrpm = 6900\n", 2, "'6900' is not FROM:TO" },
	{ "[request]\nrpm = :\n", 2, "is not FROM:TO" },
	{ "[request]\nrpm = 2000-6900\n", 2, "is not FROM:TO" },
	{ "[request]\nrpm = 2000:x\n", 2, "'x' is not a number" },
	{ "[request]\nrpm = 2000:3000:4000\n", 2, "'3000:4000' is not a number" },
	{ "[request]\nrpm = 6900:2000\n", 2, "the first number must be the smaller" },
	{ "[request]\nrpm = 2:7\n", 2, "rpm: 2 is out of reason; it must lie from 100 to 25000" },
	{ "[request]\nrate_hz = 0\n", 2, "it must lie from 0.1" },
	{ "[request]\nrate_hz = 10 Hz\n", 2, "not a number" },
	{ "[request]\nchannels =\n", 2, "a name is missing" },
	{ "[request]\nchannels = rpm,, boost\n", 2, "a name is missing" },
	{ "[request]\nchannels = rpm, boost,\n", 2, "a name is missing" },
	{ "[request]\nchannels = rpm, boost, RPM\n", 2, "'RPM' is named twice" },
	{ "[request]\ncoolant_c = 75\n", 2, "'75' is not FROM:TO" },
	{ "[request]\ncoolant_c = 167:221\n", 2, "must lie from -60 to 200" },
	{ "[request]\nintake_c = 50:50\n", 2, "goes nowhere" },
	{ "[request]\nethanol_percent = 101\n", 2, "must lie from 0 to 100" },
	{ "[request]\nethanol_within = off\n", 2, "not a number" },
	{ "[request]\ngear = 4\nword\n", 3, "Neither a [SECTION]" },
	{ "[request]\nchannels = a,b\nsource = x\ngear = zero\n", 4, "neither a gear" },
};

START_TEST(a_bad_file_changes_nothing)
{
	struct request r, before;
	struct err e = ERR_INIT;
	enum err_code code;

	request_init(&r);
	read_well(&r, "[request]\nsource = the first\nchannels = rpm\n");
	before = r;
	code = read_text(&r, mistakes[_i].text, &e);
	ini_check_told(&place, &mistakes[_i], code, &e);
	ck_assert_mem_eq(&r, &before, sizeof r);
	check_channels(&r, "rpm|");
	ck_assert_int_eq(request_read(&r, place.path, NULL), ERR_FORMAT);
	ck_assert_int_eq(request_read(&r, "/nonexistent/request.ini", &e), ERR_IO);
	ck_assert_mem_eq(&r, &before, sizeof r);
	request_release(&r);
}
END_TEST

START_TEST(many_channels_are_refused)
{
	struct buf text = BUF_INIT;
	struct request r;
	struct err e = ERR_INIT;
	int i;

	/* 64 names of two letters are all that a line has room for */
	request_init(&r);
	buf_puts(&text, "[request]\nchannels = ");
	for (i = 0; i < 60; i++)
		buf_printf(&text, "%s%c%c", i > 0 ? "," : "", 'a' + i / 26, 'a' + i % 26);
	buf_putc(&text, '\n');
	read_well(&r, buf_text(&text));
	ck_assert_uint_eq(r.channel_count, 60);
	buf_clear(&text);
	buf_puts(&text, "[request]\nchannels=");
	for (i = 0; i < 65; i++) {
		buf_puts(&text, i > 0 ? "," : "");
		if (i < 26)
			buf_putc(&text, (char)('a' + i));
		else
			buf_printf(&text, "%c%c", 'a' + i / 26, 'a' + i % 26);
	}
	ck_assert_int_eq(read_text(&r, buf_text(&text), &e), ERR_FORMAT);
	ck_assert_ptr_nonnull(strstr(e.text, "more than 64; leave some out"));
	ck_assert_uint_eq(r.channel_count, 60);
	request_release(&r);
	buf_release(&text);
}
END_TEST

START_TEST(the_sample_is_read)
{
	struct err e = ERR_INIT;
	struct request v;

	request_init(&v);
	ck_assert_msg(request_read(&v, SRCDIR "/samples/request.ini", &e) == ERR_NONE, "%s", e.text);
	ck_assert_int_eq(v.gear, 4);
	ck_assert_uint_eq(v.channel_count, 16);
	request_release(&v);
}
END_TEST

Suite *request_file_suite(void)
{
	Suite *s = suite_create("request_file");
	TCase *t = tcase_create("request_file");

	tcase_add_checked_fixture(t, begin, end);
	tcase_add_test(t, the_usual_request);
	tcase_add_test(t, what_is_named_goes_over_it);
	tcase_add_test(t, the_rest_stays_usual);
	tcase_add_loop_test(t, a_bad_file_changes_nothing, 0, COUNT(mistakes));
	tcase_add_test(t, many_channels_are_refused);
	tcase_add_test(t, the_sample_is_read);
	suite_add_tcase(s, t);
	return s;
}
