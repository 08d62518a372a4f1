/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Columns, and finding things in a datalog. */
#include <check.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "data/column.h"
#include "data/datalog.h"

Suite *column_suite(void);

static struct column *column_of(const double *v, size_t n)
{
	struct column *c = column_new();
	size_t i;

	for (i = 0; i < n; i++)
		ck_assert(column_push(c, v[i]));
	return c;
}

START_TEST(new_column_is_empty)
{
	struct column *c = column_new();

	ck_assert_uint_eq(column_rows(c), 0);
	ck_assert_uint_eq(column_samples(c), 0);
	ck_assert_int_eq(column_kind(c), COLUMN_EMPTY);
	ck_assert(column_push(c, NAN));
	ck_assert_uint_eq(column_rows(c), 1);
	ck_assert_int_eq(column_kind(c), COLUMN_EMPTY);
	column_free(c);
	column_free(NULL);
}
END_TEST

START_TEST(numbers_come_back_bit_for_bit)
{
	struct column *c = column_new();
	double out[1000];
	size_t i;

	for (i = 0; i < 1000; i++)
		ck_assert(column_push(c, i % 7 == 3 ? NAN : 0.1 * (double)i));
	ck_assert_int_eq(column_kind(c), COLUMN_NUMBER);
	ck_assert_uint_eq(column_rows(c), 1000);
	ck_assert_uint_eq(column_samples(c), 857);	/* 143 of 0..999 are 3 modulo 7 */
	column_get(c, 0, 1000, out);
	for (i = 0; i < 1000; i++) {
		if (i % 7 == 3)
			ck_assert_double_nan(out[i]);
		else
			ck_assert(out[i] == 0.1 * (double)i && column_at(c, i) == out[i]);
	}
	column_get(c, 991, 3, out);
	ck_assert(out[0] == 0.1 * 991 && out[2] == 0.1 * 993);
	column_get(c, 1000, 0, NULL);
	column_free(c);
}
END_TEST

START_TEST(states_have_words)
{
	static const double samples[] = { 0, 1, NAN, 0 };
	struct column *c = column_of(samples, 4);
	char **words = mem_array(2, sizeof(*words));

	words[0] = mem_strdup("open");
	words[1] = mem_strdup("closed");
	column_set_words(c, words, 2);
	ck_assert_int_eq(column_kind(c), COLUMN_STATE);
	ck_assert_str_eq(column_word(c, column_at(c, 1)), "closed");
	ck_assert_str_eq(column_word(c, NAN), "");
	ck_assert_str_eq(column_word(c, 2), "");
	ck_assert_str_eq(column_word(c, -1), "");
	ck_assert_str_eq(column_word(c, 0.5), "");
	column_free(c);
}
END_TEST

START_TEST(decimals_are_kept)
{
	struct column *c = column_new();

	ck_assert_int_eq(column_decimals(c), 0);
	column_set_decimals(c, 3);
	ck_assert_int_eq(column_decimals(c), 3);
	column_free(c);
}
END_TEST

/* Names and quantities as recognise_all() would give them. */
static struct channel *add(struct datalog *log, const char *name, enum quantity_id id, int index,
			   const double *v, size_t n)
{
	struct channel *ch = datalog_add(log, name, "", column_of(v, n));

	ch->quantity = quantity_get(id);
	ch->index = index;
	return ch;
}

static struct datalog *small_log(void)
{
	static const double times[] = { 0, 0.1, 0.2, 0.4, 0.5 };
	static const double rpm[] = { 2000, 2100, 2200, 2300, 2400 };
	static const double polled[] = { NAN, 1, NAN, NAN, 2 };
	static const double nothing[] = { NAN, NAN, NAN, NAN, NAN };
	struct datalog *log = datalog_new("small.csv");

	log->rows = 5;
	log->time = mem_array(5, sizeof(*log->time));
	memcpy(log->time, times, sizeof(times));
	log->sections = mem_array(2, sizeof(*log->sections));
	log->sections[1].first = 3;
	log->section_count = 2;
	add(log, "Engine RPM", Q_RPM, 0, rpm, 5);
	add(log, "Knock 1", Q_KNOCK_RETARD, 1, polled, 5);
	add(log, "Knock 2", Q_KNOCK_RETARD, 2, polled, 5);
	add(log, "Knock", Q_KNOCK_RETARD, 0, polled, 5);
	add(log, "Boost", Q_BOOST, 0, nothing, 5);
	add(log, "boost", Q_NONE, 0, rpm, 5);
	add(log, "Oil Temp", Q_OIL_TEMP, 0, rpm, 5);
	return log;
}

START_TEST(channels_own_copies)
{
	struct datalog *log = datalog_new("x");
	char name[] = "RPM (rpm)";
	struct channel *ch = datalog_add(log, name, "rpm", column_new());

	name[0] = '?';
	ck_assert_str_eq(ch->raw_name, "RPM (rpm)");
	ck_assert_str_eq(ch->raw_unit, "rpm");
	ck_assert_ptr_nonnull(ch->quantity);
	ck_assert_int_eq(ch->quantity->id, Q_NONE);
	ck_assert(!ch->derived);
	ck_assert_str_eq(channel_unit_text(ch, false), "rpm");
	datalog_free(log);
	datalog_free(NULL);
}
END_TEST

START_TEST(many_channels_and_notes)
{
	struct datalog *log = datalog_new("x");
	char expected[32];
	size_t i;

	for (i = 0; i < 300; i++) {
		datalog_add(log, "n", "", column_new());
		datalog_note(log, "note %zu", i);
	}
	ck_assert_uint_eq(log->channel_count, 300);
	for (i = 0; i < 300; i++) {
		snprintf(expected, sizeof(expected), "note %zu", i);
		ck_assert_str_eq(log->notes[i], expected);
	}
	datalog_free(log);
}
END_TEST

START_TEST(find_prefers_index_0_and_samples)
{
	struct datalog *log = small_log();

	ck_assert_str_eq(datalog_find(log, Q_KNOCK_RETARD)->name, "Knock");
	log->channels[3].index = 3;
	ck_assert_str_eq(datalog_find(log, Q_KNOCK_RETARD)->name, "Knock 1");
	ck_assert_ptr_null(datalog_find(log, Q_BOOST));		/* no samples */
	ck_assert_ptr_null(datalog_find(log, Q_LAMBDA));
	datalog_free(log);
}
END_TEST

START_TEST(channel_by_word)
{
	static const struct {
		const char *word;
		const char *name;	/* NULL: an error */
	} cases[] = {
		{ "boost", "boost" },			/* exact before case aside */
		{ "Boost", "Boost" },
		{ "BOOST", "Boost" },			/* the first, case aside */
		{ "engine rpm", "Engine RPM" },
		{ "rpm", "Engine RPM" },		/* the quantity's key */
		{ "knock_retard", "Knock" },
		{ "knock_retard2", "Knock 2" },
		{ "knock_retard7", NULL },
		{ "temp", "Oil Temp" },			/* the only one that has the word */
		{ "temp oil", "Oil Temp" },
		{ "kno", NULL },			/* more than one */
		{ "lambda", NULL },
		{ "", NULL },
	};
	struct datalog *log = small_log();
	size_t i;

	for (i = 0; i < sizeof(cases) / sizeof(cases[0]); i++) {
		struct err e = ERR_INIT;
		const struct channel *ch = datalog_channel(log, cases[i].word, &e);

		if (cases[i].name == NULL) {
			ck_assert_msg(ch == NULL, "\"%s\" found", cases[i].word);
			ck_assert_int_eq(e.code, ERR_USAGE);
			ck_assert_ptr_nonnull(strstr(e.text, "small.csv"));
		} else {
			ck_assert_msg(ch != NULL, "\"%s\" not found", cases[i].word);
			ck_assert_str_eq(ch->name, cases[i].name);
		}
	}
	datalog_free(log);
}
END_TEST

START_TEST(channel_error_lists_near_names)
{
	struct datalog *log = small_log();
	struct err e = ERR_INIT;

	ck_assert_ptr_null(datalog_channel(log, "kno", &e));
	ck_assert_ptr_nonnull(strstr(e.text, "\"Knock 1\", \"Knock 2\", \"Knock\""));
	ck_assert_ptr_null(datalog_channel(log, "oil pressure", &e));
	ck_assert_ptr_nonnull(strstr(e.text, "near it: \"Oil Temp\""));
	ck_assert_ptr_null(datalog_channel(log, "zzz", &e));
	ck_assert_ptr_nonnull(strstr(e.text, "there are \"Engine RPM\""));
	ck_assert_ptr_null(datalog_channel(log, "zzz", NULL));
	datalog_free(log);
}
END_TEST

START_TEST(interval_is_the_median)
{
	struct datalog *log = small_log();

	/* Steps of 0.1, 0.1, 0.2, 0.1. */
	ck_assert_double_eq_tol(datalog_interval(log, &log->channels[0]), 0.1, 1e-12);
	ck_assert_double_eq_tol(datalog_interval(log, &log->channels[1]), 0.4, 1e-12);
	ck_assert_double_nan(datalog_interval(log, &log->channels[4]));
	datalog_free(log);
}
END_TEST

START_TEST(row_at_is_the_last_not_later)
{
	struct datalog *log = small_log();

	ck_assert_uint_eq(datalog_row_at(log, -0.01), 5);
	ck_assert_uint_eq(datalog_row_at(log, 0), 0);
	ck_assert_uint_eq(datalog_row_at(log, 0.39), 2);
	ck_assert_uint_eq(datalog_row_at(log, 0.4), 3);
	ck_assert_uint_eq(datalog_row_at(log, 99), 4);
	log->time[3] = 0.2;	/* equal stamps: the last of them */
	ck_assert_uint_eq(datalog_row_at(log, 0.2), 3);
	datalog_free(log);
}
END_TEST

START_TEST(section_of_a_row)
{
	struct datalog *log = small_log();

	ck_assert_uint_eq(datalog_section(log, 0), 0);
	ck_assert_uint_eq(datalog_section(log, 2), 0);
	ck_assert_uint_eq(datalog_section(log, 3), 1);
	ck_assert_uint_eq(datalog_section(log, 4), 1);
	datalog_free(log);
}
END_TEST

START_TEST(unit_text_of_a_channel)
{
	struct datalog *log = datalog_new("x");
	struct channel *ch = datalog_add(log, "Intake", "deg C", column_new());

	ck_assert_str_eq(channel_unit_text(ch, true), "deg C");
	ch->unit = unit_find("°C", NULL);
	ck_assert_ptr_nonnull(ch->unit);
	ck_assert_str_eq(channel_unit_text(ch, false), "°C");
	ck_assert_str_eq(channel_unit_text(ch, true), "degC");
	datalog_free(log);
}
END_TEST

Suite *column_suite(void)
{
	Suite *s = suite_create("column");
	TCase *tc = tcase_create("column");

	tcase_add_test(tc, new_column_is_empty);
	tcase_add_test(tc, numbers_come_back_bit_for_bit);
	tcase_add_test(tc, states_have_words);
	tcase_add_test(tc, decimals_are_kept);
	suite_add_tcase(s, tc);
	tc = tcase_create("datalog");
	tcase_add_test(tc, channels_own_copies);
	tcase_add_test(tc, many_channels_and_notes);
	tcase_add_test(tc, find_prefers_index_0_and_samples);
	tcase_add_test(tc, channel_by_word);
	tcase_add_test(tc, channel_error_lists_near_names);
	tcase_add_test(tc, interval_is_the_median);
	tcase_add_test(tc, row_at_is_the_last_not_later);
	tcase_add_test(tc, section_of_a_row);
	tcase_add_test(tc, unit_text_of_a_channel);
	suite_add_tcase(s, tc);
	return s;
}
