/* SPDX-License-Identifier: GPL-3.0-or-later */
/* limits.ini: what it changes, how units convert, and that a bad file changes nothing. */
#include "judge/check.h"
#include "keep/ini_util.h"
#include "keep/limits_file.h"

Suite *limits_file_suite(void);

static struct ini_place place;

static void begin(void)
{
	ini_setup(&place);
}

static void end(void)
{
	ini_teardown(&place);
}

static enum err_code read_text(struct limits *l, const char *text, struct err *e)
{
	put_file(place.path, text);
	return limits_read(l, place.path, e);
}

static void read_well(struct limits *l, const char *text)
{
	struct err e = ERR_INIT;

	ck_assert_msg(read_text(l, text, &e) == ERR_NONE, "%s", e.text);
}

START_TEST(what_is_named_goes_over_the_built_in)
{
	struct limits l, built_in;
	const struct limit *knock = &l.of[CHECK_KNOCK];
	int id, s;

	limits_init(&l);
	limits_init(&built_in);
	read_well(&l, "[limits]\nsource = calibrator, sheet 3\n"
		      "[knock]\nnote = off\ncaution = 1.5\nstop = 2000:5.0, 7000:3.5\nfor_s = 0.2\n"
		      "[limiter]\nCheck = OFF\n[Lean]\nstop = off\ncheck = on\n");
	ck_assert_str_eq(l.path, place.path);
	ck_assert_str_eq(l.source, "calibrator, sheet 3");
	ck_assert_uint_eq(knock->level[SEVERITY_NOTE].n, 0);
	ck_assert(knock->own[SEVERITY_NOTE] && knock->own[SEVERITY_CAUTION] &&
		  knock->own[SEVERITY_STOP]);
	ck_assert_double_eq(limit_at(&knock->level[SEVERITY_CAUTION], 3000), 1.5);
	ck_assert_double_eq(limit_at(&knock->level[SEVERITY_STOP], 2000), 5.0);
	ck_assert_double_eq(limit_at(&knock->level[SEVERITY_STOP], 4500), 4.25);
	ck_assert_double_eq(knock->least_s, 0.2);
	ck_assert(l.of[CHECK_LIMITER].off && !knock->off && !l.of[CHECK_LEAN].off);
	ck_assert_uint_eq(l.of[CHECK_LEAN].level[SEVERITY_STOP].n, 0);
	ck_assert_str_eq(limits_source(&l, knock->own[SEVERITY_STOP]), "calibrator, sheet 3");
	ck_assert(!l.of[CHECK_LEAN].own[SEVERITY_CAUTION]);
	for (id = 0; id < CHECK_COUNT; id++)
		for (s = SEVERITY_NOTE; s < SEVERITIES; s++)
			if (!l.of[id].own[s])
				ck_assert_mem_eq(&l.of[id].level[s], &built_in.of[id].level[s],
						 sizeof l.of[id].level[s]);
	limits_release(&l);
	limits_release(&built_in);
}
END_TEST

START_TEST(an_empty_file_changes_no_limit)
{
	struct limits l, built_in;
	struct err e = ERR_INIT;

	limits_init(&l);
	limits_init(&built_in);
	ck_assert_int_eq(read_text(&l, "", &e), ERR_FORMAT);
	ck_assert_ptr_nonnull(strstr(e.text, "there is no limit in this file"));
	ck_assert_mem_eq(l.of, built_in.of, sizeof l.of);
	read_well(&l, "; nothing\n[knock]\n");
	ck_assert_mem_eq(l.of, built_in.of, sizeof l.of);
	ck_assert_ptr_null(l.source);
	ck_assert(!l.of[CHECK_KNOCK].own[SEVERITY_STOP]);
	limits_release(&l);
}
END_TEST

/* The pressures are 1 lbf/in2 = 6894.757 293 168 Pa and 101 325 Pa (NIST SP 811, appendix B). */
static const struct {
	const char *section;
	const char *unit;
	const char *value;
	double want;
} conversions[] = {
	{ "boost_over", NULL, "8", 8 },
	{ "boost_over", "kPa", "8", 8 },
	{ "boost_over", "bar", "0.08", 8 },
	{ "boost_over", "hPa", "80", 8 },
	{ "boost_over", "psi", "1", 6.894757293168 },
	{ "boost_over", "psi gauge", "1", 6.894757293168 },
	{ "boost_over", "kPa abs", "8", 8 },
	{ "manifold_pressure", "psia", "40", 275.79029172672 },
	{ "manifold_pressure", "bar", "2.68", 268 },
	{ "manifold_pressure", "atm", "2", 202.65 },
	{ "oil_pressure", "psig", "60", 413.68543759008 },
	{ "intake_temp", "degF", "122", 50 },
	{ "intake_temp", "K", "323.15", 50 },
	{ "intake_temp", "degF", "-40", -40 },
	{ "intake_rise", "degF", "20", 11.11111111111111 },
	{ "intake_rise", "K", "11", 11 },
	{ "lean", ":1", "12.9", 0.87755102040816326 },
	{ "lean", "lambda", "0.87", 0.87 },
	{ "lean", "1", "0.87", 0.87 },
	{ "lean_of_target", ":1", "0.3", 0.02040816326530612 },
	{ "rail", "1", "0.07", 7 },
	{ "rail", "%", "7", 7 },
	{ "knock", "rad", "0.05", 2.8647889756541161 },
	{ "limiter", "ms", "1500", 1.5 },
	{ "battery", "mV", "12500", 12.5 },
	{ "misfires", NULL, "3", 3 },
};

START_TEST(units_convert)
{
	const char *unit = conversions[_i].unit;
	const struct check *c = check_by_name(conversions[_i].section);
	const struct limit *l;
	struct limits limits;
	int before;
	char *text;

	ck_assert_ptr_nonnull(c);
	for (before = 0; before < 2; before++) {	/* the unit stands before or behind */
		char *line = unit != NULL ? mem_printf("unit = %s\n", unit) : mem_strdup("");

		limits_init(&limits);
		l = &limits.of[c->id];
		text = mem_printf("[%s]\nnote = off\nstop = off\n%scaution = 2000:%s, 3000:%s\n%s",
				  c->name, before ? line : "", conversions[_i].value,
				  conversions[_i].value, before ? "" : line);
		read_well(&limits, text);
		ck_assert_double_eq_tol(l->level[SEVERITY_CAUTION].value[0], conversions[_i].want,
					1e-9);
		ck_assert_double_eq_tol(l->level[SEVERITY_CAUTION].value[1], conversions[_i].want,
					1e-9);
		ck_assert_double_eq(l->level[SEVERITY_CAUTION].rpm[1], 3000);
		limits_release(&limits);
		free(text);
		free(line);
	}
}
END_TEST

static const struct ini_mistake mistakes[] = {
	{ "[knok]\nstop = 3\n", 1, "no check 'knok'; did you mean knock?" },
	{ "[knock_retard]\n", 1, "did you mean knock?" },
	{ "\n[zzz]\n", 2, "no check 'zzz'; use one of: lean, lean_of_target, " },
	{ "[zzz]\n", 1, ", maf_flat, limits." },
	{ "stop = 3\n", 1, "'stop' is in no section" },
	{ "[limits]\nsourc = me\n", 2, "no key 'sourc'; did you mean source?" },
	{ "[limits]\nsource =\n", 2, "source is empty" },
	{ "[limits]\nsource = a\nsource = b\n", 3, "already, on line 2" },
	{ "[limits]\nstop = 3\n", 2, "no key 'stop'; use one of: source." },
	{ "[knock]\nwatch = 3\n", 2, "no key 'watch'; use one of: unit, note, caution, stop, for_s" },
	{ "[knock]\nstop = 6\n[lean]\n[KNOCK]\ncaution = 2\n", 4, "already, on line 1" },
	{ "[knock]\nstop = 6\n\nstop = 7\n", 4, "already, on line 2" },
	{ "[knock]\nunit = deg\nunit = deg\n", 3, "already, on line 2" },
	{ "[knock]\nstop = six\n", 2, "stop: 'six' is neither a number" },
	{ "[knock]\nstop =\n", 2, "neither a number" },
	{ "[knock]\nstop = 6,5\n", 2, "each is RPM:NUMBER" },
	{ "[knock]\nstop = 3000:6, 2000:5\n", 2, "rising rpm" },
	{ "[knock]\nstop = -5\n", 2, "has no sign" },
	{ "[lean]\nnote = off\ncaution = 12.5\nstop = 13.2\n", 3, "12.5 lambda is out of reason" },
	{ "[exhaust_temp]\ncaution = 1650\nstop = 1700\n", 2, "unit = ..." },
	{ "[oil_pressure]\ncaution = 2.5\nstop = 1.5\n", 2, "out of reason" },
	{ "[knock]\nstop = 1e9\n", 2, "out of reason" },
	{ "[knock]\nstop = 1e999\n", 2, "too large" },
	{ "[intake_rise]\ncaution = -5\n", 2, "has no sign" },
	{ "[knock]\nstop = -1:5, 2000:5\n", 2, "from 0 to 30000 rpm" },
	{ "[knock]\nstop = 2000:5, 1e999:5\n", 2, "from 0 to 30000 rpm" },
	{ "[knock]\nfor_s = -0.1\n", 2, "must lie from 0 to 60" },
	{ "[knock]\nfor_s = soon\n", 2, "for_s: 'soon' is not a number" },
	{ "[knock]\nfor_s = 1e6\n", 2, "must lie from 0 to 60" },
	{ "[knock]\ncheck = maybe\n", 2, "neither on nor off" },
	{ "[knock]\nstop = 6\nunit = psi\n", 3, "[knock] are in deg, to which 'psi' does not convert;"
	  " use one of: deg, rad." },
	{ "[boost_over]\nunit = furlong\n", 2, "in kPa, to which 'furlong' does not convert" },
	{ "[boost_over]\nunit =\n", 2, "does not convert" },
	{ "[lean]\nunit = %\n", 2, "in lambda, to which '%' does not convert; use one of: 1, :1, lambda." },
	{ "[rail]\nunit = lambda\n", 2, "in %, to which 'lambda' does not convert; use one of: %, 1." },
	{ "[rail]\nunit = kPa\n", 2, "in %, to which 'kPa' does not" },
	{ "[misfires]\nunit = count\n", 2, "has no unit" },
	{ "[manifold_pressure]\nunit = psi gauge\n", 2, "is an absolute pressure" },
	{ "[oil_pressure]\nunit = bar abs\n", 2, "is a gauge pressure" },
	{ "[knock]\nstop = 6\nword\n", 3, "Neither a [SECTION] nor KEY = VALUE" },
	{ "[knock]\nstop = six\nword\n", 3, "Neither" },
	/* in the wrong order, by number, along a line, and against what is built in */
	{ "[knock]\ncaution = 3\nstop = 2\n", 3, "stop at 2.00 deg is reached before caution at 3.00 "
	  "deg (both of this file)" },
	{ "[knock]\nstop = 2\ncaution = 3\n", 3, "is reached before" },
	{ "[knock]\ncaution = 6\n", 2, "(one of them is built in)" },
	{ "[knock]\nstop = 1\n", 2, "must not be lower" },
	{ "[knock]\nnote = 3\n", 2, "caution at 2.00 deg is reached before note at 3.00 deg" },
	{ "[knock]\ncaution = off\nnote = 9\n", 3, "stop at 5.00 deg is reached before note" },
	{ "[knock]\ncaution = 2000:2, 6000:4\nstop = 2000:5, 6000:3\n", 3, "[knock] 6000 rpm: stop" },
	{ "[knock]\ncaution = 2\nstop = 2000:5, 3000:1, 4000:5\n", 3, "[knock] 3000 rpm: stop" },
	{ "[knock]\ncaution = 2000:2, 3000:6, 4000:2\nstop = 5\n", 3, "[knock] 3000 rpm: stop" },
	{ "[lean]\nnote = 0.8601\ncaution = 0.86\n", 3, "caution at 0.8600 lambda is reached before" },
	{ "[battery]\ncaution = 12\nstop = 13\n", 3, "must not be higher" },
	{ "[oil_pressure]\ncaution = 40\nunit = psi\n", 2, "is reached before" },
	{ "[lean]\ncaution = 0.84\n", 2, "caution at 0.8400 lambda is reached before note at 0.8600" },
};

START_TEST(a_bad_file_changes_nothing)
{
	struct limits l, before;
	struct err e = ERR_INIT;
	enum err_code code;

	limits_init(&l);
	read_well(&l, "[limits]\nsource = the first\n[lean]\nstop = 0.95\n");
	before = l;
	code = read_text(&l, mistakes[_i].text, &e);
	ini_check_told(&place, &mistakes[_i], code, &e);
	ck_assert_mem_eq(&l, &before, sizeof l);
	ck_assert_int_eq(limits_read(&l, place.path, NULL), ERR_FORMAT);
	limits_release(&l);
}
END_TEST

/* Equal levels, lines that meet, and levels that are off are in order. */
static const char *const in_order[] = {
	"[knock]\ncaution = 3\nstop = 3\n",
	"[knock]\ncaution = 2000:1, 6000:3\nstop = 2000:1, 3000:1.5, 6000:3\n",
	"[knock]\ncaution = 9\nstop = off\n",
	"[knock]\ncaution = off\nstop = 1\n",
	"[battery]\ncaution = 13\nstop = 12\n",
	"[boost_over]\nunit = psi\ncaution = 1.7\nstop = 1.7\n",
	"[manifold_pressure]\nnote = 250\n",
	"[lean]\nnote = off\ncaution = 2000:0.88, 6000:0.84\nstop = 2000:0.92, 6000:0.88\n",
};

START_TEST(order_is_not_overdone)
{
	struct limits l;

	limits_init(&l);
	read_well(&l, in_order[_i]);
	limits_release(&l);
}
END_TEST

START_TEST(the_source_is_safe_to_print)
{
	struct limits l;

	limits_init(&l);
	read_well(&l, "[limits]\nsource = a\x1b[2Jb caf\xe9 \xe2\x80\xae""c\n");
	ck_assert_ptr_null(strchr(l.source, '\x1b'));
	ck_assert_str_eq(l.source, "a [2Jb caf\xef\xbf\xbd  c");
	limits_release(&l);
}
END_TEST

START_TEST(a_second_file_goes_over_the_first)
{
	struct limits l;
	struct err e = ERR_INIT;

	limits_init(&l);
	read_well(&l, "[limits]\nsource = first\n[knock]\nstop = 6\n");
	read_well(&l, "[lean]\nstop = 0.95\n");
	ck_assert_ptr_null(l.source);
	ck_assert_double_eq(l.of[CHECK_KNOCK].level[SEVERITY_STOP].value[0], 6);
	ck_assert_double_eq(l.of[CHECK_LEAN].level[SEVERITY_STOP].value[0], 0.95);
	ck_assert_int_eq(limits_read(&l, "/nonexistent/limits.ini", &e), ERR_IO);
	ck_assert_ptr_nonnull(strstr(e.text, "/nonexistent/limits.ini"));
	ck_assert_str_eq(l.path, place.path);
	limits_release(&l);
}
END_TEST

START_TEST(other_systems_files_are_read)
{
	struct limits l;

	limits_init(&l);
	read_well(&l, "\xef\xbb\xbf[knock]\r\ncaution = 1\r\nstop = 4\r\n");
	ck_assert_double_eq(l.of[CHECK_KNOCK].level[SEVERITY_STOP].value[0], 4);
	read_well(&l, "; old\r[knock]\rstop = 3\r");
	ck_assert_double_eq(l.of[CHECK_KNOCK].level[SEVERITY_STOP].value[0], 3);
	limits_release(&l);
}
END_TEST

START_TEST(the_sample_is_read)
{
	struct err e = ERR_INIT;
	struct limits v;

	limits_init(&v);
	ck_assert_msg(limits_read(&v, SRCDIR "/samples/limits.ini", &e) == ERR_NONE, "%s", e.text);
	ck_assert_double_eq_tol(v.of[CHECK_BOOST_OVER].level[SEVERITY_CAUTION].value[0], 8, 1e-9);
	ck_assert_double_eq_tol(limit_at(&v.of[CHECK_OIL_PRESSURE].level[SEVERITY_STOP], 5500), 320,
				1e-9);
	limits_release(&v);
}
END_TEST

Suite *limits_file_suite(void)
{
	Suite *s = suite_create("limits_file");
	TCase *t = tcase_create("limits_file");

	tcase_add_checked_fixture(t, begin, end);
	tcase_add_test(t, what_is_named_goes_over_the_built_in);
	tcase_add_test(t, an_empty_file_changes_no_limit);
	tcase_add_loop_test(t, units_convert, 0, COUNT(conversions));
	tcase_add_loop_test(t, a_bad_file_changes_nothing, 0, COUNT(mistakes));
	tcase_add_loop_test(t, order_is_not_overdone, 0, COUNT(in_order));
	tcase_add_test(t, the_source_is_safe_to_print);
	tcase_add_test(t, a_second_file_goes_over_the_first);
	tcase_add_test(t, other_systems_files_are_read);
	tcase_add_test(t, the_sample_is_read);
	suite_add_tcase(s, t);
	return s;
}
