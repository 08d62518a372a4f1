/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Marks: named, noted regions of a pull, kept beside the log. */
#include "keep/marks.h"

#include <csv.h>
#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/buf.h"
#include "base/mem.h"
#include "base/num.h"
#include "base/path.h"

enum field {
	FIELD_PULL,
	FIELD_AXIS,
	FIELD_FROM,
	FIELD_TO,
	FIELD_CHANNEL,
	FIELD_TITLE,
	FIELD_NOTE,
	FIELDS
};

static const char *const field_names[FIELDS] = {
	"pull", "axis", "from", "to", "channel", "title", "note",
};

void mark_release(struct mark *mark)
{
	free(mark->channel);
	free(mark->title);
	free(mark->note);
	*mark = (struct mark){ 0 };
}

struct mark mark_copy(const struct mark *mark)
{
	struct mark copy = *mark;

	copy.channel = mem_strdup(mark->channel == NULL ? "" : mark->channel);
	copy.title = mem_strdup(mark->title == NULL ? "" : mark->title);
	copy.note = mem_strdup(mark->note == NULL ? "" : mark->note);
	return copy;
}

void marks_insert(struct marks *m, size_t at, const struct mark *mark)
{
	mem_grow(&m->list, &m->cap, m->count + 1, sizeof *m->list);
	memmove(m->list + at + 1, m->list + at, (m->count - at) * sizeof *m->list);
	m->list[at] = mark_copy(mark);
	m->count++;
}

void marks_add(struct marks *m, const struct mark *mark)
{
	marks_insert(m, m->count, mark);
}

void marks_remove(struct marks *m, size_t at)
{
	mark_release(&m->list[at]);
	memmove(m->list + at, m->list + at + 1, (m->count - at - 1) * sizeof *m->list);
	m->count--;
}

static void clear_list(struct marks *m)
{
	while (m->count > 0)
		marks_remove(m, m->count - 1);
	free(m->list);
	m->list = NULL;
	m->cap = 0;
}

void marks_release(struct marks *m)
{
	clear_list(m);
	free(m->path);
	*m = (struct marks)MARKS_INIT;
}

/* The log's full path with '%' for '/', so that two logs never share a file. */
static char *state_path(const char *log_path)
{
	char *dir = path_xdg(PATH_STATE);
	char *cwd = log_path[0] == '/' ? mem_strdup("") : path_current();
	char *name = mem_printf("%s%s%s.marks.csv", cwd, cwd[0] != '\0' ? "/" : "", log_path);
	char *path = NULL;
	char *p;

	for (p = name; *p != '\0'; p++)
		if (*p == '/')
			*p = '%';
	if (dir != NULL)
		path = path_join(dir, name);
	free(name);
	free(cwd);
	free(dir);
	return path;
}

/* Beside the log when its folder can be written or a file is there already. */
static void choose_path(struct marks *m, const char *log_path)
{
	char *beside = mem_printf("%s.marks.csv", log_path);
	char *dir = path_dirname(log_path);
	char *state = NULL;

	if (!path_dir_writable(dir))
		state = state_path(log_path);
	if (state != NULL && (path_exists(state) || !path_exists(beside))) {
		m->path = state;
		m->elsewhere = true;
		free(beside);
	} else {
		m->path = beside;
		free(state);
	}
	free(dir);
}

/* What the CSV callbacks share. */
struct reading {
	struct marks *marks;
	struct err *e;
	enum err_code code;
	size_t line;		/* records so far, from 1 */
	size_t field;
	char *text[FIELDS];
};

static void on_field(void *data, size_t n, void *user)
{
	struct reading *r = user;

	if (r->field < FIELDS) {
		free(r->text[r->field]);
		r->text[r->field] = mem_strndup(data == NULL ? "" : data, n);
	}
	r->field++;
}

static enum err_code complain(struct reading *r, enum field f, const char *wanted)
{
	return err_set(r->e, ERR_FORMAT, "%s: record %zu, column '%s': '%s' is not %s; mend the "
		       "file or move it away", r->marks->path, r->line, field_names[f],
		       r->text[f], wanted);
}

static enum err_code parse_mark(struct reading *r, struct mark *mark)
{
	long pull = 0;

	if (strcmp(r->text[FIELD_PULL], "all") != 0 &&
	    !num_parse_int(r->text[FIELD_PULL], 1, 1000000, &pull))
		return complain(r, FIELD_PULL, "a pull's number or 'all'");
	mark->pull = (size_t)pull;
	if (strcmp(r->text[FIELD_AXIS], axis_name(AXIS_RPM)) == 0)
		mark->axis = AXIS_RPM;
	else if (strcmp(r->text[FIELD_AXIS], axis_name(AXIS_TIME)) == 0)
		mark->axis = AXIS_TIME;
	else
		return complain(r, FIELD_AXIS, "'rpm' or 'time'");
	if (!num_parse(r->text[FIELD_FROM], strlen(r->text[FIELD_FROM]), '.', &mark->from, NULL))
		return complain(r, FIELD_FROM, "a number");
	if (!num_parse(r->text[FIELD_TO], strlen(r->text[FIELD_TO]), '.', &mark->to, NULL))
		return complain(r, FIELD_TO, "a number");
	mark->channel = r->text[FIELD_CHANNEL];
	mark->title = r->text[FIELD_TITLE];
	mark->note = r->text[FIELD_NOTE];
	return ERR_NONE;
}

static enum err_code check_header(struct reading *r)
{
	size_t i;

	for (i = 0; i < FIELDS; i++)
		if (r->text[i] == NULL || strcmp(r->text[i], field_names[i]) != 0)
			return err_set(r->e, ERR_FORMAT, "%s: the first line is not the header "
				       "of a marks file (pull,axis,from,to,channel,title,note); "
				       "mend the file or move it away", r->marks->path);
	return ERR_NONE;
}

static void on_record(int end, void *user)
{
	struct reading *r = user;
	struct mark mark = { 0 };
	size_t i;

	(void)end;
	r->line++;
	if (r->code == ERR_NONE && r->field < FIELDS && r->line > 1)
		r->code = err_set(r->e, ERR_FORMAT, "%s: record %zu has %zu columns, not %d; mend "
				  "the file or move it away", r->marks->path, r->line, r->field,
				  FIELDS);
	else if (r->code == ERR_NONE && r->line == 1)
		r->code = check_header(r);
	else if (r->code == ERR_NONE)
		r->code = parse_mark(r, &mark);
	if (r->code == ERR_NONE && r->line > 1)
		marks_add(r->marks, &mark);
	for (i = 0; i < FIELDS; i++) {
		free(r->text[i]);
		r->text[i] = NULL;
	}
	r->field = 0;
}

static enum err_code parse(struct marks *m, const struct buf *text, struct err *e)
{
	struct reading r = { 0 };
	struct csv_parser parser;

	r.marks = m;
	r.e = e;
	if (csv_init(&parser, CSV_STRICT) != 0)
		return err_set(e, ERR_MEMORY, "%s: out of memory", m->path);
	if (csv_parse(&parser, text->data, text->len, on_field, on_record, &r) != text->len ||
	    csv_fini(&parser, on_field, on_record, &r) != 0) {
		if (r.code == ERR_NONE)
			r.code = err_set(e, ERR_FORMAT, "%s: record %zu: %s; mend the file or move "
					 "it away", m->path, r.line + 1,
					 csv_strerror(csv_error(&parser)));
		while (r.field > 0)
			on_record(0, &r);
	}
	csv_free(&parser);
	return r.code;
}

enum err_code marks_load(struct marks *m, const char *log_path, struct err *e)
{
	struct buf text = BUF_INIT;
	enum err_code code = ERR_NONE;

	*m = (struct marks)MARKS_INIT;
	if (strcmp(log_path, "-") == 0)
		return ERR_NONE;
	choose_path(m, log_path);
	if (path_exists(m->path))
		code = path_read_all(m->path, &text, e);
	if (code == ERR_NONE && text.len > 0)
		code = parse(m, &text, e);
	if (code != ERR_NONE)
		clear_list(m);
	buf_release(&text);
	return code;
}

static void put_field(struct buf *out, const char *s, char after)
{
	const size_t n = strlen(s);
	const size_t size = csv_write(NULL, 0, s, n);
	char *quoted = mem_alloc(size + 1);

	csv_write(quoted, size, s, n);
	buf_add(out, quoted, size);
	buf_putc(out, after);
	free(quoted);
}

static void put_mark(struct buf *out, const struct mark *mark)
{
	char number[NUM_TEXT];

	if (mark->pull == 0)
		buf_puts(out, "all,");
	else
		buf_printf(out, "%zu,", mark->pull);
	buf_printf(out, "%s,%s,", axis_name(mark->axis), num_exact(number, mark->from));
	buf_printf(out, "%s,", num_exact(number, mark->to));
	put_field(out, mark->channel, ',');
	put_field(out, mark->title, ',');
	put_field(out, mark->note, '\n');
}

enum err_code marks_save(const struct marks *m, struct err *e)
{
	struct buf out = BUF_INIT;
	enum err_code code = ERR_NONE;
	char *dir;
	size_t i;

	if (m->path == NULL)
		return err_set(e, ERR_IO, "marks of standard input cannot be kept; save the log "
			       "to a file first");
	for (i = 0; i < FIELDS; i++)
		buf_printf(&out, "%s%c", field_names[i], i + 1 < FIELDS ? ',' : '\n');
	for (i = 0; i < m->count; i++)
		put_mark(&out, &m->list[i]);
	if (m->elsewhere) {
		dir = path_dirname(m->path);
		code = path_make_dirs(dir, e);
		free(dir);
	}
	if (code == ERR_NONE)
		code = path_write_atomic(m->path, out.data, out.len, e);
	buf_release(&out);
	return code;
}
