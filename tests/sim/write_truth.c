/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The truth file; its format is described in README.md of this folder. */
#include "write.h"

#include <string.h>

static const char *const kind_words[TRUTH_KINDS] = {"burst", "edge", "pull"};
static const char *const end_words[] = {"lift", "gearchange", "limiter", "log_end"};

/* First row at or after t; row_count when there is none. */
static long row_after(const struct log *log, double t)
{
	long row = 0;

	while (row < log->row_count && log->rows[row].t < t - 1e-9)
		row++;
	return row;
}

/* Last row at or before t; -1 when there is none. */
static long row_before(const struct log *log, double t)
{
	long row = row_after(log, t);

	if (row < log->row_count && log->rows[row].t <= t + 1e-9)
		return row;
	return row - 1;
}

static bool has(const struct log *log, const char *id)
{
	for (int i = 0; i < log->column_count; i++) {
		const struct column *const column = &log->columns[i];
		if (column->kind == COLUMN_CHANNEL && strcmp(column->channel->id, id) == 0)
			return true;
	}
	return false;
}

static void put_settings(struct text *out, const struct log *log)
{
	const struct config *const c = log->config;
	const struct dialect *const d = &c->dialect;
	text_format(out, "twinpull-sim-truth 1\nseed %llu\nrandom %d\n",
		    (unsigned long long)c->seed, c->random);
	text_format(out, "rate_hz %.3f\njitter %.4f\npoll %d\nrows %ld\ncolumns %d\n", c->rate,
		    c->jitter, c->poll, log->row_count, log->column_count + (d->time != TIME_NONE));
	text_format(out, "has_pedal %d\nhas_throttle %d\nhas_speed %d\n", has(log, "pedal"),
		    has(log, "throttle"), has(log, "speed") || has(log, "wheel_speed"));
	text_format(out, "time_form %d\ntime_decimals %d\nclock_start_s %.3f\nclock_back_s %.3f\n",
		    d->time, d->time_decimals, d->clock_start, d->clock_back);
	text_format(out, "header %d\n", !d->no_header);
}

static void put_car(struct text *out, const struct world *w)
{
	const struct car *const car = &w->car;

	text_format(out, "mass_kg %.3f\ndrag_area_m2 %.4f\nrolling %.5f\ntyre_radius_m %.4f\n",
		    car->mass_kg, car->drag_area_m2, car->rolling, car->tyre_radius_m);
	text_format(out, "rotating_fixed %.4f\nrotating_engine %.4f\nefficiency %.4f\n",
		    car->rotating_fixed, car->rotating_engine, car->efficiency);
	text_format(out, "limit_rpm %.1f\nfinal %.4f\ngears %d\n", car->limit_rpm, car->final,
		    car->gears);
	for (int g = 1; g <= car->gears; g++)
		text_format(out, "gear%d %.4f\n", g, car->gear[g]);
	text_format(
		out,
		"air_temp_c %.2f\nair_pressure_kpa %.3f\nair_humidity_pct %.1f\nair_density %.6f\n",
		w->air.temp_c, w->air.pressure_kpa, w->air.humidity_pct, w->drive.density);
}

static void put_columns(struct text *out, const struct log *log)
{
	int number = log->config->dialect.time != TIME_NONE;

	for (int i = 0; i < log->column_count; i++) {
		const struct column *const column = &log->columns[i];
		const char *const id = column->kind == COLUMN_EMPTY ? "empty" : column->channel->id;
		const char *const unit = column->unit == NULL || *column->unit->label == '\0'
						 ? "-"
						 : column->unit->label;

		text_format(out, "column %d\t%s\t%s\t%d\t%d\t%d\t", ++number, id, unit,
			    column->decimals, column->every, column->kind == COLUMN_COPY);
		write_name(out, column, log->config);
		text_string(out, "\n");
	}
}

static void put_runs(struct text *out, const struct log *log, const struct truth *truth,
		     double tyre_radius_m)
{
	int count[TRUTH_KINDS] = {0};

	for (int i = 0; i < truth->runs; i++) {
		const struct truth_run *const run = &truth->run[i];
		text_format(out,
			    "%s %d from_s=%.3f to_s=%.3f from_row=%ld to_row=%ld from_rpm=%.1f "
			    "to_rpm=%.1f",
			    kind_words[run->kind], ++count[run->kind], run->from_s, run->to_s,
			    row_after(log, run->from_s), row_before(log, run->to_s), run->from_rpm,
			    run->to_rpm);
		text_format(out, " gear=%d ratio=%.5f rpm_per_kmh=%.4f end=%s\n", run->gear,
			    run->ratio, run->ratio * 30 / MX_PI / tyre_radius_m / 3.6,
			    end_words[run->end]);
	}
	text_format(out, "pulls %d\nedges %d\nbursts %d\n", count[TRUTH_PULL], count[TRUTH_EDGE],
		    count[TRUTH_BURST]);
}

/* Number of the pull that overlaps the event most; 0 is none. */
static int event_pull(const struct truth *truth, const struct truth_event *event)
{
	int number = 0, best = 0;
	double most = 0;

	for (int i = 0; i < truth->runs; i++) {
		const struct truth_run *const run = &truth->run[i];
		const double from = event->from_s > run->from_s ? event->from_s : run->from_s;
		const double to = event->to_s < run->to_s ? event->to_s : run->to_s;

		number += run->kind == TRUTH_PULL;
		if (run->kind == TRUTH_PULL && to - from > most) {
			most = to - from;
			best = number;
		}
	}
	return best;
}

static void put_events(struct text *out, const struct truth *truth, const struct world *w)
{
	for (int i = 0; i < truth->events; i++) {
		const struct truth_event *const event = &truth->event[i];
		const struct fault *const f = &w->faults.list[event->fault];

		text_format(out,
			    "event %s from_s=%.3f to_s=%.3f from_rpm=%.1f to_rpm=%.1f size=%.4f "
			    "peak=%.4f",
			    fault_name(f->id), event->from_s, event->to_s, event->from_rpm,
			    event->to_rpm, f->size, event->peak);
		text_format(out, " cylinder=%d pull=%d\n",
			    f->id == FAULT_KNOCK_CYL ? f->cylinder : 0, event_pull(truth, event));
	}
}

static void put_samples(struct text *out, const struct log *log, const struct air *air)
{
	text_string(
		out,
		"samples row t_s rpm v_ms accel_ms2 engine_kw wheel_kw tyre_kw road_kw slip grade"
		" air_c air_kpa air_rh\n");
	for (long i = 0; i < log->row_count; i++) {
		const struct row_truth *const r = &log->rows[i];
		text_format(
			out,
			"s %ld %.3f %.2f %.4f %.4f %.3f %.3f %.3f %.3f %.4f %.5f %.2f %.3f %.1f\n",
			i, r->t, r->rpm, r->v, r->accel, r->engine_kw, r->wheel_kw, r->tyre_kw,
			r->road_kw, r->slip, r->grade, air->temp_c, air->pressure_kpa,
			air->humidity_pct);
	}
}

/* Copies and empty columns have no line of their own: a channel stands there once. */
static void put_values(struct text *out, const struct log *log)
{
	text_string(out, "values");
	for (int i = 0; i < log->column_count; i++)
		if (log->columns[i].kind == COLUMN_CHANNEL)
			text_format(out, " %s", log->columns[i].channel->id);
	text_string(out, "\n");
	for (long row = 0; row < log->row_count; row++) {
		const double *const values = log->values + row * log->column_count;
		text_format(out, "v %ld", row);
		for (int i = 0; i < log->column_count; i++)
			if (log->columns[i].kind == COLUMN_CHANNEL)
				text_format(out, " %.9g", values[i]);
		text_string(out, "\n");
	}
}

void write_truth(struct text *out, const struct log *log, const struct truth *truth,
		 const struct world *w)
{
	put_settings(out, log);
	put_car(out, w);
	put_columns(out, log);
	put_runs(out, log, truth, w->car.tyre_radius_m);
	put_events(out, truth, w);
	if (!log->config->no_samples)
		put_samples(out, log, &w->air);
	if (log->values != NULL)
		put_values(out, log);
}
