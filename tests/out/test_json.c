/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of the JSON helpers; jansson reads the text back. */
#include <check.h>
#include <math.h>
#include <string.h>

#include "out/json.h"

Suite *json_suite(void);

static void assert_json(json_t *value, const char *want)
{
	struct buf out = BUF_INIT;

	js_write(value, &out);
	ck_assert_str_eq(buf_text(&out), want);
	buf_release(&out);
}

START_TEST(test_no_value)
{
	json_t *a = js_array();

	js_append(a, js_number(NAN));
	js_append(a, js_number(INFINITY));
	js_append(a, js_number(-INFINITY));
	js_append(a, js_count(NAN));
	js_append(a, js_text(""));
	js_append(a, js_text(NULL));
	assert_json(a, "[\n null,\n null,\n null,\n null,\n null,\n null\n]\n");
}
END_TEST

START_TEST(test_numbers)
{
	json_t *a = js_array();

	js_append(a, js_count(12345678901.0));
	js_append(a, js_count(-3));
	js_append(a, js_number(5));
	js_append(a, js_number(0.1));
	assert_json(a, "[\n 12345678901,\n -3,\n 5.0,\n 0.10000000000000001\n]\n");
}
END_TEST

/* 17 significant digits bring every double back. */
START_TEST(test_digits)
{
	static const double numbers[] = {
		0.1, 1.0 / 3.0, 6.02214076e23, 5e-324, 1.7976931348623157e308, -0.0, 6810.25,
	};
	struct buf out = BUF_INIT;
	json_t *a = js_array();
	json_t *back;
	size_t i;

	for (i = 0; i < sizeof numbers / sizeof numbers[0]; i++)
		js_append(a, js_number(numbers[i]));
	js_write(a, &out);
	back = json_loads(buf_text(&out), 0, NULL);
	ck_assert_ptr_nonnull(back);
	for (i = 0; i < sizeof numbers / sizeof numbers[0]; i++)
		ck_assert(json_real_value(json_array_get(back, i)) == numbers[i]);
	json_decref(back);
	buf_release(&out);
}
END_TEST

START_TEST(test_order)
{
	json_t *o = js_object();

	js_set(o, "z", js_count(1));
	js_set(o, "a", js_count(2));
	js_set(o, "m", js_count(3));
	assert_json(o, "{\n \"z\": 1,\n \"a\": 2,\n \"m\": 3\n}\n");
}
END_TEST

/* A file name may hold any bytes; JSON may not. */
START_TEST(test_broken_text)
{
	json_t *a = js_array();

	js_append(a, js_text("a\xff" "b"));
	js_append(a, js_text("\xc3\xa4 \"q\" \n\x01"));
	assert_json(a, "[\n \"a\xef\xbf\xbd" "b\",\n \"\xc3\xa4 \\\"q\\\" \\n\\u0001\"\n]\n");
}
END_TEST

Suite *json_suite(void)
{
	Suite *s = suite_create("json");
	TCase *t = tcase_create("json");

	tcase_add_test(t, test_no_value);
	tcase_add_test(t, test_numbers);
	tcase_add_test(t, test_digits);
	tcase_add_test(t, test_order);
	tcase_add_test(t, test_broken_text);
	suite_add_tcase(s, t);
	return s;
}
