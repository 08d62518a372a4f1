/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Pieces of a log, split by threads and taken in turn. */
#include "data/csv_lanes.h"

#include <pthread.h>
#include <stdlib.h>
#include <unistd.h>

#include "base/mem.h"
#include "data/csv_piece.h"
#include "data/csv_state.h"
#include "data/csv_straight.h"

#define MOST_THREADS 32
#define THREAD_WORTH ((size_t)2 << 20)	/* bytes */
#define PIECE ((size_t)256 << 10)
#define SMALL_PIECE ((size_t)64 << 10)	/* of a log that is not worth a second thread */
#define LEAD_ROWS 16	/* lines that libcsv reads first: they tell what the columns are */

enum slot_state {
	SLOT_FREE,
	SLOT_READ,	/* waits for a thread */
	SLOT_SPLIT,	/* is being split */
	SLOT_DONE,	/* waits for its turn */
};

struct slot {
	enum slot_state state;
	struct csv_piece piece;
	struct csv_state before;	/* with which it is split */
};

/* All of it is guarded by `lock`, but what only the thread at a slot or turn touches. */
struct csv_lanes {
	struct csv_source *source;
	struct csv_merge *merge;	/* whose turn it is */
	struct csv_table *table;	/* its */
	const struct csv_options *options;
	const struct csv_reading *reading;
	struct csv_state state;		/* of the table after the last turn */
	pthread_mutex_t lock;
	pthread_cond_t changed;
	struct slot *slots;		/* [slot_count], a ring */
	size_t slot_count;
	size_t piece;			/* bytes of one */
	size_t next_read;		/* piece numbers; modulo slot_count the slot */
	size_t next_turn;
	bool is_turning;
	bool ended;			/* the last piece is read */
	bool stopped;			/* by options->watch */
	enum err_code code;		/* the first error */
	struct err *e;
};

/* A thread and its splitter; NULL where libcsv reads everything. */
struct worker {
	struct csv_lanes *lanes;
	struct csv_straight *straight;
	pthread_t thread;
	bool started;
};

static enum err_code no_memory(const struct csv_lanes *l, struct err *e)
{
	return err_set(e, ERR_MEMORY, "%s: out of memory at line %zu; close other programs, or "
		       "cut the log", l->table->log->path, l->merge->line);
}

static void fail(struct csv_lanes *l, enum err_code code)
{
	if (l->code == ERR_NONE)
		l->code = code;
	l->ended = true;
}

/* Turns the piece into text, and counts what speaks for its encoding. */
static bool prepare(const struct csv_lanes *l, struct csv_piece *p)
{
	csv_count_utf8(p->raw.data, p->raw.len, &p->good, &p->broken);
	return csv_source_decode(l->source->encoding, p->last, &p->raw, &p->room, &p->text,
				 &p->length);
}

/* Reads the next piece; with the lock. */
static void read_piece(struct csv_lanes *l)
{
	struct slot *slot = &l->slots[l->next_read % l->slot_count];
	enum err_code code;

	slot->piece.text = NULL;
	code = csv_source_next(l->source, l->piece, &slot->piece.raw, &slot->piece.last, l->e);
	if (code != ERR_NONE) {
		fail(l, code);
		return;
	}
	l->ended = slot->piece.last || slot->piece.raw.len == 0;
	slot->state = SLOT_READ;
	l->next_read++;
}

/* Splits a piece; without the lock but for the changes of its state. */
static void split_piece(struct csv_lanes *l, struct worker *w, struct slot *slot)
{
	struct csv_piece *p = &slot->piece;
	bool ok = true;

	slot->state = SLOT_SPLIT;
	csv_state_copy(&slot->before, &l->state);
	pthread_mutex_unlock(&l->lock);
	if (p->text == NULL)
		ok = prepare(l, p);
	if (ok && w->straight != NULL)
		ok = csv_straight_split(w->straight, &slot->before, p);
	else if (ok)
		ok = csv_piece_leave(p);
	pthread_mutex_lock(&l->lock);
	slot->state = SLOT_DONE;
	if (!ok)
		fail(l, ERR_MEMORY);
}

/* Whether to go on; nothing takes a turn meanwhile. */
static bool ask(const struct csv_lanes *l, size_t read)
{
	const struct csv_progress p = {
		read, csv_input_stored(l->source->in), l->table->rows,
	};

	return l->options->watch->step(l->options->watch->data, &p, l->reading);
}

/* Takes the piece whose turn it is into the table. */
static void take_turn(struct csv_lanes *l, struct slot *slot)
{
	const size_t read = csv_input_at(l->source->in);
	bool go_on = true;
	bool ok;

	l->is_turning = true;
	pthread_mutex_unlock(&l->lock);
	ok = csv_merge_piece(l->merge, &slot->piece);
	if (ok && l->options->watch != NULL)
		go_on = ask(l, read);
	pthread_mutex_lock(&l->lock);
	l->is_turning = false;
	slot->state = SLOT_FREE;
	l->next_turn++;
	csv_state_take(&l->state, l->table);
	if (!ok)
		fail(l, ERR_MEMORY);
	l->stopped = !go_on;
}

/* The first slot from next_turn on that waits for a thread, or NULL. */
static struct slot *find_read(const struct csv_lanes *l)
{
	size_t i;

	for (i = l->next_turn; i < l->next_read; i++)
		if (l->slots[i % l->slot_count].state == SLOT_READ)
			return &l->slots[i % l->slot_count];
	return NULL;
}

/* One step of whatever is to be done; false when nothing can be done now. */
static bool step(struct csv_lanes *l, struct worker *w)
{
	struct slot *turn = &l->slots[l->next_turn % l->slot_count];
	struct slot *waiting;

	if (!l->is_turning && l->next_turn < l->next_read && turn->state == SLOT_DONE) {
		take_turn(l, turn);
		return true;
	}
	waiting = find_read(l);
	if (waiting == NULL && !l->ended && l->next_read - l->next_turn < l->slot_count) {
		read_piece(l);
		waiting = find_read(l);
	}
	if (waiting == NULL)
		return false;
	split_piece(l, w, waiting);
	return true;
}

static bool is_done(const struct csv_lanes *l)
{
	return l->code != ERR_NONE || l->stopped || (l->ended && l->next_turn == l->next_read);
}

static void *work(void *data)
{
	struct worker *w = data;
	struct csv_lanes *l = w->lanes;

	pthread_mutex_lock(&l->lock);
	while (!is_done(l)) {
		if (step(l, w))
			pthread_cond_broadcast(&l->changed);
		else if (!is_done(l))
			pthread_cond_wait(&l->changed, &l->lock);
	}
	pthread_cond_broadcast(&l->changed);
	pthread_mutex_unlock(&l->lock);
	return NULL;
}

static unsigned count_threads(const struct csv_lanes *l)
{
	const size_t size = csv_input_size(l->source->in);
	unsigned n = l->options->threads;

	/* A thread is not worth its start for less, nor is to count the cores. */
	if (n == 0 && size > 0 && size < THREAD_WORTH)
		n = 1;
	if (n == 0) {
		const long cores = sysconf(_SC_NPROCESSORS_ONLN);

		n = cores > 0 ? (unsigned)cores : 1;
		if (size > 0 && size / THREAD_WORTH < n)
			n = (unsigned)(size / THREAD_WORTH) + 1;
	}
	return n < MOST_THREADS ? n : MOST_THREADS;
}

/* Small ones for a small log: most of what it costs is room that is used the first time. */
static size_t piece_size(const struct csv_lanes *l)
{
	const size_t size = csv_input_size(l->source->in);

	if (l->options->piece > 0)
		return l->options->piece;
	return size > 0 && size < THREAD_WORTH ? SMALL_PIECE : PIECE;
}

/* What libcsv reads before the rows go straight: the header, and then some. */
static enum err_code read_lead(struct csv_lanes *l)
{
	const size_t rows = l->options->reader == CSV_READER_STRAIGHT ? 0 : LEAD_ROWS;
	const size_t until = l->table->dialect.first_line + rows;
	struct csv_piece *p = &l->slots[0].piece;
	size_t at = 0;

	do {
		read_piece(l);
		if (l->code != ERR_NONE)
			return l->code;
		l->next_read = 0;
		l->slots[0].state = SLOT_FREE;
		if (!prepare(l, p) || !csv_merge_lead(l->merge, p, until, &at))
			return no_memory(l, l->e);
	} while (at == p->length && !l->ended);
	csv_state_take(&l->state, l->table);
	if (at == p->length)
		return ERR_NONE;
	/* What is left of the piece is the first to be split. */
	p->text += at;
	p->length -= at;
	p->good = p->broken = 0;
	l->slots[0].state = SLOT_READ;
	l->next_read = 1;
	return ERR_NONE;
}

/* Starts what threads it can beside this one; they are fewer when it cannot. */
static void run(struct worker *workers, unsigned n)
{
	unsigned i;

	for (i = 1; i < n; i++)
		workers[i].started = pthread_create(&workers[i].thread, NULL, work,
						    &workers[i]) == 0;
	work(&workers[0]);
	for (i = 1; i < n; i++)
		if (workers[i].started)
			pthread_join(workers[i].thread, NULL);
}

static enum err_code read_all(struct csv_lanes *l, unsigned n)
{
	const bool straight = l->options->reader != CSV_READER_LIBCSV &&
			      csv_straight_can(&l->table->dialect);
	struct worker *workers = mem_array(n, sizeof(*workers));
	enum err_code code = read_lead(l);
	unsigned i;

	for (i = 0; code == ERR_NONE && i < n; i++) {
		workers[i].lanes = l;
		if (straight)
			workers[i].straight = csv_straight_new(l->table, l->table->log->pool,
							       l->piece, l->options->wide);
		if (straight && workers[i].straight == NULL)
			code = no_memory(l, l->e);
	}
	if (code == ERR_NONE) {
		run(workers, n);
		code = l->code == ERR_MEMORY ? no_memory(l, l->e) : l->code;
	}
	for (i = 0; i < n; i++)
		csv_straight_free(workers[i].straight);
	free(workers);
	return code;
}

enum err_code csv_lanes_read(struct csv_source *source, struct csv_merge *m,
			     const struct csv_options *options,
			     const struct csv_reading *reading, bool *stopped, struct err *e)
{
	struct csv_lanes l = {
		.source = source, .merge = m, .table = m->table, .options = options,
		.reading = reading, .e = e,
	};
	const unsigned n = count_threads(&l);
	enum err_code code;
	size_t i;

	pthread_mutex_init(&l.lock, NULL);
	pthread_cond_init(&l.changed, NULL);
	l.piece = piece_size(&l);
	l.slot_count = n == 1 ? 1 : 2 * n + 1;
	l.slots = mem_array(l.slot_count, sizeof(*l.slots));
	code = read_all(&l, n);
	*stopped = l.stopped;
	for (i = 0; i < l.slot_count; i++) {
		csv_piece_release(&l.slots[i].piece);
		csv_state_release(&l.slots[i].before);
	}
	free(l.slots);
	csv_state_release(&l.state);
	pthread_cond_destroy(&l.changed);
	pthread_mutex_destroy(&l.lock);
	return code;
}
