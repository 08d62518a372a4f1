#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Compares every field of `twinpull stats --format json` with numpy on random spans.

    python3 numpy_spans.py PROGRAM SIM [SPANS [SEED]]

PROGRAM is twinpull, SIM the simulator of tests/sim.  Logs are made with the
simulator from seeds; on each, random spans are drawn on both axes, and what the
program says of every numeric channel is compared with the same number computed here
from the CSV, with numpy in extended precision and from the definitions in
calc/series.h, axis.h and stats.h alone.  The isotonic fit is computed by another way
than the program's: as the slopes of the greatest convex minorant of the cumulative
sums, in exact rational arithmetic; where R is there, its isoreg() is asked as well.
Then come files of random numbers of many magnitudes, taken as `LOG@all --axis time`.

Exits 0 when all agree, 1 with each difference (file, span, channel, field), 77 without
numpy.  Prints the number of comparisons and the worst difference of each field.

Tolerance: TOLERANCE of the wanted value; where the wanted value is what is left of larger
terms that cancel, of those terms (SCALES says which).
"""
import csv
import json
import os
import random
import shutil
import subprocess
import sys
import tempfile
from fractions import Fraction

try:
    import numpy as np
except ImportError:
    print("numpy_spans: numpy is missing")
    sys.exit(77)

TOLERANCE = 1e-12
ULP = 2.0 ** -52
HOLE = 5.001                      # calc/series.h
STEPPED = {"gear", "ethanol", "misfires"}
Long = np.longdouble

# Fields that must be the very double that numpy has.
EXACT = {"n", "min", "max", "first", "last", "change"}

# What a tolerance is a share of, besides the wanted value itself, and why.
SCALES = {
    "mean": "4 ulp of the largest sample: samples of either sign cancel",
    "sd": "4 ulp of the largest sample: of equal samples only rounding is left",
    "median": "4 ulp of the larger neighbour: a middle of two of either sign cancels",
    "p05": "as the median",
    "p95": "as the median",
    "time_mean": "the mean of |value| over time: areas of either sign cancel",
    "integral": "the integral of |value|: as above",
    "slope_per_s": "sum |dx dv| / sum dx^2: without a trend the products cancel",
    "slope_per_krpm": "as slope_per_s, and more where engine speed, which is rounded when it is "
                      "interpolated, hardly varies: by 4 ulp of it over its deviation",
    "lag1": "sum |d_i d_i+1| / sum d^2: as above, and at least 4 ulp of 1: a deviation that "
            "is 0 but for rounding",
}


class Worst:
    """The worst differences seen, by field: as a share of the value, where it is not the
    rest of larger terms, and of the tolerance, always."""

    def __init__(self):
        self.count = {}
        self.relative = {}
        self.used = {}
        self.failures = []

    def compare(self, where, field, got, want, scale):
        self.count[field] = self.count.get(field, 0) + 1
        if want is None or got is None:
            if want is not got:
                self.fail(where, field, got, want)
            return
        off = abs(float(Long(got) - Long(want)))
        if off == 0.0:
            return
        if want != 0 and abs(float(want)) >= scale:
            relative = off / abs(float(want))
            self.relative[field] = max(self.relative.get(field, 0.0), relative)
        allowed = 0.0 if field in EXACT else TOLERANCE * max(abs(float(want)), float(scale))
        used = off / allowed if allowed > 0.0 else float("inf")
        self.used[field] = max(self.used.get(field, 0.0), used)
        if used > 1.0:
            self.fail(where, field, got, want)

    def fail(self, where, field, got, want):
        self.failures.append(f"{where}: {field} is {got!r}, numpy has {want!r}")

    def report(self):
        print(f"{sum(self.count.values())} values compared")
        print(f"{'field':15} {'compared':>9} {'worst/value':>12} {'worst/tolerance':>16}")
        for field, count in self.count.items():
            print(f"{field:15} {count:9} {self.relative.get(field, 0.0):12.2g} "
                  f"{self.used.get(field, 0.0):16.2g}")
        for line in self.failures[:40]:
            print(line)
        if len(self.failures) > 40:
            print(f"... and {len(self.failures) - 40} more")


class Series:
    """Samples with their times; missing ones left out."""

    def __init__(self, t, v, stepped):
        there = ~(np.isnan(t) | np.isnan(v))
        self.t, self.v, self.stepped = t[there], v[there], stepped
        gaps = np.diff(self.t)
        gaps = gaps[gaps > 0]
        self.hole = HOLE * np.median(gaps) if len(self.t) > 2 and len(gaps) else np.inf

    def at(self, x):
        """Values at the times x, which lie in order or not; NaN where there is none."""
        x = np.atleast_1d(np.asarray(x, dtype=Long))
        t, v = self.t.astype(Long), self.v.astype(Long)
        out = np.full(len(x), np.nan, dtype=Long)
        if len(t) == 0:
            return out
        after = np.searchsorted(t, x, "left")
        on = (after < len(t)) & (t[np.minimum(after, len(t) - 1)] == x)
        out[on] = v[after[on]]
        between = ~on & (after > 0) & (after < len(t))
        k = after[between]
        gap = self.t[k] - self.t[k - 1]
        share = (x[between] - t[k - 1]) / (t[k] - t[k - 1])
        value = v[k - 1] if self.stepped else v[k - 1] + (v[k] - v[k - 1]) * share
        out[between] = np.where(gap > self.hole, np.nan, value)
        return out


def convex_minorant(values):
    """The isotonic fit: slopes of the greatest convex minorant of the cumulative sums."""
    sums = [Fraction(0)]
    for v in values:
        sums.append(sums[-1] + Fraction(float(v)))
    hull = [0]
    for i in range(1, len(sums)):
        while len(hull) > 1:
            a, b = hull[-2], hull[-1]
            # b is no corner when it does not lie below the line from a to i
            if (sums[b] - sums[a]) * (i - b) < (sums[i] - sums[b]) * (b - a):
                break
            hull.pop()
        hull.append(i)
    return [(a, b, (sums[b] - sums[a]) / (b - a)) for a, b in zip(hull, hull[1:])]


class TimeMap:
    """Position = time - zero, over from_s .. to_s; zero 0 is a whole log on its clock."""

    def __init__(self, from_s, to_s, zero):
        self.from_s, self.to_s, self.zero = from_s, to_s, zero
        self.low, self.high = from_s - zero, to_s - zero

    def to_time(self, p):
        if p <= self.low:
            return self.from_s
        if p >= self.high:
            return self.to_s
        return min(max(p + self.zero, self.from_s), self.to_s)

    def to_position(self, t):
        return t - self.zero


class RpmMap:
    """Knots of the isotonic fit, as calc/axis.h defines them."""

    def __init__(self, rpm):
        levels = convex_minorant(rpm.v)
        self.fit = np.concatenate([np.full(b - a, float(x)) for a, b, x in levels])
        self.t, self.p = [], []
        for a, b, level in levels:
            first, last = rpm.t[a], rpm.t[b - 1]
            at = rpm.t[0] if a == 0 else last if b == len(rpm.v) else 0.5 * (first + last)
            if not self.t or at > self.t[-1]:
                self.t.append(at)
                self.p.append(float(level))
        self.low, self.high = self.p[0], self.p[-1]

    @staticmethod
    def interpolate(x, y, at):
        k = min(max(int(np.searchsorted(x, at, "left")), 1), len(x) - 1)
        x0, x1, y0, y1 = (Long(z) for z in (x[k - 1], x[k], y[k - 1], y[k]))
        return float(y0 + (y1 - y0) * (Long(at) - x0) / (x1 - x0))

    def to_time(self, p):
        return self.interpolate(self.p, self.t, min(max(p, self.low), self.high))

    def to_position(self, t):
        if t < self.t[0] or t > self.t[-1]:
            return None
        return self.interpolate(self.t, self.p, t)


def centre(v):
    """The mean, and deviations from it: by way of a value among them, to lose no digits."""
    middle = np.sort(v)[len(v) // 2]
    d = v.astype(Long) - middle
    mean = d.mean()
    return middle + mean, d - mean


def slope(x, v):
    """Least squares of v on x, and the scale of the terms it is the rest of."""
    there = ~np.isnan(x)
    x, v = x[there], v[there]
    if len(x) < 2 or x.max() == x.min():
        return None, 0.0
    dx, dv = centre(x)[1], centre(v)[1]
    return np.dot(dx, dv) / np.dot(dx, dx), np.abs(dx * dv).sum() / np.dot(dx, dx)


def pieces(s, t0, t1, inside):
    """The trapezoids between t0, the samples inside and t1: widths and areas."""
    t = np.concatenate([[t0], s.t[inside], [t1]]).astype(Long)
    v = np.concatenate([s.at(t0), s.v[inside].astype(Long), s.at(t1)])
    width = np.diff(t)
    height = v[:-1] if s.stepped else (v[:-1] + v[1:]) / 2
    good = ~(np.isnan(v[:-1]) | np.isnan(v[1:])) & (np.diff(t.astype(float)) <= s.hole)
    size = np.maximum(np.abs(v[:-1]), np.abs(v[1:]))
    return width[good], (width * height)[good], (width * size)[good]


def compute(s, axis, rpm, lo, hi):
    """Every field of the samples of s on lo .. hi of the axis: {field: (value, scale)}."""
    t0, t1 = axis.to_time(lo), axis.to_time(hi)
    inside = (s.t >= t0) & (s.t <= t1)
    t, v = s.t[inside], s.v[inside]
    n = len(v)
    out = dict.fromkeys(("min", "min_at", "max", "max_at", "mean", "time_mean", "sd", "median",
                         "p05", "p95", "first", "last", "change", "slope_per_s",
                         "slope_per_krpm", "integral", "lag1"), (None, 0.0))
    out["n"] = (n, 0.0)
    width, area, size = pieces(s, t0, t1, inside)
    if width.sum() > 0:
        out["integral"] = (area.sum(), size.sum())
        out["time_mean"] = (area.sum() / width.sum(), size.sum() / width.sum())
    if n == 0:
        return out
    ulps = 4 * ULP * np.abs(v).max() / TOLERANCE
    mean, d = centre(v)
    for field, q in (("median", 50), ("p05", 5), ("p95", 95)):
        h = (n - 1) * (q / 100)
        near = np.sort(v)[[int(np.floor(h)), int(np.ceil(h))]]
        out[field] = (np.percentile(v, q), 4 * ULP * np.abs(near).max() / TOLERANCE)
    out["min"], out["max"] = (v.min(), 0.0), (v.max(), 0.0)
    out["min_at"] = (axis.to_position(t[np.argmin(v)]), 0.0)
    out["max_at"] = (axis.to_position(t[np.argmax(v)]), 0.0)
    out["mean"] = (mean, ulps)
    out["first"], out["last"], out["change"] = (v[0], 0.0), (v[-1], 0.0), (v[-1] - v[0], 0.0)
    if n > 1:
        square = np.dot(d, d)
        out["sd"] = (np.sqrt(square / (n - 1)), ulps)
        if square > 0:
            out["lag1"] = (np.dot(d[1:], d[:-1]) / square,
                           max(np.abs(d[1:] * d[:-1]).sum() / square, 4 * ULP / TOLERANCE))
    out["slope_per_s"] = slope(t, v)
    if rpm is not None and len(rpm.t):
        x = rpm.at(t)
        value, scale = slope(x, v)
        if value is not None:
            rounding = 4 * ULP * np.nanmax(x) / np.nanstd(x)
            out["slope_per_krpm"] = (value * 1000, scale * 1000 * max(1, rounding / TOLERANCE))
    return out


def run(*command):
    result = subprocess.run(command, capture_output=True, check=False)
    if result.returncode != 0:
        print(f"{' '.join(command)}: exit {result.returncode}: {result.stderr.decode()}")
        sys.exit(1)
    return result.stdout


def number(cell):
    try:
        return float(cell)
    except ValueError:
        return float("nan")


class Log:
    """A CSV read with Python's own reader, and what the program made of its columns."""

    def __init__(self, program, path):
        self.program, self.path = program, path
        with open(path, newline="", encoding="utf-8") as f:
            rows = list(csv.reader(f))
        self.columns = {name: np.array([number(row[i]) for row in rows[1:]])
                        for i, name in enumerate(rows[0])}
        self.time = self.columns[rows[0][0]]
        info = json.loads(run(program, "channels", "--format", "json", path))
        assert info["rows"] == len(self.time), path
        self.raw = {c["name"]: c["raw_name"] for c in info["channels"] if not c["derived"]}
        self.rpm_name = next((c["raw_name"] for c in info["channels"]
                              if c["quantity"] == "rpm"), None)

    def pulls(self):
        return json.loads(run(self.program, "pulls", "--format", "json",
                              self.path))["logs"][0]["pulls"]

    def series(self, raw, rows, stepped=False):
        return Series(self.time[rows], self.columns[raw][rows], stepped)

    def check(self, worst, ref, rows, axis, rpm, span):
        """Runs `stats` and compares every channel that the file has itself."""
        name = "rpm" if isinstance(axis, RpmMap) else "time"
        args = ["--align", "start"] if name == "time" and axis.zero != 0.0 else []
        args += [] if span is None else ["--span", f"{span[0]!r}:{span[1]!r}"]
        where = f"{os.path.basename(self.path)}{ref} {name} {' '.join(args)}"
        result = json.loads(run(self.program, "stats", "--format", "json", "--axis", name, *args,
                                self.path + ref))
        lo, hi = (axis.low, axis.high) if span is None else span
        lo, hi = max(lo, axis.low), min(hi, axis.high)
        worst.compare(where, "from", result["from"], lo, 0.0)
        worst.compare(where, "to", result["to"], hi, 0.0)
        worst.compare(where, "from_s", result["a"]["from_s"], axis.to_time(lo), 0.0)
        worst.compare(where, "to_s", result["a"]["to_s"], axis.to_time(hi), 0.0)
        seen = 0
        for channel in result["channels"]:
            raw = self.raw.get(channel["name"])
            if raw is None:
                continue
            seen += 1
            s = self.series(raw, rows, channel["quantity"] in STEPPED)
            want = compute(s, axis, rpm, lo, hi)
            assert channel["a"].keys() == want.keys(), channel["a"].keys() ^ want.keys()
            for field, (value, scale) in want.items():
                worst.compare(f"{where} '{raw}'", field, channel["a"][field], value, scale)
        return seen


def draw_span(rng, axis, ends):
    """Anywhere, at samples, over an end, or very narrow."""
    kind = rng.choice((0, 1, 1, 1, 2, 3, 4, 5))
    a, b = rng.uniform(axis.low, axis.high), rng.uniform(axis.low, axis.high)
    if kind == 1 and len(ends) > 0:
        a, b = float(rng.choice(ends)), float(rng.choice(ends))
    elif kind == 2:
        a, b = axis.low - rng.uniform(0.0, 5.0), rng.uniform(axis.low, axis.high)
    elif kind == 3:
        a, b = rng.uniform(axis.low, axis.high), axis.high + rng.uniform(0.0, 5.0)
    elif kind == 4:
        b = a + (axis.high - axis.low) * rng.uniform(0.0, 0.01)
    elif kind == 5:
        a, b = round(a, 1), round(b, 1)
    a, b = min(a, b), max(a, b)
    # the program refuses a span without width, and one that lies outside
    return (a, b) if a < b and a < axis.high and b > axis.low else (axis.low, axis.high)


SETTINGS = [
    [],
    ["--rate", "50", "--jitter", "0.1", "--channels", "all"],
    ["--rate", "25", "--poll", "3", "--jitter", "0.05", "--channels", "all", "--car", "large"],
    ["--rate", "100", "--drop-cells", "0.1", "--drop-rows", "0.05", "--scenario", "two"],
    ["--rate", "10", "--gaps", "20", "--coarse", "--channels", "all", "--scenario", "limiter"],
    ["--rate", "20", "--gaps", "10", "--poll", "2", "--noise", "5", "--scenario", "drive",
     "--minutes", "3", "--channels", "club"],
    ["--rate", "15", "--clock-start", "80000", "--jitter", "0.2", "--channels", "all"],
    ["--rate", "40", "--noise", "20", "--scenario", "slip", "--channels", "all"],
]


def check_r(fit_log):
    """R's isoreg() on the same engine speeds; returns the worst relative difference."""
    if shutil.which("Rscript") is None or not fit_log:
        return None
    code = ("for (l in readLines(file('stdin'))) { v <- as.numeric(strsplit(l, ' ')[[1]]); "
            "cat(sprintf('%.17g', isoreg(v)$yf)); cat('\\n') }")
    text = "\n".join(" ".join(repr(float(x)) for x in rpm.v) for rpm, _ in fit_log)
    result = subprocess.run(["Rscript", "-e", code], input=text.encode(), capture_output=True,
                            check=False)
    if result.returncode != 0:
        return None
    lines = result.stdout.decode().splitlines()
    return max(float(np.max(np.abs(np.array(line.split(), dtype=float) / fit - 1)))
               for line, (_, fit) in zip(lines, fit_log))


def simulated(program, sim, folder, spans, worst, rng):
    """Logs of the simulator: whole on their clock, and each pull on both axes."""
    drawn = channels = 0
    fits = []
    for seed, settings in enumerate(SETTINGS):
        path = os.path.join(folder, f"sim{seed}.csv")
        run(sim, "--seed", str(seed + 1), "--style", "plain", "--time-decimals", "3", *settings,
            "-o", path)
        log = Log(program, path)
        everything = np.ones(len(log.time), dtype=bool)
        jobs = [("@all", everything, TimeMap(log.time[0], log.time[-1], zero))
                for zero in (0.0, log.time[0])]
        for pull in log.pulls():
            rows = (log.time >= pull["from_s"]) & (log.time <= pull["to_s"])
            ref = f"@{pull['pull']}"
            jobs.append((ref, rows, TimeMap(pull["from_s"], pull["to_s"], pull["from_s"])))
            axis = RpmMap(log.series(log.rpm_name, rows))
            fits.append((log.series(log.rpm_name, rows), axis.fit))
            jobs.append((ref, rows, axis))
        for ref, rows, axis in jobs:
            rpm = log.series(log.rpm_name, rows)
            ends = (log.time[rows] - axis.zero if isinstance(axis, TimeMap) else
                    np.array(axis.p))
            count = max(2, spans // (len(SETTINGS) * len(jobs)))
            channels += log.check(worst, ref, rows, axis, rpm, None)
            for _ in range(count):
                channels += log.check(worst, ref, rows, axis, rpm, draw_span(rng, axis, ends))
            drawn += count + 1
    assert fits, "no pull was found in any log"
    return drawn, channels, fits


def random_value(rng, kind):
    if kind == 0:
        return rng.choice((-1, 1)) * 10.0 ** rng.uniform(-12, 12)
    if kind == 1:
        return rng.uniform(-1, 1) * 1e-9
    if kind == 2:
        return 1e9 + rng.gauss(0, 0.01)
    if kind == 3:
        return float(rng.randrange(-5, 6))
    if kind == 4:
        return rng.choice((-1, 1)) * 10.0 ** rng.uniform(-100, 100)
    return round(rng.gauss(100, 30), rng.randrange(5))


def random_files(program, folder, spans, worst, rng):
    """Numbers of any size, written in several ways, with cells missing."""
    drawn = channels = 0
    for k in range(max(4, spans // 20)):
        path = os.path.join(folder, f"random{k}.csv")
        kinds = [rng.randrange(6) for _ in range(rng.randrange(2, 12))]
        losses = [rng.choice((0.0, 0.05, 0.5, 0.9)) for _ in kinds]
        t = rng.choice((0.0, rng.uniform(-50, 50), 1.7e9))
        with open(path, "w", encoding="utf-8") as f:
            f.write("Time (s)," + ",".join(f"thing {chr(97 + i)}" for i in range(len(kinds))) + "\n")
            for _ in range(rng.choice((2, 3, 10, 300))):
                t += rng.choice((0.05, 0.05, 0.05, rng.uniform(0.001, 0.1), rng.uniform(0, 2)))
                cells = ["" if rng.random() < loss else
                         rng.choice((repr, "{:.6g}".format, "{:.17e}".format))(random_value(rng, kind))
                         for kind, loss in zip(kinds, losses)]
                f.write(f"{t:.4f}," + ",".join(cells) + "\n")
        log = Log(program, path)
        if (np.diff(log.time) <= 0).any():
            continue              # times that the program mends: another test's matter
        everything = np.ones(len(log.time), dtype=bool)
        axis = TimeMap(log.time[0], log.time[-1], rng.choice((0.0, log.time[0])))
        for span in [None] + [draw_span(rng, axis, log.time) for _ in range(4)]:
            channels += log.check(worst, "@all", everything, axis, None, span)
            drawn += 1
    return drawn, channels


def main():
    if len(sys.argv) < 3:
        print(__doc__)
        return 2
    program, sim = sys.argv[1:3]
    spans = int(sys.argv[3]) if len(sys.argv) > 3 else 200
    rng = random.Random(int(sys.argv[4]) if len(sys.argv) > 4 else 20240607)
    worst = Worst()
    with tempfile.TemporaryDirectory() as folder:
        drawn, channels, fits = simulated(program, sim, folder, spans, worst, rng)
        print(f"{drawn} spans of {len(SETTINGS)} simulated logs, {channels} channels")
        drawn, channels = random_files(program, folder, spans, worst, rng)
        print(f"{drawn} spans of random files, {channels} channels")
        r = check_r(fits)
        print("R's isoreg was not asked" if r is None else
              f"isotonic fits of {len(fits)} pulls against R's isoreg: worst {r:.2g}")
        if r is not None and r > TOLERANCE:
            worst.fail("isotonic fit", "level", r, 0.0)
    worst.report()
    return 1 if worst.failures else 0


if __name__ == "__main__":
    sys.exit(main())
