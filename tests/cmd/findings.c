/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Looking into the JSON of `check`. */
#include "findings.h"

#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/text.h"

json_t *check_json(const struct place *p, int status, const char *const *argv)
{
	const char *args[16] = { "check", "--format", "json" };
	json_error_t error;
	struct ran r;
	json_t *root;
	size_t i;

	for (i = 0; argv[i] != NULL; i++)
		args[i + 3] = argv[i];
	args[i + 3] = NULL;
	r = run_with(p, args, NULL);
	ck_assert_msg(r.status == status, "exit %d: %s", r.status, r.err);
	root = json_loadb(r.out, r.out_len, JSON_REJECT_DUPLICATES, &error);
	ck_assert_msg(root != NULL, "line %d: %s", error.line, error.text);
	ran_release(&r);
	return root;
}

const char *text_at(const json_t *root, const char *path)
{
	const char *text = json_string_value(node(root, path));

	ck_assert_msg(text != NULL, "%s is no text", path);
	return text;
}

const json_t *finding_of(const json_t *root, const char *id)
{
	const json_t *list = node(root, "findings");
	size_t i;

	for (i = 0; i < json_array_size(list); i++)
		if (strcmp(text_at(json_array_get(list, i), "id"), id) == 0)
			return json_array_get(list, i);
	return NULL;
}

const json_t *find(const json_t *root, const char *id)
{
	const json_t *found = finding_of(root, id);

	ck_assert_msg(found != NULL, "no finding of %s", id);
	return found;
}

const char *why_not(const json_t *root, const char *id)
{
	const json_t *list = node(root, "not_run");
	size_t i;

	for (i = 0; i < json_array_size(list); i++)
		if (strcmp(text_at(json_array_get(list, i), "id"), id) == 0)
			return text_at(json_array_get(list, i), "why");
	return NULL;
}

void assert_width(const char *text)
{
	const char *line;

	for (line = text; *line != '\0'; line += strcspn(line, "\n") + 1) {
		char *one = mem_strndup(line, strcspn(line, "\n"));

		ck_assert_msg(text_width(one) <= 80, "%s", one);
		free(one);
	}
}
