/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Which channel of A goes with which of B: the same quantity (and cylinder, bank
 * or sensor), otherwise the same name.  Words never go with numbers, nor units with
 * those of another dimension.  Both come in one unit: A's, or that of the system
 * asked for.
 */
#ifndef CALC_PAIRING_H
#define CALC_PAIRING_H

#include <stddef.h>

#include "base/err.h"
#include "calc/overlay.h"
#include "calc/samples.h"
#include "data/datalog.h"

struct pair {
	const struct channel *a;	/* one of them may be NULL */
	const struct channel *b;
	const struct unit *unit;	/* both are converted into it; NULL: none known */
};

struct pairing {
	struct pair *list;
	size_t count;
};

#define PAIRING_INIT { NULL, 0 }

/* In A's order, then what only B has.  Columns without any value are left out. */
void pairing_build(struct pairing *p, const struct datalog *a, const struct datalog *b,
		   enum unit_system system);
void pairing_release(struct pairing *p);

/* The channel that speaks for the pair: A's where there is one. */
const struct channel *pair_channel(const struct pair *p);

/* The unit's text as shown. */
const char *pair_unit(const struct pair *p, bool ascii);

/*
 * Keeps only what the comma-separated list names (datalog_channel() words, in the
 * list's order).  ERR_DATA for a word that neither log knows.
 */
enum err_code pairing_choose(struct pairing *p, const struct datalog *a,
			     const struct datalog *b, const char *list, struct err *e);

/*
 * Series of one side of a pair over the run's rows, in the pair's unit.  Its times are not to
 * be changed, and it must not outlive the log: see series_share(), also for `like`.
 */
enum err_code pair_load(const struct pair *p, const struct run *run, bool is_b,
			struct series *out, struct err *e);
enum err_code pair_load_like(const struct pair *p, const struct run *run, bool is_b,
			     const struct series *like, struct series *out, struct err *e);

/*
 * The same samples where they lie, if the channel has one in each row; false and nothing
 * otherwise.  The hole is left to the caller.
 */
bool pair_samples(const struct pair *p, const struct run *run, bool is_b, struct samples *out);

/* Does it hold words (states)?  There is no reckoning with them. */
bool pair_has_words(const struct pair *p);

/*
 * Each log numbers its words as they come.  Of a pair B's numbers are to be A's, and for words
 * that A has not, its own behind all of A's: changes the values of b to that.
 */
void pair_number_words(const struct pair *p, struct series *b);

/* The word of a value so numbered; NULL where the pair has numbers, or for NaN. */
const char *pair_word(const struct pair *p, double value);

/* How many decimals its values read well with. */
int pair_decimals(const struct pair *p);

#endif
