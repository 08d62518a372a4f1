/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `twinpull plot`: the overlay as plain text, or its samples. */
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include "cmd/cmd.h"
#include "cmd/report.h"
#include "cmd/session.h"
#include "cmd/viewing.h"
#include "view/export.h"
#include "view/still.h"

static const struct syntax syntax = {
	"plot", "A [B]",
	"Prints the overlay as text: per channel a lane with both traces on one scale.\n"
	"With --format csv or json the samples behind the picture.",
	1, 2, { &options_reading, &options_compare, &options_judging, &options_output,
		&options_picture },
};

/* In colour only on a terminal that has not asked for none. */
static bool wants_colour(const struct options *o)
{
	const char *no_color = getenv("NO_COLOR");
	const char *term = getenv("TERM");

	return term != NULL && strcmp(term, "dumb") != 0 && o->output == NULL && isatty(STDOUT_FILENO) &&
	       (no_color == NULL || no_color[0] == '\0');
}

static void write_text(struct view *v, const struct options *o, struct buf *out)
{
	struct canvas *c = still_draw(v);

	if (wants_colour(o))
		canvas_write_ansi(c, THEME_256, out);
	else
		canvas_write_text(c, out);
	canvas_free(c);
}

static enum err_code write_plot(struct view *v, const struct options *o, struct buf *out,
				struct err *e)
{
	switch (o->style.format) {
	case OUT_CSV:
		return export_window_csv(v, out, e);
	case OUT_JSON:
		still_json(v, out);
		return ERR_NONE;
	default:
		write_text(v, o, out);
		return ERR_NONE;
	}
}

/* One row less than the terminal has, for the prompt that follows; 30 without one. */
static int terminal_rows(void)
{
	struct winsize size;

	if (ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) != 0 || size.ws_row <= VIEW_LEAST_ROWS)
		return 30;
	return size.ws_row - 1;
}

/* The picture is of what was asked for, or there is none; what is odd is said. */
static enum err_code check_asked(struct view *v, const struct options *o, struct err *e)
{
	if (v->message != NULL)
		report("%s", v->message);
	if (o->axis_given && v->overlay.axis != o->axis)
		return err_set(e, ERR_DATA, "engine speed does not rise in both, so it cannot be "
			       "the axis; use --axis time");
	if (!view_window(v, o->from, o->to))
		return err_set(e, ERR_DATA, "nothing is there between %g and %g %s", o->from,
			       o->to, axis_unit(v->overlay.axis));
	return ERR_NONE;
}

static int plot(struct options *o, struct viewing *w)
{
	struct buf out = BUF_INIT;
	struct err e = ERR_INIT;
	struct view *v;
	int status;

	session_style(o);
	if (w->rows == 0) {
		w->rows = terminal_rows();
		w->cols = (int)(o->style.width < VIEW_LEAST_COLS ? VIEW_LEAST_COLS :
				isatty(STDOUT_FILENO) ? o->style.width : 100);
	}
	v = viewing_open(o, w);
	if (v == NULL)
		status = EXIT_TROUBLE;
	else if (check_asked(v, o, &e) == ERR_NONE && write_plot(v, o, &out, &e) == ERR_NONE)
		status = report_result(&out, o->output);
	else
		status = report_trouble(&e);
	buf_release(&out);
	viewing_close(v, w);
	return status;
}

int cmd_plot(int argc, char **argv)
{
	struct viewing w = VIEWING_INIT;
	struct options o = { .own = &w };
	int status;

	switch (options_parse(&syntax, argc, argv, &o)) {
	case OPTIONS_DONE:
		return EXIT_FINE;
	case OPTIONS_TROUBLE:
		return EXIT_TROUBLE;
	case OPTIONS_RUN:
		break;
	}
	status = plot(&o, &w);
	options_release(&o);
	return status;
}
