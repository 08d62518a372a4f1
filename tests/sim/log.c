/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See log.h. */
#include "log.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bool listed(const char *list, const char *id)
{
	const size_t length = strlen(id);

	for (const char *at = list; *at != '\0'; at += strspn(at, ",")) {
		const size_t word = strcspn(at, ",");
		if (word == length && memcmp(at, id, length) == 0)
			return true;
		at += word;
	}
	return false;
}

static const struct unit *choose_unit(const struct channel *c, const struct config *config,
				      struct rng *r)
{
	int n = 0;

	if (config->system == SYSTEM_METRIC)
		return unit_find(c->family, c->metric);
	if (config->system == SYSTEM_US)
		return unit_find(c->family, c->us);
	while (unit_at(c->family, n) != NULL)
		n++;
	return unit_at(c->family, rng_below(r, n));
}

static void add_column(struct log *log, enum column_kind kind, const struct channel *c,
		       const struct unit *u)
{
	const struct config *const config = log->config;
	struct column column = {.kind = kind, .channel = c, .unit = u, .every = 1, .last = NAN};

	if (log->column_count == LOG_COLUMNS_MAX)
		return;
	if (c != NULL) {
		column.decimals = c->decimals + u->decimals;
		if (column.decimals < 0)
			column.decimals = 0;
		if (c->family != FAM_STATUS)
			column.decimals += config->more_decimals;
		if (config->poll > 1 && !listed(config->fast, c->id)) {
			column.every = config->poll;
			column.phase = log->column_count % config->poll;
		}
	}
	log->columns[log->column_count++] = column;
}

/* Applies one word of the list: a set, an id, or -id. */
static bool choose_word(bool *chosen, const char *word, size_t length)
{
	const bool on = *word != '-';
	bool known = false;

	word += on ? 0 : 1;
	length -= on ? 0 : 1;
	for (size_t i = 0; i < channel_count(); i++) {
		const struct channel *const c = channel_at(i);
		if (channel_in_set(c, word, length) || channel_find(word, length) == c) {
			chosen[i] = on;
			known = true;
		}
	}
	if (!known)
		fprintf(stderr, "sim: no channel or set is called \"%.*s\"; see --list-channels\n",
			(int)length, word);
	return known;
}

static bool choose_channels(struct log *log)
{
	bool chosen[LOG_COLUMNS_MAX] = {false};
	struct rng r;

	for (const char *at = log->config->channels; *at != '\0'; at += strspn(at, ",")) {
		const size_t length = strcspn(at, ",");
		if (!choose_word(chosen, at, length))
			return false;
		at += length;
	}
	rng_seed(&r, log->config->seed, RNG_TEXT);
	for (size_t i = 0; i < channel_count(); i++) {
		const struct channel *const c = channel_at(i);
		if (chosen[i])
			add_column(log, COLUMN_CHANNEL, c, choose_unit(c, log->config, &r));
	}
	if (log->config->empty_column)
		add_column(log, COLUMN_EMPTY, NULL, NULL);
	if (log->config->duplicate_column && log->column_count > 0)
		add_column(log, COLUMN_COPY, log->columns[0].channel, log->columns[0].unit);
	return true;
}

bool log_init(struct log *log, const struct config *config)
{
	*log = (struct log){.config = config};
	rng_seed(&log->clock, config->seed, RNG_CLOCK);
	rng_seed(&log->sensor, config->seed, RNG_SENSOR);
	return choose_channels(log);
}

void log_release(struct log *log)
{
	free(log->cells);
	free(log->values);
	free(log->rows);
}

static double full_scale(const struct config *config, const struct channel *c)
{
	if (strcmp(c->id, "pedal") == 0)
		return config->pedal_full / 100;
	if (strcmp(c->id, "throttle") == 0)
		return config->throttle_full / 100;
	return c->family == FAM_ANGLE && strncmp(c->id, "knock", 5) == 0 && config->knock_negative
		       ? -1
		       : 1;
}

static double true_value(const struct channel *c, const struct world *w)
{
	double value;

	memcpy(&value, (const char *)w + c->offset, sizeof value);
	return value * c->scale;
}

/* What the sensor says now, in the shown unit. */
static double read_sensor(struct log *log, const struct column *column, const struct world *w)
{
	const struct config *const config = log->config;
	const struct channel *const c = column->channel;
	double value;

	memcpy(&value, (const char *)w + c->offset, sizeof value);
	value *= c->scale * full_scale(config, c);
	if (c->noise > 0 && config->noise > 0)
		value += c->noise * config->noise * rng_normal(&log->sensor);
	if (config->map_max > 0 && strcmp(c->id, "map") == 0 && value > config->map_max)
		value = config->map_max;
	if (config->maf_max > 0 && strcmp(c->id, "maf") == 0 && value > config->maf_max)
		value = config->maf_max;
	if (config->coarse && c->step > 0)
		value = floor(value / c->step + 0.5) * c->step;
	value = mx_clamp(value, c->least, c->most);
	return value * column->unit->factor + column->unit->bias;
}

static bool make_room(struct log *log)
{
	const long room = log->row_room > 0 ? 2 * log->row_room : 1024;
	double *cells, *values;
	struct row_truth *rows;

	if (log->row_count < log->row_room)
		return true;
	cells = realloc(log->cells, (size_t)room * (size_t)log->column_count * sizeof *cells);
	if (cells != NULL)
		log->cells = cells;
	rows = realloc(log->rows, (size_t)room * sizeof *rows);
	if (rows != NULL)
		log->rows = rows;
	if (cells == NULL || rows == NULL)
		return false;
	if (log->config->true_values) {
		values = realloc(log->values,
				 (size_t)room * (size_t)log->column_count * sizeof *values);
		if (values == NULL)
			return false;
		log->values = values;
	}
	log->row_room = room;
	return true;
}

static void take_cells(struct log *log, struct world *w)
{
	const struct config *const config = log->config;
	double *const row = log->cells + log->row_count * log->column_count;

	world_derive(w);
	for (int i = 0; i < log->column_count; i++) {
		struct column *const column = &log->columns[i];
		const bool turn = log->turn % column->every == column->phase;

		row[i] = NAN;
		if (column->kind == COLUMN_EMPTY)
			continue;
		if (column->kind == COLUMN_COPY)
			row[i] = row[0];
		else if (turn)
			row[i] = column->last = read_sensor(log, column, w);
		else if (config->poll_style == POLL_HOLD)
			row[i] = column->last;
		if (w->faults.level[FAULT_DROPOUT] > 0 ||
		    (config->drop_cells > 0 && rng_chance(&log->sensor, config->drop_cells)))
			row[i] = NAN;
	}
}

static void take_values(struct log *log, const struct world *w)
{
	double *const row = log->values + log->row_count * log->column_count;
	struct world as_is = *w;

	world_derive_true(&as_is);
	for (int i = 0; i < log->column_count; i++)
		row[i] = log->columns[i].channel != NULL
				 ? true_value(log->columns[i].channel, &as_is)
				 : NAN;
}

static void take_truth(struct log *log, const struct world *w)
{
	log->rows[log->row_count] = (struct row_truth){
		.t = w->t,
		.engine_kw = w->drive.engine_kw,
		.wheel_kw = w->drive.wheel_kw,
		.tyre_kw = w->drive.tyre_kw,
		.road_kw = w->drive.road_kw,
		.accel = w->drive.accel,
		.v = w->drive.v,
		.rpm = w->engine.rpm,
		.slip = w->drive.slip,
		.grade = w->drive.grade,
	};
}

/* Is this row lost? The first one never is: it sets the clock. */
static bool row_lost(struct log *log, double t)
{
	const struct config *const config = log->config;

	if (config->gaps > 0 && rng_chance(&log->clock, config->gaps / 60 / config->rate))
		log->gap_until_s = t + rng_range(&log->clock, 0.1, 0.5);
	const bool lost = config->drop_rows > 0 && rng_chance(&log->clock, config->drop_rows);
	return log->turn > 0 && (lost || t < log->gap_until_s);
}

bool log_step(struct log *log, struct world *w)
{
	const double period = 1 / log->config->rate;

	if (w->t < log->due_s - 5e-4)
		return true;
	if (!row_lost(log, w->t)) {
		if (!make_room(log))
			return false;
		take_cells(log, w);
		take_truth(log, w);
		if (log->values != NULL)
			take_values(log, w);
		log->row_count++;
	}
	log->turn++;
	log->due_s =
		(double)log->turn * period + log->config->jitter * period * rng_normal(&log->clock);
	return true;
}
