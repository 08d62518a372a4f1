/* SPDX-License-Identifier: GPL-3.0-or-later */
/* INI files as they stand: sections, keys, and the line of whatever is none. */
#include "base_util.h"

#include "base/ini.h"

Suite *ini_suite(void);

/* "[name@line] key@line=value ..." */
static char *dump(const struct ini *ini)
{
	struct buf b = BUF_INIT;
	size_t i, k;

	for (i = 0; i < ini->count; i++) {
		const struct ini_section *s = &ini->sections[i];

		buf_printf(&b, "[%s@%zu]", s->name, s->line);
		for (k = 0; k < s->count; k++)
			buf_printf(&b, " %s@%zu=%s", s->keys[k].name, s->keys[k].line,
				   s->keys[k].value);
	}
	return buf_take(&b);
}

static const struct {
	const char *text;
	const char *want;
} good[] = {
	{ "", "" },
	{ "\n\n; nothing\n# nothing\n", "" },
	{ "[a]\nx = 1\ny: 2\n", "[a@1] x@2=1 y@3=2" },
	{ "[a]\n  x=1\n\ty = 2", "[a@1] x@2=1 y@3=2" },
	{ "x = 1\n[a]\n", "[@0] x@1=1[a@2]" },
	{ "[a]\n[a]\nx = 1\nx = 2\n", "[a@1][a@2] x@3=1 x@4=2" },
	{ "[ a ]   ; a [comment]\nx = 1 ; another\n", "[a@1] x@2=1" },
	{ "[a [b]]\n[]\n", "[a [b]@1][@2]" },
	{ "[a]\nx = a;b\ny = a=b:c\nz =\n", "[a@1] x@2=a;b y@3=a=b:c z@4=" },
	{ "[a]\nx = 1 # no comment\n", "[a@1] x@2=1 # no comment" },
	{ "\xef\xbb\xbf[a]\nx = 1\n", "[a@1] x@2=1" },
	{ "[a]\r\nx = 1\r\n\r\ny = 2\r\n", "[a@1] x@2=1 y@4=2" },
	{ "[a]\rx = 1\r\ry = 2\r", "[a@1] x@2=1 y@4=2" },
	{ "; old\r[a]\rx = 1", "[a@2] x@3=1" },
	{ "[a]\nx = caf\xe9\n", "[a@1] x@2=caf\xe9" },
	{ "[a]\nx = 1\n\v\fy = 2\n", "[a@1] x@2=1 y@3=2" },
	{ "[a]\n= 1\n", "[a@1] @2=1" },
	{ "[a section whose name is much longer than forty-nine bytes are]\nx = 1\n",
	  "[a section whose name is much longer than forty-nine bytes are@1] x@2=1" },
};

START_TEST(reads_what_stands_there)
{
	struct err e = ERR_INIT;
	struct ini ini;
	char *got;

	ck_assert_msg(ini_read_memory(&ini, good[_i].text, strlen(good[_i].text), "S", &e) ==
		      ERR_NONE, "%s", e.text);
	ck_assert_uint_eq(ini.wrong_line, 0);
	got = dump(&ini);
	ck_assert_str_eq(got, good[_i].want);
	free(got);
	ini_release(&ini);
}
END_TEST

#define TEXT(s) s, sizeof s - 1

/* What is wrong, where, and what stands before it. */
static const struct {
	const char *text;
	size_t n;
	size_t line;
	const char *words;
	const char *before;
} bad[] = {
	{ TEXT("[a]\nx = 1\nword\ny = 2\n[b]\n"), 3, "Neither a [S] nor KEY = VALUE", "[a@1] x@2=1" },
	{ TEXT("[a\n"), 1, "Neither a [S]", "" },
	{ TEXT("[\n"), 1, "Neither a [S]", "" },
	{ TEXT("[a]\n[b] x = 1\n"), 2, "Neither a [S]", "[a@1]" },
	{ TEXT("[a]\n[b ; c]\n"), 2, "Neither a [S]", "[a@1]" },
	{ TEXT("[a]\r\rword\r"), 3, "Neither", "[a@1]" },
	{ TEXT("word\n[a\n"), 1, "Neither", "" },
	{ TEXT("[a\nword\n"), 1, "Neither", "" },
	{ TEXT("\0"), 1, "NUL", "" },
	{ TEXT("[a]\nx = \0 1\n"), 2, "NUL", "" },
	{ TEXT("[a]\r\n\r\n\0"), 3, "NUL", "" },
	{ TEXT("\xff\xfe[\0a\0]\0\n\0"), 1, "NUL", "" },
};

START_TEST(tells_the_first_line_that_is_none)
{
	struct err e = ERR_INIT;
	struct ini ini;
	char *got;

	ck_assert_int_eq(ini_read_memory(&ini, bad[_i].text, bad[_i].n, "S", &e), ERR_FORMAT);
	ck_assert_uint_eq(ini.wrong_line, bad[_i].line);
	ck_assert_msg(strstr(e.text, bad[_i].words) != NULL, "%s", e.text);
	got = dump(&ini);
	ck_assert_str_eq(got, bad[_i].before);
	free(got);
	ini_release(&ini);
	ck_assert_int_eq(ini_read_memory(&ini, bad[_i].text, bad[_i].n, "S", NULL), ERR_FORMAT);
	ini_release(&ini);
}
END_TEST

/* A line as long as inih takes is read whole, a longer one refused, a comment ignored. */
START_TEST(long_lines)
{
	struct err e = ERR_INIT;
	int most = 0;
	int n;

	for (n = 150; n < 400; n++) {
		char *line = mem_printf("[a]\nx=%0*d\n", n - 2, 7);
		struct ini ini;

		if (ini_read_memory(&ini, line, strlen(line), "S", &e) == ERR_NONE) {
			ck_assert_int_eq(most == 0 || most == n - 1, 1);
			ck_assert_uint_eq(strlen(ini.sections[0].keys[0].value), (size_t)n - 2);
			most = n;
		} else {
			ck_assert_uint_eq(ini.wrong_line, 2);
			ck_assert_ptr_nonnull(strstr(e.text, "longer than"));
		}
		ini_release(&ini);
		free(line);
	}
	ck_assert_int_eq(most, 198);	/* what the documentation says */
	for (n = 0; n < 2; n++) {
		char *line = mem_printf("%s; %0400d\n[a]\nx = 1 ; %0400d\n", n == 0 ? "" : "  ", 1, 2);
		struct ini ini;

		ck_assert_int_eq(ini_read_memory(&ini, line, strlen(line), "S", &e), ERR_NONE);
		ck_assert_str_eq(ini.sections[0].keys[0].value, "1");
		ini_release(&ini);
		free(line);
	}
}
END_TEST

START_TEST(files_are_named)
{
	char *dir = new_folder();
	char *path = path_join(dir, "some.ini");
	struct err e = ERR_INIT;
	struct ini ini;
	char *want;

	ck_assert_int_eq(ini_read(&ini, path, &e), ERR_IO);
	ck_assert_ptr_nonnull(strstr(e.text, path));
	ini_release(&ini);
	ck_assert_int_eq(ini_read(&ini, dir, &e), ERR_IO);
	ini_release(&ini);

	put_file(path, "[a]\nword\n");
	ck_assert_int_eq(ini_read(&ini, path, &e), ERR_FORMAT);
	want = mem_printf("%s: line 2: Neither a [SECTION] nor KEY = VALUE.", path);
	ck_assert_str_eq(e.text, want);
	free(want);
	ini_release(&ini);

	put_file(path, "[a]\nX = 1\n[b]\n");
	ck_assert_int_eq(ini_read(&ini, path, &e), ERR_NONE);
	ck_assert_str_eq(ini.path, path);
	ck_assert_str_eq(ini_find(&ini.sections[0], "x")->value, "1");
	ck_assert_ptr_null(ini_find(&ini.sections[0], "y"));
	ini_release(&ini);
	free(path);
	drop_folder(dir);
}
END_TEST

START_TEST(repeats_are_found)
{
	static const char text[] = "[a]\nx = 1\ny = 1\nX = 2\n[b]\nx = 1\n[A]\n";
	struct err e = ERR_INIT;
	struct ini ini;
	const struct ini_section *s;

	ck_assert_int_eq(ini_read_memory(&ini, text, strlen(text), "S", NULL), ERR_NONE);
	ini.path = mem_strdup("F");
	s = ini.sections;
	ck_assert_int_eq(ini_key_once(&ini, s, &s->keys[0], &e), ERR_NONE);
	ck_assert_int_eq(ini_key_once(&ini, s, &s->keys[1], &e), ERR_NONE);
	ck_assert_int_eq(ini_key_once(&ini, s, &s->keys[2], &e), ERR_FORMAT);
	ck_assert_str_eq(e.text, "F: line 4: 'X' is there already, on line 2; keep one of them.");
	ck_assert_int_eq(ini_key_once(&ini, &s[1], &s[1].keys[0], &e), ERR_NONE);
	ck_assert_int_eq(ini_section_once(&ini, &s[0], &e), ERR_NONE);
	ck_assert_int_eq(ini_section_once(&ini, &s[1], &e), ERR_NONE);
	ck_assert_int_eq(ini_section_once(&ini, &s[2], &e), ERR_FORMAT);
	ck_assert_str_eq(e.text, "F: line 7: [A] is there already, on line 1; make them one.");
	ini_release(&ini);
}
END_TEST

Suite *ini_suite(void)
{
	Suite *s = suite_create("ini");
	TCase *t = tcase_create("ini");

	tcase_add_loop_test(t, reads_what_stands_there, 0, COUNT(good));
	tcase_add_loop_test(t, tells_the_first_line_that_is_none, 0, COUNT(bad));
	tcase_add_test(t, long_lines);
	tcase_add_test(t, files_are_named);
	tcase_add_test(t, repeats_are_found);
	suite_add_tcase(s, t);
	return s;
}
