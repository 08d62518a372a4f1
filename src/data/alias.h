/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The aliases: which words of a channel name mean which quantity.
 */
#ifndef DATA_ALIAS_H
#define DATA_ALIAS_H

#include <stdbool.h>
#include <stddef.h>

#include "data/name_words.h"
#include "data/quantity.h"
#include "data/recognise.h"
#include "data/unit.h"

enum alias_flag {
	ALIAS_ALONE = 1,	/* no other word beside it but fillers */
	ALIAS_UNIT = 2,		/* only where a unit says what is meant; implies ALONE */
	ALIAS_NUMBERED = 4,	/* only with an index */
	ALIAS_UNNUMBERED = 8,	/* only without a number: "0-100 time" is no time of the log */
};

struct alias {
	enum quantity_id id;
	const char *need;	/* all of these words, in any order */
	const char *allow;	/* changers that leave the meaning as it is */
	const char *refuse;	/* words that make it another thing */
	unsigned flags;
};

/*
 * The best alias for these words: the one that explains most of them, the first
 * in the table among equals.  With a unit only quantities that fit it count.
 * Q_NONE when there is none.
 */
struct name_match alias_match(const struct name_words *words, const struct unit *unit);

size_t alias_count(void);
const struct alias *alias_by_index(size_t i);

#endif
