#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Reads the corpus once more, with pandas and with R, where they are installed.

    python3 third_reader.py PROGRAM CORPUSDIR

PROGRAM is csv_dump.  Of each log that has a plain header and rows of one length, the
columns of plain numbers must be those that pandas reads (to the last bit: its
round-trip parser is the C library's) and those that R's read.table() reads (to 1e-14 of
the value: R's parser rounds more than once).  Ends with 77 when neither is installed.
"""
import io
import math
import pathlib
import re
import shutil
import subprocess
import sys

sys.dont_write_bytecode = True
import second_reader as second

try:
    import pandas
except ImportError:
    pandas = None

R = """
t <- read.table(file("stdin", encoding = "UTF-8"), sep = SEP, dec = DEC, quote = "\\"",
                colClasses = "character", na.strings = character(0), comment.char = "",
                strip.white = TRUE, fill = TRUE, blank.lines.skip = TRUE)
for (i in seq_along(t)) {
    v <- suppressWarnings(as.numeric(gsub(DEC, ".", t[[i]], fixed = TRUE)))
    cat(ifelse(is.na(v), "", sprintf("%.17g", v)), sep = "\\t")
    cat("\\n")
}
"""


def plain_rows(rows, at):
    """The rows of data as CSV text again, when all are as long as the header."""
    data = [r for r in rows[at + 1:] if r != rows[at]]
    if at < 0 or not data or any(len(r) != len(rows[at]) for r in data):
        return None
    return data


def is_plain(cells, decimal):
    pattern = re.compile(rf"[-+]?\d+(?:{re.escape(decimal)}\d*)?(?:[eE][-+]?\d+)?|")
    return all(pattern.fullmatch(c) for c in cells) and any(cells)


def by_pandas(data, decimal):
    text = "\n".join("\t".join(r) for r in data)
    frame = pandas.read_csv(io.StringIO(text), sep="\t", decimal=decimal, header=None,
                            float_precision="round_trip", quoting=3, skip_blank_lines=False)
    return [[float(v) for v in pandas.to_numeric(frame[i], errors="coerce")]
            for i in range(len(frame.columns))]


def by_r(data, decimal):
    text = "\n".join("\t".join(r) for r in data) + "\n"
    script = R.replace("SEP", '"\\t"').replace("DEC", f'"{decimal}"')
    out = subprocess.run(["Rscript", "--vanilla", "-e", script], input=text.encode(),
                         capture_output=True, check=True).stdout.decode()
    return [[float(v) if v else math.nan for v in line.split("\t")]
            for line in out.split("\n")[:-1]]


def same(a, b, tolerance):
    return (math.isnan(a) and math.isnan(b)) or abs(a - b) <= tolerance * max(abs(a), abs(b))


def compare(path, program, readers):
    """Counts cells compared; prints what differs and returns how many columns do."""
    log = second.dump(program, path)
    separator, decimal = second.dialect(log["notes"])
    rows = second.rows_of(second.decode(path.read_bytes()), separator)
    at, columns = second.header_of(rows, log["channels"])
    data = plain_rows(rows, at)
    if data is not None and not re.match(r"[-+\d]", "".join(data[0])):
        data = data[1:]	# the units row
    if data is None or len(data) != len(log["rows"]):
        return 0, 0
    wrong = cells = 0
    for name, read, tolerance in readers:
        theirs = None
        for i, channel in enumerate(log["channels"]):
            if channel[1] != "number" or not is_plain([r[columns[i]] for r in data], decimal):
                continue
            theirs = theirs or read([[cell if re.fullmatch(r"[-+\d.,eE]*", cell) else ""
                                      for cell in row] for row in data], decimal)
            ours = [float(r[i]) if r[i] else math.nan for r in log["rows"]]
            cells += len(ours)
            if not all(same(a, b, tolerance) for a, b in zip(ours, theirs[columns[i]])):
                wrong += 1
                print(f"{path.name}: {channel[2]}: {ours} but {name} has {theirs[columns[i]]}")
    return cells, wrong


def main():
    program, corpus = sys.argv[1], pathlib.Path(sys.argv[2])
    readers = []
    if pandas is not None:
        readers.append(("pandas", by_pandas, 0.0))
    if shutil.which("Rscript"):
        readers.append(("R", by_r, 1e-14))
    if not readers:
        sys.exit(77)
    files = cells = failed = 0
    for path in sorted(corpus.glob("*.csv")):
        expect = path.with_suffix(".expect").read_text(encoding="utf-8")
        if path.stem in second.DIFFERS or re.search("^(error|options) ", expect, re.M):
            continue
        n, wrong = compare(path, program, readers)
        files += n > 0
        cells += n
        failed += wrong
    print(f"{' and '.join(r[0] for r in readers)}: {files} files, {cells} cells, {failed} columns differ")
    return 1 if failed or files < 30 else 0


if __name__ == "__main__":
    sys.exit(main())
