/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Runs a program on a pseudo-terminal and reads the screen it drew. */
#ifndef _GNU_SOURCE
#define _GNU_SOURCE	/* memmem, waitid, TIOCSWINSZ */
#endif
#include "harness.h"

#include <limits.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "base/buf.h"
#include "base/mem.h"
#include "keys.h"
#include "screen.h"
#include "spawn.h"

enum {
	SLICE_MS = 10,		/* how often to look whether the program ended */
	QUIET_MS = 80,
	ESC_MS = 100,		/* between a lone Esc and the next key */
	TAIL_MS = 500,		/* for the last output, if the terminal is stopped */
	CHUNK = 16384,
	DRAIN_CHUNKS = 64,	/* read at once at most, lest a flood never ends */
};

struct term {
	struct spawn child;	/* a zombie from its end to term_free() */
	bool ended;
	int code;		/* as term_wait_exit() returns it */
	int quiet;
	struct screen screen;
	size_t bytes;		/* read since the last term_bytes() */
	struct err err;
};

static long long now_ms(void)
{
	struct timespec ts;

	clock_gettime(CLOCK_MONOTONIC, &ts);
	return ts.tv_sec * 1000LL + ts.tv_nsec / 1000000;
}

/* ---- input and output ---- */

static void feed(struct term *t, const char *bytes, size_t n)
{
	t->bytes += n;
	screen_feed(&t->screen, bytes, n);
}

static void write_some(struct term *t)
{
	const ssize_t n = write(t->child.master, t->screen.out.data, t->screen.out.len);

	if (n <= 0) {
		poll(NULL, 0, 1);	/* poll() said yes, write() no: do not spin */
		return;
	}
	t->screen.out.len -= (size_t)n;
	memmove(t->screen.out.data, t->screen.out.data + n, t->screen.out.len + 1);
}

/* Waits up to ms for the terminal, reads and writes once; bytes read. */
static size_t exchange(struct term *t, int ms)
{
	struct pollfd p = { .fd = t->child.master, .events = POLLIN };
	char chunk[CHUNK];
	ssize_t n;

	if (t->screen.out.len > 0)
		p.events |= POLLOUT;
	if (poll(&p, 1, ms) <= 0)
		return 0;
	if (p.revents & POLLOUT)
		write_some(t);
	n = read(t->child.master, chunk, sizeof(chunk));
	if (n <= 0)
		return 0;
	feed(t, chunk, (size_t)n);
	if (t->screen.out.len > 0)
		write_some(t);	/* the answer to a query in it */
	return (size_t)n;
}

static void drain(struct term *t)
{
	for (int i = 0; i < DRAIN_CHUNKS && exchange(t, 0) > 0; i++)
		;
}

/*
 * The last output may still be on its way through the kernel when the program
 * is already gone.  A mark of our own, written behind it, tells when all has
 * arrived; the mark itself never reaches the emulator.
 */
static void read_tail(struct term *t)
{
	static const char mark[] = "\033_end of the output\033\\";
	const size_t size = sizeof(mark) - 1;
	struct pollfd p = { .fd = t->child.master, .events = POLLIN };
	struct buf tail = BUF_INIT;
	const char *at = NULL;
	char chunk[CHUNK];
	size_t put = 0, head;
	long long last = now_ms();

	while (at == NULL && now_ms() - last < TAIL_MS) {
		ssize_t n = write(t->child.slave, mark + put, size - put);

		put += n > 0 ? (size_t)n : 0;
		poll(&p, 1, SLICE_MS);
		n = read(t->child.master, chunk, sizeof(chunk));
		if (n <= 0)
			continue;
		last = now_ms();
		buf_add(&tail, chunk, (size_t)n);
		at = memmem(tail.data, tail.len, mark, size);
	}
	head = at != NULL ? (size_t)(at - tail.data) : tail.len;
	feed(t, buf_text(&tail), head);
	if (at != NULL)
		feed(t, at + size, tail.len - head - size);
	buf_release(&tail);
}

/*
 * Looks without reaping: the zombie keeps the process number, and with it the
 * group and the session, from being given to somebody else before term_free().
 */
static bool has_ended(struct term *t)
{
	siginfo_t si = { .si_signo = 0 };

	if (t->ended)
		return true;
	if (waitid(P_PID, (id_t)t->child.pid, &si, WEXITED | WNOHANG | WNOWAIT) < 0
	    || si.si_pid != t->child.pid)
		return false;
	t->ended = true;
	t->code = si.si_code == CLD_EXITED ? si.si_status : -si.si_status;
	read_tail(t);
	return true;
}

/* ---- start and end ---- */

static bool size_is_valid(int cols, int rows, struct err *e)
{
	if (cols >= 1 && rows >= 1 && cols <= SHRT_MAX && rows <= SHRT_MAX)
		return true;
	err_set(e, ERR_USAGE, "no terminal has %d columns and %d rows", cols, rows);
	return false;
}

struct term *term_start(const struct term_options *o)
{
	struct term_options filled = *o;
	struct term *t = mem_alloc(sizeof(*t));

	filled.cols = o->cols != 0 ? o->cols : 80;
	filled.rows = o->rows != 0 ? o->rows : 24;
	t->quiet = o->quiet > 0 ? o->quiet : QUIET_MS;
	t->child = (struct spawn)SPAWN_INIT;
	if (o->argv == NULL || o->argv[0] == NULL) {
		err_set(o->err, ERR_USAGE, "no program to run: argv is empty");
		goto fail;
	}
	if (!size_is_valid(filled.cols, filled.rows, o->err))
		goto fail;
	screen_init(&t->screen, filled.cols, filled.rows, o->utf8);
	if (spawn_start(&t->child, &filled, o->err) == ERR_NONE)
		return t;
fail:
	term_free(t);
	return NULL;
}

void term_free(struct term *t)
{
	if (t == NULL)
		return;
	spawn_release(&t->child);
	screen_release(&t->screen);
	free(t);
}

void term_give_up(struct term *t)
{
	char *screen;

	if (t == NULL)
		return;
	drain(t);
	screen = term_screen(t);
	fprintf(stderr, "%s\nthe screen, %d x %d%s:\n%s(end of the screen)\n", t->err.text,
		t->screen.cols, t->screen.rows, t->ended ? ", program ended" : "", screen);
	free(screen);
	term_free(t);
}

const char *term_error(const struct term *t)
{
	return t->err.text;
}

long term_pid(const struct term *t)
{
	return t->child.pid;
}

bool term_signal(struct term *t, int sig)
{
	if (!has_ended(t) && kill(t->child.pid, sig) == 0)
		return true;
	err_set(&t->err, ERR_IO, "signal %d: the program has ended", sig);
	return false;
}

int term_wait_exit(struct term *t, int ms)
{
	const long long deadline = now_ms() + ms;

	while (!has_ended(t)) {
		if (now_ms() >= deadline) {
			err_set(&t->err, ERR_IO, "the program still runs after %d ms", ms);
			return TERM_RUNNING;
		}
		exchange(t, SLICE_MS);
	}
	return t->code;
}

/* ---- waiting ---- */

bool term_pump(struct term *t, int ms)
{
	const long long start = now_ms();
	long long last = start, now;

	while ((now = now_ms()) - start < ms) {
		if (exchange(t, SLICE_MS) > 0)
			last = now_ms();
		else if (has_ended(t) || now - last >= t->quiet)
			return true;
	}
	err_set(&t->err, ERR_IO, "the program was not silent for %d ms within %d ms",
		t->quiet, ms);
	return false;
}

bool term_wait(struct term *t, term_condition *holds, void *arg, int ms)
{
	const long long deadline = now_ms() + ms;

	for (;;) {
		const bool ended = has_ended(t);

		drain(t);
		if (holds(t, arg))
			return true;
		if (ended) {
			err_set(&t->err, ERR_DATA, "the program ended (%d) without it", t->code);
			return false;
		}
		if (now_ms() >= deadline) {
			err_set(&t->err, ERR_DATA, "not within %d ms", ms);
			return false;
		}
		exchange(t, SLICE_MS);
	}
}

struct text_wait {
	const char *text;
	bool there;
};

static bool text_as_wanted(struct term *t, void *arg)
{
	const struct text_wait *w = arg;
	char *screen = term_screen(t);
	const bool there = strstr(screen, w->text) != NULL;

	free(screen);
	return there == w->there;
}

static bool wait_for(struct term *t, struct text_wait w, int ms)
{
	struct err why;

	if (term_wait(t, text_as_wanted, &w, ms))
		return true;
	why = t->err;
	err_set(&t->err, why.code, "waited for \"%s\" to %s: %s", w.text,
		w.there ? "appear" : "go", why.text);
	return false;
}

bool term_wait_text(struct term *t, const char *text, int ms)
{
	return wait_for(t, (struct text_wait){ text, true }, ms);
}

bool term_wait_gone(struct term *t, const char *text, int ms)
{
	return wait_for(t, (struct text_wait){ text, false }, ms);
}

/* ---- keys ---- */

/* Reads meanwhile: a program that cannot write would never read our keys. */
static bool send_all(struct term *t)
{
	const long long deadline = now_ms() + TERM_MS;

	while (t->screen.out.len > 0) {
		if (has_ended(t) || now_ms() >= deadline) {
			err_set(&t->err, ERR_IO, "%zu bytes of keys not sent: %s", t->screen.out.len,
				t->ended ? "the program has ended" : "nobody reads them");
			buf_clear(&t->screen.out);
			return false;
		}
		exchange(t, SLICE_MS);
	}
	return true;
}

bool term_keys(struct term *t, const char *keys)
{
	if (!keys_check(&t->screen, keys, &t->err))
		return false;
	drain(t);	/* the mode of the cursor keys may be in it */
	for (;;) {
		long long start;

		keys = keys_encode(&t->screen, keys, &t->err);
		if (!send_all(t))
			return false;
		if (*keys == '\0')
			return true;
		start = now_ms();
		while (now_ms() - start < ESC_MS)
			exchange(t, SLICE_MS);
	}
}

/* ---- what is on the screen ---- */

bool term_resize(struct term *t, int cols, int rows)
{
	struct winsize size = {
		.ws_row = (unsigned short)rows, .ws_col = (unsigned short)cols,
	};

	if (!size_is_valid(cols, rows, &t->err))
		return false;
	drain(t);	/* drawn for the old size */
	screen_resize(&t->screen, cols, rows);
	if (ioctl(t->child.master, TIOCSWINSZ, &size) == 0)
		return true;
	err_errno(&t->err, "pseudo-terminal", "cannot be resized");
	return false;
}

size_t term_row(struct term *t, int row, char *buf, size_t size)
{
	struct buf text = BUF_INIT;
	size_t len, n;

	screen_add_row(&t->screen, row, &text);
	len = n = text.len;
	if (size > 0) {
		if (n >= size)
			n = size - 1;
		while (n > 0 && n < len && ((unsigned char)text.data[n] & 0xc0) == 0x80)
			n--;
		memcpy(buf, buf_text(&text), n);
		buf[n] = '\0';
	}
	buf_release(&text);
	return len;
}

char *term_screen(struct term *t)
{
	struct buf text = BUF_INIT;

	for (int row = 0; row < t->screen.rows; row++) {
		screen_add_row(&t->screen, row, &text);
		buf_putc(&text, '\n');
	}
	return buf_take(&text);
}

bool term_cell_attr(struct term *t, int row, int col, struct term_attr *a)
{
	return screen_attr(&t->screen, row, col, a);
}

void term_cursor(struct term *t, int *row, int *col)
{
	screen_cursor(&t->screen, row, col);
}

bool term_cursor_visible(struct term *t)
{
	return t->screen.cursor;
}

bool term_alt_screen(struct term *t)
{
	return t->screen.alt;
}

bool term_mouse(struct term *t)
{
	return t->screen.mouse;
}

size_t term_bytes(struct term *t)
{
	const size_t n = t->bytes;

	t->bytes = 0;
	return n;
}

bool term_tty_sane(struct term *t)
{
	const struct termios *a = &t->child.start;
	struct termios b;

	return tcgetattr(t->child.slave, &b) == 0
		&& a->c_iflag == b.c_iflag && a->c_oflag == b.c_oflag
		&& a->c_cflag == b.c_cflag && a->c_lflag == b.c_lflag
		&& memcmp(a->c_cc, b.c_cc, sizeof(a->c_cc)) == 0;
}
