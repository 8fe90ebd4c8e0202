"""Noise, stripes and edges of thermal frames as a Markdown table; called by tests/scenes/frames.

Arguments: NAME STEP FILE... [-- NAME STEP FILE...]: STEP is kelvin a count.
- noise: robust spread of the mask (1 -2 1; -2 4 -2; 1 -2 1) over its norm 6 (Immerkaer 1996), K; rounding included
- rows, columns: robust spread of second differences of row and column means over sqrt(6), K
- edge: height over steepest slope of the sharpest tenth of steps of 15 times the noise or more, px; a Gaussian of
  deviation s gives 2.51 s
"""

import sys

import numpy as np
from osgeo import gdal

gdal.UseExceptions()


def spread(values):
    return 1.4826 * np.median(np.abs(values - np.median(values)))


def noise(a):
    b = a[:, 2:] - 2 * a[:, 1:-1] + a[:, :-2]
    c = b[2:] - 2 * b[1:-1] + b[:-2]
    return np.sqrt(np.pi / 2) * np.mean(np.abs(c)[np.abs(c) < 6 * np.std(c)]) / 6


def edges(a, least):
    """Over four rows at a time, so that noise does not make slopes."""
    widths = []
    reach = 8
    for picture in (a, a.T):
        rows = picture[: picture.shape[0] // 4 * 4].reshape(-1, 4, picture.shape[1]).mean(1)
        slope = np.abs(np.diff(rows, axis=1))
        for y, x in np.argwhere(slope > least / 5):
            if x < reach or x + reach + 1 >= rows.shape[1] or slope[y, x] < slope[y, x - reach : x + reach].max():
                continue
            line = rows[y, x - reach : x + reach + 2]
            height = abs(line[-4:].mean() - line[:4].mean())
            plain = max(np.ptp(line[:5]), np.ptp(line[-5:])) < 0.25 * height
            if height > least and plain:
                widths.append(height / slope[y, x])
    return widths


def figures(files, step):
    rows = []
    widths = []
    for file in files:
        a = gdal.Open(file).ReadAsArray().astype(float) * step
        pixel = noise(a)
        stripes = [spread(np.diff(a.mean(axis), 2)) / np.sqrt(6) for axis in (1, 0)]
        rows.append([pixel, *stripes])
        widths += edges(a, 15 * pixel)
    pixel, row, column = np.median(np.array(rows), axis=0)
    edge = f"{np.percentile(widths, 10):.2f} ({len(widths)})" if len(widths) >= 20 else f"too few ({len(widths)})"
    return f"{len(files)} | {step} | {pixel:.3f} | {row:.3f} | {column:.3f} | {row / pixel:.2f} | {column / pixel:.2f} | {edge}"


def main(arguments):
    print("| frames | count | K a count | noise K | rows K | columns K | rows / noise | columns / noise | edge px (steps) |")
    print("| --- | --- | --- | --- | --- | --- | --- | --- | --- |")
    while arguments:
        end = arguments.index("--") if "--" in arguments else len(arguments)
        name, step, files = arguments[0], float(arguments[1]), arguments[2:end]
        print(f"| {name} | {figures(files, step)} |")
        arguments = arguments[end + 1 :]


main(sys.argv[1:])
