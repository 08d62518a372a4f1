/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The subcommands.  argv[0] is the subcommand's name, or the program's where the
 * viewer was started without one; the rest are options and logs.  Each returns
 * the exit code of the program.
 */
#ifndef CMD_CMD_H
#define CMD_CMD_H

enum exit_code {
	EXIT_FINE = 0,
	EXIT_FINDINGS = 1,
	EXIT_TROUBLE = 2,
};

int cmd_view(int argc, char **argv);
int cmd_plot(int argc, char **argv);
int cmd_pulls(int argc, char **argv);
int cmd_stats(int argc, char **argv);
int cmd_diff(int argc, char **argv);
int cmd_channels(int argc, char **argv);
int cmd_ready(int argc, char **argv);
int cmd_check(int argc, char **argv);
int cmd_marks(int argc, char **argv);

#endif
