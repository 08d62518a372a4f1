/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Everything that can be asked of the simulator; see options.c for the words. */
#ifndef SIM_CONFIG_H
#define SIM_CONFIG_H

#include <stdbool.h>
#include <stdint.h>

#include "air.h"
#include "car.h"
#include "channel.h"
#include "drive.h"
#include "fault.h"
#include "plan.h"

enum separator { SEP_COMMA, SEP_SEMICOLON, SEP_TAB, SEP_PIPE };
enum quoting { QUOTE_NEEDED, QUOTE_HEADER, QUOTE_ALL };
enum line_end { EOL_LF, EOL_CRLF, EOL_CR };
enum encoding { ENC_UTF8, ENC_UTF8_BOM, ENC_UTF16LE, ENC_UTF16BE, ENC_LATIN1 };
enum unit_place { UNITS_PAREN, UNITS_BRACKET, UNITS_ROW, UNITS_TAIL, UNITS_NONE };
enum trailing { TRAIL_NONE, TRAIL_ROWS, TRAIL_ALL };
enum time_form { TIME_S, TIME_MS, TIME_HMS, TIME_MINSEC, TIME_ISO, TIME_NONE };
enum unit_system { SYSTEM_METRIC, SYSTEM_US, SYSTEM_MIXED };
enum poll_style { POLL_BLANK, POLL_HOLD };

struct dialect {
	int sep, decimal_comma, quoting, eol, encoding, units, trailing;
	int preamble, comments, inner_comments, blank_lines, repeat_header;
	int no_header, no_final_eol, degree, space, ragged;
	const char *missing; /* what stands in an empty cell */
	const char *note;    /* a comment line at the very top, or NULL */
	int time;
	int time_decimals;  /* cut off, so that few of them repeat time stamps */
	double clock_start; /* the clock at the first row, s (of the day) */
	double clock_back;  /* half-way the clock jumps back by this, s */
};

struct config {
	uint64_t seed;
	struct plan_wish wish;
	int scenario, car_kind; /* copied into wish and car at the end */
	struct car car;
	double mass, limit; /* NaN: the car's own */
	struct air air;
	double ethanol; /* in the fuel, % */
	struct road road;
	/* sampling */
	double rate, jitter;          /* Hz; share of the period, 1 sd */
	int poll, poll_style;         /* channels come in this many turns */
	const char *fast;             /* ids that come in every row all the same */
	double drop_rows, drop_cells; /* chance of each */
	double gaps;                  /* holes of 0.1 to 0.5 s in the rows, per minute */
	double max_seconds;
	/* sensors */
	const char *channels;
	int style, system;
	double noise;
	int coarse, knock_negative;
	int more_decimals;                /* than usual, in every column of numbers */
	double map_max, maf_max;           /* ends of sensors, kPa and g/s; 0 none */
	double pedal_full, throttle_full; /* % shown at the end stop */
	int empty_column, duplicate_column;
	struct dialect dialect;
	struct fault fault[FAULT_MAX];
	int faults;
	/* output */
	const char *out, *truth;
	int no_samples, true_values;
	bool random;
};

void config_init(struct config *c);

/* Draws everything that makes a log difficult. */
void config_random(struct config *c, uint64_t seed);

/* Reads the command line. 0: go on, 1: help was printed, 2: wrong use (said on stderr). */
int config_parse(struct config *c, int argc, char **argv);

#endif
