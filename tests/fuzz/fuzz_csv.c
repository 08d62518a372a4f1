/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * libFuzzer entry for the CSV reader; a first byte below 5 chooses what is forced:
 *     clang -g -fsanitize=fuzzer,address,undefined ... && ./fuzz_csv tests/data/corpus
 */
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include "data/csv_read.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* Aborts when what the headers promise does not hold. */
static void check_log(const struct datalog *log)
{
	size_t i;

	if (log->rows < 2 || log->section_count < 1 || log->place_count > DATALOG_PLACES)
		abort();
	for (i = 1; i < log->rows; i++)
		if (!(log->time[i] >= log->time[i - 1]))
			abort();
	for (i = 0; i < log->channel_count; i++)
		if (column_rows(log->channels[i].column) != log->rows)
			abort();
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	static const struct csv_options forced[] = {
		{ 0 },
		{ .separator = ';', .decimal = ',' },
		{ .header_line = 2 },
		{ .header_line = -1, .rate = 20 },
		{ .time_name = "time" },
	};
	const struct csv_options *options = NULL;
	struct datalog *log;
	struct err e = ERR_INIT;

	/* No text begins so: the corpus itself is read as it is. */
	if (size > 0 && data[0] < 5) {
		options = &forced[data[0]];
		data++;
		size--;
	}
	if (csv_read_memory("fuzz", (const char *)data, size, options, &log, &e) == ERR_NONE)
		check_log(log);
	else if (log != NULL || e.text[0] == '\0')
		abort();
	datalog_free(log);
	return 0;
}
