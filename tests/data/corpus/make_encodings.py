#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Writes those files of the corpus that are awkward to edit: encodings and odd bytes.

Run it in this directory after changing it; its results are kept beside it.
"""
import pathlib

HERE = pathlib.Path(__file__).parent
LOG = ("Time (s),Engine speed (rpm),Intake temp (°C)\n"
       "0.0,2000,31.5\n0.1,2050,32\n0.2,2100,32.5\n")
WIDE = LOG.replace("Intake", "Intake \U0001f321")	# needs a surrogate pair

FILES = {
    "utf8": LOG.encode("utf-8"),
    "utf8_bom": b"\xef\xbb\xbf" + LOG.encode("utf-8"),
    "latin1": LOG.encode("latin-1"),
    "utf16le_bom": b"\xff\xfe" + WIDE.encode("utf-16-le"),
    "utf16be_bom": b"\xfe\xff" + WIDE.encode("utf-16-be"),
    "utf16le": LOG.encode("utf-16-le"),
    "utf16be": LOG.encode("utf-16-be"),
    "utf16le_odd_byte": b"\xff\xfe" + LOG.encode("utf-16-le") + b"\x0a",
    "utf8_broken": LOG.encode("utf-8").replace(b"Engine", b"Eng\xffine"),
    "bom_crlf_semicolon": b"\xef\xbb\xbf" + LOG.replace(",", ";").replace(".", ",")
    .replace("\n", "\r\n").encode("utf-8"),
    "nul_tail": LOG.encode("utf-8") + b"0.3,2150,3" + bytes(300),
    "nul_block": LOG.encode("utf-8") + bytes(64) + b"\n0.3,2150,33\n",
    "end_mark": LOG.encode("utf-8") + b"\x1a",
    "escapes": LOG.encode("utf-8").replace(b"Engine", b"\x1b[31mEngine"),
    "error_nul_only": bytes(512),
    "error_binary": bytes((i * 7919 + i // 3) % 256 for i in range(600)),
    "error_gzip": b"\x1f\x8b\x08\x00\x00\x00\x00\x00\x00\x03",
    "error_workbook": b"PK\x03\x04\x14\x00\x06\x00",
}

for name, data in FILES.items():
    (HERE / (name + ".csv")).write_bytes(data)
