/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Limits and car: named, found, or none. */
#include "cmd/judging.h"

#include <stdlib.h>

#include "keep/beside.h"
#include "keep/car_file.h"
#include "keep/limits_file.h"

enum err_code judging_name_file(const char **out, const char *value, struct err *e)
{
	if (value[0] == '\0')
		return err_set(e, ERR_USAGE, "must name a file, or be the word none");
	*out = value;
	return ERR_NONE;
}

static enum err_code set_limits(struct options *o, const char *value, struct err *e)
{
	return judging_name_file(&o->limits, value, e);
}

enum err_code judging_set_car(struct options *o, const char *value, struct err *e)
{
	return judging_name_file(&o->car, value, e);
}

static const struct option_row rows[] = {
	{ "limits", 0, "FILE", "limits over the built-in ones, or none (limits.ini)",
	  set_limits },
	{ "car", 0, "FILE", "what is known of the car, or none (car.ini)", judging_set_car },
};

const struct option_set options_judging = { "Judging", rows, sizeof rows / sizeof rows[0] };

enum err_code judging_open(struct judging *j, const struct options *o, const char *log_path,
			   struct err *e)
{
	char *limits, *car;
	enum err_code code = ERR_NONE;

	limits_init(&j->limits);
	car_init(&j->car);
	j->found_bad = false;
	limits = beside_choose(o->limits, log_path, "limits.ini");
	car = beside_choose(o->car, log_path, "car.ini");
	j->limits_found = o->limits == NULL && limits != NULL;
	j->car_found = o->car == NULL && car != NULL;
	if (limits != NULL) {
		code = limits_read(&j->limits, limits, e);
		j->found_bad = code != ERR_NONE && j->limits_found;
	}
	if (code == ERR_NONE && car != NULL) {
		code = car_read(&j->car, car, e);
		j->found_bad = code != ERR_NONE && j->car_found;
	}
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
