/* SPDX-License-Identifier: GPL-3.0-or-later */
/* UTF-8 text. */
#include "base/text.h"

#include <string.h>

struct range {
	uint32_t first;
	uint32_t last;
};

/* Zero-width blocks (combining marks, joiners); from the Unicode character classes. */
static const struct range zero_width[] = {
	{ 0x0300, 0x036f }, { 0x0483, 0x0489 }, { 0x0591, 0x05bd },
	{ 0x0610, 0x061a }, { 0x064b, 0x065f }, { 0x0900, 0x0902 },
	{ 0x1ab0, 0x1aff }, { 0x1dc0, 0x1dff }, { 0x200b, 0x200f },
	{ 0x2028, 0x202e }, { 0x2060, 0x206f }, { 0x20d0, 0x20ff },
	{ 0xfe00, 0xfe0f }, { 0xfe20, 0xfe2f }, { 0xfeff, 0xfeff },
};

/* Two-cell blocks, after UAX #11 (East Asian Width W and F). */
static const struct range two_wide[] = {
	{ 0x1100, 0x115f }, { 0x231a, 0x231b }, { 0x2329, 0x232a },
	{ 0x23e9, 0x23ec }, { 0x2e80, 0x303e }, { 0x3041, 0x33ff },
	{ 0x3400, 0x4dbf }, { 0x4e00, 0x9fff }, { 0xa000, 0xa4cf },
	{ 0xac00, 0xd7a3 }, { 0xf900, 0xfaff }, { 0xfe30, 0xfe6f },
	{ 0xff00, 0xff60 }, { 0xffe0, 0xffe6 }, { 0x1f300, 0x1f64f },
	{ 0x1f680, 0x1f6ff }, { 0x1f900, 0x1f9ff }, { 0x20000, 0x3fffd },
};

static const struct {
	uint32_t cp;
	const char *plain;
} plain_words[] = {
	{ 0x00b0, "deg" }, { 0x00b2, "2" }, { 0x00b3, "3" }, { 0x00b7, "." },
	{ 0x00b5, "u" }, { 0x03bc, "u" }, { 0x03bb, "lambda" }, { 0x00d7, "x" },
	{ 0x2013, "-" }, { 0x2014, "-" }, { 0x2212, "-" }, { 0x2019, "'" },
	{ 0x00e4, "ae" }, { 0x00f6, "oe" }, { 0x00fc, "ue" }, { 0x00df, "ss" },
	{ 0x00e9, "e" }, { 0x00e8, "e" }, { 0x0394, "D" },
};

#define LENGTH(a) (sizeof(a) / sizeof((a)[0]))

static bool in_ranges(uint32_t cp, const struct range *r, size_t n)
{
	size_t i;

	for (i = 0; i < n; i++)
		if (cp >= r[i].first && cp <= r[i].last)
			return true;
	return false;
}

size_t text_decode(const char *s, size_t n, uint32_t *cp)
{
	static const uint32_t least[5] = { 0, 0, 0x80, 0x800, 0x10000 };
	const unsigned char *u = (const unsigned char *)s;
	size_t len = u[0] < 0x80 ? 1 : u[0] >= 0xf0 ? 4 : u[0] >= 0xe0 ? 3 : 2;
	uint32_t v;
	size_t i;

	*cp = u[0];
	if (len == 1)
		return 1;
	*cp = TEXT_REPLACEMENT;
	if (u[0] < 0xc2 || u[0] > 0xf4 || len > n)
		return 1;
	v = u[0] & (0xffu >> (len + 1));
	for (i = 1; i < len; i++) {
		if ((u[i] & 0xc0) != 0x80)
			return 1;
		v = v << 6 | (u[i] & 0x3fu);
	}
	if (v < least[len] || v > 0x10ffff || (v >= 0xd800 && v <= 0xdfff))
		return 1;
	*cp = v;
	return len;
}

size_t text_encode(uint32_t cp, char out[4])
{
	if (cp < 0x80) {
		out[0] = (char)cp;
		return 1;
	}
	if (cp < 0x800) {
		out[0] = (char)(0xc0 | cp >> 6);
		out[1] = (char)(0x80 | (cp & 0x3f));
		return 2;
	}
	if (cp < 0x10000) {
		out[0] = (char)(0xe0 | cp >> 12);
		out[1] = (char)(0x80 | (cp >> 6 & 0x3f));
		out[2] = (char)(0x80 | (cp & 0x3f));
		return 3;
	}
	out[0] = (char)(0xf0 | cp >> 18);
	out[1] = (char)(0x80 | (cp >> 12 & 0x3f));
	out[2] = (char)(0x80 | (cp >> 6 & 0x3f));
	out[3] = (char)(0x80 | (cp & 0x3f));
	return 4;
}

bool text_is_utf8(const char *s, size_t n)
{
	size_t i = 0;
	uint32_t cp;

	while (i < n) {
		const size_t len = text_decode(s + i, n - i, &cp);

		if (len == 1 && (unsigned char)s[i] >= 0x80)
			return false;
		i += len;
	}
	return true;
}

int text_char_width(uint32_t cp)
{
	if (cp < 0x20 || (cp >= 0x7f && cp < 0xa0))
		return 0;
	if (cp < 0x300)
		return 1;
	if (in_ranges(cp, zero_width, LENGTH(zero_width)))
		return 0;
	return in_ranges(cp, two_wide, LENGTH(two_wide)) ? 2 : 1;
}

size_t text_width(const char *s)
{
	const size_t n = strlen(s);
	size_t cells = 0;
	size_t i = 0;
	uint32_t cp;

	while (i < n) {
		i += text_decode(s + i, n - i, &cp);
		cells += (size_t)text_char_width(cp);
	}
	return cells;
}

size_t text_fit(const char *s, size_t cells)
{
	const size_t n = strlen(s);
	size_t used = 0;
	size_t i = 0;
	uint32_t cp;

	while (i < n) {
		const size_t len = text_decode(s + i, n - i, &cp);

		used += (size_t)text_char_width(cp);
		if (used > cells)
			break;
		i += len;
	}
	return i;
}

/* Neither a control character nor one that breaks lines or turns text round (UAX #9). */
static bool is_printable(uint32_t cp)
{
	static const struct range unsafe[] = {
		{ 0x00, 0x1f }, { 0x7f, 0x9f }, { 0x2028, 0x202e }, { 0x2066, 0x2069 },
	};

	return !in_ranges(cp, unsafe, LENGTH(unsafe));
}

void text_sanitise(struct buf *out, const char *s, size_t n)
{
	size_t i = 0;
	uint32_t cp;
	char utf8[4];

	while (i < n) {
		i += text_decode(s + i, n - i, &cp);
		if (!is_printable(cp))
			cp = ' ';
		buf_add(out, utf8, text_encode(cp, utf8));
	}
}

void text_sanitise_lines(struct buf *out, const char *s)
{
	for (;;) {
		const size_t n = strcspn(s, "\n");

		text_sanitise(out, s, n);
		if (s[n] == '\0')
			return;
		buf_putc(out, '\n');
		s += n + 1;
	}
}

void text_pad(struct buf *out, const char *s, size_t cells)
{
	const size_t fit = text_fit(s, cells);
	char *cut;
	size_t width;

	buf_add(out, s, fit);
	cut = out->data + out->len - fit;
	width = text_width(cut);
	buf_pad(out, ' ', cells > width ? cells - width : 0);
}

void text_squeeze(struct buf *out, const char *s, size_t cells)
{
	const size_t width = text_width(s);
	const size_t tail = cells < 4 ? 0 : (cells - 2) / 2;
	uint32_t cp;
	size_t from;

	if (width <= cells) {
		buf_puts(out, s);
		return;
	}
	if (tail == 0) {
		buf_add(out, s, text_fit(s, cells));
		return;
	}
	from = text_fit(s, width - tail);
	if (text_width(s + from) > tail)	/* half of a wide character */
		from += text_decode(s + from, strlen(s + from), &cp);
	buf_add(out, s, text_fit(s, cells - 2 - tail));
	buf_puts(out, "..");
	buf_puts(out, s + from);
}

void text_to_ascii(struct buf *out, const char *s)
{
	const size_t n = strlen(s);
	size_t i = 0;
	uint32_t cp;

	while (i < n) {
		const char *word = "?";
		size_t k;

		i += text_decode(s + i, n - i, &cp);
		if (cp < 0x80) {
			buf_putc(out, (char)cp);
			continue;
		}
		for (k = 0; k < LENGTH(plain_words); k++)
			if (plain_words[k].cp == cp)
				word = plain_words[k].plain;
		if (text_char_width(cp) > 0)
			buf_puts(out, word);
	}
}

static int lower(char c)
{
	return c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : (unsigned char)c;
}

int text_casecmp(const char *a, const char *b)
{
	while (*a != '\0' && lower(*a) == lower(*b)) {
		a++;
		b++;
	}
	return lower(*a) - lower(*b);
}

static bool contains(const char *hay, const char *word, size_t n)
{
	for (; *hay != '\0'; hay++) {
		size_t i = 0;

		while (i < n && hay[i] != '\0' && lower(hay[i]) == lower(word[i]))
			i++;
		if (i == n)
			return true;
	}
	return n == 0;
}

/* A loop: strcspn() is made for longer texts, and names are looked up by the thousand. */
size_t text_word(const char *s)
{
	size_t n = 0;

	while (s[n] != '\0' && s[n] != ' ')
		n++;
	return n;
}

size_t text_word_step(const char *s)
{
	size_t n = text_word(s);

	while (s[n] == ' ')
		n++;
	return n;
}

bool text_has_word(const char *list, const char *word, size_t n)
{
	while (*list != '\0') {
		if (*list == *word && text_word(list) == n && memcmp(list, word, n) == 0)
			return true;
		while (*list != ' ' && *list != '\0')
			list++;
		while (*list == ' ')
			list++;
	}
	return false;
}

bool text_matches(const char *hay, const char *needle)
{
	while (*needle != '\0') {
		const size_t skip = strspn(needle, " ");
		const size_t n = strcspn(needle + skip, " ");

		if (!contains(hay, needle + skip, n))
			return false;
		needle += skip + n;
	}
	return true;
}
