/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Starts a program as the leader of a new session on a new pseudo-terminal. */
#ifndef _GNU_SOURCE
#define _GNU_SOURCE	/* openpty, login_tty, ptsname_r, pipe2, environ */
#endif
#include "spawn.h"

#include <errno.h>
#include <fcntl.h>
#include <pty.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/wait.h>
#include <unistd.h>
#include <utmp.h>
#ifdef __linux__
#include <sys/prctl.h>
#endif

#include "base/mem.h"

enum {
	INHERITED_FDS = 256,	/* closed in the program, from 3 up */
};

/* Not inherited, by the start of the entry. */
static const char *const not_inherited[] = {
	"CLICOLOR", "COLORTERM=", "COLUMNS=", "ESCDELAY=", "FORCE_COLOR=", "LANG=",
	"LANGUAGE=", "LC_", "LINES=", "NCURSES_", "NO_COLOR=", "TERMCAP=", "XDG_",
};

static size_t name_length(const char *entry)
{
	return strcspn(entry, "=");
}

static bool is_inherited(const char *entry)
{
	for (size_t i = 0; i < sizeof(not_inherited) / sizeof(*not_inherited); i++)
		if (strncmp(entry, not_inherited[i], strlen(not_inherited[i])) == 0)
			return false;
	return true;
}

/* Puts entry into env in place of one with the same name; a bare name goes. */
static void env_put(const char **env, size_t *n, const char *entry)
{
	const size_t len = name_length(entry);
	size_t i = 0;

	while (i < *n && (name_length(env[i]) != len || strncmp(env[i], entry, len) != 0))
		i++;
	if (entry[len] == '=') {
		env[i] = entry;
		*n += i == *n;
	} else if (i < *n) {
		env[i] = env[--*n];
	}
}

static size_t list_length(const char *const *list)
{
	size_t n = 0;

	while (list != NULL && list[n] != NULL)
		n++;
	return n;
}

/* The strings stay where they are: only the array is the caller's. */
static const char **env_new(const struct term_options *o)
{
	const char *const defaults[] = {
		"TERM=xterm-256color", "HOME=/nonexistent",
		o->utf8 ? "LC_ALL=C.UTF-8" : "LC_ALL=C", NULL,
	};
	const char *const *const lists[] = {
		(const char *const *)environ, defaults, o->env,
	};
	size_t room = 1, n = 0;
	const char **env;

	for (size_t i = 0; i < 3; i++)
		room += list_length(lists[i]);
	env = mem_array(room, sizeof(*env));
	for (size_t i = 0; i < 3; i++)
		for (size_t j = 0; j < list_length(lists[i]); j++)
			if (i > 0 || is_inherited(lists[i][j]))
				env_put(env, &n, lists[i][j]);
	env[n] = NULL;
	return env;
}

/*
 * The modes are read before the program starts and could change them.  *tty
 * is for the program: a second opening is needed, because O_NONBLOCK on this
 * one would be the program's too.
 */
static bool pty_open(struct spawn *s, const struct term_options *o, int *tty)
{
	struct winsize size = {
		.ws_row = (unsigned short)o->rows, .ws_col = (unsigned short)o->cols,
	};
	char name[128];

	if (openpty(&s->master, tty, NULL, NULL, &size) < 0)
		return false;
	fcntl(s->master, F_SETFD, FD_CLOEXEC);
	fcntl(*tty, F_SETFD, FD_CLOEXEC);
	fcntl(s->master, F_SETFL, fcntl(s->master, F_GETFL) | O_NONBLOCK);
	if (ptsname_r(s->master, name, sizeof(name)) != 0)
		return false;
	s->slave = open(name, O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
	if (s->slave < 0 || tcgetattr(s->slave, &s->start) < 0)
		return false;
#ifdef IUTF8
	if (o->utf8)
		s->start.c_iflag |= IUTF8;
	else
		s->start.c_iflag &= ~(tcflag_t)IUTF8;
#endif
	return tcsetattr(s->slave, TCSANOW, &s->start) == 0
		&& tcgetattr(s->slave, &s->start) == 0;
}

/* Nothing of how the tests are run (nohup, make -j) may reach the program. */
static void reset_inherited(int report)
{
	const struct sigaction plain = { .sa_handler = SIG_DFL };
	sigset_t none;

	for (int sig = 1; sig < NSIG; sig++)
		sigaction(sig, &plain, NULL);
	sigemptyset(&none);
	sigprocmask(SIG_SETMASK, &none, NULL);
	for (int fd = 3; fd < INHERITED_FDS; fd++)
		if (fd != report)
			close(fd);
}

/* What the child could not do, sent up a pipe that a successful exec closes. */
struct failure {
	const char *what;	/* the same memory in both: a fork */
	int number;
};

struct launch {
	const struct term_options *o;
	const char *path;
	const char **env;
	int tty;
	int report;
	pid_t parent;
};

/* In the child; never returns. */
static void run_program(const struct launch *l)
{
	struct failure f = { .what = "no terminal for" };

#ifdef __linux__
	prctl(PR_SET_PDEATHSIG, SIGKILL);
#endif
	if (getppid() != l->parent)	/* died before it could be watched */
		_exit(127);
	if (login_tty(l->tty) == 0) {
		reset_inherited(l->report);
		f.what = "cannot enter the directory for";
		if (l->o->dir == NULL || chdir(l->o->dir) == 0) {
			f.what = "cannot run";
			environ = (char **)l->env;
			execvp(l->path, (char *const *)l->o->argv);
		}
	}
	f.number = errno;
	if (write(l->report, &f, sizeof(f)) < 0)
		_exit(126);
	_exit(127);
}

static bool launch(struct spawn *s, struct launch *l, struct failure *f)
{
	int report[2];
	ssize_t n = -1;

	f->what = "no process for";
	if (pipe2(report, O_CLOEXEC) < 0)
		return false;
	l->report = report[1];
	l->parent = getpid();
	s->pid = fork();
	if (s->pid == 0)
		run_program(l);
	f->number = errno;
	close(report[1]);
	if (s->pid > 0) {
		do
			n = read(report[0], f, sizeof(*f));
		while (n < 0 && errno == EINTR);
	}
	close(report[0]);
	return n == 0;
}

enum err_code spawn_start(struct spawn *s, const struct term_options *o, struct err *e)
{
	const char *name = o->argv[0];
	struct failure f = { .what = "no terminal for" };
	struct launch l = { .o = o, .tty = -1 };
	char *path = NULL;
	bool ok = false;

	if (!pty_open(s, o, &l.tty)) {
		f.number = errno;
		goto out;
	}
	f.what = "cannot run";
	path = strchr(name, '/') != NULL ? realpath(name, NULL) : mem_strdup(name);
	if (path == NULL) {
		f.number = errno;
		goto out;
	}
	l.path = path;
	l.env = env_new(o);
	ok = launch(s, &l, &f);
out:
	free(l.env);
	free(path);
	if (l.tty >= 0)
		close(l.tty);
	if (ok)
		return ERR_NONE;
	return err_set(e, ERR_IO, "%s %s%s%s: %s", f.what, name,
		       o->dir != NULL ? " in " : "", o->dir != NULL ? o->dir : "",
		       strerror(f.number));
}

static void kill_all(const struct spawn *s)
{
	const pid_t job = tcgetpgrp(s->master);

	/* A job of a shell has a group of its own in the same session. */
	if (job > 1 && job != s->pid && getsid(job) == s->pid)
		kill(-job, SIGKILL);
	kill(-s->pid, SIGKILL);
	kill(s->pid, SIGKILL);
}

void spawn_release(struct spawn *s)
{
	if (s->pid > 0) {
		kill_all(s);
		while (waitpid(s->pid, NULL, 0) < 0 && errno == EINTR)
			;
	}
	if (s->slave >= 0)
		close(s->slave);
	if (s->master >= 0)
		close(s->master);
	*s = (struct spawn)SPAWN_INIT;
}
