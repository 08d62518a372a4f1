/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What tests of `check` look for in its JSON and text. */
#ifndef TESTS_CMD_FINDINGS_H
#define TESTS_CMD_FINDINGS_H

#include <jansson.h>

#include "run.h"

/* Runs check with --format json before the arguments; asserts the exit code. */
json_t *check_json(const struct place *p, int status, const char *const *argv);

#define CHECK_JSON(place, status, ...) \
	check_json(place, status, (const char *const[]){ __VA_ARGS__, NULL })

/* A text by path; fails when it is not there. */
const char *text_at(const json_t *root, const char *path);

/* The first finding of the check; NULL when there is none. */
const json_t *finding_of(const json_t *root, const char *id);

/* The same, but fails without one. */
const json_t *find(const json_t *root, const char *id);

/* Why the check did not run; NULL when it ran. */
const char *why_not(const json_t *root, const char *id);

/* No line is wider than 80 cells. */
void assert_width(const char *text);

#endif
