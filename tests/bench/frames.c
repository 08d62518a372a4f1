/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * How long a frame takes to draw, at 200x50 with eight lanes, for logs from 10 thousand to
 * 50 million rows: at random windows, panning, zooming and moving the cursor.
 *
 *     bench_frames [--frames N] [--most ROWS]
 *
 * The logs are made in memory.  What is timed is frame_draw(), state to cells.  Beside it
 * stand the frames while lanes are loaded, which happens once, when they are first shown, and
 * how long that takes.  Exit status: 0, 1 when a target is missed, 2 for trouble.
 */
#include <math.h>
#include <poll.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "base/bell.h"
#include "base/mem.h"
#include "base/ticks.h"
#include "bench/bench_util.h"
#include "view/action.h"
#include "view/frame.h"
#include "view/lanes.h"

#define COLS 200
#define ROWS 50
#define LANES 8
#define MEDIAN_MS 1.5		/* targets, at 10 million rows */
#define P99_MS 4.0
#define FLAT 1.5		/* a frame at the most rows, times one at the fewest */
#define BYTES_A_ROW 150		/* about what a log and its lanes take, LANES channels */

static const size_t sizes[] = { 10000, 1000000, 10000000, 50000000 };

#define SIZES (sizeof(sizes) / sizeof(sizes[0]))
#define JUDGED 2		/* sizes[] that the targets are for */

struct bench {
	size_t frames;		/* for each size */
	size_t most;		/* rows */
	bool is_short;
};

/* What happens before a frame. */
enum kind { JUMP, SCROLL, ZOOM, PAN, STEP, KINDS };

static const char *const kind_names[KINDS] = {
	"another window", "half a screen on", "zoom", "pan by a column", "cursor step",
};

struct figures {
	double first_ms;	/* the first frame: lanes are loaded in it, or asked for */
	double while_ms;	/* the longest until all lanes are there */
	double loaded_ms;	/* how long that takes, on the clock */
	double median_ms;
	double p99_ms;
	double kind_ms[KINDS];	/* medians */
};

/* Of the processor, in this thread: what others do is not the frame's. */
static double now_ms(void)
{
	struct timespec t;

	clock_gettime(CLOCK_THREAD_CPUTIME_ID, &t);
	return 1e3 * (double)t.tv_sec + 1e-6 * (double)t.tv_nsec;
}

/* SplitMix64 (Steele, Lea and Flood 2014; constants from memory). */
static uint64_t draw(uint64_t *state)
{
	uint64_t z = *state += 0x9e3779b97f4a7c15u;

	z = (z ^ z >> 30) * 0xbf58476d1ce4e5b9u;
	z = (z ^ z >> 27) * 0x94d049bb133111ebu;
	return z ^ z >> 31;
}

static double draw_unit(uint64_t *state)
{
	return (double)(draw(state) >> 11) / 9007199254740992.0;
}

/* ---- a log ---- */

/*
 * A noisy wave over the log, in steps of a tenth: a picture of it looks the same for any
 * number of rows, so that only these make a difference.  One channel has blanks.
 */
static bool add_channel(struct datalog *log, int number, uint64_t *state)
{
	const double turn = (20.0 + 3.0 * number) * acos(-1.0) / (double)log->rows;
	struct column *c = column_new();
	char name[16];
	size_t i;

	for (i = 0; i < log->rows; i++) {
		const double v = 500.0 + 400.0 * sin(turn * (double)i) + 40.0 * draw_unit(state);

		if (!column_push(c, number == 0 && i % 7 == 0 ? NAN : round(10.0 * v) / 10.0))
			return false;
	}
	snprintf(name, sizeof(name), "c%d", number);
	datalog_add(log, name, "", c);
	return column_seal(c);
}

static struct datalog *make_log(size_t rows, uint64_t *state)
{
	struct datalog *log = datalog_new("bench");
	int k;
	size_t i;

	log->rows = rows;
	log->time = mem_try_array(rows, sizeof(*log->time));
	log->sections = mem_array(1, sizeof(*log->sections));
	log->section_count = 1;
	for (i = 0; log->time != NULL && i < rows; i++)
		log->time[i] = 0.01 * (double)i + 1e-4 * draw_unit(state);
	for (k = 0; log->time != NULL && k < LANES; k++)
		if (!add_channel(log, k, state))
			return NULL;
	return log->time == NULL ? NULL : log;
}

static struct view *open_view(struct datalog *log, struct limits *limits, struct car *car,
			      struct errands *loader)
{
	struct loaded loaded = LOADED_INIT;
	char path[] = "bench";
	struct log_ref ref = { path, REF_WHOLE, 0 };
	struct view_start start = { 0 };
	struct view *v = NULL;
	struct err e = ERR_INIT;

	loaded.log = log;
	limits_init(limits);
	car_init(car);
	start.a = &loaded;
	start.ref_a = &ref;
	start.crossing = NAN;
	start.axis = -1;
	start.glyphs = GLYPH_BRAILLE;
	start.channels = "c0,c1,c2,c3,c4,c5,c6,c7";
	start.loader = loader;
	start.limits = limits;
	start.car = car;
	start.rows = ROWS;
	start.cols = COLS;
	if (view_new(&v, &start, &e) != ERR_NONE)
		fprintf(stderr, "bench_frames: %s\n", e.text);
	return v;
}

/* ---- frames ---- */

/* Somewhere, from a thousandth of the log to all of it wide. */
static void jump(struct view *v, uint64_t *state)
{
	double low, high, width, from;

	overlay_range(&v->overlay, false, &low, &high);
	width = (high - low) * pow(10.0, -3.0 * draw_unit(state));
	from = low + (high - low - width) * draw_unit(state);
	view_window(v, from, from + width);
	v->cursor[v->active] = from + width * draw_unit(state);
}

/* At each window in turn what a person does there: keys are held down more than struck. */
static enum kind move(struct view *v, size_t number, uint64_t *state)
{
	static const struct {
		enum kind kind;
		const char *keys;
	} script[] = {
		{ JUMP, NULL }, { STEP, "<Right>" }, { STEP, "<Left>" }, { STEP, "L" },
		{ PAN, "<Right>" }, { PAN, "<Right>" }, { PAN, "<Right>" }, { SCROLL, "]" },
		{ ZOOM, "+" }, { STEP, "<Right>" }, { PAN, "<Right>" }, { SCROLL, "[" },
		{ ZOOM, "-" }, { STEP, "H" },
	};
	const size_t at = number % (sizeof(script) / sizeof(script[0]));

	if (script[at].kind == PAN)	/* at the edge the window comes along */
		v->cursor[v->active] = v->to;
	if (script[at].kind == JUMP)
		jump(v, state);
	else
		view_play(v, script[at].keys, NULL);
	return script[at].kind;
}

static double time_frame(struct view *v, struct canvas *c)
{
	const double from = now_ms();

	frame_draw(v, c);
	return now_ms() - from;
}

/* From the first frame to one with all lanes, as the loop of the viewer draws them. */
static void time_first(struct view *v, struct canvas *c, const struct bell *news, struct figures *f)
{
	const double began = ticks_now();
	struct pollfd p = { news->hear, POLLIN, 0 };

	f->first_ms = f->while_ms = time_frame(v, c);
	while (lanes_are_awaited(v)) {
		double from;

		poll(&p, 1, -1);
		bell_hush(news);
		from = now_ms();
		lanes_take(v);
		f->while_ms = fmax(f->while_ms, now_ms() - from + time_frame(v, c));
	}
	f->loaded_ms = 1e3 * (ticks_now() - began);
}

static int by_value(const void *a, const void *b)
{
	const double x = *(const double *)a;
	const double y = *(const double *)b;

	return (x > y) - (x < y);
}

static double nth(double *ms, size_t n, double part)
{
	qsort(ms, n, sizeof(*ms), by_value);
	return ms[(size_t)(part * (double)n)];
}

static void time_frames(const struct bench *b, struct view *v, const struct bell *news,
			uint64_t *state, struct figures *f)
{
	double *ms = mem_array(b->frames, sizeof(*ms));
	double *of[KINDS];
	size_t n[KINDS] = { 0 };
	struct canvas *c = canvas_new(ROWS, COLS);
	size_t i;
	int kind;

	for (kind = 0; kind < KINDS; kind++)
		of[kind] = mem_array(b->frames, sizeof(**of));
	time_first(v, c, news, f);
	for (i = 0; i < b->frames; i++) {
		kind = (int)move(v, i, state);
		ms[i] = of[kind][n[kind]++] = time_frame(v, c);
	}
	f->median_ms = nth(ms, b->frames, 0.5);
	f->p99_ms = nth(ms, b->frames, 0.99);
	for (kind = 0; kind < KINDS; kind++) {
		f->kind_ms[kind] = n[kind] > 0 ? nth(of[kind], n[kind], 0.5) : NAN;
		free(of[kind]);
	}
	canvas_free(c);
	free(ms);
}

static void print_figures(size_t rows, const struct figures *f)
{
	int kind;

	printf("  %9zu rows: median %.3f ms, p99 %.3f ms", rows, f->median_ms, f->p99_ms);
	for (kind = 0; kind < KINDS; kind++)
		printf("%s %s %.3f", kind == 0 ? ";" : ",", kind_names[kind], f->kind_ms[kind]);
	printf("\n%20s first frame %.2f ms, the longest while lanes are loaded %.2f ms, all there "
	       "after %.0f ms\n", "", f->first_ms, f->while_ms, f->loaded_ms);
	fflush(stdout);
}

static bool measure(const struct bench *b, size_t rows, struct figures *f)
{
	uint64_t state = 20310512;
	struct limits limits;
	struct car car;
	struct bell news;
	struct datalog *log = make_log(rows, &state);
	struct errands *loader;
	struct view *v;

	if (log == NULL || !bell_open(&news))
		return false;
	loader = errands_new(&lane_errands, news.ring);
	v = open_view(log, &limits, &car, loader);
	if (v == NULL)
		return false;
	time_frames(b, v, &news, &state, f);
	view_free(v);
	errands_free(loader);
	bell_close(&news);
	limits_release(&limits);
	car_release(&car);
	print_figures(rows, f);
	return true;
}

static void judge(struct bench *b, const char *what, double figure, double most)
{
	if (!bench_judge(what, figure, most, true))
		b->is_short = true;
}

static bool has_memory(size_t rows)
{
	const long pages = sysconf(_SC_PHYS_PAGES);
	const long size = sysconf(_SC_PAGESIZE);

	return pages <= 0 || size <= 0 ||
	       (double)rows * BYTES_A_ROW < 0.7 * (double)pages * (double)size;
}

static bool run(struct bench *b)
{
	struct figures f[SIZES];
	size_t n = 0;

	printf("frames of %dx%d, %d lanes, %zu of each\n", COLS, ROWS, LANES, b->frames);
	for (; n < SIZES && sizes[n] <= b->most; n++) {
		if (!has_memory(sizes[n])) {
			printf("  %9zu rows   skipped: too little memory\n", sizes[n]);
			break;
		}
		if (!measure(b, sizes[n], &f[n]))
			return false;
	}
	if (n > JUDGED) {
		judge(b, "10 million rows, median, ms", f[JUDGED].median_ms, MEDIAN_MS);
		judge(b, "10 million rows, 99 of 100 frames, ms", f[JUDGED].p99_ms, P99_MS);
		judge(b, "10 million rows, the longest frame while lanes are loaded, ms",
		      f[JUDGED].while_ms, P99_MS);
	}
	if (n > 1)
		judge(b, "the most rows, times the fewest", f[n - 1].median_ms / f[0].median_ms, FLAT);
	return true;
}

static bool take_arguments(struct bench *b, int argc, char **argv)
{
	int i;

	for (i = 1; i + 1 < argc; i += 2) {
		if (strcmp(argv[i], "--frames") == 0)
			b->frames = (size_t)strtoul(argv[i + 1], NULL, 10);
		else if (strcmp(argv[i], "--most") == 0)
			b->most = (size_t)strtoul(argv[i + 1], NULL, 10);
		else
			return false;
	}
	return i == argc && b->frames > 0;
}

int main(int argc, char **argv)
{
	struct bench b = { .frames = 2000, .most = SIZE_MAX };

	if (!take_arguments(&b, argc, argv)) {
		fprintf(stderr, "usage: bench_frames [--frames N] [--most ROWS]\n");
		return 2;
	}
	if (!run(&b)) {
		fprintf(stderr, "bench_frames: out of memory\n");
		return 2;
	}
	printf("%s\n", b.is_short ? "bench_frames: short of a target" : "bench_frames: all pass");
	return b.is_short ? 1 : 0;
}
