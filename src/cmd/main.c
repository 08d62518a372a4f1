/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The program: its subcommands, and what must be so before any of them runs. */
#include <fcntl.h>
#include <gsl/gsl_errno.h>
#include <locale.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/buf.h"
#include "base/mem.h"
#include "base/path.h"
#include "calc/load.h"
#include "cmd/cmd.h"
#include "cmd/interrupt.h"
#include "cmd/report.h"

#ifndef PACKAGE_VERSION
#define PACKAGE_VERSION "unreleased"
#endif

struct command {
	const char *name;
	const char *arguments;
	const char *summary;
	int (*run)(int argc, char **argv);
};

static const struct command commands[] = {
	{ "view", "LOG [LOG]", "open the viewer (also without the word view)", cmd_view },
	{ "pulls", "LOG...", "the full-throttle runs found", cmd_pulls },
	{ "stats", "A [B]", "statistics of a span, of A, B and B-A", cmd_stats },
	{ "diff", "A B", "differences by bands, spool, where they are largest", cmd_diff },
	{ "plot", "A [B]", "the overlay as plain text", cmd_plot },
	{ "ready", "LOG", "is the log fit to be judged and sent", cmd_ready },
	{ "check", "LOG", "findings: what is over its limits, and where", cmd_check },
	{ "marks", "LOG", "list, add and remove marks", cmd_marks },
	{ "channels", "LOG", "what each channel is, with which unit, and why", cmd_channels },
};

#define COMMANDS (sizeof commands / sizeof commands[0])

static void usage(struct buf *out)
{
	size_t i;

	buf_puts(out, "Usage: twinpull LOG [LOG]\n"
		 "       twinpull COMMAND [OPTION]... LOG...\n\n"
		 "Reads CSV data logs of a car, lays a full-throttle pull over the one from\n"
		 "before the work on it, and tells what changed.\n\n");
	for (i = 0; i < COMMANDS; i++)
		buf_printf(out, "  %-9s %-10s %s\n", commands[i].name, commands[i].arguments,
			   commands[i].summary);
	buf_puts(out, "\n"
		 "LOG is a file, or - for standard input. LOG@2 is its second pull, LOG@all\n"
		 "the whole log; without either it is the pull over the most engine speed.\n\n"
		 "      --help     show this help; COMMAND --help shows a command's options\n"
		 "      --version  show the version\n\n"
		 "The manual is twinpull(1).\n");
}

static int print_help(void)
{
	struct buf out = BUF_INIT;
	int status;

	usage(&out);
	status = report_result(&out, NULL);
	buf_release(&out);
	return status;
}

static int print_version(void)
{
	struct buf out = BUF_INIT;
	int status;

	buf_puts(&out, "twinpull " PACKAGE_VERSION "\n"
		 "Licence GPL-3.0-or-later; there is no warranty.\n");
	status = report_result(&out, NULL);
	buf_release(&out);
	return status;
}

/*
 * A closed standard stream would lend its number to the next file that is opened,
 * and messages would go into it.  The stand-in fails when it is used.
 */
static void hold_streams(void)
{
	int fd;

	for (fd = STDIN_FILENO; fd <= STDERR_FILENO; fd++)
		if (fcntl(fd, F_GETFD) == -1)
			(void)!open("/dev/null", fd == STDIN_FILENO ? O_WRONLY : O_RDONLY);
}

static const struct command *find_command(const char *word)
{
	size_t i;

	for (i = 0; i < COMMANDS; i++)
		if (strcmp(commands[i].name, word) == 0)
			return &commands[i];
	return NULL;
}

/* A word that is no option and no file is more likely a command misspelt. */
static bool is_file(const char *word)
{
	struct log_ref ref;
	bool found = strcmp(word, "-") == 0;

	if (log_ref_parse(word, &ref, NULL) == ERR_NONE) {
		found = found || path_exists(ref.path);
		free(ref.path);
	}
	return found;
}

int main(int argc, char **argv)
{
	const struct command *command;

	mem_keep();
	hold_streams();
	setlocale(LC_CTYPE, "");
	signal(SIGPIPE, SIG_IGN);
	gsl_set_error_handler_off();
	if (argc < 2) {
		report("no log is named; see `twinpull --help`");
		return EXIT_TROUBLE;
	}
	if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "-h") == 0 ||
	    (strcmp(argv[1], "help") == 0 && !is_file(argv[1])))
		return print_help();
	if (strcmp(argv[1], "--version") == 0)
		return print_version();
	command = find_command(argv[1]);
	if (command != NULL)
		return interrupt_finish(command->run(argc - 1, argv + 1));
	if (argv[1][0] != '-' && strpbrk(argv[1], "./@") == NULL && !is_file(argv[1])) {
		report("'%s' is neither a command nor a file; see `twinpull --help`", argv[1]);
		return EXIT_TROUBLE;
	}
	return interrupt_finish(cmd_view(argc, argv));
}
