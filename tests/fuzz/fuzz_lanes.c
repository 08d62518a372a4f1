/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * libFuzzer entry for the two ways of splitting a log: libcsv in one piece, and our own
 * splitter in pieces of a size that the first byte chooses.  Both must make the same
 * datalog of any bytes.
 */
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "data/csv_read.h"
#include "data/log_compare.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	struct csv_options whole = { .reader = CSV_READER_LIBCSV, .threads = 1,
				     .piece = (size_t)1 << 30 };
	struct csv_options pieces = { .reader = CSV_READER_STRAIGHT, .threads = 1, .piece = 40 };
	struct err e = ERR_INIT;
	struct err f = ERR_INIT;
	struct datalog *a;
	struct datalog *b;
	char text[512] = "";

	/* No text begins so: the corpus itself is read as it is. */
	if (size > 0 && data[0] < 7) {
		pieces.piece = (size_t)1 << (2 * data[0]);
		pieces.threads = data[0] % 3 == 2 ? 2 : 1;
		pieces.wide = (enum wide)(data[0] % WIDE_KINDS);
		whole.decimal = pieces.decimal = data[0] == 3 ? ',' : '\0';
		data++;
		size--;
	}
	csv_read_memory("fuzz", (const char *)data, size, &whole, &a, &e);
	csv_read_memory("fuzz", (const char *)data, size, &pieces, &b, &f);
	if ((a == NULL) != (b == NULL) || strcmp(e.text, f.text) != 0 ||
	    (a != NULL && !log_same(a, b, text, sizeof(text)))) {
		fprintf(stderr, "%s | %s | %s\n", e.text, f.text, text);
		abort();
	}
	datalog_free(a);
	datalog_free(b);
	return 0;
}
