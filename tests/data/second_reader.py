#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Reads the corpus a second time, with Python's csv module, and compares the values.

    python3 second_reader.py PROGRAM CORPUSDIR

PROGRAM is csv_dump.  For each log that reads without options, the values of every
channel, in order and without the missing ones, must be those that Python finds in
the same column below the header.  Exits 1 when any differ.
"""
import csv
import io
import pathlib
import re
import subprocess
import sys

MISSING = {"", "-", "--", "---", "?", "*", "nan", "inf", "+inf", "-inf", "n/a", "#n/a", "na",
           "null", "nil", "none", "1.#qnan", "1e999"}
MARKS = ("#", "%", "//", ";")
SEPARATORS = {"a comma": ",", "a semicolon": ";", "a tab": "\t", "a vertical bar": "|"}

# Where the reader means to differ from a plain reading of RFC 4180, and why.
DIFFERS = {
    "open_quote": "a quote that is never closed: Python takes the rest of the log for one cell",
    "footer": "Python has no notion of a footer",
    "hash_rows": "its rows begin with a comment mark",
    "hash_column": "its header begins with a comment mark",
    "comment_header": "its header is a comment",
    "comment_header_units": "its header is a comment",
    "comment_header_below_remark": "its header is a comment",
    "states_with_numbers": "numbers among words are states",
    "units_in_some_cells": "a unit that is not the column's is a bad cell",
    "numbered_header": "names that are numbers",
    "thousands_points": "marks between thousands", "thousands_german": "marks between thousands",
    "thousands_quoted": "marks between thousands", "thousands_blanks": "marks between thousands",
    "thousands_or_fraction": "marks between thousands",
    "everything_at_once": "marks between thousands, a footer",
    "midnight_24": "24:00", "time_date_24": "24:00",
    "cr_cr_lf": "Python takes CR CR LF for a row more",
}


def decode(data):
    for mark, encoding in ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"),
                           (b"\xfe\xff", "utf-16")):
        if data.startswith(mark):
            return data.decode(encoding, "replace")
    if data[1:2] == b"\0":
        return data.decode("utf-16-le", "replace")
    if data[0:1] == b"\0":
        return data.decode("utf-16-be", "replace")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return data.decode("utf-8" if b"\xc2" in data else "latin-1", "replace")


def dump(program, path):
    out = subprocess.run([program, str(path)], capture_output=True, check=False)
    log = {"notes": [], "channels": [], "rows": [], "error": out.returncode != 0}
    if out.returncode not in (0, 1):
        sys.exit(f"{path.name}: {program} ended with {out.returncode}\n{out.stderr.decode()}")
    for line in out.stdout.decode("utf-8").split("\n"):
        key, *fields = line.split("\t")
        if key == "note":
            log["notes"].append(fields[0])
        elif key == "channel":
            log["channels"].append(fields)
        elif key == "row":
            log["rows"].append(fields[1:])
    return log


def dialect(notes):
    for note in notes:
        m = re.match(r"Cells are separated by (.*), the decimal mark is a (.*)\.", note)
        if m:
            return SEPARATORS[m[1]], "," if m[2] == "comma" else "."
    return ",", "."


def seconds(cell):
    """A time of day as seconds; None for anything else."""
    m = re.fullmatch(r"(?:(\d+)-(\d+)-(\d+)[T ])?(?:(\d+):)?(\d+):(\d+(?:[.,]\d+)?)Z?"
                     r"(?: ([AP]M))?", cell)
    if not m:
        return None
    if m[7]:
        return (3600 * (int(m[4]) % 12 + (12 if m[7] == "PM" else 0)) + 60 * int(m[5]) +
                float(m[6]))
    day = int(m[3]) if m[3] else 0	# the corpus stays within a month
    return (86400 * day + 3600 * int(m[4] or 0) + 60 * int(m[5]) +
            float(m[6].replace(",", ".")))


def number(cell, decimal):
    """The value of a cell, with or without letters behind it; None for words."""
    m = re.fullmatch(r"([-+]?[\d.,]+(?:[eE][-+]?\d+)?) ?([^\W\d_]+|%)?", cell.strip())
    if not m or (decimal == "," and "." in m[1]) or (decimal == "." and "," in m[1]):
        return None
    try:
        return float(m[1].replace(",", "."))
    except ValueError:
        return None


def clean(cell):
    return "".join(" " if ord(c) < 32 or 127 <= ord(c) < 160 else c for c in cell)


def rows_of(text, separator):
    marks = tuple(m for m in MARKS if m != separator)
    lines = [line for line in io.StringIO(text.replace("\0", " ").rstrip("\x1a"), newline="")
             if not line.lstrip(" ").startswith(marks)]
    rows = csv.reader(lines, delimiter=separator, skipinitialspace=separator != "\t")
    return [[cell.strip(" \t") for cell in row] for row in rows if row]


def header_of(rows, channels):
    """Where the header is, and which column each channel comes from."""
    names = [c[2] for c in channels]
    if all(n.startswith("column ") for n in names):
        return -1, [int(n.split()[1]) - 1 for n in names]
    for i, row in enumerate(rows):
        titles = [clean(cell).strip() for cell in row]
        if all(n in titles or n.startswith("column ") for n in names):
            columns, at = [], 0
            for n in names:
                k = titles.index(n, at) if n in titles[at:] else int(n.split()[1]) - 1
                columns.append(k)
                at = k + 1
            return i, columns
    raise ValueError(f"no header with {names}")


def values_of(rows, column, kind, decimal):
    """Python's values of a column: all that is neither missing nor a stray word."""
    out, first = [], None
    cells = [row[column] if column < len(row) else "" for row in rows]
    for cell in cells:
        if cell.strip().lower() in MISSING:
            continue
        if kind == "state":
            out.append(clean(cell))
            continue
        v = seconds(cell.strip())
        if v is not None:
            first = v - v % 86400 if first is None else first
            out.append(v - first)
        else:
            v = number(cell, decimal)
            if v is not None:
                out.append(v)
    return out


def same(a, b):
    if isinstance(a, str) or isinstance(b, str):
        return a == b
    return a == b or abs(a - b) <= 1e-9 * max(abs(a), abs(b))


def compare(program, path):
    log = dump(program, path)
    separator, decimal = dialect(log["notes"])
    rows = rows_of(decode(path.read_bytes()), separator)
    at, columns = header_of(rows, log["channels"])
    titles = rows[at] if at >= 0 else None
    data = [r for r in rows[at + 1:] if r != titles]
    wrong = []
    for i, channel in enumerate(log["channels"]):
        kind = channel[1]
        ours = [r[i] if kind == "state" else float(r[i]) for r in log["rows"] if r[i] != ""]
        theirs = values_of(data, columns[i], kind, decimal)
        if kind == "state" and at >= 0 and len(theirs) == len(ours) + 1:
            theirs = theirs[1:]	# the units row
        if len(ours) != len(theirs) or not all(map(same, ours, theirs)):
            wrong.append(f"  {channel[2]}: {ours} but Python has {theirs}")
    return wrong, sum(len(r) for r in log["rows"])


def main():
    program, corpus = sys.argv[1], pathlib.Path(sys.argv[2])
    files = compared = cells = failed = 0
    for path in sorted(corpus.glob("*.csv")):
        expect = path.with_suffix(".expect").read_text(encoding="utf-8")
        files += 1
        if path.stem in DIFFERS or re.search("^options ", expect, re.M):
            continue
        if re.search("^error ", expect, re.M):
            if not dump(program, path)["error"]:
                print(f"{path.name}: no error")
                failed += 1
            continue
        wrong, n = compare(program, path)
        compared += 1
        cells += n
        if wrong:
            failed += 1
            print(f"{path.name}:", *wrong, sep="\n")
    print(f"{files} files, {compared} compared, {cells} cells, {failed} differ")
    return 1 if failed or compared < 60 else 0


if __name__ == "__main__":
    sys.exit(main())
