#!/usr/bin/env python3
"""Draws outlet.tif, the invented thermogram of the worked examples: the outgoing terminals of a three-phase breaker, seen
with the cover open. Kelvin x 25 in 16 bits, apparent temperatures of tape, sheath and bare lugs. Run it once; the file is
kept."""
import math
import pathlib
import random
import struct
import zlib

WIDTH, HEIGHT = 160, 120
WALL = 31.0  # degC, what bare metal mirrors
PHASES = [(36, 55.0), (80, 51.0), (124, 76.0)]  # column of the terminal, its true temperature, degC


def apparent(true, emissivity):
    """Mixture by the fourth power: near enough for a picture."""
    kelvin = 273.15
    mixed = emissivity * (true + kelvin) ** 4 + (1 - emissivity) * (WALL + kelvin) ** 4
    return mixed ** 0.25 - kelvin


def scene(x, y):
    value = 30.0 + 2.5 * (1 - y / HEIGHT) + 0.8 * math.exp(-((x - 124) / 30) ** 2)
    if 8 <= x <= 152 and 6 <= y <= 34:  # the breaker's body
        value = 34.5 + 1.5 * math.exp(-((y - 34) / 8) ** 2)
        for column, true in PHASES:
            value += 0.12 * (true - WALL) * math.exp(-((x - column) / 11) ** 2 - ((y - 34) / 9) ** 2)
        if min(abs(x - 58), abs(x - 102)) < 1.5:
            value -= 1.2
    for column, true in PHASES:
        if abs(x - column) <= 8 and 36 <= y <= 56:  # the lug, bare metal
            value = apparent(true, 0.15)
            if (x - column) ** 2 + (y - 43) ** 2 <= 16:  # its bolt, oxidised
                value = apparent(true, 0.45)
        if abs(x - column) <= 6 and 48 <= y <= 58:  # tape over lug and crimp
            value = apparent(true, 0.96)
        if abs(x - column - 0.05 * (y - 59)) <= 6 and y >= 59:  # the cable's sheath
            across = (x - column - 0.05 * (y - 59)) / 6
            value = apparent(WALL + (true - WALL) * (0.35 + 0.6 * math.exp(-(y - 59) / 26)), 0.93 - 0.10 * across ** 4)
    return value


def blurred(picture, sigma=0.7):
    kernel = [math.exp(-0.5 * (i / sigma) ** 2) for i in range(-2, 3)]
    total = sum(kernel)
    def along(get, n):
        return [sum(k * get(min(max(i + j - 2, 0), n - 1)) for j, k in enumerate(kernel)) / total for i in range(n)]
    rows = [along(lambda i, row=row: row[i], WIDTH) for row in picture]
    columns = [along(lambda i, x=x: rows[i][x], HEIGHT) for x in range(WIDTH)]
    return [[columns[x][y] for x in range(WIDTH)] for y in range(HEIGHT)]


def tiff(counts):
    data = zlib.compress(b"".join(struct.pack(f"<{WIDTH}H", *row) for row in counts), 9)
    tags = [(256, 3, WIDTH), (257, 3, HEIGHT), (258, 3, 16), (259, 3, 8), (262, 3, 1), (273, 4, 8), (277, 3, 1),
            (278, 3, HEIGHT), (279, 4, len(data)), (339, 3, 1)]
    at = 8 + len(data) + len(data) % 2
    out = b"II*\0" + struct.pack("<I", at) + data + b"\0" * (len(data) % 2) + struct.pack("<H", len(tags))
    for tag, kind, value in tags:
        out += struct.pack("<HHI", tag, kind, 1) + (struct.pack("<HH", value, 0) if kind == 3 else struct.pack("<I", value))
    return out + bytes(4)


def main():
    draw = random.Random(1)
    picture = blurred([[scene(x, y) for x in range(WIDTH)] for y in range(HEIGHT)])
    counts = [[round(25 * (value + 273.15 + draw.gauss(0, 0.06))) for value in row] for row in picture]
    (pathlib.Path(__file__).parent / "outlet.tif").write_bytes(tiff(counts))


main()
