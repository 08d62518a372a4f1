/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Settling by the values what name and unit leave open: which unit a channel
 * without one is in, gauge or absolute pressure, lambda or air-fuel ratio.
 *
 * The ranges are common practice, no source.
 */
#ifndef DATA_SETTLE_H
#define DATA_SETTLE_H

#include <stdbool.h>

#include "base/buf.h"
#include "data/datalog.h"
#include "data/values.h"

/*
 * In this order, because the later look at what the earlier found: targets are
 * held against the measured pressure, that against the barometric one.
 */
enum settle_stage {
	SETTLE_PLAIN,
	SETTLE_CHARGE,
	SETTLE_TARGET,
	SETTLE_STAGES
};

struct settle {
	const struct datalog *log;
	struct low_load low;	/* once has_low */
	bool has_low;
	struct values *seen;	/* [channels of the log], of those looked at; or NULL */
	bool *is_seen;
	bool us;	/* a channel without a unit is rather in one of the US */
};

enum settle_stage settle_stage(const struct quantity *q);

/* By SETTLE_CHARGE, what tells low load must have its unit. */
void settle_init(struct settle *s, const struct datalog *log, bool us);
void settle_release(struct settle *s);

/*
 * Looks at the values of channels that have wanted[channel], all at the same time; it
 * is not needed, only quicker.  settle_wants() tells for which it will be of use.
 */
void settle_look_ahead(struct settle *s, const bool *wanted);

/* The values of a channel, perhaps looked at before. */
struct values settle_look(const struct settle *s, const struct channel *ch);
bool settle_wants(const struct channel *ch, bool unit_given);

/*
 * Changes quantity and unit of a channel of numbers whose name has been matched, and
 * appends the reasons to `why`, each behind "; ".  Where no unit was given one is
 * assumed.  `gauge` is as from unit_find().
 */
void settle_channel(struct settle *s, struct channel *ch, bool unit_given, int gauge,
		    struct buf *why);

/* The unit that the values suggest for the quantity; NULL for none. */
const struct unit *settle_unit(const struct quantity *q, const struct values *v, bool us);

/*
 * Is the log in units of the US?  Some unit in it says so (mph, degrees Fahrenheit,
 * lbf ft) and none the contrary.  Before units are assumed.
 */
bool settle_is_us(const struct datalog *log);

#endif
