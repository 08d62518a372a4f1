/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `twinpull marks`: the marks kept beside a log: list, add, remove. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/num.h"
#include "base/path.h"
#include "cmd/cmd.h"
#include "cmd/options.h"
#include "cmd/report.h"
#include "cmd/session.h"
#include "keep/marks.h"
#include "out/heading.h"
#include "out/out_marks.h"

struct marks_options {
	bool add;
	double from;		/* NaN: open */
	double to;
	const char *title;
	const char *note;
	const char *channel;
	bool axis_given;
	enum axis_kind axis;
	long remove;		/* from 1; 0: none */
};

static enum err_code set_add(struct options *o, const char *value, struct err *e)
{
	struct marks_options *own = o->own;

	if (!options_span(value, &own->from, &own->to))
		return err_set(e, ERR_USAGE, "must be FROM:TO in rpm or s, FROM below TO; "
			       "either may be left out");
	own->add = true;
	return ERR_NONE;
}

static enum err_code set_title(struct options *o, const char *value, struct err *e)
{
	struct marks_options *own = o->own;

	if (value[0] == '\0')
		return err_set(e, ERR_USAGE, "must say something");
	own->title = value;
	return ERR_NONE;
}

static enum err_code set_note(struct options *o, const char *value, struct err *e)
{
	struct marks_options *own = o->own;

	(void)e;
	own->note = value;
	return ERR_NONE;
}

static enum err_code set_channel(struct options *o, const char *value, struct err *e)
{
	struct marks_options *own = o->own;

	(void)e;
	own->channel = value;
	return ERR_NONE;
}

static enum err_code set_axis(struct options *o, const char *value, struct err *e)
{
	struct marks_options *own = o->own;

	own->axis = strcmp(value, axis_name(AXIS_RPM)) == 0 ? AXIS_RPM : AXIS_TIME;
	if (strcmp(value, axis_name(own->axis)) != 0)
		return err_set(e, ERR_USAGE, "must be rpm or time");
	own->axis_given = true;
	return ERR_NONE;
}

static enum err_code set_remove(struct options *o, const char *value, struct err *e)
{
	struct marks_options *own = o->own;

	if (!num_parse_int(value, 1, 1000000, &own->remove))
		return err_set(e, ERR_USAGE, "must be a mark's number in the list");
	return ERR_NONE;
}

static const struct option_row rows[] = {
	{ "add", 0, "FROM:TO", "add a mark over this region, in rpm or s", set_add },
	{ "title", 0, "TEXT", "its title", set_title },
	{ "note", 0, "TEXT", "more about it", set_note },
	{ "channel", 0, "NAME", "the channel that it is about", set_channel },
	{ "axis", 0, "AXIS", "rpm or time, the log's own clock (rpm)", set_axis },
	{ "remove", 0, "NUMBER", "remove the mark of this number", set_remove },
};

static const struct option_set options_marks = { "Marks", rows, sizeof rows / sizeof rows[0] };

static const struct syntax syntax = {
	"marks", "LOG[@N]",
	"Lists the marks of a log, or adds or removes one and lists them then. Marks are\n"
	"kept beside the log in LOG.marks.csv.",
	1, 1, { &options_marks, &options_reading, &options_output },
};

static enum err_code check_options(const struct marks_options *own, struct err *e)
{
	if (own->add && own->remove > 0)
		return err_set(e, ERR_USAGE, "marks: either --add or --remove");
	if (own->add && own->title == NULL)
		return err_set(e, ERR_USAGE, "marks: --add needs a --title");
	if (!own->add && (own->title != NULL || own->note != NULL || own->channel != NULL ||
			  own->axis_given))
		return err_set(e, ERR_USAGE, "marks: --title, --note, --channel and --axis "
			       "belong to --add FROM:TO");
	return ERR_NONE;
}

/* Fills the region: open ends become the run's own, what lies outside is refused. */
static enum err_code place_mark(struct mark *mark, const struct run *run,
				const struct marks_options *own, struct err *e)
{
	const struct axis_map *map = &run->by_rpm;
	double low, high;

	mark->axis = own->axis_given ? own->axis : map->n > 0 ? AXIS_RPM : AXIS_TIME;
	if (mark->axis == AXIS_RPM && map->n == 0)
		return err_set(e, ERR_DATA, "%s: no pull with rising engine speed, so there is "
			       "no rpm axis; use --axis time", run->log->path);
	if (mark->axis == AXIS_RPM) {
		low = axis_map_from(map);
		high = axis_map_to(map);
	} else {
		low = run->pull.from_s;
		high = run->pull.to_s;
	}
	mark->from = isnan(own->from) ? low : own->from;
	mark->to = isnan(own->to) ? high : own->to;
	if (mark->from > high || mark->to < low)
		return err_set(e, ERR_DATA, "%s: nothing lies in %g to %g %s: the pull covers "
			       "%g to %g", run->log->path, mark->from, mark->to,
			       axis_unit(mark->axis), low, high);
	return ERR_NONE;
}

static enum err_code add_mark(struct marks *marks, const struct loaded *loaded,
			      const struct log_ref *ref, const struct marks_options *own,
			      struct err *e)
{
	const struct channel *ch = NULL;
	struct mark mark = { 0 };
	struct run run;
	enum err_code code = load_run(loaded, ref, &run, e);

	if (code != ERR_NONE)
		return code;
	mark.pull = run.number;
	code = place_mark(&mark, &run, own, e);
	if (code == ERR_NONE && own->channel != NULL) {
		ch = datalog_channel(loaded->log, own->channel, e);
		code = ch == NULL ? ERR_USAGE : ERR_NONE;
	}
	if (code == ERR_NONE) {
		/* marks_add() copies them */
		mark.channel = ch == NULL ? NULL : ch->name;
		mark.title = (char *)own->title;
		mark.note = (char *)own->note;
		marks_add(marks, &mark);
	}
	run_release(&run);
	return code;
}

static enum err_code remove_mark(struct marks *marks, const struct log_ref *ref, long number,
				 struct err *e)
{
	if ((size_t)number > marks->count)
		return err_set(e, ERR_DATA, "%s: there is no mark %ld, only %zu", ref->path,
			       number, marks->count);
	marks_remove(marks, (size_t)number - 1);
	return ERR_NONE;
}

static enum err_code change_and_save(struct marks *marks, const struct options *o,
				     const struct log_ref *ref, struct err *e)
{
	const struct marks_options *own = o->own;
	struct log_ref own_ref = { NULL, REF_BEST, 0 };
	struct loaded loaded = LOADED_INIT;
	enum err_code code = ERR_NONE;

	if (own->add) {
		code = session_load(o->logs[0], o, &loaded, &own_ref, e);
		if (code == ERR_NONE)
			code = add_mark(marks, &loaded, ref, own, e);
	} else {
		code = remove_mark(marks, ref, own->remove, e);
	}
	if (code == ERR_NONE)
		code = marks_save(marks, e);
	if (code == ERR_NONE && marks->elsewhere)
		report("%s: its folder cannot be written; the marks are kept in %s", ref->path,
		       marks->path);
	loaded_release(&loaded);
	free(own_ref.path);
	return code;
}

static enum err_code load_marks(const char *word, struct marks *marks, struct log_ref *ref,
				struct err *e)
{
	enum err_code code = log_ref_parse(word, ref, e);

	if (code != ERR_NONE)
		return code;
	if (strcmp(ref->path, "-") == 0)
		return err_set(e, ERR_USAGE, "marks of standard input are kept nowhere; "
			       "name a file");
	if (!path_exists(ref->path))
		return err_set(e, ERR_IO, "%s: no such file", ref->path);
	return marks_load(marks, ref->path, e);
}

static size_t shown_pull(const struct log_ref *ref)
{
	if (ref->what == REF_BEST)
		return OUT_MARKS_EVERY;
	return ref->what == REF_WHOLE ? RUN_WHOLE : ref->number;
}

static int run(const struct options *o)
{
	const struct marks_options *own = o->own;
	struct log_ref ref = { NULL, REF_BEST, 0 };
	struct marks marks = MARKS_INIT;
	struct buf out = BUF_INIT;
	struct err e = ERR_INIT;
	enum err_code code = check_options(own, &e);
	int status;

	if (code == ERR_NONE)
		code = load_marks(o->logs[0], &marks, &ref, &e);
	if (code == ERR_NONE && (own->add || own->remove > 0))
		code = change_and_save(&marks, o, &ref, &e);
	if (code == ERR_NONE) {
		out_marks(&marks, ref.path, shown_pull(&ref), &o->style, &out);
		status = report_result(&out, o->output);
	} else {
		status = report_trouble(&e);
	}
	buf_release(&out);
	marks_release(&marks);
	free(ref.path);
	return status;
}

int cmd_marks(int argc, char **argv)
{
	struct marks_options own = { false, NAN, NAN, NULL, NULL, NULL, false, AXIS_TIME, 0 };

	return session_command(&syntax, argc, argv, &own, run);
}
