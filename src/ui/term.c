/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The terminal: start, restore, size, keys. */
#include "ui/term.h"

#include <fcntl.h>
#include <langinfo.h>
#include <poll.h>
#include <stdlib.h>
#include <string.h>
#include <termios.h>
#include <unistd.h>

#include "base/mem.h"
#include "ui/signals.h"
#include "ui/term_private.h"
#include "view/key.h"

#define ESCAPE_MS 25		/* an Esc alone is told from a sequence after so long */

#define LENGTH(a) (sizeof(a) / sizeof((a)[0]))

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

/*
 * A key that was seen may be gone when it is read: Ctrl-Z and Ctrl-C throw away what was typed.
 * Then a read must say so instead of waiting for the next key.
 */
static void never_wait_for_keys(const struct ui_term *t)
{
	struct termios now;

	if (tcgetattr(t->fd, &now) != 0)
		return;
	now.c_cc[VMIN] = 0;
	now.c_cc[VTIME] = 0;
	tcsetattr(t->fd, TCSADRAIN, &now);
	def_prog_mode();
}

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
	code = ui_signals_begin(t->fd, e);
	if (code != ERR_NONE)
		goto failed;
	if (!can_place_cursor())
		code = err_set(e, ERR_IO, "the terminal type TERM=%s is unknown here or too poor; try "
			       "TERM=xterm, or `twinpull plot` for plain text",
			       term == NULL ? "(not set)" : term);
	else if ((t->screen = newterm(NULL, stdout, t->in)) == NULL)
		code = err_set(e, ERR_MEMORY, "the terminal cannot be set up; memory is short: close "
			       "other programs, or raise a limit (ulimit -v)");
	if (code != ERR_NONE) {
		ui_signals_end();
		goto failed;
	}
	ui_signals_share();
	set_escdelay(ESCAPE_MS);
	cbreak();
	noecho();
	nonl();
	keypad(stdscr, TRUE);
	for (i = 0; i < LENGTH(spellings); i++)
		define_key(spellings[i].bytes, spellings[i].code);
	nodelay(stdscr, TRUE);
	never_wait_for_keys(t);
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
	ui_signals_end();
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

/* The shell has the terminal, and after the stop the viewer again: all is to be drawn. */
static void stop(void)
{
	endwin();
	ui_signals_stop();
	def_shell_mode();
	reset_prog_mode();
	flushinp();
}

/* True with an event that a signal makes. */
static bool take_signal(uint32_t *key, enum ui_event *event)
{
	switch (ui_signals_next()) {
	case SIGNAL_END:
		*event = UI_GONE;
		return true;
	case SIGNAL_STOP:
		stop();
		*event = UI_CONTINUED;
		return true;
	case SIGNAL_CONTINUE:
		*event = UI_CONTINUED;
		return true;
	case SIGNAL_INTERRUPT:
		*key = KEY_INTERRUPT;
		*event = UI_KEY;
		return true;
	case SIGNAL_NONE:
		break;
	}
	return false;
}

enum ui_event ui_term_wait(struct ui_term *t, int other, int ms, uint32_t *key)
{
	for (;;) {
		struct pollfd p[] = {
			{ t->fd, POLLIN, 0 }, { ui_signals_fd(), POLLIN, 0 }, { other, POLLIN, 0 },
		};
		enum ui_event event;
		int n;

		if (take_signal(key, &event) || read_event(key, &event))
			return event;
		n = poll(p, LENGTH(p), ms);
		if (n > 0 && (p[0].revents & (POLLHUP | POLLERR | POLLNVAL)))
			return UI_GONE;
		if (n > 0 && p[0].revents == 0 && p[1].revents == 0)
			return UI_NEWS;
		if (n == 0)
			return UI_LATE;
	}
}
