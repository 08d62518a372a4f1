/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of files: nothing is ever lost in replacing one, and the XDG directories. */
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>

#include "base_util.h"

Suite *path_suite(void);

#define OLD "old contents\n"

struct place {
	char *dir;
	char *file;
};

static void place_init(struct place *p)
{
	p->dir = new_folder();
	p->file = path_join(p->dir, "log.marks.csv");
}

static void place_release(struct place *p)
{
	free(p->file);
	drop_folder(p->dir);
}

static void check_holds(const char *path, const char *want)
{
	char *got = get_file(path);

	ck_assert_str_eq(got, want);
	free(got);
}

/* Nothing but `count` entries in the folder: no temporary file is left. */
static void check_entries(const char *dir, int count)
{
	char *command = mem_printf("test $(ls -A '%s' | wc -l) -eq %d", dir, count);

	ck_assert_int_eq(system(command), 0);
	free(command);
}

static mode_t mode_of(const char *path)
{
	struct stat st;

	ck_assert_int_eq(lstat(path, &st), 0);
	return st.st_mode;
}

START_TEST(test_join_and_split)
{
	static const struct {
		const char *path, *dir, *base;
	} paths[] = {
		{ "a.csv", ".", "a.csv" }, { "/a.csv", "/", "a.csv" },
		{ "x/y/a.csv", "x/y", "a.csv" }, { "../a", "..", "a" }, { "x/", "x", "" },
		{ "/x/y", "/x", "y" },
	};
	size_t i;
	char *s;

	for (i = 0; i < COUNT(paths); i++) {
		s = path_dirname(paths[i].path);
		ck_assert_str_eq(s, paths[i].dir);
		free(s);
		ck_assert_str_eq(path_basename(paths[i].path), paths[i].base);
	}
	s = path_join("a", "b");
	ck_assert_str_eq(s, "a/b");
	free(s);
	s = path_join("/", "b");
	ck_assert_str_eq(s, "/b");
	free(s);
}
END_TEST

/* XDG Base Directory Specification 0.8: "All paths [...] must be absolute". */
static const struct {
	const char *config, *state, *home;
	const char *want_config, *want_state;
} xdg[] = {
	{ "/c", "/s", "/h", "/c/twinpull", "/s/twinpull" },
	{ "c", "./s", "/h", "/h/.config/twinpull", "/h/.local/state/twinpull" },
	{ "", "", "/h", "/h/.config/twinpull", "/h/.local/state/twinpull" },
	{ NULL, NULL, "/h", "/h/.config/twinpull", "/h/.local/state/twinpull" },
	{ "c", "s", "h", NULL, NULL },
	{ NULL, NULL, NULL, NULL, NULL },
	{ "/c/", NULL, NULL, "/c/twinpull", NULL },
	{ "~/c", NULL, NULL, NULL, NULL },
};

static void set_or_clear(const char *name, const char *value)
{
	if (value != NULL)
		setenv(name, value, 1);
	else
		unsetenv(name);
}

static void check_xdg(enum path_base base, const char *want)
{
	char *got = path_xdg(base);

	ck_assert_pstr_eq(got, want);
	free(got);
}

START_TEST(test_xdg)
{
	set_or_clear("XDG_CONFIG_HOME", xdg[_i].config);
	set_or_clear("XDG_STATE_HOME", xdg[_i].state);
	set_or_clear("HOME", xdg[_i].home);
	check_xdg(PATH_CONFIG, xdg[_i].want_config);
	check_xdg(PATH_STATE, xdg[_i].want_state);
}
END_TEST

START_TEST(test_make_dirs)
{
	struct err e = ERR_INIT;
	struct place p;
	char *deep, *slash, *under;

	place_init(&p);
	deep = mem_printf("%s/a/b//c", p.dir);
	slash = mem_printf("%s/a/b/c/", p.dir);
	under = mem_printf("%s/x", p.file);
	ck_assert_int_eq(path_make_dirs(deep, &e), ERR_NONE);
	ck_assert(path_dir_writable(deep));
	ck_assert_int_eq(path_make_dirs(deep, &e), ERR_NONE);
	ck_assert_int_eq(path_make_dirs(slash, &e), ERR_NONE);
	put_file(p.file, OLD);
	ck_assert_int_eq(path_make_dirs(under, &e), ERR_IO);
	ck_assert_ptr_nonnull(strstr(e.text, p.file));
	/* a file of that name is no directory */
	ck_assert_int_eq(path_make_dirs(p.file, &e), ERR_IO);
	ck_assert_ptr_nonnull(strstr(e.text, p.file));
	check_holds(p.file, OLD);
	free(deep);
	free(slash);
	free(under);
	place_release(&p);
}
END_TEST

START_TEST(test_read_all)
{
	struct err e = ERR_INIT;
	struct buf b = BUF_INIT;
	struct buf big = BUF_INIT;
	struct place p;

	place_init(&p);
	ck_assert_int_eq(path_read_all(p.file, &b, &e), ERR_IO);
	ck_assert_ptr_nonnull(strstr(e.text, p.file));
	ck_assert_int_eq(path_read_all(p.dir, &b, &e), ERR_IO);
	buf_pad(&big, 'x', 100000);
	ck_assert_int_eq(path_write_atomic(p.file, big.data, big.len, &e), ERR_NONE);
	buf_puts(&b, "kept|");
	ck_assert_int_eq(path_read_all(p.file, &b, &e), ERR_NONE);
	ck_assert_uint_eq(b.len, 100005);
	ck_assert_mem_eq(b.data, "kept|xxx", 8);
	buf_release(&b);
	buf_release(&big);
	place_release(&p);
}
END_TEST

START_TEST(test_write_new)
{
	struct place p;

	place_init(&p);
	umask(022);
	ck_assert_int_eq(path_write_atomic(p.file, "a\0b", 3, NULL), ERR_NONE);
	ck_assert_int_eq(mode_of(p.file) & 07777, 0644);
	ck_assert_int_eq(path_write_atomic(p.file, "", 0, NULL), ERR_NONE);
	check_holds(p.file, "");
	check_entries(p.dir, 1);
	place_release(&p);
}
END_TEST

START_TEST(test_write_keeps_mode)
{
	static const mode_t modes[] = { 0600, 0640, 0664, 0444, 0755 };
	struct place p;

	place_init(&p);
	put_file(p.file, OLD);
	ck_assert_int_eq(chmod(p.file, modes[_i]), 0);
	ck_assert_int_eq(path_write_atomic(p.file, "new", 3, NULL), ERR_NONE);
	ck_assert_int_eq(mode_of(p.file) & 07777, modes[_i]);
	check_holds(p.file, "new");
	place_release(&p);
}
END_TEST

/* A link stays a link, near or far, to a file that is there or not yet. */
START_TEST(test_write_through_link)
{
	static const struct {
		const char *to;		/* from the folder "sub" */
		bool there;
	} links[] = {
		{ "../real", true }, { "real", true }, { "../real", false }, { "real", false },
		{ "chain", true }, { "chain", false }, { "absolute", true }, { "absolute", false },
	};
	struct place p;
	char *sub, *link, *real, *chain;

	place_init(&p);
	sub = path_join(p.dir, "sub");
	link = path_join(sub, "link");
	chain = path_join(sub, "chain");
	real = path_join(strcmp(links[_i].to, "real") == 0 ? sub : p.dir, "real");
	ck_assert_int_eq(path_make_dirs(sub, NULL), ERR_NONE);
	if (links[_i].there)
		put_file(real, OLD);
	ck_assert_int_eq(symlink(strcmp(links[_i].to, "absolute") == 0 ? real : links[_i].to, link), 0);
	ck_assert_int_eq(symlink("../real", chain), 0);
	ck_assert_int_eq(path_write_atomic(link, "new", 3, NULL), ERR_NONE);
	ck_assert(S_ISLNK(mode_of(link)));
	ck_assert(S_ISLNK(mode_of(chain)));
	ck_assert(S_ISREG(mode_of(real)));
	check_holds(real, "new");
	check_holds(link, "new");
	free(sub);
	free(link);
	free(real);
	free(chain);
	place_release(&p);
}
END_TEST

START_TEST(test_write_link_loop)
{
	struct err e = ERR_INIT;
	struct place p;

	place_init(&p);
	ck_assert_int_eq(symlink("log.marks.csv", p.file), 0);
	ck_assert_int_eq(path_write_atomic(p.file, "new", 3, &e), ERR_IO);
	ck_assert(S_ISLNK(mode_of(p.file)));
	check_entries(p.dir, 1);
	place_release(&p);
}
END_TEST

/* The file may grow to 4 KB only, as on a full disk: the old one stays whole. */
START_TEST(test_write_no_room)
{
	const struct rlimit small = { 4096, RLIM_INFINITY };
	const struct rlimit all = { RLIM_INFINITY, RLIM_INFINITY };
	struct err e = ERR_INIT;
	struct buf big = BUF_INIT;
	struct place p;
	enum err_code code;
	bool limited;

	place_init(&p);
	put_file(p.file, OLD);
	buf_pad(&big, 'x', 10000);
	/* no assertion in between: Check writes to a file, too */
	signal(SIGXFSZ, SIG_IGN);
	limited = setrlimit(RLIMIT_FSIZE, &small) == 0;
	code = path_write_atomic(p.file, big.data, big.len, &e);
	limited = setrlimit(RLIMIT_FSIZE, &all) == 0 && limited;
	signal(SIGXFSZ, SIG_DFL);
	ck_assert(limited);
	ck_assert_int_eq(code, ERR_IO);
	ck_assert_ptr_nonnull(strstr(e.text, p.file));
	ck_assert_ptr_nonnull(strstr(e.text, strerror(EFBIG)));
	check_holds(p.file, OLD);
	check_entries(p.dir, 1);
	buf_release(&big);
	place_release(&p);
}
END_TEST

static bool write_fails(void *arg)
{
	const char *path = arg;
	struct err e = ERR_INIT;

	return path_write_atomic(path, "new", 3, &e) == ERR_IO && strstr(e.text, path) != NULL;
}

START_TEST(test_write_read_only_folder)
{
	struct place p;

	place_init(&p);
	put_file(p.file, OLD);
	ck_assert_int_eq(chmod(p.file, 0666), 0);
	ck_assert_int_eq(chmod(p.dir, 0555), 0);
	ck_assert(as_nobody(write_fails, p.file));
	check_holds(p.file, OLD);
	check_entries(p.dir, 1);
	place_release(&p);
}
END_TEST

START_TEST(test_write_onto_folder)
{
	struct err e = ERR_INIT;
	struct place p;
	char *missing;

	place_init(&p);
	missing = path_join(p.dir, "no/file");
	ck_assert_int_eq(path_make_dirs(p.file, NULL), ERR_NONE);
	ck_assert_int_eq(path_write_atomic(p.file, "new", 3, &e), ERR_IO);
	ck_assert_ptr_nonnull(strstr(e.text, p.file));
	ck_assert_int_eq(path_write_atomic(missing, "new", 3, &e), ERR_IO);
	check_entries(p.dir, 1);
	free(missing);
	place_release(&p);
}
END_TEST

/* Somebody who reads all the while sees the old file or the new one, never a part. */
START_TEST(test_write_while_read)
{
	struct place p;
	pid_t writer;
	int status, reads = 0;

	place_init(&p);
	put_file(p.file, "0");
	writer = fork();
	if (writer == 0) {
		struct buf b = BUF_INIT;
		int i;

		for (i = 0; i < 200; i++) {
			buf_clear(&b);
			buf_pad(&b, (char)('0' + i % 10), (size_t)(1 + i * 997 % 60000));
			if (path_write_atomic(p.file, b.data, b.len, NULL) != ERR_NONE)
				_exit(1);
		}
		_exit(0);
	}
	while (waitpid(writer, &status, WNOHANG) == 0) {
		char *text = get_file(p.file);

		ck_assert_int_ne(text[0], '\0');
		ck_assert_uint_eq(strspn(text, (char[]){ text[0], '\0' }), strlen(text));
		free(text);
		reads++;
	}
	ck_assert_int_eq(status, 0);
	ck_assert_int_gt(reads, 10);
	check_entries(p.dir, 1);
	place_release(&p);
}
END_TEST

START_TEST(test_current)
{
	struct place p;
	char *deep, *here, *real;

	place_init(&p);
	deep = mem_printf("%s/%0250d/%0250d", p.dir, 1, 2);	/* longer than the first guess */
	ck_assert_int_eq(path_make_dirs(deep, NULL), ERR_NONE);
	ck_assert_int_eq(chdir(deep), 0);
	here = path_current();
	real = realpath(deep, NULL);
	ck_assert_str_eq(here, real);
	ck_assert_int_eq(chdir("/"), 0);
	free(here);
	free(real);
	free(deep);
	place_release(&p);
}
END_TEST

/* A terminal that others have set not to block takes all the same, in pieces. */
START_TEST(test_write_to_what_does_not_block)
{
	const size_t n = 1000000;
	char *bytes = mem_alloc(n);
	size_t read_back = 0, wrong = 0;
	pid_t writer;
	int ends[2], status;
	char got[4096];
	ssize_t some;
	size_t i;

	for (i = 0; i < n; i++)
		bytes[i] = (char)(i * 31 % 251);
	ck_assert_int_eq(pipe(ends), 0);
	fcntl(ends[1], F_SETFL, O_NONBLOCK);
	writer = fork();
	if (writer == 0)
		_exit(path_write_to(ends[1], bytes, n) ? 0 : 1);
	close(ends[1]);
	while ((some = read(ends[0], got, sizeof got)) > 0)
		for (i = 0; i < (size_t)some; i++, read_back++)
			wrong += read_back >= n || got[i] != bytes[read_back];
	ck_assert_uint_eq(read_back, n);
	ck_assert_uint_eq(wrong, 0);
	ck_assert_int_eq(waitpid(writer, &status, 0), writer);
	ck_assert_int_eq(status, 0);
	close(ends[0]);
	ck_assert(!path_write_to(ends[1], bytes, 1));
	ck_assert_int_eq(errno, EBADF);
	free(bytes);
}
END_TEST

Suite *path_suite(void)
{
	Suite *s = suite_create("path");
	TCase *t = tcase_create("path");

	tcase_set_timeout(t, 60);
	tcase_add_test(t, test_join_and_split);
	tcase_add_loop_test(t, test_xdg, 0, COUNT(xdg));
	tcase_add_test(t, test_make_dirs);
	tcase_add_test(t, test_read_all);
	tcase_add_test(t, test_write_new);
	tcase_add_loop_test(t, test_write_keeps_mode, 0, 5);
	tcase_add_loop_test(t, test_write_through_link, 0, 8);
	tcase_add_test(t, test_write_link_loop);
	tcase_add_test(t, test_write_no_room);
	tcase_add_test(t, test_write_read_only_folder);
	tcase_add_test(t, test_write_onto_folder);
	tcase_add_test(t, test_write_while_read);
	tcase_add_test(t, test_current);
	tcase_add_test(t, test_write_to_what_does_not_block);
	suite_add_tcase(s, t);
	return s;
}
