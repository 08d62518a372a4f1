/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Slow things: charge cooler, coolant, oil, exhaust, supply voltage. */
#include "engine.h"

/* Temperature after the compressor, C; efficiency 0.72, a round figure. */
static double compressed(const struct engine *e, const struct air *air)
{
	const double ratio = (e->spool > 0 ? e->spool : 0) / air->pressure_kpa + 1.0;
	const double kelvin = e->inlet_c + 273.15;

	/* ratio^(2/7) - 1 by its chord-corrected parabola on 1..4: within 1 %. */
	const double x = ratio - 1.0;
	return e->inlet_c + kelvin / 0.72 * x * (0.2857 - 0.0805 * x + 0.0141 * x * x);
}

static void step_charge(struct engine *e, const struct air *air, const struct faults *faults,
			const struct engine_input *in, double dt)
{
	const double wind = mx_ramp(in->speed, 0, 25);
	const double sound = 0.80 - 0.12 * mx_ramp(e->maf, 80, 320) + 0.05 * wind;
	const double cooling = sound * (1 - mx_clamp(faults->level[FAULT_COOLER_POOR], 0, 1));

	e->soak = mx_lag(e->soak, 16 - 11 * wind, dt, 18);
	e->inlet_c = mx_lag(e->inlet_c, air->temp_c + 1.5 + 0.25 * e->soak, dt, 8);
	const double settle =
		air->temp_c + e->soak + (1 - cooling) * (compressed(e, air) - air->temp_c);
	e->cooler = mx_lag(e->cooler, settle, dt, 13);
	/* The sensors beside it are quick; what the cooler's own mass takes up is not lost on them. */
	e->compressor_out = mx_lag(e->compressor_out, compressed(e, air), dt, 0.4);
	e->cooler_out = mx_lag(e->cooler_out, e->cooler, dt, 0.4);
	e->iat = mx_lag(e->iat, e->cooler + faults->level[FAULT_IAT_HIGH], dt, 0.8);
}

static void step_heat(struct engine *e, const struct faults *faults, const struct engine_input *in,
		      double dt)
{
	const double power = mx_ramp(e->indicated * e->rpm, 0, 350.0 * 6500.0);
	const double wind = mx_ramp(in->speed, 0, 15);
	const double mix = mx_clamp(e->lambda_sensor - 0.82, -0.1, 0.15);
	double gas = 380 + 1.75 * mx_clamp(e->map - 30, 0, 190) + 0.022 * e->rpm + 160 * mix +
		     3 * (e->spark_base - e->spark);

	if (e->overrun)
		gas = 330;
	e->coolant_base = mx_lag(e->coolant_base, 90 - 2.5 * wind + 9 * power, dt, 40);
	e->coolant =
		mx_lag(e->coolant, e->coolant_base + faults->level[FAULT_COOLANT_HIGH], dt, 1.5);
	e->oil_base = mx_lag(e->oil_base, 95 + 22 * power, dt, 55);
	e->oil = mx_lag(e->oil, e->oil_base + faults->level[FAULT_OIL_HOT], dt, 1.5);
	e->egt = mx_lag(e->egt, gas + faults->level[FAULT_EGT_HIGH], dt, e->egt < gas ? 1.3 : 4.0);
}

static void step_supply(struct engine *e, const struct faults *faults, double dt)
{
	const double thin = 1 - 0.004 * (e->oil - 95);
	const double pump = 70 + 88 * e->rpm / 1000.0 * thin;
	const double relief = 500 + 0.1 * (pump - 500);
	const double wanted = pump < 500 ? pump : relief;
	const double volts = 14.15 - 0.12 * mx_ramp(e->maf, 20, 200) - (e->rpm < 700 ? 0.4 : 0) -
			     faults->level[FAULT_BATTERY_LOW];

	e->oil_pressure =
		mx_lag(e->oil_pressure, wanted * (1 - mx_clamp(faults->level[FAULT_OIL_LOW], 0, 1)),
		       dt, 0.05);
	e->battery = mx_lag(e->battery, volts, dt, 0.3);
}

void engine_warm(struct engine *e, const struct car *car, const struct air *air,
		 const struct faults *faults, const struct engine_input *in, double dt)
{
	(void)car;
	step_charge(e, air, faults, in, dt);
	step_heat(e, faults, in, dt);
	step_supply(e, faults, dt);
}
