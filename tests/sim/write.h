/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The log as CSV in the asked dialect, and the truth file beside it. */
#ifndef SIM_WRITE_H
#define SIM_WRITE_H

#include "log.h"
#include "text.h"
#include "truth.h"

void write_csv(struct text *out, const struct log *log);

/* The column's name as the header has it, units in it included. */
void write_name(struct text *out, const struct column *column, const struct config *config);

void write_truth(struct text *out, const struct log *log, const struct truth *truth,
		 const struct world *w);

#endif
