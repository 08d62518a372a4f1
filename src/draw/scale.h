/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Scales: which value stands at which height of a lane. */
#ifndef DRAW_SCALE_H
#define DRAW_SCALE_H

/* The lane's scale: value at the bottom edge of the lowest row and at the top edge. */
struct scale {
	double low;
	double high;
};

/*
 * A scale that holds [low, high], at least `least` high, whose ends are
 * multiples of 1, 2, 2.5 or 5 times a power of ten (its step); it is at most two
 * steps, or 40 %, higher than it must be.  Values a billionth of a step beyond
 * an end count as rounding.  Ends that are not finite numbers give 0..1.
 */
struct scale scale_nice(double low, double high, double least);

/* The row within `rows` (0 at the top) that a value falls into; -1 outside. */
int scale_row(struct scale s, int rows, double v);

/* The same, but a value beyond an end falls into the row at that end; low < high. */
int scale_row_clamped(struct scale s, int rows, double v);

#endif
