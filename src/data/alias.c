/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Matching the words of a channel name against the aliases. */
#include "data/alias.h"

#include <string.h>

#include "base/text.h"

#define PER_WORD 10	/* a word asked for and there outweighs so many left over */

/* A word that says in what a value is; another quantity's cannot have it. */
static const struct {
	const char *word;
	enum dimension dims[2];
} hints[] = {
	{ "temperature", { DIM_TEMPERATURE, DIM_TEMPERATURE } },
	{ "pressure", { DIM_PRESSURE, DIM_PRESSURE } },
	{ "voltage", { DIM_VOLTAGE, DIM_VOLTAGE } },
	{ "speed", { DIM_SPEED, DIM_ANGULAR_SPEED } },
	{ "rpm", { DIM_ANGULAR_SPEED, DIM_FREQUENCY } },
	{ "torque", { DIM_TORQUE, DIM_TORQUE } },
	{ "power", { DIM_POWER, DIM_POWER } },
	{ "flow", { DIM_MASS_FLOW, DIM_VOLUME_FLOW } },
	{ "time", { DIM_TIME, DIM_TIME } },
	{ "angle", { DIM_ANGLE, DIM_ANGLE } },
	{ "distance", { DIM_LENGTH, DIM_LENGTH } },
};

static bool list_has(const char *list, const struct name_word *word)
{
	return word->len > 0 && text_has_word(list, word->text, word->len);
}

/* How many words of the list there are, or 0 when one is not among the words. */
static int count_needed(const char *list, const struct name_words *words)
{
	int count = 0;

	for (; *list != '\0'; list += text_word_step(list)) {
		if (!name_words_have(words, list, text_word(list)))
			return 0;
		count++;
	}
	return count;
}

/* False for a "temperature" in the name of what is not one. */
static bool hint_agrees(const struct name_word *word, const struct quantity *q)
{
	size_t i;

	for (i = 0; i < sizeof(hints) / sizeof(hints[0]); i++)
		if (strlen(hints[i].word) == word->len &&
		    memcmp(hints[i].word, word->text, word->len) == 0)
			return quantity_takes(q, hints[i].dims[0]) ||
			       quantity_takes(q, hints[i].dims[1]);
	return true;
}

/*
 * Points for an alias: PER_WORD for each word that it needs, less one for each
 * word left over; 0 when it does not match.
 */
static int score(const struct alias *a, const struct name_words *words)
{
	const struct quantity *q = quantity_get(a->id);
	const bool alone = (a->flags & (ALIAS_ALONE | ALIAS_UNIT)) != 0;
	int points = PER_WORD * count_needed(a->need, words);
	size_t i;

	if ((a->flags & ALIAS_NUMBERED) && words->index == 0)
		return 0;
	if ((a->flags & ALIAS_UNNUMBERED) && words->numbers > 0)
		return 0;
	for (i = 0; points > 0 && i < words->count; i++) {
		const struct name_word *word = &words->words[i];

		if (list_has(a->refuse, word))
			return 0;
		if (list_has(a->need, word) || list_has(a->allow, word))
			continue;
		if (word->role == WORD_CHANGER || !hint_agrees(word, q))
			return 0;
		if (word->role == WORD_FILLER)
			continue;
		if (alone)
			return 0;
		points--;
	}
	return points;
}

/* Letters beyond B number only pedal and throttle sensors (APP_D, TP_C). */
static int letter_for(enum quantity_id id, int letter)
{
	const bool lettered = id == Q_PEDAL || id == Q_THROTTLE;

	return letter <= 2 || lettered ? letter : 0;
}

struct name_match alias_match(const struct name_words *words, const struct unit *unit)
{
	struct name_match best = { Q_NONE, 0, NULL };
	int most = 0;
	size_t i;

	for (i = 0; i < alias_count(); i++) {
		const struct alias *a = alias_by_index(i);
		int points;

		if (unit == NULL ? (a->flags & ALIAS_UNIT) != 0 :
		    !quantity_fits(quantity_get(a->id), unit))
			continue;
		points = score(a, words);
		if (points > most) {
			most = points;
			best.id = a->id;
			best.alias = a->need;
		}
	}
	if (best.id != Q_NONE)
		best.index = words->index > 0 ? words->index :
			     letter_for(best.id, words->letter);
	return best;
}
