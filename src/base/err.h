/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Errors: a code for the program, a sentence for the person.
 *
 * A call that can fail returns an enum err_code and fills the caller's
 * struct err, which may be NULL.  The sentence names the file, line and
 * column where there is one, and says what to do about it.
 */
#ifndef BASE_ERR_H
#define BASE_ERR_H

enum err_code {
	ERR_NONE = 0,
	ERR_USAGE,	/* the command line, a prompt or a key script is wrong */
	ERR_IO,		/* the operating system refused: open, read, write */
	ERR_FORMAT,	/* the bytes are not what they should be */
	ERR_DATA,	/* readable, but what was asked for is not in it */
	ERR_MEMORY,	/* a data-sized allocation failed */
};

struct err {
	enum err_code code;
	char text[1024];	/* one or more sentences, no newline at the end */
};

#define ERR_INIT { ERR_NONE, "" }

#if defined(__GNUC__)
#define ERR_PRINTF(fmt, args) __attribute__((format(printf, fmt, args)))
#else
#define ERR_PRINTF(fmt, args)
#endif

/* Fills *e (may be NULL) and returns code, so that `return err_set(...)` works. */
enum err_code err_set(struct err *e, enum err_code code, const char *format, ...)
	ERR_PRINTF(3, 4);

/* "PATH: WHAT: strerror(errno)" as ERR_IO (ERR_MEMORY for ENOMEM). */
enum err_code err_errno(struct err *e, const char *path, const char *what);

#endif
