#include "csv_table.hpp"
#include "grade.hpp"
#include "heatrow/core/cell.hpp"
#include "heatrow/core/error.hpp"
#include "panel_type.hpp"

#include <fmt/format.h>
#include <gdal_priv.h>
#include <nlohmann/json.hpp>
#include <ogrsf_frmts.h>

#include <array>
#include <fstream>
#include <map>
#include <memory>

namespace scene {
namespace {

namespace fs = std::filesystem;
using heatrow::Error;
using heatrow::ErrorKind;

constexpr std::array<const char*, 8> kCorners{"x1", "y1", "x2", "y2", "x3", "y3", "x4", "y4"};

std::vector<FrameModule> read_outlines(const fs::path& file) {
    const CsvTable table =
        CsvTable::read(file, {"frame", "module", "x1", "y1", "x2", "y2", "x3", "y3", "x4", "y4", "visible_share"});
    std::vector<FrameModule> outlines;
    for (std::size_t row = 0; row < table.size(); ++row) {
        FrameModule outline;
        outline.frame = table.text(row, "frame");
        outline.module = table.text(row, "module");
        for (std::size_t i = 0; i < 4; ++i) {
            outline.corners_px[i] = {table.number(row, kCorners[2 * i]), table.number(row, kCorners[2 * i + 1])};
        }
        outline.visible_share = table.number(row, "visible_share");
        outlines.push_back(std::move(outline));
    }
    return outlines;
}

std::vector<FrameModule> read_views(const fs::path& file) {
    GDALAllRegister();
    struct Close {
        void operator()(GDALDataset* dataset) const { GDALClose(dataset); }
    };
    const std::unique_ptr<GDALDataset, Close> dataset(static_cast<GDALDataset*>(
        GDALOpenEx(file.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY, nullptr, nullptr, nullptr)));
    OGRLayer* layer = dataset ? dataset->GetLayerByName("views") : nullptr;
    if (layer == nullptr) {
        throw Error(ErrorKind::input,
                    "Could not read the views",
                    file.string(),
                    "no layer 'views' in it",
                    "Give the output folder of `heatrow analyse`.");
    }
    const auto column = [layer, &file](const char* name) {
        const int index = layer->GetLayerDefn()->GetFieldIndex(name);
        if (index < 0) {
            throw Error(ErrorKind::input,
                        "Could not read the views",
                        file.string(),
                        fmt::format("column '{}' is missing", name),
                        "See docs/formats/survey-gpkg.md.");
        }
        return index;
    };
    const int frame = column("frame");
    const int module = column("module");
    const int placement = column("placement");
    std::array<int, 8> corners{};
    for (std::size_t i = 0; i < corners.size(); ++i) {
        corners[i] = column(kCorners[i]);
    }
    std::vector<FrameModule> views;
    for (auto& feature : *layer) {
        FrameModule view;
        view.frame = feature->GetFieldAsString(frame);
        view.module = feature->GetFieldAsString(module);
        view.placement = feature->GetFieldAsString(placement);
        for (std::size_t i = 0; i < 4; ++i) {
            view.corners_px[i] = {feature->GetFieldAsDouble(corners[2 * i]),
                                  feature->GetFieldAsDouble(corners[2 * i + 1])};
        }
        views.push_back(std::move(view));
    }
    return views;
}

// The survey itself: the folder, or `survey` in it where only the truth was moved beside it.
fs::path survey_of(const fs::path& rendered) {
    return fs::exists(rendered / "layout.geojson") ? rendered : rendered / "survey";
}

// Module id to its type, through the layout.
std::map<std::string, PanelType> read_types(const fs::path& rendered) {
    const fs::path survey = survey_of(rendered);
    std::ifstream in(survey / "layout.geojson", std::ios::binary);
    const auto layout = nlohmann::json::parse(in, nullptr, false);
    if (layout.is_discarded() || !layout.contains("features")) {
        throw Error(ErrorKind::input,
                    "Could not read the layout",
                    (survey / "layout.geojson").string(),
                    "it is no GeoJSON",
                    "Render the scene again.");
    }
    std::map<std::string, PanelType> by_id;
    std::map<std::string, PanelType> types;
    for (const auto& feature : layout["features"]) {
        const auto& properties = feature.at("properties");
        const std::string type = properties.at("type").get<std::string>();
        if (!by_id.contains(type)) {
            by_id.emplace(type, read_panel_type(type, {survey / "module-types"}));
        }
        types.emplace(properties.at("module").get<std::string>(), by_id.at(type));
    }
    return types;
}

// Cells named by cells, else by substrings; none = the whole object.
std::set<int> cells_of(const CsvTable& table, std::size_t row, const PanelType* type) {
    std::set<int> cells;
    if (type == nullptr) {
        return cells;
    }
    for (const std::string& name : words_of(table.text(row, "cells"))) {
        const auto cell = heatrow::parse_cell(name);
        if (cell && cell->row < type->rows && cell->column < type->columns) {
            cells.insert(cell->row * type->columns + cell->column);
        }
    }
    if (cells.empty()) {
        for (const std::string& word : words_of(table.text(row, "substrings"))) {
            for (int cell = 0; cell < type->cell_count(); ++cell) {
                if (std::to_string(type->substring_of_cell[static_cast<std::size_t>(cell)]) == word) {
                    cells.insert(cell);
                }
            }
        }
    }
    if (static_cast<int>(cells.size()) == type->cell_count()) {
        cells.clear();  // the whole module
    }
    return cells;
}

Abnormality read_place(const CsvTable& table,
                       std::size_t row,
                       const char* id,
                       const std::map<std::string, PanelType>& types) {
    Abnormality place;
    place.id = table.text(row, id);
    place.module = table.text(row, "module");
    place.string = table.text(row, "string");
    place.pattern = table.text(row, "pattern");
    const auto type = types.find(place.module);
    place.cells = cells_of(table, row, type == types.end() ? nullptr : &type->second);
    place.delta_t_k = table.number(row, "delta_t_k");
    place.delta_t_1000_k = table.number(row, "delta_t_1000_k");
    return place;
}

}  // namespace

GradeInput read_grade_input(const fs::path& rendered, const fs::path& analysis) {
    GradeInput input;
    const auto types = read_types(rendered);
    input.modules = static_cast<int>(types.size());
    input.outlines = read_outlines(rendered / "truth" / "outlines.csv");
    input.views = read_views(analysis / "survey.gpkg");

    const CsvTable faults = CsvTable::read(rendered / "truth" / "faults.csv",
                                           {"fault",
                                            "module",
                                            "string",
                                            "pattern",
                                            "substrings",
                                            "cells",
                                            "delta_t_k",
                                            "delta_t_1000_k",
                                            "decoy",
                                            "in_scope"});
    for (std::size_t row = 0; row < faults.size(); ++row) {
        Abnormality fault = read_place(faults, row, "fault", types);
        fault.decoy = faults.text(row, "decoy") == "yes";
        fault.in_scope = faults.text(row, "in_scope") == "yes";
        input.faults.push_back(std::move(fault));
    }
    const CsvTable findings = CsvTable::read(analysis / "findings.csv",
                                             {"finding",
                                              "module",
                                              "string",
                                              "pattern",
                                              "substrings",
                                              "cells",
                                              "class",
                                              "delta_t_k",
                                              "delta_t_u95_k",
                                              "delta_t_1000_k",
                                              "delta_t_1000_u95_k"});
    for (std::size_t row = 0; row < findings.size(); ++row) {
        Abnormality finding = read_place(findings, row, "finding", types);
        finding.delta_t_u95_k = findings.number(row, "delta_t_u95_k");
        finding.delta_t_1000_u95_k = findings.number(row, "delta_t_1000_u95_k");
        finding.abnormality_class = static_cast<int>(findings.number(row, "class"));
        input.findings.push_back(std::move(finding));
    }
    const CsvTable modules = CsvTable::read(analysis / "modules.csv", {"module", "assessed"});
    for (std::size_t row = 0; row < modules.size(); ++row) {
        input.modules_assessed += modules.text(row, "assessed") == "yes" ? 1 : 0;
    }
    return input;
}

}  // namespace scene
