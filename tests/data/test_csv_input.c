/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Logs compressed with gzip, whole and broken. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>
#include <zlib.h>

#include "base/buf.h"
#include "base/mem.h"
#include "base/path.h"
#include "data/csv_input.h"
#include "data/csv_read.h"

Suite *csv_input_suite(void);

/* Appends the n bytes as one gzip member. */
static void add_member(struct buf *out, const char *bytes, size_t n)
{
	z_stream z = { 0 };
	size_t room;

	ck_assert_int_eq(deflateInit2(&z, 6, Z_DEFLATED, 15 + 16, 8, Z_DEFAULT_STRATEGY), Z_OK);
	room = deflateBound(&z, n);
	mem_grow(&out->data, &out->cap, out->len + room + 1, 1);
	z.next_in = (Bytef *)bytes;
	z.avail_in = (uInt)n;
	z.next_out = (Bytef *)out->data + out->len;
	z.avail_out = (uInt)room;
	ck_assert_int_eq(deflate(&z, Z_FINISH), Z_STREAM_END);
	out->len += room - z.avail_out;
	deflateEnd(&z);
}

static void make_log(struct buf *out, size_t rows)
{
	size_t i;

	buf_puts(out, "Time,RPM\n");
	for (i = 0; i < rows; i++)
		buf_printf(out, "%zu,%zu\n", i, 1000 + i * 37 % 5000);
}

/* Reads everything, `step` bytes at a time. */
static enum err_code read_all(const struct buf *packed, size_t step, struct buf *out,
			      struct err *e)
{
	struct csv_input *in = csv_input_memory("t", packed->data, packed->len);
	enum err_code code;
	size_t got;

	buf_clear(out);
	do {
		mem_grow(&out->data, &out->cap, out->len + step + 1, 1);
		code = csv_input_read(in, out->data + out->len, step, &got, e);
		out->len += got;
	} while (code == ERR_NONE && got == step);
	csv_input_close(in);
	return code;
}

START_TEST(members_are_joined)
{
	static const size_t steps[] = { 1, 7, 4096, 1 << 20 };
	struct buf text = BUF_INIT;
	struct buf packed = BUF_INIT;
	struct buf out = BUF_INIT;
	size_t i;

	make_log(&text, 20000);
	add_member(&packed, text.data, 1);
	add_member(&packed, text.data + 1, 100000);
	add_member(&packed, "", 0);
	add_member(&packed, text.data + 100001, text.len - 100001);
	buf_add(&packed, "\0\0\0\0\0", 5);
	for (i = 0; i < 4; i++) {
		struct err e = ERR_INIT;

		ck_assert_msg(read_all(&packed, steps[i], &out, &e) == ERR_NONE, "%s", e.text);
		ck_assert_uint_eq(out.len, text.len);
		ck_assert_mem_eq(out.data, text.data, text.len);
	}
	buf_release(&text);
	buf_release(&packed);
	buf_release(&out);
}
END_TEST

/* Every place where it can break off; what could be unpacked is told. */
START_TEST(broken_off_anywhere)
{
	struct buf text = BUF_INIT;
	struct buf packed = BUF_INIT;
	struct buf out = BUF_INIT;
	char said[64];

	make_log(&text, 300);
	add_member(&packed, text.data, text.len);
	while (packed.len > 2) {
		struct err e = ERR_INIT;

		packed.len--;
		ck_assert_int_eq(read_all(&packed, 4096, &out, &e), ERR_FORMAT);
		snprintf(said, sizeof(said), "break off after %zu bytes", out.len);
		ck_assert_msg(strstr(e.text, said) != NULL, "%s", e.text);
		ck_assert_mem_eq(out.data, text.data, out.len);
	}
	buf_release(&text);
	buf_release(&packed);
	buf_release(&out);
}
END_TEST

/* A changed byte is never taken for the log: the checksum tells at the latest. */
START_TEST(damage_is_noticed)
{
	struct buf text = BUF_INIT;
	struct buf packed = BUF_INIT;
	struct buf out = BUF_INIT;
	size_t refused = 0;
	size_t i;

	make_log(&text, 300);
	add_member(&packed, text.data, text.len);
	for (i = 10; i < packed.len; i++) {
		struct err e = ERR_INIT;

		packed.data[i] ^= 0x11;
		if (read_all(&packed, 4096, &out, &e) != ERR_NONE) {
			ck_assert_int_eq(e.code, ERR_FORMAT);
			ck_assert_msg(strstr(e.text, " bytes of text") != NULL, "%s", e.text);
			refused++;
		}
		packed.data[i] ^= 0x11;
	}
	ck_assert_uint_eq(refused, packed.len - 10);
	buf_puts(&packed, "Time,RPM\n");
	ck_assert_int_eq(read_all(&packed, 4096, &out, NULL), ERR_FORMAT);
	buf_release(&text);
	buf_release(&packed);
	buf_release(&out);
}
END_TEST

START_TEST(a_compressed_log_is_read)
{
	struct buf text = BUF_INIT;
	struct buf packed = BUF_INIT;
	struct datalog *log;
	struct err e = ERR_INIT;

	make_log(&text, 5000);
	add_member(&packed, text.data, text.len);
	ck_assert_msg(csv_read_memory("log.csv", packed.data, packed.len, NULL, &log, &e) ==
		      ERR_NONE, "%s", e.text);
	ck_assert_uint_eq(log->rows, 5000);
	ck_assert_double_eq(column_at(log->channels[1].column, 3), 1111);
	datalog_free(log);
	packed.len -= 9;
	ck_assert_int_eq(csv_read_memory("log.csv", packed.data, packed.len, NULL, &log, &e),
			 ERR_FORMAT);
	ck_assert_ptr_nonnull(strstr(e.text, "log.csv: its gzip data break off after"));
	buf_release(&text);
	buf_release(&packed);
}
END_TEST

START_TEST(compressed_standard_input)
{
	struct buf text = BUF_INIT;
	struct buf packed = BUF_INIT;
	const int kept = dup(STDIN_FILENO);
	struct datalog *log;
	int ends[2];

	make_log(&text, 50);
	add_member(&packed, text.data, text.len);
	ck_assert_int_eq(pipe(ends), 0);
	ck_assert_int_eq(write(ends[1], packed.data, packed.len), (ssize_t)packed.len);
	close(ends[1]);
	dup2(ends[0], STDIN_FILENO);
	close(ends[0]);
	ck_assert_int_eq(csv_read("-", NULL, &log, NULL), ERR_NONE);
	if (kept >= 0) {
		dup2(kept, STDIN_FILENO);
		close(kept);
	}
	ck_assert_str_eq(log->path, "-");
	ck_assert_uint_eq(log->rows, 50);
	datalog_free(log);
	buf_release(&text);
	buf_release(&packed);
}
END_TEST

/* A few kilobytes that unpack to 512 MB of one line; not under a sanitizer. */
START_TEST(a_bomb_ends_in_words)
{
#if !defined(__SANITIZE_ADDRESS__)
	const size_t n = (size_t)64 << 20;
	char *bytes = mem_alloc(n);
	struct buf packed = BUF_INIT;
	pid_t child;
	int status;
	int i;

	memset(bytes, '1', n);
	for (i = 0; i < 8; i++)
		add_member(&packed, bytes, n);
	free(bytes);
	child = fork();
	if (child == 0) {
		struct rlimit limit = { (size_t)300 << 20, (size_t)300 << 20 };
		struct err e = ERR_INIT;
		struct datalog *log;

		setrlimit(RLIMIT_AS, &limit);
		_exit(csv_read_memory("bomb", packed.data, packed.len, NULL, &log, &e) ==
		      ERR_MEMORY && strstr(e.text, "memory") != NULL ? 0 : 1);
	}
	ck_assert_int_eq(waitpid(child, &status, 0), child);
	ck_assert(WIFEXITED(status) && WEXITSTATUS(status) == 0);
	buf_release(&packed);
#endif
}
END_TEST

/* Reads the bytes as they are and compressed; the last row's note must be `word`. */
static void check_note(const struct buf *text, const char *word, bool is_latin1)
{
	struct buf packed = BUF_INIT;
	int i;

	add_member(&packed, text->data, text->len);
	for (i = 0; i < 2; i++) {
		const struct buf *b = i == 0 ? text : &packed;
		const struct column *notes;
		struct datalog *log;
		struct err e = ERR_INIT;

		ck_assert_msg(csv_read_memory("t", b->data, b->len, NULL, &log, &e) == ERR_NONE,
			      "%s", e.text);
		notes = log->channels[1].column;
		ck_assert_str_eq(column_word(notes, column_at(notes, log->rows - 1)), word);
		ck_assert_int_eq(log->note_count > 0 &&
				 strstr(log->notes[0], "8859-1") != NULL, is_latin1);
		datalog_free(log);
	}
	buf_release(&packed);
}

/* What all bytes say of the encoding counts, not what the first do. */
START_TEST(the_encoding_tells_late)
{
	struct buf text = BUF_INIT;
	size_t i;

	buf_puts(&text, "Time,Note\n");
	for (i = 0; i < 60000; i++)
		buf_printf(&text, "%zu,fine\n", i);
	buf_puts(&text, "60000,caf\xe9\n");
	check_note(&text, "caf\xc3\xa9", true);
	buf_clear(&text);
	buf_puts(&text, "Time,Note\xb0\n");
	for (i = 0; i < 60000; i++)
		buf_printf(&text, "%zu,fine\n", i);
	buf_puts(&text, "60000,\xc3\xa9\xc3\xa9\n");
	check_note(&text, "\xc3\xa9\xc3\xa9", false);
	buf_release(&text);
}
END_TEST

Suite *csv_input_suite(void)
{
	Suite *s = suite_create("csv_input");
	TCase *tc = tcase_create("gzip");

	tcase_set_timeout(tc, 60);
	tcase_add_test(tc, members_are_joined);
	tcase_add_test(tc, broken_off_anywhere);
	tcase_add_test(tc, damage_is_noticed);
	tcase_add_test(tc, a_compressed_log_is_read);
	tcase_add_test(tc, compressed_standard_input);
	tcase_add_test(tc, a_bomb_ends_in_words);
	suite_add_tcase(s, tc);
	tc = tcase_create("encoding");
	tcase_add_test(tc, the_encoding_tells_late);
	suite_add_tcase(s, tc);
	return s;
}
