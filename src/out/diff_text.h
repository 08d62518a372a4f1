/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The differences of two pulls as text; out_diff() is the way in. */
#ifndef OUT_DIFF_TEXT_H
#define OUT_DIFF_TEXT_H

#include "base/buf.h"
#include "out/out_diff.h"
#include "out/style.h"

void diff_text(const struct diff_report *r, const struct out_style *style, struct buf *out);

#endif
