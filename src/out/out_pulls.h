/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The pulls found in logs, as text, CSV or JSON. */
#ifndef OUT_OUT_PULLS_H
#define OUT_OUT_PULLS_H

#include <stddef.h>

#include "base/buf.h"
#include "calc/load.h"
#include "out/style.h"

void out_pulls(const struct loaded *const *logs, size_t count, const struct out_style *style,
	       struct buf *out);

#endif
