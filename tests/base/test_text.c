/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of UTF-8 text: decoding, width, cutting, and what may reach a terminal. */
#include "base/text.h"
#include "base_util.h"

Suite *text_suite(void);

/* Every character there is goes out and comes back; every cut of it does not. */
START_TEST(test_every_character)
{
	uint32_t cp;

	for (cp = 1; cp <= 0x10ffff; cp++) {
		uint32_t back = 0;
		char s[4];
		size_t n, i;

		if (cp >= 0xd800 && cp <= 0xdfff)
			continue;
		n = text_encode(cp, s);
		if (text_decode(s, n, &back) != n || back != cp)
			ck_abort_msg("U+%04X came back as U+%04X", (unsigned)cp, (unsigned)back);
		for (i = 1; i < n; i++)
			if (text_decode(s, i, &back) != 1 || back != TEXT_REPLACEMENT ||
			    text_is_utf8(s, i))
				ck_abort_msg("U+%04X cut to %zu bytes was taken", (unsigned)cp, i);
	}
}
END_TEST

/* Ill-formed sequences, after the kinds that the Unicode Standard names (chapter 3.9). */
static const struct {
	const char *bytes;
	size_t first;		/* bytes taken by the first replacement */
} invalid[] = {
	{ "\x80", 1 }, { "\xbf", 1 }, { "\xc0\xaf", 1 }, { "\xc1\xbf", 1 },	/* overlong */
	{ "\xe0\x80\xaf", 1 }, { "\xe0\x9f\xbf", 1 }, { "\xf0\x80\x80\xaf", 1 },
	{ "\xf0\x8f\xbf\xbf", 1 }, { "\xed\xa0\x80", 1 }, { "\xed\xbf\xbf", 1 },	/* surrogates */
	{ "\xf4\x90\x80\x80", 1 }, { "\xf5\x80\x80\x80", 1 }, { "\xf8\x88\x80\x80\x80", 1 },
	{ "\xfe", 1 }, { "\xff", 1 }, { "\xc3", 1 }, { "\xc3(", 1 }, { "\xe2\x82", 1 },
	{ "\xe2(\xa1", 1 }, { "\xe2\x82(", 1 }, { "\xf0\x9f\x98", 1 }, { "\xb0", 1 },
};

START_TEST(test_invalid)
{
	const char *s = invalid[_i].bytes;
	struct buf b = BUF_INIT;
	uint32_t cp = 0;

	ck_assert_uint_eq(text_decode(s, strlen(s), &cp), invalid[_i].first);
	ck_assert_uint_eq(cp, TEXT_REPLACEMENT);
	ck_assert(!text_is_utf8(s, strlen(s)));
	text_sanitise(&b, s, strlen(s));
	ck_assert(text_is_utf8(b.data, b.len));
	ck_assert_ptr_nonnull(strstr(b.data, "\xef\xbf\xbd"));
	buf_release(&b);
}
END_TEST

static const struct {
	const char *text;
	size_t width;
} widths[] = {
	{ "", 0 }, { "boost", 5 }, { "\xc2\xb0" "C", 2 }, { "\xce\xbb", 1 },
	{ "e\xcc\x81", 1 },			/* e and a combining acute */
	{ "\xe6\xb2\xb9\xe6\xb8\xa9", 4 },	/* two ideographs */
	{ "\xed\x95\x9c", 2 },			/* a Hangul syllable */
	{ "\xef\xbc\xa1", 2 },			/* fullwidth A */
	{ "\xef\xbd\xb1", 1 },			/* halfwidth katakana */
	{ "\xf0\x9f\x9a\x97", 2 },		/* a car */
	{ "a\xe2\x80\x8b" "b", 2 },		/* zero width space */
	{ "\xe2\x96\x88\xe2\xa3\xbf", 2 },	/* full block, braille */
	{ "\xe2\x94\x80\xe2\x94\x82", 2 },	/* box drawing */
	{ "\t\x1b[31m", 4 },			/* control characters have none */
	{ "\xff\xfe", 2 },			/* each bad byte shows one replacement */
};

START_TEST(test_width)
{
	ck_assert_uint_eq(text_width(widths[_i].text), widths[_i].width);
}
END_TEST

/* Random text of all widths, bad bytes among it. */
static void random_text(struct buf *b, uint64_t *seed)
{
	static const uint32_t kinds[] = {
		'a', ' ', 0xb0, 0x3bb, 0x301, 0x6cb9, 0xd55c, 0x1f697, 0x200b, 0x2588, 0x28ff, 0xfeff,
	};
	int n = rng_below(seed, 24);
	char utf8[4];

	buf_clear(b);
	buf_puts(b, "");
	while (n-- > 0) {
		if (rng_below(seed, 8) == 0)
			buf_putc(b, (char)(0x80 + rng_below(seed, 0x80)));
		else
			buf_add(b, utf8, text_encode(kinds[rng_below(seed, COUNT(kinds))], utf8));
	}
}

/* The cut fits, ends on a character, and is the longest that fits. */
START_TEST(test_fit_and_pad)
{
	struct buf b = BUF_INIT;
	struct buf out = BUF_INIT;
	uint64_t seed = 21;
	int i;

	for (i = 0; i < 20000; i++) {
		const size_t cells = (size_t)rng_below(&seed, 30);
		size_t fit, at = 0;
		char *cut;

		random_text(&b, &seed);
		fit = text_fit(b.data, cells);
		cut = mem_strndup(b.data, fit);
		ck_assert_uint_le(text_width(cut), cells);
		while (at < fit) {
			uint32_t cp;

			at += text_decode(b.data + at, b.len - at, &cp);
		}
		ck_assert_uint_eq(at, fit);
		if (fit < b.len) {
			uint32_t cp;

			text_decode(b.data + fit, b.len - fit, &cp);
			ck_assert_uint_gt(text_width(cut) + (size_t)text_char_width(cp), cells);
		}
		buf_clear(&out);
		buf_puts(&out, "before|");
		text_pad(&out, b.data, cells);
		ck_assert_uint_eq(text_width(out.data), 7 + cells);
		ck_assert_mem_eq(out.data + 7, cut, fit);
		free(cut);
	}
	buf_release(&b);
	buf_release(&out);
}
END_TEST

START_TEST(test_pad_cases)
{
	struct buf b = BUF_INIT;

	text_pad(&b, "", 3);
	ck_assert_str_eq(b.data, "   ");
	buf_clear(&b);
	text_pad(&b, "abc", 0);
	ck_assert_str_eq(b.data, "");
	text_pad(&b, "\xe6\xb2\xb9\xe6\xb8\xa9", 3);	/* half an ideograph does not go */
	ck_assert_str_eq(b.data, "\xe6\xb2\xb9 ");
	buf_release(&b);
}
END_TEST

/* Too long a name loses its middle; both ends stay, and it fits. */
static const struct {
	const char *text;
	size_t cells;
	const char *want;
} squeezed[] = {
	{ "before.csv", 10, "before.csv" }, { "before.csv", 20, "before.csv" },
	{ "before-the-work.csv", 12, "befor..k.csv" }, { "abcdefgh", 4, "a..h" },
	{ "abcdefgh", 3, "abc" }, { "abcdefgh", 1, "a" }, { "abcdefgh", 0, "" }, { "", 5, "" },
	{ "\xe6\xb2\xb9\xe6\xb8\xa9\xe6\xb2\xb9\xe6\xb8\xa9", 6,
	  "\xe6\xb2\xb9..\xe6\xb8\xa9" },
};

START_TEST(test_squeeze)
{
	struct buf b = BUF_INIT;

	buf_puts(&b, "|");
	text_squeeze(&b, squeezed[_i].text, squeezed[_i].cells);
	ck_assert_str_eq(b.data + 1, squeezed[_i].want);
	buf_release(&b);
}
END_TEST

START_TEST(test_squeeze_random)
{
	struct buf b = BUF_INIT;
	struct buf out = BUF_INIT;
	uint64_t seed = 25;
	int i;

	for (i = 0; i < 20000; i++) {
		const size_t cells = (size_t)rng_below(&seed, 30);

		random_text(&b, &seed);
		buf_clear(&out);
		buf_puts(&out, "");
		text_squeeze(&out, b.data, cells);
		ck_assert_msg(text_width(out.data) <= cells, "'%s' in %zu cells is '%s'", b.data,
			      cells, out.data);
		if (text_width(b.data) <= cells)
			ck_assert_str_eq(out.data, b.data);
	}
	buf_release(&b);
	buf_release(&out);
}
END_TEST

/* Whatever a file holds, nothing that a terminal obeys comes out. */
START_TEST(test_sanitise_random)
{
	struct buf b = BUF_INIT;
	uint64_t seed = 31;
	int i;

	for (i = 0; i < 5000; i++) {
		char bytes[64];
		const size_t n = (size_t)rng_below(&seed, sizeof bytes);
		size_t k;

		for (k = 0; k < n; k++)
			bytes[k] = (char)rng_below(&seed, rng_below(&seed, 2) ? 256 : 48);
		buf_clear(&b);
		buf_puts(&b, "");
		text_sanitise(&b, bytes, n);
		ck_assert(text_is_utf8(b.data, b.len));
		for (k = 0; k < b.len;) {
			uint32_t cp;

			k += text_decode(b.data + k, b.len - k, &cp);
			ck_assert(cp >= 0x20 && !(cp >= 0x7f && cp < 0xa0));
		}
	}
	buf_release(&b);
}
END_TEST

START_TEST(test_sanitise_cases)
{
	static const char dirty[] = "a\x1b]0;x\x07 \x9b" "31m\r\n\t\0z \xc2\x9b \xc2\xb0" "C\x7f";
	struct buf b = BUF_INIT;

	text_sanitise(&b, dirty, sizeof dirty - 1);
	ck_assert_str_eq(b.data, "a ]0;x  \xef\xbf\xbd" "31m    z   \xc2\xb0" "C ");
	/* what breaks a line or turns the direction of text (UAX #9) */
	buf_clear(&b);
	text_sanitise(&b, "a\xe2\x80\xa8" "b\xe2\x80\xae" "c\xe2\x81\xa6" "d", 13);
	ck_assert_str_eq(b.data, "a b c d");
	buf_clear(&b);
	text_sanitise_lines(&b, "one\x1b\n\ntwo\r\n");
	ck_assert_str_eq(b.data, "one \n\ntwo \n");
	buf_clear(&b);
	text_sanitise_lines(&b, "");
	ck_assert_str_eq(buf_text(&b), "");
	buf_release(&b);
}
END_TEST

static const struct {
	const char *text;
	const char *ascii;
} plain[] = {
	{ "", "" }, { "kPa", "kPa" }, { "\xc2\xb0" "C", "degC" }, { "\xc2\xb5s", "us" },
	{ "\xce\xbcs", "us" }, { "\xce\xbb", "lambda" }, { "m/s\xc2\xb2", "m/s2" },
	{ "5\xe2\x80\x93" "6", "5-6" }, { "\xe2\x88\x92" "3", "-3" }, { "\xc3\xbc", "ue" },
	{ "e\xcc\x81", "e" },			/* a combining mark goes */
	{ "\xe6\xb2\xb9", "?" }, { "\xff", "?" },
};

START_TEST(test_to_ascii)
{
	struct buf b = BUF_INIT;
	size_t i;

	text_to_ascii(&b, plain[_i].text);
	ck_assert_str_eq(buf_text(&b), plain[_i].ascii);
	for (i = 0; i < b.len; i++)
		ck_assert_int_lt((unsigned char)b.data[i], 0x80);
	buf_release(&b);
}
END_TEST

START_TEST(test_compare)
{
	ck_assert_int_eq(text_casecmp("Boost", "bOOST"), 0);
	ck_assert_int_eq(text_casecmp("AZ@[", "az@["), 0);
	ck_assert_int_ne(text_casecmp("@", "`"), 0);
	ck_assert_int_ne(text_casecmp("[", "{"), 0);
	ck_assert_int_lt(text_casecmp("boost", "boost 2"), 0);
	ck_assert_int_gt(text_casecmp("b", "A"), 0);
	ck_assert_int_lt(text_casecmp("", "a"), 0);
	ck_assert_int_ne(text_casecmp("\xc3\x84", "\xc3\xa4"), 0);	/* ASCII only */
	ck_assert_int_gt(text_casecmp("\xc3", "z"), 0);		/* bytes are not negative */
}
END_TEST

static const struct {
	const char *hay;
	const char *needle;
	bool found;
} searches[] = {
	{ "Knock retard cyl 3", "knock 3", true }, { "Knock retard cyl 3", "3 KNOCK", true },
	{ "Knock retard cyl 3", "knock 4", false }, { "boost", "", true }, { "", "", true },
	{ "boost", "   ", true }, { "", "a", false }, { "boost", "boostx", false },
	{ "aab", "ab", true }, { "boost", " oo  st ", true },
};

START_TEST(test_matches)
{
	ck_assert_int_eq(text_matches(searches[_i].hay, searches[_i].needle), searches[_i].found);
}
END_TEST

Suite *text_suite(void)
{
	Suite *s = suite_create("text");
	TCase *t = tcase_create("text");

	tcase_set_timeout(t, 60);
	tcase_add_test(t, test_every_character);
	tcase_add_loop_test(t, test_invalid, 0, COUNT(invalid));
	tcase_add_loop_test(t, test_width, 0, COUNT(widths));
	tcase_add_test(t, test_fit_and_pad);
	tcase_add_test(t, test_pad_cases);
	tcase_add_loop_test(t, test_squeeze, 0, COUNT(squeezed));
	tcase_add_test(t, test_squeeze_random);
	tcase_add_test(t, test_sanitise_random);
	tcase_add_test(t, test_sanitise_cases);
	tcase_add_loop_test(t, test_to_ascii, 0, COUNT(plain));
	tcase_add_test(t, test_compare);
	tcase_add_loop_test(t, test_matches, 0, COUNT(searches));
	suite_add_tcase(s, t);
	return s;
}
