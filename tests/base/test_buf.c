/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of the growing string. */
#include "base_util.h"

Suite *buf_suite(void);

START_TEST(test_empty)
{
	struct buf b = BUF_INIT;
	char *taken;

	ck_assert_str_eq(buf_text(&b), "");
	buf_clear(&b);
	buf_puts(&b, "");
	buf_add(&b, NULL, 0);
	buf_pad(&b, 'x', 0);
	buf_printf(&b, "%s", "");
	ck_assert_uint_eq(b.len, 0);
	ck_assert_str_eq(buf_text(&b), "");
	taken = buf_take(&b);
	ck_assert_str_eq(taken, "");
	free(taken);
	taken = buf_take(&b);
	ck_assert_str_eq(taken, "");
	free(taken);
	buf_release(&b);
	buf_release(&b);
}
END_TEST

START_TEST(test_pieces)
{
	struct buf b = BUF_INIT;
	size_t room;
	char *taken;

	buf_puts(&b, "ab");
	buf_putc(&b, 'c');
	buf_pad(&b, '-', 3);
	buf_add(&b, "xyz!", 3);
	buf_printf(&b, " %d %s", 42, "end");
	ck_assert_str_eq(b.data, "abc---xyz 42 end");
	ck_assert_uint_eq(b.len, strlen(b.data));
	room = b.cap;
	buf_clear(&b);
	ck_assert_str_eq(buf_text(&b), "");
	ck_assert_uint_eq(b.cap, room);
	buf_puts(&b, "again");
	taken = buf_take(&b);
	ck_assert_str_eq(taken, "again");
	ck_assert_ptr_null(b.data);
	free(taken);
}
END_TEST

/* A NUL within is a byte like any other. */
START_TEST(test_nul)
{
	struct buf b = BUF_INIT;

	buf_add(&b, "a\0b", 3);
	buf_putc(&b, '\0');
	buf_putc(&b, 'c');
	ck_assert_uint_eq(b.len, 5);
	ck_assert_mem_eq(b.data, "a\0b\0c", 6);
	buf_release(&b);
}
END_TEST

/* Against a plain array, whatever the order and size of the pieces. */
START_TEST(test_random)
{
	static char want[400000];
	uint64_t seed = 11;
	struct buf b = BUF_INIT;
	size_t n = 0;

	while (n + 3000 < sizeof want) {
		char piece[3000];
		const int size = rng_below(&seed, 1 << rng_below(&seed, 11));
		const char c = (char)('a' + rng_below(&seed, 26));

		memset(piece, c, sizeof piece);
		piece[size] = '\0';
		switch (rng_below(&seed, 4)) {
		case 0: buf_puts(&b, piece); break;
		case 1: buf_add(&b, piece, (size_t)size); break;
		case 2: buf_pad(&b, c, (size_t)size); break;
		default: buf_printf(&b, "%s", piece); break;
		}
		memset(want + n, c, (size_t)size);
		n += (size_t)size;
		ck_assert_uint_eq(b.len, n);
		ck_assert_uint_gt(b.cap, b.len);
		ck_assert_int_eq(b.data[n], '\0');
	}
	ck_assert_mem_eq(b.data, want, n);
	buf_release(&b);
}
END_TEST

/* Sizes that no memory can hold are refused and leave everything as it was. */
START_TEST(test_grow_refused)
{
	double *a = NULL;
	size_t cap = 0;

	ck_assert(mem_try_grow(&a, &cap, 3, sizeof *a));
	ck_assert_uint_ge(cap, 3);
	a[0] = 1.5;
	ck_assert(!mem_try_grow(&a, &cap, SIZE_MAX / 4, sizeof *a));
	ck_assert(!mem_try_grow(&a, &cap, SIZE_MAX, 1));
	ck_assert(a[0] == 1.5 && cap >= 3 && cap < 1000);
	ck_assert_ptr_null(mem_try_array(SIZE_MAX / 4, sizeof *a));
	free(a);
}
END_TEST

START_TEST(test_err)
{
	struct err e = ERR_INIT;
	char long_text[3000];

	ck_assert_int_eq(err_set(NULL, ERR_DATA, "%s", "x"), ERR_DATA);
	ck_assert_int_eq(err_set(&e, ERR_FORMAT, "%s:%d", "a.csv", 7), ERR_FORMAT);
	ck_assert_int_eq(e.code, ERR_FORMAT);
	ck_assert_str_eq(e.text, "a.csv:7");
	memset(long_text, 'x', sizeof long_text);
	long_text[sizeof long_text - 1] = '\0';
	err_set(&e, ERR_DATA, "%s", long_text);
	ck_assert_uint_eq(strlen(e.text), sizeof e.text - 1);
	ck_assert_int_eq(path_read_all("/no/such/file", &(struct buf)BUF_INIT, &e), ERR_IO);
	ck_assert_str_eq(e.text, "/no/such/file: cannot open: No such file or directory");
}
END_TEST

Suite *buf_suite(void)
{
	Suite *s = suite_create("buf");
	TCase *t = tcase_create("buf");

	tcase_add_test(t, test_empty);
	tcase_add_test(t, test_pieces);
	tcase_add_test(t, test_nul);
	tcase_add_test(t, test_random);
	tcase_add_test(t, test_grow_refused);
	tcase_add_test(t, test_err);
	suite_add_tcase(s, t);
	return s;
}
