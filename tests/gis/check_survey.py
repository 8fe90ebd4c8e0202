"""Opens survey.gpkg as a GIS does: stored styles, names with units, rows, and the columns that the format page lists.

check_survey.py SURVEY.gpkg FORMAT.md MAP.png; exit code 77 where QGIS is not installed.
"""

import os
import re
import struct
import sys

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
try:
    from qgis.core import (QgsApplication, QgsMapRendererParallelJob, QgsMapSettings, QgsVectorLayer)
    from qgis.PyQt.QtCore import QSize
    from qgis.PyQt.QtGui import QColor
except ImportError as problem:
    print(f"not run: QGIS is not installed for this Python ({problem})")
    sys.exit(77)

SURVEY, FORMAT, PICTURE = sys.argv[1:4]
failures = []


def check(holds, words):
    if not holds:
        failures.append(words)
        print("FAILED: " + words)


def documented_tables():
    """Columns by table, from the lines "| `column` | type | ..." under each "## `table`" heading."""
    tables = {}
    current = None
    with open(FORMAT, encoding="utf-8") as page:
        for line in page:
            heading = re.match(r"## `(\w+)`", line)
            if heading:
                current = tables.setdefault(heading.group(1), [])
            elif line.startswith("## "):
                current = None
            column = re.match(r"\| `(\w+)` \| (\w+) \|", line)
            if column and current is not None:
                current.append(column.group(1))
    return tables


def open_layer(name):
    layer = QgsVectorLayer(f"{SURVEY}|layername={name}", name, "ogr")
    check(layer.isValid(), f"layer {name} opens")
    return layer


def mean_colour(image, wanted, reach=40):
    """Number of pixels close to a colour."""
    near = 0
    for y in range(0, image.height(), 2):
        for x in range(0, image.width(), 2):
            colour = QColor(image.pixel(x, y))
            near += all(abs(a - b) < reach for a, b in
                        zip((colour.red(), colour.green(), colour.blue()), wanted))
    return near


application = QgsApplication([], False)
application.initQgis()

tables = documented_tables()
check(len(tables) == 20, f"the format page lists twenty tables, not {sorted(tables)}")
layers = {name: open_layer(name) for name in tables}
for name, layer in layers.items():
    fields = [field.name() for field in layer.fields() if field.name() != "fid"]
    check(fields == tables[name], f"{name} has the documented columns: {fields} against {tables[name]}")

counts = {"modules": 25, "strings": 2, "findings": 8, "frames": 8, "module_types": 2,
          "footprints": 15, "control": 3}
for name, count in counts.items():
    check(layers[name].featureCount() == count, f"{name} has {count} rows, not {layers[name].featureCount()}")
check(layers["views"].featureCount() > 0, "views has rows")

for name, column, values in [
        ("modules", "state", {"class_3", "class_2", "class_1", "not_assessed", "ambiguous", "not_seen"}),
        ("findings", "coalesce(reviewed_class, class)", {"3", "2", "1"}),
        ("frames", "outcome", {"scored", "information", "left_out"}),
        ("footprints", "state", {"before", "after"}),
        ("control", "use", {"used", "held", "refused"})]:
    renderer = layers[name].renderer()
    check(renderer.type() == "categorizedSymbol", f"{name} opens categorised, not {renderer.type()}")
    if renderer.type() == "categorizedSymbol":
        check(renderer.classAttribute() == column, f"{name} is coloured by {column}")
        check({str(c.value()) for c in renderer.categories()} == values, f"{name} has the categories {values}")
check(layers["strings"].renderer().type() == "singleSymbol", "strings open with one symbol")
check(layers["strings"].labelsEnabled(), "strings are labelled")
shapes = {str(c.value()): c.symbol().symbolLayer(0).properties().get("name")
          for c in layers["findings"].renderer().categories()}
check(len(set(shapes.values())) == 3, f"each class has a shape of its own: {shapes}")

modules = layers["modules"]
check(modules.attributeDisplayName(modules.fields().indexOf("t_module_c")) == "Module temperature [°C]",
      "columns are shown by name and unit")
check(modules.crs().authid() == "EPSG:32630", f"the map's reference is UTM 30N, not {modules.crs().authid()}")
first = next(modules.getFeatures())
check(abs(first.geometry().area() - 0.992 * 1.65 * 0.9064) < 0.01, f"a module has its size: {first.geometry().area()} m2")
values = bytes(first["cell_values"])
check(len(values) == 6 * 60 * 4, f"six planes of 60 cells: {len(values)} bytes")
temperatures = struct.unpack("<60f", values[:240])
check(all(40.0 < t < 55.0 for t in temperatures), "the first plane holds temperatures")
unseen = [f for f in modules.getFeatures() if f["state"] == "not_seen"]
check(unseen and all(f["class"] in (None, "") or str(f["class"]) == "NULL" for f in unseen),
      "a module that was not seen has no class")

order = [layers[name] for name in ("findings", "control", "strings", "modules", "frames", "footprints")]
settings = QgsMapSettings()
settings.setLayers(order)
settings.setDestinationCrs(modules.crs())
settings.setOutputSize(QSize(1400, 900))
extent = modules.extent()
extent.scale(1.25)
settings.setExtent(extent)
settings.setBackgroundColor(QColor(255, 255, 255))
settings.setOutputDpi(144)
job = QgsMapRendererParallelJob(settings)
job.start()
job.waitForFinished()
image = job.renderedImage()
check(image.save(PICTURE), "the map is drawn")
for words, colour in [("class 2", (230, 159, 0)), ("class 3", (213, 94, 0)), ("assessed", (169, 195, 193))]:
    check(mean_colour(image, colour, 24) > 50, f"the map shows {words}")

print(f"{len(failures)} failures")
sys.stdout.flush()
os._exit(1 if failures else 0)  # QGIS 3.22 may crash while Python takes its objects apart
