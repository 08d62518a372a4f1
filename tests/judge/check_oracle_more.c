/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Values that need more than a line: swings, dips, slip, the compressor, knock, a sensor. */
#include <gsl/gsl_multifit.h>
#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "judge/check_oracle_value.h"

#define SWING_HALF_S 0.2	/* half of the simulator's period of 2.5 Hz */
#define SLOPE_HALF_S 0.1
#define LEVEL_S 0.5
#define AROUND_S 5.0
#define SLIP_SMOOTH_S 0.2

static bool in_pull(const struct oracle *o, size_t row)
{
	return o->truth->t[row] >= o->from_s && o->truth->t[row] <= o->to_s;
}

/* Straight between the true rows; NaN outside of the pull. */
static double at(const struct oracle *o, const double *v, double t)
{
	const double *time = o->truth->t;
	size_t low = 0, high = o->truth->rows - 1;

	if (t < o->from_s - 1e-6 || t > o->to_s + 1e-6 || t < time[0] || t > time[high])
		return NAN;
	while (high - low > 1) {
		const size_t mid = (low + high) / 2;

		*(time[mid] <= t ? &low : &high) = mid;
	}
	return v[low] + (v[high] - v[low]) * (t - time[low]) / (time[high] - time[low]);
}

/* Fits line and sine to the true rows within `half` of t; NaN with too few of them. */
static double amplitude_at(const struct oracle *o, double t, double half)
{
	gsl_multifit_linear_workspace *work;
	gsl_matrix *x, *covariance = gsl_matrix_alloc(4, 4);
	gsl_vector *y, *c = gsl_vector_alloc(4);
	double squares, amplitude = NAN;
	size_t first = 0, n = 0, i;

	while (first < o->truth->rows && o->truth->t[first] < t - half - 1e-6)
		first++;
	while (first + n < o->truth->rows && o->truth->t[first + n] <= t + half + 1e-6)
		n++;
	if (n > 4) {
		work = gsl_multifit_linear_alloc(n, 4);
		x = gsl_matrix_alloc(n, 4);
		y = gsl_vector_alloc(n);
		for (i = 0; i < n; i++) {
			const double d = o->truth->t[first + i] - t;

			gsl_matrix_set(x, i, 0, 1.0);
			gsl_matrix_set(x, i, 1, d);
			gsl_matrix_set(x, i, 2, cos(acos(-1.0) * d / SWING_HALF_S));
			gsl_matrix_set(x, i, 3, sin(acos(-1.0) * d / SWING_HALF_S));
			gsl_vector_set(y, i, o->gauge[first + i]);
		}
		gsl_multifit_linear(x, y, c, covariance, &squares, work);
		amplitude = hypot(gsl_vector_get(c, 2), gsl_vector_get(c, 3));
		gsl_vector_free(y);
		gsl_matrix_free(x);
		gsl_multifit_linear_free(work);
	}
	gsl_vector_free(c);
	gsl_matrix_free(covariance);
	return amplitude;
}

/*
 * Amplitude of the simulator's 2.5 Hz on a straight course, within a period about the row, or
 * three rows to either side.
 * (Half of the way between the extremes would depend on how near to them the rows are.)
 */
bool oracle_swing(struct oracle *o, const struct oracle_def *def, const struct true_pull *pull,
		  const struct oracle_setup *setup)
{
	const double row_s = (o->truth->t[o->truth->rows - 1] - o->truth->t[0]) /
			     (double)(o->truth->rows - 1);
	const double half = fmax(SWING_HALF_S, 3.0 * row_s);
	size_t i;

	(void)def, (void)pull, (void)setup;
	for (i = 0; o->gauge != NULL && i < o->truth->rows; i++) {
		/* At the ends of the pull what is nearest. */
		const double t = fmin(fmax(o->truth->t[i], o->from_s + half), o->to_s - half);

		o->x[i] = in_pull(o, i) ? amplitude_at(o, t, half) : NAN;
	}
	return o->gauge != NULL;
}

void oracle_smooth(const struct oracle *o, const double *v, double width_s, double *out)
{
	const double half = width_s / 2 + 1e-6;	/* a row at the edge counts, whatever the rounding */
	size_t i, k;

	for (i = 0; i < o->truth->rows; i++) {
		double sum = 0.0;
		size_t n = 0;

		for (k = i; k > 0 && o->truth->t[k - 1] >= o->truth->t[i] - half; k--)
			;
		for (; k < o->truth->rows && o->truth->t[k] <= o->truth->t[i] + half; k++)
			if (!isnan(v[k])) {
				sum += v[k];
				n++;
			}
		out[i] = isnan(v[i]) ? NAN : sum / (double)n;
	}
}

/* The greatest of the rows within the times; -INFINITY without any. */
static double greatest(const struct oracle *o, const double *v, double from_s, double to_s)
{
	double most = -INFINITY;
	size_t i;

	for (i = 0; i < o->truth->rows; i++)
		if (o->truth->t[i] >= from_s && o->truth->t[i] <= to_s && v[i] > most)
			most = v[i];
	return most;
}

/*
 * Acceleration (over 0.2 s) lost against the lower of the greatest means of half a second
 * before and behind it.
 */
bool oracle_hesitation(struct oracle *o, const struct oracle_def *def,
		       const struct true_pull *pull, const struct oracle_setup *setup)
{
	const double *rpm = check_truth_of(o->truth, "rpm");
	const double from = o->from_s + check_get(o->id)->settle_s;
	double *slope = mem_array(o->truth->rows, sizeof *slope);
	double *level = mem_array(o->truth->rows, sizeof *level);
	size_t i;

	(void)def, (void)pull, (void)setup;
	for (i = 0; i < o->truth->rows; i++) {
		const double t = o->truth->t[i];

		slope[i] = (at(o, rpm, t + SLOPE_HALF_S) - at(o, rpm, t - SLOPE_HALF_S)) /
			   (2 * SLOPE_HALF_S);
	}
	oracle_smooth(o, slope, LEVEL_S, level);
	for (i = 0; i < o->truth->rows; i++) {
		const double t = o->truth->t[i];
		const double usual = fmin(greatest(o, level, fmax(from, t - AROUND_S), t),
					  greatest(o, level, t, t + AROUND_S));

		o->x[i] = usual > 0 ? 100.0 * (1.0 - slope[i] / usual) : NAN;
	}
	free(level);
	free(slope);
	return true;
}

/* The baseline's ignition at the engine speed, in its first pull; NaN outside. */
static double baseline_at(const struct check_truth *b, double rpm)
{
	const double *speed = check_truth_of(b, "rpm"), *v = check_truth_of(b, "ignition");
	size_t i;

	for (i = 1; i < b->rows; i++)
		if (b->t[i - 1] >= b->pulls[0].from_s && b->t[i] <= b->pulls[0].to_s &&
		    speed[i - 1] <= rpm && speed[i] > rpm)
			return v[i - 1] + (v[i] - v[i - 1]) * (rpm - speed[i - 1]) /
						  (speed[i] - speed[i - 1]);
	return NAN;
}

bool oracle_against(struct oracle *o, const struct oracle_def *def,
		    const struct true_pull *pull, const struct oracle_setup *setup)
{
	const double *rpm = check_truth_of(o->truth, "rpm");
	const double *v = check_truth_of(o->truth, "ignition");
	size_t i;

	(void)def, (void)pull;
	if (setup->baseline == NULL || setup->baseline->pull_count == 0 ||
	    check_truth_of(setup->baseline, "ignition") == NULL)
		return false;
	for (i = 0; i < o->truth->rows; i++)
		o->x[i] = in_pull(o, i) ? baseline_at(setup->baseline, rpm[i]) - v[i] : NAN;
	return true;
}

static int by_value(const void *pa, const void *pb)
{
	const double a = *(const double *)pa, b = *(const double *)pb;

	return (a > b) - (a < b);
}

/* Engine speed over road speed (mean of 0.2 s), per cent over its median in the pull. */
bool oracle_slip(struct oracle *o, const struct oracle_def *def, const struct true_pull *pull,
		 const struct oracle_setup *setup)
{
	const double *rpm = check_truth_of(o->truth, "rpm");
	const double *speed = check_truth_of(o->truth, o->primary);
	double *sorted = mem_array(o->truth->rows + 1, sizeof *sorted);
	double usual;
	size_t i, n = 0;

	(void)def, (void)pull, (void)setup;
	for (i = 0; i < o->truth->rows; i++)
		sorted[i] = in_pull(o, i) && speed[i] > 0 ? rpm[i] / speed[i] : NAN;
	oracle_smooth(o, sorted, SLIP_SMOOTH_S, o->x);
	for (i = 0; i < o->truth->rows; i++)
		if (!isnan(o->x[i]))
			sorted[n++] = o->x[i];
	qsort(sorted, n, sizeof *sorted, by_value);
	usual = n > 0 ? sorted[n / 2] : NAN;
	for (i = 0; i < o->truth->rows; i++)
		o->x[i] = 100.0 * (o->x[i] / usual - 1.0);
	free(sorted);
	return n > 0;
}

static double air_pressure(const struct oracle *o, const struct oracle_setup *setup)
{
	const double loss = isnan(setup->car->inlet_loss_kpa) ? 0.0 : setup->car->inlet_loss_kpa;

	return o->truth->air_kpa - loss;
}

/* Flow corrected to the map's reference, per cent of its edge at that pressure ratio. */
bool oracle_flow(struct oracle *o, const struct oracle_def *def, const struct true_pull *pull,
		 const struct oracle_setup *setup)
{
	const double *maf = check_truth_of(o->truth, "maf");
	const double *air = check_truth_of(o->truth, "ambient");
	const double pressure = air_pressure(o, setup);
	size_t i;

	(void)def, (void)pull;
	if (setup->car->edge.n == 0 || air == NULL || o->gauge == NULL)
		return false;
	for (i = 0; i < o->truth->rows; i++) {
		const double heat = (air[i] + 273.15) / (setup->car->reference_c + 273.15);
		const double flow = maf[i] / 1000.0 * sqrt(heat) /
				    (pressure / setup->car->reference_kpa);

		o->x[i] = 100.0 * flow / setup->car->edge.flow[0];	/* the edge is upright here */
	}
	return true;
}

bool oracle_ratio(struct oracle *o, const struct oracle_def *def, const struct true_pull *pull,
		  const struct oracle_setup *setup)
{
	const double *map = check_truth_of(o->truth, "map");
	size_t i;

	(void)def, (void)pull;
	for (i = 0; i < o->truth->rows; i++)
		o->x[i] = 100.0 * map[i] / air_pressure(o, setup) / setup->car->pressure_ratio;
	return !isnan(setup->car->pressure_ratio);
}

enum knock_kind { KNOCK_MOST, KNOCK_ODD, KNOCK_LEAST };

static bool knock(struct oracle *o, enum knock_kind kind)
{
	const double *v[4] = {
		check_truth_of(o->truth, "knock1"), check_truth_of(o->truth, "knock2"),
		check_truth_of(o->truth, "knock3"), check_truth_of(o->truth, "knock4"),
	};
	size_t i, k;

	for (k = 0; k < 4; k++)
		if (v[k] == NULL)
			return false;
	for (i = 0; i < o->truth->rows; i++) {
		double most = -INFINITY, least = INFINITY, sum = 0.0;

		for (k = 0; k < 4; k++) {
			most = fmax(most, v[k][i]);
			least = fmin(least, v[k][i]);
			sum += v[k][i];
		}
		/* Of the three others the median is what is neither most nor least of them. */
		o->x[i] = kind == KNOCK_MOST ? most : kind == KNOCK_LEAST ? least : NAN;
		if (kind == KNOCK_ODD) {
			double high = -INFINITY;
			bool skipped = false;

			for (k = 0; k < 4; k++) {
				if (v[k][i] == most && !skipped)
					skipped = true;
				else
					high = fmax(high, v[k][i]);
			}
			o->x[i] = most - (sum - most - high - least);
		}
	}
	return true;
}

bool oracle_knock_most(struct oracle *o, const struct oracle_def *def,
		       const struct true_pull *pull, const struct oracle_setup *setup)
{
	(void)def, (void)pull, (void)setup;
	return knock(o, KNOCK_MOST);
}

bool oracle_knock_odd(struct oracle *o, const struct oracle_def *def,
		       const struct true_pull *pull, const struct oracle_setup *setup)
{
	(void)def, (void)pull, (void)setup;
	return knock(o, KNOCK_ODD);
}

bool oracle_knock_all(struct oracle *o, const struct oracle_def *def,
		       const struct true_pull *pull, const struct oracle_setup *setup)
{
	(void)def, (void)pull, (void)setup;
	return knock(o, KNOCK_LEAST);
}

/* As a sensor records it: a coarse one in whole kPa. */
static double recorded(const struct oracle *o, const struct oracle_setup *setup, double value)
{
	return setup->coarse && o->id == CHECK_MAP_FLAT ? floor(value + 0.5) : value;
}

/*
 * How long at the sensor's end, at all rows there; just short of the limit where noise may
 * yet carry a reading to the end.  It is the recording that is judged: a coarse sensor is at
 * its end half a step before the pressure is.
 */
bool oracle_flat(struct oracle *o, const struct oracle_def *def, const struct true_pull *pull,
		 const struct oracle_setup *setup)
{
	const double *v = check_truth_of(o->truth, o->primary);
	const double nearly = 4.0 * 0.4 * setup->noise + (setup->coarse ? 1.0 : 0.1);
	const double end = o->id == CHECK_MAP_FLAT ? setup->map_end : setup->maf_end;
	size_t i, k, first = 0;
	bool inside = false;

	(void)def, (void)pull;
	for (i = 0; i <= o->truth->rows; i++) {
		const bool flat_here = i < o->truth->rows && in_pull(o, i) &&
				       recorded(o, setup, v[i]) >= recorded(o, setup, end);

		if (flat_here && !inside)
			first = i;
		for (k = first; !flat_here && inside && k < i; k++)
			o->x[k] = o->truth->t[i - 1] - o->truth->t[first];
		inside = flat_here;
		if (i < o->truth->rows)
			o->x[i] = v[i] >= end - nearly && in_pull(o, i) ? 0.29 : 0.0;
	}
	return true;
}
