#include "drawing_csv.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/io/text_table.hpp"

#include <fmt/format.h>

#include <array>
#include <set>

namespace heatrow::detail {
namespace {

// Names of one pair of columns.
struct PairOfColumns {
    std::size_t x = 0;
    std::size_t y = 0;
};

std::optional<PairOfColumns> find_pair(const TextTable& table, const std::string& x, const std::string& y) {
    const auto a = table.find_column(x);
    const auto b = table.find_column(y);
    return a && b ? std::optional(PairOfColumns{*a, *b}) : std::nullopt;
}

// The columns of corners, or the one pair of a centre.
std::vector<PairOfColumns> place_columns(const TextTable& table, bool geographic) {
    const std::string x = geographic ? "longitude" : "x";
    const std::string y = geographic ? "latitude" : "y";
    std::vector<PairOfColumns> corners;
    for (const char* number : {"1", "2", "3", "4"}) {
        if (const auto pair = find_pair(table, x + number, y + number)) {
            corners.push_back(*pair);
        }
    }
    if (corners.size() == 4) {
        return corners;
    }
    const auto centre = find_pair(table, x, y);
    return centre ? std::vector{*centre} : std::vector<PairOfColumns>{};
}

double coordinate(const TextTable& table, const TextRow& row, std::size_t column) {
    const auto value = table.number(cell(row, column));
    if (!value) {
        throw Error(ErrorKind::input,
                    "cannot read the drawing",
                    table.place(row, table.header.cells[column]),
                    fmt::format("'{}' is no number", cell(row, column)),
                    "Give each module its coordinates");
    }
    return *value;
}

}  // namespace

Drawing read_drawing_table(const std::filesystem::path& file) {
    const TextTable table = read_text_table(file);
    const bool geographic = !place_columns(table, true).empty();
    const std::vector<PairOfColumns> columns = place_columns(table, geographic);
    if (columns.empty()) {
        fail_drawing(file,
                     "",
                     fmt::format("its columns are {}: no corners and no centres", fmt::join(table.header.cells, ", ")),
                     "Name them x1, y1 to x4, y4 for corners or x, y for centres; longitude, latitude for degrees");
    }
    std::set<std::size_t> places;
    for (const PairOfColumns& pair : columns) {
        places.insert({pair.x, pair.y});
    }
    Drawing drawing;
    drawing.name = file.filename().string();
    drawing.crs = geographic ? "EPSG:4326" : "";
    for (const TextRow& row : table.rows) {
        DrawnOutline outline;
        outline.entity = fmt::format("line {}", row.line);
        for (const PairOfColumns& pair : columns) {
            outline.ring.emplace_back(coordinate(table, row, pair.x), coordinate(table, row, pair.y));
        }
        if (columns.size() > 1) {
            outline.ring = corners_of_ring(std::move(outline.ring));
            if (outline.ring.size() != 4) {
                fail_drawing(file,
                             outline.entity,
                             fmt::format("the outline has {} corners, not 4", outline.ring.size()),
                             "Give four corners, in one turn around the module");
            }
        }
        for (std::size_t i = 0; i < table.header.cells.size(); ++i) {
            const std::string_view text = cell(row, i);
            if (!places.contains(i) && !text.empty()) {
                const auto number = table.number(text);
                // Decimal commas end here.
                outline.fields[table.header.cells[i]] =
                    number && table.dialect.decimal_comma && text.find(',') != std::string_view::npos
                        ? fmt::format("{}", *number)
                        : std::string(text);
            }
        }
        drawing.outlines.push_back(std::move(outline));
    }
    if (drawing.outlines.empty()) {
        fail_drawing(file, "", "it has no rows", "Give one module a row");
    }
    return drawing;
}

}  // namespace heatrow::detail
