/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Ctrl-C while a log is read: reading ends, and the command goes on with what was read.
 * A second one ends the program at once.
 */
#ifndef CMD_INTERRUPT_H
#define CMD_INTERRUPT_H

#include <stdbool.h>

void interrupt_catch(void);	/* from now on */
bool interrupt_came(void);	/* since the last interrupt_forget() */
void interrupt_forget(void);	/* the terminal's usual way again */

/* At the end of the program: as one that Ctrl-C ended, where it did. */
int interrupt_finish(int status);

#endif
