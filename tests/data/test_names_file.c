/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The names file: what it changes, and what it says of mistakes. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/mem.h"
#include "data/recognise.h"

Suite *names_file_suite(void);

static char path[] = "twinpull-names-XXXXXX";

static void make_file(void)
{
	const int fd = mkstemp(path);

	ck_assert_int_ge(fd, 0);
	close(fd);
}

static void remove_file(void)
{
	unlink(path);
	memcpy(path + strlen(path) - 6, "XXXXXX", 6);
}

static void write_file(const char *text)
{
	FILE *f = fopen(path, "wb");

	ck_assert_ptr_nonnull(f);
	fputs(text, f);
	ck_assert_int_eq(fclose(f), 0);
}

static void add_channel(struct datalog *log, const char *header, double from, double to)
{
	struct column *c = column_new();
	int i;

	for (i = 0; i < 20; i++)
		column_push(c, from + (to - from) * i / 19);
	datalog_add(log, header, "", c);
}

/* An invented log: 0 Pedal, 1 Boost, 2 P3, 3 Sensor [raw], 4 Lambda, 5 EGT, 6 Coolant */
static struct datalog *make_log(void)
{
	struct datalog *log = datalog_new("invented.csv");

	add_channel(log, "Pedal (%)", 0, 100);
	add_channel(log, "Boost", -9, 21);
	add_channel(log, "P3", 100, 320);
	add_channel(log, "Sensor [V]", 0, 5);
	add_channel(log, "Lambda", 1, 0.8);
	add_channel(log, "EGT", 400, 900);
	add_channel(log, "A channel with a name that is longer than forty-nine bytes", 80, 90);
	recognise_all(log);
	return log;
}

static enum err_code apply(struct datalog *log, const char *text, struct err *e)
{
	write_file(text);
	return recognise_overrides(log, path, e);
}

static void apply_well(struct datalog *log, const char *text)
{
	struct err e = ERR_INIT;

	ck_assert_msg(apply(log, text, &e) == ERR_NONE, "%s", e.text);
}

START_TEST(changes_what_it_says)
{
	struct datalog *log = make_log();
	const struct channel *ch = log->channels;

	apply_well(log,
		   "# names of this car\n"
		   "[P3]\n"
		   "quantity = exhaust_pressure\n"
		   "unit = kPa abs\n"
		   "index = 2\n"
		   "name = Exhaust pressure\n"
		   "\n"
		   "[Lambda]\n"
		   "quantity = NONE\n"
		   "[EGT]\n"
		   "index=4\n"
		   "[A channel with a name that is longer than forty-nine bytes]\n"
		   "quantity = coolant_temp ; near the thermostat\n");
	ck_assert_int_eq(ch[2].quantity->id, Q_EXHAUST_PRESSURE);
	ck_assert_ptr_eq(ch[2].unit, unit_find("kPa", NULL));
	ck_assert_int_eq(ch[2].index, 2);
	ck_assert_str_eq(ch[2].name, "Exhaust pressure");
	ck_assert_str_eq(ch[2].raw_name, "P3");
	ck_assert_ptr_nonnull(strstr(ch[2].why, "quantity exhaust_pressure by twinpull-names-"));
	ck_assert_ptr_nonnull(strstr(ch[2].why, ":2"));
	ck_assert_int_eq(ch[4].quantity->id, Q_NONE);
	ck_assert_int_eq(ch[5].quantity->id, Q_EGT);
	ck_assert_int_eq(ch[5].index, 4);
	ck_assert_int_eq(ch[6].quantity->id, Q_COOLANT_TEMP);
	ck_assert_ptr_eq(ch[6].unit, unit_find("degC", NULL));	/* by the values */
	ck_assert_int_eq(ch[0].quantity->id, Q_PEDAL);
	datalog_free(log);
}
END_TEST

/* The boost was taken for psi; in kPa as the user says it stays gauge. */
START_TEST(a_unit_alone_is_recognised_anew)
{
	struct datalog *log = make_log();
	const struct channel *ch = &log->channels[1];

	ck_assert_ptr_eq(ch->unit, unit_find("psi", NULL));
	apply_well(log, "[Boost]\nunit = kPa\n");
	ck_assert_int_eq(ch->quantity->id, Q_BOOST);
	ck_assert_ptr_eq(ch->unit, unit_find("kPa", NULL));
	ck_assert_ptr_nonnull(strstr(ch->why, "falls to -9.00 kPa, so gauge"));
	ck_assert_ptr_nonnull(strstr(ch->why, "unit kPa by twinpull-names-"));
	apply_well(log, "[Boost]\nunit = bar abs\n");
	ck_assert_int_eq(ch->quantity->id, Q_MAP);
	datalog_free(log);
}
END_TEST

static const char *const spellings[] = {
	"[p3]\nquantity = baro\nunit = kPa\n",
	"[ P3 ]\n  quantity = baro\n\tunit=kPa\n",
	"\xef\xbb\xbf[P3]\nquantity: baro\nunit: kPa\n",
	"[P3]\r\nquantity = baro\r\nunit = kPa\r\n",
	"; note\n[P3]\nQuantity = Baro\nUNIT = KPA",
	"[P3]\nunit = kPa\nquantity = boost\nquantity = baro\n",
	"[P3]\nquantity = boost\n[Elsewhere]\nunit = psi\n[P3]\nquantity = baro\nunit = kPa\n",
};

START_TEST(forgives_spelling)
{
	struct datalog *log = make_log();

	apply_well(log, spellings[_i]);
	ck_assert_int_eq(log->channels[2].quantity->id, Q_BARO);
	ck_assert_ptr_eq(log->channels[2].unit, unit_find("kPa", NULL));
	datalog_free(log);
}
END_TEST

/* The header cell as it stands is a name too, brackets and all. */
START_TEST(raw_names_count)
{
	struct datalog *log = make_log();

	apply_well(log, "[Sensor [V]]\nname = Wideband volts\n");
	ck_assert_str_eq(log->channels[3].name, "Wideband volts");
	apply_well(log, "[Sensor [V]]\nname = EGT\n");
	ck_assert_str_eq(log->channels[3].name, "EGT 2");
	datalog_free(log);
}
END_TEST

START_TEST(other_logs_are_ignored)
{
	struct datalog *log = make_log();

	apply_well(log, "");
	apply_well(log, "# nothing\n\n");
	apply_well(log, "[Not here]\nquantity = boost\nunit = psi\nindex = 1\nname = x\n");
	ck_assert_int_eq(log->channels[1].quantity->id, Q_BOOST);
	datalog_free(log);
}
END_TEST

/* Each mistake, the line that the message must name, and words that must be in it. */
static const struct {
	const char *text;
	int line;
	const char *words;
} mistakes[] = {
	{ "[P3]\nquantity = bost\n", 2, "no quantity 'bost'; use one of: none, time, rpm" },
	{ "[Not here]\nquantity = bost\n", 2, "no quantity 'bost'" },
	{ "[P3]\nunit = furlong\n", 2, "unit 'furlong' is not known; use one of: count, %" },
	{ "[P3]\nquantity = boost\nunit = furlong\n", 3, "use one of: Pa, hPa, kPa" },
	{ "[P3]\nunit =\n", 2, "is not known" },
	{ "[P3]\n\nindex = two\n", 3, "not a whole number from 0 to 99" },
	{ "[P3]\nindex = -1\n", 2, "whole number" }, { "[P3]\nindex = 100\n", 2, "whole number" },
	{ "[P3]\nname =\n", 2, "The name is empty" },
	{ "[P3]\ncolour = red\n", 2, "no key 'colour'; use quantity, unit, index or name" },
	{ "quantity = boost\n", 1, "belongs to no channel" },
	{ "[P3]\nquantity boost\n", 2, "Neither a [CHANNEL NAME] nor KEY = VALUE" },
	{ "\n[P3\nquantity = boost\n", 2, "Neither a [CHANNEL NAME]" },
	{ "[P3]\nboost\nindex = two\n", 2, "Neither a [CHANNEL NAME]" },
	{ "[P3]\nindex = two\nboost\n", 2, "whole number" },
	{ "\n[Lambda]\nunit = psi\n", 2, "[Lambda] is lambda and cannot be in psi" },
	{ "[Lambda]\nunit = psi\n", 1, "one of: 1, :1, lambda" },
	{ "[Sensor]\nquantity = boost\n", 1, "cannot be in V; give it a unit = one of: Pa" },
	{ "[P3]\nquantity = boost\nunit = degC\n", 1, "cannot be in degC" },
};

START_TEST(mistakes_are_told_with_their_line)
{
	struct datalog *log = make_log();
	struct err e = ERR_INIT;
	char *place = mem_printf("%s:%d: ", path, mistakes[_i].line);

	ck_assert_int_eq(apply(log, mistakes[_i].text, &e), ERR_FORMAT);
	ck_assert_int_eq(e.code, ERR_FORMAT);
	ck_assert_msg(strncmp(e.text, place, strlen(place)) == 0, "%s", e.text);
	ck_assert_msg(strstr(e.text, mistakes[_i].words) != NULL, "%s", e.text);
	/* Nothing was changed, and nobody has to want the message. */
	ck_assert_int_eq(log->channels[2].quantity->id, Q_NONE);
	ck_assert_int_eq(recognise_overrides(log, path, NULL), ERR_FORMAT);
	free(place);
	datalog_free(log);
}
END_TEST

START_TEST(long_lines_are_refused)
{
	struct datalog *log = make_log();
	struct err e = ERR_INIT;
	char text[400] = "[P3]\nname = ";

	memset(text + strlen(text), 'x', 300);
	ck_assert_int_eq(apply(log, text, &e), ERR_FORMAT);
	ck_assert_ptr_nonnull(strstr(e.text, ":2: The line is longer than"));
	datalog_free(log);
}
END_TEST

START_TEST(words_cannot_be_a_pressure)
{
	struct datalog *log = make_log();
	struct err e = ERR_INIT;
	char **words = mem_array(1, sizeof(*words));

	words[0] = mem_strdup("on");
	column_set_words(log->channels[2].column, words, 1);
	ck_assert_int_eq(apply(log, "[P3]\nquantity = boost\n", &e), ERR_FORMAT);
	ck_assert_ptr_nonnull(strstr(e.text, ":1: [P3] holds words"));
	datalog_free(log);
}
END_TEST

START_TEST(a_missing_file_is_said)
{
	struct datalog *log = make_log();
	struct err e = ERR_INIT;

	ck_assert_int_eq(recognise_overrides(log, "/nonexistent/names.ini", &e), ERR_IO);
	ck_assert_ptr_nonnull(strstr(e.text, "/nonexistent/names.ini"));
	datalog_free(log);
}
END_TEST

Suite *names_file_suite(void)
{
	Suite *s = suite_create("names_file");
	TCase *t = tcase_create("names_file");

	tcase_add_checked_fixture(t, make_file, remove_file);
	tcase_add_test(t, changes_what_it_says);
	tcase_add_test(t, a_unit_alone_is_recognised_anew);
	tcase_add_loop_test(t, forgives_spelling, 0, sizeof(spellings) / sizeof(spellings[0]));
	tcase_add_test(t, raw_names_count);
	tcase_add_test(t, other_logs_are_ignored);
	tcase_add_loop_test(t, mistakes_are_told_with_their_line, 0,
			    sizeof(mistakes) / sizeof(mistakes[0]));
	tcase_add_test(t, long_lines_are_refused);
	tcase_add_test(t, words_cannot_be_a_pressure);
	tcase_add_test(t, a_missing_file_is_said);
	suite_add_tcase(s, t);
	return s;
}
