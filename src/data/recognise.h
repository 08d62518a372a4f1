/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Finding out what each column of a log measures, and in which unit.
 *
 * The name decides first (one const table of aliases), the unit narrows, and
 * the values settle what is ambiguous: a "boost" of about 100 kPa at idle is an
 * absolute pressure, a "lambda" between 9 and 20 is an air-fuel ratio.  Every
 * decision carries its reason in words.  A names file of the user's overrides.
 */
#ifndef DATA_RECOGNISE_H
#define DATA_RECOGNISE_H

#include "base/err.h"
#include "data/datalog.h"
#include "data/quantity.h"

/* What the name alone says. */
struct name_match {
	enum quantity_id id;
	int index;		/* cylinder, bank or sensor number; 0 for none */
	const char *alias;	/* the words that matched; points to the table */
};

/*
 * Splits a header cell into its name and its unit: "Boost (psi)", "Boost [psi]",
 * "Boost_psi", "Boost psi" where psi is a unit, empty brackets dropped.  Both
 * results are for the caller to free; *unit is "" where there is none.
 */
void recognise_split(const char *header, char **name, char **unit);

/*
 * Matches a channel name without its unit.  Q_NONE with a NULL alias when the words
 * are none of ours, or when only a unit could tell ("oil").
 */
struct name_match recognise_name(const char *name);

/*
 * Fills name, unit, quantity, index and why of every channel of the log from its
 * raw_name, raw_unit and values.  Names become unique: a repeated one gets " 2".
 */
void recognise_all(struct datalog *log);

/*
 * Reads a names file and applies it after recognise_all().  The file is INI; each
 * section is a channel's name as the log has it, with any of the keys
 *     quantity = boost        (a key of the table, or `none`)
 *     unit = psi
 *     index = 3
 *     name = Boost
 * Sections for channels that this log does not have are ignored: one file
 * serves several logs.  Errors name the file and the line.
 */
enum err_code recognise_overrides(struct datalog *log, const char *path, struct err *e);

#endif
