/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The viewer with checks that run only while there is a file `go` in the working directory,
 * so that tests can look at what is on the screen before.
 *
 *     held_view A B
 */
#include <locale.h>
#include <math.h>
#include <poll.h>
#include <stdio.h>
#include <unistd.h>

#include "base/bell.h"
#include "ui/loop.h"
#include "view/findings.h"

static enum err_code check_when_told(struct check_report *out, const struct loaded *loaded,
				     const struct run *run, const struct check_setup *setup,
				     struct err *e)
{
	while (access("go", F_OK) != 0 && setup->go_on(setup->data))
		poll(NULL, 0, 2);
	return check_run(out, loaded, run, setup, e);
}

static void take(void *data, struct view *v)
{
	bell_hush(data);
	findings_take(v);
}

static bool interrupt(void *data, struct view *v)
{
	(void)data;
	(void)v;
	return false;
}

static enum err_code run(char **argv, struct err *e)
{
	static const struct load_options guess_all;
	struct loaded a = LOADED_INIT, b = LOADED_INIT;
	const struct log_ref ref_a = { argv[1], REF_BEST, 0 };
	const struct log_ref ref_b = { argv[2], REF_BEST, 0 };
	struct limits limits;
	struct car car;
	struct view_start start = {
		.a = &a, .b = &b, .ref_a = &ref_a, .ref_b = &ref_b, .crossing = NAN, .axis = -1,
		.glyphs = ui_glyphs(), .limits = &limits, .car = &car, .rows = 24, .cols = 80,
	};
	struct view *v = NULL;
	struct ui_term *t;
	struct ui_feed feed;
	struct bell news;
	enum err_code code;

	limits_init(&limits);
	car_init(&car);
	if (!bell_open(&news))
		return err_errno(e, "pipe", "cannot open");
	feed = (struct ui_feed){ news.hear, take, interrupt, &news };
	start.checking = checking_new(news.ring, check_when_told);
	code = load_log(argv[1], &guess_all, &a, e);
	if (code == ERR_NONE)
		code = load_log(argv[2], &guess_all, &b, e);
	if (code == ERR_NONE)
		code = view_new(&v, &start, e);
	if (code == ERR_NONE)
		code = ui_term_start(&t, e);
	if (code == ERR_NONE) {
		ui_run(t, v, &feed);
		ui_term_end(t);
	}
	checking_free(start.checking);
	bell_close(&news);
	view_free(v);
	loaded_release(&a);
	loaded_release(&b);
	limits_release(&limits);
	car_release(&car);
	return code;
}

int main(int argc, char **argv)
{
	struct err e = ERR_INIT;

	setlocale(LC_CTYPE, "");
	if (argc != 3 || run(argv, &e) != ERR_NONE) {
		fprintf(stderr, "held_view: %s\n", e.text);
		return 2;
	}
	return 0;
}
