/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the functions of several checks share: channels by quantity, noise, steps. */
#ifndef JUDGE_CHECK_HELP_H
#define JUDGE_CHECK_HELP_H

#include "judge/check.h"

/* The first channel of the quantity with samples in the pull, or NULL. */
const struct channel *help_channel(const struct scene *s, enum quantity_id id);

/* The highest value; -INFINITY for none. */
double help_highest(const struct series *s);

/*
 * Standard deviation of a sample about a smooth course: from the sizes of n second
 * differences, whose own is sqrt(6) times it.  They hold nothing useful afterwards; 0 for none.
 */
double help_noise(double *bends, size_t n);

/*
 * Does the logger repeat a value of the channel until the next one comes?  Then *held_s, which
 * may be the interval itself, is from one new value to the next.  `s` is the channel as logged,
 * `interval` its median.  Only of quantities that never stand for long in a pull.
 */
bool help_held(const struct channel *ch, const struct series *s, double interval, double *held_s);

/* Median time between samples, in s; INFINITY below three samples. */
double help_interval(const struct series *s);

/*
 * The step that all differences between neighbours are multiples of, as of a channel in
 * whole km/h; 0 where there is none that matters.
 */
double help_step(const struct series *s);

#endif
