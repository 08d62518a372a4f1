/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Guessing separator and decimal mark; csv_layout.c finds header and first row. */
#include "data/csv_sniff.h"

#include <math.h>
#include <string.h>

#include "data/csv_layout.h"
#include "data/csv_sample.h"

#define SAMPLE_BYTES ((size_t)16 << 10)
#define LONG_SAMPLE_BYTES ((size_t)4 << 20)	/* when nothing was found in those */
#define SAMPLE_LINES 30		/* at least, however long they are */

static const char separators[] = ",;\t|";
static const char mark_chars[CSV_MARKS] = { '.', ',' };

static bool is_digit_at(const char *text, size_t length, size_t i)
{
	return i < length && text[i] >= '0' && text[i] <= '9';
}

static bool is_separator(char c)
{
	return c == ',' || c == ';' || c == '\t' || c == '|';
}

/*
 * A word in which another separator stands beside a digit: this separator may be the
 * wrong one.  "go, then stop" is just a word.
 */
static bool is_tangled(const struct csv_sample *s, const struct csv_sample_cell *cell,
		       enum csv_mark mark)
{
	const char *text = csv_sample_text(s, cell);
	size_t i;

	if (cell->kind[mark] != CSV_CELL_WORD)
		return false;
	for (i = 0; i < cell->length; i++)
		if (text[i] != s->separator && is_separator(text[i]) &&
		    (is_digit_at(text, cell->length, i + 1) ||
		     (i > 0 && is_digit_at(text, cell->length, i - 1))))
			return true;
	return false;
}

/* What may be read with the other mark as well says less. */
static double weight(unsigned char kind)
{
	if (kind == CSV_CELL_GROUPED)
		return 0.25;
	return kind == CSV_CELL_SUFFIXED ? 0.5 : 1.0;
}

/* Numbers count for the row, tangled words against it; 0 without a number. */
static double row_score(const struct csv_sample *s, const struct csv_sample_row *row,
			enum csv_mark mark)
{
	const struct csv_sample_cell *cells = csv_sample_cells(s, row);
	double numbers = 0;
	double tangled = 0;
	size_t i;

	for (i = 0; i < row->count; i++) {
		if (csv_sample_is_number(&cells[i], mark))
			numbers += weight(cells[i].kind[mark]);
		else
			tangled += is_tangled(s, &cells[i], mark);
	}
	return numbers > 0 ? numbers - tangled : 0;
}

/* Rows that are not as long as most count half. */
static double dialect_score(const struct csv_sample *s, enum csv_mark mark)
{
	const size_t usual = csv_sample_usual_count(s, mark);
	double score = 0;
	size_t i;

	for (i = 0; i < s->row_count; i++) {
		const struct csv_sample_row *row = &s->rows[i];

		if (!row->comment)
			score += row_score(s, row, mark) * (row->count == usual ? 1.0 : 0.5);
	}
	return score;
}

struct choice {
	struct csv_sample sample;
	enum csv_mark mark;
	bool mark_sure;
	double score;
};

/* Scores both marks (or the forced one) and takes the better; a point when equal. */
static void choose_mark(struct choice *c, char forced)
{
	double score[CSV_MARKS];
	int mark;

	for (mark = 0; mark < CSV_MARKS; mark++)
		score[mark] = dialect_score(&c->sample, (enum csv_mark)mark);
	if (forced != '\0')
		c->mark = forced == ',' ? CSV_COMMA_MARK : CSV_POINT;
	else
		c->mark = score[CSV_COMMA_MARK] > score[CSV_POINT] ? CSV_COMMA_MARK : CSV_POINT;
	c->score = score[c->mark];
	c->mark_sure = forced != '\0' || fabs(score[CSV_POINT] - score[CSV_COMMA_MARK]) > 0;
}

/* The first bytes of a log, and what is forced. */
struct head {
	const char *text;
	size_t length;
	bool more;		/* the log goes on behind them */
	const struct csv_options *options;
	bool cut;		/* some sample needs what comes behind them */
};

/*
 * The best separator over a sample of `bytes`; best->score is 0 when no row has a
 * number.  False when memory is out.
 */
static bool choose_separator(struct head *h, size_t bytes, bool comments, struct choice *best)
{
	const struct csv_options *options = h->options;
	const size_t forced_line = options->header_line > 0 ? (size_t)options->header_line : 0;
	const char forced[] = { options->separator, '\0' };
	bool absent = false;
	const char *at;

	for (at = forced[0] != '\0' ? forced : separators; *at != '\0'; at++) {
		struct choice c = { .sample = {
			.separator = *at, .comments = comments,
			.libcsv = options->reader == CSV_READER_LIBCSV } };

		/*
		 * Those that occur nowhere all make the same rows: one of them will do.  A
		 * row of one cell scores 1 at most, so it may be plain that they lose.
		 */
		if (memchr(h->text, *at, h->length) == NULL) {
			if (absent || best->score > 2 * (double)best->sample.row_count)
				continue;
			absent = true;
		}
		if (!csv_sample_read(&c.sample, h->text, h->length, h->more, bytes,
				     forced_line + SAMPLE_LINES)) {
			csv_sample_release(&c.sample);
			return false;
		}
		h->cut = h->cut || c.sample.cut;
		choose_mark(&c, options->decimal);
		if (best->sample.separator == '\0' || c.score > best->score) {
			csv_sample_release(&best->sample);
			*best = c;
		} else {
			csv_sample_release(&c.sample);
		}
	}
	return true;
}

/* Comment marks are believed unless nothing is left; a long preamble takes a longer look. */
static bool choose_dialect(struct head *h, struct choice *best)
{
	static const size_t sizes[] = { SAMPLE_BYTES, LONG_SAMPLE_BYTES };
	size_t i;
	int comments;

	for (i = 0; i < sizeof(sizes) / sizeof(sizes[0]); i++) {
		bool complete = true;

		for (comments = 1; comments >= 0; comments--) {
			csv_sample_release(&best->sample);
			*best = (struct choice){ 0 };
			if (!choose_separator(h, sizes[i], comments == 1, best))
				return false;
			complete = complete && best->sample.complete;
			if (h->cut || best->score > 0 || !best->sample.has_comments)
				break;
		}
		if (h->cut || best->score > 0 || complete)
			break;
	}
	return true;
}

/* The longest row of the sample, for the message that there are no numbers. */
static enum err_code no_numbers(const char *path, const struct csv_sample *s, struct err *e)
{
	const struct csv_sample_row *longest = NULL;
	size_t i;

	for (i = 0; i < s->row_count; i++)
		if (longest == NULL || s->rows[i].trimmed > longest->trimmed)
			longest = &s->rows[i];
	if (longest == NULL)
		return err_set(e, ERR_DATA, "%s: there is nothing but blank lines and comments "
			       "in it; was the logger stopped properly?", path);
	if (longest->trimmed > 1)
		return err_set(e, ERR_DATA, "%s: line %zu may be a header of %zu columns, but no "
			       "row of numbers follows it; was anything recorded?", path,
			       longest->line, longest->trimmed);
	return err_set(e, ERR_FORMAT, "%s: no line looks like columns of numbers, not even line "
		       "%zu; is it a CSV export? If the cells are not separated by comma, "
		       "semicolon, tab or |, export it again", path, longest->line);
}

enum err_code csv_sniff_head(const char *path, const char *text, size_t n, bool *more,
			     const struct csv_options *options, struct csv_dialect *out,
			     struct err *e)
{
	struct head h = { text, n, *more, options, false };
	struct choice best = { 0 };
	enum err_code code = ERR_NONE;

	*out = (struct csv_dialect){ 0 };
	if (!choose_dialect(&h, &best)) {
		code = err_set(e, ERR_MEMORY, "%s: out of memory", path);
		goto out;
	}
	*more = h.cut;
	if (h.cut)
		goto out;
	if (!(best.score > 0)) {
		code = no_numbers(path, &best.sample, e);
		goto out;
	}
	out->separator = best.sample.separator;
	out->comments = best.sample.comments;
	out->decimal = mark_chars[best.mark];
	out->decimal_sure = best.mark_sure;
	code = csv_layout(path, &best.sample, best.mark, options->header_line, out, e);
out:
	csv_sample_release(&best.sample);
	return code;
}

enum err_code csv_sniff(const char *path, const char *text, size_t n,
			const struct csv_options *options, struct csv_dialect *out,
			struct err *e)
{
	bool more = false;

	return csv_sniff_head(path, text, n, &more, options, out, e);
}
