/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The notation of keys (see harness.h) to the bytes a terminal sends. */
#ifndef TERM_KEYS_H
#define TERM_KEYS_H

#include <stdbool.h>

#include "base/err.h"
#include "screen.h"

/*
 * Appends to s->out up to the end of keys or up to and with the first <Esc>,
 * after which the sender pauses.  Returns what is left, or NULL (ERR_USAGE)
 * for an unknown name; s->out is then as it was.
 */
const char *keys_encode(struct screen *s, const char *keys, struct err *e);

/* All names in keys are known; s->out stays as it is. */
bool keys_check(struct screen *s, const char *keys, struct err *e);

#endif
