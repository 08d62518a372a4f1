/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Included first by all that calculates: no fused multiply-add, whose rounding
 * differs from machine to machine. gcc -std=c11 makes none and does not know
 * this pragma.
 */
#ifndef SIM_EXACT_H
#define SIM_EXACT_H

#ifdef __clang__
#pragma STDC FP_CONTRACT OFF
#endif

#endif
