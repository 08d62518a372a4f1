/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Boost and its target, for the checks that need both. */
#ifndef JUDGE_CHECK_BOOST_H
#define JUDGE_CHECK_BOOST_H

#include "judge/measure.h"

/*
 * Boost and its target over the pull in kPa, both gauge or both absolute.  The channels are
 * NULL and the series empty where no two fit together.
 */
struct boost_pair {
	const struct channel *channel;
	struct series actual;
	struct series target;
};

/* Gauge where both are logged or derived, else absolute.  Fails only for memory. */
enum err_code boost_pair_load(struct boost_pair *p, const struct scene *s, struct err *e);
void boost_pair_release(struct boost_pair *p);

#endif
