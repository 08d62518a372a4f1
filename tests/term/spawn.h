/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Starts a program as the leader of a new session on a new pseudo-terminal. */
#ifndef TERM_SPAWN_H
#define TERM_SPAWN_H

#include <stdbool.h>
#include <sys/types.h>
#include <termios.h>

#include "base/err.h"
#include "harness.h"

struct spawn {
	pid_t pid;		/* -1 while there is none */
	int master;		/* does not block; -1 while there is none */
	int slave;		/* our own opening of it: outlives the program */
	struct termios start;	/* the modes before the program ran */
};

#define SPAWN_INIT { .pid = -1, .master = -1, .slave = -1 }

/*
 * argv, env, dir, cols, rows and utf8 of o are as struct term_options says,
 * except that cols and rows must be positive.  *s must be SPAWN_INIT; release
 * it whatever comes back.
 */
enum err_code spawn_start(struct spawn *s, const struct term_options *o, struct err *e);

/* Kills the program and the jobs in its terminal, reaps it, closes all. */
void spawn_release(struct spawn *s);

#endif
