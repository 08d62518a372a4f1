/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Actions on lanes. */
#include <stdint.h>
#include <string.h>

#include "base/num.h"
#include "base/text.h"
#include "view/act.h"
#include "view/action.h"
#include "view/lanes.h"
#include "view/lists.h"

static void choose(struct view *v, size_t lane)
{
	v->chosen = lane;
	lanes_scroll_to_chosen(v);
}

void act_up(struct view *v, const char *arg)
{
	(void)arg;
	if (v->chosen < v->lane_count)
		choose(v, lane_next_shown(v, v->chosen, -1));
}

void act_down(struct view *v, const char *arg)
{
	(void)arg;
	if (v->chosen < v->lane_count)
		choose(v, lane_next_shown(v, v->chosen, 1));
}

void act_lanes(struct view *v, const char *arg)
{
	(void)arg;
	list_open(v, PANEL_LANES);
}

/* The lane of a name, or the chosen one where none is given. */
static size_t named_or_chosen(struct view *v, const char *arg)
{
	struct err e = ERR_INIT;
	size_t lane;

	if (arg[0] == '\0') {
		if (v->chosen >= v->lane_count)
			view_say(v, "no lane is shown; c lists all channels");
		return v->chosen < v->lane_count ? v->chosen : SIZE_MAX;
	}
	lane = lane_by_name(v, arg, &e);
	if (lane == SIZE_MAX)
		view_complain(v, "%s", e.text);
	return lane;
}

void act_lane(struct view *v, const char *arg)
{
	const size_t lane = named_or_chosen(v, arg);

	if (lane == SIZE_MAX)
		return;
	lane_show(v, lane, true);
	choose(v, lane);
}

/* For the search prompt only channel names are completed. */
static size_t complete_lane(struct view *v, const char *text, struct buf *out)
{
	struct buf line = BUF_INIT;
	const size_t prefix = strlen("lane ");
	size_t at;

	buf_printf(&line, "lane %s", text);
	at = action_complete(v, line.data, out);
	buf_release(&line);
	return at - prefix;
}

static size_t names_with(const struct view *v, const char *words)
{
	size_t n = 0;
	size_t i;

	for (i = 0; i < v->pairs.count; i++)
		n += text_matches(pair_channel(&v->pairs.list[i])->name, words);
	return n;
}

/* One channel is gone to; several are listed to choose from. */
static void search_typed(struct view *v, const char *text)
{
	if (text[0] == '\0')
		return;
	if (lane_by_name(v, text, NULL) == SIZE_MAX && names_with(v, text) > 1) {
		list_open(v, PANEL_LANES);
		list_find(v, text);
		return;
	}
	act_lane(v, text);
}

void act_search(struct view *v, const char *arg)
{
	if (arg[0] == '\0')
		prompt_open(&v->prompt, "find channel: ", "", search_typed, complete_lane);
	else
		search_typed(v, arg);
}

static void hide(struct view *v, size_t lane)
{
	struct buf title = BUF_INIT;

	lane_title(v, &v->lanes[lane], &title);
	lane_show(v, lane, false);
	view_say(v, "hid %s; c lists all channels", title.data);
	buf_release(&title);
}

void act_hide(struct view *v, const char *arg)
{
	const size_t lane = named_or_chosen(v, arg);

	if (lane == SIZE_MAX)
		return;
	if (v->lanes[lane].delta)
		lane_toggle_delta(v, lane);
	else
		hide(v, lane);
}

void act_show(struct view *v, const char *arg)
{
	act_lane(v, arg);
}

void act_only(struct view *v, const char *arg)
{
	struct err e = ERR_INIT;

	if (arg[0] == '\0') {
		view_complain(v, "say :only NAME,NAME,... with the channels to show");
		return;
	}
	if (lanes_build(v, arg, &e) != ERR_NONE)
		view_complain(v, "%s", e.text);
	else
		v->lanes_owed = false;
}

void act_raise(struct view *v, const char *arg)
{
	(void)arg;
	if (v->chosen < v->lane_count)
		lane_move(v, v->chosen, -1);
}

void act_lower(struct view *v, const char *arg)
{
	(void)arg;
	if (v->chosen < v->lane_count)
		lane_move(v, v->chosen, 1);
}

static void grow(struct view *v, int rows)
{
	struct lane *lane = lane_chosen(v);

	if (lane == NULL)
		return;
	lane->rows = lane_height(v, lane) + rows;
	if (lane->rows < LANE_LEAST_ROWS)
		lane->rows = LANE_LEAST_ROWS;
	lane->rows = lane_height(v, lane);	/* what fits */
	lanes_scroll_to_chosen(v);
}

void act_taller(struct view *v, const char *arg)
{
	(void)arg;
	grow(v, 1);
}

void act_shorter(struct view *v, const char *arg)
{
	(void)arg;
	grow(v, -1);
}

void act_even(struct view *v, const char *arg)
{
	size_t i;

	(void)arg;
	for (i = 0; i < v->lane_count; i++)
		v->lanes[i].rows = 0;
	lanes_scroll_to_chosen(v);
}

/* "0.75:1" sets the scale; nothing fits it to what is on screen, or back to all. */
void act_scale(struct view *v, const char *arg)
{
	struct lane *lane = lane_chosen(v);
	const char *colon = strchr(arg, ':');
	struct scale s;

	if (lane == NULL)
		return;
	if (arg[0] == '\0') {
		lane_scale_to_screen(v, lane);
		return;
	}
	if (colon == NULL || !num_parse(arg, (size_t)(colon - arg), '.', &s.low, NULL) ||
	    !num_parse(colon + 1, strlen(colon + 1), '.', &s.high, NULL) || !(s.low < s.high)) {
		view_complain(v, "say :scale LOW:HIGH in the lane's unit, such as :scale 0.75:1");
		return;
	}
	lane->scale = s;
	lane->scaled = true;
}

void act_delta(struct view *v, const char *arg)
{
	(void)arg;
	if (!view_has_b(v))
		view_say(v, "a lane of B-A needs a B to compare with");
	else if (v->chosen < v->lane_count && lane_has_words(v, lane_chosen(v)))
		view_say(v, "this channel holds words: there is no difference of them");
	else if (v->chosen < v->lane_count)
		lane_toggle_delta(v, v->chosen);
}
