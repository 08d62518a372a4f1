/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * libFuzzer entry for the INI files (car, limits, request) and for the text of a limit:
 *     clang -g -fsanitize=fuzzer,address,undefined ... && ./fuzz_ini -dict=tests/fuzz/ini.dict
 */
#include <math.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/mem.h"
#include "judge/check.h"
#include "keep/car_file.h"
#include "keep/limits_file.h"
#include "keep/request_file.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void must(bool holds)
{
	if (!holds)
		abort();
}

/* Errors have a place and a sentence; what was refused has changed nothing. */
static void check_refusal(const struct err *e, const void *got, const void *before, size_t n)
{
	must(e->code == ERR_FORMAT && strstr(e->text, ": line ") != NULL);
	must(memcmp(got, before, n) == 0);
}

static void try_limits(const char *path)
{
	struct limits l, before;
	struct err e = ERR_INIT;
	int id, s;
	size_t i;

	limits_init(&l);
	before = l;
	if (limits_read(&l, path, &e) != ERR_NONE)
		check_refusal(&e, &l, &before, sizeof l);
	for (id = 0; id < CHECK_COUNT; id++) {
		must(l.of[id].least_s >= 0.0);
		for (s = SEVERITY_NOTE; s < SEVERITIES; s++) {
			const struct limit_line *line = &l.of[id].level[s];

			must(line->n <= LIMIT_POINTS);
			for (i = 0; i < line->n; i++)
				must(isfinite(limit_at(line, line->rpm[i])));
		}
	}
	limits_release(&l);
}

static void try_car(const char *path)
{
	struct car c, before;
	struct err e = ERR_INIT;
	size_t i;

	car_init(&c);
	before = c;
	if (car_read(&c, path, &e) != ERR_NONE)
		check_refusal(&e, &c, &before, sizeof c);
	must(c.edge.n <= CAR_EDGE_POINTS);
	for (i = 0; i < c.edge.n; i++)
		must(car_edge_flow(&c.edge, c.edge.ratio[i]) > 0.0);
	must(isnan(c.mass_kg) || c.mass_kg > 0.0);
	car_release(&c);
}

static void try_request(const char *path)
{
	struct request r, before;
	struct err e = ERR_INIT;
	size_t i;

	request_init(&r);
	before = r;
	if (request_read(&r, path, &e) != ERR_NONE)
		check_refusal(&e, &r, &before, sizeof r);
	must(!(r.from_rpm >= r.to_rpm) && !(r.coolant_c[0] >= r.coolant_c[1]));
	must(r.channel_count > 0);
	for (i = 0; i < r.channel_count; i++)
		must(r.channels[i][0] != '\0');
	request_release(&r);
}

static void try_text(const uint8_t *data, size_t size)
{
	char *text = mem_strndup((const char *)data, size);
	const struct limit_line before = { 1, { 2.0 }, { 3.0 } };
	struct limit_line line = before;
	struct err e = ERR_INIT;
	size_t i;

	if (limit_parse(&line, text, &e) != ERR_NONE)
		must(e.text[0] != '\0' && memcmp(&line, &before, sizeof line) == 0);
	must(line.n <= LIMIT_POINTS);
	for (i = 1; i < line.n; i++)
		must(line.rpm[i] > line.rpm[i - 1]);
	free(text);
}

/* The readers take files. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	char path[] = "/tmp/twinpull-fuzz-XXXXXX";
	const int fd = mkstemp(path);

	must(fd >= 0);
	must(write(fd, data, size) == (ssize_t)size);
	close(fd);
	try_limits(path);
	try_car(path);
	try_request(path);
	unlink(path);
	try_text(data, size);
	return 0;
}
