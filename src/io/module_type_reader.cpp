#include "heatrow/io/module_type_reader.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/core/nearest_word.hpp"
#include "heatrow/site/layout.hpp"
#include "toml_section.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace heatrow {
namespace {

using detail::kNotNegative;
using detail::kPositive;
using detail::Range;
using detail::TomlDocument;
using detail::TomlSection;

constexpr std::string_view kFailed = "cannot read the module type";
constexpr int kMostCellsAlong = 1000;  // of one module

struct Block {
    CellIndex first;
    CellIndex last;
};

// "r1c1:r10c2", or one cell.
std::optional<Block> parse_block(std::string_view text) {
    const auto colon = text.find(':');
    const auto first = parse_cell(text.substr(0, colon));
    const auto last = colon == std::string_view::npos ? first : parse_cell(text.substr(colon + 1));
    if (!first || !last || last->row < first->row || last->column < first->column) {
        return std::nullopt;
    }
    return Block{*first, *last};
}

// Cells of the block, now in `substring`.
std::vector<int> claim_cells(const TomlSection& section, const std::string& text, int substring, ModuleType& type) {
    std::vector<int> cells;
    const auto block = parse_block(text);
    if (!block) {
        section.fail("cells", fmt::format("\"{}\" is no block of cells", text), "Write it as \"r1c1:r10c2\"");
    }
    if (block->last.row >= type.rows || block->last.column >= type.columns) {
        section.fail("cells",
                     fmt::format("\"{}\" reaches beyond {} rows x {} columns", text, type.rows, type.columns),
                     "Keep the block inside the module");
    }
    for (int row = block->first.row; row <= block->last.row; ++row) {
        for (int column = block->first.column; column <= block->last.column; ++column) {
            const CellIndex cell{row, column};
            int& owner = type.substring_of_cell[static_cast<std::size_t>(type.cell_number(cell))];
            if (owner != 0) {
                section.fail("cells",
                             fmt::format("cell {} is in substrings {} and {}", to_string(cell), owner, substring),
                             "Each cell belongs to exactly one substring");
            }
            owner = substring;
            cells.push_back(type.cell_number(cell));
        }
    }
    return cells;
}

// Blocks of a substring lie side by side in half-cut and shingled types, one after the other in all others.
void read_substrings(const TomlSection& root, ModuleType& type) {
    const bool is_parallel = type.half_cut || type.technology == ModuleType::Technology::shingled;
    type.substring_of_cell.assign(static_cast<std::size_t>(type.cell_count()), 0);
    int substring = 0;
    for (const TomlSection& section : root.sections("substring", {"cells"})) {
        ++substring;
        for (const std::string& block : section.texts("cells")) {
            auto cells = claim_cells(section, block, substring, type);
            if (is_parallel || type.branches.empty() || type.substring_of_cell[static_cast<std::size_t>(type.branches.back().front())] != substring) {
                type.branches.push_back(std::move(cells));
            } else {
                type.branches.back().insert(type.branches.back().end(), cells.begin(), cells.end());
            }
        }
    }
    const auto orphan = std::find(type.substring_of_cell.begin(), type.substring_of_cell.end(), 0);
    if (orphan != type.substring_of_cell.end()) {
        const auto number = static_cast<int>(orphan - type.substring_of_cell.begin());
        root.fail("substring",
                  fmt::format("cell {} is in no substring", to_string(type.cell_at(number))),
                  "Each cell belongs to exactly one [[substring]]");
    }
}

void read_cell_area(const TomlSection& root, ModuleType& type) {
    const TomlSection area = root.section("cell_area_m", {"left", "top", "width", "height"});
    const double left = area.number("left", kNotNegative);
    const double top = area.number("top", kNotNegative);
    const double width = area.number("width", kPositive);
    const double height = area.number("height", kPositive);
    type.middle_gap = Metres(root.optional_number("middle_gap_m", kNotNegative).value_or(0.0));
    constexpr double kRounding_m = 1e-9;
    if (left + width > type.width.value() + kRounding_m) {
        area.fail("width",
                  fmt::format("the cells end at {:g} m, the outline at {:g} m", left + width, type.width.value()),
                  "Correct left, width or width_m");
    }
    if (top + height > type.height.value() + kRounding_m) {
        area.fail("height",
                  fmt::format("the cells end at {:g} m, the outline at {:g} m", top + height, type.height.value()),
                  "Correct top, height or height_m");
    }
    if (type.middle_gap.value() >= height) {
        root.fail("middle_gap_m",
                  fmt::format("{:g} m leave no room for cells", type.middle_gap.value()),
                  "It lies inside cell_area_m.height");
    }
    type.cell_area_left = Metres(left);
    type.cell_area_top = Metres(top);
    type.cell_area_width = Metres(width);
    type.cell_area_height = Metres(height) - type.middle_gap;
}

void read_junction_boxes(const TomlSection& root, ModuleType& type) {
    for (const TomlSection& section : root.sections("junction_box", {"position_m"})) {
        const auto position = section.optional_numbers("position_m", 2);
        if (!position) {
            section.fail("position_m", "missing, and it has no default", "Give x and y in metres");
        }
        const Eigen::Vector2d point((*position)[0], (*position)[1]);
        if (point.x() < 0.0 || point.y() < 0.0 || point.x() > type.width.value() || point.y() > type.height.value()) {
            section.fail("position_m",
                         fmt::format("[{:g}, {:g}] lies outside the module", point.x(), point.y()),
                         "Plane coordinates run from the top left corner of the outline");
        }
        type.junction_boxes.push_back(point);
    }
}

}  // namespace

ModuleType parse_module_type(std::string_view text, const std::filesystem::path& file) {
    const TomlDocument document(text, file, std::string(kFailed));
    const TomlSection root = document.root({"id",
                                            "description",
                                            "width_m",
                                            "height_m",
                                            "rows",
                                            "columns",
                                            "half_cut",
                                            "technology",
                                            "cell_area_m",
                                            "middle_gap_m",
                                            "frame_width_m",
                                            "front",
                                            "rated_power_w",
                                            "rated_voltage_v",
                                            "rated_current_a",
                                            "short_circuit_current_a",
                                            "open_circuit_voltage_v",
                                            "positive_lead",
                                            "substring",
                                            "junction_box"});
    ModuleType type;
    type.id = root.text("id");
    type.description = root.optional_text("description").value_or("");
    type.width = Metres(root.number("width_m", kPositive));
    type.height = Metres(root.number("height_m", kPositive));
    type.rows = root.integer("rows", 1, kMostCellsAlong);
    type.columns = root.integer("columns", 1, kMostCellsAlong);
    type.half_cut = root.optional_boolean("half_cut").value_or(false);
    if (root.has("technology")) {
        using Technology = ModuleType::Technology;
        type.technology = root.choice<Technology, 3>("technology",
                                                     {{{"crystalline", Technology::crystalline},
                                                       {"shingled", Technology::shingled},
                                                       {"thin_film", Technology::thin_film}}});
    }
    read_cell_area(root, type);
    type.frame_width = Metres(root.optional_number("frame_width_m", kNotNegative).value_or(0.0));
    type.front = root.choice<ModuleType::Front, 2>(
        "front", {{{"glass", ModuleType::Front::glass}, {"polymer", ModuleType::Front::polymer}}});
    type.positive_lead_left = root.choice<bool, 2>("positive_lead", {{{"left", true}, {"right", false}}});
    type.rated_power_w = root.number("rated_power_w", kPositive);
    type.rated_voltage_v = root.number("rated_voltage_v", kPositive);
    type.rated_current_a = root.number("rated_current_a", kPositive);
    type.short_circuit_current_a = root.number("short_circuit_current_a", kPositive);
    type.open_circuit_voltage_v = root.optional_number("open_circuit_voltage_v", kPositive).value_or(0.0);
    read_substrings(root, type);
    read_junction_boxes(root, type);
    return type;
}

ModuleType read_module_type(const std::filesystem::path& file) {
    ModuleType type = parse_module_type(detail::read_text_file(file, kFailed, "Check the path"), file);
    if (type.id != file.stem().string()) {
        throw Error(ErrorKind::usage,
                    kFailed,
                    file.string(),
                    fmt::format("its id is \"{}\", the file name says \"{}\"", type.id, file.stem().string()),
                    "Name the file after the id");
    }
    return type;
}

ModuleTypeCatalogue::ModuleTypeCatalogue(std::vector<std::filesystem::path> folders) : folders_(std::move(folders)) {}

std::vector<std::string> ModuleTypeCatalogue::ids() const {
    std::vector<std::string> ids;
    for (const auto& folder : folders_) {
        std::error_code ignored;  // a folder that cannot be listed has no types to offer
        for (const auto& entry : std::filesystem::directory_iterator(folder, ignored)) {
            if (entry.path().extension() == ".toml") {
                ids.push_back(entry.path().stem().string());
            }
        }
    }
    std::sort(ids.begin(), ids.end(), natural_less);
    ids.erase(std::unique(ids.begin(), ids.end()), ids.end());
    return ids;
}

std::filesystem::path ModuleTypeCatalogue::file_of(std::string_view id) const {
    // An id is a name, never a way through folders.
    const bool is_name = !id.empty() && id.find_first_of("/\\") == std::string_view::npos && id != "." && id != "..";
    for (const auto& folder : folders_) {
        const auto file = folder / (std::string(id) + ".toml");
        if (is_name && std::filesystem::exists(file)) {
            return file;
        }
    }
    const auto known = ids();
    const auto nearest = nearest_word(id, known);
    throw Error(ErrorKind::input,
                kFailed,
                fmt::format("module type \"{}\"", id),
                "there is no such type file",
                nearest ? fmt::format("Did you mean \"{}\"?", *nearest)
                        : fmt::format("Known: {}. A file <id>.toml in the survey's module_types folder adds one "
                                      "(docs/formats/module-type.md)",
                                      known.empty() ? "none" : fmt::format("{}", fmt::join(known, ", "))));
}

ModuleType ModuleTypeCatalogue::read(std::string_view id) const {
    return read_module_type(file_of(id));
}

}  // namespace heatrow
