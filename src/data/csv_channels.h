/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From the columns of a table to the channels of its log. */
#ifndef DATA_CSV_CHANNELS_H
#define DATA_CSV_CHANNELS_H

#include <stdbool.h>
#include <stddef.h>

#include "data/csv_table.h"

/*
 * Fills the rows, channels, counts, places and notes of the table's log.
 * channel_of[column] becomes the channel made of it, or SIZE_MAX for a column with
 * neither name nor values.  False when memory is out.
 */
bool csv_channels_make(struct csv_table *t, size_t *channel_of);

#endif
