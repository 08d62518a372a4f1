/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Making channels: names, units, places and notes. */
#include "data/csv_channels.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/buf.h"
#include "base/mem.h"
#include "base/text.h"
#include "data/recognise.h"

/* The cell of a titles row, made safe, without blanks around; for the caller to free. */
static char *title(const struct csv_title_row *titles, size_t column)
{
	struct buf clean = BUF_INIT;
	const char *from;
	size_t n;
	char *text;

	if (column >= titles->count)
		return mem_strdup("");
	text_sanitise(&clean, titles->cells[column], strlen(titles->cells[column]));
	from = buf_text(&clean) + strspn(buf_text(&clean), " ");
	n = strlen(from);
	while (n > 0 && from[n - 1] == ' ')
		n--;
	text = mem_strndup(from, n);
	buf_release(&clean);
	return text;
}

/* "[kPa]" and "(kPa)" lose their brackets, "-" says that there is no unit. */
static char *units_title(const struct csv_table *t, size_t column)
{
	char *text = title(&t->units, column);
	const size_t n = strlen(text);

	if (n >= 2 && strchr("([{", text[0]) != NULL && strchr(")]}", text[n - 1]) != NULL) {
		memmove(text, text + 1, n - 2);
		text[n - 2] = '\0';
	}
	if (strspn(text, "-") == strlen(text))
		text[0] = '\0';
	return text;
}

/* From the units row, else from the name, else from the cells; for the caller to free. */
static char *find_unit(const struct csv_table *t, size_t column, const char *raw_name,
		       const char *suffix)
{
	char *unit = units_title(t, column);
	char *name;

	if (unit[0] == '\0') {
		free(unit);
		recognise_split(raw_name, &name, &unit);
		free(name);
	}
	if (unit[0] == '\0' && suffix != NULL) {
		free(unit);
		unit = mem_strdup(suffix);
	}
	return unit;
}

static void keep_bad_cells(const struct csv_column *c, const struct csv_finished *f,
			   size_t column, struct bad_place *places, size_t *count)
{
	size_t i;

	for (i = 0; i < f->bad_count; i++) {
		const struct csv_odd_cell *odd = &f->bad[i];
		const char *word = csv_words_text(&c->words, odd->word);
		const size_t fit = text_fit(word, CSV_PLACE_CELLS);
		size_t at = *count;

		/* Sorted by line and field; the last falls out when there are too many. */
		while (at > 0 && places[at - 1].line > odd->line)
			at--;
		if (at == DATALOG_PLACES)
			continue;
		if (*count == DATALOG_PLACES)
			free(places[--*count].text);
		memmove(places + at + 1, places + at, (*count - at) * sizeof(*places));
		places[at] = (struct bad_place){ odd->line, column + 1,
						 mem_strndup(word, fit) };
		(*count)++;
	}
}

/* Half of the places for either kind, unless the other needs less. */
static void take_places(struct csv_table *t, struct bad_place *cells, size_t cell_count)
{
	struct datalog *log = t->log;
	const size_t half = DATALOG_PLACES / 2;
	size_t rows = t->bad_row_count;
	size_t i;

	if (rows > half && rows + cell_count > DATALOG_PLACES)
		rows = cell_count < half ? DATALOG_PLACES - cell_count : half;
	if (cell_count > DATALOG_PLACES - rows)
		cell_count = DATALOG_PLACES - rows;
	for (i = 0; i < rows; i++) {
		log->places[log->place_count++] = t->bad_rows[i];
		t->bad_rows[i].text = NULL;
	}
	for (i = 0; i < cell_count; i++) {
		log->places[log->place_count++] = cells[i];
		cells[i].text = NULL;
	}
}

static void add_channel(struct csv_table *t, size_t column, const char *name,
			struct csv_finished *f)
{
	/* Times of day have become seconds, whatever the header says. */
	const bool is_clock = t->columns[column].is_clock &&
			      column_kind(f->column) == COLUMN_NUMBER;
	char *unit = is_clock ? mem_strdup("s") : find_unit(t, column, name, f->suffix);

	if (f->suffix != NULL)
		datalog_note(t->log, "Column \"%s\" has the unit \"%s\" in its cells.", name,
			     f->suffix);
	datalog_add(t->log, name, unit, f->column);
	free(unit);
}

/* One column; without a name and without values it makes no channel. */
static bool make_channel(struct csv_table *t, size_t column, size_t *channel,
			 struct bad_place *bad, size_t *bad_count)
{
	struct csv_finished f;
	char *name;

	*channel = SIZE_MAX;
	if (!csv_column_finish(&t->columns[column], &f))
		return false;
	keep_bad_cells(&t->columns[column], &f, column, bad, bad_count);
	csv_column_release(&t->columns[column]);
	t->log->bad_cells += f.bad_cells;
	name = title(&t->header, column);
	if (name[0] == '\0') {
		free(name);
		name = mem_printf("column %zu", column + 1);
		if (column_kind(f.column) == COLUMN_EMPTY) {
			column_free(f.column);
			f.column = NULL;
		}
	}
	if (f.column != NULL) {
		*channel = t->log->channel_count;
		add_channel(t, column, name, &f);
	}
	free(name);
	free(f.suffix);
	return true;
}

static void note_lines(struct datalog *log, const struct csv_tally *t, const char *one,
		       const char *many)
{
	if (t->count == 1)
		datalog_note(log, "Line %zu %s.", t->first, one);
	else if (t->count > 1)
		datalog_note(log, "%zu lines, the first of them line %zu, %s.", t->count,
			     t->first, many);
}

static void note_separator(const struct csv_table *t)
{
	static const struct {
		char separator;
		const char *name;
	} names[] = {
		{ ',', "a comma" }, { ';', "a semicolon" }, { '\t', "a tab" },
		{ '|', "a vertical bar" }, { ' ', "a blank" },
	};
	const char *mark = t->dialect.decimal == ',' ? "comma" : "point";
	size_t i;

	for (i = 0; i < sizeof(names) / sizeof(names[0]); i++)
		if (names[i].separator == t->dialect.separator)
			break;
	if (i < sizeof(names) / sizeof(names[0]))
		datalog_note(t->log, "Cells are separated by %s, the decimal mark is a %s.",
			     names[i].name, mark);
	else
		datalog_note(t->log, "Cells are separated by '%c', the decimal mark is a %s.",
			     t->dialect.separator, mark);
}

static void note_layout(const struct csv_table *t)
{
	const struct csv_dialect *d = &t->dialect;

	if (d->separator != ',' || d->decimal == ',')
		note_separator(t);
	if (d->header_line == 0)
		datalog_note(t->log, "There is no header: columns are named by their number.");
	if (d->units_line > 0)
		datalog_note(t->log, "Line %zu is read as the units of the columns.",
			     d->units_line);
}

static void note_rows(const struct csv_table *t)
{
	struct datalog *log = t->log;

	note_lines(log, &t->preamble, "before the data was skipped",
		   "before the data were skipped");
	note_lines(log, &t->comments, "is a comment", "are comments");
	note_lines(log, &t->headers_again, "has the header or the units again; it was skipped",
		   "have the header or the units again; they were skipped");
	note_lines(log, &t->empty, "holds separators only", "hold separators only");
	note_lines(log, &t->ragged, "has fewer or more cells than the others; it was kept",
		   "have fewer or more cells than the others; they were kept");
	note_lines(log, &t->open_quotes, "has a quote that is never closed, read as plain text",
		   "have a quote that is never closed, read as plain text");
	if (t->other_mark.count > 0)
		datalog_note(log, "The decimal mark was settled on line %zu, by its first "
			     "fraction.", t->other_mark.first);
}

/* Which columns have marks between thousands, and how to read them otherwise. */
static void note_groups(const struct csv_table *t)
{
	enum csv_group worst = CSV_GROUP_NONE;
	size_t count = 0;
	size_t first = 0;
	char *name;
	size_t i;

	for (i = 0; i < t->dialect.columns; i++) {
		if (t->columns[i].group == CSV_GROUP_NONE)
			continue;
		if (count++ == 0)
			first = i;
		if (t->columns[i].group > worst)
			worst = t->columns[i].group;
	}
	if (count == 0)
		return;
	name = title(&t->header, first);
	datalog_note(t->log, "%zu column%s, \"%s\" first, %s marks between thousands.%s", count,
		     count == 1 ? "" : "s", name, count == 1 ? "has" : "have",
		     worst != CSV_GROUP_UNSURE ? ""
		     : t->dialect.decimal == ',' ? " So 1.234 is read as 1234; --decimal . reads it "
						   "as a fraction."
						 : " So 1,234 is read as 1234; --decimal , reads it "
						   "as a fraction.");
	free(name);
}

bool csv_channels_make(struct csv_table *t, size_t *channel_of)
{
	struct bad_place bad[DATALOG_PLACES];
	size_t bad_count = 0;
	size_t i;
	bool ok = true;

	note_layout(t);
	note_rows(t);
	note_groups(t);
	for (i = 0; ok && i < t->dialect.columns; i++)
		ok = make_channel(t, i, &channel_of[i], bad, &bad_count);
	t->log->rows = t->rows;
	if (ok)
		take_places(t, bad, bad_count);
	for (i = 0; i < bad_count; i++)
		free(bad[i].text);
	return ok;
}
