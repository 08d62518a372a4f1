/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `twinpull view`, the viewer; also without the word. */
#include <signal.h>
#include <string.h>
#include <unistd.h>

#include "cmd/cmd.h"
#include "cmd/report.h"
#include "cmd/viewing.h"
#include "ui/loop.h"
#include "view/action.h"
#include "view/export.h"
#include "view/still.h"

static const struct syntax syntax = {
	"view", "LOG [LOG]",
	"Opens the viewer: the widest pull of each log overlaid by engine speed, or one\n"
	"log alone over time. Press ? in it for the keys. Without a terminal the overlay\n"
	"is printed as text.",
	0, 2, { &options_reading, &options_compare, &options_judging, &options_picture,
		&options_live, &options_script },
};

static int print_picture(struct view *v, const struct viewing *w)
{
	struct buf out = BUF_INIT;
	struct err e = ERR_INIT;
	struct canvas *c;
	int status;

	if (w->play == NULL) {
		c = still_draw(v);
		canvas_write_text(c, &out);
		canvas_free(c);
	} else if (view_play(v, w->play, &e) != ERR_NONE ||
		   export_picture(v, &out, &e) != ERR_NONE) {
		buf_release(&out);
		return report_trouble(&e);
	}
	status = report_result(&out, NULL);
	buf_release(&out);
	return status;
}

/* Only now is the screen taken: whatever was wrong with the logs has been said. */
static int run_screen(struct view *v, struct viewing *w)
{
	const struct ui_feed feed = incoming_feed(&w->incoming);
	struct ui_term *t;
	struct err e = ERR_INIT;
	int number;

	if (ui_term_start(&t, &e) != ERR_NONE)
		return report_trouble(&e);
	ui_run(t, v, &feed);
	ui_term_end(t);
	number = ui_term_signal();
	if (number != 0)
		raise(number);
	return EXIT_FINE;
}

static int print_keys(void)
{
	struct buf out = BUF_INIT;
	int status;

	action_manual(&out);
	status = report_result(&out, NULL);
	buf_release(&out);
	return status;
}

static int view_logs(const struct options *o, struct viewing *w)
{
	struct view *v;
	bool screen;
	int status;

	if (o->log_count == 0) {
		report("view: which log? See `twinpull view --help`");
		return EXIT_TROUBLE;
	}
	if (w->rows == 0) {
		w->rows = 30;
		w->cols = 100;
	}
	screen = w->play == NULL && isatty(STDOUT_FILENO);
	if (w->follow && !screen) {
		report("view: --follow needs a terminal");
		return EXIT_TROUBLE;
	}
	if (w->follow && strcmp(o->logs[o->log_count - 1], "-") == 0 && isatty(STDIN_FILENO)) {
		report("view: --follow - wants a log piped in: the keys come from this terminal");
		return EXIT_TROUBLE;
	}
	v = screen ? viewing_open_early(o, w) : viewing_open(o, w);
	if (v == NULL)
		status = EXIT_TROUBLE;
	else
		status = screen ? run_screen(v, w) : print_picture(v, w);
	viewing_close(v, w);
	return status;
}

int cmd_view(int argc, char **argv)
{
	struct viewing w = VIEWING_INIT;
	struct options o = { .own = &w };
	int status;

	w.whole_alone = true;
	switch (options_parse(&syntax, argc, argv, &o)) {
	case OPTIONS_DONE:
		return EXIT_FINE;
	case OPTIONS_TROUBLE:
		return EXIT_TROUBLE;
	case OPTIONS_RUN:
		break;
	}
	status = w.list_keys ? print_keys() : view_logs(&o, &w);
	options_release(&o);
	return status;
}
