/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Command-line options: tables from which both parsing and --help are made.
 *
 * A subcommand lists the sets it takes; `own` carries what only it knows.
 */
#ifndef CMD_OPTIONS_H
#define CMD_OPTIONS_H

#include <stdbool.h>
#include <stddef.h>

#include "base/err.h"
#include "calc/load.h"
#include "calc/overlay.h"
#include "data/unit.h"
#include "out/style.h"

struct options {
	struct load_options load;	/* load.names may be owned, see options_release() */
	char *default_names;		/* names.ini of the configuration, or NULL */
	enum unit_system units;
	struct out_style style;
	const char *output;		/* a file, or NULL for standard output */
	bool axis_given;
	enum axis_kind axis;
	double from;			/* axis positions; NaN: open */
	double to;
	char *channels;			/* a list, or NULL */
	bool align_given;
	enum align align;
	double crossing;		/* rpm; NaN: not given */
	double nudge;
	const char *limits;		/* a file, "none", or NULL: the one that is found */
	const char *car;		/* likewise */
	void *own;

	char **logs;			/* what is not an option; points into argv */
	size_t log_count;
};

struct option_row {
	const char *name;
	char letter;			/* 0: none */
	const char *arg;		/* NULL: a flag */
	const char *help;		/* one line */
	enum err_code (*set)(struct options *o, const char *value, struct err *e);
};

struct option_set {
	const char *title;		/* above its lines in --help */
	const struct option_row *rows;
	size_t count;
};

extern const struct option_set options_reading;	/* how a log is read */
extern const struct option_set options_compare;	/* axis, span, channels, alignment */
extern const struct option_set options_output;	/* format and file */

#define OPTION_SETS 7

struct syntax {
	const char *name;		/* of the subcommand */
	const char *arguments;		/* "A [B]" */
	const char *about;		/* a sentence or two for --help */
	size_t least;			/* logs */
	size_t most;
	const struct option_set *sets[OPTION_SETS];	/* NULL behind the last */
};

enum options_result {
	OPTIONS_RUN,		/* go on */
	OPTIONS_DONE,		/* help was printed: end with EXIT_FINE */
	OPTIONS_TROUBLE,	/* reported: end with EXIT_TROUBLE */
};

/*
 * Fills *o, whose `own` the caller has set, from argv.  Reports what is wrong.
 * After OPTIONS_RUN the caller ends with options_release().
 */
enum options_result options_parse(const struct syntax *syntax, int argc, char **argv,
				  struct options *o);
void options_release(struct options *o);

/*
 * A result must never take the place of what it was made from.  ERR_USAGE when --output
 * is the file of the path; `what` names that file in words.  NULL for either is no file.
 */
enum err_code options_guard(const struct options *o, const char *path, const char *what,
			    struct err *e);

/* "1905:6810", either side may be empty (NaN then); false when it is no span. */
bool options_span(const char *text, double *from, double *to);

#endif
