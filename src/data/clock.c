/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reading time stamps. */
#include "data/clock.h"

#include <stdbool.h>
#include <string.h>

#include "base/num.h"

#define DAY 86400.0

/* What is left of the cell. */
struct scan {
	const char *at;
	const char *end;
};

static bool is_digit(char c)
{
	return c >= '0' && c <= '9';
}

/* A whole number of least..most digits, no digit behind it. */
static bool scan_whole(struct scan *s, int least, int most, int *out)
{
	int digits = 0;

	*out = 0;
	for (; s->at < s->end && is_digit(*s->at) && digits <= most; s->at++, digits++)
		*out = *out * 10 + (*s->at - '0');
	return digits >= least && digits <= most;
}

static bool scan_char(struct scan *s, char c)
{
	if (s->at == s->end || *s->at != c)
		return false;
	s->at++;
	return true;
}

static void scan_blanks(struct scan *s)
{
	while (scan_char(s, ' '))
		;
}

/* "ss" or "ss.fff", point or comma; the seconds are below 61, for leap ones. */
static bool scan_seconds(struct scan *s, struct clock_stamp *out)
{
	const char *from = s->at;
	char mark = '.';
	int whole;

	if (!scan_whole(s, 2, 2, &whole))
		return false;
	if (s->at < s->end && (*s->at == '.' || *s->at == ',')) {
		mark = *s->at++;
		while (s->at < s->end && is_digit(*s->at))
			s->at++;
	}
	return num_parse(from, (size_t)(s->at - from), mark, &out->seconds, &out->decimals) &&
	       out->seconds < 61;
}

/* "AM" or "PM" behind a time of the twelve-hour clock. */
static bool scan_half_day(struct scan *s, double *seconds)
{
	const bool pm = s->at < s->end && (*s->at == 'P' || *s->at == 'p');
	const bool am = s->at < s->end && (*s->at == 'A' || *s->at == 'a');

	if (!(am || pm) || s->end - s->at < 2 || (s->at[1] != 'M' && s->at[1] != 'm'))
		return false;
	if (*seconds >= 13 * 3600.0)
		return false;
	s->at += 2;
	if (*seconds >= 12 * 3600.0)
		*seconds -= 12 * 3600.0;
	if (pm)
		*seconds += 12 * 3600.0;
	return true;
}

/* Colons and numbers; `dated`: two numbers are hours and minutes then. */
static enum clock_form scan_time(struct scan *s, bool dated, struct clock_stamp *out)
{
	int first;
	int second;
	struct scan ahead;

	if (!scan_whole(s, 1, 3, &first) || !scan_char(s, ':'))
		return CLOCK_NONE;
	ahead = *s;
	if (scan_whole(&ahead, 2, 2, &second) && second < 60 && scan_char(&ahead, ':') &&
	    scan_seconds(&ahead, out)) {
		*s = ahead;
		out->seconds += 3600.0 * first + 60.0 * second;
		return CLOCK_HOUR_MIN_SEC;
	}
	if (dated) {
		if (!scan_whole(s, 2, 2, &second) || second >= 60)
			return CLOCK_NONE;
		out->seconds = 3600.0 * first + 60.0 * second;
		return CLOCK_HOUR_MIN_SEC;
	}
	if (!scan_seconds(s, out) || out->seconds >= 60)
		return CLOCK_NONE;
	out->seconds += 60.0 * first;
	return CLOCK_MIN_SEC;
}

/* Days from 1970-01-01 in the proleptic Gregorian calendar, years from March on. */
static long days_of(int year, int month, int day)
{
	const long y = month <= 2 ? year - 1 : year;
	const long m = month <= 2 ? month + 9 : month - 3;
	const long day_of_year = (153 * m + 2) / 5 + day - 1;

	return 365 * y + y / 4 - y / 100 + y / 400 + day_of_year - 719468;
}

/* yyyy-mm-dd, yyyy/mm/dd or dd.mm.yyyy and the T or blanks behind it. */
static bool scan_date(struct scan *s, long *day)
{
	struct scan at = *s;
	int part[3];
	char mark;
	bool year_first;

	if (!scan_whole(&at, 1, 4, &part[0]) || at.at == at.end)
		return false;
	year_first = at.at - s->at == 4;
	mark = *at.at;
	if (year_first ? mark != '-' && mark != '/' : mark != '.')
		return false;
	if (!scan_char(&at, mark) || !scan_whole(&at, 1, 2, &part[1]) || !scan_char(&at, mark) ||
	    !scan_whole(&at, year_first ? 1 : 4, year_first ? 2 : 4, &part[2]))
		return false;
	if (!scan_char(&at, 'T') && !scan_char(&at, 't') && !scan_char(&at, ' '))
		return false;
	scan_blanks(&at);
	if (part[1] < 1 || part[1] > 12 || part[year_first ? 2 : 0] < 1 ||
	    part[year_first ? 2 : 0] > 31)
		return false;
	*day = year_first ? days_of(part[0], part[1], part[2])
			  : days_of(part[2], part[1], part[0]);
	*s = at;
	return true;
}

/* Z, +hh, +hhmm or +hh:mm, or nothing. */
static bool scan_zone(struct scan *s, double *zone)
{
	const bool west = s->at < s->end && *s->at == '-';
	int hours;
	int minutes = 0;

	if (s->at == s->end || scan_char(s, 'Z') || scan_char(s, 'z'))
		return true;
	if (*s->at != '+' && *s->at != '-')
		return false;
	s->at++;
	if (s->end - s->at == 4 && is_digit(s->at[2])) {
		if (!scan_whole(s, 4, 4, &hours))
			return false;
		minutes = hours % 100;
		hours /= 100;
	} else if (!scan_whole(s, 2, 2, &hours) ||
		   (scan_char(s, ':') && !scan_whole(s, 2, 2, &minutes))) {
		return false;
	}
	*zone = (west ? -60.0 : 60.0) * (60 * hours + minutes);
	return hours < 24 && minutes < 60;
}

enum clock_form clock_parse(const char *cell, size_t n, struct clock_stamp *out)
{
	struct scan s = { cell, cell + n };
	enum clock_form form;
	bool dated;
	bool negative;

	*out = (struct clock_stamp){ 0 };
	if (memchr(cell, ':', n) == NULL)
		return CLOCK_NONE;
	dated = scan_date(&s, &out->day);
	negative = !dated && scan_char(&s, '-');
	form = scan_time(&s, dated, out);
	if (form == CLOCK_NONE)
		return CLOCK_NONE;
	scan_blanks(&s);
	if (!negative && form == CLOCK_HOUR_MIN_SEC && scan_half_day(&s, &out->seconds))
		scan_blanks(&s);
	if (dated && (out->seconds > DAY + 1 || !scan_zone(&s, &out->zone)))
		return CLOCK_NONE;
	if (s.at != s.end)
		return CLOCK_NONE;
	if (negative)
		out->seconds = -out->seconds;
	return dated ? CLOCK_DATE : form;
}

double clock_since(const struct clock_stamp *first, const struct clock_stamp *stamp)
{
	return DAY * (double)(stamp->day - first->day) + stamp->seconds -
	       (stamp->zone - first->zone);
}
