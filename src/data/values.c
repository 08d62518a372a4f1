/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A rough look at the values of a channel. */
#include "data/values.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/select.h"

#define MOST_SAMPLES 20000	/* looked at; of more only every so many-th */
#define CHUNK 1024
#define FAR_APART 32		/* rows between samples: cheaper to ask for them one by one */
#define NEAR_LOWEST 0.15	/* of the range: this much above its lowest is low load */
#define LEAST_TRAVEL 0.4	/* a pedal that moves less of its range tells nothing */
#define IDLE_RPM 1300.0		/* common practice, no source: above it is not idle */

/* Samples taken from a column. */
struct taken {
	double *v;
	size_t n;
	const struct low_load *only;	/* rows that count, or NULL for all */
};

static void take(struct taken *t, size_t row, double v)
{
	if (t->only == NULL || (row < t->only->rows && t->only->is[row]))
		t->v[t->n++] = v;
}

/* Every step-th of rows that are all there. */
static void take_rows(struct taken *t, const struct column *c, size_t step)
{
	const size_t rows = column_rows(c);
	double chunk[CHUNK];
	size_t first = 0;
	size_t row;

	for (row = 0; row < rows; row += step) {
		if (step >= FAR_APART) {
			take(t, row, column_at(c, row));
			continue;
		}
		if (row == 0 || row >= first + CHUNK) {
			first = row;
			column_get(c, first, rows - first < CHUNK ? rows - first : CHUNK, chunk);
		}
		take(t, row, chunk[row - first]);
	}
}

/* Every step-th of the samples that are not missing. */
static void take_samples(struct taken *t, const struct column *c, size_t step)
{
	struct column_walk walk;
	size_t left = 0;	/* to pass over */
	size_t row;
	double v;

	column_walk_init(&walk, c);
	for (row = 0; column_walk_next(&walk, &v); row++) {
		if (isnan(v))
			continue;
		if (left == 0) {
			take(t, row, v);
			left = step;
		}
		left--;
	}
}

/* The value that a share p of the others is below; v is kept, work is not. */
static double nearest(const double *v, size_t n, double p, double *work)
{
	memcpy(work, v, n * sizeof(*v));
	return select_nth(work, n, (size_t)(p * (double)(n - 1) + 0.5), NULL);
}

void values_look_at(struct values *out, const struct column *c, const struct low_load *only)
{
	const size_t step = column_samples(c) / MOST_SAMPLES + 1;
	const size_t room = column_samples(c) / step + 1;
	struct taken t = { NULL, 0, only == NULL || only->is == NULL ? NULL : only };
	double *work;

	*out = (struct values){ 0, NAN, NAN, NAN };
	if (column_samples(c) == 0)
		return;
	t.v = mem_array(2 * room, sizeof(*t.v));
	work = t.v + room;
	if (column_samples(c) == column_rows(c))
		take_rows(&t, c, step);
	else
		take_samples(&t, c, step);
	out->n = t.n;
	if (t.n > 0) {
		out->low = nearest(t.v, t.n, 0.01, work);
		out->mid = nearest(t.v, t.n, 0.5, work);
		out->high = nearest(t.v, t.n, 0.99, work);
	}
	free(t.v);
}

void values_look(struct values *out, const struct column *c)
{
	values_look_at(out, c, NULL);
}

/*
 * What marks low load, and below which value: false when this channel cannot
 * tell.  A pedal must have moved; engine speed must have come near idle.
 */
static bool low_mark(const struct channel *ch, double *below)
{
	struct values v;

	if (ch == NULL || column_kind(ch->column) != COLUMN_NUMBER)
		return false;
	values_look(&v, ch->column);
	if (ch->quantity->id == Q_RPM) {
		*below = IDLE_RPM / (ch->unit != NULL ? ch->unit->factor : 1);
		return v.low <= *below;
	}
	*below = v.low + NEAR_LOWEST * (v.high - v.low);
	return v.high - v.low > LEAST_TRAVEL * fabs(v.high);
}

void low_load_init(struct low_load *out, const struct datalog *log)
{
	static const enum quantity_id tellers[] = { Q_PEDAL, Q_THROTTLE, Q_RPM };
	const struct channel *ch = NULL;
	struct column_walk walk;
	double below = NAN;
	bool low = false;
	size_t i;
	double v;

	*out = (struct low_load){ 0, NULL };
	for (i = 0; i < sizeof(tellers) / sizeof(tellers[0]); i++) {
		ch = datalog_find(log, tellers[i]);
		if (low_mark(ch, &below))
			break;
	}
	if (i == sizeof(tellers) / sizeof(tellers[0]))
		return;
	out->is = mem_try_array(column_rows(ch->column), 1);
	if (out->is == NULL)
		return;
	out->rows = column_rows(ch->column);
	column_walk_init(&walk, ch->column);
	for (i = 0; column_walk_next(&walk, &v); i++) {
		/* Between samples of a channel polled in turn the last one holds. */
		if (!isnan(v))
			low = v <= below;
		out->is[i] = low;
	}
}

void low_load_release(struct low_load *l)
{
	free(l->is);
	*l = (struct low_load){ 0, NULL };
}
