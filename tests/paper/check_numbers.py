"""Walks every finding and every number: report.html, survey.gpkg and findings.xlsx against findings.csv.

check_numbers.py RESULT. What a page rounds is compared at its decimals; each column must have been compared at least once
with a value in it. report.pdf is walked by check_report.py.
"""

import csv
import json
import re
import sqlite3
import sys
import zipfile
from decimal import Decimal
from pathlib import Path
from xml.etree import ElementTree

RESULT = Path(sys.argv[1])
failures = []
compared = {}


def check(holds, words):
    if not holds:
        failures.append(words)
        print("FAILED: " + words)


def same_number(shown, exact, where):
    """`shown` is `exact` at the decimals that it has; half a unit of the csv file's own rounding is allowed."""
    shown = shown.replace("\u2212", "-").lstrip("+")
    unit = Decimal(1).scaleb(Decimal(shown).as_tuple().exponent)
    own = Decimal(1).scaleb(Decimal(exact).as_tuple().exponent) / 2 if "." in exact else Decimal(0)
    off = abs(Decimal(shown) - Decimal(exact))
    check(off <= unit / 2 + own, f"{where}: {shown} for {exact}")


def took(place, column):
    compared.setdefault(place, set()).add(column)


with open(RESULT / "findings.csv", encoding="utf-8", newline="") as table:
    ROWS = list(csv.DictReader(table))
for row in ROWS:
    for column, value in row.items():
        row[column] = value[1:] if value.startswith("'") else value
NUMBERS = ["position", "pattern_probability", "class", "class_probability", "delta_t_k", "delta_t_u95_k", "delta_t_1000_k",
           "delta_t_1000_u95_k", "exponent", "t_hot_c", "t_reference_c", "irradiance_w_m2", "wind_m_s", "air_c",
           "load_fraction", "frames_used", "loss_w_low", "loss_w_high", "loss_rated_w_low", "loss_rated_w_high",
           "loss_kwh_year_low", "loss_kwh_year_high", "longitude", "latitude"]
TEXTS = ["finding", "module", "candidates", "string", "table", "pattern", "pattern_second", "substrings", "cells", "reference",
         "frames", "flags", "verdict", "work_status", "evidence"]


def check_gpkg():
    # GPKG is SQLite; the layer's own columns, as any program reads them. Where a reviewer gave a pattern its columns go
    # before those found.
    base = sqlite3.connect(RESULT / "survey.gpkg")
    base.row_factory = sqlite3.Row
    found = {row["finding"]: row for row in base.execute("SELECT * FROM findings")}
    check(len(found) == len(ROWS), "survey.gpkg has as many findings as findings.csv")
    for row in ROWS:
        layer = found[row["finding"]]
        for column in NUMBERS:
            value = layer[column]
            where = f"survey.gpkg, {row['finding']}, {column}"
            check((value is None) == (row[column] == ""), f"{where}: {value} for '{row[column]}'")
            if value is not None and row[column]:
                same_number(row[column], repr(float(value)) if isinstance(value, float) else str(value), where)
                took("survey.gpkg", column)
        for column in TEXTS:
            check((layer[column] or "") == row[column], f"survey.gpkg, {row['finding']}, {column}: {layer[column]}")
            if row[column]:
                took("survey.gpkg", column)


def check_xlsx():
    space = {"m": "http://schemas.openxmlformats.org/spreadsheetml/2006/main"}
    with zipfile.ZipFile(RESULT / "findings.xlsx") as book:
        names = [sheet.get("name") for sheet in ElementTree.fromstring(book.read("xl/workbook.xml")).iter(
            "{%s}sheet" % space["m"])]
        strings = ["".join(text.text or "" for text in entry.iter("{%s}t" % space["m"]))
                   for entry in ElementTree.fromstring(book.read("xl/sharedStrings.xml"))]
        sheet = ElementTree.fromstring(book.read(f"xl/worksheets/sheet{names.index('Findings') + 1}.xml"))
    rows = []
    for line in sheet.iter("{%s}row" % space["m"]):
        cells = {}
        for cell in line:
            value = cell.find("m:v", space)
            if value is not None:
                column = re.match("[A-Z]+", cell.get("r")).group(0)
                cells[column] = strings[int(value.text)] if cell.get("t") == "s" else value.text
        rows.append(cells)
    header = {name: column for column, name in rows[0].items()}
    check(len(rows) == len(ROWS) + 1, "findings.xlsx has as many findings as findings.csv")
    by_id = {line[header["finding"]]: line for line in rows[1:]}
    for row in ROWS:
        for column, value in row.items():
            held = by_id[row["finding"]].get(header[column], "")
            if column in NUMBERS and value:
                check(held and Decimal(held) == Decimal(value), f"findings.xlsx, {row['finding']}, {column}: {held}")
            else:
                check(held == value, f"findings.xlsx, {row['finding']}, {column}: {held} for {value}")
            if value:
                took("findings.xlsx", column)


# Lines of a finding's page, and the numbers in them by column of findings.csv; {} is a number.
NUMBER = r"([+\u2212-]?\d+(?:\.\d+)?)"
LINES = {
    "Hot": ("{} °C", ["t_hot_c"]),
    "Reference": ("{} °C", ["t_reference_c"]),
    "Difference as measured": ("{} ± {} K", ["delta_t_k", "delta_t_u95_k"]),
    "At 1000 W/m²": ("{} ± {} K", ["delta_t_1000_k", "delta_t_1000_u95_k"]),
    "Exponent n": ("{}", ["exponent"]),
    "Class": ("{}, .*", ["class"]),
    "Class probability": ("{} %", ["class_probability"]),
    "Pattern probability": ("{} %", ["pattern_probability"]),
    "Loss of power now": ("{} to {} W", ["loss_w_low", "loss_w_high"]),
    "Loss at 1000 W/m², 25 °C": ("{} to {} W", ["loss_rated_w_low", "loss_rated_w_high"]),
    "Loss a year": ("{} to {} kWh", ["loss_kwh_year_low", "loss_kwh_year_high"]),
    "Irradiance": ("{} ± .* W/m²", ["irradiance_w_m2"]),
    "Wind": ("{} ± .* m/s", ["wind_m_s"]),
    "Air": ("{} ± .* °C", ["air_c"]),
    "Load fraction": ("{}", ["load_fraction"]),
}
WORDS = {"Compared with": "reference", "Pattern": "pattern", "Second pattern": "pattern_second", "Finding": "finding"}


def exact(column, row):
    return str(Decimal(row[column]) * 100) if column.endswith("probability") else row[column]


def check_html():
    page = (RESULT / "report.html").read_text(encoding="utf-8")
    data = json.loads(re.search(r'<script type="application/json" id="data">(.*?)</script>', page, re.S).group(1))
    shown = {finding["id"]: finding for finding in data["findings"]}
    check(len(shown) == len(ROWS), "report.html has as many findings as findings.csv")
    for row in ROWS:
        finding = shown[row["finding"]]
        lines = {name: value for _, group in finding["groups"] for name, value in group}
        for name, (form, columns) in LINES.items():
            where = f"report.html, {row['finding']}, {name}"
            if not row[columns[0]]:
                check(name not in lines or lines[name] == "unknown", f"{where} is shown without a value")
                continue
            match = re.fullmatch(form.replace("{}", NUMBER), lines.get(name, "nothing"))
            check(match, f"{where}: '{lines.get(name)}'")
            for number, column in zip(match.groups() if match else [], columns):
                same_number(number, exact(column, row), f"{where}, {column}")
                took("report.html", column)
        for name, column in WORDS.items():
            if row[column]:
                check(lines.get(name) == row[column].replace("_", " ") or lines.get(name) == row[column],
                      f"report.html, {row['finding']}, {name}: {lines.get(name)}")
                took("report.html", column)
        for key, column in [("d1000", "delta_t_1000_k"), ("d", "delta_t_k"), ("hot", "t_hot_c"), ("class", "class")]:
            if row[column]:
                same_number(str(finding[key]), row[column], f"report.html, {row['finding']}, {key}")
        place = re.search(r"latitude (\S+), longitude (\S+)$", finding["place"])
        for number, column in zip(place.groups(), ["latitude", "longitude"]):
            same_number(number, row[column], f"report.html, {row['finding']}, {column}")
            took("report.html", column)
        position = re.search(r"position (\d+)", finding["place"])
        check((position.group(1) if position else "") == row["position"], f"report.html, {row['finding']}, position")
        check(finding["frames"].startswith(row["frames_used"] + " in all: "), f"report.html, {row['finding']}, frames")
        check(finding["frames"].split(": ", 1)[1] == row["frames"].replace("|", ", "), f"report.html, {row['finding']}, frames")
        check(finding["flags"].replace(", ", "|").replace(" ", "_") == row["flags"], f"report.html, {row['finding']}, flags")
        check(finding["evidence"] == row["evidence"], f"report.html, {row['finding']}, evidence")
        check(finding["decision"]["verdict"] == row["verdict"], f"report.html, {row['finding']}, verdict")
        check(finding["decision"]["work"] == row["work_status"], f"report.html, {row['finding']}, work")
        check((finding["module"], finding["string"]) == (row["module"], row["string"]) or not row["string"],
              f"report.html, {row['finding']}, place")
        for column in ["position", "frames_used", "frames", "flags", "evidence", "verdict", "work_status", "module", "string"]:
            took("report.html", column)


check(ROWS, "there are findings to compare")
check_gpkg()
check_xlsx()
check_html()
for place in ("survey.gpkg", "findings.xlsx", "report.html"):
    lacking = sorted(set(NUMBERS) - compared[place])
    check(not lacking, f"{place}: no value was there to compare in {lacking}")
print(f"{len(ROWS)} findings, {len(NUMBERS)} numbers each, in three files")
sys.exit(1 if failures else 0)
