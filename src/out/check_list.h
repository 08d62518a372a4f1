/* SPDX-License-Identifier: GPL-3.0-or-later */
/* All checks there are, with the limits that they hold values against. */
#ifndef OUT_CHECK_LIST_H
#define OUT_CHECK_LIST_H

#include "base/buf.h"
#include "judge/limits.h"
#include "out/style.h"

/* For people, with the limits as they are in force. */
void check_list(const struct limits *limits, const struct out_style *style, struct buf *out);

/* As an mdoc(7) list for the manual, with the built-in limits. */
void check_list_manual(struct buf *out);

#endif
