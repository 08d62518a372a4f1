/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * For the functions of checks: what a pull's channels hold, ready to be judged, and
 * the few ways in which most checks look at them.
 */
#ifndef JUDGE_MEASURE_H
#define JUDGE_MEASURE_H

#include "judge/check.h"

struct log_facts log_facts_find(const struct datalog *log);

/*
 * Fills the scene of one pull.  The spool ends where boost (its mean over 0.4 s) comes within
 * 5 kPa or 5 % of its target and stays so for half a second; without a target where that mean
 * first reaches 95 % of its highest; where it never comes near its target, at 60 % of the
 * pull's engine speeds.  Fails only for memory.
 */
enum err_code scene_init(struct scene *s, const struct run *run, const struct run *baseline,
			 const struct car *car, struct log_facts facts, struct err *e);
void scene_release(struct scene *s);

#define SCENE_NO_BOOST_S 1.0	/* without boost: under load so long after the foot went down */
#define SCENE_AIR_KPA 100.0	/* outside, where it is not logged: only to tell boost from none */

/* Log time behind the spool; without boost SCENE_NO_BOOST_S after the foot went down. */
double scene_spool_end(const struct scene *s);

/* Is the channel of one of the need's quantities? */
bool scene_wants(const struct check *c, size_t need, const struct channel *ch);

/* The first channel with samples in the pull of the need's quantities, or NULL. */
const struct channel *scene_need(const struct check *c, size_t need, const struct scene *s);

/* The same, but rather that of the cylinder or bank of `ch`. */
const struct channel *scene_partner(const struct check *c, size_t need, const struct scene *s,
				    const struct channel *ch);

/* Has the channel at least two samples in the pull? */
bool scene_has(const struct scene *s, const struct channel *ch);

/*
 * The channel's samples from .. to (log time), never beyond the pull's section, in the unit
 * (for unit_find; "" or NULL: as they are); empty where the channel is in a unit of another
 * dimension.  scene_load: those of the pull.
 */
enum err_code scene_load_span(const struct scene *s, const struct channel *ch, const char *unit,
			      double from_s, double to_s, struct series *out, struct err *e);
enum err_code scene_load(const struct scene *s, const struct channel *ch, const char *unit,
			 struct series *out, struct err *e);

/*
 * Engine speed at log time: in the pull as the engine-speed axis has it, around it as
 * logged; NaN where neither knows.
 */
double scene_rpm(const struct scene *s, double t);

/* Adds a measure and takes the series over; reference may be NULL. */
void measures_add(struct measures *m, const struct channel *ch, struct series *value,
		  enum check_relation relation, struct series *reference);
void measures_refuse(struct measures *m, const char *format, ...) ERR_PRINTF(2, 3);
void measures_release(struct measures *m);

/* Ways that serve many checks. */

/* Every channel of the first need's quantities, each by itself. */
enum err_code measure_value(const struct check *c, const struct scene *s, struct measures *out,
			    struct err *e);

/* First need minus second, at the samples of the first. */
enum err_code measure_over(const struct check *c, const struct scene *s, struct measures *out,
			   struct err *e);

/* Second need minus first: how far the first is below. */
enum err_code measure_under(const struct check *c, const struct scene *s, struct measures *out,
			    struct err *e);

/* The same in per cent of the second. */
enum err_code measure_share_under(const struct check *c, const struct scene *s,
				  struct measures *out, struct err *e);

/* First need minus its own mean over the first 0.5 s of the pull. */
enum err_code measure_rise(const struct check *c, const struct scene *s, struct measures *out,
			   struct err *e);

/*
 * The series becomes how far its mean of 0.3 s (three samples at least) is below the highest
 * mean of 0.6 s (five samples) so far, in its unit or (share) in per cent of that.
 */
enum err_code measure_fall(struct series *v, bool share, struct err *e);

/* How far the first need has fallen, in per cent. */
enum err_code measure_share_fallen(const struct check *c, const struct scene *s,
				   struct measures *out, struct err *e);

/* Leaves out the samples that are NaN; the series may become empty. */
void measure_drop_missing(struct series *v);

/* Mean of the values within half a width to either side of each sample, in place. */
enum err_code measure_smooth(struct series *v, double width_s, struct err *e);

#endif
