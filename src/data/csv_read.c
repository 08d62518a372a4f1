/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reading a log from its first byte to its last. */
#include "data/csv_read.h"

#include <stdlib.h>

#include "base/mem.h"
#include "data/csv_input.h"
#include "data/csv_reading.h"

static enum err_code read_input(struct csv_input *in, const char *path,
				const struct csv_options *options, struct datalog **out,
				struct err *e)
{
	struct csv_reading r;
	enum err_code code = csv_reading_begin(&r, in, false, options, e);

	if (code == ERR_NONE)
		code = csv_reading_rows(&r, e);
	if (code == ERR_NONE)
		code = csv_reading_end(&r, out, e);
	if (code == ERR_NONE) {
		free((*out)->path);
		(*out)->path = mem_strdup(path);
	}
	csv_reading_release(&r);
	return code;
}

enum err_code csv_read_memory(const char *name, const char *bytes, size_t n,
			      const struct csv_options *options, struct datalog **out,
			      struct err *e)
{
	static const struct csv_options guess_all;
	struct csv_input *in = csv_input_memory(name, bytes, n);
	enum err_code code;

	*out = NULL;
	if (in == NULL)
		return err_set(e, ERR_MEMORY, "%s: out of memory; close other programs, or cut "
			       "the log", name);
	code = read_input(in, name, options != NULL ? options : &guess_all, out, e);
	csv_input_close(in);
	return code;
}

enum err_code csv_read(const char *path, const struct csv_options *options,
		       struct datalog **out, struct err *e)
{
	static const struct csv_options guess_all;
	struct csv_input *in;
	enum err_code code;

	*out = NULL;
	if (options == NULL)
		options = &guess_all;
	code = csv_input_open(path, options->watch, &in, e);
	if (code == ERR_NONE)
		code = read_input(in, path, options, out, e);
	csv_input_close(in);
	return code;
}
