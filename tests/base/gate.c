/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Work that goes on only when a test lets it. */
#include "base/gate.h"

#include <check.h>
#include <poll.h>
#include <pthread.h>
#include <unistd.h>

#define PATIENCE_MS 20000	/* a deadline, not a measure */

static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;
static bool is_held;
static bool is_deaf;
static size_t come;

static bool read_flag(const bool *flag)
{
	bool now;

	pthread_mutex_lock(&lock);
	now = *flag;
	pthread_mutex_unlock(&lock);
	return now;
}

void gate_pass(bool (*go_on)(void *data), void *data)
{
	pthread_mutex_lock(&lock);
	come++;
	pthread_mutex_unlock(&lock);
	while (read_flag(&is_held) && (read_flag(&is_deaf) || go_on(data)))
		poll(NULL, 0, 1);
}

void gate_hold(bool deaf)
{
	pthread_mutex_lock(&lock);
	is_held = true;
	is_deaf = deaf;
	come = 0;
	pthread_mutex_unlock(&lock);
}

void gate_open(void)
{
	pthread_mutex_lock(&lock);
	is_held = false;
	pthread_mutex_unlock(&lock);
}

void gate_await(size_t times)
{
	size_t now = 0;
	int ms;

	for (ms = 0; ms < PATIENCE_MS && now < times; ms++) {
		pthread_mutex_lock(&lock);
		now = come;
		pthread_mutex_unlock(&lock);
		poll(NULL, 0, 1);
	}
	ck_assert_uint_ge(now, times);
}

void gate_await_news(int fd)
{
	struct pollfd p = { fd, POLLIN, 0 };
	char told;

	ck_assert_int_eq(poll(&p, 1, PATIENCE_MS), 1);
	ck_assert_int_eq(read(fd, &told, 1), 1);
}
