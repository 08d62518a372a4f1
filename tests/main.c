/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * All unit and terminal tests: one table of suites.  With words as arguments
 * only the suites whose names contain one of them run:
 *
 *     ./check_all axis stats
 *
 * CHECK_PART=1/2 in the environment runs every other suite, 2/2 those between;
 * CHECK_BUT="wire axis" leaves these suites out.
 */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "suites.h"

#define SUITE(name) { #name, name##_suite },
static const struct {
	const char *name;
	Suite *(*make)(void);
} suites[] = {
#include "suites.def"
};
#undef SUITE

#define SUITES (sizeof suites / sizeof suites[0])

static int is_left_out(const char *name)
{
	const char *but = getenv("CHECK_BUT");
	const size_t n = strlen(name);

	while (but != NULL && *but != '\0') {
		const size_t word = strcspn(but, " ");

		if (word == n && strncmp(but, name, n) == 0)
			return 1;
		but += word + (but[word] == ' ');
	}
	return 0;
}

static int wanted(const char *name, int argc, char **argv)
{
	int i;

	if (is_left_out(name))
		return 0;
	for (i = 1; i < argc; i++)
		if (strstr(name, argv[i]) != NULL)
			return 1;
	return argc < 2;
}

/* Whether suite number i is of this part; true for all without CHECK_PART. */
static int of_part(size_t i)
{
	const char *text = getenv("CHECK_PART");
	unsigned part, parts;

	if (text == NULL)
		return 1;
	if (sscanf(text, "%u/%u", &part, &parts) != 2 || part < 1 || part > parts) {
		fprintf(stderr, "CHECK_PART is %s, not like 1/2\n", text);
		exit(2);
	}
	return i % parts == part - 1;
}

int main(int argc, char **argv)
{
	SRunner *runner = NULL;
	int failed;
	size_t i;

	/* A test that hangs is found; one on a busy machine is not taken for it. */
	setenv("CK_DEFAULT_TIMEOUT", "60", 0);
	for (i = 0; i < SUITES; i++) {
		if (!of_part(i) || !wanted(suites[i].name, argc, argv))
			continue;
		if (runner == NULL)
			runner = srunner_create(suites[i].make());
		else
			srunner_add_suite(runner, suites[i].make());
	}
	if (runner == NULL)
		return 2;
	srunner_run_all(runner, CK_ENV);
	failed = srunner_ntests_failed(runner);
	srunner_free(runner);
	return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
