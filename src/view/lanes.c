/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The lanes of the viewer: which there are, and their order. */
#include "view/lanes.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/text.h"
#include "view/lanes_first.h"

void lanes_release(struct view *v)
{
	lanes_stale(v);
	free(v->lanes);
	v->lanes = NULL;
	v->lane_count = v->lane_cap = 0;
	pairing_release(&v->pairs);
}

/* A log that has grown may have told that a channel's unit is another one. */
static bool is_same_channel(const struct channel *x, const struct channel *y)
{
	if (x == NULL || y == NULL)
		return x == y;
	return x->unit == y->unit && strcmp(x->name, y->name) == 0;
}

static bool is_same_pair(const struct pair *p, const struct pair *q)
{
	return p->unit == q->unit && is_same_channel(p->a, q->a) && is_same_channel(p->b, q->b);
}

/* A lane of every pair; what is loaded of one that stays in its place stays, too. */
static void make_lanes(struct view *v)
{
	struct pairing pairs;
	struct lane *lanes = NULL;
	size_t cap = 0;
	size_t i;

	pairing_build(&pairs, v->overlay.a.log, v->overlay.b.log, v->units);
	mem_grow(&lanes, &cap, pairs.count, sizeof *lanes);
	for (i = 0; i < pairs.count; i++)
		lanes[i] = (struct lane){ .pair = i };
	for (i = 0; i < v->lane_count; i++) {
		const size_t pair = v->lanes[i].pair;

		if (!v->lanes[i].delta && pair < pairs.count &&
		    is_same_pair(&v->pairs.list[pair], &pairs.list[pair]))
			lane_hand_over(&v->lanes[i], &lanes[pair]);
	}
	lanes_release(v);
	v->pairs = pairs;
	v->lanes = lanes;
	v->lane_count = pairs.count;
	v->lane_cap = cap;
}

enum err_code lanes_build(struct view *v, const char *list, struct err *e)
{
	struct pairing chosen = PAIRING_INIT;
	enum err_code code = ERR_NONE;

	if (list != NULL) {
		pairing_build(&chosen, v->overlay.a.log, v->overlay.b.log, v->units);
		code = pairing_choose(&chosen, v->overlay.a.log, v->overlay.b.log, list, e);
	}
	if (code != ERR_NONE)
		goto out;
	make_lanes(v);
	lanes_sort(v);
	if (list == NULL)
		lanes_choose_first(v);
	else
		lanes_choose_these(v, &chosen);
	v->chosen = lane_next_shown(v, SIZE_MAX, 1);
	v->top = v->chosen;
out:
	pairing_release(&chosen);
	return code;
}

static bool same_pairs(const struct pairing *a, const struct pairing *b)
{
	size_t i;

	for (i = 0; i < a->count && i < b->count; i++)
		if (!is_same_pair(&a->list[i], &b->list[i]))
			return false;
	return a->count == b->count;
}

/* The pair of the new channels that goes by the same name, or NULL. */
static const struct pair *find_pair(const struct pairing *in, const struct pair *old)
{
	size_t i;

	for (i = 0; i < in->count; i++)
		if (strcmp(pair_channel(&in->list[i])->name, pair_channel(old)->name) == 0)
			return &in->list[i];
	return NULL;
}

/* Other channels than before: the lanes shown stay, by their names. */
static void rebuild(struct view *v, const struct pairing *fresh)
{
	struct pairing shown = PAIRING_INIT;
	size_t cap = 0;
	size_t i;

	mem_grow(&shown.list, &cap, v->lane_count, sizeof *shown.list);
	for (i = 0; i < v->lane_count; i++) {
		const struct pair *same = find_pair(fresh, &v->pairs.list[v->lanes[i].pair]);

		if (v->lanes[i].shown && !v->lanes[i].delta && same != NULL)
			shown.list[shown.count++] = *same;
	}
	lanes_build(v, NULL, NULL);
	for (i = 0; i < v->lane_count; i++)
		v->lanes[i].shown = false;
	lanes_choose_these(v, &shown);
	v->chosen = lane_next_shown(v, SIZE_MAX, 1);
	v->top = v->chosen;
	pairing_release(&shown);
}

void lanes_refresh(struct view *v, bool only_grown)
{
	struct pairing fresh = PAIRING_INIT;

	pairing_build(&fresh, v->overlay.a.log, v->overlay.b.log, v->units);
	if (only_grown)
		lanes_grown(v);
	else
		lanes_stale(v);
	if (same_pairs(&v->pairs, &fresh)) {
		const struct pairing old = v->pairs;

		v->pairs = fresh;
		fresh = old;
	} else {
		rebuild(v, &fresh);
	}
	pairing_release(&fresh);
}

static void swap_data(struct view *v, struct lane *lane)
{
	/* words are numbered after A; what is under way is of the sides as they were */
	if (lane_has_words(v, lane) || lane->awaited != 0)
		lane_release(v, lane);
	lane_data_swap(&lane->data);
}

void lanes_swap_sides(struct view *v)
{
	size_t i;

	for (i = 0; i < v->pairs.count; i++) {
		struct pair *p = &v->pairs.list[i];
		const struct channel *a = p->a;

		p->a = p->b;
		p->b = a;
	}
	for (i = 0; i < v->lane_count; i++)
		swap_data(v, &v->lanes[i]);
	lanes_moved(v);
}

/* ---- words ---- */

void lane_title(const struct view *v, const struct lane *lane, struct buf *out)
{
	const struct channel *ch = pair_channel(&v->pairs.list[lane->pair]);

	if (lane->delta)
		buf_printf(out, "%s ", v->glyphs->delta);
	if (v->ascii)
		text_to_ascii(out, ch->name);
	else
		buf_puts(out, ch->name);
}

const char *lane_unit(const struct view *v, const struct lane *lane)
{
	return pair_unit(&v->pairs.list[lane->pair], v->ascii);
}

bool lane_has_words(const struct view *v, const struct lane *lane)
{
	return pair_has_words(&v->pairs.list[lane->pair]);
}

const char *lane_word(const struct view *v, const struct lane *lane, double value)
{
	return pair_word(&v->pairs.list[lane->pair], value);
}

int lane_decimals(const struct view *v, const struct lane *lane)
{
	return pair_decimals(&v->pairs.list[lane->pair]);
}

/* ---- order ---- */

size_t lanes_shown(const struct view *v)
{
	size_t n = 0;
	size_t i;

	for (i = 0; i < v->lane_count; i++)
		n += v->lanes[i].shown;
	return n;
}

/* The next shown lane after `from` in the direction of step; SIZE_MAX starts before all. */
size_t lane_next_shown(const struct view *v, size_t from, int step)
{
	size_t i = from;

	for (;;) {
		i += (size_t)step;	/* SIZE_MAX + 1 is 0 */
		if (i >= v->lane_count)
			return from == SIZE_MAX ? v->lane_count : from;
		if (v->lanes[i].shown)
			return i;
	}
}

struct lane *lane_chosen(struct view *v)
{
	return v->chosen < v->lane_count ? &v->lanes[v->chosen] : NULL;
}

size_t lane_by_name(struct view *v, const char *word, struct err *e)
{
	const struct channel *ch = datalog_channel(v->overlay.a.log, word, e);
	size_t i;

	if (ch == NULL && view_has_b(v))
		ch = datalog_channel(v->overlay.b.log, word, e);
	for (i = 0; ch != NULL && i < v->lane_count; i++) {
		const struct pair *p = &v->pairs.list[v->lanes[i].pair];

		if (!v->lanes[i].delta && (p->a == ch || p->b == ch))
			return i;
	}
	if (ch != NULL)
		err_set(e, ERR_DATA, "channel '%s' has no values", word);
	return SIZE_MAX;
}

/* When the chosen lane is gone or hidden: the nearest shown one, downwards first. */
static void mend_chosen(struct view *v)
{
	size_t i = v->chosen;

	while (i < v->lane_count && !v->lanes[i].shown)
		i++;
	if (i >= v->lane_count)
		for (i = v->lane_count; i-- > 0;)
			if (v->lanes[i].shown)
				break;
	v->chosen = i < v->lane_count ? i : v->lane_count;
	lanes_scroll_to_chosen(v);
}

void lane_show(struct view *v, size_t lane, bool shown)
{
	v->lanes[lane].shown = shown;
	v->lanes_owed = false;
	if (shown && v->chosen >= v->lane_count)
		v->chosen = lane;
	mend_chosen(v);
}

/* Where lane i is once lane `from` has been put at `to`. */
static size_t after_put(size_t i, size_t from, size_t to)
{
	if (i == from)
		return to;
	if (i > from && i <= to)
		return i - 1;
	return i >= to && i < from ? i + 1 : i;
}

void lane_put(struct view *v, size_t from, size_t to)
{
	const struct lane moved = v->lanes[from];

	if (to > from)
		memmove(v->lanes + from, v->lanes + from + 1, (to - from) * sizeof moved);
	else
		memmove(v->lanes + to + 1, v->lanes + to, (from - to) * sizeof moved);
	v->lanes[to] = moved;
	if (v->chosen < v->lane_count)
		v->chosen = after_put(v->chosen, from, to);
	lanes_scroll_to_chosen(v);
}

void lane_move(struct view *v, size_t lane, int step)
{
	lane_put(v, lane, lane_next_shown(v, lane, step));
}

static void insert_lane(struct view *v, size_t at, struct lane lane)
{
	mem_grow(&v->lanes, &v->lane_cap, v->lane_count + 1, sizeof *v->lanes);
	memmove(v->lanes + at + 1, v->lanes + at, (v->lane_count - at) * sizeof lane);
	v->lanes[at] = lane;
	v->lane_count++;
	v->chosen += v->chosen >= at;
}

static void remove_lane(struct view *v, size_t at)
{
	lane_release(v, &v->lanes[at]);
	memmove(v->lanes + at, v->lanes + at + 1, (v->lane_count - at - 1) * sizeof *v->lanes);
	v->lane_count--;
	v->chosen -= v->chosen >= at && v->chosen > 0;
}

/* The delta lane of a lane, which may be itself; lane_count when it has none. */
static size_t delta_of(const struct view *v, size_t lane)
{
	size_t i;

	for (i = 0; i < v->lane_count; i++)
		if (v->lanes[i].delta && v->lanes[i].pair == v->lanes[lane].pair)
			return i;
	return v->lane_count;
}

void lane_toggle_delta(struct view *v, size_t lane)
{
	const size_t own = delta_of(v, lane);

	if (own < v->lane_count)
		remove_lane(v, own);
	else
		insert_lane(v, lane + 1, (struct lane){ .pair = v->lanes[lane].pair, .delta = true,
							.shown = true });
	mend_chosen(v);
}

/* How many shown lanes of even height stand above this one. */
static int even_lanes_above(const struct view *v, const struct lane *lane)
{
	int n = 0;
	const struct lane *other;

	for (other = v->lanes; other < lane; other++)
		n += other->shown && other->rows == 0;
	return n;
}

/* Lanes without a height of their own share what is left; spare rows go to the first. */
int lane_height(const struct view *v, const struct lane *lane)
{
	int left = v->lane_rows;
	int even = 0;
	size_t i;

	if (lane->rows > 0)
		return lane->rows < left ? lane->rows : left;
	for (i = 0; i < v->lane_count; i++) {
		if (!v->lanes[i].shown)
			continue;
		left -= v->lanes[i].rows;
		even += v->lanes[i].rows == 0;
	}
	if (even == 0 || left / even < LANE_LEAST_ROWS)
		return LANE_LEAST_ROWS;
	return left / even + (even_lanes_above(v, lane) < left % even);
}

/* Rows from the top lane down to the end of lane `last`. */
static int rows_between(const struct view *v, size_t top, size_t last)
{
	int rows = 0;
	size_t i;

	for (i = top; i <= last && i < v->lane_count; i++)
		if (v->lanes[i].shown)
			rows += lane_height(v, &v->lanes[i]);
	return rows;
}

void lanes_scroll_to_chosen(struct view *v)
{
	if (v->chosen >= v->lane_count)
		return;
	if (v->top > v->chosen || v->top >= v->lane_count)
		v->top = v->chosen;
	if (!v->lanes[v->top].shown)
		v->top = lane_next_shown(v, v->top, 1);
	while (v->top < v->chosen && rows_between(v, v->top, v->chosen) > v->lane_rows)
		v->top = lane_next_shown(v, v->top, 1);
	/* no empty rows below while lanes are hidden above */
	for (;;) {
		const size_t above = lane_next_shown(v, v->top, -1);

		if (above == v->top || rows_between(v, above, v->lane_count - 1) > v->lane_rows)
			break;
		v->top = above;
	}
}
