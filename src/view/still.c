/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The overlay as a picture to keep, and its samples as JSON. */
#include "view/still.h"

#include <math.h>

#include "out/json.h"
#include "view/frame.h"
#include "view/lanes.h"

struct canvas *still_draw(struct view *v)
{
	struct canvas *c = canvas_new(v->rows, v->cols);

	v->still = true;
	frame_draw(v, c);
	v->still = false;
	return c;
}

static json_t *samples(struct view *v, const struct lane *lane, enum side side)
{
	const struct series *s = &lane->data.of[side].series;
	const struct run *run = view_run(v, side);
	json_t *at, *time, *value, *out;
	size_t i;

	if (run->log == NULL || s->n == 0)
		return json_null();
	at = js_array();
	time = js_array();
	value = js_array();
	for (i = 0; i < s->n; i++) {
		const double x = axis_map_to_position(overlay_map(&v->overlay, run), s->t[i]);
		const char *word = lane_word(v, lane, s->v[i]);

		if (!(x >= v->from && x <= v->to))
			continue;
		js_append(at, js_number(x));
		js_append(time, js_number(s->t[i]));
		js_append(value, word != NULL ? js_text(word) : js_number(s->v[i]));
	}
	out = js_object();
	js_set(out, "at", at);
	js_set(out, "time_s", time);
	js_set(out, "value", value);
	return out;
}

void still_json(struct view *v, struct buf *out)
{
	json_t *root = js_object();
	json_t *channels = js_array();
	size_t i;

	lanes_load_shown(v);
	js_set(root, "axis", js_text(axis_name(v->overlay.axis)));
	js_set(root, "from", js_number(v->from));
	js_set(root, "to", js_number(v->to));
	js_set(root, "unit", js_text(axis_unit(v->overlay.axis)));
	for (i = 0; i < v->lane_count; i++) {
		struct lane *lane = &v->lanes[i];
		const struct channel *ch = pair_channel(&v->pairs.list[lane->pair]);
		json_t *channel;

		if (!lane->shown || lane->delta)
			continue;
		channel = js_object();
		js_set(channel, "name", js_text(ch->name));
		js_set(channel, "quantity", ch->quantity->id == Q_NONE ? json_null() :
		       js_text(ch->quantity->key));
		js_set(channel, "unit", js_text(pair_unit(&v->pairs.list[lane->pair], false)));
		js_set(channel, "a", samples(v, lane, SIDE_A));
		js_set(channel, "b", samples(v, lane, SIDE_B));
		js_append(channels, channel);
	}
	js_set(root, "channels", channels);
	js_write(root, out);
}
