/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The words of a channel name. */
#include "data/name_words.h"

#include <string.h>

#include "base/text.h"
#include "data/vocabulary.h"

#define RUN 48		/* letters of one run that are looked at */
#define PIECE 3		/* shortest word that a run without gaps is cut into */

/* Numbers met on the way, by what stood before them. */
struct numbers {
	int cylinder;
	int bank;
	int sensor;
	int plain;
};

static bool is_upper(char c)
{
	return c >= 'A' && c <= 'Z';
}

static bool is_lower(char c)
{
	return c >= 'a' && c <= 'z';
}

static bool is_letter(char c)
{
	return is_upper(c) || is_lower(c);
}

static bool is_digit(char c)
{
	return c >= '0' && c <= '9';
}

static void add_word(struct name_words *out, const char *text, size_t len, enum word_role role)
{
	if (out->count == NAME_WORDS)
		return;
	out->words[out->count++] = (struct name_word){ text, len, role };
}

/* A letter that stands alone may number a thing: "TP_B", "WG_A". */
static void note_letter(struct name_words *out, char lower)
{
	if (lower >= 'a' && lower <= 'f')
		out->letter = lower - 'a' + 1;
}

/* Adds one spelling (lower case) if the vocabulary has it. */
static bool add_known(struct name_words *out, const char *s, size_t n)
{
	const struct vocabulary_short *brief = vocabulary_short(s, n);
	const struct vocabulary_term *term;
	const char *word;

	if (brief == NULL) {
		term = vocabulary_term(s, n);
		if (term != NULL)
			add_word(out, term->word, strlen(term->word), term->role);
		return term != NULL;
	}
	for (word = brief->words; *word != '\0'; ) {
		const size_t len = strcspn(word, " ");

		term = vocabulary_term(word, len);
		add_word(out, word, len, term != NULL ? term->role : WORD_UNKNOWN);
		if (len == 1)
			note_letter(out, *word);
		word += len + strspn(word + len, " ");
	}
	return true;
}

/* "oiltemp": cuts the run into known words, the longest first, or adds nothing. */
static bool add_pieces(struct name_words *out, const char *s, size_t n)
{
	const size_t before = out->count;
	size_t len;

	if (n == 0)
		return true;
	for (len = n; len >= PIECE; len--) {
		if (add_known(out, s, len)) {
			if (add_pieces(out, s + len, n - len))
				return true;
			out->count = before;
		}
	}
	return false;
}

static void add_piece(struct name_words *out, const char *s, size_t n)
{
	if (!add_known(out, s, n) && !add_pieces(out, s, n))
		add_word(out, "", 0, WORD_UNKNOWN);
}

/* Where the first camelCase word of the run ends: "oilTemp" 3, "EGTTemp" 3. */
static size_t camel_end(const char *s, size_t n)
{
	size_t i;

	for (i = 1; i < n; i++) {
		if (is_lower(s[i - 1]) && is_upper(s[i]))
			return i;
		if (is_upper(s[i - 1]) && is_upper(s[i]) && i + 1 < n && is_lower(s[i + 1]))
			return i;
	}
	return n;
}

/* A run of letters: whole if it is known, else by its capitals. */
static void add_run(struct name_words *out, const char *s, size_t n)
{
	char lower[RUN];
	size_t from = 0;
	size_t i;

	if (n > RUN)
		n = RUN;
	for (i = 0; i < n; i++)
		lower[i] = is_upper(s[i]) ? (char)(s[i] - 'A' + 'a') : s[i];
	if (add_known(out, lower, n))
		return;
	while (from < n) {
		const size_t len = camel_end(s + from, n - from);

		add_piece(out, lower + from, len);
		from += len;
	}
}

/* "O2", "HO2", "WBO2" are words, not a letter with a number. */
static bool ends_in_o2(const char *s, size_t letters)
{
	return letters <= 3 && s[letters] == '2' &&
	       (s[letters - 1] == 'O' || s[letters - 1] == 'o');
}

static bool last_is(const struct name_words *out, const char *word)
{
	const size_t n = strlen(word);
	const struct name_word *last;

	if (out->count == 0)
		return false;
	last = &out->words[out->count - 1];
	return last->len == n && memcmp(last->text, word, n) == 0;
}

static void note_number(struct numbers *numbers, const struct name_words *out, int value)
{
	if (last_is(out, "cylinder"))
		numbers->cylinder = value;
	else if (last_is(out, "bank") || last_is(out, "b"))
		numbers->bank = value;
	else if (last_is(out, "sensor"))
		numbers->sensor = value;
	else
		numbers->plain = value;
}

/* Reads the digits at s; 0 for what is too large to number a thing. */
static int read_number(const char *s, size_t *len)
{
	int value = 0;

	for (*len = 0; is_digit(s[*len]); (*len)++)
		value = value > 99 ? value : 10 * value + (s[*len] - '0');
	return value > 99 ? 0 : value;
}

/* Wheels: front left 1, front right 2, rear left 3, rear right 4. */
static int wheel_index(const struct name_words *words)
{
	const bool front = name_words_have(words, "front", 5);
	const bool rear = name_words_have(words, "rear", 4);
	const bool left = name_words_have(words, "left", 4);
	const bool right = name_words_have(words, "right", 5);

	if (front == rear || left == right)
		return 0;
	return (rear ? 3 : 1) + (right ? 1 : 0);
}

static int choose_index(const struct name_words *words, const struct numbers *numbers)
{
	if (numbers->cylinder > 0)
		return numbers->cylinder;
	if (numbers->bank > 0 && numbers->bank < 10 && numbers->sensor > 0)
		return 10 * numbers->bank + numbers->sensor;
	if (numbers->bank > 0)
		return numbers->bank;
	if (numbers->sensor > 0)
		return numbers->sensor;
	return numbers->plain > 0 ? numbers->plain : wheel_index(words);
}

void name_words_split(struct name_words *out, const char *name)
{
	struct numbers numbers = { 0, 0, 0, 0 };
	struct buf plain = BUF_INIT;
	const char *s;
	size_t len;

	*out = (struct name_words){ .count = 0 };
	text_to_ascii(&plain, name);
	for (s = buf_text(&plain); *s != '\0'; s += len) {
		len = 1;
		if (is_digit(*s)) {
			note_number(&numbers, out, read_number(s, &len));
			out->numbers++;
		} else if (is_letter(*s)) {
			while (is_letter(s[len]))
				len++;
			if (ends_in_o2(s, len))
				len++;
			add_run(out, s, len);
			if (len == 1 && !is_digit(s[1]))
				note_letter(out, (char)(*s | 0x20));
		}
	}
	out->index = choose_index(out, &numbers);
	buf_release(&plain);
}

bool name_words_have(const struct name_words *words, const char *word, size_t n)
{
	size_t i;

	for (i = 0; i < words->count; i++)
		if (words->words[i].len == n && words->words[i].text[0] == *word &&
		    memcmp(words->words[i].text, word, n) == 0)
			return true;
	return false;
}

bool name_words_all_known(const char *text)
{
	struct name_words words;
	size_t i;

	name_words_split(&words, text);
	for (i = 0; i < words.count; i++)
		if (words.words[i].role == WORD_UNKNOWN)
			return false;
	return words.count > 0;
}
