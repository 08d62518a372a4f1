/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * How long it takes from starting the viewer until its first frame is on the terminal, with
 * all files in memory, and where that time goes.
 *
 *     bench_start [--rounds N] [--large] [--cold]
 *
 * Each program is started on a pseudo-terminal of 200x50; it is there when its frame has
 * arrived to the end.  In each round every one is started once.  Beside the viewer are
 * `twinpull --version`, which is starting and linking, and an empty curses program, which is
 * this one with another argument.  --large: also a log of 109 MB.  --cold: then all again
 * with no file in memory but those that running programs hold, such as this one's libraries;
 * Linux lets only root do that.
 * Exit status: 0, 1 when a target is missed, 2 for trouble.
 */
#define _GNU_SOURCE	/* memmem() */
#define NCURSES_WIDECHAR 1
#include <curses.h>
#include <errno.h>
#include <fcntl.h>
#include <locale.h>
#include <math.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <termios.h>
#include <unistd.h>

#include "base/mem.h"
#include "base/path.h"
#include "base/ticks.h"
#include "bench/bench_util.h"
#include "bench/large_log.h"

#define ROWS 50
#define COLS 200
#define LAST_WORD "that is all"	/* of the empty program */
#define KEY_LINE "help"		/* of the viewer, plain as most of its first frame */
#define END_OF_FRAME "\033[m"	/* plain again, behind all that is not */
#define FIRST_FRAME_MS 12.0	/* target */
#define COLD_FRAME_MS 80.0	/* the same, with no file in memory */
#define COLD_ROUNDS 7
#define DROP_CACHES "/proc/sys/vm/drop_caches"
#define MOST_BYTES ((size_t)1 << 20)	/* that a frame may take */

enum program { EMPTY, LINKED, PULLS, DRIVE, SMALL, LARGE, PROGRAMS };

struct start {
	const char *name;
	const char *argv[4];
	const char *word;	/* that it shows */
	const char *end;	/* and what comes behind that when all is there */
	bool judged;
};

struct bench {
	int rounds;
	bool large;
	bool cold;
	char *dir;		/* temporary, with the logs made here */
	char *logs[2];		/* the paths of them */
	bool is_short;
};

/* ---- the empty program ---- */

static int run_empty(void)
{
	int i;

	setlocale(LC_ALL, "");
	initscr();
	start_color();
	use_default_colors();
	for (i = 0; i < LINES; i++)
		mvprintw(i, 0, "%*s", COLS - 10, i + 1 < LINES ? "nothing" : LAST_WORD);
	refresh();
	getch();
	endwin();
	return 0;
}

/* ---- starting ---- */

static void become(const struct start *s, const char *tty)
{
	int fd;

	setsid();
	fd = open(tty, O_RDWR);		/* becomes the controlling one */
	if (fd < 0)
		_exit(127);
	dup2(fd, STDIN_FILENO);
	dup2(fd, STDOUT_FILENO);
	dup2(fd, STDERR_FILENO);
	setenv("TERM", "xterm-256color", 1);
	setenv("LC_ALL", "C.UTF-8", 1);
	unsetenv("LINES");
	unsetenv("COLUMNS");
	execv(s->argv[0], (char *const *)s->argv);
	_exit(127);
}

/* Has the word come, and somewhere behind it the end? */
static bool has_come(const char *bytes, size_t n, const struct start *s)
{
	const char *at = memmem(bytes, n, s->word, strlen(s->word));

	return at != NULL && memmem(at, (size_t)(bytes + n - at), s->end, strlen(s->end)) != NULL;
}

/* Reads until all has come, or nothing more does. */
static bool wait_for_frame(int master, const struct start *s, char *bytes)
{
	size_t n = 0;

	while (n < MOST_BYTES) {
		const ssize_t got = read(master, bytes + n, MOST_BYTES - n);

		if (got < 0 && errno == EINTR)
			continue;
		if (got <= 0)
			return false;
		n += (size_t)got;
		if (has_come(bytes, n, s))
			return true;
	}
	return false;
}

static int open_master(void)
{
	const struct winsize size = { .ws_row = ROWS, .ws_col = COLS };
	const int master = posix_openpt(O_RDWR | O_NOCTTY);

	if (master >= 0 && (grantpt(master) != 0 || unlockpt(master) != 0 ||
			    ioctl(master, TIOCSWINSZ, &size) != 0)) {
		close(master);
		return -1;
	}
	if (master >= 0)
		fcntl(master, F_SETFD, FD_CLOEXEC);
	return master;
}

/* Of the processor, all children that were waited for. */
static double children_ms(void)
{
	struct rusage r;

	getrusage(RUSAGE_CHILDREN, &r);
	return 1e3 * (double)(r.ru_utime.tv_sec + r.ru_stime.tv_sec) +
	       1e-3 * (double)(r.ru_utime.tv_usec + r.ru_stime.tv_usec);
}

/*
 * Milliseconds until the frame was there, NaN when it did not come; in *cpu those of the
 * processor, which do not depend on what else the machine does.
 */
static double time_start(const struct start *s, char *bytes, double *cpu)
{
	const int master = open_master();
	bool came = false;
	bool ended = false;
	const double before = children_ms();
	double from, ms;
	pid_t child;

	if (master < 0)
		return NAN;
	from = ticks_now();
	child = fork();
	if (child == 0)
		become(s, ptsname(master));
	/* until the child has opened its side there is nothing to read, either */
	while (child > 0 && !came && !ended) {
		came = wait_for_frame(master, s, bytes);
		ended = !came && waitpid(child, NULL, WNOHANG) == child;
	}
	ms = came ? 1e3 * (ticks_now() - from) : NAN;
	if (child > 0 && !ended) {
		kill(child, SIGKILL);
		waitpid(child, NULL, 0);
	}
	close(master);
	*cpu = children_ms() - before;
	return ms;
}

/* ---- the bench ---- */

static bool make_logs(struct bench *b)
{
	static const size_t bytes[2] = { 1100000, 109000000 };
	const char *tmp = getenv("TMPDIR");
	int i;

	b->dir = path_join(tmp != NULL ? tmp : "/tmp", "twinpull-start-XXXXXX");
	if (mkdtemp(b->dir) == NULL)
		return false;
	b->logs[0] = path_join(b->dir, "small.csv");
	b->logs[1] = path_join(b->dir, "large.csv");
	for (i = 0; i < 1 + b->large; i++)
		if (!large_log_write(b->logs[i], bytes[i], false))
			return false;
	return true;
}

static void remove_logs(struct bench *b)
{
	int i;

	for (i = 0; i < 2; i++) {
		if (b->logs[i] != NULL)
			unlink(b->logs[i]);
		free(b->logs[i]);
	}
	rmdir(b->dir);
	free(b->dir);
}

/* What the rounds of all programs took. */
struct times {
	double ms[PROGRAMS][MOST_ROUNDS];
	double cpu[PROGRAMS][MOST_ROUNDS];
	int rounds;
};

static void judge(struct bench *b, const struct start *s, const struct times *t, int i,
		  double target)
{
	const double median = bench_median(t->ms[i], t->rounds);
	double ratios[MOST_ROUNDS];
	char what[80];
	int k;

	for (k = 0; k < t->rounds; k++)
		ratios[k] = t->ms[i][k] / t->ms[EMPTY][k];
	printf("  %-30s %6.2f ms, %5.2f ms of the processor, %5.2f x the empty curses program\n",
	       s->name, median, bench_median(t->cpu[i], t->rounds),
	       bench_median(ratios, t->rounds));
	snprintf(what, sizeof(what), "%s, ms", s->name);
	if (s->judged && !bench_judge(what, median, target, true))
		b->is_short = true;
}

/* Takes all files out of memory; false where that is not allowed. */
static bool forget_files(void)
{
	const int fd = open(DROP_CACHES, O_WRONLY);
	bool done;

	if (fd < 0)
		return false;
	sync();
	done = write(fd, "3", 1) == 1;
	close(fd);
	return done;
}

/* Rounds of all programs, from number `first`, of which those below 0 do not count. */
static bool run_rounds(const struct start *all, int count, int first, bool cold, struct times *t)
{
	char *bytes = mem_alloc(MOST_BYTES);
	bool ok = true;
	int round, i;

	for (round = first; ok && round < t->rounds; round++)
		for (i = 0; ok && i < count; i++) {
			const int at = round < 0 ? 0 : round;

			if (cold)
				forget_files();
			t->ms[i][at] = time_start(&all[i], bytes, &t->cpu[i][at]);
			ok = !isnan(t->ms[i][at]);
			if (!ok)
				fprintf(stderr, "bench_start: %s: no frame came\n", all[i].name);
		}
	free(bytes);
	return ok;
}

static bool measure(struct bench *b, const char *self)
{
	static const char viewer[] = BUILDDIR "/twinpull";
	const struct start all[PROGRAMS] = {
		[EMPTY] = { "an empty curses program", { self, "--empty" }, LAST_WORD, "", false },
		[LINKED] = { "twinpull --version", { viewer, "--version" }, "twinpull", "", false },
		[PULLS] = { "before.csv after.csv",
			    { viewer, SRCDIR "/samples/before.csv", SRCDIR "/samples/after.csv" },
			    KEY_LINE, END_OF_FRAME, true },
		[DRIVE] = { "drive.csv, 1 MB", { viewer, SRCDIR "/samples/drive.csv" },
			    KEY_LINE, END_OF_FRAME, true },
		[SMALL] = { "a log of 1.1 MB", { viewer, b->logs[0] }, KEY_LINE, END_OF_FRAME,
			    true },
		[LARGE] = { "a log of 109 MB", { viewer, b->logs[1] }, KEY_LINE, END_OF_FRAME,
			    true },
	};
	const int count = b->large ? PROGRAMS : LARGE;
	struct times *t = mem_alloc(sizeof *t);
	bool ok;
	int i;

	t->rounds = b->rounds;
	ok = run_rounds(all, count, -1, false, t);	/* the first fills the caches */
	for (i = 0; ok && i < count; i++)
		judge(b, &all[i], t, i, FIRST_FRAME_MS);
	if (ok && b->cold && !forget_files()) {
		printf("with no file in memory: skipped, " DROP_CACHES " may not be written\n");
	} else if (ok && b->cold) {
		printf("with no file in memory\n");
		t->rounds = COLD_ROUNDS;
		ok = run_rounds(all, count, 0, true, t);
		for (i = 0; ok && i < count; i++)
			judge(b, &all[i], t, i, COLD_FRAME_MS);
	}
	free(t);
	return ok;
}

static bool take_arguments(struct bench *b, int argc, char **argv)
{
	int i;

	for (i = 1; i < argc; i++) {
		if (strcmp(argv[i], "--large") == 0)
			b->large = true;
		else if (strcmp(argv[i], "--cold") == 0)
			b->cold = true;
		else if (strcmp(argv[i], "--rounds") == 0 && i + 1 < argc)
			b->rounds = atoi(argv[++i]);
		else
			return false;
	}
	return b->rounds >= 1 && b->rounds <= MOST_ROUNDS;
}

int main(int argc, char **argv)
{
	struct bench b = { .rounds = 30 };
	bool ok;

	if (argc == 2 && strcmp(argv[1], "--empty") == 0)
		return run_empty();
	if (!take_arguments(&b, argc, argv)) {
		fprintf(stderr, "usage: bench_start [--rounds N] [--large] [--cold]\n");
		return 2;
	}
	ok = make_logs(&b);
	if (!ok)
		fprintf(stderr, "bench_start: %s: %s\n", b.dir, strerror(errno));
	else
		ok = measure(&b, argv[0]);
	remove_logs(&b);
	if (!ok)
		return 2;
	printf("%s\n", b.is_short ? "bench_start: short of a target" : "bench_start: all pass");
	return b.is_short ? 1 : 0;
}
