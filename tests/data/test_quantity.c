/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The table of quantities: complete, in order, and in agreement with units and names. */
#include <check.h>
#include <string.h>

#include "data/quantity.h"
#include "data/recognise.h"

Suite *quantity_suite(void);

START_TEST(rows_are_in_order)
{
	int i;

	for (i = 0; i < Q_COUNT; i++)
		ck_assert_int_eq((int)quantity_get((enum quantity_id)i)->id, i);
}
END_TEST

START_TEST(unknown_id_is_none)
{
	ck_assert_int_eq((int)quantity_get(Q_COUNT)->id, Q_NONE);
	ck_assert_int_eq((int)quantity_get((enum quantity_id)-1)->id, Q_NONE);
}
END_TEST

/* Keys are typed on the command line and stand in JSON. */
START_TEST(keys_are_words_and_unique)
{
	int i;
	int j;

	for (i = 0; i < Q_COUNT; i++) {
		const char *key = quantity_get((enum quantity_id)i)->key;

		ck_assert_uint_eq(strspn(key, "abcdefghijklmnopqrstuvwxyz_"), strlen(key));
		ck_assert_ptr_eq(quantity_by_key(key), quantity_get((enum quantity_id)i));
		for (j = 0; j < i; j++)
			ck_assert_str_ne(key, quantity_get((enum quantity_id)j)->key);
	}
	ck_assert_ptr_eq(quantity_by_key("LAMBDA_Target"), quantity_get(Q_LAMBDA_TARGET));
	ck_assert_ptr_null(quantity_by_key("bost"));
	ck_assert_ptr_null(quantity_by_key(""));
}
END_TEST

START_TEST(units_fit)
{
	int i;

	for (i = 0; i < Q_COUNT; i++) {
		const struct quantity *q = quantity_get((enum quantity_id)i);
		const struct unit *u = unit_find(q->unit, NULL);

		ck_assert_msg((q->unit == NULL) == (q->dim == DIM_NONE), "%s", q->key);
		ck_assert_msg(q->unit == NULL || (u != NULL && u->dim == q->dim), "%s", q->key);
		ck_assert_msg(u == NULL || quantity_fits(q, u), "%s", q->key);
		ck_assert_msg(q->title[0] != '\0', "%s", q->key);
	}
}
END_TEST

START_TEST(first_lanes_have_an_order_and_a_height)
{
	int i;
	int j;

	for (i = 0; i < Q_COUNT; i++) {
		const struct quantity *q = quantity_get((enum quantity_id)i);

		ck_assert_msg(q->lane >= 0, "%s", q->key);
		ck_assert_msg(i == Q_NONE || q->least_height > 0, "%s", q->key);
		for (j = 0; j < i && q->lane > 0; j++)
			ck_assert_msg(quantity_get((enum quantity_id)j)->lane != q->lane, "%s",
				      q->key);
	}
	/* What tells whether the engine was safe comes before what explains it. */
	ck_assert_int_lt(quantity_get(Q_BOOST)->lane, quantity_get(Q_LAMBDA)->lane);
	ck_assert_int_lt(quantity_get(Q_LAMBDA)->lane, quantity_get(Q_IGNITION)->lane);
	ck_assert_int_lt(quantity_get(Q_IGNITION)->lane, quantity_get(Q_KNOCK_RETARD)->lane);
	ck_assert_int_lt(quantity_get(Q_KNOCK_RETARD)->lane, quantity_get(Q_RAIL_PRESSURE)->lane);
	ck_assert_int_lt(quantity_get(Q_RAIL_PRESSURE)->lane, quantity_get(Q_INTAKE_TEMP)->lane);
	ck_assert_int_eq(quantity_get(Q_TIME)->lane, 0);
	ck_assert_int_eq(quantity_get(Q_NONE)->lane, 0);
}
END_TEST

/*
 * The J1979 short name of a quantity is one of its names.  FRP is both sides of the
 * fuel system (PIDs 0A, 22, 23); which one only the values tell.
 */
START_TEST(terms_are_recognised)
{
	int i;

	for (i = 0; i < Q_COUNT; i++) {
		const struct quantity *q = quantity_get((enum quantity_id)i);
		enum quantity_id want = q->id == Q_FUEL_PRESSURE ? Q_RAIL_PRESSURE : q->id;

		if (q->term != NULL)
			ck_assert_msg(recognise_name(q->term).id == want, "%s", q->term);
	}
}
END_TEST

START_TEST(ratios_are_told_apart)
{
	const struct unit *percent = unit_find("%", NULL);
	const struct unit *one = unit_find("1", NULL);
	const struct unit *lambda = unit_find("lambda", NULL);
	const struct unit *parts = unit_find(":1", NULL);

	ck_assert(quantity_fits(quantity_get(Q_LAMBDA), lambda));
	ck_assert(quantity_fits(quantity_get(Q_LAMBDA), parts));
	ck_assert(quantity_fits(quantity_get(Q_LAMBDA), one));
	ck_assert(!quantity_fits(quantity_get(Q_LAMBDA), percent));
	ck_assert(quantity_fits(quantity_get(Q_THROTTLE), percent));
	ck_assert(quantity_fits(quantity_get(Q_THROTTLE), one));
	ck_assert(!quantity_fits(quantity_get(Q_THROTTLE), parts));
	ck_assert(!quantity_fits(quantity_get(Q_THROTTLE), unit_find("V", NULL)));
	ck_assert(quantity_fits(quantity_get(Q_THROTTLE), unit_find("deg", NULL)));
	ck_assert(!quantity_fits(quantity_get(Q_BOOST), unit_find("degC", NULL)));
	ck_assert(quantity_fits(quantity_get(Q_TORQUE), percent));
}
END_TEST

Suite *quantity_suite(void)
{
	Suite *s = suite_create("quantity");
	TCase *t = tcase_create("quantity");

	tcase_add_test(t, rows_are_in_order);
	tcase_add_test(t, unknown_id_is_none);
	tcase_add_test(t, keys_are_words_and_unique);
	tcase_add_test(t, units_fit);
	tcase_add_test(t, first_lanes_have_an_order_and_a_height);
	tcase_add_test(t, terms_are_recognised);
	tcase_add_test(t, ratios_are_told_apart);
	suite_add_tcase(s, t);
	return s;
}
