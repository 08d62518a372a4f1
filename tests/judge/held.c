/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Checks that run only when a test lets them. */
#include "judge/held.h"

enum err_code held_check(struct check_report *out, const struct loaded *loaded,
			 const struct run *run, const struct check_setup *setup, struct err *e)
{
	gate_pass(setup->go_on, setup->data);
	return check_run(out, loaded, run, setup, e);
}
