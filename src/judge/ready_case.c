/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Small things that every question of `ready` needs. */
#include "judge/ready_case.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/num.h"
#include "base/select.h"
#include "judge/check_help.h"

#define TEXT_ROOM 1024

void ready_say(struct ready_case *c, enum ready_result result, struct ready_words words,
	       const char *format, ...)
{
	struct ready_report *r = c->out;
	struct ready_line line = { c->row->id, result, words.value, words.unit, words.asked, NULL,
				   words.advice, words.owed };
	char text[TEXT_ROOM];
	va_list args;

	va_start(args, format);
	vsnprintf(text, sizeof text, format, args);
	va_end(args);
	line.text = mem_strdup(text);
	if (line.advice == NULL && (result == READY_WEAK || result == READY_FAIL))
		line.advice = mem_strdup(c->row->advice);
	mem_grow(&r->lines, &r->cap, r->count + 1, sizeof *r->lines);
	r->lines[r->count++] = line;
}

struct ready_words ready_words(double value, const char *unit)
{
	return (struct ready_words){ value, unit, NULL, NULL, false };
}

char *ready_place(const struct ready_case *c, double t)
{
	const double rpm = c->run == NULL ? NAN : scene_rpm(&c->scene, t);
	struct buf time = BUF_INIT;
	char *out;

	if (c->log->time_source == TIME_ROWS)
		return mem_printf("at row %zu", datalog_row_at(c->log, t) + 1);
	datalog_time_text(c->log, t, 2, &time);
	out = isnan(rpm) ? mem_printf("at %s s", buf_text(&time)) :
		mem_printf("at %.0f rpm (%s%s)", rpm, buf_text(&time),
			   c->log->time_of_day ? "" : " s");
	buf_release(&time);
	return out;
}

enum ready_result ready_worse(enum ready_result a, enum ready_result b)
{
	return a > b ? a : b;
}

enum ready_result ready_lacking(const struct ready_case *c)
{
	return c->setup->request->path != NULL ? READY_FAIL : READY_WEAK;
}

enum err_code ready_load(const struct ready_case *c, const struct channel *ch, const char *unit,
			 struct series *out, struct err *e)
{
	const struct unit *to = unit == NULL ? NULL : unit_find(unit, NULL);

	*out = (struct series)SERIES_INIT;
	if (c->log->rows == 0 || (to != NULL && (ch->unit == NULL || ch->unit->dim != to->dim)))
		return ERR_NONE;
	return series_load(out, c->log, ch, c->first, c->last, to, e);
}

const struct unit *ready_unit(const struct ready_case *c, const struct channel *ch)
{
	const struct unit *wanted;

	if (ch->unit == NULL)
		return NULL;
	wanted = unit_preferred(ch->unit->dim, c->setup->units);
	return wanted == NULL ? ch->unit : wanted;
}

bool ready_has(const struct ready_case *c, const struct channel *ch, size_t least)
{
	size_t found = 0;
	size_t row;

	if (column_kind(ch->column) != COLUMN_NUMBER || c->log->rows == 0)
		return false;
	for (row = c->first; row <= c->last && found < least; row++)
		found += !isnan(column_at(ch->column, row));
	return found >= least;
}

const struct channel *ready_find(const struct ready_case *c, enum quantity_id id)
{
	size_t i;

	for (i = 0; i < c->log->channel_count; i++)
		if (c->log->channels[i].quantity->id == id &&
		    ready_has(c, &c->log->channels[i], 1))
			return &c->log->channels[i];
	return NULL;
}

double ready_median(const double *v, size_t n)
{
	double *copy = mem_array(n, sizeof *copy);
	double median;

	memcpy(copy, v, n * sizeof *copy);
	median = select_median(copy, n);
	free(copy);
	return median;
}

double ready_interval(const struct series *s)
{
	double *steps;
	double median;
	size_t i;

	if (s->n < 2)
		return NAN;
	steps = mem_array(s->n - 1, sizeof *steps);
	for (i = 1; i < s->n; i++)
		steps[i - 1] = s->t[i] - s->t[i - 1];
	median = ready_median(steps, s->n - 1);
	free(steps);
	return median;
}
