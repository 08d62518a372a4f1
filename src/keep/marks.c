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
	const struct mark copy = mark_copy(mark);	/* first: it may be one of the list */

	mem_grow(&m->list, &m->cap, m->count + 1, sizeof *m->list);
	memmove(m->list + at + 1, m->list + at, (m->count - at) * sizeof *m->list);
	m->list[at] = copy;
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
	free(m->seen);
	*m = (struct marks)MARKS_INIT;
}

/*
 * In the state directory, below folders called as those above the log: so two logs
 * never share a file, whatever their names, and one log has one by any way to it.
 */
static char *state_path(const char *log_path)
{
	char *dir = path_xdg(PATH_STATE);
	char *real = realpath(log_path, NULL);
	char *path = NULL;

	if (dir != NULL && real != NULL)
		path = mem_printf("%s/marks%s.marks.csv", dir, real);
	free(real);
	free(dir);
	return path;
}

/* Where they are written: beside the log if that can be (through a link, too). */
static void choose_path(struct marks *m, const char *log_path, const char *beside)
{
	char *real = realpath(beside, NULL);
	char *dir = path_dirname(real != NULL ? real : log_path);

	if (!path_dir_writable(dir))
		m->path = state_path(log_path);
	m->elsewhere = m->path != NULL;
	if (m->path == NULL)
		m->path = mem_strdup(beside);
	free(dir);
	free(real);
}

/* What the CSV callbacks share. */
struct reading {
	struct marks *marks;
	const char *path;	/* of the file that is read */
	struct err *e;
	enum err_code code;
	size_t line;		/* records so far, from 1 */
	size_t field;
	char *text[FIELDS];
};

static void on_field(void *data, size_t n, void *user)
{
	struct reading *r = user;

	if (r->code == ERR_NONE && n > 0 && memchr(data, '\0', n) != NULL)
		r->code = err_set(r->e, ERR_FORMAT, "%s: record %zu holds a NUL byte; mend the file "
				  "or move it away", r->path, r->line + 1);
	if (r->field < FIELDS) {
		free(r->text[r->field]);
		r->text[r->field] = mem_strndup(data == NULL ? "" : data, n);
	}
	r->field++;
}

static enum err_code complain(struct reading *r, enum field f, const char *wanted)
{
	return err_set(r->e, ERR_FORMAT, "%s: record %zu, column '%s': '%s' is not %s; mend the "
		       "file or move it away", r->path, r->line, field_names[f],
		       r->text[f], wanted);
}

static bool parse_position(const char *text, double *out)
{
	return num_parse(text, strlen(text), '.', out, NULL) && isfinite(*out);
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
	if (!parse_position(r->text[FIELD_FROM], &mark->from))
		return complain(r, FIELD_FROM, "a number");
	if (!parse_position(r->text[FIELD_TO], &mark->to))
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
		if (r->field != FIELDS || strcmp(r->text[i], field_names[i]) != 0)
			return err_set(r->e, ERR_FORMAT, "%s: the first line is not the header "
				       "of a marks file (pull,axis,from,to,channel,title,note); "
				       "mend the file or move it away", r->path);
	return ERR_NONE;
}

static void on_record(int end, void *user)
{
	struct reading *r = user;
	struct mark mark = { 0 };
	size_t i;

	(void)end;
	r->line++;
	if (r->code == ERR_NONE && r->field != FIELDS && r->line > 1)
		r->code = err_set(r->e, ERR_FORMAT, "%s: record %zu has %zu columns, not %d; mend "
				  "the file or move it away", r->path, r->line, r->field, FIELDS);
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

/* Without the byte order mark that a spreadsheet may put before it. */
static const char *contents(const struct buf *text, size_t *n)
{
	static const char mark[] = "\xef\xbb\xbf";
	const size_t skip = strncmp(text->data, mark, 3) == 0 ? 3 : 0;

	*n = text->len - skip;
	return text->data + skip;
}

static enum err_code parse(struct marks *m, const char *path, const struct buf *text,
			   struct err *e)
{
	struct reading r = { .marks = m, .path = path, .e = e };
	struct csv_parser parser;
	const char *data;
	size_t n;

	/* a quote that never closes means that the end of the file is lost */
	if (csv_init(&parser, CSV_STRICT | CSV_STRICT_FINI) != 0)
		return err_set(e, ERR_MEMORY, "%s: out of memory", path);
	data = contents(text, &n);
	if (csv_parse(&parser, data, n, on_field, on_record, &r) != n ||
	    csv_fini(&parser, on_field, on_record, &r) != 0) {
		if (r.code == ERR_NONE)
			r.code = err_set(e, ERR_FORMAT, "%s: record %zu: %s; mend the file or move "
					 "it away", path, r.line + 1,
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
	const char *from;
	char *beside;

	*m = (struct marks)MARKS_INIT;
	if (strcmp(log_path, "-") == 0)
		return ERR_NONE;
	beside = mem_printf("%s.marks.csv", log_path);
	choose_path(m, log_path, beside);
	from = path_exists(m->path) ? m->path : beside;
	if (path_exists(from))
		code = path_read_all(from, &text, e);
	if (code == ERR_NONE && text.len > 0)
		code = parse(m, from, &text, e);
	if (code != ERR_NONE)
		clear_list(m);
	else if (from == m->path && path_exists(from))
		m->seen = mem_strdup(buf_text(&text));
	buf_release(&text);
	free(beside);
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

/* The first mark that could not be read back; NULL for none. */
static const struct mark *not_a_region(const struct marks *m)
{
	size_t i;

	for (i = 0; i < m->count; i++)
		if (!isfinite(m->list[i].from) || !isfinite(m->list[i].to))
			return &m->list[i];
	return NULL;
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

/* Has somebody else changed the file since it was read?  A file taken away has not. */
static enum err_code check_unchanged(const struct marks *m, struct err *e)
{
	struct buf now = BUF_INIT;
	enum err_code code = ERR_NONE;

	if (!path_exists(m->path))
		return ERR_NONE;
	code = path_read_all(m->path, &now, e);
	if (code == ERR_NONE && (m->seen == NULL || strcmp(m->seen, buf_text(&now)) != 0))
		code = err_set(e, ERR_DATA, "%s was changed by somebody else since it was read: "
			       "open the log again", m->path);
	buf_release(&now);
	return code;
}

enum err_code marks_save(struct marks *m, struct err *e)
{
	struct buf out = BUF_INIT;
	const struct mark *bad = not_a_region(m);
	enum err_code code = ERR_NONE;
	char *dir;
	size_t i;

	if (bad != NULL)
		return err_set(e, ERR_DATA, "the mark '%s' has no proper beginning and end: nothing "
			       "was saved", bad->title);
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
		code = check_unchanged(m, e);
	if (code == ERR_NONE)
		code = path_write_atomic(m->path, out.data, out.len, e);
	if (code == ERR_NONE) {
		free(m->seen);
		m->seen = buf_take(&out);
	}
	buf_release(&out);
	return code;
}
