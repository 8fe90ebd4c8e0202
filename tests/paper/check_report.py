"""Reads report.pdf with other programs: it is sound, its fonts are in it, and every finding's numbers are those of
findings.csv.

check_report.py REPORT.pdf FINDINGS.csv; exit code 77 where poppler-utils or qpdf is not installed.
"""

import csv
import json
import re
import shutil
import subprocess
import sys

MOST_SUMMARY_PAGES = 4
REPORT, FINDINGS = sys.argv[1:3]
failures = []

missing = [tool for tool in ("pdftotext", "pdfinfo", "pdffonts", "qpdf") if shutil.which(tool) is None]
if missing:
    print("not run: not installed: " + ", ".join(missing))
    sys.exit(77)


def check(holds, words):
    if not holds:
        failures.append(words)
        print("FAILED: " + words)


def run(*command):
    return subprocess.run(command, capture_output=True, text=True, check=False)


def page_texts():
    pages = int(re.search(r"Pages:\s+(\d+)", run("pdfinfo", REPORT).stdout).group(1))
    texts = []
    for page in range(1, pages + 1):
        text = run("pdftotext", "-raw", "-f", str(page), "-l", str(page), REPORT, "-").stdout
        texts.append(re.sub(r"\s+", " ", text.replace("\u2212", "-")))
    return texts


def check_file():
    sound = run("qpdf", "--check", REPORT)
    check(sound.returncode == 0 and "WARNING" not in sound.stderr + sound.stdout,
          "qpdf finds the file sound: " + sound.stderr)
    fonts = run("pdffonts", REPORT).stdout.splitlines()[2:]
    check(fonts, "fonts are listed")
    for line in fonts:
        check(re.search(r"\s(yes|no)\s+(yes|no)\s+(yes|no)\s+\d+\s+\d+$", line).group(1) == "yes", "embedded: " + line)


def check_pages(texts, findings):
    for number, text in enumerate(texts, 1):
        check(f"Page {number} of {len(texts)}" in text, f"page {number} says so")
        check(re.search(r"Run [0-9a-f]{12} ", text), f"page {number} names the run")
    summary = [text for text in texts if text.find("Summary") in range(0, 200)]
    check(1 <= len(summary) <= MOST_SUMMARY_PAGES, f"the summary has {len(summary)} pages")
    check("not stated" in texts[0] and any("calibration date" in text or "instrument for" in text for text in summary),
          "what is not stated is listed at the front")
    check(any("Never open a connector" in text for text in summary), "cautions stand in the summary")
    outlines = json.loads(run("qpdf", "--json", "--json-key=outlines", REPORT).stdout)["outlines"]

    def count(entries):
        return sum(1 + count(entry["kids"]) for entry in entries)

    check(count(outlines) > findings + 10, "bookmarks lead to chapters and findings")


# Columns of findings.csv, and what stands before and after the number on the finding's page.
NUMBERS = [
    ("delta_t_k", r"Difference as measured \+?{} ± "),
    ("delta_t_u95_k", r"Difference as measured \S+ ± {} K"),
    ("delta_t_1000_k", r"Difference at 1000 W/m² \+?{} ± "),
    ("delta_t_1000_u95_k", r"Difference at 1000 W/m² \S+ ± {} K"),
    ("exponent", r"\)\^{}\b"),
    ("t_hot_c", r"Hot part {} °C"),
    ("t_reference_c", r"Its reference {} °C"),
    ("irradiance_w_m2", r"Irradiance in plane {} W/m²"),
    ("wind_m_s", r"Wind {} m/s"),
    ("air_c", r"Air {} °C"),
    ("load_fraction", r"Load {} of the current"),
    ("class", r"Class {}, probability"),
    ("class_probability", r"Class \d, probability {}\b"),
    ("pattern_probability", r"Pattern [a-z ]+, probability {}\b"),
    ("frames_used", r"Frames used {}:"),
    ("loss_w_low", r"Loss now {} to"),
    ("loss_w_high", r"Loss now \S+ to {} W"),
    ("loss_rated_w_low", r"Loss as rated {} to"),
    ("loss_rated_w_high", r"Loss as rated \S+ to {} W"),
    ("loss_kwh_year_low", r"Loss a year {} to"),
    ("loss_kwh_year_high", r"Loss a year \S+ to {} kWh"),
    ("latitude", r"Latitude, longitude {},"),
    ("longitude", r"Latitude, longitude \S+ {}\b"),
]


def check_findings(texts, rows):
    for number, row in enumerate(rows, 1):
        mark = f"Finding {number} of {len(rows)} "
        pages = [text for text in texts if mark in text]
        check(len(pages) == 1, f"finding {number} has a page")
        if len(pages) != 1:
            continue
        text = pages[0]
        check(row["finding"] in text, f"the page of finding {number} names {row['finding']}")
        check(row["pattern"].replace("_", " ") in text, f"finding {number}: pattern {row['pattern']}")
        for column, pattern in NUMBERS:
            if row[column]:
                wanted = pattern.format(re.escape(row[column]))
                check(re.search(wanted, text), f"finding {number}: {column} is {row[column]}; no '{wanted}' on its page")
        for candidate in filter(None, row["candidates"].split("|")):
            check(candidate.lstrip("'") in text, f"finding {number}: candidate {candidate}")


with open(FINDINGS, encoding="utf-8", newline="") as table:
    ROWS = list(csv.DictReader(table))
TEXTS = page_texts()
check(ROWS, "there are findings to compare")
check_file()
check_pages(TEXTS, len(ROWS))
check_findings(TEXTS, ROWS)
print(f"{len(ROWS)} findings on {len(TEXTS)} pages compared")
sys.exit(1 if failures else 0)
