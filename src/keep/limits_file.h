/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * limits.ini: the calibrator's limits, over the built-in ones.
 *
 *     [limits]
 *     source = who set them          shown with every finding
 *
 *     [knock]                        one section a check, by its name
 *     unit = deg                     of the values below; left out: the check's own
 *     note = off                     no such level
 *     caution = 2.0
 *     stop = 2000:5.0, 7000:3.5      over engine speed: straight lines between points
 *     for_s = 0.1
 *     check = off                    the check is not wanted
 *
 * A limit so lax that it would never find anything, mostly one in another unit, is an error.
 * What is not named keeps its built-in value.  A unit is any of the check's dimension; an
 * air-fuel ratio (":1") is divided by 14.7, a gauge's petrol scale, as calc/derive.h does.
 * Values are sizes: without a sign but for temperatures.  A severer level must not be
 * less strict than a milder one at any engine speed, whoever set them.
 *
 * Anything else in the file is an error, with its line: nothing is judged with half a file.
 */
#ifndef KEEP_LIMITS_FILE_H
#define KEEP_LIMITS_FILE_H

#include "base/err.h"
#include "judge/limits.h"

/*
 * Over what *l has already; path and source become those of this file.  On failure
 * (ERR_FORMAT, ERR_IO) *l is as it was.
 */
enum err_code limits_read(struct limits *l, const char *path, struct err *e);

#endif
