/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is usually asked of a log.  All of it is common practice, no source. */
#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "data/quantity.h"
#include "judge/ready.h"

/* Boost stands for manifold pressure too. */
static const enum quantity_id usual[] = {
	Q_RPM, Q_BOOST, Q_LAMBDA, Q_IGNITION, Q_KNOCK_RETARD, Q_INTAKE_TEMP, Q_COOLANT_TEMP,
};

#define USUAL (sizeof usual / sizeof usual[0])

void request_init(struct request *r)
{
	size_t i;

	*r = (struct request){
		.gear = 0,
		.from_rpm = 2000.0,
		.to_rpm = NAN,
		.rate_hz = 10.0,
		.channels = mem_array(USUAL, sizeof *r->channels),
		.channel_count = USUAL,
		.coolant_c = { 75.0, 105.0 },
		.oil_c = { 70.0, 125.0 },
		.intake_c = { NAN, 50.0 },
		.battery_v = { 13.0, NAN },
		.ethanol_percent = NAN,
		.ethanol_within = 5.0,
	};
	for (i = 0; i < USUAL; i++)
		r->channels[i] = mem_strdup(quantity_get(usual[i])->key);
}

void request_release(struct request *r)
{
	size_t i;

	for (i = 0; i < r->channel_count; i++)
		free(r->channels[i]);
	free(r->channels);
	free(r->path);
	free(r->source);
	*r = (struct request){ .path = NULL };
}
