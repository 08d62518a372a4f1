/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A rough look at the values of a channel. */
#include "data/values.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "base/search.h"

#define MOST_SAMPLES 20000	/* looked at; of more only every so many-th */
#define CHUNK 1024
#define NEAR_LOWEST 0.15	/* of the range: this much above its lowest is low load */
#define LEAST_TRAVEL 0.4	/* a pedal that moves less of its range tells nothing */
#define IDLE_RPM 1300.0		/* common practice, no source: above it is not idle */

/* Walks the samples of a column that are not missing, skipping some of many. */
struct walk {
	const struct column *column;
	double chunk[CHUNK];
	size_t row;		/* of the next */
	size_t rows;
	size_t step;
	size_t skip;		/* samples to pass over before the next */
};

static void walk_init(struct walk *w, const struct column *c)
{
	w->column = c;
	w->row = 0;
	w->rows = column_rows(c);
	w->step = column_samples(c) / MOST_SAMPLES + 1;
	w->skip = 0;
}

/* The next sample and its row; false at the end. */
static bool walk_next(struct walk *w, double *v, size_t *row)
{
	while (w->row < w->rows) {
		const size_t at = w->row % CHUNK;
		const size_t left = w->rows - w->row;

		if (at == 0)
			column_get(w->column, w->row, left < CHUNK ? left : CHUNK, w->chunk);
		*row = w->row++;
		*v = w->chunk[at];
		if (isnan(*v))
			continue;
		if (w->skip == 0) {
			w->skip = w->step - 1;
			return true;
		}
		w->skip--;
	}
	return false;
}

static double percentile(double *v, size_t n, double p)
{
	return search_nth(v, n, (size_t)(p * (double)(n - 1) + 0.5));
}

void values_look_at(struct values *out, const struct column *c, const struct low_load *only)
{
	const bool all = only == NULL || only->is == NULL;
	struct walk w;
	double *v;
	size_t row;
	double x;

	*out = (struct values){ 0, NAN, NAN, NAN };
	if (column_samples(c) == 0)
		return;
	walk_init(&w, c);
	v = mem_array(column_samples(c) / w.step + 1, sizeof(*v));
	while (walk_next(&w, &x, &row))
		if (all || (row < only->rows && only->is[row]))
			v[out->n++] = x;
	if (out->n > 0) {
		out->low = percentile(v, out->n, 0.01);
		out->mid = percentile(v, out->n, 0.5);
		out->high = percentile(v, out->n, 0.99);
	}
	free(v);
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
