/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The terminal: start, restore, size, signals. */
#include "ui/term.h"

#include <fcntl.h>
#include <langinfo.h>
#include <poll.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <termios.h>
#include <unistd.h>

#include "base/mem.h"
#include "ui/term_private.h"
#include "view/key.h"

#define LOOK_MS 1000		/* for a signal that came at the wrong moment */
#define ESCAPE_MS 25		/* an Esc alone is told from a sequence after so long */

/* What a handler may touch: written before the handlers are set. */
static struct {
	volatile sig_atomic_t signal;
	volatile sig_atomic_t continued;
	volatile sig_atomic_t interrupted;
	int fd;
	struct termios before;
} restore;

/* Ends that ask politely: the loop sees them, leaves, and raises them again. */
static const int endings[] = {
	SIGTERM, SIGHUP, SIGQUIT, SIGALRM, SIGPIPE, SIGUSR1, SIGUSR2, SIGXCPU, SIGXFSZ,
};

/* Ends that leave no time: the terminal is restored here and now. */
static const int crashes[] = { SIGSEGV, SIGBUS, SIGFPE, SIGILL, SIGABRT };

#define LENGTH(a) (sizeof(a) / sizeof((a)[0]))

static void on_ending(int number)
{
	restore.signal = number;
}

static void on_continue(int number)
{
	(void)number;
	restore.continued = 1;
}

static void on_interrupt(int number)
{
	(void)number;
	restore.interrupted = 1;
}

/*
 * Async-signal-safe: the attributes, and the sequences that end what was begun
 * (ECMA-48 SGR 0 and RIS-free private modes: cursor on, plain cursor keys and keypad,
 * main screen).  They go where curses writes: the keys may come from elsewhere.  What
 * was said before abort() went with the picture.
 */
static void on_crash(int number)
{
	static const char sequences[] = "\033[0m\033[?25h\033[?1l\033>\033[?1049l\r\n";
	static const char why[] = "twinpull: it cannot go on; most likely memory is short\n";

	(void)!write(STDOUT_FILENO, sequences, sizeof sequences - 1);
	tcsetattr(restore.fd, TCSAFLUSH, &restore.before);
	if (number == SIGABRT)
		(void)!write(STDERR_FILENO, why, sizeof why - 1);
	signal(number, SIG_DFL);
	raise(number);
}

static void set_handler(int number, void (*handler)(int), int flags)
{
	struct sigaction action;

	memset(&action, 0, sizeof action);
	action.sa_handler = handler;
	action.sa_flags = flags;
	sigemptyset(&action.sa_mask);
	sigaction(number, &action, NULL);
}

static void set_handlers(void (*ending)(int), void (*crash)(int), void (*interrupt)(int),
			 void (*resumed)(int))
{
	size_t i;

	for (i = 0; i < LENGTH(endings); i++)
		set_handler(endings[i], ending, 0);
	for (i = 0; i < LENGTH(crashes); i++)
		set_handler(crashes[i], crash, (int)SA_RESETHAND);
	set_handler(SIGINT, interrupt, 0);
	set_handler(SIGCONT, resumed, 0);
}

int ui_term_signal(void)
{
	return restore.signal;
}

enum glyph_set ui_glyphs(void)
{
	const char *term = getenv("TERM");

	if (strcmp(nl_langinfo(CODESET), "UTF-8") != 0)
		return GLYPH_ASCII;
	/* a console's font has blocks but no braille */
	return term != NULL && strncmp(term, "linux", 5) == 0 ? GLYPH_BLOCKS : GLYPH_BRAILLE;
}

/* "no-color.org": any value that is not empty. */
static enum theme_depth depth_of_terminal(void)
{
	const char *no_color = getenv("NO_COLOR");

	if ((no_color != NULL && no_color[0] != '\0') || !has_colors())
		return THEME_MONO;
	start_color();		/* only this sets COLORS */
	use_default_colors();
	return COLORS >= 256 ? THEME_256 : THEME_8;
}

/* A pair of colours for every style under every set of flags. */
static void make_pairs(struct ui_term *t)
{
	unsigned flags;
	int style;

	if (t->depth == THEME_MONO)
		return;
	for (flags = 0; flags < FLAG_SETS(t->depth); flags++)
		for (style = 0; style < STYLE_COUNT; style++) {
			const struct look look = theme_look(t->depth, (enum style)style, flags);

			init_pair((short)(1 + style + STYLE_COUNT * (int)flags), look.fg, look.bg);
		}
}

static enum err_code open_streams(struct ui_term *t, struct err *e)
{
	if (isatty(STDIN_FILENO)) {
		t->in = stdin;
	} else {
		t->tty = fopen("/dev/tty", "r");
		if (t->tty == NULL)
			return err_errno(e, "/dev/tty", "standard input is no terminal, and this "
					 "cannot be opened for the keys");
		t->in = t->tty;
	}
	if (!isatty(STDOUT_FILENO))
		return err_set(e, ERR_IO, "standard output is no terminal");
	return ERR_NONE;
}

/* Other spellings of keys, for a TERM that does not quite match the terminal. */
static const struct {
	const char *bytes;
	int code;
} spellings[] = {
	{ "\033[1~", KEY_HOME }, { "\033[4~", KEY_END }, { "\033[7~", KEY_HOME },
	{ "\033[8~", KEY_END }, { "\033[H", KEY_HOME }, { "\033[F", KEY_END },
	{ "\033OH", KEY_HOME }, { "\033OF", KEY_END }, { "\033[A", KEY_UP },
	{ "\033[B", KEY_DOWN }, { "\033[C", KEY_RIGHT }, { "\033[D", KEY_LEFT },
	{ "\033OA", KEY_UP }, { "\033OB", KEY_DOWN }, { "\033OC", KEY_RIGHT },
	{ "\033OD", KEY_LEFT },
};

/* Asked beforehand: newterm() writes to the terminal, and leaks where it fails. */
static bool can_place_cursor(void)
{
	const char *place;
	bool can;
	int status;

	if (setupterm(NULL, STDOUT_FILENO, &status) != OK)
		return false;
	place = tigetstr("cup");
	can = place != NULL && place != (const char *)-1;
	del_curterm(cur_term);
	return can;
}

enum err_code ui_term_start(struct ui_term **out, struct err *e)
{
	struct ui_term *t = mem_alloc(sizeof *t);
	enum err_code code = open_streams(t, e);
	const char *term = getenv("TERM");
	size_t i;

	if (code != ERR_NONE)
		goto failed;
	t->fd = fileno(t->in);
	restore.fd = t->fd;
	if (tcgetattr(t->fd, &restore.before) != 0) {
		code = err_errno(e, "terminal", "cannot read its settings");
		goto failed;
	}
	if (can_place_cursor())
		t->screen = newterm(NULL, stdout, t->in);
	if (t->screen == NULL) {
		code = err_set(e, ERR_IO, "the terminal type TERM=%s is unknown here or too poor; try "
			       "TERM=xterm, or `twinpull plot` for plain text",
			       term == NULL ? "(not set)" : term);
		goto failed;
	}
	set_handlers(on_ending, on_crash, on_interrupt, on_continue);
	set_escdelay(ESCAPE_MS);
	cbreak();
	noecho();
	nonl();
	keypad(stdscr, TRUE);
	for (i = 0; i < LENGTH(spellings); i++)
		define_key(spellings[i].bytes, spellings[i].code);
	nodelay(stdscr, TRUE);
	leaveok(stdscr, FALSE);
	t->depth = depth_of_terminal();
	make_pairs(t);
	*out = t;
	return ERR_NONE;
failed:
	if (t->tty != NULL)
		fclose(t->tty);
	free(t);
	return code;
}

void ui_term_end(struct ui_term *t)
{
	if (t == NULL)
		return;
	endwin();
	delscreen(t->screen);
	set_handlers(SIG_DFL, SIG_DFL, SIG_DFL, SIG_DFL);
	if (t->tty != NULL)
		fclose(t->tty);
	canvas_free(t->shown);
	free(t);
}

void ui_term_size(const struct ui_term *t, int *rows, int *cols)
{
	(void)t;
	getmaxyx(stdscr, *rows, *cols);
}

/* ---- keys ---- */

static const struct {
	int code;
	uint32_t key;
} codes[] = {
	{ KEY_LEFT, KEY_LEFT_ARROW },
	{ KEY_RIGHT, KEY_RIGHT_ARROW },
	{ KEY_UP, KEY_UP_ARROW },
	{ KEY_DOWN, KEY_DOWN_ARROW },
	{ KEY_SLEFT, KEY_SHIFT_LEFT },
	{ KEY_SRIGHT, KEY_SHIFT_RIGHT },
	{ KEY_PPAGE, KEY_PAGE_UP },
	{ KEY_NPAGE, KEY_PAGE_DOWN },
	{ KEY_HOME, KEY_HOME_KEY },
	{ KEY_END, KEY_END_KEY },
	{ KEY_BTAB, KEY_SHIFT_TAB },
	{ KEY_ENTER, KEY_RETURN },
	{ KEY_BACKSPACE, KEY_RUBOUT },
	{ KEY_DC, KEY_DELETE },
};

static const struct {
	uint32_t control;
	uint32_t key;
} controls[] = {
	{ '\t', KEY_TAB },   { '\r', KEY_RETURN },    { '\n', KEY_RETURN },
	{ 033, KEY_ESCAPE }, { 010, KEY_RUBOUT },     { 0177, KEY_RUBOUT },
	{ 014, KEY_REDRAW }, { 025, KEY_KILL },       { 003, KEY_INTERRUPT },
};

/* False for what means nothing to the viewer. */
static bool translate(int result, wint_t c, uint32_t *key)
{
	size_t i;

	if (result == KEY_CODE_YES) {
		for (i = 0; i < LENGTH(codes); i++)
			if (codes[i].code == (int)c) {
				*key = codes[i].key;
				return true;
			}
		return false;
	}
	for (i = 0; i < LENGTH(controls); i++)
		if (controls[i].control == (uint32_t)c) {
			*key = controls[i].key;
			return true;
		}
	*key = (uint32_t)c;
	return c >= ' ';
}

/* True with an event; false when there is nothing to read. */
static bool read_event(uint32_t *key, enum ui_event *event)
{
	wint_t c;
	int result;

	while ((result = get_wch(&c)) != ERR) {
		if (result == KEY_CODE_YES && c == KEY_RESIZE) {
			*event = UI_RESIZED;
			return true;
		}
		*event = UI_KEY;
		if (translate(result, c, key))
			return true;
	}
	return false;
}

enum ui_event ui_term_wait(struct ui_term *t, int other, int ms, uint32_t *key)
{
	for (;;) {
		struct pollfd p[2] = { { t->fd, POLLIN, 0 }, { other, POLLIN, 0 } };
		enum ui_event event;
		int n;

		if (restore.signal != 0)
			return UI_GONE;
		if (restore.continued) {
			restore.continued = 0;
			return UI_CONTINUED;
		}
		if (restore.interrupted) {
			restore.interrupted = 0;
			*key = KEY_INTERRUPT;
			return UI_KEY;
		}
		if (read_event(key, &event))
			return event;
		/* a signal between the tests above and here waits a second at most */
		n = poll(p, 2, ms >= 0 && ms < LOOK_MS ? ms : LOOK_MS);
		if (n > 0 && (p[0].revents & (POLLHUP | POLLERR | POLLNVAL)))
			return UI_GONE;
		if (n > 0 && p[0].revents == 0 && p[1].revents != 0)
			return UI_NEWS;
		if (n == 0 && ms >= 0)
			return UI_LATE;
	}
}
