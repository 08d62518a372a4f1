/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of `twinpull check` with files of limits and of the car. */
#include <check.h>
#include <string.h>

#include "findings.h"
#include "logs.h"

Suite *cmd_check_limits_suite(void);

static const char own_limits[] =
	"[limits]\nsource = sheet 3 of the club\n\n"
	"[lean]\ncaution = off\nstop = 2000:0.97, 6000:0.93, 7000:0.91\n\n"
	"[knock]\ncheck = off\n\n[lean_trend]\ncheck = off\n\n[knock_odd]\ncheck = off\n";

/* The calibrator's limits go over the built-in ones, and are named as the source. */
START_TEST(test_limits)
{
	struct place p = place_make();
	const json_t *f;
	struct ran r;
	json_t *root;

	log_write_both(&p);
	place_write(&p, "mine.ini", own_limits);
	root = CHECK_JSON(&p, 1, "after.csv", "--limits", "mine.ini");
	ck_assert_str_eq(text_at(root, "limits"), "mine.ini");
	ck_assert_ptr_null(finding_of(root, "knock"));
	ck_assert_str_eq(why_not(root, "knock"), "switched off by the limits file");
	f = find(root, "lean");
	ck_assert_str_eq(text_at(f, "source"), "sheet 3 of the club");
	/* the limit falls with engine speed, so the same lambda is worst at the top */
	ck_assert_double_eq_tol(at(f, "worst_at_rpm"), 6500, 1);
	ck_assert_double_eq_tol(at(f, "limit"), 0.92, 1e-9);
	ck_assert_ptr_nonnull(strstr(text_at(f, "text"), "limit 0.920 λ (sheet 3 of the club)"));
	json_decref(root);
	r = RUN(&p, "check", "after.csv", "--limits", "mine.ini");
	ck_assert_ptr_nonnull(strstr(r.out, "\nLimits: mine.ini: sheet 3 of the club; for the "
				     "rest common practice"));
	ck_assert_ptr_nonnull(strstr(r.out, "3 are switched off"));
	ran_release(&r);
	place_remove(&p);
}
END_TEST

/* A source of many words, and names with what a terminal must not see. */
START_TEST(test_long_words)
{
	struct place p = place_make();
	struct ran r;

	log_write_both(&p);
	place_write(&p, "n.ini", "[Knock Retard Cyl 2]\nname = Retard of the second cylinder as "
		    "the controller of the club hatchback counts it\n");
	place_write(&p, "l.ini", "[limits]\nsource = the calibrator of the club hatchback, who "
		    "wrote them on the third \033[1msheet\n[knock]\nstop = 5.5\n");
	r = RUN(&p, "check", "after.csv", "--limits", "l.ini", "--names", "n.ini");
	ck_assert_int_eq(r.status, 1);
	ck_assert_ptr_nonnull(strstr(r.out, "limit 5.5 ° (the calibrator of the club hatchback"));
	ck_assert_ptr_null(strchr(r.out, '\033'));
	assert_width(r.out);
	ran_release(&r);
	place_remove(&p);
}
END_TEST

/* Files beside the log are taken, and that is said; none leaves them alone. */
START_TEST(test_found)
{
	struct place p = place_make();
	struct ran r;
	json_t *root;

	log_write_both(&p);
	place_write(&p, "limits.ini", own_limits);
	place_write(&p, "car.ini", "[car]\nname = hill climber\nmass_kg = 1080\n");
	r = RUN(&p, "check", "after.csv");
	ck_assert_int_eq(r.status, 1);
	ck_assert_ptr_nonnull(strstr(r.out, "limits.ini (found, not named): sheet 3 of the club"));
	ck_assert_ptr_nonnull(strstr(r.out, "car.ini (found, not named): hill climber."));
	ran_release(&r);
	root = CHECK_JSON(&p, 1, "after.csv", "--limits", "none", "--car", "none");
	ck_assert(json_is_null(node(root, "limits")));
	ck_assert(json_is_null(node(root, "car")));
	find(root, "knock");
	json_decref(root);
	place_remove(&p);
}
END_TEST

/* File, line and what is wrong; nothing is judged with half a file. */
START_TEST(test_bad_files)
{
	struct place p = place_make();

	log_write_both(&p);
	place_write(&p, "bad.ini", "[lean]\nstop = 0.9\n\n[leen]\nstop = 1\n");
	EXPECT(&p, 2, "bad.ini: line 4: ", "check", "after.csv", "--limits", "bad.ini");
	place_write(&p, "bad.ini", "[lean]\nstop = 0,9\n");
	EXPECT(&p, 2, "bad.ini: line 2: ", "check", "after.csv", "--limits", "bad.ini");
	EXPECT(&p, 2, "bad.ini: line 2: ", "check", "after.csv", "--limits", "bad.ini",
	       "--format", "json");
	place_write(&p, "bad.ini", "[car]\nmass_kg = heavy\n");
	EXPECT(&p, 2, "bad.ini: line 2: ", "check", "after.csv", "--car", "bad.ini");
	EXPECT(&p, 2, "nothing.ini", "check", "after.csv", "--limits", "nothing.ini");
	/* one that is found counts as much as one that is named */
	place_write(&p, "limits.ini", "[lean]\nstp = 0.9\n");
	EXPECT(&p, 2, "limits.ini: line 2: ", "check", "after.csv");
	EXPECT(&p, 1, "", "check", "after.csv", "--limits", "none");
	place_remove(&p);
}
END_TEST

/* But the log can be looked at: nothing is judged, and that is said. */
START_TEST(test_bad_file_beside_a_view)
{
	struct place p = place_make();
	struct ran r;

	log_write_both(&p);
	place_write(&p, "limits.ini", "[lean]\nstp = 0.9\n");
	r = RUN(&p, "plot", "after.csv");
	ck_assert_int_eq(r.status, 0);
	ck_assert_ptr_nonnull(strstr(r.out, "not judged"));
	ran_release(&r);
	r = RUN(&p, "view", "--play", "F", "after.csv");
	ck_assert_int_eq(r.status, 0);
	ck_assert_ptr_nonnull(strstr(r.out, "not judged: "));
	ck_assert_ptr_nonnull(strstr(r.out, "limits.ini: line 2: "));
	ck_assert_ptr_null(strstr(r.out, "limit 0."));
	ran_release(&r);
	place_write(&p, "bad.ini", "[lean]\nstp = 0.9\n");
	EXPECT(&p, 2, "bad.ini: line 2: ", "plot", "after.csv", "--limits", "bad.ini");
	place_remove(&p);
}
END_TEST

/* The list shows the limits in force, and a result never takes the place of a file. */
START_TEST(test_list)
{
	struct place p = place_make();
	struct ran r;

	log_write_both(&p);
	place_write(&p, "mine.ini", own_limits);
	r = RUN(&p, "check", "--list-checks", "--limits", "mine.ini");
	ck_assert_int_eq(r.status, 0);
	ck_assert_ptr_nonnull(strstr(r.out, "2000:0.97, 6000:0.93, 7000:0.91*"));
	ck_assert_ptr_nonnull(strstr(r.out, "    OFF: knock retard; needs knock_retard\n"));
	ran_release(&r);
	EXPECT(&p, 2, "would overwrite the limits", "check", "before.csv", "--limits", "mine.ini",
	       "-o", "mine.ini");
	place_remove(&p);
}
END_TEST

Suite *cmd_check_limits_suite(void)
{
	Suite *s = suite_create("cmd_check_limits");
	TCase *t = tcase_create("limits");

	tcase_add_test(t, test_limits);
	tcase_add_test(t, test_long_words);
	tcase_add_test(t, test_found);
	tcase_add_test(t, test_bad_files);
	tcase_add_test(t, test_bad_file_beside_a_view);
	tcase_add_test(t, test_list);
	suite_add_tcase(s, t);
	return s;
}
