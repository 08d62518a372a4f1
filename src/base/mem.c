/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Memory: checked allocation. */
#if defined(__linux__)
#define _DEFAULT_SOURCE		/* madvise(): POSIX knows no large pages */
#endif
#include "base/mem.h"

#include <stdarg.h>
#include <stdatomic.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>
#if defined(__GLIBC__)
#include <malloc.h>
#endif

#define SMALL ((size_t)64 << 20)	/* always asked for: malloc() decides */
#define KEPT (1 << 30)		/* bytes: more than any one array of most logs */
#define LARGE_PAGE ((size_t)2 << 20)	/* of the usual machines */

#define END_STATUS 2		/* as for every other trouble */

static void (*_Atomic before_end)(void);

void mem_before_end(void (*act)(void))
{
	atomic_store(&before_end, act);
}

/* No atexit(), no flushing: other threads may hold any lock. */
void mem_end(void)
{
	static const char why[] = "twinpull: out of memory; close other programs, cut the log, or "
				  "raise a limit (ulimit -v)\n";
	void (*const act)(void) = atomic_load(&before_end);

	if (act != NULL)
		act();
	(void)!write(STDERR_FILENO, why, sizeof why - 1);
	_exit(END_STATUS);
}

static void *mem_must(void *p)
{
	if (p == NULL)
		mem_end();
	return p;
}

void *mem_alloc(size_t size)
{
	return mem_must(calloc(1, size > 0 ? size : 1));
}

void *mem_array(size_t count, size_t size)
{
	return mem_must(calloc(count > 0 ? count : 1, size > 0 ? size : 1));
}

char *mem_strdup(const char *s)
{
	return s == NULL ? NULL : mem_strndup(s, strlen(s));
}

char *mem_strndup(const char *s, size_t n)
{
	char *copy = mem_alloc(n + 1);

	memcpy(copy, s, n);
	return copy;
}

char *mem_printf(const char *format, ...)
{
	va_list args;
	va_list again;
	char *out;
	int n;

	va_start(args, format);
	va_copy(again, args);
	n = vsnprintf(NULL, 0, format, args);
	va_end(args);
	out = mem_alloc(n < 0 ? 1 : (size_t)n + 1);
	if (n >= 0)
		vsnprintf(out, (size_t)n + 1, format, again);
	va_end(again);
	return out;
}

/*
 * Whether the machine has so much memory at all.  Where the kernel promises more than
 * there is, a file that unpacks without end would otherwise take the machine down.
 */
static int mem_exists(size_t bytes)
{
	long pages;
	long size;

	if (bytes < SMALL)
		return 1;
	pages = sysconf(_SC_PHYS_PAGES);
	size = sysconf(_SC_PAGESIZE);
	return pages <= 0 || size <= 0 || bytes / (size_t)size < (size_t)pages;
}

int mem_try_grow(void *array, size_t *cap, size_t need, size_t size)
{
	size_t next = *cap;
	void *old;
	void *grown;

	if (need <= *cap)
		return 1;
	if (next < 16)
		next = 16;
	while (next < need) {
		if (next > SIZE_MAX / 2)
			return 0;
		next += next / 2;
	}
	if (next > SIZE_MAX / size || !mem_exists(next * size))
		return 0;
	/* a `T *` must not be read through a `void **`: its bytes may be */
	memcpy(&old, array, sizeof old);
	grown = realloc(old, next * size);
	if (grown == NULL)
		return 0;
	memcpy(array, &grown, sizeof grown);
	*cap = next;
	return 1;
}

void mem_grow(void *array, size_t *cap, size_t need, size_t size)
{
	if (!mem_try_grow(array, cap, need, size))
		mem_end();
}

void *mem_try_array(size_t count, size_t size)
{
	if (size > 0 && count > SIZE_MAX / size)
		return NULL;
	return mem_exists(count * size) ? malloc(count * size > 0 ? count * size : 1) : NULL;
}

void *mem_try_large(size_t count, size_t size)
{
#if defined(MADV_HUGEPAGE)
	const size_t bytes = size > 0 && count > SIZE_MAX / 2 / size ? 0 : count * size;
	void *large;

	if (bytes >= 2 * LARGE_PAGE && mem_exists(bytes)) {
		if (posix_memalign(&large, LARGE_PAGE, bytes) != 0)
			return NULL;
		madvise(large, bytes, MADV_HUGEPAGE);
		return large;
	}
#endif
	return mem_try_array(count, size);
}

void mem_keep(void)
{
#if defined(__GLIBC__)
	mallopt(M_MMAP_THRESHOLD, KEPT);
	mallopt(M_TRIM_THRESHOLD, KEPT);
#endif
}
