/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Logs of a drive, drawn by hand as a chain of straight stretches of engine speed, for
 * the tests of the pull finder.
 */
#ifndef TEST_PULL_SKETCH_H
#define TEST_PULL_SKETCH_H

#include "calc/pull.h"
#include "data/datalog.h"

/* What is true in a row; NaN is not logged. */
struct sketch_row {
	double t;		/* s */
	double rpm;
	double pedal;		/* per cent */
	double throttle;	/* follows the pedal unless changed */
	double speed;		/* km/h */
	double gear;
	double map;		/* kPa */
	double lambda;
};

/* Which channels are logged, a set of these. */
enum sketch_channel {
	SKETCH_PEDAL = 1 << 0,
	SKETCH_THROTTLE = 1 << 1,
	SKETCH_SPEED = 1 << 2,
	SKETCH_GEAR = 1 << 3,
	SKETCH_MAP = 1 << 4,
	SKETCH_LAMBDA = 1 << 5,
	SKETCH_USUAL = SKETCH_PEDAL | SKETCH_SPEED,
};

struct sketch {
	double rate;		/* rows a second */
	double ratio;		/* engine speed over road speed of the gear in, rpm per km/h */
	int gear;
	double rpm;		/* where the last stretch ended */
	struct sketch_row *rows;
	size_t count;
	size_t cap;
	size_t second_section;	/* its first row; 0: there is none */
};

/* Rolling at 2000 rpm in fourth gear, 40 rpm per km/h; no rows yet. */
void sketch_init(struct sketch *s, double rate);
void sketch_release(struct sketch *s);

/* Engine speed goes straight to `rpm` in so many seconds with the pedal there. */
void sketch_go(struct sketch *s, double seconds, double rpm, double pedal);

/* Rolls, then pulls from 2000 rpm to `rpm` at 500 rpm/s; the rows of the pull. */
void sketch_pull(struct sketch *s, double rpm, size_t *first, size_t *last);

/* The other gear is in; the road speed stays, so engine speed jumps. */
void sketch_shift(struct sketch *s, int gear, double ratio);

/* Adds noise of this standard deviation to engine speed, always the same. */
void sketch_shake(struct sketch *s, double rpm);

/* The log; the caller frees it. */
struct datalog *sketch_log(const struct sketch *s, unsigned channels);

/* Finds the pulls of sketch_log(s, channels); options may be NULL. */
struct pulls sketch_find(const struct sketch *s, unsigned channels,
			 const struct pull_options *options);

/* Fails the test unless this is pull i, give or take so many rows at each end. */
void sketch_expect(const struct pulls *p, size_t i, size_t first, size_t last, size_t slack);

#endif
