/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Loading in the background: whole, stopped, failing, and on and on. */
#include <check.h>
#include <fcntl.h>
#include <poll.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/mem.h"
#include "base/path.h"
#include "calc/loading.h"

Suite *loading_suite(void);

#define PATIENCE_MS 20000	/* a deadline, not a measure */

static const struct load_options guess_all;

/* A loading, and where it tells of news. */
struct scene {
	struct loading *l;
	int news[2];
	struct loaded log;	/* the newest taken */
	size_t taken;
	struct loading_state state;
};

static void start(struct scene *s, const char *path, const struct load_options *o, bool follow)
{
	struct err e = ERR_INIT;

	*s = (struct scene){ .log = LOADED_INIT };
	ck_assert_int_eq(pipe(s->news), 0);
	ck_assert_int_eq(loading_start(path, o, follow, s->news[1], &s->l, &e), ERR_NONE);
}

static void end(struct scene *s)
{
	loading_free(s->l);
	loaded_release(&s->log);
	close(s->news[0]);
	close(s->news[1]);
}

/* Waits for news, and takes them. */
static void look(struct scene *s)
{
	struct pollfd p = { s->news[0], POLLIN, 0 };
	struct loaded fresh;
	char told;

	ck_assert_int_eq(poll(&p, 1, PATIENCE_MS), 1);
	ck_assert_int_eq(read(s->news[0], &told, 1), 1);
	if (!loading_take(s->l, &fresh, &s->state))
		return;
	loaded_release(&s->log);
	s->log = fresh;
	s->taken++;
}

static char *sample(const char *name)
{
	return mem_printf("%s/samples/%s", SRCDIR, name);
}

START_TEST(silence_is_told_of_in_steps)
{
	static const double cases[][2] = {
		{ 0, 0 }, { 9.9, 0 }, { 10, 10 }, { 29, 10 }, { 31, 30 }, { 59, 30 }, { 60, 60 },
		{ 119, 60 }, { 120, 120 }, { 3599, 3540 },
	};
	size_t i;

	for (i = 0; i < sizeof cases / sizeof cases[0]; i++)
		ck_assert_double_eq(loading_silence(cases[i][0]), cases[i][1]);
}
END_TEST

START_TEST(loads_what_load_log_loads)
{
	char *path = sample("drive.csv");
	struct loaded whole;
	struct scene s;

	start(&s, path, &guess_all, false);
	while (!s.state.is_done)
		look(&s);
	ck_assert_int_eq(s.state.code, ERR_NONE);
	ck_assert_int_eq(load_log(path, &guess_all, &whole, NULL), ERR_NONE);
	ck_assert_uint_eq(s.log.log->rows, whole.log->rows);
	ck_assert_uint_eq(s.log.log->channel_count, whole.log->channel_count);
	ck_assert_uint_eq(s.log.pulls.count, whole.pulls.count);
	ck_assert(!s.log.log->is_part);
	ck_assert_str_eq(s.log.log->path, path);
	loaded_release(&whole);
	end(&s);
	free(path);
}
END_TEST

START_TEST(shows_parts_of_it_meanwhile)
{
	const struct load_options o = { .csv = { .piece = 20000, .threads = 2 } };
	char *path = sample("drive.csv");
	size_t rows = 0;
	struct scene s;

	start(&s, path, &o, false);
	while (!s.state.is_done) {
		look(&s);
		ck_assert(s.log.log == NULL || s.log.log->rows >= rows);
		rows = s.log.log != NULL ? s.log.log->rows : 0;
	}
	ck_assert_uint_ge(s.taken, 1);
	ck_assert(!s.log.log->is_part);
	end(&s);
	free(path);
}
END_TEST

/* A picture of a part would be gone before it is seen, and lanes and scales would jump. */
START_TEST(a_small_log_comes_whole)
{
	const struct load_options o = { .csv = { .piece = 20000, .threads = 2 } };
	char *path = sample("before.csv");
	struct scene s;

	start(&s, path, &o, false);
	while (!s.state.is_done) {
		look(&s);
		ck_assert(s.log.log == NULL || !s.log.log->is_part);
	}
	ck_assert_uint_eq(s.taken, 1);
	end(&s);
	free(path);
}
END_TEST

START_TEST(tells_what_is_wrong)
{
	struct scene s;

	start(&s, "no/such/log.csv", &guess_all, false);
	while (!s.state.is_done)
		look(&s);
	ck_assert_int_eq(s.state.code, ERR_IO);
	ck_assert_ptr_nonnull(strstr(s.state.error.text, "no/such/log.csv"));
	ck_assert_uint_eq(s.taken, 0);
	end(&s);
}
END_TEST

START_TEST(ends_early_at_any_moment)
{
	char *path = sample("drive.csv");
	int i;

	for (i = 0; i < 20; i++) {
		struct scene s;

		start(&s, path, &guess_all, i % 2 == 1);
		if (i % 4 >= 2)
			look(&s);
		loading_stop(s.l);
		end(&s);
	}
	free(path);
}
END_TEST

static void append(const char *path, const char *text)
{
	const int fd = open(path, O_WRONLY | O_CREAT | O_APPEND, 0600);

	ck_assert_int_eq(write(fd, text, strlen(text)), (ssize_t)strlen(text));
	close(fd);
}

static void look_until_rows(struct scene *s, size_t rows)
{
	while (s->log.log == NULL || s->log.log->rows != rows)
		look(s);
}

START_TEST(follows_a_log)
{
	char dir[] = "twinpull-test-XXXXXX";
	struct scene s;
	char *path;

	ck_assert_ptr_nonnull(mkdtemp(dir));
	path = path_join(dir, "log.csv");
	append(path, "Time,RPM\n0.0,1000\n");
	start(&s, path, &guess_all, true);
	while (s.state.code == ERR_NONE)	/* one row is no log yet */
		look(&s);
	append(path, "0.1,1100\n0.2,12");
	look_until_rows(&s, 2);
	ck_assert_int_eq(s.state.code, ERR_NONE);
	append(path, "00\n");
	look_until_rows(&s, 3);
	ck_assert(!s.state.is_anew);
	unlink(path);
	append(path, "Time,RPM\n7.0,1000\n7.1,1000\n7.2,1000\n7.3,1000\n");
	look_until_rows(&s, 4);
	ck_assert(s.state.is_anew);
	loading_stop(s.l);
	while (!s.state.is_done)
		look(&s);
	end(&s);
	unlink(path);
	rmdir(dir);
	free(path);
}
END_TEST

Suite *loading_suite(void)
{
	Suite *s = suite_create("loading");
	TCase *t = tcase_create("loading");

	tcase_set_timeout(t, 120);
	tcase_add_test(t, silence_is_told_of_in_steps);
	tcase_add_test(t, loads_what_load_log_loads);
	tcase_add_test(t, shows_parts_of_it_meanwhile);
	tcase_add_test(t, a_small_log_comes_whole);
	tcase_add_test(t, tells_what_is_wrong);
	tcase_add_test(t, ends_early_at_any_moment);
	tcase_add_test(t, follows_a_log);
	suite_add_tcase(s, t);
	return s;
}
