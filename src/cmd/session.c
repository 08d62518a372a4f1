/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Loading, laying on an axis, and choosing channels and span. */
#include "cmd/session.h"

#include <langinfo.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include "base/mem.h"
#include "base/num.h"
#include "cmd/cmd.h"
#include "cmd/interrupt.h"
#include "cmd/progress.h"
#include "cmd/report.h"

#define NARROWEST 40		/* a terminal that says it has fewer cells is not believed */
#define WIDEST 200
#define FEW_CHANNELS 12		/* so few are all shown */

/* A file's name in a message. */
static const char *called(const struct datalog *log)
{
	return strcmp(log->path, "-") == 0 ? "standard input" : log->path;
}

void session_style(struct options *o)
{
	struct winsize size;

	o->style.ascii = strcmp(nl_langinfo(CODESET), "UTF-8") != 0;
	o->style.width = OUT_WIDTH;
	if (o->output == NULL && isatty(STDOUT_FILENO) &&
	    ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col >= NARROWEST)
		o->style.width = size.ws_col > WIDEST ? WIDEST : size.ws_col;
}

int session_command(const struct syntax *syntax, int argc, char **argv, void *own,
		    int (*work)(const struct options *o))
{
	struct options o = { 0 };
	int status;

	o.own = own;
	switch (options_parse(syntax, argc, argv, &o)) {
	case OPTIONS_DONE:
		return EXIT_FINE;
	case OPTIONS_TROUBLE:
		return EXIT_TROUBLE;
	case OPTIONS_RUN:
		break;
	}
	session_style(&o);
	status = work(&o);
	options_release(&o);
	return status;
}

static void warn_unread(const struct datalog *log)
{
	if (log->bad_rows == 0 && log->bad_cells == 0)
		return;
	report("%s: could not read %zu row%s and %zu cell%s%s; see `twinpull channels`",
	       called(log), log->bad_rows, log->bad_rows == 1 ? "" : "s", log->bad_cells,
	       log->bad_cells == 1 ? "" : "s",
	       log->bad_cells > 0 ? " (such a cell counts as missing)" : "");
}

/* The reader's notes say "Time: row 5 ..." or "Time: 12 rows ..." of a mended clock. */
static bool is_mend(const char *note)
{
	static const char about[] = "Time: ";
	const char *rest = note + sizeof about - 1;

	if (strncmp(note, about, sizeof about - 1) != 0)
		return false;
	return strncmp(rest, "row ", 4) == 0 || (*rest >= '0' && *rest <= '9');
}

/* The other notes wait for `twinpull channels`. */
static void warn_clock(const struct datalog *log)
{
	size_t i;

	for (i = 0; i < log->note_count; i++)
		if (is_mend(log->notes[i]))
			report("%s: %s", called(log), log->notes[i]);
	if (log->time_source == TIME_ROWS)
		report("%s: no time column: each row counts as one second; give --rate HZ or "
		       "--time NAME", called(log));
}

/* "twinpull pulls *.csv" names them too. */
static bool is_marks_file(const char *path)
{
	static const char ending[] = ".marks.csv";
	const size_t n = strlen(path);

	return n > sizeof ending && strcmp(path + n - (sizeof ending - 1), ending) == 0;
}

static void warn_part(const struct datalog *log)
{
	if (log->is_part)
		report("%s: reading was stopped: only its first %zu rows are taken", called(log),
		       log->rows);
}

void session_warn(const struct datalog *log)
{
	warn_part(log);
	warn_unread(log);
	warn_clock(log);
}

/* Looks on while a log is read: a csv_watch. */
struct onlooker {
	const char *name;
	struct progress progress;
};

static bool look(void *data, const struct csv_progress *p, const struct csv_reading *so_far)
{
	struct onlooker *l = data;

	(void)so_far;
	progress_show(&l->progress, l->name, p->bytes, p->size);
	return !interrupt_came();
}

enum err_code session_read(const char *path, const struct options *o, struct loaded *out,
			   struct err *e)
{
	struct onlooker onlooker = { .name = path };
	const struct csv_watch watch = { look, &onlooker };
	struct load_options watched = o->load;
	enum err_code code;

	watched.csv.watch = &watch;
	progress_init(&onlooker.progress);
	interrupt_catch();
	code = load_log(path, &watched, out, e);
	progress_clear(&onlooker.progress);
	if (code == ERR_NONE)
		session_warn(out->log);
	return code;
}

enum err_code session_ref(const char *word, struct log_ref *ref, struct err *e)
{
	const enum err_code code = log_ref_parse(word, ref, e);

	if (code == ERR_NONE && is_marks_file(ref->path))
		return err_set(e, ERR_DATA, "%s: these are the marks of a log, not a log; see "
			       "`twinpull marks`", ref->path);
	return code;
}

enum err_code session_load(const char *word, const struct options *o, struct loaded *out,
			   struct log_ref *ref, struct err *e)
{
	enum err_code code = session_ref(word, ref, e);

	*out = (struct loaded)LOADED_INIT;
	return code == ERR_NONE ? session_read(ref->path, o, out, e) : code;
}

/* The log for A or B: two runs of one file share it. */
static enum err_code open_log(struct session *s, const struct options *o, size_t i,
			      const char *path, const struct loaded **out, struct err *e)
{
	const struct datalog *first = s->loaded[0].log;

	*out = &s->loaded[0];
	if (first != NULL && strcmp(first->path, path) == 0)
		return ERR_NONE;
	*out = &s->loaded[i];
	return session_read(path, o, &s->loaded[i], e);
}

static enum err_code open_run(struct session *s, const struct options *o, size_t i,
			      struct err *e)
{
	struct run *run = i == 0 ? &s->o.a : &s->o.b;
	struct log_ref ref = { NULL, REF_BEST, 0 };
	const struct loaded *loaded;
	enum err_code code = session_ref(o->logs[i], &ref, e);

	if (code == ERR_NONE)
		code = open_log(s, o, i, ref.path, &loaded, e);
	if (code == ERR_NONE)
		code = load_run(loaded, &ref, run, e);
	if (code == ERR_NONE && ref.what == REF_BEST && run->number == RUN_WHOLE)
		report("%s: no pull found; the whole log is taken", called(run->log));
	free(ref.path);
	return code;
}

static enum err_code open_runs(struct session *s, const struct options *o, struct err *e)
{
	enum err_code code = ERR_NONE;
	size_t i;

	if (o->log_count == 2 && o->logs[0][0] == '-' && o->logs[1][0] == '-')
		return err_set(e, ERR_USAGE, "standard input can be only one of A and B");
	for (i = 0; i < o->log_count && code == ERR_NONE; i++)
		code = open_run(s, o, i, e);
	return code;
}

static void warn_gears(const struct overlay *o)
{
	const struct pull *a = &o->a.pull;
	const struct pull *b = &o->b.pull;

	if (overlay_same_gear(o))
		return;
	if (a->gear > 0 && b->gear > 0)
		report("A is in gear %d and B in gear %d: do not compare their times", a->gear,
		       b->gear);
	else
		report("A and B are in different gears (%.1f and %.1f rpm per km/h): do not "
		       "compare their times", a->ratio, b->ratio);
}

static bool has_rpm_axis(const struct run *run)
{
	return run->by_rpm.n > 0;
}

static enum err_code choose_axis(struct session *s, const struct options *o, struct err *e)
{
	const struct run *const runs[2] = { &s->o.a, &s->o.b };
	size_t i;

	s->o.axis = o->axis_given ? o->axis : AXIS_RPM;
	for (i = 0; i < o->log_count; i++) {
		if (s->o.axis != AXIS_RPM || has_rpm_axis(runs[i]))
			continue;
		if (o->axis_given)
			return err_set(e, ERR_DATA, "%s: no pull with rising engine speed, so "
				       "there is no rpm axis; use --axis time",
				       runs[i]->log->path);
		s->o.axis = AXIS_TIME;
	}
	return ERR_NONE;
}

static enum err_code choose_alignment(struct session *s, const struct options *o,
				      struct err *e)
{
	const struct run *const runs[2] = { &s->o.a, &s->o.b };
	size_t i;

	/* over a whole log the clock is what a person and a script know */
	s->o.align = o->log_count == 1 && !o->align_given && s->o.a.number == RUN_WHOLE ?
		ALIGN_CLOCK : o->align;
	s->o.crossing = o->crossing;
	s->o.nudge = o->nudge;
	if (!isnan(o->crossing) && o->align != ALIGN_CROSSING)
		return err_set(e, ERR_USAGE, "--at belongs to --align crossing, not to "
			       "--align %s", align_name(o->align));
	for (i = 0; i < o->log_count && !isnan(o->crossing); i++)
		if (isnan(axis_map_to_time(&runs[i]->by_rpm, o->crossing)))
			return err_set(e, ERR_DATA, "%s: --at %g rpm is outside the pull (%.0f "
				       "to %.0f rpm)", runs[i]->log->path, o->crossing,
				       axis_map_from(&runs[i]->by_rpm),
				       axis_map_to(&runs[i]->by_rpm));
	if (!overlay_align(&s->o)) {
		if (o->align_given || s->o.axis == AXIS_TIME)
			report("A and B cannot be aligned by %s: their starts are laid together",
			       align_name(o->align));
		s->o.align = ALIGN_START;
	}
	return ERR_NONE;
}

static const char *who_covers(const struct overlay *o)
{
	if (overlay_has_b(o))
		return "A and B both cover";
	return o->a.number == RUN_WHOLE ? "the log covers" : "the pull covers";
}

static enum err_code choose_span(struct session *s, const struct options *o, struct err *e)
{
	const int decimals = s->o.axis == AXIS_RPM ? 0 : 2;
	const char *who = who_covers(&s->o);
	const char *unit = axis_unit(s->o.axis);
	char from[NUM_TEXT], to[NUM_TEXT];
	double low, high;

	overlay_range(&s->o, true, &low, &high);
	if (isnan(low))
		return err_set(e, ERR_DATA, "A and B have nothing in common on the %s axis; "
			       "try --axis %s", axis_name(s->o.axis),
			       axis_name(s->o.axis == AXIS_RPM ? AXIS_TIME : AXIS_RPM));
	s->from = isnan(o->from) ? low : fmax(o->from, low);
	s->to = isnan(o->to) ? high : fmin(o->to, high);
	num_fixed(from, low, decimals);
	num_fixed(to, high, decimals);
	if (!(s->from <= s->to))
		return err_set(e, ERR_DATA, "nothing lies in this span: %s %s to %s %s", who,
			       from, to, unit);
	if (o->from < s->from || o->to > s->to)
		report("the span is cut to what %s: %s to %s %s", who, from, to, unit);
	return ERR_NONE;
}

static bool holds_numbers(const struct pair *p)
{
	return column_kind(pair_channel(p)->column) == COLUMN_NUMBER;
}

static enum err_code name_channels(struct session *s, const char *list, struct err *e)
{
	enum err_code code = pairing_choose(&s->pairs, s->o.a.log, s->o.b.log, list, e);
	size_t i;

	for (i = 0; i < s->pairs.count && code == ERR_NONE; i++)
		if (!holds_numbers(&s->pairs.list[i]))
			code = err_set(e, ERR_DATA, "channel '%s' holds words, not numbers",
				       pair_channel(&s->pairs.list[i])->name);
	return code;
}

/* Keeps the pairs that pass, in order; returns how many went. */
static size_t keep(struct pairing *p, bool (*passes)(const struct pair *))
{
	const size_t before = p->count;
	size_t i;

	p->count = 0;
	for (i = 0; i < before; i++)
		if (passes(&p->list[i]))
			p->list[p->count++] = p->list[i];
	return before - p->count;
}

static int lane(const struct pair *p)
{
	return pair_channel(p)->quantity->lane;
}

static bool has_lane(const struct pair *p)
{
	return lane(p) > 0;
}

/* Lanes in their order, then what has none; the log's order where they are equal. */
static int by_lane(const void *x, const void *y)
{
	const struct pair *const a = x;
	const struct pair *const b = y;

	if (has_lane(a) != has_lane(b))
		return has_lane(a) ? -1 : 1;
	if (lane(a) != lane(b))
		return lane(a) < lane(b) ? -1 : 1;
	if (pair_channel(a) == pair_channel(b))
		return 0;
	return pair_channel(a) < pair_channel(b) ? -1 : 1;
}

static size_t count_lanes(const struct pairing *p)
{
	size_t count = 0;
	size_t i;

	for (i = 0; i < p->count; i++)
		count += has_lane(&p->list[i]);
	return count;
}

static enum err_code choose_channels(struct session *s, const struct options *o,
				     enum session_channels channels, struct err *e)
{
	pairing_build(&s->pairs, s->o.a.log, s->o.b.log, o->units);
	if (o->channels != NULL && strcmp(o->channels, "all") != 0)
		return name_channels(s, o->channels, e);
	keep(&s->pairs, holds_numbers);
	if (o->channels != NULL || channels == SESSION_ALL)
		return ERR_NONE;
	if (s->pairs.count > FEW_CHANNELS && count_lanes(&s->pairs) > 0)
		s->hidden = keep(&s->pairs, has_lane);
	qsort(s->pairs.list, s->pairs.count, sizeof *s->pairs.list, by_lane);
	return ERR_NONE;
}

enum err_code session_open(struct session *s, const struct options *o,
			   enum session_channels channels, struct err *e)
{
	enum err_code code;

	*s = (struct session){ 0 };
	code = open_runs(s, o, e);
	if (code == ERR_NONE)
		code = choose_axis(s, o, e);
	if (code == ERR_NONE)
		code = choose_alignment(s, o, e);
	if (code == ERR_NONE)
		code = choose_span(s, o, e);
	if (code == ERR_NONE)
		code = choose_channels(s, o, channels, e);
	if (code == ERR_NONE)
		warn_gears(&s->o);
	else
		session_release(s);
	return code;
}

void session_release(struct session *s)
{
	pairing_release(&s->pairs);
	overlay_release(&s->o);
	loaded_release(&s->loaded[0]);
	loaded_release(&s->loaded[1]);
}
