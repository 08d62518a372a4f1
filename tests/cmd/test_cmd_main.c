/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of the program as a whole: help, the manual, wrong use, where results go. */
#include <check.h>
#include <ctype.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/buf.h"
#include "base/mem.h"
#include "base/path.h"
#include "data/quantity.h"
#include "logs.h"

Suite *cmd_main_suite(void);

static const char *const commands[] = {
	"view", "pulls", "stats", "diff", "plot", "ready", "check", "marks", "channels",
};

#define COMMANDS (sizeof commands / sizeof commands[0])

START_TEST(test_help)
{
	struct place p = place_make();
	struct ran r;
	size_t i;

	r = RUN(&p, "--help");
	ck_assert_int_eq(r.status, 0);
	ck_assert_str_eq(r.err, "");
	for (i = 0; i < COMMANDS; i++) {
		char *line = mem_printf("\n  %-9s ", commands[i]);

		ck_assert_msg(strstr(r.out, line) != NULL, "%s is not in the help", commands[i]);
		free(line);
	}
	ran_release(&r);
	r = RUN(&p, "--version");
	ck_assert_int_eq(r.status, 0);
	ck_assert_int_eq(strncmp(r.out, "twinpull ", 9), 0);
	ran_release(&r);
	place_remove(&p);
}
END_TEST

/* Help is for 80 cells. */
START_TEST(test_help_width)
{
	struct place p = place_make();
	size_t i;

	for (i = 0; i <= COMMANDS; i++) {
		struct ran r = i < COMMANDS ? RUN(&p, commands[i], "--help") : RUN(&p, "--help");
		const char *line = r.out;

		ck_assert_int_eq(r.status, 0);
		while (*line != '\0') {
			const size_t n = strcspn(line, "\n");

			ck_assert_msg(n <= 80, "%.*s", (int)n, line);
			line += n + (line[n] == '\n');
		}
		ran_release(&r);
	}
	place_remove(&p);
}
END_TEST

static char *read_manual(void)
{
	struct buf text = BUF_INIT;

	ck_assert_int_eq(path_read_all(SRCDIR "/man/twinpull.1", &text, NULL), ERR_NONE);
	return buf_take(&text);
}

/* True when `word` stands in text with nothing of a word behind it. */
static bool has_word(const char *text, const char *word)
{
	const char *found = text;

	while ((found = strstr(found, word)) != NULL) {
		const char after = found[strlen(word)];

		if (!isalnum((unsigned char)after) && after != '-' && after != '_')
			return true;
		found++;
	}
	return false;
}

static void next_option(const char **text, char out[64])
{
	const char *p = strstr(*text, "--");
	size_t n = 0;

	out[0] = '\0';
	if (p == NULL)
		return;
	for (p += 2; (isalnum((unsigned char)*p) || *p == '-') && n < 63; p++)
		out[n++] = *p;
	out[n] = '\0';
	*text = p;
}

/* Every option of every command is in the manual. */
START_TEST(test_manual_has_options)
{
	struct place p = place_make();
	char *manual = read_manual();
	int seen = 0;
	size_t i;

	for (i = 0; i < COMMANDS; i++) {
		struct ran r = RUN(&p, commands[i], "--help");
		const char *rest = r.out;
		char name[64];

		for (next_option(&rest, name); name[0] != '\0'; next_option(&rest, name)) {
			char *macro = mem_printf("Fl -%s", name);

			ck_assert_msg(has_word(manual, macro), "%s --%s is not in the manual",
				      commands[i], name);
			free(macro);
			seen++;
		}
		ran_release(&r);
	}
	ck_assert_int_gt(seen, 60);
	free(manual);
	place_remove(&p);
}
END_TEST

/* Every option of the manual is one of some command, or of the program. */
START_TEST(test_manual_options_exist)
{
	struct place p = place_make();
	char *manual = read_manual();
	struct buf help = BUF_INIT;
	const char *item = manual;
	size_t i;

	for (i = 0; i <= COMMANDS; i++) {
		struct ran r = i < COMMANDS ? RUN(&p, commands[i], "--help") : RUN(&p, "--help");

		buf_puts(&help, r.out);
		ran_release(&r);
	}
	while ((item = strstr(item, "Fl -")) != NULL) {
		char *word;
		size_t n;

		item += strlen("Fl -");
		for (n = 0; isalnum((unsigned char)item[n]) || item[n] == '-'; n++)
			;
		word = mem_printf("--%.*s", (int)n, item);
		ck_assert_msg(has_word(buf_text(&help), word), "%s is in no help", word);
		free(word);
	}
	buf_release(&help);
	free(manual);
	place_remove(&p);
}
END_TEST

START_TEST(test_manual_has_quantities)
{
	char *manual = read_manual();
	int id;

	for (id = 0; id < Q_COUNT; id++) {
		const struct quantity *q = quantity_get((enum quantity_id)id);
		char *line = mem_printf("\n.It Li %s Ta %s\n", q->key, q->title);

		ck_assert_msg(strstr(manual, line) != NULL, "quantity %s", q->key);
		free(line);
	}
	free(manual);
}
END_TEST

START_TEST(test_wrong_use)
{
	struct place p = place_make();

	log_write_both(&p);
	EXPECT(&p, 2, "twinpull: no log is named; see `twinpull --help`", NULL);
	EXPECT(&p, 2, "'pulses' is neither a command nor a file", "pulses");
	EXPECT(&p, 2, "stats: --sapn is not an option here; see `twinpull stats --help`", "stats",
	       "--sapn", "1:2", "before.csv");
	EXPECT(&p, 2, "stats: -x is not an option here", "stats", "-x", "before.csv");
	EXPECT(&p, 2, "stats: --axis needs a value", "stats", "before.csv", "--axis");
	EXPECT(&p, 2, "stats: -o needs a value", "stats", "before.csv", "-o");
	EXPECT(&p, 2, "--axis speed: must be rpm or time", "stats", "before.csv", "--axis",
	       "speed");
	EXPECT(&p, 2, "--align top: must be crossing", "stats", "before.csv", "--align", "top");
	EXPECT(&p, 2, "--span 3000: must be FROM:TO", "stats", "before.csv", "--span", "3000");
	EXPECT(&p, 2, "--nudge x: must be seconds", "stats", "before.csv", "--nudge", "x");
	EXPECT(&p, 2, "--at -5: must be an engine speed", "stats", "before.csv", "--at", "-5");
	EXPECT(&p, 0, "", "stats", "before.csv", "--ax", "rpm", "--span=3000:", "--",
	       "after.csv");
	place_remove(&p);
}
END_TEST

/* A log that is called like a command, or like a reference. */
START_TEST(test_odd_names)
{
	struct place p = place_make();
	struct ran r;

	log_write(&p, "stats", &log_before);
	log_write(&p, "day@2", &log_before);
	EXPECT(&p, 0, "", "pulls", "./stats");
	EXPECT(&p, 0, "", "pulls", "stats");
	r = RUN(&p, "stats", "day@2", "--channel", "boost");
	ck_assert_int_eq(r.status, 0);
	ck_assert_ptr_nonnull(strstr(r.out, "A  day@2@1  gear 4"));
	ran_release(&r);
	place_remove(&p);
}
END_TEST

START_TEST(test_output_file)
{
	struct place p = place_make();
	char *before, *after, *result;
	struct ran r;

	log_write_both(&p);
	before = place_read(&p, "before.csv");
	EXPECT(&p, 0, "", "stats", "before.csv", "-o", "out.txt");
	r = RUN(&p, "stats", "before.csv");
	result = place_read(&p, "out.txt");
	ck_assert_str_eq(result, r.out);
	ran_release(&r);
	EXPECT(&p, 2, "would overwrite the log", "stats", "before.csv", "-o", "./before.csv");
	EXPECT(&p, 2, "would overwrite the log", "stats", "before.csv@1", "--output",
	       "before.csv");
	after = place_read(&p, "before.csv");
	ck_assert_str_eq(before, after);
	EXPECT(&p, 2, "is a directory", "stats", "before.csv", "-o", ".");
	EXPECT(&p, 2, "no/such/place", "stats", "before.csv", "-o", "no/such/place");
	free(before);
	free(after);
	free(result);
	place_remove(&p);
}
END_TEST

/*
 * What is no regular file is written to, never replaced.  A pipe of our own stands in
 * for a device, which a broken program could destroy when the tests run as root.
 */
START_TEST(test_output_pipe)
{
	struct place p = place_make();
	char *path = place_path(&p, "pipe");
	char start[16] = "";
	struct stat st;
	int fd;

	log_write_both(&p);
	ck_assert_int_eq(mkfifo(path, 0600), 0);
	fd = open(path, O_RDWR | O_NONBLOCK | O_CLOEXEC);
	ck_assert_int_ge(fd, 0);
	EXPECT(&p, 0, "", "stats", "before.csv", "-o", "pipe");
	ck_assert_int_eq(stat(path, &st), 0);
	ck_assert(S_ISFIFO(st.st_mode));
	ck_assert_int_eq(read(fd, start, sizeof start - 1), (ssize_t)sizeof start - 1);
	ck_assert_str_eq(start, "A  before.csv@1");
	close(fd);
	free(path);
	place_remove(&p);
}
END_TEST

/* A result that does not arrive is trouble. */
START_TEST(test_output_fails)
{
	static const enum run_out ways[] = { RUN_OUT_CLOSED, RUN_OUT_BROKEN, RUN_OUT_FULL };
	const char *const stats[] = { "stats", "before.csv", NULL };
	const char *const help[] = { "stats", "--help", NULL };
	const struct run_how how = { NULL, NULL, ways[_i] };
	struct place p = place_make();
	struct ran r;

	log_write_both(&p);
	r = run_with(&p, stats, &how);
	ck_assert_int_eq(r.status, 2);
	ck_assert_ptr_nonnull(strstr(r.err, "twinpull: standard output: cannot write: "));
	ran_release(&r);
	r = run_with(&p, help, &how);
	ck_assert_int_eq(r.status, 2);
	ran_release(&r);
	place_remove(&p);
}
END_TEST

/* Control characters of a file never reach the terminal, on either stream. */
START_TEST(test_no_escapes)
{
	static const char name[] = "a\033[2J\007.csv";
	struct place p = place_make();
	struct buf text = BUF_INIT;
	int i;
	struct ran r;

	buf_puts(&text, "time (s),x\033]0;hi (\033[1m),w\n0,1,a\n1,b\033[0m,b\n2,4,\033c\n");
	for (i = 3; i < 100; i++)
		buf_printf(&text, "%d,%d,plain words\n", i, i * i);
	place_write(&p, name, buf_text(&text));
	buf_release(&text);
	r = RUN(&p, "channels", name);
	ck_assert_int_eq(r.status, 0);
	ck_assert_ptr_null(strpbrk(r.out, "\033\007"));
	ran_release(&r);
	r = RUN(&p, "stats", name);
	ck_assert_int_eq(r.status, 0);
	ck_assert_ptr_null(strpbrk(r.out, "\033\007"));
	ck_assert_ptr_null(strpbrk(r.err, "\033\007"));
	ran_release(&r);
	r = RUN(&p, "stats", "no\033[2Jthing");
	ck_assert_int_eq(r.status, 2);
	ck_assert_ptr_null(strpbrk(r.err, "\033\007"));
	ran_release(&r);
	place_remove(&p);
}
END_TEST

Suite *cmd_main_suite(void)
{
	Suite *s = suite_create("cmd_main");
	TCase *t = tcase_create("main");

	tcase_add_test(t, test_help);
	tcase_add_test(t, test_help_width);
	tcase_add_test(t, test_manual_has_options);
	tcase_add_test(t, test_manual_options_exist);
	tcase_add_test(t, test_manual_has_quantities);
	tcase_add_test(t, test_wrong_use);
	tcase_add_test(t, test_odd_names);
	tcase_add_test(t, test_output_file);
	tcase_add_test(t, test_output_pipe);
	tcase_add_loop_test(t, test_output_fails, 0, 3);
	tcase_add_test(t, test_no_escapes);
	suite_add_tcase(s, t);
	return s;
}
