/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Pieces in the order of the file. */
#include "data/csv_merge.h"

#include <stdint.h>
#include <string.h>

#include "base/mem.h"

bool csv_merge_init(struct csv_merge *m, struct csv_table *t, bool libcsv)
{
	*m = (struct csv_merge){ .table = t, .libcsv = libcsv, .line = 1 };
	m->rows = csv_rows_new(t->dialect.separator, t->dialect.comments, libcsv);
	return m->rows != NULL;
}

void csv_merge_release(struct csv_merge *m)
{
	csv_rows_free(m->rows);
	buf_release(&m->carry);
}

/* Reads rows until one would begin on line `until`; false when memory is out. */
static bool read_rows(struct csv_merge *m, const char *text, size_t n, size_t line, bool more,
		      size_t until)
{
	enum csv_step step = CSV_STEP_END;
	struct csv_row row;

	csv_rows_over(m->rows, text, n, line, more);
	while (csv_rows_line(m->rows) < until &&
	       (step = csv_rows_next(m->rows, &row)) == CSV_STEP_ROW)
		if (!csv_table_add(m->table, &row))
			return false;
	m->line = csv_rows_line(m->rows);
	return step != CSV_STEP_MEMORY;
}

/* Keeps the text from `at` on for the next piece. */
static bool keep(struct csv_merge *m, const char *text, size_t n)
{
	struct buf kept = BUF_INIT;

	if (n > 0) {
		if (!mem_try_grow(&kept.data, &kept.cap, n + 1, 1))
			return false;
		memcpy(kept.data, text, n);
		kept.len = n;
	}
	buf_release(&m->carry);
	m->carry = kept;
	return true;
}

/* All of a piece from `at` on, by libcsv. */
static bool read_rest(struct csv_merge *m, const struct csv_piece *p, size_t at, size_t line)
{
	size_t taken;

	if (!read_rows(m, p->text + at, p->length - at, line, !p->last, SIZE_MAX))
		return false;
	taken = at + csv_rows_offset(m->rows);
	return keep(m, p->text + taken, p->length - taken);
}

/* Behind what was kept of the piece before. */
static bool read_carried(struct csv_merge *m, const struct csv_piece *p)
{
	struct buf *carry = &m->carry;
	size_t taken;

	if (!mem_try_grow(&carry->data, &carry->cap, carry->len + p->length + 1, 1))
		return false;
	memcpy(carry->data + carry->len, p->text, p->length);
	carry->len += p->length;
	if (!read_rows(m, carry->data, carry->len, m->line, !p->last, SIZE_MAX))
		return false;
	taken = csv_rows_offset(m->rows);
	return keep(m, carry->data + taken, carry->len - taken);
}

bool csv_merge_as_ended(const struct csv_merge *m, struct csv_table *copy)
{
	struct csv_merge rest;
	bool ok;

	if (m->carry.len == 0)
		return true;
	ok = csv_merge_init(&rest, copy, m->libcsv) &&
	     read_rows(&rest, m->carry.data, m->carry.len, m->line, false, SIZE_MAX);
	csv_merge_release(&rest);
	return ok;
}

static bool batch_fits(const struct csv_merge *m, const struct csv_piece *p,
		       const struct csv_batch *b)
{
	const struct csv_table *t = m->table;
	size_t i;

	if (p->decimal != t->dialect.decimal || (p->decimal_sure && !t->dialect.decimal_sure))
		return false;
	for (i = 0; i < t->dialect.columns; i++)
		if (!csv_column_fits(&t->columns[i], &p->columns[b->columns + i]))
			return false;
	return true;
}

static bool add_odd(struct csv_table *t, const struct csv_piece *p,
		    const struct csv_odd_ref *odd, size_t line)
{
	const struct csv_cell cell = { p->text + odd->at, odd->length };
	struct csv_value v = { 0 };

	if (odd->kind == CSV_CELL_SUFFIXED)
		csv_cell_read(cell.text, cell.length, t->dialect.decimal, &v);
	return csv_column_add_odd(&t->columns[odd->column], t->rows + odd->row,
				  line + odd->line, &cell, (enum csv_cell_kind)odd->kind, &v);
}

/* `line` is that of the piece's first. */
static bool add_batch(struct csv_merge *m, const struct csv_piece *p, const struct csv_batch *b,
		      size_t line)
{
	struct csv_table *t = m->table;
	size_t i;

	csv_tally_add(&t->comments, b->comments.count, line + b->comments.first);
	csv_tally_add(&t->ragged, b->ragged.count, line + b->ragged.first);
	t->log->ragged_rows += b->ragged.count;
	if (b->rows == 0)
		return true;
	if (!csv_table_before_rows(t))
		return false;
	t->dialect.decimal_sure = t->dialect.decimal_sure || b->fractions;
	for (i = 0; i < t->dialect.columns; i++)
		if (!csv_column_append(&t->columns[i], &p->columns[b->columns + i]))
			return false;
	for (i = 0; i < b->odd_count; i++)
		if (!add_odd(t, p, &p->odd[b->odd + i], line))
			return false;
	t->rows += b->rows;
	return true;
}

bool csv_merge_piece(struct csv_merge *m, const struct csv_piece *p)
{
	const size_t line = m->line;
	size_t i;

	m->good += p->good;
	m->broken += p->broken;
	if (m->carry.len > 0)
		return read_carried(m, p);
	for (i = 0; i < p->item_count; i++) {
		const struct csv_item *item = &p->items[i];

		if (item->kind == CSV_ITEM_REST ||
		    (item->kind == CSV_ITEM_BATCH && !batch_fits(m, p, &item->batch)))
			return read_rest(m, p, item->at, line + item->line);
		if (item->kind == CSV_ITEM_ROW
		    ? !read_rows(m, p->text + item->at, item->length, line + item->line, false,
				 SIZE_MAX)
		    : !add_batch(m, p, &item->batch, line))
			return false;
	}
	m->line = line + p->lines;
	return true;
}

bool csv_merge_lead(struct csv_merge *m, const struct csv_piece *p, size_t line, size_t *at)
{
	m->good += p->good;
	m->broken += p->broken;
	*at = p->length;
	if (m->carry.len > 0)
		return read_carried(m, p);
	if (!read_rows(m, p->text, p->length, m->line, !p->last, line))
		return false;
	if (csv_rows_line(m->rows) < line)
		return keep(m, p->text + csv_rows_offset(m->rows),
			    p->length - csv_rows_offset(m->rows));
	*at = csv_rows_offset(m->rows);
	return true;
}
