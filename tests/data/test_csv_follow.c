/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A log that grows under the reader: what comes out is what reading it whole gives. */
#include <check.h>
#include <fcntl.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/mem.h"
#include "base/path.h"
#include "data/csv_follow.h"
#include "data/csv_read.h"
#include "data/csv_reading.h"
#include "data/log_compare.h"
#include "data/wild_log.h"

Suite *csv_follow_suite(void);

#define WILD_LOGS 60
#define LARGE_LOGS 4
#define LARGE_START 300000	/* bytes: the dialect is told by what is there at first */

static const struct csv_options guess_all;

/* A directory with a log in it that the test writes. */
struct scene {
	char dir[32];
	char *path;
	struct csv_follow *follow;
	uint32_t random;
};

static void write_file(const struct scene *s, const char *bytes, size_t n, int flags)
{
	const int fd = open(s->path, O_WRONLY | O_CREAT | flags, 0600);

	ck_assert_int_ge(fd, 0);
	ck_assert_int_eq(write(fd, bytes, n), (ssize_t)n);
	close(fd);
}

static void append(const struct scene *s, const char *bytes, size_t n)
{
	write_file(s, bytes, n, O_APPEND);
}

static void scene_open(struct scene *s, const char *bytes, size_t n)
{
	struct err e = ERR_INIT;

	*s = (struct scene){ .dir = "twinpull-test-XXXXXX", .random = 4711 };
	ck_assert_ptr_nonnull(mkdtemp(s->dir));
	s->path = path_join(s->dir, "log.csv");
	write_file(s, bytes, n, O_TRUNC);
	ck_assert_int_eq(csv_follow_open(s->path, &guess_all, &s->follow, &e), ERR_NONE);
}

static void scene_close(struct scene *s)
{
	csv_follow_close(s->follow);
	unlink(s->path);
	rmdir(s->dir);
	free(s->path);
}

static size_t random_below(struct scene *s, size_t n)
{
	s->random = s->random * 1664525u + 1013904223u;
	return (s->random >> 4) % n;
}

/* What is new; NULL without. */
static struct datalog *read_new(struct scene *s, bool *anew)
{
	const unsigned before = csv_follow_generation(s->follow);
	struct datalog *log;
	struct err e = ERR_INIT;

	csv_follow_read(s->follow, &log, &e);
	*anew = csv_follow_generation(s->follow) != before;
	return log;
}

static void must_be_as_whole(const struct scene *s, const struct datalog *log, const char *what)
{
	struct datalog *whole;
	struct err e = ERR_INIT;
	const enum err_code code = csv_read(s->path, NULL, &whole, &e);
	char text[512] = "";

	ck_assert_msg((code == ERR_NONE) == (log != NULL), "%s: whole it is %s", what,
		      code == ERR_NONE ? "a log" : e.text);
	ck_assert_msg(log == NULL || log_same(whole, log, text, sizeof(text)), "%s: %s", what, text);
	datalog_free(whole);
}

/* Behind the first line end at or after `at`; n when there is none. */
static size_t behind_line(const struct buf *b, size_t at)
{
	const char *end = at < b->len ? memchr(b->data + at, '\n', b->len - at) : NULL;
	/* UTF-16, low byte first: half of the line end is still to come */
	const bool wide = b->len > 1 && (memcmp(b->data, "\xff\xfe", 2) == 0 ||
					 (b->data[0] != '\0' && b->data[1] == '\0'));

	return end == NULL ? b->len : (size_t)(end - b->data) + 1 + wide;
}

START_TEST(small_logs_that_grow_line_by_line)
{
	struct buf bytes = BUF_INIT;
	size_t compared = 0;
	uint64_t seed;

	for (seed = 0; seed < WILD_LOGS; seed++) {
		char name[40];
		struct scene s;
		size_t at;
		size_t next;

		buf_clear(&bytes);
		wild_log(seed, &bytes);
		at = behind_line(&bytes, bytes.len / 8);
		scene_open(&s, buf_text(&bytes), at);
		for (; at < bytes.len; at = next) {
			bool anew;
			struct datalog *log = read_new(&s, &anew);

			snprintf(name, sizeof(name), "wild log %d at %zu", (int)seed, at);
			must_be_as_whole(&s, log, name);
			ck_assert(!anew);
			compared += log != NULL;
			datalog_free(log);
			next = behind_line(&bytes, at + random_below(&s, bytes.len / 4 + 1));
			append(&s, bytes.data + at, next - at);
		}
		scene_close(&s);
	}
	ck_assert_uint_gt(compared, WILD_LOGS);
	buf_release(&bytes);
}
END_TEST

/* Rows of every kind that keep a reader busy, the last of them with its line end. */
static void large_log(uint32_t seed, struct buf *out)
{
	size_t row;

	buf_puts(out, "Time [s];RPM;MAP [kPa];Gear;State;Note\n");
	for (row = 0; row < 20000; row++) {
		seed = seed * 1664525u + 1013904223u;
		buf_printf(out, "%zu.%02zu;%u;", row / 50, row % 50 * 2, 2000 + (seed >> 20));
		if (seed % 7 != 0)
			buf_printf(out, "%u.%u", 90 + (seed >> 8) % 100, (seed >> 3) % 10);
		buf_printf(out, ";%u;%s;", 1 + (seed >> 5) % 6, seed % 5 == 0 ? "idle" : "run");
		if (seed % 1000 == 3)
			buf_puts(out, "\"two\nlines\"");
		buf_puts(out, seed % 3 == 0 ? "\r\n" : "\n");
	}
}

START_TEST(large_logs_that_grow_anywhere)
{
	struct buf bytes = BUF_INIT;
	uint32_t seed;

	for (seed = 1; seed <= LARGE_LOGS; seed++) {
		struct datalog *last = NULL;
		size_t seen = 0;
		struct scene s;
		size_t at;
		size_t n;

		buf_clear(&bytes);
		large_log(seed, &bytes);
		scene_open(&s, bytes.data, LARGE_START);
		for (at = LARGE_START; at < bytes.len; at += n) {
			bool anew;
			struct datalog *log = read_new(&s, &anew);

			ck_assert(!anew);
			if (log != NULL) {
				ck_assert_uint_ge(log->rows, seen);
				seen = log->rows;
				datalog_free(last);
				last = log;
			}
			n = 1 + random_below(&s, random_below(&s, 4) == 0 ? 60000 : 300);
			n = n < bytes.len - at ? n : bytes.len - at;
			append(&s, bytes.data + at, n);
		}
		/* what was taken before stays what it was */
		ck_assert_uint_eq(last->rows, seen);
		ck_assert_uint_eq(column_rows(last->channels[1].column), seen);
		datalog_free(last);
		last = read_new(&s, &(bool){ false });
		must_be_as_whole(&s, last, "large log");
		datalog_free(last);
		scene_close(&s);
	}
	buf_release(&bytes);
}
END_TEST

START_TEST(a_torn_line_waits_for_its_end)
{
	struct datalog *log;
	struct scene s;
	bool anew;

	scene_open(&s, "Time,RPM\n0.0,1000\n0.1,1100\n0.2,12", 33);
	log = read_new(&s, &anew);
	ck_assert_uint_eq(log->rows, 2);
	datalog_free(log);
	ck_assert_ptr_null(read_new(&s, &anew));
	append(&s, "50\n0.3", 6);
	log = read_new(&s, &anew);
	ck_assert_uint_eq(log->rows, 3);
	ck_assert(column_at(log->channels[1].column, 2) == 1250.0);
	ck_assert(log->is_part);
	datalog_free(log);
	scene_close(&s);
}
END_TEST

START_TEST(not_yet_a_log)
{
	struct err e = ERR_INIT;
	struct datalog *log;
	struct scene s;

	scene_open(&s, "", 0);
	ck_assert_int_eq(csv_follow_read(s.follow, &log, &e), ERR_DATA);
	ck_assert(!csv_follow_is_hopeless(s.follow, ERR_DATA));
	ck_assert_ptr_null(log);
	append(&s, "Time,RPM\n", 9);
	ck_assert_int_ne(csv_follow_read(s.follow, &log, &e), ERR_NONE);
	append(&s, "0.0,1000\n", 9);
	ck_assert_int_ne(csv_follow_read(s.follow, &log, &e), ERR_NONE);
	append(&s, "0.1,1100\n", 9);
	ck_assert_int_eq(csv_follow_read(s.follow, &log, &e), ERR_NONE);
	ck_assert_uint_eq(log->rows, 2);
	datalog_free(log);
	scene_close(&s);
}
END_TEST

static void must_begin_anew(struct scene *s, size_t rows)
{
	struct datalog *log;
	bool anew;

	log = read_new(s, &anew);
	ck_assert(anew);
	ck_assert_ptr_nonnull(log);
	ck_assert_uint_eq(log->rows, rows);
	datalog_free(log);
	ck_assert_ptr_null(read_new(s, &anew));
	ck_assert(!anew);
}

static const char three[] = "Time,RPM\n0.0,1000\n0.1,1100\n0.2,1200\n";
static const char two[] = "Time,RPM\n0.0,3000\n0.1,3100\n";
static const char four[] = "Time,RPM\n5.0,3000\n5.1,3100\n5.2,3200\n5.3,3300\n";

START_TEST(cut_written_over_and_replaced)
{
	char *other;
	struct scene s;
	bool anew;

	scene_open(&s, three, strlen(three));
	datalog_free(read_new(&s, &anew));
	write_file(&s, two, strlen(two), O_TRUNC);	/* shorter */
	must_begin_anew(&s, 2);
	write_file(&s, four, strlen(four), O_TRUNC);	/* longer: only its bytes tell */
	must_begin_anew(&s, 4);
	other = path_join(s.dir, "other.csv");
	ck_assert_int_eq(rename(s.path, other), 0);	/* without a name for a moment */
	ck_assert_ptr_null(read_new(&s, &anew));
	ck_assert(!anew);
	write_file(&s, three, strlen(three), O_EXCL);
	must_begin_anew(&s, 3);
	unlink(other);
	free(other);
	scene_close(&s);
}
END_TEST

START_TEST(standard_input_as_it_comes)
{
	struct csv_follow *f;
	struct datalog *log;
	struct err e = ERR_INIT;
	int ends[2];

	ck_assert_int_eq(pipe(ends), 0);
	ck_assert_int_eq(dup2(ends[0], STDIN_FILENO), STDIN_FILENO);
	close(ends[0]);
	ck_assert_int_eq(csv_follow_open("-", &guess_all, &f, &e), ERR_NONE);
	ck_assert_int_ne(csv_follow_read(f, &log, &e), ERR_NONE);
	ck_assert_int_eq(write(ends[1], three, strlen(three)), (ssize_t)strlen(three));
	csv_follow_wait(f, -1, 5000);
	ck_assert_int_eq(csv_follow_read(f, &log, &e), ERR_NONE);
	ck_assert_uint_eq(log->rows, 3);
	ck_assert_str_eq(log->path, "-");
	datalog_free(log);
	ck_assert_int_eq(write(ends[1], "0.3,1300", 8), 8);
	close(ends[1]);
	csv_follow_wait(f, -1, 5000);
	ck_assert_int_eq(csv_follow_read(f, &log, &e), ERR_NONE);
	while (!csv_follow_is_over(f)) {
		datalog_free(log);
		csv_follow_wait(f, -1, 5000);
		ck_assert_int_eq(csv_follow_read(f, &log, &e), ERR_NONE);
	}
	ck_assert_uint_eq(log->rows, 4);
	datalog_free(log);
	csv_follow_close(f);
}
END_TEST

START_TEST(what_cannot_be_followed)
{
	struct csv_follow *f;
	struct err e = ERR_INIT;
	struct scene s;

	scene_open(&s, "\x1f\x8b\x08", 0);
	append(&s, "\x1f\x8b\x08\0\0\0", 6);
	ck_assert_int_eq(csv_follow_open(s.path, &guess_all, &f, &e), ERR_USAGE);
	ck_assert_ptr_nonnull(strstr(e.text, "compressed"));
	ck_assert_ptr_null(f);
	ck_assert_int_eq(csv_follow_open("no/such/file", &guess_all, &f, &e), ERR_IO);
	scene_close(&s);
}
END_TEST

/* Stops when so many rows are there, and keeps what it saw. */
struct looker {
	size_t enough;
	size_t calls;
	struct datalog *seen;
};

static bool look_on(void *data, const struct csv_progress *p, const struct csv_reading *so_far)
{
	struct looker *l = data;
	struct err e = ERR_INIT;

	l->calls++;
	ck_assert_uint_le(p->bytes, p->size);
	if (l->seen == NULL && p->rows >= 2)
		ck_assert_int_eq(csv_reading_so_far(so_far, &l->seen, &e), ERR_NONE);
	return p->rows < l->enough;
}

START_TEST(looking_on_and_stopping)
{
	struct buf bytes = BUF_INIT;
	unsigned threads;

	large_log(9, &bytes);
	for (threads = 1; threads <= 3; threads++) {
		struct looker l = { .enough = 8000 };
		const struct csv_watch watch = { look_on, &l };
		const struct csv_options o = { .threads = threads, .piece = 20000,
					       .watch = &watch };
		struct datalog *log;
		struct err e = ERR_INIT;
		size_t row;

		ck_assert_int_eq(csv_read_memory("t", bytes.data, bytes.len, &o, &log, &e), ERR_NONE);
		ck_assert(log->is_part);
		ck_assert_uint_ge(log->rows, 8000);
		ck_assert_uint_lt(log->rows, 12000);
		ck_assert_uint_gt(l.calls, 3);
		ck_assert_uint_lt(l.seen->rows, log->rows);
		for (row = 0; row < l.seen->rows; row++)
			ck_assert(column_at(l.seen->channels[1].column, row) ==
				  column_at(log->channels[1].column, row));
		datalog_free(log);	/* what they share stays until the other lets go, too */
		ck_assert(column_at(l.seen->channels[1].column, 100) >= 2000.0);
		datalog_free(l.seen);
	}
	buf_release(&bytes);
}
END_TEST

Suite *csv_follow_suite(void)
{
	Suite *s = suite_create("csv_follow");
	TCase *t = tcase_create("follow");

	tcase_set_timeout(t, 120);
	tcase_add_test(t, small_logs_that_grow_line_by_line);
	tcase_add_test(t, large_logs_that_grow_anywhere);
	tcase_add_test(t, a_torn_line_waits_for_its_end);
	tcase_add_test(t, not_yet_a_log);
	tcase_add_test(t, cut_written_over_and_replaced);
	tcase_add_test(t, standard_input_as_it_comes);
	tcase_add_test(t, what_cannot_be_followed);
	tcase_add_test(t, looking_on_and_stopping);
	suite_add_tcase(s, t);
	return s;
}
