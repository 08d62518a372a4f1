/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Limits: numbers or lines over engine speed; the built-in ones. */
#include "judge/limits.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/num.h"
#include "base/text.h"
#include "judge/check.h"

static const char *const severity_names[SEVERITIES] = {
	[SEVERITY_NONE] = "none",
	[SEVERITY_NOTE] = "note",
	[SEVERITY_CAUTION] = "caution",
	[SEVERITY_STOP] = "stop",
};

const char *severity_name(enum severity s)
{
	return severity_names[s];
}

double limit_at(const struct limit_line *line, double rpm)
{
	size_t i = 1;
	double share;

	if (line->n == 0)
		return NAN;
	if (line->n == 1)
		return line->value[0];
	if (isnan(rpm))
		return NAN;
	if (rpm <= line->rpm[0])
		return line->value[0];
	while (i < line->n && line->rpm[i] < rpm)
		i++;
	if (i == line->n)
		return line->value[line->n - 1];
	share = (rpm - line->rpm[i - 1]) / (line->rpm[i] - line->rpm[i - 1]);
	return line->value[i - 1] + share * (line->value[i] - line->value[i - 1]);
}

/* One "VALUE" or "RPM:VALUE" of n bytes. */
static enum err_code add_point(struct limit_line *line, const char *text, size_t n,
			       struct err *e)
{
	const char *colon = memchr(text, ':', n);
	const char *value = colon != NULL ? colon + 1 : text;
	const size_t value_n = n - (size_t)(value - text);
	const size_t at = line->n;

	if (at == LIMIT_POINTS)
		return err_set(e, ERR_FORMAT, "more than %d points", LIMIT_POINTS);
	line->rpm[at] = 0.0;
	if ((colon != NULL &&
	     !num_parse(text, (size_t)(colon - text), '.', &line->rpm[at], NULL)) ||
	    !num_parse(value, value_n, '.', &line->value[at], NULL))
		return err_set(e, ERR_FORMAT, "'%.*s' is neither a number nor RPM:NUMBER (the "
			       "decimal mark is a point)", (int)n, text);
	if (at > 0 && line->rpm[at] <= line->rpm[at - 1])
		return err_set(e, ERR_FORMAT, "'%.*s': points must be RPM:NUMBER, of rising rpm",
			       (int)n, text);
	line->n++;
	return ERR_NONE;
}

enum err_code limit_parse(struct limit_line *out, const char *text, struct err *e)
{
	struct limit_line line = { 0 };
	const bool many = strchr(text, ',') != NULL;

	if (text_casecmp(text, "off") == 0) {
		*out = line;
		return ERR_NONE;
	}
	for (;;) {
		const size_t n = strcspn(text, ",");
		enum err_code code;

		if (many && memchr(text, ':', n) == NULL)
			return err_set(e, ERR_FORMAT, "'%.*s': of several points each is RPM:NUMBER; "
				       "in one number the decimal mark is a point", (int)n, text);
		code = add_point(&line, text, n, e);
		if (code != ERR_NONE)
			return code;
		if (text[n] == '\0')
			break;
		text += n + 1;
	}
	*out = line;
	return ERR_NONE;
}

void limits_init(struct limits *l)
{
	int id, s;

	*l = (struct limits){ .path = NULL };
	for (id = 0; id < CHECK_COUNT; id++) {
		const struct check *c = check_get((enum check_id)id);

		l->of[id].least_s = c->least_s;
		for (s = SEVERITY_NOTE; s < SEVERITIES; s++)
			if (c->limit[s] != NULL)
				limit_parse(&l->of[id].level[s], c->limit[s], NULL);
	}
}

void limits_release(struct limits *l)
{
	free(l->path);
	free(l->source);
	*l = (struct limits){ .path = NULL };
}

const char *limits_source(const struct limits *l, enum check_id id, enum severity s)
{
	if (!l->of[id].own[s])
		return LIMITS_BUILT_IN;
	return l->source != NULL ? l->source : l->path;
}
