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

/* The list and its room change places; the paths stay. */
static void exchange(struct marks *m, struct marks *other)
{
	const struct marks kept = *m;

	m->list = other->list;
	m->count = other->count;
	m->cap = other->cap;
	other->list = kept.list;
	other->count = kept.count;
	other->cap = kept.cap;
}

/* Exchanges the marks with those before, and saves; exchanges them back where that fails. */
static bool exchange_and_save(struct view *v, struct undo *u)
{
	struct marks *m = &v->sources[u->source].marks;
	struct err e = ERR_INIT;

	exchange(m, &u->before);
	if (marks_save(m, &e) == ERR_NONE)
		return true;
	exchange(m, &u->before);
	view_complain(v, "%s: nothing was changed", e.text);
	return false;
}

static void drop_last(struct view *v)
{
	marks_release(&v->undo[--v->undo_count].before);
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
	exchange(&v->sources[source].marks, &v->undo[v->undo_count - 1].before);
	drop_last(v);
	view_complain(v, "%s: nothing was changed", e.text);
	return false;
}

bool undo_last(struct view *v)
{
	if (v->undo_count == 0)
		return false;
	if (exchange_and_save(v, &v->undo[v->undo_count - 1]))
		drop_last(v);
	return true;
}

void undo_release(struct view *v)
{
	size_t i;

	for (i = 0; i < v->undo_count; i++)
		marks_release(&v->undo[i].before);
	free(v->undo);
}
