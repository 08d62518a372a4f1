/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Logs that load in the background. */
#include "cmd/incoming.h"

#include <math.h>
#include <poll.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/ticks.h"
#include "view/findings.h"
#include "view/lanes.h"
#include "view/refresh.h"

#define LONG_S 0.5		/* reading that a person may want to end */
#define LATE_S 1.0		/* behind it Ctrl-C is still meant for it */

enum err_code incoming_start(struct incoming *in, char *const paths[], size_t count,
			     const struct load_options *options, bool follow, struct err *e)
{
	enum err_code code = ERR_NONE;
	size_t i;

	*in = (struct incoming){ .news = BELL_INIT, .began = ticks_now(), .ended = NAN };
	if (!bell_open(&in->news))
		return err_errno(e, "pipe", "cannot open");
	for (i = 0; i < count && code == ERR_NONE; i++) {
		struct incoming_log *l = &in->logs[in->count++];

		l->path = mem_strdup(paths[i]);
		l->follow = follow && i + 1 == count;
		code = loading_start(paths[i], options, l->follow, in->news.ring, &l->loading, e);
	}
	return code;
}

void incoming_release(struct incoming *in)
{
	size_t i;

	for (i = 0; i < in->count; i++) {
		loading_free(in->logs[i].loading);
		loaded_release(&in->logs[i].log);
		free(in->logs[i].path);
	}
	bell_close(&in->news);
	*in = (struct incoming){ .news = BELL_INIT };
}

static void take(struct incoming_log *l)
{
	const bool anew = l->has_log && l->state.is_anew;
	struct loaded fresh;
	const bool taken = loading_take(l->loading, &fresh, &l->state);

	l->state.is_anew = l->state.is_anew || anew;
	if (!taken)
		return;
	if (l->has_log)
		loaded_release(&l->log);
	l->log = fresh;
	l->has_log = true;
}

void incoming_wait(struct incoming *in, int ms)
{
	struct pollfd p = { in->news.hear, POLLIN, 0 };
	size_t i;

	poll(&p, 1, ms);
	bell_hush(&in->news);
	for (i = 0; i < in->count; i++)
		take(&in->logs[i]);
}

void incoming_stop(struct incoming *in)
{
	size_t i;

	in->stopped = true;
	for (i = 0; i < in->count; i++)
		loading_stop(in->logs[i].loading);
}

enum coming incoming_coming(const struct incoming_log *l)
{
	if (l->state.is_done)
		return COMING_NONE;
	return l->follow ? COMING_LIVE : COMING_REST;
}

/* ---- feeding a view ---- */

static double share_read(const struct loading_state *s)
{
	return s->size > 0 ? fmin((double)s->bytes / (double)s->size, 1.0) : NAN;
}

/* What a person should know once all is there. */
static void say_end(struct view *v, const struct incoming_log *l, const struct datalog *log)
{
	if (l->state.code != ERR_NONE)
		view_complain(v, "%s", l->state.error.text);
	else if (log->is_part && !l->follow)
		view_complain(v, "reading was stopped: only the first %zu rows are here", log->rows);
	else if (log->bad_rows + log->bad_cells > 0)
		view_say(v, "%zu rows and %zu cells could not be read; see `twinpull channels`",
			 log->bad_rows, log->bad_cells);
	else if (l->follow)
		view_say(v, "%s has ended",
			 strcmp(l->path, "-") == 0 ? "standard input" : l->path);
}

/* Once, what keeps a log that is followed from being one. */
static void say_trouble(struct view *v, struct incoming_log *l)
{
	const bool trouble = l->state.code != ERR_NONE && !l->state.is_done;

	if (trouble && !l->told_trouble)
		view_complain(v, "%s", l->state.error.text);
	l->told_trouble = trouble;
}

/* What is not as a person would take it to be. */
static const char *remark(const struct incoming *in, const struct incoming_log *l,
			  const struct datalog *log)
{
	const struct loading_state *s = &l->state;

	if (!s->is_done)
		return s->is_gone ? "file is gone" : in->stopped && !l->follow ? "reading ends" : NULL;
	return log->is_part && !l->follow ? "not read whole" : NULL;
}

static void feed_log(struct incoming *in, struct view *v, size_t source)
{
	struct incoming_log *l = &in->logs[source];
	struct err e = ERR_INIT;

	if (!l->is_over)
		view_coming(v, source, l->follow ? COMING_LIVE : incoming_coming(l),
			    share_read(&l->state));
	/* else of a log that grows quickly nothing would ever come to its end */
	if (l->follow && l->has_log && (findings_are_due(v) || lanes_are_awaited(v)))
		return;
	if (l->has_log) {
		if (view_refresh(v, source, &l->log, l->state.is_anew, &e) != ERR_NONE) {
			view_complain(v, "%s", e.text);
			loaded_release(&l->log);
		}
		l->has_log = false;
		l->state.is_anew = false;
	}
	say_trouble(v, l);
	view_silence(v, source, l->follow ? l->state.silent_s : 0.0);
	view_remark(v, source, remark(in, l, v->sources[source].loaded.log));
	if (!l->state.is_done || l->is_over)
		return;
	l->is_over = true;
	view_coming(v, source, COMING_NONE, NAN);
	say_end(v, l, v->sources[source].loaded.log);
}

static void feed(void *data, struct view *v)
{
	struct incoming *in = data;
	bool reads = false;
	size_t i;

	incoming_wait(in, 0);
	findings_take(v);
	lanes_take(v);
	for (i = 0; i < in->count; i++) {
		feed_log(in, v, i);
		reads = reads || !in->logs[i].is_over;
	}
	if (!reads && isnan(in->ended))
		in->ended = ticks_now();
}

/* Who wanted to end a long reading was too late by a moment. */
static bool has_just_ended(const struct incoming *in)
{
	return in->ended - in->began > LONG_S && ticks_now() - in->ended < LATE_S;
}

/* A log that is followed goes on until the viewer ends: Ctrl-C leaves then. */
static bool interrupt(void *data, struct view *v)
{
	struct incoming *in = data;
	bool reads = false;
	size_t i;

	if (v->prompt.open)
		return false;	/* it is left first */
	for (i = 0; i < in->count; i++)
		reads = reads || incoming_coming(&in->logs[i]) == COMING_REST;
	if (!reads && !in->stopped && has_just_ended(in)) {
		view_say(v, "all is read");
		return true;
	}
	if (!reads || in->stopped)
		return false;
	incoming_stop(in);
	view_say(v, "reading ends here");
	return true;
}

struct ui_feed incoming_feed(struct incoming *in)
{
	return (struct ui_feed){ in->news.hear, feed, interrupt, in };
}
