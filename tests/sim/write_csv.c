/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See write.h: header, rows and everything else that stands in CSV files. */
#include "write.h"

#include <math.h>
#include <string.h>

static const char *const separators[] = {",", ";", "\t", "|"};
static const char *const line_ends[] = {"\n", "\r\n", "\r"};
static const char *const time_names[STYLE_COUNT] = {"Time", "TIME", "time", "Elapsed Time"};
static const char *const preamble[] = {
	"Club datalog of an invented car",
	"Recorded 18 May, run 3",
	"Interval as set",
	"Comment: closed airfield strip",
	"Firmware none",
	"Data follow",
};

static void end_line(struct text *out, const struct dialect *d)
{
	text_string(out, line_ends[d->eol]);
}

static void put_cell(struct text *out, const struct dialect *d, const char *cell, bool header,
		     bool first)
{
	const char *const sep = separators[d->sep];
	const bool needed = strpbrk(cell, "\"\r\n") != NULL || strchr(cell, *sep) != NULL;
	const bool quote =
		needed || d->quoting == QUOTE_ALL || (d->quoting == QUOTE_HEADER && header);

	if (!first) {
		text_string(out, sep);
		if (d->space && d->sep != SEP_TAB)
			text_string(out, " ");
	}
	if (!quote) {
		text_string(out, cell);
		return;
	}
	text_string(out, "\"");
	for (const char *c = cell; *c != '\0'; c++) {
		text_add(out, c, 1);
		if (*c == '"')
			text_add(out, c, 1);
	}
	text_string(out, "\"");
}

static const char *unit_label(const struct unit *u, const struct dialect *d)
{
	return u == NULL ? "" : d->degree && u->degree_label != NULL ? u->degree_label : u->label;
}

/* The name with its unit where the dialect puts units into the header. */
static void make_name(char *buffer, size_t room, const char *name, const char *unit,
		      const struct config *config)
{
	const bool snake = config->style == STYLE_SNAKE || config->style == STYLE_SHORT;
	const int place = *unit == '\0' ? UNITS_NONE : config->dialect.units;

	switch (place) {
	case UNITS_PAREN:
		snprintf(buffer, room, "%s (%s)", name, unit);
		break;
	case UNITS_BRACKET:
		snprintf(buffer, room, "%s [%s]", name, unit);
		break;
	case UNITS_TAIL:
		snprintf(buffer, room, snake ? "%s_%s" : "%s, %s", name,
			 snake && strcmp(unit, "%") == 0 ? "pct" : unit);
		break;
	default:
		snprintf(buffer, room, "%s", name);
		break;
	}
}

static void column_name(char *buffer, size_t room, const struct column *column,
			const struct config *config)
{
	if (column->kind == COLUMN_EMPTY)
		make_name(buffer, room, "Spare", "", config);
	else
		make_name(buffer, room, column->channel->names[config->style],
			  unit_label(column->unit, &config->dialect), config);
}

void write_name(struct text *out, const struct column *column, const struct config *config)
{
	char buffer[128];

	column_name(buffer, sizeof buffer, column, config);
	text_string(out, buffer);
}

static const char *time_unit(const struct dialect *d)
{
	return d->time == TIME_S ? "s" : d->time == TIME_MS ? "ms" : "";
}

static void put_header(struct text *out, const struct log *log)
{
	const struct config *const config = log->config;
	const struct dialect *const d = &config->dialect;
	char buffer[128];

	if (d->time != TIME_NONE) {
		make_name(buffer, sizeof buffer, time_names[config->style], time_unit(d), config);
		put_cell(out, d, buffer, true, true);
	}
	for (int i = 0; i < log->column_count; i++) {
		column_name(buffer, sizeof buffer, &log->columns[i], config);
		put_cell(out, d, buffer, true, i == 0 && d->time == TIME_NONE);
	}
	if (d->trailing == TRAIL_ALL)
		text_string(out, separators[d->sep]);
	end_line(out, d);
}

static void put_units(struct text *out, const struct log *log)
{
	const struct dialect *const d = &log->config->dialect;

	if (d->time != TIME_NONE)
		put_cell(out, d, time_unit(d), true, true);
	for (int i = 0; i < log->column_count; i++)
		put_cell(out, d, unit_label(log->columns[i].unit, d), true,
			 i == 0 && d->time == TIME_NONE);
	if (d->trailing == TRAIL_ALL)
		text_string(out, separators[d->sep]);
	end_line(out, d);
}

/* Whole milliseconds of the log's clock at a row, cut to the shown decimals. */
static long clock_ms(const struct log *log, long row)
{
	const struct dialect *const d = &log->config->dialect;
	long ms = (long)floor(1000 * (log->rows[row].t + d->clock_start) + 0.5);
	long unit = 1;

	if (d->clock_back > 0 && row >= log->row_count / 2)
		ms -= (long)(1000 * d->clock_back);
	for (int i = d->time_decimals; i < 3; i++)
		unit *= 10;
	return ms / unit * unit;
}

static void format_time(char *buffer, size_t room, const struct dialect *d, long ms)
{
	const int width = d->time_decimals > 0 ? d->time_decimals + 3 : 2;
	const double seconds = (double)(ms % 60000) / 1000;

	switch (d->time) {
	case TIME_MS:
		snprintf(buffer, room, "%ld", ms);
		break;
	case TIME_HMS:
		snprintf(buffer, room, "%02ld:%02ld:%0*.*f", ms / 3600000, ms / 60000 % 60, width,
			 d->time_decimals, seconds);
		break;
	case TIME_MINSEC:
		snprintf(buffer, room, "%02ld:%0*.*f", ms / 60000, width, d->time_decimals,
			 seconds);
		break;
	case TIME_ISO:
		snprintf(buffer, room, "2024-05-18T%02ld:%02ld:%0*.*fZ", ms / 3600000,
			 ms / 60000 % 60, width, d->time_decimals, seconds);
		break;
	default:
		snprintf(buffer, room, "%.*f", d->time_decimals, (double)ms / 1000);
		break;
	}
}

/* No minus sign before a value that is shown as zero. */
static void format_value(char *buffer, size_t room, const struct column *column, double value)
{
	snprintf(buffer, room, "%.*f", column->decimals, value);
	if (*buffer == '-' && strspn(buffer + 1, "0.") == strlen(buffer + 1))
		memmove(buffer, buffer + 1, strlen(buffer));
}

static void decimal_comma(char *buffer, const struct dialect *d)
{
	char *const point = d->decimal_comma ? strrchr(buffer, '.') : NULL;

	if (point != NULL)
		*point = ',';
}

static void put_row(struct text *out, const struct log *log, long row)
{
	const struct dialect *const d = &log->config->dialect;
	const double *const cells = log->cells + row * log->column_count;
	int last = log->column_count;
	char buffer[64];

	if (d->time != TIME_NONE) {
		format_time(buffer, sizeof buffer, d, clock_ms(log, row));
		decimal_comma(buffer, d);
		put_cell(out, d, buffer, false, true);
	}
	while (d->ragged && last > 1 && isnan(cells[last - 1]))
		last--;
	for (int i = 0; i < last; i++) {
		const struct column *const column = &log->columns[i];

		if (isnan(cells[i])) {
			snprintf(buffer, sizeof buffer, "%s",
				 column->kind == COLUMN_EMPTY ? "" : d->missing);
		} else if (column->channel->family == FAM_STATUS) {
			snprintf(buffer, sizeof buffer, "%s", channel_status_word(cells[i]));
		} else {
			format_value(buffer, sizeof buffer, column, cells[i]);
			decimal_comma(buffer, d);
		}
		put_cell(out, d, buffer, false, i == 0 && d->time == TIME_NONE);
	}
	if (d->trailing != TRAIL_NONE)
		text_string(out, separators[d->sep]);
	if (row + 1 < log->row_count || !d->no_final_eol)
		end_line(out, d);
}

static void put_top(struct text *out, const struct dialect *d)
{
	const int lines = (int)(sizeof preamble / sizeof *preamble);

	if (d->note != NULL) {
		text_string(out, "# ");
		text_string(out, d->note);
		end_line(out, d);
	}
	for (int i = 0; i < d->comments; i++) {
		text_format(out, "# comment %d: invented data", i + 1);
		end_line(out, d);
	}
	for (int i = 0; i < d->preamble; i++) {
		text_string(out, preamble[i % lines]);
		end_line(out, d);
	}
}

/* Blank and comment lines between the rows, evenly spread by chance. */
static void put_between(struct text *out, const struct log *log, struct rng *r)
{
	const struct dialect *const d = &log->config->dialect;
	const double rows = (double)log->row_count;

	if (d->blank_lines > 0 && rng_chance(r, d->blank_lines / rows))
		end_line(out, d);
	if (d->inner_comments > 0 && rng_chance(r, d->inner_comments / rows)) {
		text_string(out, "# a comment between rows");
		end_line(out, d);
	}
}

void write_csv(struct text *out, const struct log *log)
{
	const struct dialect *const d = &log->config->dialect;
	struct rng r;

	rng_seed(&r, log->config->seed + 1, RNG_TEXT);
	put_top(out, d);
	for (long row = 0; row < log->row_count; row++) {
		const bool again = d->repeat_header > 0 && row % d->repeat_header == 0;
		if (!d->no_header && (row == 0 || again)) {
			put_header(out, log);
			if (row == 0 && d->units == UNITS_ROW)
				put_units(out, log);
		}
		if (row > 0)
			put_between(out, log, &r);
		put_row(out, log, row);
	}
}
