/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reading expectation files and comparing logs with them. */
#include "corpus_expect.h"

#include <check.h>
#include <dirent.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/num.h"
#include "base/path.h"

static const char *const code_names[] = { "NONE", "USAGE", "IO", "FORMAT", "DATA", "MEMORY" };

const char *corpus_path(struct buf *out, const char *name)
{
	const char *srcdir = getenv("srcdir");

	buf_clear(out);
	buf_printf(out, "%s/tests/data/corpus/%s", srcdir != NULL ? srcdir : ".", name);
	return buf_text(out);
}

static int by_name(const void *a, const void *b)
{
	return strcmp(*(char *const *)a, *(char *const *)b);
}

char **corpus_list(size_t *count)
{
	struct buf path = BUF_INIT;
	DIR *dir = opendir(corpus_path(&path, ""));
	struct dirent *entry;
	char **names = NULL;
	size_t room = 0;

	*count = 0;
	ck_assert_msg(dir != NULL, "no corpus at %s; set srcdir", buf_text(&path));
	while ((entry = readdir(dir)) != NULL) {
		const char *dot = strrchr(entry->d_name, '.');

		if (dot == NULL || strcmp(dot, ".csv") != 0)
			continue;
		mem_grow(&names, &room, *count + 1, sizeof(*names));
		names[(*count)++] = mem_strdup(entry->d_name);
	}
	closedir(dir);
	buf_release(&path);
	if (*count > 0)
		qsort(names, *count, sizeof(*names), by_name);
	return names;
}

/* The words behind `key` and a blank at the beginning of the line, or NULL. */
static const char *after(const char *line, const char *key)
{
	const size_t n = strlen(key);

	if (strncmp(line, key, n) != 0 || (line[n] != ' ' && line[n] != '\0'))
		return NULL;
	return line[n] == ' ' ? line + n + 1 : line + n;
}

static void read_options(struct expectation *x, const char *words)
{
	const char *at;

	at = strstr(words, "separator=");
	if (at != NULL)
		x->options.separator = strncmp(at, "separator=blank", 15) == 0
			? ' ' : at[strlen("separator=")];
	at = strstr(words, "decimal=");
	if (at != NULL)
		x->options.decimal = at[strlen("decimal=")];
	at = strstr(words, "header=");
	if (at != NULL)
		x->options.header_line = atol(at + strlen("header="));
	at = strstr(words, "rate=");
	if (at != NULL)
		x->options.rate = atof(at + strlen("rate="));
	at = strstr(words, "time=");
	if (at != NULL) {
		snprintf(x->time_name, sizeof(x->time_name), "%s", at + strlen("time="));
		x->time_name[strcspn(x->time_name, " ")] = '\0';
		x->options.time_name = x->time_name;
	}
}

void expectation_load(struct expectation *x, const char *csv_name)
{
	struct buf path = BUF_INIT;
	struct buf text = BUF_INIT;
	struct err e = ERR_INIT;
	char name[CORPUS_LINE];
	size_t room = 0;
	char *line;
	char *rest;

	memset(x, 0, sizeof(*x));
	snprintf(name, sizeof(name), "%.*s.expect", (int)(strlen(csv_name) - 4), csv_name);
	ck_assert_msg(path_read_all(corpus_path(&path, name), &text, &e) == ERR_NONE, "%s",
		      e.text);
	for (line = strtok_r(text.data, "\n", &rest); line != NULL;
	     line = strtok_r(NULL, "\n", &rest)) {
		mem_grow(&x->lines, &room, x->count + 1, sizeof(*x->lines));
		x->lines[x->count++] = mem_strdup(line);
		if (after(line, "options") != NULL)
			read_options(x, after(line, "options"));
	}
	buf_release(&path);
	buf_release(&text);
}

void expectation_release(struct expectation *x)
{
	size_t i;

	for (i = 0; i < x->count; i++)
		free(x->lines[i]);
	free(x->lines);
}

/* The next field up to " |", blanks around it cut; false at the end of the line. */
static bool next_field(const char **at, char out[CORPUS_LINE])
{
	const char *from = *at;
	size_t n;

	if (from == NULL)
		return false;
	n = strcspn(from, "|");
	*at = from[n] == '|' ? from + n + 1 : NULL;
	while (n > 0 && *from == ' ') {
		from++;
		n--;
	}
	while (n > 0 && from[n - 1] == ' ')
		n--;
	snprintf(out, CORPUS_LINE, "%.*s", (int)n, from);
	return true;
}

static void compare_count(const struct expectation *x, const char *key, size_t otherwise,
			  size_t actual, struct buf *wrong)
{
	size_t expected = otherwise;
	size_t i;

	for (i = 0; i < x->count; i++)
		if (after(x->lines[i], key) != NULL)
			expected = (size_t)atol(after(x->lines[i], key));
	if (actual != expected)
		buf_printf(wrong, "  %s: %zu, expected %zu\n", key, actual, expected);
}

static void compare_time(const struct datalog *log, const char *words, struct buf *wrong)
{
	char actual[CORPUS_LINE];

	if (log->time_source == TIME_COLUMN)
		snprintf(actual, sizeof(actual), "column %zu", log->time_channel + 1);
	else
		strcpy(actual, log->time_source == TIME_RATE ? "rate" : "rows");
	if (strcmp(actual, words) != 0)
		buf_printf(wrong, "  time: %s, expected %s\n", actual, words);
}

static void compare_column(const struct channel *ch, const char *words, struct buf *wrong)
{
	static const char *const kinds[] = { "empty", "number", "state" };
	char name[CORPUS_LINE] = "";
	char unit[CORPUS_LINE] = "";
	char kind[CORPUS_LINE] = "";

	if (!next_field(&words, name) || !next_field(&words, unit) || !next_field(&words, kind))
		buf_printf(wrong, "  expectation of a column lacks fields\n");
	if (strcmp(ch->raw_name, name) != 0 || strcmp(ch->raw_unit, unit) != 0 ||
	    strcmp(kinds[column_kind(ch->column)], kind) != 0)
		buf_printf(wrong, "  column \"%s\" | \"%s\" | %s, expected \"%s\" | \"%s\" | %s\n",
			   ch->raw_name, ch->raw_unit, kinds[column_kind(ch->column)], name, unit,
			   kind);
}

static void compare_value(double actual, const char *text, const char *what, struct buf *wrong)
{
	double expected = NAN;
	char number[NUM_TEXT];

	if (strcmp(text, "-") != 0 && !num_parse(text, strlen(text), '.', &expected, NULL))
		buf_printf(wrong, "  expectation \"%s\" is no number\n", text);
	if (actual != expected && !(isnan(actual) && isnan(expected)))
		buf_printf(wrong, "  %s: %s, expected %s\n", what, num_exact(number, actual), text);
}

static void compare_row(const struct datalog *log, const char *words, struct buf *wrong)
{
	char field[CORPUS_LINE] = "";
	char what[CORPUS_LINE];
	size_t row;
	size_t i;

	next_field(&words, field);
	row = (size_t)atol(field) - 1;
	if (row >= log->rows) {
		buf_printf(wrong, "  there is no row %s\n", field);
		return;
	}
	if (next_field(&words, field)) {
		snprintf(what, sizeof(what), "time of row %zu", row + 1);
		if (fabs(log->time[row] - atof(field)) > 1e-9)
			compare_value(log->time[row], field, what, wrong);
	}
	for (i = 0; i < log->channel_count && next_field(&words, field); i++) {
		const struct column *c = log->channels[i].column;
		const double v = column_at(c, row);

		snprintf(what, sizeof(what), "row %zu column %zu", row + 1, i + 1);
		if (column_kind(c) != COLUMN_STATE)
			compare_value(v, field, what, wrong);
		else if (strcmp(isnan(v) ? "-" : column_word(c, v), field) != 0)
			buf_printf(wrong, "  %s: \"%s\", expected \"%s\"\n", what,
				   column_word(c, v), field);
	}
	if (i < log->channel_count || words != NULL)
		buf_printf(wrong, "  expectation of row %zu has a wrong count of cells\n",
			   row + 1);
}

static void compare_note(const struct datalog *log, const char *part, struct buf *wrong)
{
	size_t i;

	for (i = 0; i < log->note_count; i++)
		if (strstr(log->notes[i], part) != NULL)
			return;
	buf_printf(wrong, "  no note says \"%s\"\n", part);
}

static void compare_bad(const struct datalog *log, const char *words, struct buf *wrong)
{
	char place[CORPUS_LINE];
	size_t i;

	for (i = 0; i < log->place_count; i++) {
		snprintf(place, sizeof(place), "%zu %zu %s", log->places[i].line,
			 log->places[i].field, log->places[i].text);
		if (strcmp(place, words) == 0)
			return;
	}
	buf_printf(wrong, "  no bad place \"%s\"\n", words);
}

static void compare_lines(const struct expectation *x, const struct datalog *log,
			  struct buf *wrong)
{
	size_t columns = 0;
	size_t i;

	for (i = 0; i < x->count; i++) {
		const char *line = x->lines[i];

		if (after(line, "time") != NULL)
			compare_time(log, after(line, "time"), wrong);
		else if (after(line, "row") != NULL)
			compare_row(log, after(line, "row"), wrong);
		else if (after(line, "note") != NULL)
			compare_note(log, after(line, "note"), wrong);
		else if (after(line, "bad") != NULL)
			compare_bad(log, after(line, "bad"), wrong);
		else if (after(line, "column") != NULL && columns++ < log->channel_count)
			compare_column(&log->channels[columns - 1], after(line, "column"), wrong);
	}
	if (columns != log->channel_count)
		buf_printf(wrong, "  %zu channels, expected %zu\n", log->channel_count, columns);
}

static const char *expected_error(const struct expectation *x)
{
	size_t i;

	for (i = 0; i < x->count; i++)
		if (after(x->lines[i], "error") != NULL)
			return after(x->lines[i], "error");
	return NULL;
}

void expectation_compare(const struct expectation *x, const struct datalog *log,
			 enum err_code code, const struct err *e, struct buf *wrong)
{
	const char *error = expected_error(x);
	const size_t before = wrong->len;

	if (log == NULL) {
		const char *name = code_names[code];

		if (error == NULL || after(error, name) == NULL ||
		    strstr(e->text, after(error, name)) == NULL)
			buf_printf(wrong, "  error %s %s\n", name, e->text);
		return;
	}
	if (error != NULL)
		buf_printf(wrong, "  no error, expected %s\n", error);
	compare_count(x, "rows", 0, log->rows, wrong);
	compare_count(x, "bad_rows", 0, log->bad_rows, wrong);
	compare_count(x, "bad_cells", 0, log->bad_cells, wrong);
	compare_count(x, "ragged", 0, log->ragged_rows, wrong);
	compare_count(x, "notes", 0, log->note_count, wrong);
	compare_count(x, "sections", 1, log->section_count, wrong);
	compare_lines(x, log, wrong);
	for (size_t i = 0; wrong->len > before && i < log->note_count; i++)
		buf_printf(wrong, "  (note: %s)\n", log->notes[i]);
}
