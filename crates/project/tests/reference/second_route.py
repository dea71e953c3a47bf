"""What an open library of parts says of sizes that stand in the built-in tables, for comparison.

Usage: pip download --no-deps bd_warehouse==0.4.0, unpack the wheel, then
       python second_route.py FOLDER-OF-THE-WHEEL > second_route.csv

The library (PyPI bd_warehouse 0.4.0, Apache-2.0) prints greatest sizes where a standard has limits. Its figures are
used as a check only: a row of the tables that agrees is one source surer, what disagrees is listed with a remark.
"""

import csv
import pathlib
import sys

DATA = pathlib.Path(sys.argv[1]) / "bd_warehouse" / "data"
SIZES = ("M2", "M2.5", "M3", "M4", "M5", "M6", "M8", "M10")
# Ours, file, its standard; our size (and which of its limits) by its column.
TABLES = (
    ("ISO 4032", "hex_nut_parameters", "iso4032", {"m": "height>", "s": "flats>"}),
    ("ISO 4035", "hex_nut_parameters", "iso4035", {"m": "height>", "s": "flats>"}),
    ("ISO 4161", "hex_nut_with_flange_parameters", "din1665", {"m": "height>", "s": "flats>", "dc": "flange="}),
    ("ISO 7089", "plain_washer_parameters", "iso7089", {"d1": "hole=", "d2": "outer=", "h": "thickness>"}),
    ("ISO 7093-1", "plain_washer_parameters", "iso7093", {"d1": "hole=", "d2": "outer=", "h": "thickness>"}),
    ("ISO 7090", "chamfered_washer_parameters", "iso7090", {"d1": "hole=", "d2": "outer=", "h": "thickness>"}),
    ("ISO 7092", "cheese_head_washer_parameters", "iso7092", {"d1": "hole=", "d2": "outer=", "h": "thickness>"}),
    ("ISO 4762", "socket_head_cap_parameters", "iso4762", {"dk": "head_size=", "k": "head_height>", "s": "key=", "t": "key_depth=", "short": "shortest", "long": "longest"}),
    ("ISO 7380-1", "button_head_parameters", "iso7380_1", {"dk": "head_size=", "k": "head_height>", "t": "key_depth=", "short": "shortest", "long": "longest"}),
    ("ISO 7380-2", "button_head_with_collar_parameters", "iso7380_2", {"dc": "head_size=", "k": "head_height>", "t": "key_depth=", "short": "shortest", "long": "longest"}),
    ("ISO 10642", "countersunk_head_parameters", "iso10642", {"dk": "head_size=", "k": "head_height>", "short": "shortest", "long": "longest"}),
    ("ISO 4014", "hex_head_parameters", "iso4014", {"s": "head_size=", "short": "shortest", "long": "longest"}),
    ("ISO 4017", "hex_head_parameters", "iso4017", {"s": "head_size=", "short": "shortest", "long": "longest"}),
    ("ISO 4026", "setscrew_parameters", "iso4026", {"s": "key=", "short": "shortest", "long": "longest"}),
    ("ISO 7379", "shoulder_screw", "iso7379", {"ds": "shoulder~", "dk": "head_size=", "k": "head_height>", "b": "thread_length=", "s": "key=", "t": "key_depth=", "short": "shortest", "long": "longest"}),
)
BEARINGS = ("single_row_deep_groove_ball_bearing_parameters", "single_row_capped_deep_groove_ball_bearing_parameters")
BEARING_COLUMNS = {"d": "bore=", "D": "outer=", "B": "width=", "C": "dynamic_rating%", "C0": "static_rating%", "d1": "inner_ring=", "da": "shaft_shoulder=", "damin": "shaft_shoulder=", "Da": "housing_shoulder="}
OURS = {
    (3, 10, 4): "623", (4, 12, 4): "604", (4, 13, 5): "624", (4, 16, 5): "634", (4, 11, 4): "694", (5, 11, 3): "685 open",
    (5, 13, 4): "695", (5, 16, 5): "625", (5, 19, 6): "635", (6, 19, 6): "626", (7, 19, 6): "607", (7, 22, 7): "627",
    (8, 16, 4): "688 open", (8, 16, 5): "688 shielded width 5", (8, 22, 7): "608", (5, 11, 4): "5x11x4",
    (5, 11, 5): "5x11x5", (6, 13, 5): "6x13x5", (6, 15, 5): "6x15x5", (6, 13, 3.5): "686 open", (8, 19, 6): "698",
    (10, 26, 8): "6000", (10, 19, 5): "6800",
}


def rows(name):
    with open(DATA / f"{name}.csv", newline="") as file:
        for row in csv.DictReader(file):
            yield {key.strip(): (value or "").strip() for key, value in row.items() if key}


def main():
    out = csv.writer(sys.stdout, lineterminator="\n")
    out.writerow(["part", "size", "value"])
    for ours, name, theirs, columns in TABLES:
        for row in rows(name):
            size = row["Size"].split("-")[0]
            if size not in SIZES:
                continue
            for column, size_name in columns.items():
                value = row.get(f"{theirs}:{column}", "")
                if value:
                    out.writerow([f"{ours} {size}", size_name, value])
    told = set()
    for name in BEARINGS:
        for row in rows(name):
            part = next((key for key in row if key.endswith(":d") and row[key]), None)
            if part is None:
                continue
            maker = part.split(":")[0]
            key = tuple(float(row[f"{maker}:{column}"]) for column in "dDB")
            ours = OURS.get(key)
            if ours is None or ours in told:
                continue
            told.add(ours)
            for column, size_name in BEARING_COLUMNS.items():
                value = row.get(f"{maker}:{column}", "")
                if value:
                    factor = 1000.0 if column in ("C", "C0") else 1.0
                    out.writerow([ours, size_name, f"{factor * float(value):g}"])


if __name__ == "__main__":
    main()
