/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Prints what the CSV reader makes of a file, for second_reader.py and for people:
 *     csv_dump FILE [--summary] [auto|straight|libcsv [THREADS [PIECE [WIDE]]]]
 * Lines are tab-separated: "error CODE TEXT", or "rows N", "note TEXT",
 * "channel N KIND RAW_NAME RAW_UNIT SAMPLES DECIMALS", "bad LINE FIELD TEXT",
 * "section FIRST SHIFT"; then for each row "row TIME VALUE..." with 17 digits, states
 * as words, missing values empty.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/num.h"
#include "data/csv_read.h"

static void print_summary(const struct datalog *log)
{
	static const char *const kinds[] = { "empty", "number", "state" };
	char number[NUM_TEXT];
	size_t i;

	printf("rows\t%zu\n", log->rows);
	printf("bad_rows\t%zu\nbad_cells\t%zu\nragged\t%zu\n", log->bad_rows, log->bad_cells,
	       log->ragged_rows);
	for (i = 0; i < log->note_count; i++)
		printf("note\t%s\n", log->notes[i]);
	for (i = 0; i < log->place_count; i++)
		printf("bad\t%zu\t%zu\t%s\n", log->places[i].line, log->places[i].field,
		       log->places[i].text);
	for (i = 0; i < log->section_count; i++)
		printf("section\t%zu\t%s\n", log->sections[i].first,
		       num_exact(number, log->sections[i].shift));
	for (i = 0; i < log->channel_count; i++) {
		const struct channel *ch = &log->channels[i];

		printf("channel\t%zu\t%s\t%s\t%s\t%zu\t%d\n", i, kinds[column_kind(ch->column)],
		       ch->raw_name, ch->raw_unit, column_samples(ch->column),
		       column_decimals(ch->column));
	}
	if (log->time_source == TIME_COLUMN)
		printf("time\t%zu\n", log->time_channel);
	else
		printf("time\t%s\n", log->time_source == TIME_RATE ? "rate" : "rows");
}

static void print_rows(const struct datalog *log)
{
	char number[NUM_TEXT];
	size_t row;
	size_t i;

	for (row = 0; row < log->rows; row++) {
		printf("row\t%s", num_exact(number, log->time[row]));
		for (i = 0; i < log->channel_count; i++) {
			const struct column *c = log->channels[i].column;
			const double v = column_at(c, row);

			if (column_kind(c) == COLUMN_STATE)
				printf("\t%s", column_word(c, v));
			else
				printf("\t%s", num_exact(number, v));
		}
		putchar('\n');
	}
}

/* Who reads, how many threads, how many bytes at once, and by what registers. */
static void take_options(int argc, char **argv, struct csv_options *o)
{
	if (argc > 0 && strcmp(argv[0], "straight") == 0)
		o->reader = CSV_READER_STRAIGHT;
	if (argc > 0 && strcmp(argv[0], "libcsv") == 0)
		o->reader = CSV_READER_LIBCSV;
	if (argc > 1)
		o->threads = (unsigned)strtoul(argv[1], NULL, 10);
	if (argc > 2)
		o->piece = strtoul(argv[2], NULL, 10);
	if (argc > 3)
		o->wide = (enum wide)strtoul(argv[3], NULL, 10);
}

int main(int argc, char **argv)
{
	const bool summary = argc > 2 && strcmp(argv[2], "--summary") == 0;
	struct csv_options options = { 0 };
	struct err e = ERR_INIT;
	struct datalog *log;

	if (argc < 2) {
		fprintf(stderr, "usage: csv_dump FILE [--summary] [READER [THREADS [PIECE [WIDE]]]]\n");
		return 2;
	}
	take_options(argc - 2 - summary, argv + 2 + summary, &options);
	if (csv_read(argv[1], &options, &log, &e) != ERR_NONE) {
		printf("error\t%d\t%s\n", (int)e.code, e.text);
		return 1;
	}
	print_summary(log);
	if (!summary)
		print_rows(log);
	datalog_free(log);
	return 0;
}
