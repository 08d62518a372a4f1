/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of references to logs and of loading one all the way. */
#include "calc/load.h"
#include "calc_util.h"

Suite *load_suite(void);

static const struct {
	const char *text, *path;
	int what;
	size_t number;
} refs[] = {
	{ "before.csv", "before.csv", REF_BEST, 0 },
	{ "before.csv@2", "before.csv", REF_PULL, 2 },
	{ "before.csv@all", "before.csv", REF_WHOLE, 0 },
	{ "dir@3/x.csv", "dir@3/x.csv", REF_BEST, 0 },
	{ "dir@3/x.csv@1", "dir@3/x.csv", REF_PULL, 1 },
	{ "a@b.csv@12", "a@b.csv", REF_PULL, 12 },
	{ "@2", "@2", REF_BEST, 0 },
	{ "-", "-", REF_BEST, 0 },
	{ "-@1", "-", REF_PULL, 1 },
	{ "-@all", "-", REF_WHOLE, 0 },
	{ "./x@1000000", "./x", REF_PULL, 1000000 },
};

START_TEST(test_ref)
{
	struct log_ref ref;

	ck_assert_int_eq(log_ref_parse(refs[_i].text, &ref, NULL), ERR_NONE);
	ck_assert_str_eq(ref.path, refs[_i].path);
	ck_assert_int_eq((int)ref.what, refs[_i].what);
	ck_assert_uint_eq(ref.number, refs[_i].number);
	free(ref.path);
}
END_TEST

static const char *const wrong_refs[] = {
	"x.csv@0", "x.csv@-1", "x.csv@", "x.csv@two", "x.csv@1.5", "x.csv@ALL", "x.csv@all ",
	"x.csv@2x", "x.csv@@", "x.csv@1000001", "x.csv@99999999999999999999", "user@host",
};

START_TEST(test_ref_wrong)
{
	struct err e = ERR_INIT;
	struct log_ref ref;

	ck_assert_int_eq(log_ref_parse(wrong_refs[_i], &ref, &e), ERR_USAGE);
	ck_assert_ptr_nonnull(strstr(e.text, wrong_refs[_i]));
	ck_assert_ptr_nonnull(strstr(e.text, "'all'"));
	ck_assert_ptr_null(ref.path);
}
END_TEST

/* A file that is really called so comes first. */
START_TEST(test_ref_file_named_so)
{
	char *dir = new_folder();
	char *odd = mem_printf("%s/log@2", dir);
	char *odder = mem_printf("%s/log@home", dir);
	char *pull = mem_printf("%s@1", odder);
	struct log_ref ref;

	put_file(odd, "x");
	put_file(odder, "x");
	ck_assert_int_eq(log_ref_parse(odd, &ref, NULL), ERR_NONE);
	ck_assert_str_eq(ref.path, odd);
	ck_assert_int_eq((int)ref.what, REF_BEST);
	free(ref.path);
	ck_assert_int_eq(log_ref_parse(odder, &ref, NULL), ERR_NONE);
	ck_assert_str_eq(ref.path, odder);
	free(ref.path);
	ck_assert_int_eq(log_ref_parse(pull, &ref, NULL), ERR_NONE);
	ck_assert_str_eq(ref.path, odder);
	ck_assert_uint_eq(ref.number, 1);
	free(ref.path);
	free(odd);
	free(odder);
	free(pull);
	drop_folder(dir);
}
END_TEST

/* Rolling, a pull in third over 2500 rpm, rolling, one in fourth over 4000, rolling. */
static void put_pulls(struct buf *b)
{
	static const struct {
		double seconds, rpm, per_second, ratio;
		int pedal;
	} parts[] = {
		{ 4, 2000, 0, 60, 12 }, { 3, 2000, 833, 60, 100 }, { 4, 4500, -500, 60, 0 },
		{ 4, 2000, 0, 40, 12 }, { 8, 2000, 500, 40, 100 }, { 5, 6000, -400, 40, 0 },
	};
	double t = 0.0;
	size_t part;
	int i;

	buf_puts(b, "Time (s),Engine speed (rpm),Pedal (%),Vehicle speed (km/h),MAP (kPa),Baro (kPa)\n");
	for (part = 0; part < COUNT(parts); part++)
		for (i = 0; i < 20 * parts[part].seconds; i++, t += 0.05) {
			const double rpm = parts[part].rpm + parts[part].per_second * 0.05 * i;

			buf_printf(b, "%.2f,%.0f,%d,%.1f,%d,100.5\n", t, rpm, parts[part].pedal,
				   rpm / parts[part].ratio, 100 + parts[part].pedal);
		}
}

static char *write_log(const char *dir, void (*put)(struct buf *))
{
	char *path = path_join(dir, "log.csv");
	struct buf b = BUF_INIT;

	put(&b);
	put_file(path, b.data);
	buf_release(&b);
	return path;
}

START_TEST(test_load)
{
	const struct load_options options = { .names = NULL };
	char *dir = new_folder();
	char *path = write_log(dir, put_pulls);
	struct log_ref ref = { path, REF_BEST, 0 };
	struct err e = ERR_INIT;
	struct loaded l;
	struct run run;

	ck_assert_msg(load_log(path, &options, &l, &e) == ERR_NONE, "%s", e.text);
	ck_assert(l.has_rpm);
	ck_assert_uint_eq(l.log->rows, 560);
	ck_assert_uint_eq(l.pulls.count, 2);
	ck_assert_ptr_nonnull(datalog_find(l.log, Q_BOOST));	/* derived */
	ck_assert_int_eq(load_run(&l, &ref, &run, &e), ERR_NONE);
	ck_assert_uint_eq(run.number, 2);			/* the wider one */
	ck_assert_double_gt(run.pull.to_rpm - run.pull.from_rpm, 3500.0);
	run_release(&run);
	ref.what = REF_PULL;
	ref.number = 1;
	ck_assert_int_eq(load_run(&l, &ref, &run, &e), ERR_NONE);
	ck_assert_uint_eq(run.number, 1);
	run_release(&run);
	ref.number = 3;
	ck_assert_int_eq(load_run(&l, &ref, &run, &e), ERR_DATA);
	ck_assert_ptr_nonnull(strstr(e.text, "2 pulls"));
	ref.what = REF_WHOLE;
	ck_assert_int_eq(load_run(&l, &ref, &run, &e), ERR_NONE);
	ck_assert_uint_eq(run.number, RUN_WHOLE);
	ck_assert_uint_eq(run.pull.last, 559);
	run_release(&run);
	loaded_release(&l);
	ck_assert_ptr_null(l.log);
	free(path);
	drop_folder(dir);
}
END_TEST

/* It stays, whoever lets go first. */
START_TEST(test_hold)
{
	const struct load_options options = { .names = NULL };
	char *dir = new_folder();
	char *path = write_log(dir, put_pulls);
	struct loaded l, held;
	double to_s;

	ck_assert_int_eq(load_log(path, &options, &l, NULL), ERR_NONE);
	held = loaded_hold(&l);
	ck_assert_ptr_eq(held.log, l.log);
	ck_assert_ptr_ne(held.pulls.list, l.pulls.list);
	to_s = l.log->time[l.pulls.list[1].last];
	loaded_release(&l);
	ck_assert_uint_eq(held.pulls.count, 2);
	ck_assert_double_eq(held.log->time[held.pulls.list[1].last], to_s);
	loaded_release(&held);
	ck_assert_ptr_null(held.log);
	free(path);
	drop_folder(dir);
}
END_TEST

static void put_plain(struct buf *b)
{
	buf_puts(b, "Time (s),Oil temp (degC)\n0,80\n0.5,81\n1.0,82\n");
}

/* Without engine speed there are no pulls, which is no error, and the best is all. */
START_TEST(test_without_rpm)
{
	const struct load_options options = { .names = NULL };
	char *dir = new_folder();
	char *path = write_log(dir, put_plain);
	const struct log_ref ref = { path, REF_BEST, 0 };
	struct err e = ERR_INIT;
	struct loaded l;
	struct run run;

	ck_assert_msg(load_log(path, &options, &l, &e) == ERR_NONE, "%s", e.text);
	ck_assert(!l.has_rpm);
	ck_assert_uint_eq(l.pulls.count, 0);
	ck_assert_int_eq(load_run(&l, &ref, &run, &e), ERR_NONE);
	ck_assert_uint_eq(run.number, RUN_WHOLE);
	ck_assert_double_eq(run.pull.to_s, 1.0);
	run_release(&run);
	loaded_release(&l);
	free(path);
	drop_folder(dir);
}
END_TEST

/* Whatever fails, nothing is left behind, and the message names the file. */
START_TEST(test_errors)
{
	struct load_options options = { .names = NULL };
	char *dir = new_folder();
	char *path = write_log(dir, put_plain);
	char *names = path_join(dir, "names.ini");
	char *missing = path_join(dir, "none.csv");
	struct err e = ERR_INIT;
	struct loaded l;

	ck_assert_int_eq(load_log(missing, &options, &l, &e), ERR_IO);
	ck_assert_ptr_nonnull(strstr(e.text, missing));
	ck_assert_ptr_null(l.log);
	ck_assert_int_ne(load_log(dir, &options, &l, &e), ERR_NONE);
	ck_assert_ptr_nonnull(strstr(e.text, dir));
	options.names = missing;
	ck_assert_int_ne(load_log(path, &options, &l, &e), ERR_NONE);
	ck_assert_ptr_nonnull(strstr(e.text, missing));
	ck_assert_ptr_null(l.log);
	put_file(names, "[Oil temp]\nquantity = no such thing\n");
	options.names = names;
	ck_assert_int_ne(load_log(path, &options, &l, &e), ERR_NONE);
	ck_assert_ptr_nonnull(strstr(e.text, names));
	ck_assert_ptr_null(l.log);
	/* a name of the user's brings what can be derived from it */
	put_file(names, "[Oil temp]\nquantity = afr\nunit = :1\n");
	ck_assert_msg(load_log(path, &options, &l, &e) == ERR_NONE, "%s", e.text);
	ck_assert_ptr_nonnull(datalog_find(l.log, Q_LAMBDA));
	loaded_release(&l);
	free(path);
	free(names);
	free(missing);
	drop_folder(dir);
}
END_TEST

Suite *load_suite(void)
{
	Suite *s = suite_create("load");
	TCase *t = tcase_create("load");

	tcase_add_loop_test(t, test_ref, 0, COUNT(refs));
	tcase_add_loop_test(t, test_ref_wrong, 0, COUNT(wrong_refs));
	tcase_add_test(t, test_ref_file_named_so);
	tcase_add_test(t, test_load);
	tcase_add_test(t, test_hold);
	tcase_add_test(t, test_without_rpm);
	tcase_add_test(t, test_errors);
	suite_add_tcase(s, t);
	return s;
}
