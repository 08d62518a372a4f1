/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Where car.ini, limits.ini and request.ini are looked for when none is named: in the
 * log's folder, then in the configuration directory (XDG_CONFIG_HOME/twinpull).
 */
#ifndef KEEP_BESIDE_H
#define KEEP_BESIDE_H

/* The first that exists; NULL for none.  The caller frees it.  For "-" only the latter. */
char *beside_find(const char *log_path, const char *name);

/* The file that was named (`given`); none for the word "none"; for NULL the one that is found. */
char *beside_choose(const char *given, const char *log_path, const char *name);

#endif
