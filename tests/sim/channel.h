/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The channels a log can have: where the value lives, names, units, sensors. */
#ifndef SIM_CHANNEL_H
#define SIM_CHANNEL_H

#include <stdbool.h>
#include <stddef.h>

#include "world.h"

enum style {
	STYLE_PLAIN, /* Engine Speed */
	STYLE_SHORT, /* RPM: the short names of SAE J1979 where there is one */
	STYLE_SNAKE, /* engine_rpm */
	STYLE_TRADE, /* Revs */
	STYLE_COUNT
};

enum family {
	FAM_RPM,
	FAM_PERCENT,
	FAM_SPEED,
	FAM_PRESSURE,
	FAM_TEMP,
	FAM_ANGLE,
	FAM_FLOW,
	FAM_MS,
	FAM_VOLT,
	FAM_TORQUE,
	FAM_ACCEL,
	FAM_LAMBDA,
	FAM_AFR,
	FAM_KRPM,
	FAM_NONE,
	FAM_STATUS
};

/* A unit of a family: shown = base x factor + bias. */
struct unit {
	enum family family;
	const char *label, *degree_label; /* the second one has the degree sign */
	double factor, bias;
	int decimals; /* more (or fewer) than in the base unit */
};

struct channel {
	const char *id;
	enum family family;
	const char *names[STYLE_COUNT];
	size_t offset; /* of the double in struct world */
	double scale;  /* to the base unit */
	double noise;  /* 1 sd, base unit */
	double step;   /* of a coarse sensor (the J1979 scaling where there is one), base unit */
	double least, most;      /* the sensor shows nothing beyond, base unit */
	int decimals;            /* in the base unit; may be negative */
	const char *metric, *us; /* usual unit labels */
	const char *sets;        /* letters of the sets it belongs to, see channel_in_set */
};

size_t channel_count(void);
const struct channel *channel_at(size_t i);
const struct channel *channel_find(const char *id, size_t length);

/* Sets: full (every channel), all (of them, the first that there were), club (the samples), drive (the long sample), core. */
bool channel_in_set(const struct channel *c, const char *set, size_t length);

const struct unit *unit_find(enum family family, const char *label);

/* The n-th unit of a family, counted from 0; NULL beyond the last. */
const struct unit *unit_at(enum family family, int n);

const char *channel_status_word(double value);

#endif
