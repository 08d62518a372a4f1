/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every suite has a function NAME_suite(); suites.def lists the names. */
#ifndef TESTS_SUITES_H
#define TESTS_SUITES_H

#include <check.h>

#define SUITE(name) Suite *name##_suite(void);
#include "suites.def"
#undef SUITE

#endif
