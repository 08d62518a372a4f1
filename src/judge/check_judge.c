/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One measure against one check's limits: from samples to findings. */
#include "judge/check_judge.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "base/select.h"
#include "judge/check_help.h"

#define JOIN_INTERVALS 2.5	/* a slow channel's runs may be so far apart */
#define SURE_SAMPLES 5
#define STILL_SAMPLES 8		/* to tell the noise of a run from itself alone */
#define SHORT_S 0.3		/* checks of what may be over so soon need a quick channel */

/* Samples first .. last, both over the limit; score is the sum of how far over. */
struct run_over {
	size_t first;
	size_t last;
	double score;
	enum severity severity;
};

struct runs_over {
	struct run_over *list;
	size_t count;
	size_t cap;
};

/* Judging one level of one measure. */
struct bout {
	const struct check *check;
	const struct series *v;
	const struct limit_line *line;
	double *over;		/* [v->n] how far over the limit; NaN: no limit there */
	double interval;	/* median, in s, from one new value to the next */
	size_t stride;		/* samples of one value: above 1 the logger repeats it */
};

static double median_interval(const struct series *v, double *scratch)
{
	size_t i;

	if (v->n < 2)
		return 0.0;
	for (i = 1; i < v->n; i++)
		scratch[i - 1] = v->t[i] - v->t[i - 1];
	return select_median(scratch, v->n - 1);
}

/*
 * A value that is repeated until the next one comes is one sample.  So the measure's interval
 * becomes that of new values.
 */
static enum err_code find_stride(struct bout *b, const struct scene *s, const struct measure *m,
				 struct err *e)
{
	const double interval = b->interval;
	struct series raw;
	const enum err_code code = scene_load(s, m->channel, NULL, &raw, e);

	b->stride = 1;
	if (code != ERR_NONE)
		return code;
	if (interval > 0 && help_held(m->channel, &raw, help_interval(&raw), &b->interval))
		b->stride = (size_t)fmax(1.0, round(b->interval / interval));
	series_release(&raw);
	return ERR_NONE;
}

/* How many new values are among so many samples. */
static size_t fresh(const struct bout *b, size_t samples)
{
	const size_t n = (samples + b->stride / 2) / b->stride;

	return n > 0 || samples == 0 ? n : 1;
}

/* Of a sample about a smooth course, from samples first .. last. */
static double noise_of(const struct bout *b, size_t first, size_t last, double *scratch)
{
	const double *v = b->v->v;
	size_t i, n = 0;

	if (b->v->n < 5)
		return 0.0;
	for (i = first + 2 * b->stride; i <= last; i++)
		scratch[n++] = fabs(v[i] - 2 * v[i - b->stride] + v[i - 2 * b->stride]);
	return help_noise(scratch, n);
}

/* What moves elsewhere, a controlled drive say, is no noise of a run that stands still. */
static double noise_in(const struct bout *b, const struct run_over *run, double noise,
		       double *scratch)
{
	if (fresh(b, run->last - run->first + 1) < STILL_SAMPLES)
		return noise;
	return fmin(noise, noise_of(b, run->first, run->last, scratch));
}

static bool is_boosted(const struct scene *s, double t)
{
	if (s->boost.n == 0)
		return t >= s->from_s + SCENE_NO_BOOST_S;
	return series_at(&s->boost, t) > CHECK_BOOSTED_KPA;
}

void check_gate_apply(const struct check *c, const struct scene *s, struct series *v)
{
	const bool spooled = (c->gates & GATE_SPOOLED) != 0;
	const double to = (c->gates & GATE_FIRED) != 0 ? s->cut_s : INFINITY;
	double from = -INFINITY;
	size_t i, n = 0;

	if (spooled)
		from = scene_spool_end(s) + c->settle_s;
	else if ((c->gates & GATE_SETTLED) != 0)
		from = s->from_s + c->settle_s;
	for (i = 0; i < v->n; i++) {
		if (v->t[i] < from || v->t[i] >= to || !isfinite(v->v[i]))
			continue;
		if ((c->gates & GATE_BOOSTED) != 0 && !is_boosted(s, v->t[i]))
			continue;
		v->t[n] = v->t[i];
		v->v[n++] = v->v[i];
	}
	v->n = n;
}

static double limit_then(const struct bout *b, const struct scene *s, double t)
{
	return limit_at(b->line, b->line->n > 1 ? scene_rpm(s, t) : NAN);
}

static void hold_against(struct bout *b, const struct scene *s)
{
	const double sign = b->check->side == CHECK_OVER ? 1.0 : -1.0;
	size_t i;

	for (i = 0; i < b->v->n; i++)
		b->over[i] = sign * (b->v->v[i] - limit_then(b, s, b->v->t[i]));
}

static void add_run(struct runs_over *runs, size_t first, size_t last, double score)
{
	mem_grow(&runs->list, &runs->cap, runs->count + 1, sizeof *runs->list);
	runs->list[runs->count++] = (struct run_over){ first, last, score, SEVERITY_NONE };
}

/* May what lies between the last run and `next` be overlooked? */
static bool joins(const struct bout *b, const struct run_over *last, const struct run_over *next)
{
	const double gap = b->v->t[next->first] - b->v->t[last->last];
	double most = JOIN_INTERVALS * b->interval;
	double between = 0.0;
	size_t i;

	most = most > CHECK_JOIN_S ? most : CHECK_JOIN_S;
	for (i = last->last + 1; i < next->first; i++)
		between += b->over[i];
	return gap <= most && between + last->score > 0 && between + next->score > 0;
}

static void join(const struct bout *b, struct run_over *last, const struct run_over *next)
{
	size_t i;

	for (i = last->last + 1; i < next->first; i++)
		last->score += b->over[i];
	last->score += next->score;
	last->last = next->last;
}

/* Is there a hole before sample i? */
static bool is_torn(const struct series *v, size_t i)
{
	const double gap = v->t[i] - v->t[i - 1];

	return gap > v->hole && gap > CHECK_JOIN_S;
}

/* The runs of samples over the limit, those that belong together joined. */
static void find_runs(const struct bout *b, struct runs_over *runs)
{
	const struct series *v = b->v;
	size_t i = 0;

	runs->count = 0;
	while (i < v->n) {
		const size_t first = i;
		double score = 0.0;

		while (i < v->n && b->over[i] > 0 && (i == first || !is_torn(v, i)))
			score += b->over[i++];
		if (i == first) {
			i++;
			continue;
		}
		add_run(runs, first, i - 1, score);
		while (runs->count > 1 && joins(b, &runs->list[runs->count - 2],
						&runs->list[runs->count - 1])) {
			join(b, &runs->list[runs->count - 2], &runs->list[runs->count - 1]);
			runs->count--;
		}
	}
}

static bool lasts(const struct bout *b, const struct run_over *run, double least_s)
{
	const double length = b->v->t[run->last] - b->v->t[run->first];

	if (least_s <= 0)
		return true;
	return fresh(b, run->last - run->first + 1) > 1 && length + 1.5 * b->interval >= least_s;
}

static bool is_taken(const struct runs_over *taken, const struct run_over *run)
{
	size_t i;

	for (i = 0; i < taken->count; i++)
		if (run->first <= taken->list[i].last && taken->list[i].first <= run->last)
			return true;
	return false;
}

/* By how far the run is over the limit on average, what dips below it counted. */
static enum sureness how_sure(const struct run_over *run, size_t samples, double noise)
{
	const double mean = run->score / (double)(run->last - run->first + 1);

	if (samples < 3 || mean < noise)
		return SURE_THIN;
	return samples >= SURE_SAMPLES && mean >= 2 * noise ? SURE_CLEAR : SURE_FAIR;
}

/* The samples of a run as a finding, but for whose limit it was. */
static struct finding describe(const struct bout *b, const struct scene *s,
			       const struct measure *m, const struct run_over *run, double noise)
{
	const struct series *v = b->v;
	struct finding f = {
		.check = b->check, .severity = run->severity, .channel = m->channel,
		.pull = s->run->number, .from_s = v->t[run->first], .to_s = v->t[run->last],
		.interval_s = b->interval, .detail = mem_strdup(m->detail),
	};
	size_t worst = run->first;
	size_t i;

	for (i = run->first; i <= run->last; i++) {
		f.samples += b->over[i] > 0;
		if (i > run->first && b->over[i] > 0 && b->over[i - 1] > 0)
			f.over_s += v->t[i] - v->t[i - 1];
		if (b->over[i] > b->over[worst])
			worst = i;
	}
	f.worst = v->v[worst];
	f.worst_s = v->t[worst];
	f.limit = limit_then(b, s, f.worst_s);
	f.samples = fresh(b, f.samples);
	f.from_rpm = scene_rpm(s, f.from_s);
	f.to_rpm = scene_rpm(s, f.to_s);
	f.worst_rpm = scene_rpm(s, f.worst_s);
	f.sure = m->guess ? SURE_THIN : how_sure(run, f.samples, noise);
	return f;
}

/* What is only worth knowing must at least be known. */
static bool is_news(const struct finding *f)
{
	return f->severity > SEVERITY_NOTE || f->sure != SURE_THIN || f->check->least_s <= 0;
}

static void add_finding(struct check_report *out, const struct finding *f)
{
	mem_grow(&out->findings, &out->cap, out->count + 1, sizeof *out->findings);
	out->findings[out->count++] = *f;
	if (f->severity > out->worst)
		out->worst = f->severity;
}

enum err_code check_judge(struct check_report *out, const struct check *c,
			  const struct scene *s, const struct measure *m,
			  const struct limit *limit, struct err *e)
{
	struct runs_over runs = { NULL, 0, 0 }, taken = { NULL, 0, 0 };
	struct bout b = { c, &m->value, NULL, NULL, 0.0, 1 };
	double *scratch = mem_try_array(m->value.n + 1, sizeof *scratch);
	enum err_code code = ERR_NONE;
	int level;
	double noise;
	size_t i;

	b.over = mem_try_array(m->value.n + 1, sizeof *b.over);
	if (scratch == NULL || b.over == NULL) {
		code = err_set(e, ERR_MEMORY, "not enough memory for %zu samples", m->value.n);
		goto out;
	}
	b.interval = median_interval(&m->value, scratch);
	code = find_stride(&b, s, m, e);
	if (code != ERR_NONE)
		goto out;
	noise = m->value.n > 0 ? noise_of(&b, 0, m->value.n - 1, scratch) : 0.0;
	if (c->least_s <= SHORT_S && b.interval > out->slowest_s)
		out->slowest_s = b.interval;
	for (level = SEVERITY_STOP; level >= SEVERITY_NOTE; level--) {
		if (limit->level[level].n == 0)
			continue;
		b.line = &limit->level[level];
		hold_against(&b, s);
		find_runs(&b, &runs);
		for (i = 0; i < runs.count; i++) {
			struct run_over *run = &runs.list[i];
			struct finding f;

			run->severity = m->guess ? SEVERITY_NOTE : (enum severity)level;
			if (!lasts(&b, run, limit->least_s) || is_taken(&taken, run))
				continue;
			f = describe(&b, s, m, run,
				     noise_in(&b, run, noise, scratch));
			f.own = limit->own[level];
			if (is_news(&f))
				add_finding(out, &f);
			else
				free(f.detail);
			add_run(&taken, run->first, run->last, run->score);
		}
	}
out:
	free(runs.list);
	free(taken.list);
	free(b.over);
	free(scratch);
	return code;
}
