#include "grade_input.hpp"

#include "analysis_layers.hpp"
#include "csv_table.hpp"
#include "heatrow/core/cell.hpp"
#include "heatrow/core/error.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <array>
#include <fstream>
#include <map>
#include <set>
#include <sstream>

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

// The survey itself: the folder, or `survey` in it where only the truth was moved beside it.
fs::path survey_of(const fs::path& rendered) {
    return fs::exists(rendered / "layout.geojson") ? rendered : rendered / "survey";
}

// Types and strings of the modules, from the layout.
void read_layout(const fs::path& rendered, GradeInput& input) {
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
    for (const auto& feature : layout["features"]) {
        const auto& properties = feature.at("properties");
        const std::string type = properties.at("type").get<std::string>();
        if (!by_id.contains(type)) {
            by_id.emplace(type, read_panel_type(type, {survey / "module-types"}));
        }
        const auto module = properties.at("module").get<std::string>();
        input.types.emplace(module, by_id.at(type));
        input.string_of[module] = properties.value("string", std::string());
    }
    input.modules = static_cast<int>(input.types.size());
}

std::set<int> named_cells(const CsvTable& table, std::size_t row, const PanelType* type) {
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
    return cells;
}

// Cells named by cells, else by substrings; none = the whole object.
std::set<int> cells_of(const CsvTable& table, std::size_t row, const PanelType* type) {
    std::set<int> cells = named_cells(table, row, type);
    if (type == nullptr) {
        return cells;
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

// Findings have an apostrophe before what a spreadsheet could take for a formula (docs/formats/findings-csv.md).
std::string without_apostrophe(const std::string& text) {
    return text.starts_with("'") ? text.substr(1) : text;
}

void read_true_cells(const fs::path& file, GradeInput& input) {
    const CsvTable table = CsvTable::read(file, {"module", "cell", "delta_t_k"});
    for (std::size_t row = 0; row < table.size(); ++row) {
        input.true_cell_delta_k[table.text(row, "module")].push_back(table.number(row, "delta_t_k"));
    }
}

void read_mirrors(const fs::path& file, GradeInput& input) {
    const CsvTable table = CsvTable::read(file, {"frame", "module", "kind", "peak_k", "cells"});
    for (std::size_t row = 0; row < table.size(); ++row) {
        const std::string& module = table.text(row, "module");
        const auto type = input.types.find(module);
        input.mirrored.push_back({table.text(row, "frame"),
                                  module,
                                  table.text(row, "kind"),
                                  table.number(row, "peak_k"),
                                  named_cells(table, row, type == input.types.end() ? nullptr : &type->second)});
    }
}

void read_layout_errors(const fs::path& file, GradeInput& input) {
    const CsvTable table = CsvTable::read(file, {"part", "table", "module"});
    for (std::size_t row = 0; row < table.size(); ++row) {
        WrongLayoutPart& part = input.wrong_layout_parts[table.text(row, "part")];
        part.tables.insert(table.text(row, "table"));
        part.modules.insert(table.text(row, "module"));
    }
}

// The last line of an analysis' messages, without the progress before it.
std::string last_line(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    std::string line;
    std::string last = "no message";
    while (std::getline(in, line)) {
        if (!line.empty()) {
            last = line.substr(line.rfind('\r') == std::string::npos ? 0 : line.rfind('\r') + 1);
        }
    }
    return last;
}

Abnormality read_place(const CsvTable& table,
                       std::size_t row,
                       const char* id,
                       const std::map<std::string, PanelType>& types) {
    Abnormality place;
    place.id = table.text(row, id);
    place.module = table.text(row, "module");
    place.string = table.text(row, "string");
    if (std::string_view(id) == "finding") {
        place.module = without_apostrophe(place.module);
        place.string = without_apostrophe(place.string);
    }
    place.pattern = table.text(row, "pattern");
    const auto type = types.find(place.module);
    place.cells = cells_of(table, row, type == types.end() ? nullptr : &type->second);
    place.delta_t_k = table.number(row, "delta_t_k");
    place.delta_t_1000_k = table.number(row, "delta_t_1000_k");
    return place;
}

void read_faults(const fs::path& file, GradeInput& input) {
    const CsvTable table = CsvTable::read(file,
                                          {"fault",
                                           "module",
                                           "string",
                                           "pattern",
                                           "substrings",
                                           "cells",
                                           "delta_t_k",
                                           "delta_t_1000_k",
                                           "cell_delta_t_k",
                                           "cell_delta_t_1000_k",
                                           "whole_views",
                                           "decoy",
                                           "in_scope"});
    for (std::size_t row = 0; row < table.size(); ++row) {
        Abnormality fault = read_place(table, row, "fault", input.types);
        fault.cell_delta_t_k = table.number(row, "cell_delta_t_k");
        fault.cell_delta_t_1000_k = table.number(row, "cell_delta_t_1000_k");
        fault.decoy = table.text(row, "decoy") == "yes";
        fault.in_scope = table.text(row, "in_scope") == "yes" && !input.drawn_wrongly(fault.module);
        fault.whole_views = fault.decoy ? 0 : static_cast<int>(table.number(row, "whole_views"));
        input.faults.push_back(std::move(fault));
    }
}

void read_findings(const fs::path& file, GradeInput& input) {
    const CsvTable table = CsvTable::read(file,
                                          {"finding",
                                           "module",
                                           "candidates",
                                           "string",
                                           "pattern",
                                           "pattern_probability",
                                           "pattern_second",
                                           "substrings",
                                           "cells",
                                           "class",
                                           "class_probability",
                                           "delta_t_k",
                                           "delta_t_u95_k",
                                           "delta_t_1000_k",
                                           "delta_t_1000_u95_k"});
    for (std::size_t row = 0; row < table.size(); ++row) {
        Abnormality finding = read_place(table, row, "finding", input.types);
        finding.pattern_probability = table.number(row, "pattern_probability");
        finding.pattern_second = table.text(row, "pattern_second");
        std::istringstream candidates(table.text(row, "candidates"));
        for (std::string name; std::getline(candidates, name, '|');) {
            finding.candidates.insert(name);
        }
        finding.delta_t_u95_k = table.number(row, "delta_t_u95_k");
        finding.delta_t_1000_u95_k = table.number(row, "delta_t_1000_u95_k");
        finding.abnormality_class = static_cast<int>(table.number(row, "class"));
        finding.class_probability = table.number(row, "class_probability");
        input.findings.push_back(std::move(finding));
    }
}

}  // namespace

bool GradeInput::drawn_wrongly(const std::string& module) const {
    return std::ranges::any_of(wrong_layout_parts,
                               [&module](const auto& part) { return part.second.modules.contains(module); });
}

GradeInput read_grade_input(const fs::path& rendered, const fs::path& analysis) {
    GradeInput input;
    const fs::path truth = rendered / "truth";
    input.facts = SceneFacts::read(truth / "scene.csv");
    read_layout(rendered, input);
    input.outlines = read_outlines(truth / "outlines.csv");
    input.frames = static_cast<int>(CsvTable::read(truth / "poses.csv", {"frame"}).size());
    read_true_cells(truth / "cells.csv", input);
    read_layout_errors(truth / "layout_errors.csv", input);
    read_faults(truth / "faults.csv", input);
    read_mirrors(truth / "mirrors.csv", input);
    if (fs::is_regular_file(analysis)) {
        input.refused = last_line(analysis);
        return input;
    }
    read_analysis_layers(analysis / "survey.gpkg", input);
    read_findings(analysis / "findings.csv", input);
    const CsvTable modules = CsvTable::read(analysis / "modules.csv", {"module", "assessed"});
    for (std::size_t row = 0; row < modules.size(); ++row) {
        input.modules_assessed += modules.text(row, "assessed") == "yes" ? 1 : 0;
    }
    return input;
}

}  // namespace scene
