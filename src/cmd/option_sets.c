/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The options that subcommands share, each row with its help and its setter. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/num.h"
#include "cmd/options.h"

#define COUNT(rows) (sizeof(rows) / sizeof((rows)[0]))

/* A word of an option and what it means. */
struct choice {
	const char *word;
	int value;
};

static enum err_code choose(const struct choice *choices, size_t count, const char *value,
			    const char *wanted, int *out, struct err *e)
{
	size_t i;

	for (i = 0; i < count; i++)
		if (strcmp(choices[i].word, value) == 0) {
			*out = choices[i].value;
			return ERR_NONE;
		}
	return err_set(e, ERR_USAGE, "must be %s", wanted);
}

static enum err_code number(const char *value, double above, const char *wanted, double *out,
			    struct err *e)
{
	double v;

	if (!num_parse(value, strlen(value), '.', &v, NULL) || !(v > above) || !isfinite(v))
		return err_set(e, ERR_USAGE, "must be %s", wanted);
	*out = v;
	return ERR_NONE;
}

static enum err_code set_separator(struct options *o, const char *value, struct err *e)
{
	static const struct choice choices[] = {
		{ ",", ',' }, { ";", ';' }, { "|", '|' }, { "\t", '\t' }, { "\\t", '\t' },
		{ "comma", ',' }, { "semicolon", ';' }, { "pipe", '|' }, { "tab", '\t' },
	};
	int c = 0;
	const enum err_code code = choose(choices, COUNT(choices), value,
					  "one of , ; | or the word tab", &c, e);

	o->load.csv.separator = (char)c;
	return code;
}

static enum err_code set_decimal(struct options *o, const char *value, struct err *e)
{
	static const struct choice choices[] = {
		{ ".", '.' }, { ",", ',' }, { "point", '.' }, { "comma", ',' },
	};
	int c = 0;
	const enum err_code code = choose(choices, COUNT(choices), value, ". or ,", &c, e);

	o->load.csv.decimal = (char)c;
	return code;
}

static enum err_code set_header(struct options *o, const char *value, struct err *e)
{
	if (strcmp(value, "none") == 0) {
		o->load.csv.header_line = -1;
		return ERR_NONE;
	}
	if (!num_parse_int(value, 1, 1000000, &o->load.csv.header_line))
		return err_set(e, ERR_USAGE, "must be the header's line in the file, from 1, "
			       "or the word none");
	return ERR_NONE;
}

static enum err_code set_time(struct options *o, const char *value, struct err *e)
{
	(void)e;
	o->load.csv.time_name = value;
	return ERR_NONE;
}

static enum err_code set_rate(struct options *o, const char *value, struct err *e)
{
	return number(value, 0.0, "rows a second, above 0", &o->load.csv.rate, e);
}

static enum err_code set_threads(struct options *o, const char *value, struct err *e)
{
	long n;

	if (!num_parse_int(value, 0, 1000, &n))
		return err_set(e, ERR_USAGE, "must be a number of threads, or 0 for one a core");
	o->load.csv.threads = (unsigned)n;
	return ERR_NONE;
}

static enum err_code set_reader(struct options *o, const char *value, struct err *e)
{
	static const struct choice choices[] = {
		{ "auto", CSV_READER_AUTO }, { "straight", CSV_READER_STRAIGHT },
		{ "libcsv", CSV_READER_LIBCSV },
	};
	int reader = CSV_READER_AUTO;
	const enum err_code code = choose(choices, COUNT(choices), value,
					  "auto, straight or libcsv", &reader, e);

	o->load.csv.reader = (enum csv_reader)reader;
	return code;
}

static enum err_code set_names(struct options *o, const char *value, struct err *e)
{
	(void)e;
	o->load.names = value;
	return ERR_NONE;
}

static enum err_code set_units(struct options *o, const char *value, struct err *e)
{
	static const struct choice choices[] = {
		{ "file", UNITS_FILE }, { "metric", UNITS_METRIC }, { "us", UNITS_US },
	};
	int system = UNITS_FILE;
	const enum err_code code = choose(choices, COUNT(choices), value,
					  "file, metric or us", &system, e);

	o->units = (enum unit_system)system;
	return code;
}

static enum err_code set_min_rise(struct options *o, const char *value, struct err *e)
{
	return number(value, 0.0, "rpm, above 0", &o->load.pull.min_rise, e);
}

static const struct option_row reading_rows[] = {
	{ "separator", 0, "CHAR", "between cells: , ; | or tab (guessed)", set_separator },
	{ "decimal", 0, "CHAR", "decimal mark: . or , (guessed)", set_decimal },
	{ "header", 0, "LINE", "line of the header, or none (guessed)", set_header },
	{ "time", 0, "NAME", "header of the time column (guessed)", set_time },
	{ "rate", 0, "HZ", "rows a second, for a log without time", set_rate },
	{ "threads", 0, "N", "that read at the same time (one a core)", set_threads },
	{ "reader", 0, "WHO", "auto, straight or libcsv: who splits the rows", set_reader },
	{ "names", 0, "FILE", "what channels are, instead of names.ini", set_names },
	{ "units", 0, "SYSTEM", "file (as they are), metric or us", set_units },
	{ "min-rise", 0, "RPM", "engine speed a pull must cover (1200)", set_min_rise },
};

const struct option_set options_reading = { "Reading", reading_rows, COUNT(reading_rows) };

static enum err_code set_axis(struct options *o, const char *value, struct err *e)
{
	static const struct choice choices[] = {
		{ "rpm", AXIS_RPM }, { "time", AXIS_TIME },
	};
	int axis = AXIS_TIME;
	const enum err_code code = choose(choices, COUNT(choices), value, "rpm or time", &axis,
					  e);

	o->axis = (enum axis_kind)axis;
	o->axis_given = true;
	return code;
}

bool options_span(const char *text, double *from, double *to)
{
	const char *colon = strchr(text, ':');

	*from = *to = NAN;
	if (colon == NULL)
		return false;
	if (colon > text && !num_parse(text, (size_t)(colon - text), '.', from, NULL))
		return false;
	if (colon[1] != '\0' && !num_parse(colon + 1, strlen(colon + 1), '.', to, NULL))
		return false;
	return isnan(*from) || isnan(*to) || *from < *to;
}

static enum err_code set_span(struct options *o, const char *value, struct err *e)
{
	if (!options_span(value, &o->from, &o->to))
		return err_set(e, ERR_USAGE, "must be FROM:TO in rpm or s, FROM below TO; "
			       "either may be left out");
	return ERR_NONE;
}

/* Given more than once: all of them. */
static enum err_code set_channel(struct options *o, const char *value, struct err *e)
{
	char *before;

	if (value[0] == '\0')
		return err_set(e, ERR_USAGE, "must name a channel");
	before = o->channels;
	o->channels = before == NULL ? mem_strdup(value) : mem_printf("%s,%s", before, value);
	free(before);
	return ERR_NONE;
}

static enum err_code set_align(struct options *o, const char *value, struct err *e)
{
	if (!align_by_name(value, &o->align))
		return err_set(e, ERR_USAGE, "must be crossing, start, match or clock");
	o->align_given = true;
	return ERR_NONE;
}

static enum err_code set_at(struct options *o, const char *value, struct err *e)
{
	return number(value, 0.0, "an engine speed in rpm", &o->crossing, e);
}

static enum err_code set_nudge(struct options *o, const char *value, struct err *e)
{
	return number(value, -INFINITY, "seconds, also negative", &o->nudge, e);
}

static const struct option_row compare_rows[] = {
	{ "axis", 0, "AXIS", "rpm or time (rpm where the logs have it)", set_axis },
	{ "span", 0, "FROM:TO", "part of the axis, in rpm or s (all of it)", set_span },
	{ "channel", 0, "LIST", "names or quantities, comma between; or all", set_channel },
	{ "align", 0, "HOW", "time axis: crossing, start, match or clock", set_align },
	{ "at", 0, "RPM", "engine speed of --align crossing", set_at },
	{ "nudge", 0, "S", "shift B to the right on the time axis", set_nudge },
};

const struct option_set options_compare = { "Comparing", compare_rows, COUNT(compare_rows) };

static enum err_code set_format(struct options *o, const char *value, struct err *e)
{
	if (!style_format_by_name(value, &o->style.format))
		return err_set(e, ERR_USAGE, "must be text, csv or json");
	return ERR_NONE;
}

static enum err_code set_output(struct options *o, const char *value, struct err *e)
{
	if (value[0] == '\0')
		return err_set(e, ERR_USAGE, "must name a file");
	o->output = value;
	return ERR_NONE;
}

static const struct option_row output_rows[] = {
	{ "format", 0, "FORMAT", "text, csv or json", set_format },
	{ "output", 'o', "FILE", "write to FILE, not to standard output", set_output },
};

const struct option_set options_output = { "Output", output_rows, COUNT(output_rows) };
