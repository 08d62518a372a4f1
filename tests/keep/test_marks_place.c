/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Tests of where marks are kept when the log's folder cannot be written: under the
 * state directory, found again by any way to the log, never another log's.
 */
#include "marks_util.h"

Suite *marks_place_suite(void);

/* What follows runs in child processes, where no assertion of Check may fail. */

static bool add_new(const struct place *p, bool elsewhere)
{
	const struct mark mark = mark_of(1, AXIS_RPM, 3000, 4000, "", "new", "");
	const char *where = elsewhere ? p->state : p->logs;
	struct marks m;
	bool ok;

	if (marks_load(&m, p->log, NULL) != ERR_NONE)
		return false;
	marks_add(&m, &mark);
	ok = m.elsewhere == elsewhere && strncmp(m.path, where, strlen(where)) == 0 &&
	     marks_save(&m, NULL) == ERR_NONE && path_exists(m.path);
	marks_release(&m);
	return ok;
}

static bool save_elsewhere(void *arg)
{
	return add_new(arg, true);
}

static bool sees(const char *log, const char *want)
{
	char *got = titles(log);
	const bool same = strcmp(got, want) == 0;

	free(got);
	return same;
}

static bool sees_new(void *arg)
{
	return sees(((const struct place *)arg)->log, "new;");
}

static bool sees_old_and_new(void *arg)
{
	return sees(((const struct place *)arg)->log, "old;new;");
}

START_TEST(test_read_only)
{
	struct place p;

	setup(&p);
	ck_assert_int_eq(chmod(p.logs, 0555), 0);
	ck_assert(as_nobody(save_elsewhere, &p));
	ck_assert(as_nobody(sees_new, &p));
	ck_assert(!path_exists(p.beside));
	teardown(&p);
}
END_TEST

/* Marks that came with the log are seen, and stay as they are where they are. */
START_TEST(test_read_only_with_marks)
{
	struct place p;
	char *before;

	setup(&p);
	save_one(p.log, "old");
	before = get_file(p.beside);
	ck_assert_int_eq(chmod(p.beside, 0644), 0);
	ck_assert_int_eq(chmod(p.logs, 0555), 0);
	ck_assert(as_nobody(save_elsewhere, &p));
	ck_assert(as_nobody(sees_old_and_new, &p));
	check_file(p.beside, before);
	free(before);
	teardown(&p);
}
END_TEST

/* A broken file in the state directory is named itself, not the one beside the log. */
static bool names_state_file(void *arg)
{
	struct place *p = arg;
	struct err e = ERR_INIT;
	struct marks m;
	bool ok;

	if (!save_elsewhere(p) || marks_load(&m, p->log, NULL) != ERR_NONE)
		return false;
	ok = path_write_atomic(m.path, "broken", 6, NULL) == ERR_NONE;
	marks_release(&m);
	ok = ok && marks_load(&m, p->log, &e) == ERR_FORMAT && m.count == 0 &&
	     strncmp(e.text, p->state, strlen(p->state)) == 0;
	marks_release(&m);
	return ok;
}

/* And a broken one beside the log is named, though it is not the one to be written. */
static bool names_beside_file(void *arg)
{
	struct place *p = arg;
	struct err e = ERR_INIT;
	struct marks m;
	const bool ok = marks_load(&m, p->log, &e) == ERR_FORMAT && m.count == 0 &&
			strncmp(e.text, p->beside, strlen(p->beside)) == 0;

	marks_release(&m);
	return ok;
}

START_TEST(test_read_only_broken)
{
	struct place p;

	setup(&p);
	ck_assert_int_eq(chmod(p.logs, 0555), 0);
	ck_assert(as_nobody(names_state_file, &p));
	teardown(&p);
	setup(&p);
	put_file(p.beside, "broken");
	ck_assert_int_eq(chmod(p.logs, 0555), 0);
	ck_assert(as_nobody(names_beside_file, &p));
	teardown(&p);
}
END_TEST

/* The same log by another way to it has the same marks. */
static bool sees_by_all_ways(void *arg)
{
	struct place *p = arg;
	char *round = mem_printf("%s/../logs/./%s", p->logs, path_basename(p->log));
	char *link = mem_printf("%s/link/%s", p->dir, path_basename(p->log));
	char *link_dir = path_join(p->dir, "link");
	bool ok = save_elsewhere(p) && symlink("logs", link_dir) == 0;

	ok = ok && sees(round, "new;") && sees(link, "new;");
	ok = ok && chdir(p->logs) == 0 && sees(path_basename(p->log), "new;");
	ok = ok && chdir(p->dir) == 0 && sees("logs/run, 1.csv", "new;") &&
	     sees("./logs/run, 1.csv", "new;");
	free(round);
	free(link);
	free(link_dir);
	return ok;
}

START_TEST(test_read_only_ways)
{
	struct place p;

	setup(&p);
	ck_assert_int_eq(chmod(p.logs, 0555), 0);
	ck_assert(as_nobody(sees_by_all_ways, &p));
	teardown(&p);
}
END_TEST

/* Two logs never share a file, however they are called. */
static const char *const names[] = {
	"x/a.csv", "x%a.csv", "x%2Fa.csv", "x%252Fa.csv", "x%%a.csv", "x/%a.csv", "x_a.csv",
};

static bool keeps_apart(void *arg)
{
	struct place *p = arg;
	char *paths[COUNT(names)];
	bool ok = true;
	size_t i, k;

	for (i = 0; i < COUNT(names); i++) {
		struct marks m;

		p->log = mem_printf("%s/%s", p->logs, names[i]);
		ok = ok && path_exists(p->log) && marks_load(&m, p->log, NULL) == ERR_NONE;
		paths[i] = ok ? mem_strdup(m.path) : mem_strdup("");
		ok = ok && m.elsewhere && marks_save(&m, NULL) == ERR_NONE;
		marks_release(&m);
		free(p->log);
		for (k = 0; k < i; k++)
			ok = ok && strcmp(paths[i], paths[k]) != 0;
	}
	for (i = 0; i < COUNT(names); i++)
		free(paths[i]);
	return ok;
}

START_TEST(test_read_only_apart)
{
	struct place p;
	char *deeper, *kept;
	size_t i;

	setup(&p);
	deeper = path_join(p.logs, "x");
	ck_assert_int_eq(path_make_dirs(deeper, NULL), ERR_NONE);
	for (i = 0; i < COUNT(names); i++) {
		char *log = path_join(p.logs, names[i]);

		put_file(log, "x\n");
		free(log);
	}
	ck_assert_int_eq(chmod(deeper, 0555), 0);
	ck_assert_int_eq(chmod(p.logs, 0555), 0);
	kept = p.log;
	ck_assert(as_nobody(keeps_apart, &p));
	p.log = kept;
	free(deeper);
	teardown(&p);
}
END_TEST

/* A long way to the log is no obstacle, though no file name may be that long. */
static bool saves_far_down(void *arg)
{
	return save_elsewhere(arg) && sees_new(arg);
}

START_TEST(test_read_only_deep)
{
	struct place p;
	char *deep;

	setup(&p);
	deep = mem_printf("%s/%0120d/%0120d/%0120d", p.logs, 1, 2, 3);
	ck_assert_int_eq(path_make_dirs(deep, NULL), ERR_NONE);
	free(p.log);
	p.log = path_join(deep, "log.csv");
	put_file(p.log, "x\n");
	ck_assert_int_eq(chmod(deep, 0555), 0);
	ck_assert(as_nobody(saves_far_down, &p));
	free(deep);
	teardown(&p);
}
END_TEST

/* A link beside the log that leads where one can write is written through. */
static bool saves_through_link(void *arg)
{
	return add_new(arg, false) && sees_new(arg);
}

START_TEST(test_through_link)
{
	struct place p;
	struct stat st;
	char *real;

	setup(&p);
	real = path_join(p.state, "real.csv");
	ck_assert_int_eq(path_make_dirs(p.state, NULL), ERR_NONE);
	ck_assert_int_eq(chmod(p.state, 0777), 0);
	put_file(real, "");
	ck_assert_int_eq(chmod(real, 0666), 0);
	ck_assert_int_eq(symlink(real, p.beside), 0);
	ck_assert_int_eq(chmod(p.logs, 0555), 0);
	ck_assert(as_nobody(saves_through_link, &p));
	ck_assert_int_eq(lstat(p.beside, &st), 0);
	ck_assert(S_ISLNK(st.st_mode));
	ck_assert_int_eq(stat(real, &st), 0);
	ck_assert_int_gt(st.st_size, 0);
	free(real);
	teardown(&p);
}
END_TEST

/* Neither beside the log nor in a state directory: it says so and loses nothing. */
static bool nowhere(void *arg)
{
	const struct place *p = arg;
	const struct mark mark = mark_of(1, AXIS_RPM, 3000, 4000, "", "new", "");
	struct err e = ERR_INIT;
	struct marks m;
	bool ok;

	unsetenv("XDG_STATE_HOME");
	unsetenv("HOME");
	ok = marks_load(&m, p->log, NULL) == ERR_NONE && m.count == 1;
	marks_add(&m, &mark);
	ok = ok && marks_save(&m, &e) == ERR_IO && strstr(e.text, p->beside) != NULL;
	marks_release(&m);
	return ok;
}

START_TEST(test_nowhere)
{
	struct place p;

	setup(&p);
	save_one(p.log, "old");
	ck_assert_int_eq(chmod(p.logs, 0555), 0);
	ck_assert(as_nobody(nowhere, &p));
	check_titles(p.log, "old;");
	teardown(&p);
}
END_TEST

Suite *marks_place_suite(void)
{
	Suite *s = suite_create("marks_place");
	TCase *t = tcase_create("marks_place");

	tcase_set_timeout(t, 60);
	tcase_add_test(t, test_read_only);
	tcase_add_test(t, test_read_only_with_marks);
	tcase_add_test(t, test_read_only_broken);
	tcase_add_test(t, test_read_only_ways);
	tcase_add_test(t, test_read_only_apart);
	tcase_add_test(t, test_read_only_deep);
	tcase_add_test(t, test_through_link);
	tcase_add_test(t, test_nowhere);
	suite_add_tcase(s, t);
	return s;
}
