/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Runs a real program on a pseudo-terminal and reads the screen it drew.
 *
 * The program sees an ordinary terminal (TERM=xterm-256color); libvterm plays
 * the emulator, so a test asks what a person would see, not which bytes came.
 * Rows and columns count from 0, times are milliseconds.
 *
 * Every wait ends as soon as its condition holds or the program has ended, so
 * its deadline can be generous: TERM_MS, unless a test means to run into it.
 * A wait looks at the screen as it is now: wait for a text that is not yet
 * there, and then term_pump() if the rest of the picture matters too.
 *
 * A bool call that returns false leaves the reason in term_error().  In a
 * test, assert with term_assert(), which shows the screen and kills the
 * program before it fails.  If the test process itself dies, the kernel kills
 * the program (Linux only).
 */
#ifndef TERM_HARNESS_H
#define TERM_HARNESS_H

#include <stdbool.h>
#include <stddef.h>

#include "base/err.h"

enum {
	TERM_MS = 10000,		/* a generous deadline */
	TERM_RUNNING = -1000,		/* from term_wait_exit() */
	TERM_DEFAULT_COLOUR = -1,	/* in struct term_attr */
	TERM_RGB = 0x1000000,		/* plus 0xRRGGBB, in struct term_attr */
};

struct term;

struct term_options {
	/*
	 * The program and its arguments, NULL at the end.  A name with a
	 * slash is relative to the caller's directory, not to `dir`; one
	 * without is looked up in PATH.
	 */
	const char *const *argv;

	/*
	 * Changes to the environment, NULL at the end; NULL for none.
	 * "NAME=value" sets, "NAME" removes.  The program inherits the
	 * caller's environment without what would make a screen depend on
	 * whose machine it is: LANG, LC_*, XDG_*, LINES, COLUMNS, NO_COLOR
	 * and the like.  Unless changed here, TERM is xterm-256color, LC_ALL
	 * is C.UTF-8 or C as `utf8` says, and HOME does not exist.
	 */
	const char *const *env;

	const char *dir;	/* working directory; NULL: the caller's */
	int cols, rows;		/* 0: 80 and 24 */
	bool utf8;		/* the emulator reads UTF-8, else ASCII */
	int quiet;		/* silence that ends term_pump(); 0: 80 ms */
	struct err *err;	/* why term_start() returned NULL; may be NULL */
};

/*
 * Starts the program.  NULL when there is no terminal, no such program or no
 * such directory; nothing is left behind.  The caller ends with term_free().
 */
struct term *term_start(const struct term_options *o);

/* Kills the program and the jobs in its terminal, reaps it. t may be NULL. */
void term_free(struct term *t);

/* Why the last call failed: one sentence.  Lives as long as t. */
const char *term_error(const struct term *t);

/* Process number of the program, valid until term_free(). */
long term_pid(const struct term *t);

/*
 * Reads until the program has been silent for `quiet` ms or has ended: true.
 * False when it still writes after `ms`.
 */
bool term_pump(struct term *t, int ms);

/* A condition on what has been read so far. */
typedef bool term_condition(struct term *t, void *arg);

/*
 * Reads until the condition holds: true.  False after `ms`, or as soon as the
 * program has ended, all its output is on the screen and it does not hold.
 * The texts may span rows, with '\n' between them as in term_screen().
 */
bool term_wait(struct term *t, term_condition *holds, void *arg, int ms);
bool term_wait_text(struct term *t, const char *text, int ms);
bool term_wait_gone(struct term *t, const char *text, int ms);

/*
 * Sends keys.  Bytes stand for themselves, names are in angle brackets:
 *	<Up> <Down> <Left> <Right> <Home> <End> <PageUp> <PageDown> <Insert>
 *	<Delete> <Backspace> <Enter> <Tab> <Esc> <Space> <F1> ... <F12>, and
 *	<lt> for '<'; before a name or a character S- (Shift, names only),
 *	C- (Ctrl), M- (Meta, the Alt key): <C-c> <M-x> <S-Tab> <C-Right>
 * Cursor keys follow the mode that the program has set, as on a terminal.
 * After <Esc> there is a pause if more follows, or the program would take
 * both for one key; "\033" is the bare byte without one, for sequences such
 * as a mouse click: "\033[<lt>0;10;5M".  False for an unknown name (then
 * nothing is sent) or when the program has ended or reads nothing.
 */
bool term_keys(struct term *t, const char *keys);

/* Resizes terminal and screen; the kernel sends SIGWINCH if they differ. */
bool term_resize(struct term *t, int cols, int rows);

/*
 * Text of a row in UTF-8 without blanks at its end.  Returns its length in
 * bytes; the copy in buf is cut between characters if it needs more than
 * `size`.  A row that does not exist is empty.
 */
size_t term_row(struct term *t, int row, char *buf, size_t size);

/* All rows as by term_row(), each with '\n' at its end; the caller frees. */
char *term_screen(struct term *t);

/* A colour is its index (0 to 255), TERM_DEFAULT_COLOUR or TERM_RGB + value. */
struct term_attr {
	bool blank;		/* no character, or a space */
	bool bold, underline, blink, reverse;
	int fg, bg;
};

/* False outside the screen. */
bool term_cell_attr(struct term *t, int row, int col, struct term_attr *a);

void term_cursor(struct term *t, int *row, int *col);
bool term_cursor_visible(struct term *t);
bool term_alt_screen(struct term *t);	/* the alternate screen is shown */
bool term_mouse(struct term *t);	/* the program asked for mouse reports */

/* Bytes that the program wrote since the last call, as far as read. */
size_t term_bytes(struct term *t);

/*
 * Sends a signal to the program; false when it has ended.  It leads its own
 * session, where the kernel ignores the stop keys, so that Ctrl-Z needs a
 * shell with job control around the program: sh -mc 'PROGRAM; fg'.
 */
bool term_signal(struct term *t, int sig);

/*
 * Waits for the end and reads the rest of the output.  Returns the exit code
 * (0 to 255), -N if signal N killed it, TERM_RUNNING after `ms`.
 */
int term_wait_exit(struct term *t, int ms);

/*
 * The modes of the terminal (canonical input, echo, the special characters
 * and all the rest) are what they were at the start.  Works after the end.
 */
bool term_tty_sane(struct term *t);

/* Prints the last error and the screen to stderr, then term_free(). */
void term_give_up(struct term *t);

/* Fails the Check test, after term_give_up(), unless expr.  t: a variable. */
#define term_assert(t, expr) do {				\
	if (!(expr)) {						\
		term_give_up(t);				\
		(t) = NULL;					\
		ck_abort_msg("%s", "not so: " #expr);		\
	}							\
} while (0)

#endif
