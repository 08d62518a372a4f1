/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Work shared among threads. */
#include "base/crew.h"

#include <pthread.h>
#include <stdbool.h>
#include <stdlib.h>
#include <unistd.h>

#include "base/mem.h"

struct hand {
	pthread_t thread;
	bool started;
	void (*work)(void *job);
	void *job;
};

size_t crew_size(void)
{
#if defined(_SC_NPROCESSORS_ONLN)
	const long n = sysconf(_SC_NPROCESSORS_ONLN);
#else
	const long n = 1;
#endif

	return n < 1 ? 1 : n > CREW_MOST ? CREW_MOST : (size_t)n;
}

static void *lend(void *arg)
{
	struct hand *h = arg;

	h->work(h->job);
	return NULL;
}

void crew_run(void (*work)(void *job), void *jobs, size_t size, size_t n)
{
	struct hand *hands = mem_array(n, sizeof *hands);
	size_t i;

	for (i = 0; i < n; i++) {
		hands[i].work = work;
		hands[i].job = (char *)jobs + i * size;
		/* the first is done here */
		if (i > 0)
			hands[i].started = pthread_create(&hands[i].thread, NULL, lend,
							  &hands[i]) == 0;
	}
	for (i = 0; i < n; i++)
		if (!hands[i].started)
			work(hands[i].job);
	for (i = 0; i < n; i++)
		if (hands[i].started)
			pthread_join(hands[i].thread, NULL);
	free(hands);
}
