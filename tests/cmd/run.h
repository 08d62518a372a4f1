/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Runs the real program in a temporary directory: arguments in, output, messages
 * and exit code out.  The program is the one in the environment variable TWINPULL,
 * or the one just built.
 */
#ifndef TESTS_CMD_RUN_H
#define TESTS_CMD_RUN_H

#include <jansson.h>
#include <stddef.h>

/* A temporary directory; the program runs in it, and it is its HOME. */
struct place {
	char *dir;
};

struct place place_make(void);
void place_remove(struct place *p);	/* with all that is in it */
void place_write(const struct place *p, const char *name, const char *text);
char *place_read(const struct place *p, const char *name);	/* NULL: no such file */
char *place_path(const struct place *p, const char *name);

struct ran {
	int status;	/* exit code; 128 + N when signal N ended it */
	char *out;
	size_t out_len;
	char *err;
};

enum run_out {
	RUN_OUT_PIPE,	/* read into ran.out */
	RUN_OUT_CLOSED,	/* the program starts without standard output */
	RUN_OUT_BROKEN,	/* a pipe whose reader has gone */
	RUN_OUT_FULL,	/* /dev/full */
};

struct run_how {
	const char *input;		/* on standard input; NULL: empty */
	const char *const *env;		/* NAME=VALUE, NULL at the end; or NULL */
	enum run_out out;
};

/* argv without the program's name, NULL at the end; how may be NULL. */
struct ran run_with(const struct place *p, const char *const *argv, const struct run_how *how);
void ran_release(struct ran *r);

#define RUN(place, ...) run_with(place, (const char *const[]){ __VA_ARGS__, NULL }, NULL)

/* Runs, and asserts the exit code and words of the messages ("" : none at all). */
void expect(const struct place *p, int status, const char *err, const char *const *argv);

#define EXPECT(place, status, err, ...) \
	expect(place, status, err, (const char *const[]){ __VA_ARGS__, NULL })

/* Runs with --format json behind the arguments, asserts exit 0, parses. */
json_t *run_json(const struct place *p, const char *const *argv);

#define RUN_JSON(place, ...) run_json(place, (const char *const[]){ __VA_ARGS__, NULL })

/* Asserts that the object has exactly these fields in this order, blanks between. */
void assert_fields(const json_t *object, const char *names);

/* A number by path, "channels.2.a.mean"; fails when it is not there; NaN for null. */
double at(const json_t *root, const char *path);
const json_t *node(const json_t *root, const char *path);

#endif
