/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See rng.h. */
#include "rng.h"

static uint64_t rotate(uint64_t x, int k)
{
	return (x << k) | (x >> (64 - k));
}

static uint64_t mix_next(uint64_t *state)
{
	uint64_t z = *state += UINT64_C(0x9e3779b97f4a7c15);

	z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
	z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
	return z ^ (z >> 31);
}

void rng_seed(struct rng *r, uint64_t seed, enum rng_stream stream)
{
	uint64_t state = seed;

	state = mix_next(&state) ^ ((uint64_t)stream * UINT64_C(0xd1342543de82ef95));
	for (int i = 0; i < 4; i++)
		r->s[i] = mix_next(&state);
}

uint64_t rng_next(struct rng *r)
{
	uint64_t *const s = r->s;
	const uint64_t result = rotate(s[1] * 5, 7) * 9;
	const uint64_t t = s[1] << 17;

	s[2] ^= s[0];
	s[3] ^= s[1];
	s[1] ^= s[2];
	s[0] ^= s[3];
	s[2] ^= t;
	s[3] = rotate(s[3], 45);
	return result;
}

double rng_unit(struct rng *r)
{
	return (double)(rng_next(r) >> 11) * 0x1p-53;
}

double rng_range(struct rng *r, double lo, double hi)
{
	return lo + (hi - lo) * rng_unit(r);
}

int rng_below(struct rng *r, int n)
{
	return (int)(rng_unit(r) * n);
}

bool rng_chance(struct rng *r, double p)
{
	return rng_unit(r) < p;
}

double rng_normal(struct rng *r)
{
	double sum = -6.0;

	for (int i = 0; i < 12; i++)
		sum += rng_unit(r);
	return sum;
}
