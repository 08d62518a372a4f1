/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Recognising a single channel again, in a unit that the user has given. */
#ifndef DATA_RECOGNISE_ONE_H
#define DATA_RECOGNISE_ONE_H

#include "data/datalog.h"

/* As recognise_all() for one channel that has its name; unit_text counts, not raw_unit. */
void recognise_one(struct datalog *log, struct channel *ch, const char *unit_text);

#endif
