/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The marks of a log. */
#ifndef OUT_OUT_MARKS_H
#define OUT_OUT_MARKS_H

#include <stddef.h>

#include "base/buf.h"
#include "keep/marks.h"
#include "out/style.h"

#define OUT_MARKS_EVERY ((size_t)-1)

/* Those of one pull (0: of the whole log), or of every; numbers count through all. */
void out_marks(const struct marks *marks, const char *log_path, size_t pull,
	       const struct out_style *style, struct buf *out);

#endif
