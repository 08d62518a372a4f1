/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One column of a log: packed blocks, and behind them the rows pushed last. */
#include "data/column.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/buf.h"
#include "base/mem.h"

#define TAIL 256		/* rows pushed before they are packed */
#define SHORT_BLOCK 64		/* rows; shorter ones are not worth a block of their own */

struct block {
	struct packed packed;
	size_t first;		/* row */
	bool owned;		/* its bytes are the column's to free */
};

struct column {
	struct block *blocks;
	size_t block_count;
	size_t block_room;
	double *tail;		/* [tail_count], the last rows */
	size_t tail_count;
	size_t tail_room;
	size_t rows;
	size_t samples;
	char *text;		/* of the words, or NULL for a column of numbers */
	const char **words;	/* [word_count] into text */
	size_t word_count;
	int decimals;
};

struct column *column_new(void)
{
	return mem_alloc(sizeof(struct column));
}

static void free_words(struct column *c)
{
	free(c->words);
	free(c->text);
	c->words = NULL;
	c->text = NULL;
	c->word_count = 0;
}

void column_free(struct column *c)
{
	size_t i;

	if (c == NULL)
		return;
	for (i = 0; i < c->block_count; i++)
		if (c->blocks[i].owned)
			free(c->blocks[i].packed.data);
	free_words(c);
	free(c->blocks);
	free(c->tail);
	free(c);
}

static bool copy_block(struct block *b)
{
	const size_t size = (size_t)b->packed.count * b->packed.width;
	void *data;

	if (!b->owned || size == 0) {
		b->owned = false;
		return true;
	}
	data = mem_try_array(size, 1);
	if (data == NULL)
		return false;
	memcpy(data, b->packed.data, size);
	b->packed.data = data;
	return true;
}

struct column *column_copy(const struct column *c)
{
	struct column *copy = column_new();
	size_t i;

	copy->decimals = c->decimals;
	if (!mem_try_grow(&copy->blocks, &copy->block_room, c->block_count, sizeof(*copy->blocks)) ||
	    !mem_try_grow(&copy->tail, &copy->tail_room, c->tail_count, sizeof(*copy->tail)))
		goto failed;
	for (i = 0; i < c->block_count; i++) {
		copy->blocks[i] = c->blocks[i];
		if (!copy_block(&copy->blocks[i]))
			goto failed;
		copy->block_count++;
	}
	if (c->tail_count > 0)
		memcpy(copy->tail, c->tail, c->tail_count * sizeof(*c->tail));
	copy->tail_count = c->tail_count;
	copy->rows = c->rows;
	copy->samples = c->samples;
	return copy;
failed:
	column_free(copy);
	return NULL;
}

static bool add_block(struct column *c, const struct packed *packed, bool owned)
{
	const size_t first = c->rows - c->tail_count;

	if (!mem_try_grow(&c->blocks, &c->block_room, c->block_count + 1, sizeof(*c->blocks)))
		return false;
	c->blocks[c->block_count++] = (struct block){ *packed, first, owned };
	return true;
}

/* Makes a block of the tail. */
static bool pack_tail(struct column *c)
{
	int32_t scratch[TAIL];
	struct packed packed;

	if (c->tail_count == 0)
		return true;
	if (!packed_doubles(&packed, c->tail, c->tail_count, scratch, NULL, NULL))
		return false;
	if (!add_block(c, &packed, true)) {
		free(packed.data);
		return false;
	}
	c->tail_count = 0;
	return true;
}

bool column_push(struct column *c, double v)
{
	if (c->tail_count == TAIL && !pack_tail(c))
		return false;
	if (c->tail_count == c->tail_room &&
	    !mem_try_grow(&c->tail, &c->tail_room, c->tail_count + 1, sizeof(*c->tail)))
		return false;
	c->tail[c->tail_count++] = v;
	c->rows++;
	c->samples += !isnan(v);
	return true;
}

bool column_append(struct column *c, const struct packed *block)
{
	double v[SHORT_BLOCK];
	size_t i;

	if (block->count <= SHORT_BLOCK) {
		packed_get(block, 0, block->count, v);
		for (i = 0; i < block->count; i++)
			if (!column_push(c, v[i]))
				return false;
		return true;
	}
	if (!pack_tail(c) || !add_block(c, block, false))
		return false;
	c->rows += block->count;
	c->samples += block->samples;
	return true;
}

bool column_seal(struct column *c)
{
	if (!pack_tail(c))
		return false;
	free(c->tail);
	c->tail = NULL;
	c->tail_room = 0;
	return true;
}

void column_set_words(struct column *c, char **words, size_t n)
{
	struct buf text = BUF_INIT;
	size_t i;

	for (i = 0; i < n; i++) {
		buf_add(&text, words[i], strlen(words[i]) + 1);
		free(words[i]);
	}
	free(words);
	column_take_words(c, buf_take(&text), n);
}

void column_take_words(struct column *c, char *text, size_t n)
{
	size_t i;

	free_words(c);
	c->text = text;
	c->words = mem_array(n, sizeof(*c->words));
	c->word_count = n;
	for (i = 0; i < n; i++) {
		c->words[i] = text;
		text += strlen(text) + 1;
	}
}

void column_set_decimals(struct column *c, int decimals)
{
	c->decimals = decimals;
}

int column_decimals(const struct column *c)
{
	return c->decimals;
}

enum column_kind column_kind(const struct column *c)
{
	if (c->samples == 0)
		return COLUMN_EMPTY;
	return c->words != NULL ? COLUMN_STATE : COLUMN_NUMBER;
}

size_t column_rows(const struct column *c)
{
	return c->rows;
}

size_t column_samples(const struct column *c)
{
	return c->samples;
}

/* The block that holds the row, which is before the tail. */
static const struct block *find_block(const struct column *c, size_t row)
{
	size_t low = 0;
	size_t high = c->block_count;

	while (high - low > 1) {
		const size_t middle = low + (high - low) / 2;

		if (c->blocks[middle].first <= row)
			low = middle;
		else
			high = middle;
	}
	return &c->blocks[low];
}

void column_get(const struct column *c, size_t from, size_t n, double *out)
{
	const size_t tail = c->rows - c->tail_count;
	const struct block *b = NULL;

	while (n > 0 && from < tail) {
		size_t part;

		b = b == NULL ? find_block(c, from) : b + 1;
		part = b->packed.count - (from - b->first);
		part = part < n ? part : n;
		packed_get(&b->packed, from - b->first, part, out);
		from += part;
		out += part;
		n -= part;
	}
	if (n > 0)
		memcpy(out, c->tail + (from - tail), n * sizeof(*out));
}

double column_at(const struct column *c, size_t row)
{
	double v;

	column_get(c, row, 1, &v);
	return v;
}

void column_walk_init(struct column_walk *w, const struct column *c)
{
	w->column = c;
	w->row = 0;
}

bool column_walk_next(struct column_walk *w, double *v)
{
	const size_t at = w->row % COLUMN_WALK;
	const size_t left = w->column->rows - w->row;

	if (left == 0)
		return false;
	if (at == 0)
		column_get(w->column, w->row, left < COLUMN_WALK ? left : COLUMN_WALK, w->block);
	*v = w->block[at];
	w->row++;
	return true;
}

const char *column_word(const struct column *c, double state)
{
	if (!(state >= 0) || state >= (double)c->word_count || state != floor(state))
		return "";
	return c->words[(size_t)state];
}
