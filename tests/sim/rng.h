/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The simulator's own random numbers, the same on every machine.
 * Generator: xoshiro256** seeded by splitmix64 (algorithms: D. Blackman and
 * S. Vigna, "Scrambled linear pseudorandom number generators", ACM TOMS 47(4),
 * 2021; constants from memory).
 */
#ifndef SIM_RNG_H
#define SIM_RNG_H

#include <stdbool.h>
#include <stdint.h>

#include "exact.h"

struct rng {
	uint64_t s[4];
};

/*
 * Every part of the simulator draws from a stream of its own, so that asking
 * for another separator does not change the physics.
 */
enum rng_stream {
	RNG_CAR = 1,
	RNG_ROAD,
	RNG_DRIVER,
	RNG_ENGINE,
	RNG_CLOCK,
	RNG_SENSOR,
	RNG_TEXT,
	RNG_CONFIG
};

void rng_seed(struct rng *r, uint64_t seed, enum rng_stream stream);
uint64_t rng_next(struct rng *r);
double rng_unit(struct rng *r); /* in [0, 1) */
double rng_range(struct rng *r, double lo, double hi);
int rng_below(struct rng *r, int n); /* 0 .. n-1; n > 0 */
bool rng_chance(struct rng *r, double p);

/* Bell-shaped, mean 0, sd 1, never beyond 6: the sum of twelve uniforms. */
double rng_normal(struct rng *r);

#endif
