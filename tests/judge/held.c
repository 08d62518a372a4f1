/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Checks that run only when a test lets them. */
#include "judge/held.h"

#include <check.h>
#include <poll.h>
#include <pthread.h>
#include <unistd.h>

#define PATIENCE_MS 20000	/* a deadline, not a measure */

static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;
static bool is_held;
static bool is_deaf;
static size_t begun;

static bool is_let_go(void)
{
	bool go;

	pthread_mutex_lock(&lock);
	go = !is_held;
	pthread_mutex_unlock(&lock);
	return go;
}

static bool hears(void)
{
	bool hear;

	pthread_mutex_lock(&lock);
	hear = !is_deaf;
	pthread_mutex_unlock(&lock);
	return hear;
}

enum err_code held_check(struct check_report *out, const struct loaded *loaded,
			 const struct run *run, const struct check_setup *setup, struct err *e)
{
	pthread_mutex_lock(&lock);
	begun++;
	pthread_mutex_unlock(&lock);
	while (!is_let_go() && !(hears() && !setup->go_on(setup->data)))
		usleep(1000);
	return check_run(out, loaded, run, setup, e);
}

void held_hold(bool deaf)
{
	pthread_mutex_lock(&lock);
	is_held = true;
	is_deaf = deaf;
	begun = 0;
	pthread_mutex_unlock(&lock);
}

void held_let_go(void)
{
	pthread_mutex_lock(&lock);
	is_held = false;
	pthread_mutex_unlock(&lock);
}

void held_await(size_t runs)
{
	size_t now = 0;
	int ms;

	for (ms = 0; ms < PATIENCE_MS && now < runs; ms++) {
		pthread_mutex_lock(&lock);
		now = begun;
		pthread_mutex_unlock(&lock);
		usleep(1000);
	}
	ck_assert_uint_ge(now, runs);
}

void held_await_news(int fd)
{
	struct pollfd p = { fd, POLLIN, 0 };
	char told;

	ck_assert_int_eq(poll(&p, 1, PATIENCE_MS), 1);
	ck_assert_int_eq(read(fd, &told, 1), 1);
}
