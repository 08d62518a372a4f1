/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What `check`, `ready` and the viewer share: --limits and --car, and reading those files. */
#ifndef CMD_JUDGING_H
#define CMD_JUDGING_H

#include <stdbool.h>

#include "cmd/options.h"
#include "judge/car.h"
#include "judge/limits.h"

extern const struct option_set options_judging;		/* --limits, --car */

/* For rows of options: --car FILE, and any other FILE, which must not be empty. */
enum err_code judging_set_car(struct options *o, const char *value, struct err *e);
enum err_code judging_name_file(const char **out, const char *value, struct err *e);

struct judging {
	struct limits limits;
	struct car car;
	bool limits_found;	/* the file was not named but found */
	bool car_found;
	bool found_bad;		/* judging_open() failed by a file that was only found */
};

/*
 * The files named by the options, else those beside the log or in the configuration
 * directory (keep/beside.h), else built-in limits and an unknown car.  "none" names no
 * file at all.  log_path may be "-".  Ends with judging_release(), also after a failure.
 */
enum err_code judging_open(struct judging *j, const struct options *o, const char *log_path,
			   struct err *e);
void judging_release(struct judging *j);

#endif
