/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Runs the real program in a temporary directory. */
#include "run.h"

#include <check.h>
#include <errno.h>
#include <fcntl.h>
#include <ftw.h>
#include <math.h>
#include <poll.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "base/buf.h"
#include "base/mem.h"
#include "base/path.h"

#define MOST_ARGS 64

struct place place_make(void)
{
	const char *tmp = getenv("TMPDIR");
	struct place p = { mem_printf("%s/twinpull-test-XXXXXX", tmp == NULL ? "/tmp" : tmp) };

	ck_assert_ptr_nonnull(mkdtemp(p.dir));
	return p;
}

static int remove_one(const char *path, const struct stat *st, int type, struct FTW *ftw)
{
	(void)st;
	(void)type;
	(void)ftw;
	return remove(path);
}

void place_remove(struct place *p)
{
	ck_assert_int_eq(nftw(p->dir, remove_one, 8, FTW_DEPTH | FTW_PHYS), 0);
	free(p->dir);
}

char *place_path(const struct place *p, const char *name)
{
	return path_join(p->dir, name);
}

void place_write(const struct place *p, const char *name, const char *text)
{
	char *path = place_path(p, name);
	FILE *f = fopen(path, "wb");

	ck_assert_ptr_nonnull(f);
	ck_assert_uint_eq(fwrite(text, 1, strlen(text), f), strlen(text));
	ck_assert_int_eq(fclose(f), 0);
	free(path);
}

char *place_read(const struct place *p, const char *name)
{
	char *path = place_path(p, name);
	struct buf text = BUF_INIT;

	if (!path_exists(path)) {
		free(path);
		return NULL;
	}
	ck_assert_int_eq(path_read_all(path, &text, NULL), ERR_NONE);
	buf_puts(&text, "");
	free(path);
	return buf_take(&text);
}

static char *program(void)
{
	const char *path = getenv("TWINPULL");
	char *full = realpath(path == NULL ? BUILDDIR "/twinpull" : path, NULL);

	ck_assert_msg(full != NULL, "no program at %s", path == NULL ? BUILDDIR : path);
	return full;
}

/* Nothing of the caller's locale or directories may show. */
static void set_environment(const struct place *p, const char *const *env)
{
	static const char *const gone[] = {
		"LANG", "LC_CTYPE", "LC_NUMERIC", "XDG_CONFIG_HOME", "XDG_STATE_HOME",
		"NO_COLOR", "COLUMNS", "POSIXLY_CORRECT",
	};
	size_t i;

	for (i = 0; i < sizeof gone / sizeof gone[0]; i++)
		unsetenv(gone[i]);
	setenv("LC_ALL", "C.UTF-8", 1);
	setenv("HOME", p->dir, 1);
	for (i = 0; env != NULL && env[i] != NULL; i++)
		putenv((char *)env[i]);
}

static void start(const struct place *p, const char *path, const char *const *argv,
		  const struct run_how *how, const int fds[3])
{
	const char *args[MOST_ARGS] = { "twinpull" };
	size_t i;

	for (i = 0; argv[i] != NULL; i++) {
		if (i + 2 >= MOST_ARGS)
			_exit(126);
		args[i + 1] = argv[i];
	}
	if (chdir(p->dir) != 0)
		_exit(126);
	set_environment(p, how->env);
	dup2(fds[0], STDIN_FILENO);
	dup2(fds[2], STDERR_FILENO);
	if (how->out == RUN_OUT_CLOSED)
		close(STDOUT_FILENO);
	else
		dup2(fds[1], STDOUT_FILENO);
	execv(path, (char *const *)args);
	_exit(127);
}

/* A file that is gone as soon as it is closed, with the input in it. */
static int input_file(const char *input)
{
	FILE *f = tmpfile();
	int fd;

	ck_assert_ptr_nonnull(f);
	if (input != NULL)
		fputs(input, f);
	rewind(f);
	fd = fcntl(fileno(f), F_DUPFD_CLOEXEC, 3);
	fclose(f);
	return fd;
}

static void read_both(int out_fd, int err_fd, struct buf *out, struct buf *err)
{
	struct pollfd fds[2] = { { out_fd, POLLIN, 0 }, { err_fd, POLLIN, 0 } };
	struct buf *const bufs[2] = { out, err };
	int open_count = 2;
	char block[8192];
	int i;

	while (open_count > 0) {
		poll(fds, 2, -1);
		for (i = 0; i < 2; i++) {
			ssize_t n;

			if (fds[i].fd < 0 || fds[i].revents == 0)
				continue;
			n = read(fds[i].fd, block, sizeof block);
			if (n > 0) {
				buf_add(bufs[i], block, (size_t)n);
			} else if (n == 0 || errno != EINTR) {
				fds[i].fd = -1;
				open_count--;
			}
		}
	}
}

static void make_pipe(int fds[2])
{
	int i;

	ck_assert_int_eq(pipe(fds), 0);
	for (i = 0; i < 2; i++)
		fcntl(fds[i], F_SETFD, FD_CLOEXEC);
}

struct ran run_with(const struct place *p, const char *const *argv, const struct run_how *how)
{
	const struct run_how plain = { NULL, NULL, RUN_OUT_PIPE };
	struct buf out = BUF_INIT;
	struct buf err = BUF_INIT;
	char *path = program();
	int out_pipe[2], err_pipe[2], given[3];
	struct ran r = { 0 };
	int status;
	pid_t pid;

	how = how == NULL ? &plain : how;
	make_pipe(out_pipe);
	make_pipe(err_pipe);
	given[0] = input_file(how->input);
	given[1] = how->out == RUN_OUT_FULL ? open("/dev/full", O_WRONLY | O_CLOEXEC) :
		out_pipe[1];
	given[2] = err_pipe[1];
	if (how->out == RUN_OUT_BROKEN) {
		close(out_pipe[0]);
		out_pipe[0] = open("/dev/null", O_RDONLY | O_CLOEXEC);
	}
	pid = fork();
	ck_assert_int_ge(pid, 0);
	if (pid == 0)
		start(p, path, argv, how, given);
	close(out_pipe[1]);
	close(err_pipe[1]);
	read_both(out_pipe[0], err_pipe[0], &out, &err);
	ck_assert_int_eq(waitpid(pid, &status, 0), pid);
	close(out_pipe[0]);
	close(err_pipe[0]);
	close(given[0]);
	if (how->out == RUN_OUT_FULL)
		close(given[1]);
	free(path);
	r.status = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
	r.out_len = out.len;
	buf_puts(&out, "");
	buf_puts(&err, "");
	r.out = buf_take(&out);
	r.err = buf_take(&err);
	return r;
}

void ran_release(struct ran *r)
{
	free(r->out);
	free(r->err);
	*r = (struct ran){ 0 };
}

void expect(const struct place *p, int status, const char *err, const char *const *argv)
{
	struct ran r = run_with(p, argv, NULL);

	ck_assert_msg(r.status == status, "exit %d, not %d: %s", r.status, status, r.err);
	if (err[0] == '\0')
		ck_assert_str_eq(r.err, "");
	else
		ck_assert_msg(strstr(r.err, err) != NULL, "'%s' is not in: %s", err, r.err);
	if (status == 2)
		ck_assert_str_eq(r.out, "");
	ran_release(&r);
}

json_t *run_json(const struct place *p, const char *const *argv)
{
	const char *args[MOST_ARGS];
	json_error_t error;
	struct ran r;
	json_t *root;
	size_t n = 0;

	for (; argv[n] != NULL; n++)
		args[n] = argv[n];
	args[n++] = "--format";
	args[n++] = "json";
	args[n] = NULL;
	r = run_with(p, args, NULL);
	ck_assert_msg(r.status == 0, "exit %d: %s", r.status, r.err);
	root = json_loadb(r.out, r.out_len, JSON_REJECT_DUPLICATES, &error);
	ck_assert_msg(root != NULL, "line %d: %s", error.line, error.text);
	ran_release(&r);
	return root;
}

void assert_fields(const json_t *object, const char *names)
{
	struct buf got = BUF_INIT;
	const char *key;
	void *i;

	ck_assert(json_is_object(object));
	for (i = json_object_iter((json_t *)object); i != NULL;
	     i = json_object_iter_next((json_t *)object, i)) {
		key = json_object_iter_key(i);
		buf_printf(&got, "%s%s", got.len > 0 ? " " : "", key);
	}
	ck_assert_str_eq(buf_text(&got), names);
	buf_release(&got);
}

const json_t *node(const json_t *root, const char *path)
{
	const char *rest = path;

	while (root != NULL && *rest != '\0') {
		const size_t n = strcspn(rest, ".");
		char *word = mem_strndup(rest, n);

		root = json_is_array(root) ? json_array_get(root, (size_t)atoi(word)) :
			json_object_get(root, word);
		free(word);
		rest += n + (rest[n] == '.');
	}
	ck_assert_msg(root != NULL, "no %s", path);
	return root;
}

double at(const json_t *root, const char *path)
{
	const json_t *value = node(root, path);

	ck_assert_msg(json_is_null(value) || json_is_number(value), "%s is no number", path);
	return json_is_null(value) ? NAN : json_number_value(value);
}
