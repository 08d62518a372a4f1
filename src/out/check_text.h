/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The findings of `check` as text for a tired person at a car: severity and where first. */
#ifndef OUT_CHECK_TEXT_H
#define OUT_CHECK_TEXT_H

#include "out/out_check.h"

void check_text(const struct check_shown *shown, const struct out_style *style,
		struct buf *out);

/* "2 findings: stop. Do not drive on before they are explained." */
void check_verdict(const struct check_report *r, struct buf *out);

#endif
