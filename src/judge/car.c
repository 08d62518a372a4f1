/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is known of the car: nothing, to begin with. */
#include "judge/car.h"

#include <math.h>
#include <stdlib.h>

/* A usual reference of compressor maps; common practice, no source. */
#define REFERENCE_C 25.0
#define REFERENCE_KPA 100.0

void car_init(struct car *c)
{
	size_t i;

	*c = (struct car){
		.mass_kg = NAN,
		.drag_area_m2 = NAN,
		.rolling = NAN,
		.tyre_radius_m = NAN,
		.driveline_efficiency = NAN,
		.rotating_fixed = NAN,
		.rotating_engine = NAN,
		.redline_rpm = NAN,
		.displacement_l = NAN,
		.injection = INJECTION_UNKNOWN,
		.final_drive = NAN,
		.turbo_speed_rpm = NAN,
		.pressure_ratio = NAN,
		.inlet_loss_kpa = 0.0,
		.reference_c = REFERENCE_C,
		.reference_kpa = REFERENCE_KPA,
	};
	for (i = 0; i <= CAR_GEARS; i++)
		c->gear[i] = NAN;
}

void car_release(struct car *c)
{
	free(c->path);
	free(c->name);
	car_init(c);
}

double car_edge_flow(const struct car_edge *edge, double ratio)
{
	size_t i = 1;
	double share;

	if (edge->n == 0 || !(ratio >= edge->ratio[0] && ratio <= edge->ratio[edge->n - 1]))
		return NAN;
	if (edge->n == 1)
		return edge->flow[0];
	while (edge->ratio[i] < ratio)
		i++;
	share = (ratio - edge->ratio[i - 1]) / (edge->ratio[i] - edge->ratio[i - 1]);
	return edge->flow[i - 1] + share * (edge->flow[i] - edge->flow[i - 1]);
}
