/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the tests of marks share: a folder with a log, and shorthands. */
#ifndef TESTS_MARKS_UTIL_H
#define TESTS_MARKS_UTIL_H

#include <sys/stat.h>

#include "base/base_util.h"
#include "keep/marks.h"

struct place {
	char *dir;		/* everything lies in it */
	char *logs;		/* the logs' folder */
	char *log;
	char *beside;		/* where its marks are kept */
	char *state;		/* XDG_STATE_HOME */
};

static inline void setup(struct place *p)
{
	p->dir = new_folder();
	p->logs = path_join(p->dir, "logs");
	p->state = path_join(p->dir, "state");
	p->log = path_join(p->logs, "run, 1.csv");
	p->beside = mem_printf("%s.marks.csv", p->log);
	ck_assert_int_eq(chmod(p->dir, 0777), 0);
	ck_assert_int_eq(path_make_dirs(p->logs, NULL), ERR_NONE);
	put_file(p->log, "x\n");
	setenv("XDG_STATE_HOME", p->state, 1);
}

static inline void teardown(struct place *p)
{
	free(p->logs);
	free(p->log);
	free(p->beside);
	free(p->state);
	drop_folder(p->dir);
}

/* The strings are borrowed; marks_add() copies them. */
static inline struct mark mark_of(size_t pull, enum axis_kind axis, double from, double to,
			   const char *channel, const char *title, const char *note)
{
	return (struct mark){ pull, axis, from, to, (char *)(uintptr_t)channel,
			      (char *)(uintptr_t)title, (char *)(uintptr_t)note };
}

static inline void check_same(const struct mark *a, const struct mark *b)
{
	ck_assert_uint_eq(a->pull, b->pull);
	ck_assert_int_eq(a->axis, b->axis);
	ck_assert_mem_eq(&a->from, &b->from, sizeof a->from);
	ck_assert_mem_eq(&a->to, &b->to, sizeof a->to);
	ck_assert_str_eq(a->channel, b->channel);
	ck_assert_str_eq(a->title, b->title);
	ck_assert_str_eq(a->note, b->note);
}

static inline void save_one(const char *log, const char *title)
{
	const struct mark mark = mark_of(1, AXIS_RPM, 3000, 4000, "", title, "");
	struct marks m;

	ck_assert_int_eq(marks_load(&m, log, NULL), ERR_NONE);
	marks_add(&m, &mark);
	ck_assert_int_eq(marks_save(&m, NULL), ERR_NONE);
	marks_release(&m);
}

/* Titles of the log's marks, each followed by ';'. */
static inline char *titles(const char *log)
{
	struct buf b = BUF_INIT;
	struct marks m;
	size_t i;

	if (marks_load(&m, log, NULL) != ERR_NONE)
		buf_puts(&b, "broken");
	for (i = 0; i < m.count; i++)
		buf_printf(&b, "%s;", m.list[i].title);
	marks_release(&m);
	return buf_take(&b);
}

static inline void check_titles(const char *log, const char *want)
{
	char *got = titles(log);

	ck_assert_str_eq(got, want);
	free(got);
}

static inline void check_file(const char *path, const char *want)
{
	char *got = get_file(path);

	ck_assert_str_eq(got, want);
	free(got);
}

#endif
