/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What a command costs once a log is in memory, as ratios within one run:
 *
 *     bench_stats [--small] [--rounds N]
 *
 * The statistics of a span that is half of a log of 10 million rows and 30 channels,
 * against one pass that unpacks the same samples with their times and sums them; and what
 * comes after reading (names, derived channels, pulls), against reading, for a log of
 * 109 MB.  --small: a tenth of both.  Exit status: 0, 1 when a target is missed, 2 for
 * trouble.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/mem.h"
#include "base/path.h"
#include "base/ticks.h"
#include "bench/bench_util.h"
#include "bench/large_log.h"
#include "calc/load.h"
#include "data/csv_read.h"
#include "data/recognise.h"
#include "out/out_stats.h"

#define ROWS 10000000
#define CHANNELS 30
#define LOG_BYTES 109000000
#define BLOCK 65536		/* rows packed together */
#define LOOK 4096		/* rows summed together */
#define TARGET_SPAN 3.0
#define TARGET_LOAD 3.0		/* a guard, not an aim: every row of some channels is unpacked */

struct settings {
	int rounds;
	size_t shrink;
	bool is_short;
};

/* ---- a log in memory ---- */

/* A channel that wanders, with `decimals`; the first is engine speed. */
static struct column *make_column(struct datalog *log, size_t rows, size_t which)
{
	struct column *c = column_new();
	struct pool_share share = { NULL, 0 };
	uint32_t state = 20310512u + (uint32_t)which;
	int32_t v = which == 0 ? 3000 : 500;
	int32_t block[BLOCK];
	size_t row = 0;

	while (row < rows) {
		struct packed packed;
		size_t n;

		for (n = 0; n < BLOCK && row < rows; n++, row++) {
			state = state * 1664525u + 1013904223u;
			v += (int32_t)(state >> 28) - 7;
			v = v < 100 ? 100 : v > 9000 ? 9000 : v;
			block[n] = v;
		}
		if (!packed_ints(&packed, block, n, (int)(which % 3), log->pool, &share) ||
		    !column_append(c, &packed))
			abort();
	}
	return c;
}

static struct datalog *make_log(size_t rows)
{
	struct datalog *log = datalog_new("in memory");
	size_t i;

	log->rows = rows;
	log->time = mem_array(rows, sizeof *log->time);
	for (i = 0; i < rows; i++)
		log->time[i] = 0.01 * (double)i;
	log->sections = mem_alloc(sizeof *log->sections);
	log->section_count = 1;
	for (i = 0; i < CHANNELS; i++) {
		char *name = i == 0 ? mem_strdup("rpm") : mem_printf("channel %zu", i);

		datalog_add(log, name, "", make_column(log, rows, i));
		free(name);
	}
	recognise_all(log);
	return log;
}

/* One pass over rows first .. last of all channels. */
static double read_once(const struct datalog *log, size_t first, size_t last)
{
	double v[LOOK];
	double sum = 0.0;
	size_t c, row, i;

	for (c = 0; c < log->channel_count; c++)
		for (row = first; row <= last; row += LOOK) {
			const size_t n = last + 1 - row < LOOK ? last + 1 - row : LOOK;

			column_get(log->channels[c].column, row, n, v);
			for (i = 0; i < n; i++)
				sum += v[i] + log->time[row + i];
		}
	return sum;
}

static void bench_span(struct settings *s)
{
	const size_t rows = ROWS / s->shrink;
	const struct loaded loaded = { make_log(rows), PULLS_INIT, true };
	const struct log_ref whole = { NULL, REF_WHOLE, 0 };
	struct overlay o = { .axis = AXIS_TIME, .align = ALIGN_CLOCK, .crossing = NAN };
	struct pairing pairs = PAIRING_INIT;
	double ratios[MOST_ROUNDS];
	double seconds[MOST_ROUNDS];
	volatile double sum;
	int round;

	if (load_run(&loaded, &whole, &o.a, NULL) != ERR_NONE)
		abort();
	overlay_align(&o);
	pairing_build(&pairs, o.a.log, NULL, UNITS_FILE);
	for (round = 0; round < s->rounds; round++) {
		struct span_stats span = SPAN_STATS_INIT;
		double from = ticks_now();
		double once;

		sum = read_once(loaded.log, rows / 4, rows * 3 / 4);
		once = ticks_now() - from;
		from = ticks_now();
		if (span_stats_compute(&span, &o, &pairs, 0.01 * (double)(rows / 4),
				       0.01 * (double)(rows * 3 / 4), NULL) != ERR_NONE)
			abort();
		seconds[round] = ticks_now() - from;
		ratios[round] = seconds[round] / once;
		span_stats_release(&span);
	}
	(void)sum;
	printf("statistics of half of %zu rows, %d channels: %.0f ms\n", rows, CHANNELS,
	       1e3 * bench_median(seconds, s->rounds));
	s->is_short |= !bench_judge("times reading the same samples once",
				    bench_median(ratios, s->rounds), TARGET_SPAN, true);
	pairing_release(&pairs);
	overlay_release(&o);
	datalog_free(loaded.log);
}

/* ---- behind reading ---- */

static bool bench_load(struct settings *s, const char *path)
{
	static const struct load_options guess_all;
	double shares[MOST_ROUNDS];
	double seconds[MOST_ROUNDS];
	int round;

	for (round = 0; round < s->rounds; round++) {
		double from = ticks_now();
		struct datalog *log;
		struct loaded loaded;
		double reading;

		if (csv_read(path, NULL, &log, NULL) != ERR_NONE)
			return false;
		reading = ticks_now() - from;
		from = ticks_now();
		if (load_finish(log, &guess_all, &loaded, NULL) != ERR_NONE)
			return false;
		seconds[round] = ticks_now() - from;
		shares[round] = seconds[round] / reading;
		loaded_release(&loaded);
	}
	printf("names, derived channels, pulls: %.0f ms\n", 1e3 * bench_median(seconds, s->rounds));
	s->is_short |= !bench_judge("times reading", bench_median(shares, s->rounds),
				    TARGET_LOAD, true);
	return true;
}

int main(int argc, char **argv)
{
	struct settings s = { .rounds = 5, .shrink = 1 };
	char dir[] = "/tmp/twinpull-bench-XXXXXX";
	char *path;
	bool ok;
	int i;

	for (i = 1; i < argc; i++) {
		if (strcmp(argv[i], "--small") == 0)
			s.shrink = 10;
		else if (strcmp(argv[i], "--rounds") == 0 && i + 1 < argc)
			s.rounds = atoi(argv[++i]);
	}
	if (s.rounds < 1 || s.rounds > MOST_ROUNDS || mkdtemp(dir) == NULL) {
		fprintf(stderr, "usage: bench_stats [--small] [--rounds N]\n");
		return 2;
	}
	mem_keep();
	path = path_join(dir, "log.csv");
	bench_span(&s);
	ok = large_log_write(path, LOG_BYTES / s.shrink, false) && bench_load(&s, path);
	unlink(path);
	rmdir(dir);
	free(path);
	if (!ok)
		return 2;
	printf("%s\n", s.is_short ? "bench_stats: short of a target" : "bench_stats: all pass");
	return s.is_short ? 1 : 0;
}
