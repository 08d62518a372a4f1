/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The one or two logs of the viewer, loaded in the background: what has come of each,
 * from before the screen is taken until the viewer ends.
 */
#ifndef CMD_INCOMING_H
#define CMD_INCOMING_H

#include <stdbool.h>
#include <stddef.h>

#include "base/bell.h"
#include "calc/loading.h"
#include "ui/loop.h"
#include "view/state.h"

struct incoming_log {
	struct loading *loading;
	char *path;
	bool follow;
	bool has_log;			/* `log` is newer than what the view has */
	struct loaded log;
	struct loading_state state;
	bool is_over;			/* its end has been told of */
	bool told_trouble;
};

struct incoming {
	struct incoming_log logs[SIDES];
	size_t count;
	struct bell news;		/* rung by the threads that load */
	bool stopped;			/* by Ctrl-C */
	double began;			/* s, as ticks_now() */
	double ended;			/* all are read; NaN before */
};

/*
 * Starts to load paths[count]; the last one is followed where `follow` says so.  Ends
 * with incoming_release(), also after a failure.  *options must stay until then.
 */
enum err_code incoming_start(struct incoming *in, char *const paths[], size_t count,
			     const struct load_options *options, bool follow, struct err *e);
void incoming_release(struct incoming *in);

/* Waits up to `ms` for news, and takes what has come of each log. */
void incoming_wait(struct incoming *in, int ms);

/* No more is read. */
void incoming_stop(struct incoming *in);

/* What is still to come of a log. */
enum coming incoming_coming(const struct incoming_log *l);

/* Hands what has come on to a view, whose sources are these logs in their order. */
struct ui_feed incoming_feed(struct incoming *in);

#endif
