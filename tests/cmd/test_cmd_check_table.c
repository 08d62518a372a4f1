/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every check of the table: it is listed, and without its channels it has not run. */
#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "base/buf.h"
#include "base/mem.h"
#include "findings.h"
#include "judge/check.h"

Suite *cmd_check_table_suite(void);

/* Every check is in the list, in the manual's section, with what it needs. */
START_TEST(test_lists)
{
	struct place p = place_make();
	struct ran list = RUN(&p, "check", "--list-checks");
	struct ran manual = RUN(&p, "check", "--manual-checks");
	int id;

	ck_assert_int_eq(list.status, 0);
	ck_assert_int_eq(manual.status, 0);
	for (id = 0; id < CHECK_COUNT; id++) {
		const struct check *c = check_get((enum check_id)id);
		char *row = mem_printf("\n%s ", c->name);
		char *item = mem_printf("\n.It Li %s\n%s: ", c->name, c->title);

		ck_assert_msg(strstr(list.out, row) != NULL, "%s", c->name);
		ck_assert_msg(strstr(list.out, c->title) != NULL, "%s", c->title);
		ck_assert_msg(strstr(manual.out, item) != NULL, "%s", c->name);
		free(row);
		free(item);
	}
	assert_width(list.out);
	ran_release(&list);
	ran_release(&manual);
	place_remove(&p);
}
END_TEST

static bool is_needed(const struct check *c, size_t need, enum quantity_id id)
{
	size_t k;

	for (k = 0; k < CHECK_ANY; k++)
		if (c->needs[need].any[k] == id)
			return true;
	return false;
}

/*
 * Is it the first choice of what the check needs, but for the need left out?  One of each
 * only: of two the program would derive a third.
 */
static bool is_logged(const struct check *c, size_t left_out, enum quantity_id id)
{
	size_t need;

	if (id == Q_NONE || is_needed(c, left_out, id))
		return false;
	for (need = 0; need < CHECK_NEEDS; need++)
		if (need != left_out && c->needs[need].any[0] == id)
			return true;
	return false;
}

/* Road speed must fit one gear, or there is no pull. */
static double value_of(enum quantity_id id, double rpm, int row)
{
	return id == Q_SPEED ? rpm / 50.0 : 50.0 + 0.01 * (row % 7);
}

/*
 * A pull with the channels of the check but for one need, and a names file that says what
 * they are.  With the pedal left out the throttle tells that the foot is down.
 */
static void write_without(const struct place *p, const struct check *c, size_t left_out)
{
	const enum quantity_id foot = is_needed(c, left_out, Q_PEDAL) ? Q_THROTTLE : Q_PEDAL;
	struct buf names = BUF_INIT, log = BUF_INIT;
	int id, row;

	buf_puts(&log, "time (s),c1 (rpm),foot (%)");
	buf_printf(&names, "[c1]\nquantity = rpm\n[foot]\nquantity = %s\n",
		   quantity_get(foot)->key);
	for (id = 0; id < Q_COUNT; id++) {
		const enum quantity_id q = (enum quantity_id)id;

		if (!is_logged(c, left_out, q) || q == Q_RPM || q == foot)
			continue;
		buf_printf(&log, ",x%d", id);
		buf_printf(&names, "[x%d]\nquantity = %s\n", id, quantity_get(q)->key);
		if (quantity_get(q)->unit != NULL && quantity_get(q)->unit[0] != '\0')
			buf_printf(&names, "unit = %s\n", quantity_get(q)->unit);
	}
	buf_putc(&log, '\n');
	for (row = 0; row < 240; row++) {
		const bool down = row >= 40 && row < 190;
		const double rpm = row < 40 ? 2000 : down ? 2000 + 30.0 * (row - 40) :
			6500 - 20.0 * (row - 190);

		buf_printf(&log, "%.2f,%.1f,%d", row * 0.05, rpm, down ? 100 : 8);
		for (id = 0; id < Q_COUNT; id++)
			if (is_logged(c, left_out, (enum quantity_id)id) && id != Q_RPM &&
			    id != (int)foot)
				buf_printf(&log, ",%.2f",
					   value_of((enum quantity_id)id, rpm, row));
		buf_putc(&log, '\n');
	}
	place_write(p, "log.csv", buf_text(&log));
	place_write(p, "names.ini", buf_text(&names));
	buf_release(&log);
	buf_release(&names);
}

/* Runs check over log.csv, whatever comes of it. */
static json_t *judge(const struct place *p)
{
	struct ran r = RUN(p, "check", "log.csv", "--names", "names.ini", "--format", "json");
	json_t *root;

	ck_assert_msg(r.status <= 1 && r.err[0] == 0, "exit %d: %s", r.status, r.err);
	root = json_loadb(r.out, r.out_len, JSON_REJECT_DUPLICATES, NULL);
	ck_assert_ptr_nonnull(root);
	ran_release(&r);
	return root;
}

/* A check without one of its channels has not run, and says which is missing. */
START_TEST(test_missing)
{
	const struct check *c = check_get((enum check_id)_i);
	struct place p = place_make();
	size_t need;
	const char *why;
	json_t *root;

	for (need = 0; need < CHECK_NEEDS && c->needs[need].any[0] != Q_NONE; need++) {
		/* without engine speed there is no pull, and no check at all runs */
		if (is_needed(c, need, Q_RPM))
			continue;
		write_without(&p, c, need);
		root = judge(&p);
		why = why_not(root, c->name);
		ck_assert_msg(why != NULL, "%s ran without need %zu", c->name, need);
		ck_assert_msg(strstr(why, quantity_get(c->needs[need].any[0])->title) != NULL,
			      "%s: %s", c->name, why);
		ck_assert_ptr_null(finding_of(root, c->name));
		json_decref(root);
	}
	/* with all of them, whatever else keeps it from running is no missing channel */
	write_without(&p, c, CHECK_NEEDS - 1);
	ck_assert_int_eq(c->needs[CHECK_NEEDS - 1].any[0], Q_NONE);
	root = judge(&p);
	why = why_not(root, c->name);
	ck_assert_msg(why == NULL || strstr(why, "the pull has no") == NULL, "%s: %s", c->name,
		      why);
	json_decref(root);
	place_remove(&p);
}
END_TEST

Suite *cmd_check_table_suite(void)
{
	Suite *s = suite_create("cmd_check_table");
	TCase *t = tcase_create("table");

	tcase_add_test(t, test_lists);
	tcase_add_loop_test(t, test_missing, 0, CHECK_COUNT);
	suite_add_tcase(s, t);
	return s;
}
