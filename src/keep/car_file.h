/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * car.ini: what is known of the car; see judge/car.h.  Everything may be left out.
 *
 *     [car]
 *     name = ...                     also mass_kg, drag_area_m2, rolling, tyre_radius_m,
 *     injection = direct             or port; driveline_efficiency, rotating_fixed,
 *     redline_rpm = 7000             rotating_engine, displacement_l, turbo_speed_rpm
 *
 *     [gears]
 *     1 = 3.54                       1 to 10, falling
 *     final = 4.06
 *
 *     [compressor]
 *     pressure_ratio = 2.8           the highest; also inlet_loss_kpa
 *     reference_c = 25               of corrected flow; also reference_kpa
 *     flow_unit = lb/min             of the edge; kg/s when left out
 *     edge = 1.5:30, 2.0:34          PRESSURE RATIO:FLOW of rising ratio, the right-hand end
 *
 * Anything else, and a value that is no number or out of reason, is an error with its line.
 */
#ifndef KEEP_CAR_FILE_H
#define KEEP_CAR_FILE_H

#include "base/err.h"
#include "judge/car.h"

/*
 * Into *c, which must be initialised; what the file does not name becomes unknown.  On
 * failure (ERR_FORMAT, ERR_IO) *c is as it was.
 */
enum err_code car_read(struct car *c, const char *path, struct err *e);

#endif
