/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Tests of kept marks: what is saved comes back, a broken file is named and left
 * alone, and no older version is ever lost.
 */
#include <signal.h>
#include <sys/resource.h>

#include "marks_util.h"

Suite *marks_suite(void);

#define HEADER "pull,axis,from,to,channel,title,note\n"

START_TEST(test_none_yet)
{
	struct place p;
	struct marks m;

	setup(&p);
	ck_assert_int_eq(marks_load(&m, p.log, NULL), ERR_NONE);
	ck_assert_uint_eq(m.count, 0);
	ck_assert_str_eq(m.path, p.beside);
	ck_assert(!m.elsewhere);
	ck_assert(!path_exists(p.beside));
	ck_assert_int_eq(marks_save(&m, NULL), ERR_NONE);
	marks_release(&m);
	check_file(p.beside, HEADER);
	put_file(p.beside, "");
	check_titles(p.log, "");
	teardown(&p);
}
END_TEST

START_TEST(test_round_trip)
{
	const struct mark marks[] = {
		mark_of(1, AXIS_RPM, 3720, 5010, "Boost", "lean", "see the rail"),
		mark_of(0, AXIS_TIME, -1.25, 1e-300, "", "", ""),
		mark_of(12, AXIS_TIME, 0.1, 1.0 / 3.0, "a,b", "\"quoted\"", "line\nline\r\nline\rend"),
		mark_of(2, AXIS_RPM, 5e-324, 1.7976931348623157e308, "\xce\xbb (\xc2\xb0)",
			"\xe6\xb2\xb9\xe6\xb8\xa9 \xf0\x9f\x9a\x97", "  blanks around  "),
		mark_of(1000000, AXIS_RPM, -0.0, 0.0, "\"", "\"\"\"", ",,\n,\n"),
		mark_of(1, AXIS_RPM, 2000, 2000, "tab\there", "# not a comment", "'; = @ +"),
	};
	struct place p;
	struct marks m, back;
	size_t i;

	setup(&p);
	ck_assert_int_eq(marks_load(&m, p.log, NULL), ERR_NONE);
	for (i = 0; i < COUNT(marks); i++)
		marks_add(&m, &marks[i]);
	ck_assert_int_eq(marks_save(&m, NULL), ERR_NONE);
	ck_assert_int_eq(marks_load(&back, p.log, NULL), ERR_NONE);
	ck_assert_uint_eq(back.count, COUNT(marks));
	for (i = 0; i < COUNT(marks); i++)
		check_same(&back.list[i], &marks[i]);
	marks_release(&m);
	marks_release(&back);
	teardown(&p);
}
END_TEST

/* Random bytes but NUL in every text, random numbers; saved twice: the same file. */
START_TEST(test_round_trip_random)
{
	static const char spicy[] = "\",\n\r;' \tab\xc3\xa9\xff\\";
	uint64_t seed = 161 + (uint64_t)_i;
	struct place p;
	int round;

	setup(&p);
	for (round = 0; round < 20; round++) {
		struct marks m, back;
		char text[3][40];
		char *first, *second;
		size_t i;
		int k, c;

		ck_assert_int_eq(marks_load(&m, p.log, NULL), ERR_NONE);
		while (m.count > 0)
			marks_remove(&m, (size_t)rng_below(&seed, (int)m.count));
		for (i = 0; i < 30; i++) {
			struct mark mark;

			for (k = 0; k < 3; k++) {
				const int n = rng_below(&seed, 39);

				for (c = 0; c < n; c++)
					text[k][c] = rng_below(&seed, 2) ?
						spicy[rng_below(&seed, sizeof spicy - 1)] :
						(char)(1 + rng_below(&seed, 255));
				text[k][n] = '\0';
			}
			mark = mark_of((size_t)rng_below(&seed, 9), (enum axis_kind)rng_below(&seed, 2),
				       rng_magnitude(&seed, 300), rng_magnitude(&seed, 3), text[0],
				       text[1], text[2]);
			marks_insert(&m, (size_t)rng_below(&seed, (int)m.count + 1), &mark);
		}
		ck_assert_int_eq(marks_save(&m, NULL), ERR_NONE);
		first = get_file(p.beside);
		ck_assert_int_eq(marks_load(&back, p.log, NULL), ERR_NONE);
		ck_assert_uint_eq(back.count, m.count);
		for (i = 0; i < m.count; i++)
			check_same(&back.list[i], &m.list[i]);
		ck_assert_int_eq(marks_save(&back, NULL), ERR_NONE);
		second = get_file(p.beside);
		ck_assert_str_eq(first, second);
		free(first);
		free(second);
		marks_release(&m);
		marks_release(&back);
	}
	teardown(&p);
}
END_TEST

START_TEST(test_list)
{
	struct mark mark = mark_of(1, AXIS_RPM, 1, 2, "c", "t", NULL);
	struct marks m = MARKS_INIT;
	struct mark copy;
	char order[8];
	size_t i;

	for (i = 0; i < 5; i++) {
		mark.title = order;
		sprintf(order, "%zu", i);
		marks_insert(&m, i / 2, &mark);		/* 1 3 4 2 0 */
	}
	marks_remove(&m, 2);
	ck_assert_uint_eq(m.count, 4);
	ck_assert_str_eq(m.list[0].title, "1");
	ck_assert_str_eq(m.list[1].title, "3");
	ck_assert_str_eq(m.list[2].title, "2");
	ck_assert_str_eq(m.list[3].title, "0");
	ck_assert_str_eq(m.list[0].note, "");
	copy = mark_copy(&m.list[0]);
	ck_assert_ptr_ne(copy.title, m.list[0].title);
	check_same(&copy, &m.list[0]);
	mark_release(&copy);
	mark_release(&copy);
	marks_release(&m);
	ck_assert_ptr_null(m.list);
}
END_TEST

/* By hand or by a spreadsheet: other line ends, quotes everywhere, a byte order mark. */
static const char *const foreign[] = {
	HEADER "1,rpm,3000,4000,Boost,t,n\n",
	"pull,axis,from,to,channel,title,note\r\n1,rpm,3000,4000,Boost,t,n\r\n",
	"\"pull\",\"axis\",\"from\",\"to\",\"channel\",\"title\",\"note\"\n"
		"\"1\",\"rpm\",\"3000\",\"4000.0\",\"Boost\",\"t\",\"n\"",
	"\xef\xbb\xbf" HEADER "1,rpm,3e3,4e3,Boost,t,n",
	HEADER "\n\n1, rpm ,  3000 ,4000 ,Boost ,t ,n\n\n",
};

START_TEST(test_foreign)
{
	const struct mark want = mark_of(1, AXIS_RPM, 3000, 4000, "Boost", "t", "n");
	struct err e = ERR_INIT;
	struct place p;
	struct marks m;

	setup(&p);
	put_file(p.beside, foreign[_i]);
	ck_assert_msg(marks_load(&m, p.log, &e) == ERR_NONE, "%s", e.text);
	ck_assert_uint_eq(m.count, 1);
	check_same(&m.list[0], &want);
	marks_release(&m);
	teardown(&p);
}
END_TEST

#define GOOD "1,rpm,3000,4000,,t,\n"

static const struct {
	const char *text;
	const char *where;		/* in the message */
} broken[] = {
	{ "hello", "first line" },
	{ "a,b\n1,2\n", "first line" },
	{ "pull,axis,from,to,channel,title\n", "first line" },
	{ "pull,axis,from,to,channel,title,note,more\n", "first line" },
	{ "Pull,axis,from,to,channel,title,note\n", "first line" },
	{ GOOD, "first line" },
	{ HEADER GOOD "x,rpm,3000,4000,,t,\n", "record 3, column 'pull': 'x'" },
	{ HEADER GOOD "0,rpm,3000,4000,,t,\n", "record 3, column 'pull': '0'" },
	{ HEADER GOOD "-1,rpm,3000,4000,,t,\n", "record 3, column 'pull': '-1'" },
	{ HEADER GOOD "1.5,rpm,3000,4000,,t,\n", "record 3, column 'pull': '1.5'" },
	{ HEADER GOOD GOOD "1,speed,3000,4000,,t,\n", "record 4, column 'axis': 'speed'" },
	{ HEADER "1,,3000,4000,,t,\n", "record 2, column 'axis': ''" },
	{ HEADER GOOD "1,rpm,3000 rpm,4000,,t,\n", "record 3, column 'from': '3000 rpm'" },
	{ HEADER GOOD "1,rpm,\"3000,5\",4000,,t,\n", "record 3, column 'from': '3000,5'" },
	{ HEADER GOOD "1,rpm,3000,,,t,\n", "record 3, column 'to': ''" },
	{ HEADER GOOD "1,rpm,3000,nan,,t,\n", "record 3, column 'to': 'nan'" },
	{ HEADER GOOD "1,rpm,3000,1e999,,t,\n", "record 3, column 'to': '1e999'" },
	{ HEADER GOOD "1,rpm,3000,4000,,t\n", "record 3 has 6 columns" },
	{ HEADER GOOD "1\n", "record 3 has 1 columns" },
	/* a note with a comma, written without quotes: what is too much must not go */
	{ HEADER GOOD "1,rpm,3000,4000,,t,lean, very\n", "record 3 has 8 columns" },
	/* the end is missing: a quote that never closes */
	{ HEADER GOOD "1,rpm,3000,4000,,t,\"half a no", "record 3" },
	{ HEADER "1,rpm,3000,4000,\"c,t,n\n" GOOD GOOD, "record 2" },
	{ HEADER GOOD "1,rpm,3000,4000,,\"t\"x,\n", "record 3" },
};

START_TEST(test_broken)
{
	struct err e = ERR_INIT;
	struct place p;
	struct marks m;

	setup(&p);
	put_file(p.beside, broken[_i].text);
	ck_assert_int_eq(marks_load(&m, p.log, &e), ERR_FORMAT);
	ck_assert_int_eq(e.code, ERR_FORMAT);
	ck_assert_msg(strncmp(e.text, p.beside, strlen(p.beside)) == 0, "%s", e.text);
	ck_assert_msg(strstr(e.text, broken[_i].where) != NULL, "%s", e.text);
	ck_assert_ptr_nonnull(strstr(e.text, "mend the file"));
	ck_assert_uint_eq(m.count, 0);
	ck_assert_ptr_null(m.list);
	marks_release(&m);
	check_file(p.beside, broken[_i].text);
	teardown(&p);
}
END_TEST

/* A position that is no number would make a file that cannot be read again. */
START_TEST(test_not_finite)
{
	static const double bad[] = { NAN, INFINITY, -INFINITY };
	struct place p;
	size_t i;

	setup(&p);
	save_one(p.log, "good");
	for (i = 0; i < 2 * COUNT(bad); i++) {
		const struct mark mark = mark_of(1, AXIS_RPM, i < 3 ? bad[i] : 1, i < 3 ? 1 : bad[i - 3],
						 "", "odd", "");
		struct err e = ERR_INIT;
		struct marks m;

		ck_assert_int_eq(marks_load(&m, p.log, NULL), ERR_NONE);
		marks_add(&m, &mark);
		ck_assert_int_eq(marks_save(&m, &e), ERR_DATA);
		ck_assert_ptr_nonnull(strstr(e.text, "odd"));
		marks_release(&m);
		check_titles(p.log, "good;");
	}
	teardown(&p);
}
END_TEST

START_TEST(test_standard_input)
{
	struct err e = ERR_INIT;
	struct marks m;

	ck_assert_int_eq(marks_load(&m, "-", NULL), ERR_NONE);
	ck_assert_ptr_null(m.path);
	ck_assert_int_eq(marks_save(&m, &e), ERR_IO);
	ck_assert_ptr_nonnull(strstr(e.text, "standard input"));
	marks_release(&m);
}
END_TEST

/* No room left while saving: the marks from before are all still there. */
START_TEST(test_no_room)
{
	const struct rlimit small = { 512, RLIM_INFINITY };
	const struct rlimit all = { RLIM_INFINITY, RLIM_INFINITY };
	struct err e = ERR_INIT;
	struct place p;
	struct marks m;
	enum err_code code;
	char *before;
	bool limited;
	int i;

	setup(&p);
	save_one(p.log, "first");
	before = get_file(p.beside);
	ck_assert_int_eq(marks_load(&m, p.log, NULL), ERR_NONE);
	for (i = 0; i < 100; i++)
		marks_add(&m, &m.list[0]);
	/* no assertion in between: Check writes to a file, too */
	signal(SIGXFSZ, SIG_IGN);
	limited = setrlimit(RLIMIT_FSIZE, &small) == 0;
	code = marks_save(&m, &e);
	limited = setrlimit(RLIMIT_FSIZE, &all) == 0 && limited;
	signal(SIGXFSZ, SIG_DFL);
	ck_assert(limited);
	ck_assert_int_eq(code, ERR_IO);
	ck_assert_ptr_nonnull(strstr(e.text, p.beside));
	check_file(p.beside, before);
	ck_assert_int_eq(marks_save(&m, &e), ERR_NONE);
	marks_release(&m);
	ck_assert_int_eq(marks_load(&m, p.log, NULL), ERR_NONE);
	ck_assert_uint_eq(m.count, 101);
	marks_release(&m);
	free(before);
	teardown(&p);
}
END_TEST

/* Two viewers of one log: the second to save must not undo what the first kept. */
START_TEST(test_changed_by_another)
{
	const struct mark mark = mark_of(1, AXIS_RPM, 1, 2, "", "one", "");
	const struct mark other = mark_of(1, AXIS_RPM, 1, 2, "", "two", "");
	struct marks first, second;
	struct err e = ERR_INIT;
	struct place p;

	setup(&p);
	ck_assert_int_eq(marks_load(&first, p.log, NULL), ERR_NONE);
	ck_assert_int_eq(marks_load(&second, p.log, NULL), ERR_NONE);
	marks_add(&first, &mark);
	ck_assert_int_eq(marks_save(&first, &e), ERR_NONE);
	ck_assert_int_eq(marks_save(&first, &e), ERR_NONE);
	marks_add(&second, &other);
	ck_assert_int_eq(marks_save(&second, &e), ERR_DATA);
	ck_assert_ptr_nonnull(strstr(e.text, p.beside));
	ck_assert_ptr_nonnull(strstr(e.text, "changed by somebody else"));
	check_titles(p.log, "one;");
	/* opened again it can */
	marks_release(&second);
	ck_assert_int_eq(marks_load(&second, p.log, NULL), ERR_NONE);
	marks_add(&second, &other);
	ck_assert_int_eq(marks_save(&second, &e), ERR_NONE);
	check_titles(p.log, "one;two;");
	/* a file that was taken away is written anew */
	ck_assert_int_eq(unlink(p.beside), 0);
	ck_assert_int_eq(marks_save(&second, &e), ERR_NONE);
	check_titles(p.log, "one;two;");
	/* one that became unreadable is somebody's work, too */
	put_file(p.beside, "notes of mine");
	ck_assert_int_eq(marks_save(&second, &e), ERR_DATA);
	check_file(p.beside, "notes of mine");
	marks_release(&first);
	marks_release(&second);
	teardown(&p);
}
END_TEST

/* A NUL byte ends no string here: the file is broken, and kept as it is. */
START_TEST(test_nul)
{
	static const char text[] = HEADER "1,rpm,3000,4000,,half\0 a title,\n";
	struct err e = ERR_INIT;
	struct buf now = BUF_INIT;
	struct place p;
	struct marks m;

	setup(&p);
	ck_assert_int_eq(path_write_atomic(p.beside, text, sizeof text - 1, NULL), ERR_NONE);
	ck_assert_int_eq(marks_load(&m, p.log, &e), ERR_FORMAT);
	ck_assert_ptr_nonnull(strstr(e.text, "record 2"));
	ck_assert_uint_eq(m.count, 0);
	marks_release(&m);
	ck_assert_int_eq(path_read_all(p.beside, &now, NULL), ERR_NONE);
	ck_assert_uint_eq(now.len, sizeof text - 1);
	buf_release(&now);
	teardown(&p);
}
END_TEST

Suite *marks_suite(void)
{
	Suite *s = suite_create("marks");
	TCase *t = tcase_create("marks");

	tcase_set_timeout(t, 60);
	tcase_add_test(t, test_none_yet);
	tcase_add_test(t, test_round_trip);
	tcase_add_loop_test(t, test_round_trip_random, 0, 4);
	tcase_add_test(t, test_list);
	tcase_add_loop_test(t, test_foreign, 0, COUNT(foreign));
	tcase_add_loop_test(t, test_broken, 0, COUNT(broken));
	tcase_add_test(t, test_not_finite);
	tcase_add_test(t, test_standard_input);
	tcase_add_test(t, test_no_room);
	tcase_add_test(t, test_changed_by_another);
	tcase_add_test(t, test_nul);
	suite_add_tcase(s, t);
	return s;
}
