/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The command line, from one table that also makes the help. */
#include "config.h"

#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum option_kind {
	OPT_REAL,
	OPT_INT,
	OPT_SEED,
	OPT_FLAG,
	OPT_WORD,
	OPT_TEXT, /* into the field */
	OPT_FAULT,
	OPT_RANDOM,
	OPT_HELP,
	OPT_FAULTS,
	OPT_CHANNELS,
	OPT_HEAD
};

struct option {
	const char *name;
	enum option_kind kind;
	size_t offset;
	const char
		*words; /* OPT_WORD: the values 0, 1, ... ; OPT_TEXT and numbers: a placeholder */
	double least, most; /* of a number */
	const char *help;
};

#define IN(field) offsetof(struct config, field)
#define BIG 1e9

/* clang-format off */
static const struct option options[] = {
	{"Output", OPT_HEAD, 0, NULL, 0, 0, NULL},
	{"out", OPT_TEXT, IN(out), "FILE", 0, 0, "the log (also -o); - or none is standard output"},
	{"truth", OPT_TEXT, IN(truth), "FILE", 0, 0, "the truth file"},
	{"no-samples", OPT_FLAG, IN(no_samples), NULL, 0, 0,
		"leave the rows' truth out of the truth file"},
	{"true-values", OPT_FLAG, IN(true_values), NULL, 0, 0,
		"put every channel's true value at every row into the truth file"},
	{"What is driven", OPT_HEAD, 0, NULL, 0, 0, NULL},
	{"seed", OPT_SEED, IN(seed), "N", 0, 0, "everything random comes from it"},
	{"random", OPT_RANDOM, 0, "N", 0, 0, "draw all settings from seed N; later options win"},
	{"scenario", OPT_WORD, IN(scenario),
		"pull|limiter|two|gearchange|flatshift|short-lift|aborted|traffic|slip|drive", 0, 0,
		"what happens"},
	{"gear", OPT_INT, IN(wish.gear), "N", 1, CAR_MAX_GEARS, "gear of the pull"},
	{"from", OPT_REAL, IN(wish.from_rpm), "RPM", 1000, 4000,
		"rolling speed before the pedal goes down"},
	{"to", OPT_REAL, IN(wish.to_rpm), "RPM", -1, BIG,
		"where the driver lifts; 0 the limiter, -1 just before it"},
	{"press", OPT_REAL, IN(wish.press_s), "S", 0, 5, "time the pedal takes to the floor"},
	{"before", OPT_REAL, IN(wish.before_s), "S", 0, 600, "rolling before"},
	{"after", OPT_REAL, IN(wish.after_s), "S", 0, 600, "rolling after"},
	{"minutes", OPT_REAL, IN(wish.minutes), "MIN", 0.5, 30,
		"length of --scenario drive, roughly"},
	{"pulls", OPT_INT, IN(wish.pulls), "N", -1, 12,
		"full-throttle places in a drive; -1 by chance"},
	{"held", OPT_REAL, IN(wish.held_s), "S", -1, 20,
		"against the limiter; -1 by chance, below 1 s"},
	{"max-seconds", OPT_REAL, IN(max_seconds), "S", 1, 7200, "the log ends here at the latest"},
	{"fault", OPT_FAULT, 0, "ID[@FROM-TO[~RAMP]][:SIZE[:CYL]]", 0, 0,
		"inject a fault in a range of rpm (at full pedal) or, with t before FROM, of\n"
		"        seconds; repeatable"},
	{"list-faults", OPT_FAULTS, 0, NULL, 0, 0, "the faults, their sizes and defaults"},
	{"Car, road and air", OPT_HEAD, 0, NULL, 0, 0, NULL},
	{"car", OPT_WORD, IN(car_kind), "small|large|any", 0, 0,
		"small or large turbo, or one drawn from the seed"},
	{"mass", OPT_REAL, IN(mass), "KG", 500, 3000, "instead of the car's own"},
	{"limit", OPT_REAL, IN(limit), "RPM", 4000, 9000, "limiter, instead of the car's own"},
	{"temp", OPT_REAL, IN(air.temp_c), "C", -30, 50, "of the air"},
	{"pressure", OPT_REAL, IN(air.pressure_kpa), "KPA", 70, 106, "of the air"},
	{"humidity", OPT_REAL, IN(air.humidity_pct), "PCT", 0, 100, "relative, of the air"},
	{"ethanol", OPT_REAL, IN(ethanol), "PCT", 0, 100, "that the fuel's sensor reads"},
	{"grade", OPT_REAL, IN(road.grade), "RISE", -0.1, 0.1, "rise over run"},
	{"wave", OPT_REAL, IN(road.wave), "RISE", 0, 0.05, "a gentle sine on the grade"},
	{"wind", OPT_REAL, IN(road.wind_ms), "MS", -20, 20, "head wind"},
	{"Sampling", OPT_HEAD, 0, NULL, 0, 0, NULL},
	{"rate", OPT_REAL, IN(rate), "HZ", 0.5, 500, "rows a second"},
	{"jitter", OPT_REAL, IN(jitter), "SHARE", 0, 0.5, "of the period, one standard deviation"},
	{"poll", OPT_INT, IN(poll), "N", 1, 20,
		"channels come in N turns, with blank cells between"},
	{"poll-style", OPT_WORD, IN(poll_style), "blank|hold", 0, 0,
		"what stands between the turns"},
	{"fast", OPT_TEXT, IN(fast), "LIST", 0, 0, "channels that come in every row all the same"},
	{"drop-rows", OPT_REAL, IN(drop_rows), "P", 0, 0.9, "chance that a row is lost"},
	{"drop-cells", OPT_REAL, IN(drop_cells), "P", 0, 0.9, "chance that a cell is missing"},
	{"gaps", OPT_REAL, IN(gaps), "N", 0, 60, "holes of 0.1 to 0.5 s a minute"},
	{"Sensors and channels", OPT_HEAD, 0, NULL, 0, 0, NULL},
	{"channels", OPT_TEXT, IN(channels), "LIST", 0, 0,
		"sets (core, club, drive, all, full), ids, and -id to leave one out"},
	{"list-channels", OPT_CHANNELS, 0, NULL, 0, 0, "ids, names and units"},
	{"style", OPT_WORD, IN(style), "plain|short|snake|trade", 0, 0, "how channels are named"},
	{"system", OPT_WORD, IN(system), "metric|us|mixed", 0, 0, "units"},
	{"noise", OPT_REAL, IN(noise), "X", 0, 20, "sensor noise, times the usual"},
	{"coarse", OPT_FLAG, IN(coarse), NULL, 0, 0,
		"sensor steps of SAE J1979 (speed in whole km/h, ...)"},
	{"more-decimals", OPT_INT, IN(more_decimals), "N", 0, 6, "than usual, of every channel"},
	{"knock-negative", OPT_FLAG, IN(knock_negative), NULL, 0, 0, "knock retard below zero"},
	{"map-max", OPT_REAL, IN(map_max), "KPA", 0, 1000,
		"end of the manifold pressure sensor; 0 none"},
	{"maf-max", OPT_REAL, IN(maf_max), "GPS", 0, 2000, "end of the air mass sensor; 0 none"},
	{"pedal-full", OPT_REAL, IN(pedal_full), "PCT", 20, 110,
		"what the pedal reads at its stop"},
	{"throttle-full", OPT_REAL, IN(throttle_full), "PCT", 20, 110,
		"what the throttle reads wide open"},
	{"empty-column", OPT_FLAG, IN(empty_column), NULL, 0, 0, "add a column without a value"},
	{"duplicate-column", OPT_FLAG, IN(duplicate_column), NULL, 0, 0,
		"add the first channel again"},
	{"File", OPT_HEAD, 0, NULL, 0, 0, NULL},
	{"sep", OPT_WORD, IN(dialect.sep), "comma|semicolon|tab|pipe", 0, 0, "separator"},
	{"decimal", OPT_WORD, IN(dialect.decimal_comma), "point|comma", 0, 0, "decimal sign"},
	{"quote", OPT_WORD, IN(dialect.quoting), "needed|header|all", 0, 0,
		"which fields are quoted"},
	{"eol", OPT_WORD, IN(dialect.eol), "lf|crlf|cr", 0, 0, "line ends"},
	{"encoding", OPT_WORD, IN(dialect.encoding), "utf8|utf8-bom|utf16le|utf16be|latin1", 0, 0,
		"utf16 with a byte order mark"},
	{"units", OPT_WORD, IN(dialect.units), "paren|bracket|row|tail|none", 0, 0,
		"where units stand"},
	{"degree", OPT_FLAG, IN(dialect.degree), NULL, 0, 0, "units with degree signs"},
	{"preamble", OPT_INT, IN(dialect.preamble), "N", 0, 50, "lines before the header"},
	{"comments", OPT_INT, IN(dialect.comments), "N", 0, 50, "comment lines before the header"},
	{"inner-comments", OPT_INT, IN(dialect.inner_comments), "N", 0, 50,
		"about so many between the rows"},
	{"note", OPT_TEXT, IN(dialect.note), "TEXT", 0, 0, "a comment line at the very top"},
	{"blank-lines", OPT_INT, IN(dialect.blank_lines), "N", 0, 50,
		"about so many between the rows"},
	{"repeat-header", OPT_INT, IN(dialect.repeat_header), "N", 0, BIG, "again every N rows"},
	{"no-header", OPT_FLAG, IN(dialect.no_header), NULL, 0, 0, "rows only"},
	{"no-final-eol", OPT_FLAG, IN(dialect.no_final_eol), NULL, 0, 0,
		"the last line does not end"},
	{"trailing", OPT_WORD, IN(dialect.trailing), "none|rows|all", 0, 0,
		"a separator at the line's end"},
	{"space", OPT_FLAG, IN(dialect.space), NULL, 0, 0, "a space after each separator"},
	{"ragged", OPT_FLAG, IN(dialect.ragged), NULL, 0, 0,
		"missing cells at a row's end are left out"},
	{"missing", OPT_TEXT, IN(dialect.missing), "WORD", 0, 0, "what stands in a missing cell"},
	{"time", OPT_WORD, IN(dialect.time), "s|ms|hms|minsec|iso|none", 0, 0,
		"form of the time column"},
	{"time-decimals", OPT_INT, IN(dialect.time_decimals), "N", 0, 3, "of the seconds, cut off"},
	{"clock-start", OPT_REAL, IN(dialect.clock_start), "S", 0, 86400,
		"the clock at the first row"},
	{"clock-back", OPT_REAL, IN(dialect.clock_back), "S", 0, 86400,
		"half-way the clock jumps back"},
	{"help", OPT_HELP, 0, NULL, 0, 0, "this list"},
};
/* clang-format on */

static void help(void)
{
	printf("Usage: sim [OPTION]...\n"
	       "Writes a simulated, invented engine log, and what was really true in it.\n"
	       "Without options: one fourth-gear pull at 20 Hz as comma-separated text.\n");
	for (size_t i = 0; i < sizeof options / sizeof *options; i++) {
		const struct option *const o = &options[i];

		if (o->kind == OPT_HEAD)
			printf("\n%s:\n", o->name);
		else
			printf("  --%s%s%s\n        %s\n", o->name, o->words != NULL ? " " : "",
			       o->words != NULL ? o->words : "", o->help);
	}
}

static void list_channels(void)
{
	printf("%-14s %-31s %-13s %-27s %-24s %s\n", "id", "plain", "short", "snake", "trade",
	       "metric, us");
	for (size_t i = 0; i < channel_count(); i++) {
		const struct channel *const c = channel_at(i);
		printf("%-14s %-31s %-13s %-27s %-24s %s, %s\n", c->id, c->names[STYLE_PLAIN],
		       c->names[STYLE_SHORT], c->names[STYLE_SNAKE], c->names[STYLE_TRADE],
		       c->metric, c->us);
	}
}

static const struct option *find_option(const char *arg, size_t length)
{
	for (size_t i = 0; i < sizeof options / sizeof *options; i++) {
		const struct option *const o = &options[i];
		if (o->kind != OPT_HEAD && strlen(o->name) == length &&
		    memcmp(o->name, arg, length) == 0)
			return o;
	}
	return NULL;
}

/* Index of a word in "a|b|c", or -1. */
static int find_word(const char *words, const char *word)
{
	const size_t length = strlen(word);

	for (int n = 0; *words != '\0'; n++) {
		const size_t here = strcspn(words, "|");
		if (here == length && memcmp(words, word, length) == 0)
			return n;
		words += here;
		words += *words == '|';
	}
	return -1;
}

static bool set_number(const struct option *o, void *field, const char *value)
{
	char *end;
	const double number = strtod(value, &end);

	if (end == value || *end != '\0' || !(number >= o->least && number <= o->most))
		return false;
	if (o->kind == OPT_REAL)
		*(double *)field = number;
	else
		*(int *)field = (int)number;
	return true;
}

static bool set_seed(uint64_t *seed, const char *value)
{
	char *end;

	*seed = strtoull(value, &end, 10);
	return end != value && *end == '\0' && *value != '-';
}

static bool set_value(struct config *c, const struct option *o, const char *value)
{
	void *const field = (char *)c + o->offset;
	uint64_t seed;

	switch (o->kind) {
	case OPT_REAL:
	case OPT_INT:
		return set_number(o, field, value);
	case OPT_SEED:
		return set_seed(field, value);
	case OPT_TEXT:
		*(const char **)field = value;
		return true;
	case OPT_WORD:
		*(int *)field = find_word(o->words, value);
		return *(int *)field >= 0;
	case OPT_FAULT:
		return c->faults < FAULT_MAX && fault_parse(&c->fault[c->faults++], value);
	case OPT_RANDOM:
		if (!set_seed(&seed, value))
			return false;
		config_random(c, seed);
		return true;
	default:
		return false;
	}
}

static int do_flag(struct config *c, const struct option *o)
{
	if (o->kind == OPT_FLAG) {
		*(int *)((char *)c + o->offset) = 1;
		return 0;
	}
	if (o->kind == OPT_FAULTS)
		fault_list(stdout);
	else if (o->kind == OPT_CHANNELS)
		list_channels();
	else
		help();
	return 1;
}

int config_parse(struct config *c, int argc, char **argv)
{
	for (int i = 1; i < argc; i++) {
		const char *const arg = strcmp(argv[i], "-o") == 0 ? "--out" : argv[i];
		const size_t length = strncmp(arg, "--", 2) == 0 ? strcspn(arg + 2, "=") : 0;
		const struct option *const o = length > 0 ? find_option(arg + 2, length) : NULL;

		if (o == NULL) {
			fprintf(stderr, "sim: unknown option %s; try --help\n", argv[i]);
			return 2;
		}
		if (o->kind == OPT_FLAG || o->kind >= OPT_HELP) {
			if (do_flag(c, o) != 0)
				return 1;
			continue;
		}
		const char *const value = arg[2 + length] == '=' ? arg + 3 + length
					  : i + 1 < argc         ? argv[++i]
								 : "";
		if (!set_value(c, o, value)) {
			fprintf(stderr, "sim: --%s does not take \"%s\"; try --help\n", o->name,
				value);
			return 2;
		}
	}
	return 0;
}
