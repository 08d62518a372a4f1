/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "ui/signals.h"

#include <signal.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include <termios.h>
#include <unistd.h>

#include "base/bell.h"
#include "base/mem.h"
#include "ui/term.h"

/* What a handler may touch. */
static struct {
	volatile sig_atomic_t ending;		/* its number, or 0 */
	volatile sig_atomic_t came[UI_SIGNALS];
	struct bell bell;
	int fd;
	struct termios before;
	void (*resized)(int);			/* by curses */
	bool has_begun;
	bool at_exit;				/* on_exit_by_curses() will be called */
} state = { .bell = BELL_INIT };

static void leave_word(enum ui_signal what)
{
	state.came[what] = 1;
	bell_ring(state.bell.ring);
}

static void on_ending(int number)
{
	state.ending = number;
	leave_word(SIGNAL_END);
}

static void on_stop(int number)
{
	(void)number;
	leave_word(SIGNAL_STOP);
}

static void on_continue(int number)
{
	(void)number;
	leave_word(SIGNAL_CONTINUE);
}

static void on_interrupt(int number)
{
	(void)number;
	leave_word(SIGNAL_INTERRUPT);
}

/* What curses does leaves word, too, and is found by who asks it for a key. */
static void on_resize(int number)
{
	state.resized(number);
	bell_ring(state.bell.ring);
}

/*
 * Async-signal-safe: the attributes, and the sequences that end what was begun
 * (ECMA-48 SGR 0 and RIS-free private modes: cursor on, plain cursor keys and keypad,
 * main screen).  They go where curses writes: the keys may come from elsewhere.
 */
static void restore(void)
{
	static const char sequences[] = "\033[0m\033[?25h\033[?1l\033>\033[?1049l\r\n";

	tcsetattr(state.fd, TCSAFLUSH, &state.before);	/* behind what is written by now */
	(void)!write(STDOUT_FILENO, sequences, sizeof sequences - 1);
}

static void on_crash(int number)
{
	restore();
	signal(number, SIG_DFL);
	raise(number);
}

/* Curses ends the program where it has no memory; nobody else does while this is on. */
static void on_exit_by_curses(void)
{
	if (state.has_begun)
		mem_end();
}

static const struct {
	int number;
	void (*handler)(int);
	int flags;
} handlers[] = {
	/* ends that ask: the loop sees them, leaves, and raises them again */
	{ SIGTERM, on_ending, SA_RESTART }, { SIGHUP, on_ending, SA_RESTART },
	{ SIGQUIT, on_ending, SA_RESTART }, { SIGALRM, on_ending, SA_RESTART },
	{ SIGPIPE, on_ending, SA_RESTART }, { SIGUSR1, on_ending, SA_RESTART },
	{ SIGUSR2, on_ending, SA_RESTART }, { SIGXCPU, on_ending, SA_RESTART },
	{ SIGXFSZ, on_ending, SA_RESTART },
	{ SIGINT, on_interrupt, SA_RESTART }, { SIGTSTP, on_stop, SA_RESTART },
	{ SIGCONT, on_continue, SA_RESTART },
	{ SIGSEGV, on_crash, (int)SA_RESETHAND }, { SIGBUS, on_crash, (int)SA_RESETHAND },
	{ SIGFPE, on_crash, (int)SA_RESETHAND }, { SIGILL, on_crash, (int)SA_RESETHAND },
	{ SIGABRT, on_crash, (int)SA_RESETHAND },
};

#define HANDLERS (sizeof handlers / sizeof handlers[0])

static void set_handler(int number, void (*handler)(int), int flags)
{
	struct sigaction action;

	memset(&action, 0, sizeof action);
	action.sa_handler = handler;
	action.sa_flags = flags;
	sigemptyset(&action.sa_mask);
	sigaction(number, &action, NULL);
}

static void (*handler_of(int number))(int)
{
	struct sigaction now;

	return sigaction(number, NULL, &now) == 0 ? now.sa_handler : SIG_DFL;
}

/* Where there is no job control, Ctrl-Z is ignored, and stays so. */
static bool is_left_alone(int number)
{
	return number == SIGTSTP && handler_of(number) == SIG_IGN;
}

enum err_code ui_signals_begin(int fd, struct err *e)
{
	size_t i;

	if (tcgetattr(fd, &state.before) != 0)
		return err_errno(e, "terminal", "cannot read its settings");
	if (!bell_open(&state.bell))
		return err_errno(e, "pipe", "cannot open");
	state.fd = fd;
	for (i = 0; i < HANDLERS; i++)
		if (!is_left_alone(handlers[i].number))
			set_handler(handlers[i].number, handlers[i].handler, handlers[i].flags);
	mem_before_end(restore);
	state.has_begun = true;
	if (!state.at_exit)
		state.at_exit = atexit(on_exit_by_curses) == 0;
	return ERR_NONE;
}

void ui_signals_share(void)
{
	state.resized = handler_of(SIGWINCH);
	if (state.resized != SIG_DFL && state.resized != SIG_IGN)
		set_handler(SIGWINCH, on_resize, SA_RESTART);
}

void ui_signals_end(void)
{
	size_t i;

	state.has_begun = false;
	mem_before_end(NULL);
	for (i = 0; i < HANDLERS; i++)
		if (!is_left_alone(handlers[i].number))
			set_handler(handlers[i].number, SIG_DFL, 0);
	set_handler(SIGWINCH, SIG_DFL, 0);
	bell_close(&state.bell);
}

int ui_signals_fd(void)
{
	return state.bell.hear;
}

int ui_term_signal(void)
{
	return state.ending;
}

enum ui_signal ui_signals_next(void)
{
	int i;

	bell_hush(&state.bell);
	for (i = SIGNAL_NONE + 1; i < UI_SIGNALS; i++)
		if (state.came[i]) {
			state.came[i] = 0;
			return (enum ui_signal)i;
		}
	return SIGNAL_NONE;
}

void ui_signals_stop(void)
{
	set_handler(SIGTSTP, SIG_DFL, 0);
	raise(SIGTSTP);
	set_handler(SIGTSTP, on_stop, SA_RESTART);
	state.came[SIGNAL_CONTINUE] = 0;	/* this one was waited for */
	tcgetattr(state.fd, &state.before);	/* the shell may have set others */
}
