/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * How fast, and in how much memory, logs are read, as ratios within one run: against
 * `wc -l`, which does nothing but count lines, and against other readers where they are
 * installed.
 *
 *     bench_reader [--small] [--rounds N]
 *
 * Logs are made in a temporary directory (--small: of a tenth of the size).  In each
 * round every program reads the log once, one after another; a ratio is the median of
 * those of the rounds, so that what else the machine does falls out.  Our own is
 * csv_dump, which does nothing but read.  Exit status: 0, 1 when a target is missed, 2
 * for trouble.
 */
#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "base/mem.h"
#include "base/path.h"
#include "bench/bench_util.h"
#include "bench/large_log.h"

#ifndef BUILDDIR
#define BUILDDIR "."
#endif

#define MOST_PEERS 8
#define MB ((size_t)1000000)

enum log { SMALL, MIDDLE, LARGE, QUOTED, LOGS };

static const struct {
	const char *name;
	size_t bytes;
	bool quoted;
} logs[LOGS] = {
	{ "1.1 MB", 1100000, false },
	{ "109 MB", 109 * MB, false },
	{ "553 MB", 553 * MB, false },
	{ "109 MB, quoted", 109 * MB, true },
};

/* A program that reads a log; "LOG" stands for its path. */
struct reader {
	const char *name;
	const char *argv[10];
	const char *probe[5];	/* ends with 0 where it is installed; empty: always */
	int threads;		/* 1, or 2 for as many as it wants */
	const char *env;	/* NAME=VALUE more, or NULL */
};

#define RSCRIPT(n) { "Rscript", "--vanilla", "-e", \
	"suppressMessages(library(data.table)); a <- commandArgs(TRUE); " \
	"d <- fread(a[1], nThread=" n ", showProgress=FALSE)", "LOG", NULL }
#define PROBE_R { "Rscript", "--vanilla", "-e", "library(data.table)", NULL }
#define HUGE_PAGES "GLIBC_TUNABLES=glibc.malloc.hugetlb=1"

static const struct reader count_lines = { .name = "wc -l", .argv = { "wc", "-l", "LOG" } };

static const struct reader ours[] = {
	{ .name = "one thread", .threads = 1,
	  .argv = { BUILDDIR "/csv_dump", "LOG", "--summary", "auto", "1" } },
	{ .name = "two threads", .threads = 2,
	  .argv = { BUILDDIR "/csv_dump", "LOG", "--summary", "auto", "2" } },
};

static const struct reader peers[] = {
	{ .name = "data.table, 2 threads", .threads = 2, .argv = RSCRIPT("2"), .probe = PROBE_R },
	{ .name = "the same, huge pages", .threads = 2, .argv = RSCRIPT("2"), .probe = PROBE_R,
	  .env = HUGE_PAGES },
	{ .name = "data.table, 1 thread", .threads = 1, .argv = RSCRIPT("1"), .probe = PROBE_R },
	{ .name = "the same, huge pages", .threads = 1, .argv = RSCRIPT("1"), .probe = PROBE_R,
	  .env = HUGE_PAGES },
	{ .name = "pandas", .threads = 1,
	  .argv = { "/usr/bin/python3", "-c",
		    "import sys, pandas; pandas.read_csv(sys.argv[1], engine='c')", "LOG" },
	  .probe = { "/usr/bin/python3", "-c", "import pandas" } },
	{ .name = "numpy loadtxt", .threads = 1,
	  .argv = { "/usr/bin/python3", "-c", "import sys, numpy; numpy.loadtxt(sys.argv[1], "
		    "delimiter=',', skiprows=1, quotechar='\"')", "LOG" },
	  .probe = { "/usr/bin/python3", "-c",
		     "import numpy; exit(int(numpy.__version__.split('.')[1]) < 23)" } },
};

#define OURS (sizeof(ours) / sizeof(ours[0]))
#define PEERS (sizeof(peers) / sizeof(peers[0]))

/* What a round of a reader took. */
struct figure {
	double seconds[MOST_ROUNDS];
	double bytes;		/* of memory at its peak, of the last round */
};

struct bench {
	char *dir;
	int rounds;
	size_t shrink;		/* divides the sizes of the logs */
	bool has_peer[PEERS];
	bool is_short;
};

static void run_child(const char *const *argv, const char *env, const char *log)
{
	const char *with_log[12] = { NULL };
	const int null = open("/dev/null", O_RDWR);
	size_t i;

	for (i = 0; argv[i] != NULL; i++)
		with_log[i] = strcmp(argv[i], "LOG") == 0 ? log : argv[i];
	dup2(null, STDIN_FILENO);
	dup2(null, STDOUT_FILENO);
	dup2(null, STDERR_FILENO);
	if (env != NULL)
		putenv((char *)env);
	execvp(with_log[0], (char *const *)with_log);
	_exit(127);
}

/* Seconds of one run, NaN when it failed. */
static double run(const char *const *argv, const char *env, const char *log, double *bytes)
{
	const double from = bench_now();
	const pid_t child = fork();
	struct rusage before;
	struct rusage after;
	int status = -1;

	if (child == 0)
		run_child(argv, env, log);
	getrusage(RUSAGE_CHILDREN, &before);
	if (child < 0 || waitpid(child, &status, 0) != child || status != 0)
		return NAN;
	getrusage(RUSAGE_CHILDREN, &after);
	/* The peak of all children so far: of this one, if it is the largest yet. */
	*bytes = after.ru_maxrss > before.ru_maxrss ? 1024.0 * (double)after.ru_maxrss : 0;
	return bench_now() - from;
}

/* Median over the rounds of how many times as long a took as b. */
static double ratio(const struct bench *b, const struct figure *x, const struct figure *y)
{
	double ratios[MOST_ROUNDS];
	int i;

	for (i = 0; i < b->rounds; i++)
		ratios[i] = x->seconds[i] / y->seconds[i];
	return bench_median(ratios, b->rounds);
}

/* A line of the table; `most`: the figure may be that at most, else at least. */
static void judge(struct bench *b, const char *what, double figure, double target, bool most)
{
	b->is_short = !bench_judge(what, figure, target, most) || b->is_short;
}

static double file_size(const char *path)
{
	struct stat st;

	return stat(path, &st) == 0 ? (double)st.st_size : NAN;
}

struct figures {
	struct figure lines;
	struct figure ours[OURS];
	struct figure peers[PEERS];
};

static void run_rounds(const struct bench *b, const char *path, struct figures *f)
{
	double bytes;
	int round;
	size_t i;

	for (round = 0; round < b->rounds; round++) {
		f->lines.seconds[round] = run(count_lines.argv, NULL, path, &bytes);
		for (i = 0; i < OURS; i++)
			f->ours[i].seconds[round] = run(ours[i].argv, NULL, path, &bytes);
		for (i = 0; i < PEERS; i++)
			if (b->has_peer[i])
				f->peers[i].seconds[round] = run(peers[i].argv, peers[i].env, path,
								 &bytes);
	}
}

/* Peak memory: in a child of its own, so that no other is larger. */
static double peak_bytes(const struct reader *r, const char *path)
{
	int ends[2];
	double bytes = NAN;
	pid_t child;

	if (pipe(ends) != 0)
		return NAN;
	child = fork();
	if (child == 0) {
		if (isnan(run(r->argv, r->env, path, &bytes)) ||
		    write(ends[1], &bytes, sizeof(bytes)) < 0)
			_exit(1);
		_exit(0);
	}
	close(ends[1]);
	if (read(ends[0], &bytes, sizeof(bytes)) != sizeof(bytes))
		bytes = NAN;
	close(ends[0]);
	waitpid(child, NULL, 0);
	return bytes;
}

/* The quickest peer of so many threads, or NULL. */
static const struct figure *best_peer(const struct bench *b, const struct figures *f, int threads,
				      const char **name)
{
	const struct figure *best = NULL;
	size_t i;

	for (i = 0; i < PEERS; i++) {
		if (!b->has_peer[i] || peers[i].threads > threads ||
		    isnan(bench_median(f->peers[i].seconds, b->rounds)))
			continue;
		if (best == NULL || bench_median(f->peers[i].seconds, b->rounds) <
				    bench_median(best->seconds, b->rounds)) {
			best = &f->peers[i];
			*name = peers[i].name;
		}
	}
	return best;
}

static void judge_peers(struct bench *b, const struct figures *f, int threads, double target)
{
	const char *name = "";
	const struct figure *best = best_peer(b, f, threads, &name);
	char what[128];

	if (best == NULL) {
		printf("  %-52s skipped: no other reader is installed\n", "against the best of others");
		return;
	}
	snprintf(what, sizeof(what), "%s: times faster than %s", ours[threads - 1].name, name);
	judge(b, what, ratio(b, best, &f->ours[threads - 1]), target, false);
}

static void print_times(const struct bench *b, const struct figures *f, double size)
{
	size_t i;

	printf("  %-52s %8.1f ms %8.0f MB/s\n", count_lines.name,
	       1e3 * bench_median(f->lines.seconds, b->rounds),
	       size / 1e6 / bench_median(f->lines.seconds, b->rounds));
	for (i = 0; i < OURS; i++)
		printf("  %-52s %8.1f ms %8.0f MB/s, %.2f x wc -l\n", ours[i].name,
		       1e3 * bench_median(f->ours[i].seconds, b->rounds),
		       size / 1e6 / bench_median(f->ours[i].seconds, b->rounds),
		       ratio(b, &f->ours[i], &f->lines));
	for (i = 0; i < PEERS; i++)
		if (b->has_peer[i])
			printf("  %-30s (%d thread%s) %10s %8.1f ms %8.0f MB/s\n", peers[i].name,
			       peers[i].threads, peers[i].threads == 1 ? "" : "s", "",
			       1e3 * bench_median(f->peers[i].seconds, b->rounds),
			       size / 1e6 / bench_median(f->peers[i].seconds, b->rounds));
}

static void judge_log(struct bench *b, enum log log, const char *path, const struct figures *f)
{
	const double size = file_size(path);
	double peak;

	switch (log) {
	case SMALL:
		judge(b, "whole process, times wc -l", ratio(b, &f->ours[1], &f->lines), 1.5, true);
		return;
	case LARGE:
		judge(b, "two threads, times wc -l", ratio(b, &f->ours[1], &f->lines), 2.5, true);
		judge_peers(b, f, 2, 7);
		judge_peers(b, f, 1, 4);
		break;
	case QUOTED:
		judge_peers(b, f, 1, 1);
		break;
	default:
		break;
	}
	peak = peak_bytes(&ours[1], path);
	if (log == QUOTED)
		judge(b, "peak memory, times the file", peak / size, 1.6, true);
	else
		judge(b, "peak memory without 6 MB, times the file", (peak - 6e6) / size, 0.35,
		      true);
}

static bool measure(struct bench *b, enum log log)
{
	char *path = path_join(b->dir, "log.csv");
	struct figures *f = mem_alloc(sizeof(*f));
	const bool ok = large_log_write(path, logs[log].bytes / b->shrink, logs[log].quoted);

	if (ok) {
		printf("%s%s\n", logs[log].name, b->shrink > 1 ? " (a tenth of it)" : "");
		run_rounds(b, path, f);
		print_times(b, f, file_size(path));
		judge_log(b, log, path, f);
		fflush(stdout);
	} else {
		fprintf(stderr, "bench_reader: %s: %s\n", path, strerror(errno));
	}
	unlink(path);
	free(path);
	free(f);
	return ok;
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
	double bytes;
	bool ok = true;
	size_t i;
	int log;

	if (!take_arguments(&b, argc, argv)) {
		fprintf(stderr, "usage: bench_reader [--small] [--rounds N]\n");
		return 2;
	}
	b.dir = path_join(tmp != NULL ? tmp : "/tmp", "twinpull-bench-XXXXXX");
	if (mkdtemp(b.dir) == NULL) {
		fprintf(stderr, "bench_reader: %s: %s\n", b.dir, strerror(errno));
		return 2;
	}
	for (i = 0; i < PEERS; i++) {
		b.has_peer[i] = !isnan(run(peers[i].probe, NULL, NULL, &bytes));
		if (!b.has_peer[i])
			printf("%s: skipped, not installed\n", peers[i].name);
	}
	for (log = 0; ok && log < LOGS; log++)
		ok = measure(&b, (enum log)log);
	rmdir(b.dir);
	free(b.dir);
	if (!ok)
		return 2;
	printf("%s\n", b.is_short ? "bench_reader: short of a target" : "bench_reader: all pass");
	return b.is_short ? 1 : 0;
}
