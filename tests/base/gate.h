/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A gate that work in the background stands at until a test lets it go on. */
#ifndef TESTS_BASE_GATE_H
#define TESTS_BASE_GATE_H

#include <stdbool.h>
#include <stddef.h>

/*
 * For the work: waits until the gate is open, or until go_on() says no, which is not asked
 * where the gate is deaf.
 */
void gate_pass(bool (*go_on)(void *data), void *data);

/* From here on work waits at the gate, and does not even hear that it shall stop if `deaf`. */
void gate_hold(bool deaf);
void gate_open(void);

/* Waits until work has come so many times since gate_hold(), at which the test fails after long. */
void gate_await(size_t times);

/* Waits for news in the descriptor, likewise, and reads one byte of them. */
void gate_await_news(int fd);

#endif
