/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The fixture of the view's suites: both sample logs are open. */
#include "view/both.h"

#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "base/path.h"

const struct viewer_options both = { .a = "before.csv", .b = "after.csv" };
struct viewer w;

void open_both(void)
{
	w = viewer_open(&both);
}

void close_both(void)
{
	viewer_close(&w);
}

void write_beside(const char *name, const char *text)
{
	char *path = viewer_path(&w, name);
	struct err e = ERR_INIT;

	ck_assert_msg(path_write_atomic(path, text, strlen(text), &e) == ERR_NONE, "%s", e.text);
	free(path);
}

void expect_on_screen(const char *text)
{
	char *screen = viewer_screen(&w);

	ck_assert_msg(strstr(screen, text) != NULL, "no '%s' in\n%s", text, screen);
	free(screen);
}

void expect_not_on_screen(const char *text)
{
	char *screen = viewer_screen(&w);

	ck_assert_msg(strstr(screen, text) == NULL, "'%s' in\n%s", text, screen);
	free(screen);
}
