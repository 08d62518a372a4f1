/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * For check_flat.c: what tells a sensor at its end from a live value that happens to be
 * constant, and what speaks for the live value.
 */
#ifndef JUDGE_CHECK_STILL_H
#define JUDGE_CHECK_STILL_H

#include "judge/check.h"
#include "judge/check_corner.h"

/* A stretch of a pressure or a flow that seems to stand still. */
struct still {
	const struct scene *scene;
	const struct series *v;
	struct stretch at;
	double level;
	double noise;		/* of a sample */
	double step;		/* of the channel's values */
};

/*
 * One and the same value in fine steps for a second and eight samples.  Control holds a
 * pressure to some tenths of a per cent, and steps are finer here; a corner before it, however
 * blunt, then is no control's.
 */
bool still_is_dead(const struct still *s);

/* It is dead over so much engine speed that no control comes to rest so well. */
bool still_outlasts_control(const struct still *s);

/*
 * Engine speed rises so far during it that a live air flow had to change by more than the
 * channel would hide: the flattest top of a flow is a parabola that loses 0.3 times the square
 * of the share by which engine speed is off it.  (Common practice, no source.)
 */
bool still_outlasts_flow(const struct still *s);

/* Gauge boost of a sensor of its own goes on above the level of a manifold pressure. */
enum err_code still_find_witness(const struct still *s, bool *yes, struct err *e);

/* A manifold pressure is where it is wanted, for most of the stretch. */
enum err_code still_find_control(const struct still *s, bool *yes, struct err *e);

#endif
