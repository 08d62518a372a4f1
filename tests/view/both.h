/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The fixture of the view's suites: both sample logs are open. */
#ifndef TESTS_VIEW_BOTH_H
#define TESTS_VIEW_BOTH_H

#include "view/viewer.h"

extern const struct viewer_options both;
extern struct viewer w;

void open_both(void);
void close_both(void);

/* Writes a log (or other file) of the test's own beside the samples' copies. */
void write_beside(const char *name, const char *text);

/* Fails the test, showing the screen, unless it has the text. */
void expect_on_screen(const char *text);
void expect_not_on_screen(const char *text);

#endif
