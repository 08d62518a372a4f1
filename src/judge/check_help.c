/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the functions of several checks share. */
#include "judge/check_help.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/select.h"
#include "judge/measure.h"

#define HELD_ALIKE 0.7		/* of the values are held equally long */
#define HELD_STEPS 3.0		/* a held value moves on by so many of the smallest steps */
#define MAD_TO_SD 1.4826	/* of a normal distribution */
#define SAME 1e-9		/* of a value: closer values are equal */
#define MULTIPLE 0.02		/* of a step: what a multiple may be off by */
#define OTHER 0.1		/* of the differences that are not one step: else it is a ramp */

const struct channel *help_channel(const struct scene *s, enum quantity_id id)
{
	const struct check ask = { .needs = { { { id } } } };

	return scene_need(&ask, 0, s);
}

double help_highest(const struct series *s)
{
	double most = -INFINITY;
	size_t i;

	for (i = 0; i < s->n; i++)
		most = fmax(most, s->v[i]);
	return most;
}

double help_noise(double *bends, size_t n)
{
	return n == 0 ? 0.0 : MAD_TO_SD / sqrt(6.0) * select_median(bends, n);
}

/* Zero most of the time, then a few values: nothing to tell held ones by. */
static bool may_be_held(const struct channel *ch)
{
	const enum quantity_id id = ch->quantity->id;

	return id == Q_RPM || id == Q_BOOST || id == Q_MAP || id == Q_MAF || id == Q_LAMBDA ||
	       id == Q_AFR || id == Q_RAIL_PRESSURE;
}

bool help_held(const struct channel *ch, const struct series *s, double interval, double *held_s)
{
	double *steps, smallest = INFINITY, sum = 0.0, median;
	size_t alike = 0, changes = 0, from = 0, i;

	if (!may_be_held(ch) || s->n <= 3)
		return false;
	steps = mem_array(2 * s->n, sizeof *steps);
	for (i = 1; i < s->n; i++) {
		const double move = fabs(s->v[i] - s->v[i - 1]);

		if (move == 0.0)
			continue;
		smallest = fmin(smallest, move);
		sum += move;
		if (from > 0)
			steps[changes++] = s->t[i] - s->t[from];
		from = i;
	}
	/* engine speed moves all the time; of what it is the least step does not matter */
	if (ch->quantity->id == Q_RPM)
		smallest = 1.0;
	memcpy(steps + s->n, steps, changes * sizeof *steps);
	median = select_median(steps + s->n, changes);
	for (i = 0; i < changes; i++)
		alike += fabs(steps[i] - median) < 1.5 * interval;
	free(steps);
	if (changes < 3 || median < 1.5 * interval || (double)alike < HELD_ALIKE * (double)changes ||
	    sum / (double)(changes + 1) < HELD_STEPS * smallest)
		return false;
	*held_s = median;
	return true;
}

double help_interval(const struct series *s)
{
	return s->n < 3 ? INFINITY : s->hole / SERIES_HOLE_INTERVALS;
}

double help_step(const struct series *s)
{
	double step = INFINITY;
	size_t other = 0;
	size_t i;

	for (i = 1; i < s->n; i++) {
		const double d = fabs(s->v[i] - s->v[i - 1]);

		if (d > SAME * fabs(s->v[i]) && d < step)
			step = d;
	}
	if (isinf(step))
		return 0.0;
	for (i = 1; i < s->n; i++) {
		const double steps = fabs(s->v[i] - s->v[i - 1]) / step;

		if (fabs(steps - round(steps)) > MULTIPLE * fmax(1.0, steps))
			return 0.0;
		other += round(steps) != 1.0;
	}
	return (double)other > OTHER * (double)s->n ? step : 0.0;
}
