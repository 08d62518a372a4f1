/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Memory.  Small allocations end the program when there is no memory, with a message and
 * exit code 2, so that nobody has to check them; data-sized ones (mem_try_*) return NULL
 * instead, also when the machine has not so much memory at all, and the caller reports
 * ERR_MEMORY.
 */
#ifndef BASE_MEM_H
#define BASE_MEM_H

#include <stddef.h>

#include "base/err.h"

void *mem_alloc(size_t size);			/* zeroed */
void *mem_array(size_t count, size_t size);	/* zeroed, overflow checked */
char *mem_strdup(const char *s);		/* NULL stays NULL */
char *mem_strndup(const char *s, size_t n);
char *mem_printf(const char *format, ...) ERR_PRINTF(1, 2);

/*
 * Makes room for at least `need` elements of `size` bytes in *array, whose
 * capacity is *cap elements; grows by half.  New room is not zeroed.
 */
void mem_grow(void *array, size_t *cap, size_t need, size_t size);

/* As mem_grow, but for data: false and nothing changed when memory is out. */
int mem_try_grow(void *array, size_t *cap, size_t need, size_t size);

/* An uninitialised array, or NULL. */
void *mem_try_array(size_t count, size_t size);

/* The same, in large pages where the system has such and it is much; for free(). */
void *mem_try_large(size_t count, size_t size);

/*
 * From now on, memory that is given back stays with the program, where the C library can
 * be told so: touching fresh pages costs more than most of what is done with them.
 */
void mem_keep(void);

/* The end for want of memory. */
_Noreturn void mem_end(void);

/*
 * What is done before it, in whatever thread it comes: no more than a signal handler may.
 * NULL: nothing.
 */
void mem_before_end(void (*act)(void));

#endif
