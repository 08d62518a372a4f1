/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whoever splits a log, in whatever pieces and threads: the datalog is the same. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/path.h"
#include "data/corpus_expect.h"
#include "data/csv_read.h"
#include "data/log_compare.h"
#include "data/wild_log.h"

Suite *csv_lanes_suite(void);

#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
#define WILD_LOGS 100		/* a sanitizer takes its time */
#else
#define WILD_LOGS 400
#endif
#define MUTANTS 6		/* of each file of the corpus */
#define SIM_LOGS 6

static const struct csv_options reference = { .reader = CSV_READER_LIBCSV, .threads = 1,
					      .piece = (size_t)1 << 30 };

static const struct csv_options ways[] = {
	{ .reader = CSV_READER_STRAIGHT, .threads = 1 },
	{ .reader = CSV_READER_STRAIGHT, .threads = 2, .piece = 1 },
	{ .reader = CSV_READER_STRAIGHT, .threads = 3, .piece = 50 },
	{ .reader = CSV_READER_STRAIGHT, .threads = 1, .piece = 700 },
	{ .reader = CSV_READER_STRAIGHT, .threads = 4, .piece = 5000 },
	{ .reader = CSV_READER_STRAIGHT, .threads = 2, .piece = 20000 },
	{ .reader = CSV_READER_STRAIGHT, .threads = 1, .piece = 20000, .wide = WIDE_BASE },
	{ .reader = CSV_READER_STRAIGHT, .threads = 1, .piece = 20000, .wide = WIDE_AVX2 },
	{ .reader = CSV_READER_AUTO, .threads = 2, .piece = 100 },
	{ .reader = CSV_READER_AUTO, .threads = 2, .piece = 2000 },
	{ .reader = CSV_READER_LIBCSV, .threads = 2, .piece = 300 },
};

#define WAYS (sizeof(ways) / sizeof(ways[0]))

static struct csv_options way_of(size_t i, const struct csv_options *forced)
{
	struct csv_options o = *forced;

	o.reader = ways[i].reader;
	o.threads = ways[i].threads;
	o.piece = ways[i].piece;
	o.wide = ways[i].wide;
	return o;
}

/* Returns whether it is a log. */
static bool compare_bytes(const char *name, const char *bytes, size_t n,
			  const struct csv_options *forced)
{
	struct csv_options o = reference;
	struct err first = ERR_INIT;
	struct datalog *a;
	enum err_code code;
	char text[512];
	size_t i;

	o.separator = forced->separator;
	o.decimal = forced->decimal;
	o.header_line = forced->header_line;
	o.time_name = forced->time_name;
	o.rate = forced->rate;
	code = csv_read_memory("t", bytes, n, &o, &a, &first);
	for (i = 0; i < WAYS; i++) {
		struct err e = ERR_INIT;
		struct datalog *b;
		enum err_code other;

		o = way_of(i, forced);
		other = csv_read_memory("t", bytes, n, &o, &b, &e);
		ck_assert_msg(other == code && strcmp(first.text, e.text) == 0,
			      "%s, way %zu: error \"%s\" and \"%s\"", name, i, first.text, e.text);
		ck_assert_msg(code != ERR_NONE || log_same(a, b, text, sizeof(text)),
			      "%s, way %zu: %s", name, i, text);
		datalog_free(b);
	}
	datalog_free(a);
	return code == ERR_NONE;
}

START_TEST(wild_logs)
{
	static const struct csv_options guess_all;
	struct buf bytes = BUF_INIT;
	size_t read = 0;
	char name[32];
	uint64_t seed;

	for (seed = 0; seed < WILD_LOGS; seed++) {
		buf_clear(&bytes);
		wild_log(seed, &bytes);
		snprintf(name, sizeof(name), "wild log %d", (int)seed);
		read += compare_bytes(name, buf_text(&bytes), bytes.len, &guess_all);
	}
	ck_assert_uint_gt(read, WILD_LOGS * 3 / 4);
	buf_release(&bytes);
}
END_TEST

/* Bytes that matter to the splitters in any place. */
static void mutate(struct buf *b, uint32_t *state)
{
	static const char awkward[] = ",;\t|\"\n\r\0 .-:#/eE+%x\xff\xc3\xb0T5";
	int i;

	for (i = 0; i < 4 && b->len > 0; i++) {
		*state = *state * 1664525u + 1013904223u;
		b->data[(*state >> 8) % b->len] = awkward[(*state >> 3) % (sizeof(awkward) - 1)];
	}
}

START_TEST(the_corpus_and_mutants_of_it)
{
	size_t count;
	char **names = corpus_list(&count);
	struct buf path = BUF_INIT;
	uint32_t state = 20310512;
	size_t i;
	int k;

	for (i = 0; i < count; i++) {
		struct expectation x;
		struct buf bytes = BUF_INIT;

		expectation_load(&x, names[i]);
		corpus_path(&path, names[i]);
		ck_assert_int_eq(path_read_all(path.data, &bytes, NULL), ERR_NONE);
		compare_bytes(names[i], buf_text(&bytes), bytes.len, &x.options);
		for (k = 0; k < MUTANTS; k++) {
			mutate(&bytes, &state);
			compare_bytes(names[i], buf_text(&bytes), bytes.len, &x.options);
		}
		buf_release(&bytes);
		expectation_release(&x);
		free(names[i]);
	}
	free(names);
	buf_release(&path);
}
END_TEST

START_TEST(logs_of_the_simulator)
{
	static const struct csv_options guess_all;
	char command[1024];
	int seed;

	for (seed = 1; seed <= SIM_LOGS; seed++) {
		struct buf bytes = BUF_INIT;
		char block[4096];
		size_t got;
		FILE *sim;

		snprintf(command, sizeof(command), "'%s/sim' --random %d -o - 2>/dev/null",
			 BUILDDIR, seed);
		sim = popen(command, "r");
		ck_assert_ptr_nonnull(sim);
		while ((got = fread(block, 1, sizeof(block), sim)) > 0)
			buf_add(&bytes, block, got);
		ck_assert_int_eq(pclose(sim), 0);
		ck_assert_uint_gt(bytes.len, 10000);
		compare_bytes(command, buf_text(&bytes), bytes.len, &guess_all);
		buf_release(&bytes);
	}
}
END_TEST

/* A number of the simulator's truth file, "rows 2424". */
static size_t truth_of(const char *path, const char *key)
{
	FILE *f = fopen(path, "r");
	char line[256];
	size_t value = 0;

	ck_assert_ptr_nonnull(f);
	while (fgets(line, sizeof(line), f) != NULL)
		if (strncmp(line, key, strlen(key)) == 0 && line[strlen(key)] == ' ')
			value = strtoul(line + strlen(key), NULL, 10);
	fclose(f);
	return value;
}

/* Dialects that once lost the header or a row: polled, ragged, quoted, repeated headers. */
START_TEST(every_row_and_column_of_the_simulator)
{
	static const char *const logs[] = {
		"--random 235 --channels core,-pedal,-throttle,boost,ignition",
		"--random 154",
		"--random 18 --channels core,boost",
	};
	char dir[] = "twinpull-test-XXXXXX";
	char *log_path;
	char *truth_path;
	size_t i;

	ck_assert_ptr_nonnull(mkdtemp(dir));
	log_path = path_join(dir, "log.csv");
	truth_path = path_join(dir, "truth");
	for (i = 0; i < sizeof(logs) / sizeof(logs[0]); i++) {
		char *command = mem_printf("'%s/sim' %s -o %s --truth %s", BUILDDIR, logs[i],
					   log_path, truth_path);
		struct datalog *log;
		struct err e = ERR_INIT;

		ck_assert_int_eq(system(command), 0);
		ck_assert_msg(csv_read(log_path, NULL, &log, &e) == ERR_NONE, "%s", e.text);
		ck_assert_msg(log->rows == truth_of(truth_path, "rows") &&
			      log->channel_count == truth_of(truth_path, "columns"),
			      "%s: %zu rows, %zu channels", logs[i], log->rows,
			      log->channel_count);
		datalog_free(log);
		free(command);
	}
	remove(log_path);
	remove(truth_path);
	remove(dir);
	free(log_path);
	free(truth_path);
}
END_TEST

/* What a column is was settled by its first numbers, however many were read at once. */
START_TEST(numbers_before_a_time)
{
	static const struct csv_options guess_all;
	struct buf bytes = BUF_INIT;
	int i;

	buf_puts(&bytes, "Time,RPM,Late\n");
	for (i = 0; i < 600; i++)
		buf_printf(&bytes, "%d.%d,%d,%s\n", i / 10, i % 10, 900 + i,
			   i < 200 ? "" : i == 500 ? "12:34:56" : "7");
	ck_assert(compare_bytes("numbers before a time", bytes.data, bytes.len, &guess_all));
	buf_release(&bytes);
}
END_TEST

/* Rows end in LF, CRLF and CR among one another, behind numbers of one digit and nothing. */
START_TEST(line_ends_of_all_kinds)
{
	static const struct csv_options guess_all;
	static const char *const ends[] = { "\r\n", "\n", "\r" };
	struct buf bytes = BUF_INIT;
	int usual;
	int i;

	for (usual = 0; usual < 3; usual++) {
		buf_clear(&bytes);
		buf_puts(&bytes, "Time,RPM,Gear\n");
		for (i = 0; i < 600; i++) {
			buf_printf(&bytes, "%d.%d,%d,", i / 10, i % 10, 900 + i);
			if (i % 7 != 0)
				buf_printf(&bytes, "%d", i % 5 == 0 ? 12 : i % 6);
			buf_puts(&bytes, ends[i % 11 == 0 ? i / 11 % 3 : usual]);
		}
		ck_assert(compare_bytes("line ends", bytes.data, bytes.len, &guess_all));
	}
	buf_release(&bytes);
}
END_TEST

/* The columns that our own splitter fills are small: it was there at all. */
START_TEST(straight_means_straight)
{
	static const struct csv_options straight = { .reader = CSV_READER_STRAIGHT };
	struct buf bytes = BUF_INIT;
	struct pool_share none = { NULL, 0 };
	struct datalog *log;
	int i;

	buf_puts(&bytes, "Time,RPM\n");
	for (i = 0; i < 3000; i++)
		buf_printf(&bytes, "%d.%d,%d\n", i / 10, i % 10, 900 + i % 700);
	ck_assert_int_eq(csv_read_memory("t", bytes.data, bytes.len, &straight, &log, NULL),
			 ERR_NONE);
	ck_assert_uint_gt(pool_size(log->pool), 0);
	ck_assert_ptr_nonnull(pool_take(log->pool, &none, 1));
	datalog_free(log);
	ck_assert_int_eq(csv_read_memory("t", bytes.data, bytes.len, &reference, &log, NULL),
			 ERR_NONE);
	ck_assert_uint_eq(pool_size(log->pool), 0);
	datalog_free(log);
	buf_release(&bytes);
}
END_TEST

Suite *csv_lanes_suite(void)
{
	Suite *s = suite_create("csv_lanes");
	TCase *tc = tcase_create("lanes");

	tcase_set_timeout(tc, 300);
	tcase_add_test(tc, wild_logs);
	tcase_add_test(tc, the_corpus_and_mutants_of_it);
	tcase_add_test(tc, logs_of_the_simulator);
	tcase_add_test(tc, every_row_and_column_of_the_simulator);
	tcase_add_test(tc, numbers_before_a_time);
	tcase_add_test(tc, line_ends_of_all_kinds);
	tcase_add_test(tc, straight_means_straight);
	suite_add_tcase(s, tc);
	return s;
}
