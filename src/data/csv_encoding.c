/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Encodings: guessing, and conversion to UTF-8. */
#include "data/csv_encoding.h"

#include <stdint.h>
#include <string.h>

#include "base/mem.h"
#include "base/text.h"

#define PATTERN_BYTES 4096	/* looked at for UTF-16 without a mark */
#define FEW_CONTROLS 4
#define CONTROL_BYTES 65536	/* looked at for control characters */
#define ASCII_STEP 128		/* bytes */

static const struct {
	enum csv_encoding encoding;
	size_t length;
	const char *bytes;
} marks[] = {
	{ CSV_UTF8, 3, "\xef\xbb\xbf" },
	{ CSV_UTF16LE, 2, "\xff\xfe" },
	{ CSV_UTF16BE, 2, "\xfe\xff" },
};

/* First bytes of what is often handed over in place of a log; from memory. */
static const struct {
	size_t length;
	const char *bytes;
	const char *what;
} magics[] = {
	{ 2, "\x1f\x8b", "a gzip archive, inside another or in a pipe that is followed: "
		       "unpack it first" },
	{ 4, "PK\x03\x04", "a ZIP archive or a spreadsheet workbook: "
			   "unpack it, or export it as CSV" },
	{ 4, "\xd0\xcf\x11\xe0", "an old spreadsheet workbook: export it as CSV" },
	{ 5, "%PDF-", "a PDF document: ask for the log itself" },
	{ 4, "\x89PNG", "a picture: ask for the log itself" },
	{ 3, "\xff\xd8\xff", "a picture: ask for the log itself" },
	{ 6, "7z\xbc\xaf\x27\x1c", "an archive: unpack it first" },
	{ 3, "BZh", "a bzip2 archive: unpack it first" },
	{ 6, "\xfd" "7zXZ", "an xz archive: unpack it first" },
	{ 4, "\x7f" "ELF", "a program" },
};

#define LENGTH(a) (sizeof(a) / sizeof((a)[0]))

static bool begins(const char *bytes, size_t n, const char *with, size_t length)
{
	return n >= length && memcmp(bytes, with, length) == 0;
}

/* +1 low byte first, -1 high byte first, 0 not UTF-16, by where the NULs are. */
static int utf16_pattern(const char *bytes, size_t n)
{
	const size_t pairs = (n < PATTERN_BYTES ? n : PATTERN_BYTES) / 2;
	size_t even = 0;
	size_t odd = 0;
	size_t i;

	for (i = 0; i < pairs; i++) {
		even += bytes[2 * i] == '\0';
		odd += bytes[2 * i + 1] == '\0';
	}
	if (pairs < 2)
		return 0;
	if (odd * 10 >= pairs * 7 && even * 10 < pairs)
		return 1;
	return even * 10 >= pairs * 7 && odd * 10 < pairs ? -1 : 0;
}

static uint64_t load_word(const char *s)
{
	uint64_t word;

	memcpy(&word, s, sizeof(word));
	return word;
}

/* Skips ASCII, many bytes at a step: logs are hardly anything else. */
static size_t skip_ascii(const char *s, size_t i, size_t n)
{
	size_t k;

	for (; i + ASCII_STEP <= n; i += ASCII_STEP) {
		uint64_t words = 0;

		for (k = 0; k < ASCII_STEP; k += sizeof(words))
			words |= load_word(s + i + k);
		if ((words & UINT64_C(0x8080808080808080)) != 0)
			break;
	}
	while (i < n && (unsigned char)s[i] < 0x80)
		i++;
	return i;
}

void csv_count_utf8(const char *s, size_t n, size_t *good, size_t *broken)
{
	size_t i = skip_ascii(s, 0, n);
	uint32_t cp;

	*good = 0;
	*broken = 0;
	while (i < n) {
		const size_t length = text_decode(s + i, n - i, &cp);

		if (length > 1)
			(*good)++;
		else
			(*broken)++;
		i = skip_ascii(s, i + length, n);
	}
}

enum csv_encoding csv_sniff_encoding(const char *bytes, size_t n, size_t *bom)
{
	size_t good;
	size_t broken;
	size_t i;
	int pattern;

	*bom = 0;
	for (i = 0; i < LENGTH(marks); i++) {
		if (begins(bytes, n, marks[i].bytes, marks[i].length)) {
			*bom = marks[i].length;
			return marks[i].encoding;
		}
	}
	pattern = utf16_pattern(bytes, n);
	if (pattern != 0)
		return pattern > 0 ? CSV_UTF16LE : CSV_UTF16BE;
	csv_count_utf8(bytes, n, &good, &broken);
	return broken > good ? CSV_LATIN1 : CSV_UTF8;
}

const char *csv_encoding_name(enum csv_encoding encoding)
{
	static const char *const names[] = {
		[CSV_UTF8] = "UTF-8",
		[CSV_LATIN1] = "ISO 8859-1 (Latin-1)",
		[CSV_UTF16LE] = "UTF-16, low byte first",
		[CSV_UTF16BE] = "UTF-16, high byte first",
	};

	return names[encoding];
}

static void add_char(struct buf *out, uint32_t cp)
{
	char utf8[4];

	buf_add(out, utf8, text_encode(cp == 0 ? ' ' : cp, utf8));
}

/* Text as it is, but for NUL. */
static void add_text(struct buf *out, const char *s, size_t n)
{
	char *at;

	buf_add(out, s, n);
	at = out->data + out->len - n;
	while ((at = memchr(at, '\0', (size_t)(out->data + out->len - at))) != NULL)
		*at = ' ';
}

static uint32_t utf16_unit(const unsigned char *p, bool low_first)
{
	return low_first ? p[0] | (uint32_t)p[1] << 8 : (uint32_t)p[0] << 8 | p[1];
}

static void from_utf16(const char *bytes, size_t n, bool low_first, struct buf *out)
{
	const unsigned char *p = (const unsigned char *)bytes;
	size_t i;

	for (i = 0; i + 1 < n; i += 2) {
		uint32_t cp = utf16_unit(p + i, low_first);
		const uint32_t next = i + 3 < n ? utf16_unit(p + i + 2, low_first) : 0;

		if (cp >= 0xd800 && cp < 0xdc00 && next >= 0xdc00 && next < 0xe000) {
			cp = 0x10000 + ((cp - 0xd800) << 10) + (next - 0xdc00);
			i += 2;
		} else if (cp >= 0xd800 && cp < 0xe000) {
			cp = TEXT_REPLACEMENT;
		}
		add_char(out, cp);
	}
	if (i < n)
		add_char(out, TEXT_REPLACEMENT);
}

static void from_latin1(const char *bytes, size_t n, struct buf *out)
{
	size_t i = 0;

	while (i < n) {
		const size_t run = skip_ascii(bytes, i, n) - i;

		add_text(out, bytes + i, run);
		i += run;
		if (i < n)
			add_char(out, (unsigned char)bytes[i++]);
	}
}


bool csv_to_utf8(enum csv_encoding encoding, const char *bytes, size_t n, struct buf *out)
{
	/* A byte of Latin-1 or UTF-8 grows to two at most, two of UTF-16 to three. */
	const size_t growth = encoding == CSV_UTF8 ? 1 : 2;

	if (n > SIZE_MAX / 4 || !mem_try_grow(&out->data, &out->cap,
					      out->len + growth * n + 5, 1))
		return false;
	if (encoding == CSV_UTF8)
		add_text(out, bytes, n);
	else if (encoding == CSV_LATIN1)
		from_latin1(bytes, n, out);
	else
		from_utf16(bytes, n, encoding == CSV_UTF16LE, out);
	return true;
}

/* Tab, line ends, form feed, and the end mark that some systems leave (SUB). */
static bool is_odd_control(unsigned char c)
{
	return c < 0x20 && (c < '\t' || c > '\r') && c != 0x1a;
}

/* Quicker than counting, and the answer for nearly all text. */
static bool has_control(const char *s, size_t n)
{
	unsigned char found = 0;
	size_t i;

	for (i = 0; i < n; i++)
		found |= is_odd_control((unsigned char)s[i]);
	return found != 0;
}

/*
 * More than a few characters, and one in fifty, are control ones.  A run of NULs counts once:
 * loggers that lose power leave blocks of them behind good rows.
 */
static bool has_many_controls(const char *s, size_t n)
{
	size_t odd = 0;
	size_t seen = 0;
	size_t i;

	n = n < CONTROL_BYTES ? n : CONTROL_BYTES;
	if (!has_control(s, n))
		return false;
	for (i = 0; i < n; i++) {
		const unsigned char c = (unsigned char)s[i];

		if (c == '\0' && i > 0 && s[i - 1] == '\0')
			continue;
		seen++;
		odd += is_odd_control(c);
	}
	return odd > FEW_CONTROLS && odd * 50 > seen;
}

/* Not UTF-8, and more than three bytes in ten beyond ASCII: no Latin-1 text either. */
static bool is_mostly_broken(const char *s, size_t n)
{
	const size_t part = n < CONTROL_BYTES ? n : CONTROL_BYTES;
	size_t good;
	size_t broken;

	csv_count_utf8(s, part, &good, &broken);
	return broken > good && broken * 10 > part * 3;
}

const char *csv_not_text(const char *bytes, size_t n)
{
	size_t bom;
	enum csv_encoding encoding;
	size_t i;

	for (i = 0; i < LENGTH(magics); i++)
		if (begins(bytes, n, magics[i].bytes, magics[i].length))
			return magics[i].what;
	encoding = csv_sniff_encoding(bytes, n < CONTROL_BYTES ? n : CONTROL_BYTES, &bom);
	if (encoding == CSV_UTF16LE || encoding == CSV_UTF16BE) {
		struct buf text = BUF_INIT;
		const size_t part = n - bom < PATTERN_BYTES ? n - bom : PATTERN_BYTES;
		const bool odd = csv_to_utf8(encoding, bytes + bom, part, &text) &&
				 has_many_controls(buf_text(&text), text.len);

		buf_release(&text);
		return odd ? "binary data" : NULL;
	}
	if (has_many_controls(bytes, n) || is_mostly_broken(bytes, n))
		return "binary data";
	return NULL;
}
