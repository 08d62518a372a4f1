/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "ui/signals.h"

#include <signal.h>
#include <stdbool.h>
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

/* Ends that ask: the loop sees them, leaves, and raises them again. */
static const int endings[] = {
	SIGTERM, SIGHUP, SIGQUIT, SIGALRM, SIGPIPE, SIGUSR1, SIGUSR2, SIGXCPU, SIGXFSZ,
};

static const int crashes[] = { SIGSEGV, SIGBUS, SIGFPE, SIGILL, SIGABRT };

#define LENGTH(a) (sizeof(a) / sizeof((a)[0]))

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

static void set_handlers(void (*ending)(int), void (*crash)(int), void (*interrupt)(int),
			 void (*stop)(int), void (*resumed)(int))
{
	size_t i;

	for (i = 0; i < LENGTH(endings); i++)
		set_handler(endings[i], ending, SA_RESTART);
	for (i = 0; i < LENGTH(crashes); i++)
		set_handler(crashes[i], crash, (int)SA_RESETHAND);
	set_handler(SIGINT, interrupt, SA_RESTART);
	set_handler(SIGCONT, resumed, SA_RESTART);
	if (handler_of(SIGTSTP) != SIG_IGN)	/* no job control: it stays so */
		set_handler(SIGTSTP, stop, SA_RESTART);
}

enum err_code ui_signals_begin(int fd, struct err *e)
{
	if (tcgetattr(fd, &state.before) != 0)
		return err_errno(e, "terminal", "cannot read its settings");
	if (!bell_open(&state.bell))
		return err_errno(e, "pipe", "cannot open");
	state.fd = fd;
	set_handlers(on_ending, on_crash, on_interrupt, on_stop, on_continue);
	mem_before_end(restore);
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
	mem_before_end(NULL);
	set_handlers(SIG_DFL, SIG_DFL, SIG_DFL, SIG_DFL, SIG_DFL);
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
