/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Limits and car: named, found, or none. */
#include "cmd/judging.h"

#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "keep/beside.h"
#include "keep/car_file.h"
#include "keep/limits_file.h"

static enum err_code name_file(const char **out, const char *value, struct err *e)
{
	if (value[0] == '\0')
		return err_set(e, ERR_USAGE, "must name a file, or be the word none");
	*out = value;
	return ERR_NONE;
}

static enum err_code set_limits(struct options *o, const char *value, struct err *e)
{
	return name_file(&o->limits, value, e);
}

static enum err_code set_car(struct options *o, const char *value, struct err *e)
{
	return name_file(&o->car, value, e);
}

static const struct option_row rows[] = {
	{ "limits", 0, "FILE", "limits over the built-in ones, or none (limits.ini)",
	  set_limits },
	{ "car", 0, "FILE", "what is known of the car, or none (car.ini)", set_car },
};

const struct option_set options_judging = { "Judging", rows, sizeof rows / sizeof rows[0] };

/* The file to read, or NULL; the caller frees it.  *found: nobody named it. */
static char *choose(const char *given, const char *log_path, const char *name, bool *found)
{
	char *path = NULL;

	*found = false;
	if (given == NULL) {
		path = beside_find(log_path, name);
		*found = path != NULL;
	} else if (strcmp(given, "none") != 0) {
		path = mem_strdup(given);
	}
	return path;
}

enum err_code judging_open(struct judging *j, const struct options *o, const char *log_path,
			   struct err *e)
{
	char *limits, *car;
	enum err_code code = ERR_NONE;

	limits_init(&j->limits);
	car_init(&j->car);
	limits = choose(o->limits, log_path, "limits.ini", &j->limits_found);
	car = choose(o->car, log_path, "car.ini", &j->car_found);
	if (limits != NULL)
		code = limits_read(&j->limits, limits, e);
	if (code == ERR_NONE && car != NULL)
		code = car_read(&j->car, car, e);
	if (code == ERR_NONE)
		code = options_guard(o, limits, "the limits", e);
	if (code == ERR_NONE)
		code = options_guard(o, car, "the car file", e);
	free(limits);
	free(car);
	return code;
}

void judging_release(struct judging *j)
{
	limits_release(&j->limits);
	car_release(&j->car);
}
