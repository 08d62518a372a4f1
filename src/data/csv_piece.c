/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Pieces: room for what is made of them. */
#include "data/csv_piece.h"

#include <stdlib.h>

#include "base/mem.h"

void csv_piece_release(struct csv_piece *p)
{
	buf_release(&p->raw);
	buf_release(&p->room);
	free(p->items);
	free(p->columns);
	free(p->odd);
}

void csv_piece_clear(struct csv_piece *p)
{
	p->item_count = 0;
	p->column_count = 0;
	p->odd_count = 0;
	p->lines = 0;
}

bool csv_piece_leave(struct csv_piece *p)
{
	csv_piece_clear(p);
	if (!mem_try_grow(&p->items, &p->item_room, 1, sizeof(*p->items)))
		return false;
	p->items[p->item_count++] = (struct csv_item){ .kind = CSV_ITEM_REST };
	return true;
}
