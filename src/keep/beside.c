/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where files about the car are looked for when none is named. */
#include "keep/beside.h"

#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/path.h"

/* The file in this folder when it exists; frees dir, which may be NULL. */
static char *found_in(char *dir, const char *name)
{
	char *path = dir != NULL ? path_join(dir, name) : NULL;

	free(dir);
	if (path != NULL && path_exists(path))
		return path;
	free(path);
	return NULL;
}

char *beside_find(const char *log_path, const char *name)
{
	char *path = NULL;

	if (strcmp(log_path, "-") != 0)
		path = found_in(path_dirname(log_path), name);
	return path != NULL ? path : found_in(path_xdg(PATH_CONFIG), name);
}

char *beside_choose(const char *given, const char *log_path, const char *name)
{
	if (given == NULL)
		return beside_find(log_path, name);
	return strcmp(given, "none") == 0 ? NULL : mem_strdup(given);
}
