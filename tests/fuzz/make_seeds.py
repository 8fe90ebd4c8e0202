#!/usr/bin/env python3
"""Writes the seeds of the fuzz targets into seeds/: small valid and slightly wrong files. Run it once; they are kept."""
import pathlib
import struct
import zlib

SEEDS = pathlib.Path(__file__).parent / "seeds"


def tiff(order="<", bits=16, compression=8, predictor=1, fmt=1, samples=1, width=6, height=5, rows=2, extra=()):
    code = {8: "B", 16: "H", 32: "I"}[bits]
    out = bytearray(b"II*\0" if order == "<" else b"MM\0*") + bytearray(4)
    offsets, sizes = [], []
    for top in range(0, height, rows):
        raw = b""
        for y in range(top, min(top + rows, height)):
            row = [(30000 + 37 * x + 11 * y) % (1 << bits) for x in range(width * samples)]
            if predictor == 2:
                row = [row[0]] + [(b - a) % (1 << bits) for a, b in zip(row, row[1:])]
            raw += struct.pack(order + code * len(row), *row)
        data = zlib.compress(raw) if compression in (8, 32946) else raw
        offsets.append(len(out))
        sizes.append(len(data))
        out += data
    offsets_at = len(out)
    out += struct.pack(order + "I" * len(offsets), *offsets)
    sizes_at = len(out)
    out += struct.pack(order + "I" * len(sizes), *sizes)
    tags = [(256, 3, 1, width), (257, 3, 1, height), (258, 3, 1, bits), (259, 3, 1, compression), (262, 3, 1, 1),
            (273, 4, len(offsets), offsets_at if len(offsets) > 1 else offsets[0]), (277, 3, 1, samples), (278, 3, 1, rows),
            (279, 4, len(sizes), sizes_at if len(sizes) > 1 else sizes[0]), (317, 3, 1, predictor), (339, 3, 1, fmt)]
    tags = sorted(tags + list(extra))
    place = len(out)
    out += struct.pack(order + "H", len(tags))
    for tag, kind, count, value in tags:
        inline = struct.pack(order + "HH", value, 0) if kind == 3 and count == 1 else struct.pack(order + "I", value)
        out += struct.pack(order + "HHI", tag, kind, count) + inline
    out += bytes(4)
    out[4:8] = struct.pack(order + "I", place)
    return bytes(out)


FRAMES = {
    "little_deflate.tif": tiff(),
    "big_deflate.tif": tiff(order=">"),
    "predictor.tif": tiff(predictor=2),
    "raw.tif": tiff(compression=1),
    "old_deflate_signed.tif": tiff(compression=32946, fmt=2),
    "float.tif": tiff(bits=32, fmt=3),
    "eight_bit.tif": tiff(bits=8),
    "colour.tif": tiff(bits=8, samples=3),
    "one_strip.tif": tiff(rows=5),
    "lzw_claimed.tif": tiff(compression=5),
    "tiles_claimed.tif": tiff(extra=[(322, 3, 1, 16), (323, 3, 1, 16)]),
    "big_tiff_head.tif": b"II+\0\x08\0\0\0\x10\0\0\0\0\0\0\0",
    "sixteen_bit.pgm": b"P5\n2 2\n65535\n\x75\x30\x75\x31\x75\x32\x75\x33",
    "comma.csv": b"1.5,2,3\n4,5,6.25\n",
    "decimal_comma.csv": b"\xef\xbb\xbfsep=;\r\n1,5;2;3\r\n4;5;6,25\r\n",
    "tabs_with_head.csv": b"Temperature\tdegC\n\n21,5\t22\tNaN\n23\t24\t25\n",
    "utf16.csv": "1;2\n3;4\n".encode("utf-16"),
    "uneven.csv": b"1,2,3\n4,5\n",
}

POSES = {
    "full.csv": b"frame,time,longitude,latitude,altitude,yaw,pitch,roll\n"
                b"a.tif,2026-06-17T11:02:03.250,-3.6512,40.1234,31.5,90,10,-1\n"
                b"b.tif,2026-06-17T11:02:04Z,-3.6513,40.1235,31.4,90,0,0\n",
    "decimal_comma.csv": b"frame;time;longitude;latitude;altitude;yaw;pitch;roll\n"
                         b"a.tif;2026-06-17 11:02:03;-3,6512;40,1234;31,5;90;10;-1\n",
    "no_fix.csv": b"frame,time,longitude,latitude,altitude,yaw,pitch,roll\na.tif,2026-06-17T11:02:03,0,0,0,0,0,0\nb.tif,,,,,,,\n",
    "quoted.csv": b'"frame","time","note"\n"a,1.tif","2026-06-17T11:02:03+02:00","line\nbreak ""quoted"""\n',
    "wrong.csv": b"frame,time,latitude\na.tif,yesterday,95\n",
}

CONDITIONS = {  # the first byte chooses parser and clock (fuzz_conditions_log.cpp)
    "plain.csv": b"0time,poa_global,wind_speed,temp_air\n2026-06-17T11:00:00,812.4,1.8,24.1\n2026-06-17T11:01:00Z,815,,NAN\n",
    "decimal_comma.csv": "4sep=;\r\ntime;poa_global (kW/m\u00b2);temp_air (\u00b0C)\r\n17.06.2026 11:00;0,8124;24,1\r\n".encode(),
    "toa5.csv": b'0"TOA5","S","CR","1"\n"TIMESTAMP","RECORD","poa_global","x"\n"TS","RN","W/m^2",""\n"","","Avg",""\n'
                b'"2026-06-17 11:00:00",1,812.4,\n"2026-06-17 11:01:00",2,"NAN",3\n',
    "two_heads.csv": b"0Logger;1;\ntime;poa_global;wind_speed\n;W/m2;km/h\n2026-10-25 02:30;5,5;3\n2026-10-25 02:30;6,5;4\n",
    "slashes.csv": b"4date,time,ghi\n6/17/2026,11:00 AM,800\n6/17/2026,1:00 PM,801\n",
    "utf16.csv": b"0" + "time\tpoa_global\n2026-06-17 11:00\t800\n".encode("utf-16"),
    "long.csv": b"2time,string,current (A),voltage (V),quality\n2026-06-17 11:02,S1,7.12,612,good\n2026-06-17 11:02,S2,0,730,bad\n",
    "wide.csv": b"6time;S1 (mA);S1 (V)\n17.06.2026 11:00;7120;612,5\n",
    "reports.txt": b"3# reports\n2026-06-17 11:00 METAR LEMD 171100Z 24012G22KT 9999 FEW020 BKN100 24/M03 Q1018 NOSIG\n171130Z\n",
}

LEAST = b"""[survey]
id = "two-rows"
[site]
layout = "layout.geojson"
[[camera]]
id = "thermal"
width_px = 640
height_px = 512
focal_px = 1125.0
[frames]
poses = "poses.csv"
[temperature]
scale = 0.01
offset = -273.15
[conditions]
log = "conditions.csv"
"""
SETTINGS = {
    "least.toml": LEAST,
    "full.toml": LEAST.replace(b"[frames]", b'''principal_point_px = [319.5, 255.5]
distortion = [-0.2, 0.05, 0.001, -0.001, 0.0]
time_constant_ms = 10.0
noise_k = 0.05
clock = { zone = "Europe/Madrid", shift_s = -2.5 }
[frames]
camera = "thermal"
altitude = "ellipsoid"
placement = "corner_points"
corner_points = "corners.csv"''').replace(b"[site]", b'''title = "T"
[site]
origin = { longitude = -3.65, latitude = 40.12, height_m = 600.0 }''') + b'clock = { offset = "-03:30" }\n',
    "unknown_key.toml": LEAST.replace(b"focal_px", b"focal_pix"),
    "no_camera.toml": LEAST.replace(b"[[camera]]", b"[camera]"),
    "broken.toml": b"[survey\nid = ",
    "nested.toml": b"a = " + b"[" * 200 + b"]" * 200,
}

JOINT_HEAD = b"joint,group,thermogram,area,temperature_c,current_a,rated_a,surface,emissivity,cover_open_min,load_held_min\n"
JOINTS = {
    "typed.csv": JOINT_HEAD + b"L1,out,,,52.5,160,250,tape,,4,60\nL2,out,,,49.5,155,250,contact_probe,,4,60\n",
    "areas.csv": JOINT_HEAD + b'L1,out,a.tif,rect:65 45 20 20,,160,250,tape,0.96,4,60\nL2,out,a.tif,"circle:80,60,6.5",,155,250,paint,,,\n'
    b"L3,out,a.tif,polygon:1 1 9 1 9 9,,158,250,bare_metal,0.7,,\n",
    "decimal_comma.csv": b"joint;group;temperature_c;current_a;rated_a;surface\nL1;g;52,5;160,5;250;paint\n",
    "twice.csv": JOINT_HEAD + b"L1,out,,,52.5,160,250,tape,,4,60\nL1,out,,,52.5,160,250,tape,,4,60\n",
    "wrong.csv": JOINT_HEAD + b"L1,out,a.tif,rect:1 2,52.5,-1,0,tap,95,-4,\n",
    "unknown_column.csv": b"joint,group,curent_a,rated_a,surface\nL1,g,1,2,tape\n",
}

for parser, files in {"frame": FRAMES, "conditions_log": CONDITIONS, "poses": POSES, "survey_settings": SETTINGS,
                      "joint_list": JOINTS}.items():
    folder = SEEDS / parser
    folder.mkdir(parents=True, exist_ok=True)
    for name, content in files.items():
        (folder / name).write_bytes(content)
