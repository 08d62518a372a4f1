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
 * "Boost_psi", "Boost psi" where psi is a unit, empty brackets dropped.  Brackets
 * that hold words of a name stay: "Speed (GPS)", "EGT (1)".  A unit that is also a
 * letter or a word ends a name only where it fits: "Oil Temp C", but "Vitamin C".
 * Both results are for the caller to free; *unit is "" where there is none.
 */
void recognise_split(const char *header, char **name, char **unit);

/*
 * Matches a channel name without its unit.  Q_NONE with a NULL alias when the words
 * are none of ours, or when only a unit could tell ("oil").
 */
struct name_match recognise_name(const char *name);

/*
 * Fills name, unit, quantity, index and why of every channel of the log (but for
 * derived ones) from its raw_name, raw_unit and values.  An empty raw_unit becomes
 * the unit text of the name.  Where there is no unit one is assumed, and `why` says
 * from which values; a unit text that is not known leaves the unit NULL.  Names
 * become unique: a repeated one gets " 2".  Columns of words are recognised only
 * where a quantity is stepped, as a gear is.
 */
void recognise_all(struct datalog *log);

/*
 * Reads a names file and applies it after recognise_all().  The file is INI; each
 * section is a channel's name as the log has it, with any of the keys
 *     quantity = boost        (a key of the table, or `none`)
 *     unit = psi
 *     index = 3
 *     name = Boost
 * The name may also be the header cell as it stands; letter case counts only where
 * two names differ in nothing else.  A quantity given here is final; a unit alone is
 * taken as if the log had it, and the channel is recognised again.  Sections for
 * channels that this log does not have are ignored: one file serves several logs.
 * Errors name the file and the line, and leave the log as it was.
 */
enum err_code recognise_overrides(struct datalog *log, const char *path, struct err *e);

#endif
