/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What was recognised in a log, with which unit, and why; and what could not be read. */
#ifndef OUT_OUT_CHANNELS_H
#define OUT_OUT_CHANNELS_H

#include "base/buf.h"
#include "data/datalog.h"
#include "data/unit.h"
#include "out/style.h"

void out_channels(const struct datalog *log, enum unit_system system,
		  const struct out_style *style, struct buf *out);

#endif
