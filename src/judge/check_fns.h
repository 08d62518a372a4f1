/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The measures that serve one check or two; the common ones are in measure.h. */
#ifndef JUDGE_CHECK_FNS_H
#define JUDGE_CHECK_FNS_H

#include "judge/check.h"

#define CHECK_FN(name) \
	enum err_code name(const struct check *c, const struct scene *s, struct measures *out, \
			   struct err *e)

/* check_mixture.c */
CHECK_FN(check_lean_trend);	/* mean of 0.3 s over the lowest of 0.6 s, less the target's rise */
CHECK_FN(check_rich);		/* refuses ethanol fuel */
CHECK_FN(check_rich_ethanol);	/* refuses anything else */
CHECK_FN(check_trims);		/* |short + long| in the seconds before and after the pull */

/* check_knock.c */
CHECK_FN(check_knock);		/* retard is positive whatever the log's sign */
CHECK_FN(check_knock_odd);	/* the most retarded less the median of the others */
CHECK_FN(check_knock_all);	/* the least retarded cylinder */
CHECK_FN(check_timing_against);	/* baseline less this one, at the same speed and load */

/* check_fuel.c */
CHECK_FN(check_rail_falls);	/* refuses where there is a target */
CHECK_FN(check_fuel_pressure);	/* share lost since the start; over manifold pressure with port injection */
CHECK_FN(check_injector_duty);	/* refuses direct injection */

/* check_boost.c */
CHECK_FN(check_boost_over);
CHECK_FN(check_boost_overshoot);
CHECK_FN(check_boost_under);
CHECK_FN(check_boost_falls);	/* refuses where there is a target */
CHECK_FN(check_wastegate_stop);	/* drive while boost is below target */

/* check_swing.c */
CHECK_FN(check_boost_swing);	/* amplitude of a sine that goes on for periods */

/* check_compressor.c */
CHECK_FN(check_turbo_speed);	/* per cent of the car file's */
CHECK_FN(check_compressor_flow);	/* per cent of the edge of the map */
CHECK_FN(check_pressure_ratio);	/* per cent of the car file's */
CHECK_FN(check_cooler);		/* effectiveness in per cent */

/* check_drive.c */
CHECK_FN(check_throttle);	/* per cent closed, of its own highest */
CHECK_FN(check_misfires);	/* counted since the pull began */
CHECK_FN(check_limiter);	/* seconds with the foot down at the top, after the pull */

/* check_hesitation.c */
CHECK_FN(check_hesitation);	/* per cent of acceleration lost against its surroundings */

/* check_slip.c */
CHECK_FN(check_slip);		/* engine speed over road speed against the pull's own gear */

/* check_flat.c */
CHECK_FN(check_flat);		/* how long at its very highest value, as a sensor at its end */

#endif
