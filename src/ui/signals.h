/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Signals while the viewer has the terminal.  Those that ask for something only leave word, and
 * wake who waits: no work is done in a handler, whatever it came into.  Those that leave no
 * time, crashes, restore the terminal here and now, as does the end for want of memory.
 */
#ifndef UI_SIGNALS_H
#define UI_SIGNALS_H

#include "base/err.h"

/*
 * From here on; `fd` is of the terminal whose settings are to be restored.  Before curses
 * starts, which takes those signals that nobody has.  ERR_IO when it is no terminal.
 */
enum err_code ui_signals_begin(int fd, struct err *e);

/* Once curses has started. */
void ui_signals_share(void);

/* As by default again. */
void ui_signals_end(void);

/* Readable when a signal has come: then ui_signals_next() is to be asked. */
int ui_signals_fd(void);

enum ui_signal {
	SIGNAL_NONE,
	SIGNAL_END,		/* ui_term_signal() knows which */
	SIGNAL_STOP,		/* Ctrl-Z: ui_signals_stop() */
	SIGNAL_CONTINUE,	/* after a stop that did not ask */
	SIGNAL_INTERRUPT,	/* Ctrl-C */
};

#define UI_SIGNALS (SIGNAL_INTERRUPT + 1)

/* The next of those that came until now. */
enum ui_signal ui_signals_next(void);

/* Stops the process, and comes back when it continues: the terminal must be the shell's. */
void ui_signals_stop(void);

#endif
