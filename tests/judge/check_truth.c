/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reading the simulator's truth file with all its true values.  See check_truth.h. */
#include "judge/check_truth.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"

#define LINE_ROOM 4096

/* The number behind " KEY=" in the line; 0 when it is not there. */
static double field(const char *line, const char *key)
{
	char word[32];
	const char *at;

	snprintf(word, sizeof word, " %s=", key);
	at = strstr(line, word);
	return at != NULL ? strtod(at + strlen(word), NULL) : 0.0;
}

static void read_pull(struct check_truth *t, const char *line)
{
	if (t->pull_count == TRUTH_PULLS)
		return;
	t->pulls[t->pull_count++] = (struct true_pull){
		.from_s = field(line, "from_s"),
		.to_s = field(line, "to_s"),
		.rpm_per_kmh = field(line, "rpm_per_kmh"),
		.by_limiter = strstr(line, "end=limiter") != NULL,
	};
}

/* "column NUMBER\tID\tUNIT\tDECIMALS\tEVERY\tCOPY\tNAME" */
static void read_column(struct check_truth *t, const char *line)
{
	struct true_column *c = &t->columns[t->column_count];
	int copy;

	if (t->column_count == TRUTH_COLUMNS ||
	    sscanf(line, "column %*d\t%23[^\t]\t%*[^\t]\t%*d\t%d\t%d\t%63[^\n]", c->id, &c->every,
		   &copy, c->name) != 4 ||
	    copy != 0 || strcmp(c->id, "empty") == 0)
		return;
	c->v = mem_array(t->rows, sizeof *c->v);
	t->column_count++;
}

static bool read_row(struct check_truth *t, char *line)
{
	char *at = line + 2;
	const unsigned long row = strtoul(at, &at, 10);
	size_t i;

	if (row >= t->rows)
		return false;
	for (i = 0; i < t->column_count; i++)
		t->columns[i].v[row] = strtod(at, &at);
	return true;
}

/* "s ROW T ..." */
static bool read_time(struct check_truth *t, char *line)
{
	char *at = line + 2;
	const unsigned long row = strtoul(at, &at, 10);

	if (row >= t->rows)
		return false;
	t->t[row] = strtod(at, NULL);
	return true;
}

static void read_rows(struct check_truth *t, const char *line)
{
	t->rows = strtoul(line, NULL, 10);
	t->t = mem_array(t->rows, sizeof *t->t);
}

/* False: the line does not make sense. */
static bool read_line(struct check_truth *t, char *line, bool *has_values)
{
	if (strncmp(line, "v ", 2) == 0)
		return read_row(t, line);
	if (strncmp(line, "s ", 2) == 0)
		return read_time(t, line);
	if (strncmp(line, "rows ", 5) == 0)
		read_rows(t, line + 5);
	else if (strncmp(line, "pull ", 5) == 0)
		read_pull(t, line);
	else if (strncmp(line, "column ", 7) == 0)
		read_column(t, line);
	else if (strncmp(line, "limit_rpm ", 10) == 0)
		t->limit_rpm = strtod(line + 10, NULL);
	else if (strncmp(line, "air_pressure_kpa ", 17) == 0)
		t->air_kpa = strtod(line + 17, NULL);
	else if (strncmp(line, "values ", 7) == 0)
		*has_values = true;
	return true;
}

bool check_truth_read(struct check_truth *out, const char *path)
{
	FILE *file = fopen(path, "r");
	char line[LINE_ROOM];
	bool has_values = false;
	bool ok = file != NULL;

	*out = (struct check_truth){ .rows = 0 };
	while (ok && fgets(line, sizeof line, file) != NULL)
		ok = read_line(out, line, &has_values);
	if (file != NULL)
		fclose(file);
	if (!ok || !has_values)
		check_truth_release(out);
	return ok && has_values;
}

void check_truth_release(struct check_truth *t)
{
	size_t i;

	for (i = 0; i < t->column_count; i++)
		free(t->columns[i].v);
	free(t->t);
	*t = (struct check_truth){ .rows = 0 };
}

const double *check_truth_of(const struct check_truth *t, const char *id)
{
	size_t i;

	for (i = 0; i < t->column_count; i++)
		if (strcmp(t->columns[i].id, id) == 0)
			return t->columns[i].v;
	return NULL;
}
