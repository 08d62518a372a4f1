/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Ctrl-C while a log is read. */
#include "cmd/interrupt.h"

#include <signal.h>
#include <string.h>
#include <unistd.h>

/* A handler has nothing else to speak through. */
static volatile sig_atomic_t came;

static volatile sig_atomic_t to_terminal;

/* A second one ends the program, and the shell begins behind what was said of progress. */
static void on_interrupt(int number)
{
	if (came != 0) {
		if (to_terminal != 0)
			(void)!write(STDERR_FILENO, "\n", 1);
		signal(number, SIG_DFL);
		raise(number);
	}
	came = 1;
}

static void handle(void (*handler)(int), int flags)
{
	struct sigaction action;

	memset(&action, 0, sizeof action);
	action.sa_handler = handler;
	action.sa_flags = flags;
	sigemptyset(&action.sa_mask);
	sigaction(SIGINT, &action, NULL);
}

/* A shell that runs a job in the background has it ignore Ctrl-C: that stays so. */
void interrupt_catch(void)
{
	struct sigaction now;

	to_terminal = isatty(STDERR_FILENO);
	if (came == 0 && sigaction(SIGINT, NULL, &now) == 0 && now.sa_handler == SIG_DFL)
		handle(on_interrupt, 0);
}

bool interrupt_came(void)
{
	return came != 0;
}

void interrupt_forget(void)
{
	struct sigaction now;

	came = 0;
	if (sigaction(SIGINT, NULL, &now) == 0 && now.sa_handler == on_interrupt)
		handle(SIG_DFL, 0);
}

int interrupt_finish(int status)
{
	if (came != 0) {
		handle(SIG_DFL, 0);
		raise(SIGINT);
	}
	return status;
}
