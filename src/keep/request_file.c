/* SPDX-License-Identifier: GPL-3.0-or-later */
/* request.ini.  The ranges tell a slip of the pen; they are common practice, no source. */
#include "keep/request_file.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/ini.h"
#include "base/mem.h"
#include "base/num.h"
#include "base/text.h"
#include "keep/field.h"

#define MOST_CHANNELS 64

static enum err_code set_gear(const struct field *f, void *into, const char *value,
			      struct err *why)
{
	struct request *r = into;
	long gear = 0;

	if (text_casecmp(value, "any") != 0 && !num_parse_int(value, 1, CAR_GEARS, &gear))
		return err_set(why, ERR_FORMAT, "%s: '%s' is neither a gear from 1 to %d nor any.",
			       f->key, value, CAR_GEARS);
	r->gear = (int)gear;
	return ERR_NONE;
}

/* One end of n bytes; blank: open. */
static enum err_code parse_end(double *out, const struct field *f, const char *text, size_t n,
			       struct err *why)
{
	*out = NAN;
	if (strspn(text, " \t") >= n)
		return ERR_NONE;
	return field_parse(out, f, f->key, text, n, why);
}

static enum err_code parse_window(double window[2], const struct field *f, const char *value,
				  struct err *why)
{
	const size_t n = strcspn(value, ":");
	enum err_code code;

	if (value[n] == '\0' || strlen(value) == 1)
		return err_set(why, ERR_FORMAT, "%s: '%s' is not FROM:TO, of which one may be left "
			       "out.", f->key, value);
	code = parse_end(&window[0], f, value, n, why);
	if (code == ERR_NONE)
		code = parse_end(&window[1], f, value + n + 1, strlen(value + n + 1), why);
	if (code == ERR_NONE && window[0] >= window[1])
		return err_set(why, ERR_FORMAT, "%s: '%s' goes nowhere; the first number must be "
			       "the smaller.", f->key, value);
	return code;
}

static enum err_code set_rpm(const struct field *f, void *into, const char *value,
			     struct err *why)
{
	struct request *r = into;
	double window[2];
	const enum err_code code = parse_window(window, f, value, why);

	if (code == ERR_NONE) {
		r->from_rpm = window[0];
		r->to_rpm = window[1];
	}
	return code;
}

static enum err_code set_window(const struct field *f, void *into, const char *value,
				struct err *why)
{
	void *member = (char *)into + f->offset;
	double *window = member;

	if (text_casecmp(value, "off") != 0)
		return parse_window(window, f, value, why);
	window[0] = window[1] = NAN;
	return ERR_NONE;
}

static enum err_code add_channel(const struct field *f, struct request *r, const char *text,
				 size_t n, struct err *why)
{
	struct buf name = BUF_INIT;
	size_t i;

	while (n > 0 && strchr(" \t", *text) != NULL) {
		text++;
		n--;
	}
	while (n > 0 && strchr(" \t", text[n - 1]) != NULL)
		n--;
	if (n == 0)
		return err_set(why, ERR_FORMAT, "%s: a name is missing; write them with commas "
			       "between.", f->key);
	if (r->channel_count == MOST_CHANNELS)
		return err_set(why, ERR_FORMAT, "%s: more than %d; leave some out.", f->key,
			       MOST_CHANNELS);
	text_sanitise(&name, text, n);
	for (i = 0; i < r->channel_count; i++)
		if (text_casecmp(r->channels[i], buf_text(&name)) == 0) {
			buf_release(&name);
			return err_set(why, ERR_FORMAT, "%s: '%.*s' is named twice; leave one out.",
				       f->key, (int)n, text);
		}
	r->channels[r->channel_count++] = buf_take(&name);
	return ERR_NONE;
}

static enum err_code set_channels(const struct field *f, void *into, const char *value,
				  struct err *why)
{
	struct request *r = into;
	enum err_code code = ERR_NONE;

	r->channels = mem_array(MOST_CHANNELS, sizeof *r->channels);
	while (code == ERR_NONE) {
		const size_t n = strcspn(value, ",");

		code = add_channel(f, r, value, n, why);
		if (value[n] == '\0')
			break;
		value += n + 1;
	}
	return code;
}

#define AT(member) offsetof(struct request, member)

static const struct field fields[] = {
	{ "request", "source", field_text, AT(source), 0, 0 },
	{ "request", "gear", set_gear, 0, 0, 0 },
	{ "request", "rpm", set_rpm, 0, 100, 25000 },
	{ "request", "rate_hz", field_number_or_off, AT(rate_hz), 0.1, 10000 },
	{ "request", "channels", set_channels, 0, 0, 0 },
	{ "request", "coolant_c", set_window, AT(coolant_c), -60, 200 },
	{ "request", "oil_c", set_window, AT(oil_c), -60, 250 },
	{ "request", "intake_c", set_window, AT(intake_c), -60, 200 },
	{ "request", "battery_v", set_window, AT(battery_v), 1, 100 },
	{ "request", "ethanol_percent", field_number_or_off, AT(ethanol_percent), 0, 100 },
	{ "request", "ethanol_within", field_number, AT(ethanol_within), 0, 100 },
};

enum err_code request_read(struct request *r, const char *path, struct err *e)
{
	struct request next = *r;
	struct ini ini = INI_INIT;
	enum err_code code;

	/* Whatever of these the file names is new, the rest of it is moved over. */
	next.path = NULL;
	next.source = NULL;
	next.channels = NULL;
	next.channel_count = 0;
	code = ini_read(&ini, path, e);
	if (code == ERR_NONE)
		code = fields_read(&ini, fields, sizeof fields / sizeof fields[0], &next, e);
	if (code == ERR_NONE)
		code = ini_not_empty(&ini, "request", e);
	if (code == ERR_NONE) {
		next.path = mem_strdup(path);
		if (next.channels == NULL) {
			next.channels = r->channels;
			next.channel_count = r->channel_count;
			r->channels = NULL;
			r->channel_count = 0;
		}
		request_release(r);
		*r = next;
	} else {
		request_release(&next);
	}
	ini_release(&ini);
	return code;
}
