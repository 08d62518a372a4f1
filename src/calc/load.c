/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From a file to something to work on. */
#include "calc/load.h"

#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/num.h"
#include "base/path.h"
#include "calc/derive.h"
#include "data/csv_read.h"
#include "data/recognise.h"

enum err_code load_log(const char *path, const struct load_options *options,
		       struct loaded *out, struct err *e)
{
	struct datalog *log;
	enum err_code code;

	*out = (struct loaded)LOADED_INIT;
	code = csv_read(path, &options->csv, &log, e);
	return code == ERR_NONE ? load_finish(log, options, out, e) : code;
}

enum err_code load_finish(struct datalog *log, const struct load_options *options,
			  struct loaded *out, struct err *e)
{
	enum err_code code = ERR_NONE;

	*out = (struct loaded){ .log = log };
	recognise_all(log);
	if (options->names != NULL)
		code = recognise_overrides(log, options->names, e);
	if (code == ERR_NONE)
		code = derive_all(log, e);
	out->has_rpm = datalog_find(log, Q_RPM) != NULL;
	if (code == ERR_NONE && out->has_rpm)
		code = pull_find(log, &options->pull, &out->pulls, e);
	if (code != ERR_NONE)
		loaded_release(out);
	return code;
}

void loaded_release(struct loaded *l)
{
	datalog_free(l->log);
	pulls_release(&l->pulls);
	*l = (struct loaded)LOADED_INIT;
}

struct loaded loaded_hold(const struct loaded *l)
{
	struct loaded held = *l;

	held.log = datalog_hold(l->log);
	held.pulls.list = mem_array(l->pulls.count, sizeof *held.pulls.list);
	if (l->pulls.count > 0)
		memcpy(held.pulls.list, l->pulls.list, l->pulls.count * sizeof *held.pulls.list);
	return held;
}

enum err_code log_ref_parse(const char *text, struct log_ref *out, struct err *e)
{
	const char *at = strrchr(text, '@');
	long number;

	*out = (struct log_ref){ NULL, REF_BEST, 0 };
	if (at == NULL || at == text || strchr(at, '/') != NULL || path_exists(text)) {
		out->path = mem_strdup(text);
		return ERR_NONE;
	}
	if (strcmp(at + 1, "all") == 0) {
		out->what = REF_WHOLE;
	} else if (num_parse_int(at + 1, 1, 1000000, &number)) {
		out->what = REF_PULL;
		out->number = (size_t)number;
	} else {
		return err_set(e, ERR_USAGE, "%s: behind '@' stands the number of a pull, from 1, "
			       "or 'all' for the whole log", text);
	}
	out->path = mem_strndup(text, (size_t)(at - text));
	return ERR_NONE;
}

enum err_code load_run(const struct loaded *l, const struct log_ref *ref, struct run *out,
		       struct err *e)
{
	size_t number = ref->number;

	if (ref->what == REF_BEST)
		number = pull_best(&l->pulls);
	else if (ref->what == REF_WHOLE)
		number = RUN_WHOLE;
	return run_init(out, l->log, &l->pulls, number, e);
}
