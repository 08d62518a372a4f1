/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Classifying cells. */
#include "data/csv_cells.h"

#include <math.h>
#include <string.h>

#include "base/num.h"

#define LONGEST_MISSING 10
#define LONGEST_SUFFIX 16
#define NO_BREAK_SPACE "\xc2\xa0"

#define LENGTH(a) (sizeof(a) / sizeof((a)[0]))

/* Common practice of loggers, spreadsheets and numeric libraries; no source. */
static const char *const missing_words[] = {
	"-", "--", "---", "----", "?", "*", ".", "nan", "-nan", "+nan", "nan(ind)", "-nan(ind)",
	"inf", "+inf", "-inf", "infinity", "-infinity", "+infinity", "n/a", "#n/a", "na", "n.a.",
	"null", "nil", "none", "1.#inf", "-1.#inf", "1.#qnan", "-1.#ind", "#value!", "#div/0!",
};

bool csv_cell_is(const char *s, size_t n, const char *word)
{
	size_t i;

	for (i = 0; i < n; i++) {
		const char c = s[i] >= 'A' && s[i] <= 'Z' ? (char)(s[i] - 'A' + 'a') : s[i];

		if (word[i] == '\0' || c != word[i])
			return false;
	}
	return word[n] == '\0';
}

static bool is_missing_word(const char *s, size_t n)
{
	size_t i;

	if (n > LONGEST_MISSING)
		return false;
	for (i = 0; i < LENGTH(missing_words); i++)
		if (csv_cell_is(s, n, missing_words[i]))
			return true;
	return false;
}

static bool is_digit(char c)
{
	return c >= '0' && c <= '9';
}

static bool is_letter(char c)
{
	return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (unsigned char)c >= 0x80;
}

/* Length of the blank at s, 0 when there is none: space, tab, no-break space. */
static size_t blank_at(const char *s, size_t n)
{
	if (n >= 1 && (*s == ' ' || *s == '\t'))
		return 1;
	return n >= 2 && memcmp(s, NO_BREAK_SPACE, 2) == 0 ? 2 : 0;
}

/* Length of the plain decimal that s begins with; exponents are not looked for. */
static size_t leading_number(const char *s, size_t n, char decimal)
{
	size_t i = 0;

	if (n > 0 && (s[0] == '-' || s[0] == '+'))
		i++;
	while (i < n && (is_digit(s[i]) || s[i] == decimal))
		i++;
	return i;
}

/* "100kPa": a number, perhaps a blank, then a unit that begins with a letter or %. */
static bool read_suffixed(const char *s, size_t n, char decimal, struct csv_value *v)
{
	const size_t number = leading_number(s, n, decimal);
	size_t at = number;
	size_t i;

	while (blank_at(s + at, n - at) > 0)
		at += blank_at(s + at, n - at);
	if (at == n || n - at > LONGEST_SUFFIX || !(is_letter(s[at]) || s[at] == '%'))
		return false;
	for (i = at; i < n; i++)
		if (strchr(",;|:\t", s[i]) != NULL)
			return false;
	v->suffix = s + at;
	v->suffix_length = n - at;
	return num_parse(s, number, decimal, &v->number, &v->decimals);
}

static void trim(const char **s, size_t *n)
{
	size_t skip;

	while ((skip = blank_at(*s, *n)) > 0) {
		*s += skip;
		*n -= skip;
	}
	for (;;) {
		if (*n >= 1 && blank_at(*s + *n - 1, 1) > 0)
			*n -= 1;
		else if (*n >= 2 && blank_at(*s + *n - 2, 2) == 2)
			*n -= 2;
		else
			break;
	}
}

enum csv_cell_kind csv_cell_settle(enum csv_cell_kind kind, bool decimal_sure)
{
	if (kind != CSV_CELL_GROUPED)
		return kind;
	return decimal_sure ? CSV_CELL_NUMBER : CSV_CELL_WORD;
}

enum csv_cell_kind csv_cell_read(const char *s, size_t n, char decimal, struct csv_value *v)
{
	bool is_number = num_parse(s, n, decimal, &v->number, &v->decimals);

	v->group = CSV_GROUP_NONE;
	if (!is_number) {
		trim(&s, &n);
		if (n == 0)
			return CSV_CELL_EMPTY;
		is_number = num_parse(s, n, decimal, &v->number, &v->decimals);
	}
	if (is_number)
		return isinf(v->number) ? CSV_CELL_MISSING : CSV_CELL_NUMBER;
	if (is_missing_word(s, n))
		return CSV_CELL_MISSING;
	if (!is_digit(*s) && *s != '-' && *s != '+' && *s != decimal)
		return CSV_CELL_WORD;
	v->group = csv_group_parse(s, n, decimal, &v->number, &v->decimals);
	if (v->group != CSV_GROUP_NONE)
		return v->group == CSV_GROUP_SURE ? CSV_CELL_NUMBER : CSV_CELL_GROUPED;
	v->form = clock_parse(s, n, &v->stamp);
	if (v->form != CLOCK_NONE)
		return CSV_CELL_CLOCK;
	return read_suffixed(s, n, decimal, v) ? CSV_CELL_SUFFIXED : CSV_CELL_WORD;
}
