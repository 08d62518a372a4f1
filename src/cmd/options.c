/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Parsing a command line against its tables, and printing them as help. */
#include "cmd/options.h"

#include <getopt.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "base/buf.h"
#include "base/mem.h"
#include "base/path.h"
#include "cmd/cmd.h"
#include "cmd/report.h"

#define FIRST_CODE 256		/* getopt's codes for rows without a letter begin here */
#define HELP_COLUMN 26		/* where the help of an option begins */

/* What getopt_long() wants, made from the sets of a syntax. */
struct grammar {
	struct option *longs;
	const struct option_row **rows;	/* [count]; the last, help, is NULL */
	struct buf letters;
	size_t count;
};

static int code_of(const struct grammar *g, size_t i)
{
	return g->rows[i] != NULL && g->rows[i]->letter != 0 ? g->rows[i]->letter :
		FIRST_CODE + (int)i;
}

static void add_option(struct grammar *g, const char *name, bool has_arg,
		       const struct option_row *row)
{
	struct option *o = &g->longs[g->count];

	g->rows[g->count] = row;
	o->name = name;
	o->has_arg = has_arg ? required_argument : no_argument;
	o->val = code_of(g, g->count);
	if (row != NULL && row->letter != 0)
		buf_printf(&g->letters, "%c%s", row->letter, has_arg ? ":" : "");
	g->count++;
}

static void grammar_init(struct grammar *g, const struct syntax *syntax)
{
	size_t room = 2;	/* help, and getopt's end mark */
	size_t set, i;

	for (set = 0; set < OPTION_SETS && syntax->sets[set] != NULL; set++)
		room += syntax->sets[set]->count;
	*g = (struct grammar){ 0 };
	g->longs = mem_array(room, sizeof *g->longs);
	g->rows = mem_array(room, sizeof *g->rows);
	buf_putc(&g->letters, ':');	/* getopt tells a missing argument apart */
	for (set = 0; set < OPTION_SETS && syntax->sets[set] != NULL; set++)
		for (i = 0; i < syntax->sets[set]->count; i++) {
			const struct option_row *row = &syntax->sets[set]->rows[i];

			add_option(g, row->name, row->arg != NULL, row);
		}
	add_option(g, "help", false, NULL);
}

static void grammar_release(struct grammar *g)
{
	free(g->longs);
	free(g->rows);
	buf_release(&g->letters);
}

static void help_line(struct buf *out, char letter, const char *name, const char *arg,
		      const char *help)
{
	const size_t start = out->len;

	if (letter != 0)
		buf_printf(out, "  -%c, --%s", letter, name);
	else
		buf_printf(out, "      --%s", name);
	if (arg != NULL)
		buf_printf(out, " %s", arg);
	if (out->len - start + 2 > HELP_COLUMN) {
		buf_putc(out, '\n');
		buf_pad(out, ' ', HELP_COLUMN);
	} else {
		buf_pad(out, ' ', HELP_COLUMN - (out->len - start));
	}
	buf_printf(out, "%s\n", help);
}

static int print_help(const struct syntax *syntax)
{
	struct buf out = BUF_INIT;
	size_t set, i;
	int code;

	buf_printf(&out, "Usage: twinpull %s [OPTION]... %s\n\n%s\n", syntax->name,
		   syntax->arguments, syntax->about);
	for (set = 0; set < OPTION_SETS && syntax->sets[set] != NULL; set++) {
		buf_printf(&out, "\n%s:\n", syntax->sets[set]->title);
		for (i = 0; i < syntax->sets[set]->count; i++) {
			const struct option_row *row = &syntax->sets[set]->rows[i];

			help_line(&out, row->letter, row->name, row->arg, row->help);
		}
	}
	buf_putc(&out, '\n');
	help_line(&out, 0, "help", NULL, "show this help");
	buf_puts(&out, "\nThe manual, twinpull(1), explains them in full.\n");
	code = report_result(&out, NULL);
	buf_release(&out);
	return code;
}

static void options_init(struct options *o)
{
	void *own = o->own;

	*o = (struct options){ 0 };
	o->own = own;
	o->units = UNITS_FILE;
	o->style = (struct out_style)OUT_STYLE_INIT;
	o->from = o->to = NAN;
	o->align = ALIGN_CROSSING;
	o->crossing = NAN;
}

/* The user's own names file, where none was given and one exists. */
static void find_names(struct options *o)
{
	char *dir;

	if (o->load.names != NULL)
		return;
	dir = path_xdg(PATH_CONFIG);
	if (dir == NULL)
		return;
	o->default_names = path_join(dir, "names.ini");
	if (path_exists(o->default_names))
		o->load.names = o->default_names;
	free(dir);
}

void options_release(struct options *o)
{
	free(o->default_names);
	free(o->channels);
}

static enum options_result complain(const struct syntax *syntax, const struct err *e)
{
	report("%s: %s; see `twinpull %s --help`", syntax->name, e->text, syntax->name);
	return OPTIONS_TROUBLE;
}

/* What getopt stumbled over: the short letter, or the word as it was given. */
static enum options_result complain_option(const struct syntax *syntax, int code, char **argv)
{
	struct err e = ERR_INIT;
	const char *what = code == ':' ? "needs a value" : "is not an option here";

	if (code == '?' && optopt > 0 && optopt < FIRST_CODE)
		err_set(&e, ERR_USAGE, "-%c %s", optopt, what);
	else
		err_set(&e, ERR_USAGE, "%s %s", argv[optind - 1], what);
	return complain(syntax, &e);
}

static const struct option_row *row_of(const struct grammar *g, int code)
{
	size_t i;

	for (i = 0; i < g->count; i++)
		if (code_of(g, i) == code)
			return g->rows[i];
	return NULL;
}

static enum options_result read_options(const struct syntax *syntax, const struct grammar *g,
					int argc, char **argv, struct options *o)
{
	struct err e = ERR_INIT;
	int code;

	opterr = 0;
	while ((code = getopt_long(argc, argv, buf_text(&g->letters), g->longs, NULL)) != -1) {
		const struct option_row *row = row_of(g, code);
		struct err why = ERR_INIT;

		if (code == '?' || code == ':')
			return complain_option(syntax, code, argv);
		if (row == NULL)
			return print_help(syntax) == EXIT_FINE ? OPTIONS_DONE : OPTIONS_TROUBLE;
		if (row->set(o, optarg, &why) != ERR_NONE) {
			err_set(&e, ERR_USAGE, "--%s%s%s: %s", row->name, optarg ? " " : "",
				optarg ? optarg : "", why.text);
			return complain(syntax, &e);
		}
	}
	return OPTIONS_RUN;
}

static bool same_file(const char *a, const char *b)
{
	struct stat x, y;

	return stat(a, &x) == 0 && stat(b, &y) == 0 && x.st_dev == y.st_dev &&
		x.st_ino == y.st_ino && S_ISREG(x.st_mode);
}

enum err_code options_guard(const struct options *o, const char *path, const char *what,
			    struct err *e)
{
	if (o->output == NULL || path == NULL || !same_file(path, o->output))
		return ERR_NONE;
	return err_set(e, ERR_USAGE, "--output %s would overwrite %s", o->output, what);
}

static void guard_logs(const struct options *o, struct err *e)
{
	size_t i;

	for (i = 0; o->output != NULL && i < o->log_count; i++) {
		struct log_ref ref;

		if (log_ref_parse(o->logs[i], &ref, NULL) != ERR_NONE)
			continue;
		options_guard(o, ref.path, "the log", e);
		free(ref.path);
	}
}

static enum options_result take_logs(const struct syntax *syntax, int argc, char **argv,
				     struct options *o)
{
	struct err e = ERR_INIT;

	o->logs = argv + optind;
	o->log_count = (size_t)(argc - optind);
	if (o->log_count < syntax->least)
		err_set(&e, ERR_USAGE, "%s", o->log_count == 0 ? "no log is named" :
			"two logs are needed, A and B");
	else if (o->log_count > syntax->most)
		err_set(&e, ERR_USAGE, "too many logs: %zu, not %zu", o->log_count, syntax->most);
	else
		guard_logs(o, &e);
	return e.code == ERR_NONE ? OPTIONS_RUN : complain(syntax, &e);
}

enum options_result options_parse(const struct syntax *syntax, int argc, char **argv,
				  struct options *o)
{
	struct grammar g;
	enum options_result result;

	options_init(o);
	grammar_init(&g, syntax);
	result = read_options(syntax, &g, argc, argv, o);
	grammar_release(&g);
	if (result == OPTIONS_RUN)
		result = take_logs(syntax, argc, argv, o);
	if (result == OPTIONS_RUN)
		find_names(o);
	else
		options_release(o);
	return result;
}
