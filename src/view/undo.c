/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Changing marks so that it can be taken back. */
#include "view/undo.h"

#include <stdlib.h>

#include "base/mem.h"

static struct marks copy_list(const struct marks *m)
{
	struct marks copy = MARKS_INIT;
	size_t i;

	for (i = 0; i < m->count; i++)
		marks_add(&copy, &m->list[i]);
	return copy;
}

/* Swaps the list of marks; the path stays. */
static void restore(struct marks *m, struct marks *before)
{
	const struct marks kept = *before;

	while (m->count > 0)
		marks_remove(m, m->count - 1);
	free(m->list);
	m->list = kept.list;
	m->count = kept.count;
	m->cap = kept.cap;
	*before = (struct marks)MARKS_INIT;
}

bool undo_begin(struct view *v, size_t source)
{
	struct source *s = &v->sources[source];

	if (s->marks_locked) {
		view_complain(v, "%s could not be read, so no mark is changed: mend it first",
			      s->marks.path);
		return false;
	}
	mem_grow(&v->undo, &v->undo_cap, v->undo_count + 1, sizeof *v->undo);
	v->undo[v->undo_count].source = source;
	v->undo[v->undo_count].before = copy_list(&s->marks);
	v->undo_count++;
	return true;
}

bool undo_commit(struct view *v, size_t source)
{
	struct err e = ERR_INIT;

	if (marks_save(&v->sources[source].marks, &e) == ERR_NONE)
		return true;
	v->undo_count--;
	restore(&v->sources[source].marks, &v->undo[v->undo_count].before);
	view_complain(v, "%s: nothing was changed", e.text);
	return false;
}

bool undo_last(struct view *v)
{
	struct err e = ERR_INIT;
	struct undo *u;

	if (v->undo_count == 0)
		return false;
	u = &v->undo[--v->undo_count];
	restore(&v->sources[u->source].marks, &u->before);
	if (marks_save(&v->sources[u->source].marks, &e) != ERR_NONE)
		view_complain(v, "%s", e.text);
	return true;
}

void undo_release(struct view *v)
{
	size_t i;

	for (i = 0; i < v->undo_count; i++)
		marks_release(&v->undo[i].before);
	free(v->undo);
}
