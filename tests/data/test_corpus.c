/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every file of the corpus against its expectation; broken versions of them never crash. */
#include <check.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/path.h"
#include "corpus_expect.h"

#define LEAST_FILES 60
#define MUTATIONS 60		/* of each file; the seed is fixed */

Suite *corpus_suite(void);

START_TEST(files_read_as_expected)
{
	struct buf wrong = BUF_INIT;
	struct buf path = BUF_INIT;
	size_t count;
	char **names = corpus_list(&count);
	size_t i;

	ck_assert_uint_ge(count, LEAST_FILES);
	for (i = 0; i < count; i++) {
		struct expectation x;
		struct datalog *log = NULL;
		struct err e = ERR_INIT;
		const size_t before = wrong.len;
		enum err_code code;

		expectation_load(&x, names[i]);
		code = csv_read(corpus_path(&path, names[i]), &x.options, &log, &e);
		expectation_compare(&x, log, code, &e, &wrong);
		if (wrong.len > before)
			buf_printf(&wrong, "  ^ %s\n", names[i]);
		datalog_free(log);
		expectation_release(&x);
		free(names[i]);
	}
	/* Check cuts long messages. */
	fputs(buf_text(&wrong), stderr);
	ck_assert_msg(wrong.len == 0, "%s differ from what is expected, see above",
		      "files of the corpus");
	free(names);
	buf_release(&wrong);
	buf_release(&path);
}
END_TEST

/* What must hold of any log that was read at all. */
static void check_invariants(const struct datalog *log)
{
	size_t i;

	ck_assert_uint_ge(log->rows, 2);
	ck_assert_uint_ge(log->section_count, 1);
	ck_assert_uint_le(log->place_count, DATALOG_PLACES);
	for (i = 1; i < log->rows; i++)
		ck_assert_msg(log->time[i] >= log->time[i - 1], "time falls at row %zu", i);
	for (i = 0; i < log->channel_count; i++)
		ck_assert_uint_eq(column_rows(log->channels[i].column), log->rows);
	for (i = 0; i < log->place_count; i++)
		ck_assert_ptr_nonnull(log->places[i].text);
}

/* Returns whether it was read. */
static bool try_bytes(const char *bytes, size_t n)
{
	/* An exact copy on the heap, so that reading beyond the end is noticed. */
	char *exact = mem_alloc(n);
	struct datalog *log;
	struct err e = ERR_INIT;
	const bool ok = csv_read_memory("mutant", memcpy(exact, bytes, n), n, NULL, &log, &e) ==
			ERR_NONE;

	if (ok)
		check_invariants(log);
	else
		ck_assert_msg(log == NULL && e.text[0] != '\0', "an error without words");
	datalog_free(log);
	free(exact);
	return ok;
}

static void load(const char *name, struct buf *out)
{
	struct buf path = BUF_INIT;

	buf_clear(out);
	ck_assert_int_eq(path_read_all(corpus_path(&path, name), out, NULL), ERR_NONE);
	buf_release(&path);
}

START_TEST(truncated_files_never_crash)
{
	size_t count;
	char **names = corpus_list(&count);
	struct buf bytes = BUF_INIT;
	size_t i;
	size_t n;

	for (i = 0; i < count; i++) {
		load(names[i], &bytes);
		for (n = 0; n < bytes.len; n += 1 + bytes.len / 60)
			try_bytes(bytes.data, n);
		free(names[i]);
	}
	free(names);
	buf_release(&bytes);
}
END_TEST

/* xorshift64* (S. Vigna, 2016): the same mutants on every machine. */
static uint32_t draw(uint64_t *state)
{
	*state ^= *state >> 12;
	*state ^= *state << 25;
	*state ^= *state >> 27;
	return (uint32_t)(*state * UINT64_C(2685821657736338717) >> 32);
}

static void mutate(struct buf *b, uint64_t *state)
{
	static const char awkward[] = ",;\t|\"\n\r\0 .-:#/eE+%x\xff\xc3\xb0T5";
	const uint32_t changes = 1 + draw(state) % 6;
	uint32_t i;

	for (i = 0; i < changes && b->len > 0; i++) {
		const size_t at = draw(state) % b->len;
		const size_t n = 1 + draw(state) % 8;

		switch (draw(state) % 4) {
		case 0:
			b->data[at] = (char)draw(state);
			break;
		case 1:
			b->data[at] = awkward[draw(state) % (sizeof(awkward) - 1)];
			break;
		case 2:		/* takes a few bytes out */
			if (at + n < b->len) {
				memmove(b->data + at, b->data + at + n, b->len - at - n);
				b->len -= n;
			}
			break;
		default:	/* repeats what is there, at the end */
			buf_add(b, "", 0);
			mem_grow(&b->data, &b->cap, 2 * b->len + 1, 1);
			memmove(b->data + b->len, b->data + at, b->len - at);
			b->len += b->len - at;
		}
	}
}

START_TEST(mutated_files_never_crash)
{
	uint64_t state = 20310512;
	size_t count;
	char **names = corpus_list(&count);
	struct buf bytes = BUF_INIT;
	size_t read = 0;
	size_t i;
	int k;

	for (i = 0; i < count; i++) {
		for (k = 0; k < MUTATIONS; k++) {
			load(names[i], &bytes);
			mutate(&bytes, &state);
			read += try_bytes(buf_text(&bytes), bytes.len);
		}
		free(names[i]);
	}
	/* Most mutants still are logs: the rest of the reader is reached. */
	ck_assert_uint_gt(read, count * MUTATIONS / 2);
	free(names);
	buf_release(&bytes);
}
END_TEST

Suite *corpus_suite(void)
{
	Suite *s = suite_create("corpus");
	TCase *tc = tcase_create("corpus");

	tcase_set_timeout(tc, 120);
	tcase_add_test(tc, files_read_as_expected);
	tcase_add_test(tc, truncated_files_never_crash);
	tcase_add_test(tc, mutated_files_never_crash);
	suite_add_tcase(s, tc);
	return s;
}
