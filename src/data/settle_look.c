/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Looking at the values of many channels at the same time. */
#include <string.h>

#include "base/crew.h"
#include "base/mem.h"
#include "data/settle.h"

#define MANY_ROWS 20000		/* from here on threads are worth their while */

/* Every step-th of the channels from `first` on that are wanted. */
struct part {
	struct settle *s;
	size_t first;
	size_t step;
};

struct values settle_look(const struct settle *s, const struct channel *ch)
{
	const size_t i = (size_t)(ch - s->log->channels);
	struct values v;

	if (s->seen != NULL && s->is_seen[i])
		return s->seen[i];
	values_look(&v, ch->column);
	return v;
}

static void look_at_part(void *job)
{
	const struct part *p = job;
	size_t i;

	for (i = p->first; i < p->s->log->channel_count; i += p->step)
		if (p->s->is_seen[i])
			values_look(&p->s->seen[i], p->s->log->channels[i].column);
}

void settle_look_ahead(struct settle *s, const bool *wanted)
{
	const size_t count = s->log->channel_count;
	const size_t n = s->log->rows < MANY_ROWS ? 1 : crew_size();
	struct part parts[CREW_MOST];
	size_t i;

	s->seen = mem_array(count, sizeof(*s->seen));
	s->is_seen = mem_array(count, sizeof(*s->is_seen));
	memcpy(s->is_seen, wanted, count * sizeof(*wanted));
	for (i = 0; i < n; i++)
		parts[i] = (struct part){ s, i, n };
	crew_run(look_at_part, parts, sizeof(*parts), n);
}
