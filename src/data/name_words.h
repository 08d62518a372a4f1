/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The words of a channel name: split at blanks, signs, digits and camelCase, and
 * each brought to the one spelling that the alias table uses ("Cyl1_KnockRtd"
 * becomes cylinder, knock, retard with the index 1).
 */
#ifndef DATA_NAME_WORDS_H
#define DATA_NAME_WORDS_H

#include <stdbool.h>
#include <stddef.h>

#define NAME_WORDS 24	/* words of a name that are looked at */

enum word_role {
	WORD_UNKNOWN,	/* not in our vocabulary */
	WORD_SUBJECT,	/* says what is measured */
	WORD_FILLER,	/* changes nothing: "actual", "sensor", "cylinder" */
	WORD_CHANGER,	/* makes it another thing unless an alias asks for it: "target" */
};

struct name_word {
	const char *text;	/* in the vocabulary; "" for an unknown word */
	size_t len;
	enum word_role role;
};

struct name_words {
	struct name_word words[NAME_WORDS];
	size_t count;
	int index;		/* cylinder, bank (times 10, plus sensor), wheel or plain number */
	int letter;		/* A to F as 1 to 6, from a letter that stands alone; 0 for none */
	int numbers;		/* how many there are, of any size */
};

void name_words_split(struct name_words *out, const char *name);

/* Is the word (n bytes) among them? */
bool name_words_have(const struct name_words *words, const char *word, size_t n);

/* True when every word of the text is in our vocabulary, and there is one. */
bool name_words_all_known(const char *text);

#endif
