/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Large invented logs. */
#include "bench/large_log.h"

#include <stdint.h>
#include <stdio.h>

#define CHANNELS (sizeof(channels) / sizeof(channels[0]))
#define LINE 1024

/* Whole numbers over 10^decimals. */
struct wandering {
	const char *name;
	int decimals;
	long low;
	long high;
	long step;
};

static const struct wandering channels[] = {
	{ "rpm", 0, 600, 7200, 40 }, { "map", 1, 200, 2500, 20 }, { "throttle", 1, 0, 1000, 20 },
	{ "lambda", 3, 650, 1350, 10 }, { "afr", 2, 950, 2000, 10 }, { "intake", 1, -200, 800, 1 },
	{ "coolant", 1, -200, 1150, 1 }, { "ignition", 1, -100, 450, 5 },
	{ "injection", 3, 800, 22000, 100 }, { "duty", 1, 0, 980, 10 },
	{ "battery", 2, 1120, 1480, 2 }, { "fuel", 1, 2500, 4500, 10 },
	{ "oil", 1, 800, 6000, 30 }, { "oil_temp", 1, 200, 1300, 1 }, { "speed", 1, 0, 2600, 3 },
	{ "gear", 0, 0, 6, 1 }, { "knock", 3, 0, 5000, 50 }, { "target", 1, 1000, 2500, 5 },
	{ "wastegate", 1, 0, 1000, 10 }, { "cam_in", 1, -50, 500, 4 }, { "cam_out", 1, -50, 500, 4 },
	{ "exhaust_1", 0, 300, 950, 3 }, { "exhaust_2", 0, 300, 950, 3 },
	{ "trim_short", 2, -2500, 2500, 30 }, { "trim_long", 2, -2500, 2500, 1 },
	{ "accel_x", 3, -1500, 1500, 50 }, { "accel_y", 3, -1500, 1500, 50 },
	{ "brake", 1, 0, 1200, 20 }, { "fan", 0, 0, 1, 1 }, { "latitude", 3, -90000, 90000, 1 },
};

/* xorshift64* (S. Vigna, 2016). */
static uint32_t draw(uint64_t *state)
{
	*state ^= *state >> 12;
	*state ^= *state << 25;
	*state ^= *state >> 27;
	return (uint32_t)(*state * UINT64_C(2685821657736338717) >> 32);
}

static char *put_number(char *to, long v, int decimals)
{
	char digits[24];
	int n = 0;
	int i;

	if (v < 0) {
		*to++ = '-';
		v = -v;
	}
	for (i = 0; i < decimals || v > 0 || i == decimals; i++) {
		if (i == decimals && decimals > 0)
			digits[n++] = '.';
		digits[n++] = (char)('0' + v % 10);
		v /= 10;
	}
	while (n > 0)
		*to++ = digits[--n];
	return to;
}

static char *put_cell(char *to, long v, int decimals, bool quoted)
{
	if (quoted)
		*to++ = '"';
	to = put_number(to, v, decimals);
	if (quoted)
		*to++ = '"';
	return to;
}

/* Moves by at most a step, and back from either end. */
static long wander(const struct wandering *c, long v, uint64_t *state)
{
	v += (long)(draw(state) % (uint32_t)(2 * c->step + 1)) - c->step;
	if (v < c->low)
		return 2 * c->low - v;
	return v > c->high ? 2 * c->high - v : v;
}

static char *put_header(char *to)
{
	size_t i;

	to += sprintf(to, "time");
	for (i = 0; i < CHANNELS; i++)
		to += sprintf(to, ",%s", channels[i].name);
	*to++ = '\n';
	return to;
}

bool large_log_write(const char *path, size_t bytes, bool quoted)
{
	FILE *f = fopen(path, "w");
	uint64_t state = 20310512;
	long values[CHANNELS];
	char line[LINE];
	char *to = put_header(line);
	size_t written = 0;
	long row;
	size_t i;

	if (f == NULL)
		return false;
	for (i = 0; i < CHANNELS; i++)
		values[i] = (channels[i].low + channels[i].high) / 2;
	for (row = 0; written < bytes; row++) {
		written += fwrite(line, 1, (size_t)(to - line), f);
		to = put_cell(line, row * 10, 3, quoted);
		for (i = 0; i < CHANNELS; i++) {
			values[i] = wander(&channels[i], values[i], &state);
			*to++ = ',';
			to = put_cell(to, values[i], channels[i].decimals, quoted);
		}
		*to++ = '\n';
		if (ferror(f))
			break;
	}
	return fclose(f) == 0 && written >= bytes;
}
