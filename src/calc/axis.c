/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The axis map: position along the screen <-> time of the log. */
#include "calc/axis.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"

static const struct {
	const char *name;
	const char *unit;
} kinds[] = {
	[AXIS_TIME] = { "time", "s" },
	[AXIS_RPM] = { "rpm", "rpm" },
};

const char *axis_name(enum axis_kind kind)
{
	return kinds[kind].name;
}

const char *axis_unit(enum axis_kind kind)
{
	return kinds[kind].unit;
}

void axis_map_release(struct axis_map *m)
{
	free(m->position);
	free(m->time);
	*m = (struct axis_map)AXIS_MAP_INIT;
}

void axis_map_copy(struct axis_map *out, const struct axis_map *m)
{
	const size_t bytes = m->n * sizeof *m->time;

	*out = *m;
	out->position = mem_array(m->n, sizeof *m->position);
	out->time = mem_array(m->n, sizeof *m->time);
	if (m->n > 0) {
		memcpy(out->position, m->position, bytes);
		memcpy(out->time, m->time, bytes);
	}
}

void axis_map_time(struct axis_map *m, double from_s, double to_s, double zero)
{
	*m = (struct axis_map)AXIS_MAP_INIT;
	m->kind = AXIS_TIME;
	m->zero = zero;
	if (!(to_s > from_s))
		return;
	m->n = 2;
	m->position = mem_array(2, sizeof *m->position);
	m->time = mem_array(2, sizeof *m->time);
	m->time[0] = from_s;
	m->time[1] = to_s;
	m->position[0] = from_s - zero;
	m->position[1] = to_s - zero;
}

/* A run of equal fitted values while violators are pooled. */
struct block {
	double sum;
	double weight;
	size_t count;
};

static bool falls(const struct block *earlier, const struct block *later)
{
	return earlier->sum / earlier->weight >= later->sum / later->weight;
}

enum err_code axis_isotonic(double *y, const double *weight, size_t n, struct err *e)
{
	struct block *blocks = mem_try_array(n, sizeof *blocks);
	size_t top = 0;
	size_t out = 0;
	size_t i;

	if (blocks == NULL)
		return err_set(e, ERR_MEMORY, "out of memory for a fit of %zu samples", n);
	for (i = 0; i < n; i++) {
		const double w = weight == NULL ? 1.0 : weight[i];

		blocks[top++] = (struct block){ y[i] * w, w, 1 };
		while (top > 1 && falls(&blocks[top - 2], &blocks[top - 1])) {
			blocks[top - 2].sum += blocks[top - 1].sum;
			blocks[top - 2].weight += blocks[top - 1].weight;
			blocks[top - 2].count += blocks[top - 1].count;
			top--;
		}
	}
	for (i = 0; i < top; i++) {
		const double level = blocks[i].sum / blocks[i].weight;
		size_t k;

		for (k = 0; k < blocks[i].count; k++)
			y[out++] = level;
	}
	free(blocks);
	return ERR_NONE;
}

/*
 * Knots from the fitted steps: each level stands at the middle of the time it
 * lasts; the first and last keep the pull's own ends so that nothing is lost.
 */
static void knots_from_levels(struct axis_map *m, const double *level, const double *t,
			      size_t n)
{
	size_t i = 0;

	while (i < n) {
		size_t j = i;
		double at;

		while (j + 1 < n && level[j + 1] <= level[i])
			j++;
		at = i == 0 ? t[0] : j == n - 1 ? t[n - 1] : 0.5 * (t[i] + t[j]);
		if (m->n == 0 || (at > m->time[m->n - 1] && level[i] > m->position[m->n - 1])) {
			m->position[m->n] = level[i];
			m->time[m->n] = at;
			m->n++;
		}
		i = j + 1;
	}
}

enum err_code axis_map_rpm(struct axis_map *m, const struct series *rpm, struct err *e)
{
	enum err_code code = ERR_NONE;
	double *level;

	*m = (struct axis_map)AXIS_MAP_INIT;
	m->kind = AXIS_RPM;
	level = mem_try_array(rpm->n, sizeof *level);
	m->position = mem_try_array(rpm->n, sizeof *m->position);
	m->time = mem_try_array(rpm->n, sizeof *m->time);
	if (level == NULL || m->position == NULL || m->time == NULL) {
		code = err_set(e, ERR_MEMORY, "out of memory for an axis of %zu samples", rpm->n);
		goto out;
	}
	if (rpm->n > 0)
		memcpy(level, rpm->v, rpm->n * sizeof *level);
	code = axis_isotonic(level, NULL, rpm->n, e);
	if (code != ERR_NONE)
		goto out;
	knots_from_levels(m, level, rpm->t, rpm->n);
	if (m->n < 2)
		code = err_set(e, ERR_DATA, "engine speed does not rise here, so it cannot be "
			       "the axis; use the time axis");
out:
	free(level);
	if (code != ERR_NONE)
		axis_map_release(m);
	return code;
}

/* Linear through the knots (x rising) at `at`; NaN outside them. */
static double through(const double *x, const double *y, size_t n, double at)
{
	size_t low = 0;
	size_t high = n - 1;

	if (n < 2 || isnan(at) || at < x[0] || at > x[n - 1])
		return NAN;
	while (high - low > 1) {
		const size_t middle = low + (high - low) / 2;

		if (x[middle] <= at)
			low = middle;
		else
			high = middle;
	}
	if (at == x[high])
		return y[high];
	/* rounding must not carry it past the knot */
	return fmin(y[low] + (y[high] - y[low]) * ((at - x[low]) / (x[high] - x[low])), y[high]);
}

/* at + by for `at` within x's ends, of which y's ends are exact; NaN outside them. */
static double shift(const double *x, const double *y, size_t n, double at, double by)
{
	if (n < 2 || !(at > x[0] && at < x[n - 1]))
		return through(x, y, n, at);
	return fmin(fmax(at + by, y[0]), y[n - 1]);
}

double axis_map_to_time(const struct axis_map *m, double position)
{
	if (m->kind == AXIS_TIME)
		return shift(m->position, m->time, m->n, position, m->zero);
	return through(m->position, m->time, m->n, position);
}

double axis_map_to_position(const struct axis_map *m, double time)
{
	if (m->kind == AXIS_TIME)
		return shift(m->time, m->position, m->n, time, -m->zero);
	return through(m->time, m->position, m->n, time);
}

double axis_map_from(const struct axis_map *m)
{
	return m->n == 0 ? NAN : m->position[0];
}

double axis_map_to(const struct axis_map *m)
{
	return m->n == 0 ? NAN : m->position[m->n - 1];
}
