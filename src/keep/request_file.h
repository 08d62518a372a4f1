/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * request.ini: what a calibrator asks of a log; see judge/ready.h.  One section [request]:
 *
 *     source = who asks
 *     gear = 4                       or any
 *     rpm = 2000:6900                either end may be left out
 *     rate_hz = 20                   or off
 *     channels = boost, lambda, knock_retard
 *     coolant_c = 75:105             likewise oil_c, intake_c, battery_v; or off
 *     ethanol_percent = 0            or off
 *     ethanol_within = 5
 *
 * What is not named keeps its built-in value; anything else is an error with its line.
 */
#ifndef KEEP_REQUEST_FILE_H
#define KEEP_REQUEST_FILE_H

#include "base/err.h"
#include "judge/ready.h"

/* Over what *r has already.  On failure (ERR_FORMAT, ERR_IO) it is as it was. */
enum err_code request_read(struct request *r, const char *path, struct err *e);

#endif
