// From a drawing to modules that a layout file can hold.
#pragma once

#include "heatrow/io/drawing_fit.hpp"
#include "heatrow/io/drawing_reader.hpp"
#include "heatrow/io/module_type_reader.hpp"
#include "heatrow/site/array_description.hpp"
#include "heatrow/site/layout.hpp"

#include <map>
#include <optional>
#include <string>
#include <vector>

namespace heatrow {

// The names of a layout's fields (docs/formats/layout.md), and `rows` and `columns` of tables.
const std::vector<std::string>& import_fields();

// Tables drawn as one outline each, to be filled with modules.
struct TableFilling {
    TableGrid grid;    // unless the outline has fields `rows` and `columns`
    Corner start;      // where tiers and columns count from
    IdPattern module;  // with {table_id}, {tier}, {column}, {n}
};

struct ImportOptions {
    std::map<std::string, std::string> fields;  // field of the layout -> field of the drawing; default: the same name
    std::map<std::string, std::string> values;  // field of the layout -> value, where the drawing has none
    std::map<std::string, std::map<std::string, std::string>> layer_values;  // the same for one layer, going first
    bool labels = false;            // the id is the text inside the outline, or the nearest one within its size
    std::string crs;                // of the drawing, or of the points it is fitted to; empty: as declared, or WGS 84
    std::optional<double> unit_m;   // metres per unit of the drawing
    std::vector<PointPair> points;  // in the drawing, and in `crs`: fitted where there are any
    std::optional<TableFilling> tables;
};

struct ImportedLayout {
    SiteOrigin origin;
    std::vector<PlannedModule> modules;
    std::optional<DrawingFit> fit;
    int labels_left_over = 0;
};

// Throws Error(input) naming the file, the entity and its coordinates for: missing ids, types, tilts and azimuths,
// outlines that do not fit their type or tables that do not fit their modules, labels that fit two outlines or none,
// ids given twice, outlines drawn twice; and Error(usage) for points that do not fit.
ImportedLayout import_layout(const Drawing& drawing, const ImportOptions& options, const ModuleTypeCatalogue& types);

}  // namespace heatrow
