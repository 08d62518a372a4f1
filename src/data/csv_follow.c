/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A log that is still being written. */
#include "data/csv_follow.h"

#include <errno.h>
#include <poll.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/file_watch.h"
#include "base/mem.h"
#include "base/path.h"
#include "data/csv_reading.h"

struct csv_follow {
	char *path;
	const struct csv_options *options;
	struct csv_input *in;
	int watch;		/* base/file_watch.h, or -1 */
	struct csv_reading reading;
	bool is_begun;		/* the reading has what it needs */
	size_t head;		/* stored bytes that the dialect was told by */
	bool is_over;
	unsigned generation;
	size_t rows_told;	/* of the last log made, with those that could not be read */
	size_t carry_told;	/* bytes that were still waiting for a quote then */
};

static enum err_code open_input(struct csv_follow *f, struct err *e)
{
	const enum err_code code = csv_input_open_growing(f->path, &f->in, e);

	if (code == ERR_NONE && csv_input_fd(f->in) < 0)
		f->watch = file_watch_open(f->path);
	return code;
}

static void close_reading(struct csv_follow *f)
{
	if (f->is_begun)
		csv_reading_release(&f->reading);
	f->is_begun = false;
}

static void close_input(struct csv_follow *f)
{
	csv_input_close(f->in);
	if (f->watch >= 0)
		close(f->watch);
	f->in = NULL;
	f->watch = -1;
}

/* A logger that has not begun; in a folder that is not there none will. */
static bool may_be_made(const struct csv_follow *f)
{
	char *dir = path_dirname(f->path);
	const bool may = csv_follow_is_gone(f) && path_exists(dir);

	free(dir);
	return may;
}

enum err_code csv_follow_open(const char *path, const struct csv_options *options,
			      struct csv_follow **out, struct err *e)
{
	struct csv_follow *f = mem_alloc(sizeof(*f));
	enum err_code code;

	f->path = mem_strdup(path);
	f->options = options;
	f->watch = -1;
	code = open_input(f, e);
	if (code != ERR_NONE && may_be_made(f))
		code = ERR_NONE;
	if (code == ERR_NONE) {
		*out = f;
	} else {
		*out = NULL;
		csv_follow_close(f);
	}
	return code;
}

void csv_follow_close(struct csv_follow *f)
{
	if (f == NULL)
		return;
	close_reading(f);
	close_input(f);
	free(f->path);
	free(f);
}

unsigned csv_follow_generation(const struct csv_follow *f)
{
	return f->generation;
}

bool csv_follow_is_gone(const struct csv_follow *f)
{
	struct stat named;

	if (f->in != NULL && csv_input_fd(f->in) >= 0)
		return false;	/* a pipe or standard input, which has no need of a name */
	return stat(f->path, &named) != 0 && errno == ENOENT;
}

bool csv_follow_is_over(const struct csv_follow *f)
{
	return f->is_over;
}

/* From the first byte. */
static enum err_code read_anew(struct csv_follow *f, struct err *e)
{
	enum err_code code;

	close_reading(f);
	code = csv_input_rewind(f->in, e);
	if (code != ERR_NONE)
		return code;
	f->head = csv_input_stored(f->in);
	f->is_begun = true;
	code = csv_reading_begin(&f->reading, f->in, !f->is_over, f->options, e);
	return code == ERR_NONE ? csv_reading_rows(&f->reading, e) : code;
}

/*
 * What has come, by libcsv in one thread: it is little each time, and our own splitter
 * would leave much of its share of the pool over.
 */
static enum err_code read_more(struct csv_follow *f, struct err *e)
{
	f->reading.options.reader = CSV_READER_LIBCSV;
	f->reading.options.threads = 1;
	f->reading.source.ended = false;
	f->reading.source.grows = !f->is_over;	/* the end of a stream ends its last line */
	return csv_reading_rows(&f->reading, e);
}

/* Another file, or the same from its start. */
static enum err_code reopen(struct csv_follow *f, struct err *e)
{
	close_reading(f);
	close_input(f);
	return open_input(f, e);
}

static enum err_code read_rows(struct csv_follow *f, struct err *e)
{
	if (!f->is_begun || f->head < CSV_HEAD)
		return read_anew(f, e);
	return read_more(f, e);
}

/* A line that has no end yet is nothing new. */
static enum err_code make_log(struct csv_follow *f, struct datalog **out, struct err *e)
{
	const size_t rows = f->reading.table.rows + f->reading.log->bad_rows;
	const size_t carry = f->reading.merge.carry.len;
	enum err_code code;

	if (rows > 0 && rows == f->rows_told && carry == f->carry_told)
		return ERR_NONE;
	code = csv_reading_so_far(&f->reading, out, e);
	if (code == ERR_NONE) {
		f->rows_told = rows;
		f->carry_told = carry;
		free((*out)->path);
		(*out)->path = mem_strdup(f->path);
	}
	return code;
}

enum err_code csv_follow_read(struct csv_follow *f, struct datalog **out, struct err *e)
{
	enum csv_growth growth = CSV_GROWTH_ANEW;
	enum err_code code = ERR_NONE;

	*out = NULL;
	if (f->in != NULL)
		growth = csv_input_growth(f->in);
	if (f->is_over || (f->is_begun && growth == CSV_GROWTH_NONE))
		return ERR_NONE;
	f->is_over = growth == CSV_GROWTH_OVER;
	if (growth == CSV_GROWTH_ANEW) {
		f->generation += f->in != NULL;
		f->rows_told = 0;
		code = reopen(f, e);
	}
	if (code == ERR_NONE)
		code = read_rows(f, e);
	if (code == ERR_NONE)
		code = make_log(f, out, e);
	else
		close_reading(f);
	return code;
}

bool csv_follow_is_hopeless(const struct csv_follow *f, enum err_code code)
{
	const bool much = f->in != NULL && csv_input_stored(f->in) >= CSV_HEAD;

	return code == ERR_MEMORY || code == ERR_USAGE ||
		(code == ERR_FORMAT && much && f->rows_told == 0);
}

void csv_follow_wait(struct csv_follow *f, int other, int ms)
{
	const int told = f->in != NULL && csv_input_fd(f->in) >= 0 ? csv_input_fd(f->in) : f->watch;
	struct pollfd p[2] = { { told, POLLIN, 0 }, { other, POLLIN, 0 } };

	poll(p, 2, ms);		/* passes over -1 */
	if (f->watch >= 0)
		file_watch_clear(f->watch);
}
