/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What is computed once a log is in memory, as ratios within one run: the statistics of a
 * span against reading its samples, and what comes after reading a log (recognising,
 * deriving, finding pulls) against reading it.
 *
 *     bench_stats [--small] [--rounds N]
 *
 * Exit status: 0, 1 when a target is missed, 2 for trouble.
 */
#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/mem.h"
#include "base/path.h"
#include "bench/bench_util.h"
#include "bench/large_log.h"
#include "calc/derive.h"
#include "calc/overlay.h"
#include "calc/pairing.h"
#include "calc/pull.h"
#include "data/csv_read.h"
#include "data/recognise.h"
#include "out/out_stats.h"

#define CHANNELS 30
#define ROWS 10000000
#define RATE 100.0		/* rows a second */
#define PACK 2048		/* rows packed together, about as many as the reader does */
#define BLOCK 512		/* samples read at once */
#define ARRAYS 4		/* of doubles, in turn, so that they do not stay in a cache */
#define LOG_BYTES 109000000
#define TARGET_STATS 3.0
/* A guard, not an aim: every row of four channels is looked at, and 30 channels in part. */
#define TARGET_AFTER 0.75

struct bench {
	int rounds;
	size_t shrink;		/* divides the sizes */
	bool is_short;
};

static void judge(struct bench *b, const char *what, double figure, double target)
{
	b->is_short = !bench_judge(what, figure, target, true) || b->is_short;
	fflush(stdout);
}

/* xorshift64* (S. Vigna, 2016). */
static uint32_t draw(uint64_t *state)
{
	*state ^= *state >> 12;
	*state ^= *state << 25;
	*state ^= *state >> 27;
	return (uint32_t)(*state * UINT64_C(2685821657736338717) >> 32);
}

/* Channel i: 0 to 3 decimals, 200 to 20,000 levels, wandering slowly or fast, or noise. */
static struct column *make_column(struct datalog *log, size_t i, struct pool_share *share)
{
	const int32_t top = (int32_t)(200 + i * i * 22);
	const int32_t step = i % 5 == 4 ? top : 1 + top / (int32_t)(20 << i % 4);
	struct column *c = column_new();
	uint64_t state = 20310512 + i;
	int32_t v[PACK];
	int32_t at = top / 2;
	size_t row, k, n;

	for (row = 0; row < log->rows; row += n) {
		struct packed packed;

		n = log->rows - row < PACK ? log->rows - row : PACK;
		for (k = 0; k < n; k++) {
			at += (int32_t)(draw(&state) % (uint32_t)(2 * step + 1)) - step;
			at = abs(at);
			at = at > top ? 2 * top - at : at;
			v[k] = at;
		}
		if (!packed_ints(&packed, v, n, (int)(i % 4), log->pool, share) ||
		    !column_append(c, &packed))
			exit(2);
	}
	column_set_decimals(c, (int)(i % 4));
	return c;
}

static struct datalog *make_log(size_t rows)
{
	struct datalog *log = datalog_new("made");
	struct pool_share share = { 0 };
	char name[16];
	size_t i;

	log->rows = rows;
	log->time = mem_array(rows, sizeof(*log->time));
	for (i = 0; i < rows; i++)
		log->time[i] = (double)i / RATE;
	for (i = 0; i < CHANNELS; i++) {
		struct channel *ch;

		snprintf(name, sizeof(name), "made %zu", i);
		ch = datalog_add(log, name, "", make_column(log, i, &share));
		if (i == CHANNELS - 1) {
			ch->quantity = quantity_get(Q_RPM);
			ch->unit = unit_find("rpm", NULL);
		}
	}
	return log;
}

/* The rows of a span over half of the log. */
static size_t first_row(const struct datalog *log)
{
	return log->rows / 4;
}

static size_t row_count(const struct datalog *log)
{
	return log->rows / 2 + 1;
}

static double time_stats(const struct datalog *log, double *sum)
{
	const size_t last = first_row(log) + row_count(log) - 1;
	const struct pulls none = PULLS_INIT;
	struct span_stats s = SPAN_STATS_INIT;
	struct pairing pairs = PAIRING_INIT;
	struct overlay o;
	struct err e = ERR_INIT;
	double seconds;

	memset(&o, 0, sizeof(o));
	o.axis = AXIS_TIME;
	if (run_init(&o.a, log, &none, RUN_WHOLE, &e) != ERR_NONE)
		exit(2);
	pairing_build(&pairs, log, NULL, UNITS_FILE);
	seconds = bench_now();
	if (span_stats_compute(&s, &o, &pairs, log->time[first_row(log)], log->time[last],
			       &e) != ERR_NONE)
		exit(2);
	seconds = bench_now() - seconds;
	*sum += s.a[0].field[STATS_MEAN];
	if (s.a[0].field[STATS_N] != (double)row_count(log))
		exit(2);
	span_stats_release(&s);
	pairing_release(&pairs);
	overlay_release(&o);
	return seconds;
}

/* One pass over the same samples, where they lie. */
static double time_reading(const struct datalog *log, double *sum)
{
	const size_t behind = first_row(log) + row_count(log);
	const double from = bench_now();
	double v[BLOCK];
	size_t c, row, i, n;

	for (c = 0; c < log->channel_count; c++)
		for (row = first_row(log); row < behind; row += n) {
			n = behind - row < BLOCK ? behind - row : BLOCK;
			column_get(log->channels[c].column, row, n, v);
			for (i = 0; i < n; i++)
				*sum += v[i];
		}
	return bench_now() - from;
}

/* A sum over as many doubles in memory. */
static double time_doubles(double *const *v, size_t n, double *sum)
{
	const double from = bench_now();
	size_t c, i;

	for (c = 0; c < CHANNELS; c++)
		for (i = 0; i < n; i++)
			*sum += v[c % ARRAYS][i];
	return bench_now() - from;
}

static void print_time(const char *what, double seconds, double samples)
{
	printf("  %-52s %8.1f ms %8.2f ns a sample\n", what, 1e3 * seconds,
	       1e9 * seconds / samples);
}

static void measure_stats(struct bench *b)
{
	struct datalog *log = make_log(ROWS / b->shrink);
	const size_t n = row_count(log);
	const double samples = (double)n * CHANNELS;
	double stats[MOST_ROUNDS], reading[MOST_ROUNDS], doubles[MOST_ROUNDS];
	double to_reading[MOST_ROUNDS], to_doubles[MOST_ROUNDS];
	double *v[ARRAYS];
	double sum = 0;
	size_t k;
	int i;

	for (k = 0; k < ARRAYS; k++)
		v[k] = mem_array(n, sizeof(**v));
	for (k = 0; k < n * ARRAYS; k++)
		v[k % ARRAYS][k / ARRAYS] = (double)(k % 1000);
	for (i = 0; i < b->rounds; i++) {
		stats[i] = time_stats(log, &sum);
		reading[i] = time_reading(log, &sum);
		doubles[i] = time_doubles(v, n, &sum);
		to_reading[i] = stats[i] / reading[i];
		to_doubles[i] = stats[i] / doubles[i];
	}
	printf("span of %zu rows, %d channels%s\n", n, CHANNELS, isnan(sum) ? "!" : "");
	print_time("statistics", bench_median(stats, b->rounds), samples);
	print_time("reading the samples, and their sum", bench_median(reading, b->rounds), samples);
	print_time("the sum of as many doubles", bench_median(doubles, b->rounds), samples);
	printf("  %-52s %8.2f\n", "statistics, times that", bench_median(to_doubles, b->rounds));
	judge(b, "statistics, times reading the samples", bench_median(to_reading, b->rounds),
	      TARGET_STATS);
	for (k = 0; k < ARRAYS; k++)
		free(v[k]);
	datalog_free(log);
}

/* Reads a log and what comes then; the seconds of each. */
static bool time_log(const char *path, double *read, double *after)
{
	const struct csv_options options = { 0 };
	struct pulls pulls = PULLS_INIT;
	struct datalog *log = NULL;
	struct err e = ERR_INIT;
	double from = bench_now();
	bool ok = csv_read(path, &options, &log, &e) == ERR_NONE;

	*read = bench_now() - from;
	from = bench_now();
	if (ok) {
		recognise_all(log);
		ok = derive_all(log, &e) == ERR_NONE &&
			pull_find(log, NULL, &pulls, &e) == ERR_NONE;
	}
	*after = bench_now() - from;
	pulls_release(&pulls);
	datalog_free(log);
	return ok;
}

static bool measure_log(struct bench *b, const char *path)
{
	double read[MOST_ROUNDS], after[MOST_ROUNDS], shares[MOST_ROUNDS];
	bool ok = large_log_write(path, LOG_BYTES / b->shrink, false);
	int i;

	for (i = 0; ok && i < b->rounds; i++) {
		ok = time_log(path, &read[i], &after[i]);
		shares[i] = after[i] / read[i];
	}
	if (!ok)
		return false;
	printf("109 MB%s\n", b->shrink > 1 ? " (a tenth of it)" : "");
	printf("  %-52s %8.1f ms\n", "reading", 1e3 * bench_median(read, b->rounds));
	printf("  %-52s %8.1f ms\n", "what comes after", 1e3 * bench_median(after, b->rounds));
	judge(b, "what comes after reading, as a share of it", bench_median(shares, b->rounds),
	      TARGET_AFTER);
	return true;
}

static bool take_arguments(struct bench *b, int argc, char **argv)
{
	int i;

	for (i = 1; i < argc; i++) {
		if (strcmp(argv[i], "--small") == 0)
			b->shrink = 10;
		else if (strcmp(argv[i], "--rounds") == 0 && i + 1 < argc)
			b->rounds = atoi(argv[++i]);
		else
			return false;
	}
	return b->rounds >= 1 && b->rounds <= MOST_ROUNDS;
}

int main(int argc, char **argv)
{
	const char *tmp = getenv("TMPDIR");
	struct bench b = { .rounds = 5, .shrink = 1 };
	char *path;
	int fd;
	bool ok;

	if (!take_arguments(&b, argc, argv)) {
		fprintf(stderr, "usage: bench_stats [--small] [--rounds N]\n");
		return 2;
	}
	path = path_join(tmp != NULL ? tmp : "/tmp", "twinpull-bench-XXXXXX");
	fd = mkstemp(path);
	ok = fd >= 0 && close(fd) == 0;
	if (ok) {
		measure_stats(&b);
		ok = measure_log(&b, path);
		unlink(path);
	}
	if (!ok)
		fprintf(stderr, "bench_stats: %s: %s\n", path, strerror(errno));
	else
		printf("bench_stats: %s\n", b.is_short ? "short of a target" : "all pass");
	free(path);
	return !ok ? 2 : b.is_short ? 1 : 0;
}
