#include "heatrow/io/joint_list.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/core/nearest_word.hpp"
#include "heatrow/io/decode_text.hpp"
#include "heatrow/io/text_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

namespace heatrow {
namespace {

constexpr std::string_view kDescribed = "docs/formats/joints.md describes the list";

constexpr std::array<std::string_view, 17> kColumns{"joint",
                                                    "group",
                                                    "phase",
                                                    "thermogram",
                                                    "area",
                                                    "temperature_c",
                                                    "temperature_u_k",
                                                    "air_c",
                                                    "reflected_c",
                                                    "current_a",
                                                    "current_u_a",
                                                    "rated_a",
                                                    "surface",
                                                    "emissivity",
                                                    "cover_open_min",
                                                    "load_held_min",
                                                    "note"};

[[noreturn]] void fail(std::string_view where, std::string_view why, std::string_view remedy) {
    throw Error(ErrorKind::input, "cannot read the list of joints", where, why, remedy);
}

// What a number may be, and how to say so.
struct Allowed {
    double low;
    double high;
    bool low_open = false;
    std::string_view remedy;
};
constexpr Allowed kAirDegrees{kLowestC, kHighestAirC, false, "Write degC, from -60 to 80"};
constexpr Allowed kDegrees{kLowestC, kHighestSurfaceC, false, "Write degC, from -60 to 1000"};
constexpr Allowed kUncertainty{0.0, 100.0, true, "Write a standard uncertainty above zero, or leave it empty"};
constexpr Allowed kCurrent{
    0.0, 1e6, false, "Write the magnitude in amperes; a joint without current is 0 and is not judged"};
constexpr Allowed kRated{0.0, 1e6, true, "Write the rated current of the joint in amperes, above zero"};
constexpr Allowed kEmissivity{0.0, 1.0, true, "Write a share above 0 and at most 1, e.g. 0.95"};
constexpr Allowed kMinutes{0.0, 1e6, false, "Write minutes, 0 or more, or leave it empty where nobody noted them"};

// The cells of one row by column name.
class JointFields {
  public:
    JointFields(const TextTable& table, const TextRow& row) : table_(table), row_(row) {}

    [[nodiscard]] std::string_view text(std::string_view column) const {
        const auto found = table_.find_column(column);
        return found ? cell(row_, *found) : std::string_view{};
    }
    [[nodiscard]] std::string place(std::string_view column) const { return table_.place(row_, column); }

    [[nodiscard]] std::optional<double> optional_number(std::string_view column, const Allowed& allowed) const {
        const std::string_view written = text(column);
        if (written.empty()) {
            return std::nullopt;
        }
        const auto value = table_.number(written);
        if (!value) {
            fail(place(column), fmt::format("'{:.40}' is no number", written), allowed.remedy);
        }
        if (*value < allowed.low || *value > allowed.high || (allowed.low_open && *value == allowed.low)) {
            fail(place(column), fmt::format("{:.10g} cannot be", *value), allowed.remedy);
        }
        return value;
    }
    [[nodiscard]] double number(std::string_view column, const Allowed& allowed) const {
        const auto value = optional_number(column, allowed);
        if (!value) {
            fail(place(column), "the field is empty", allowed.remedy);
        }
        return *value;
    }

  private:
    const TextTable& table_;
    const TextRow& row_;
};

JointSurface read_surface(const JointFields& fields) {
    constexpr std::array kSurfaces{JointSurface::bare_metal,
                                   JointSurface::tape,
                                   JointSurface::insulation,
                                   JointSurface::paint,
                                   JointSurface::contact_probe};
    const std::string written(fields.text("surface"));
    std::vector<std::string> names;
    for (const JointSurface surface : kSurfaces) {
        if (to_string(surface) == written) {
            return surface;
        }
        names.emplace_back(to_string(surface));
    }
    const auto nearest = nearest_word(written, names);
    fail(fields.place("surface"),
         written.empty() ? std::string("the field is empty") : fmt::format("'{:.40}' is no surface", written),
         nearest ? fmt::format("Did you mean '{}'?", *nearest)
                 : fmt::format("Say what was looked at: {}", fmt::join(names, ", ")));
}

// "rect:65 45 20 20" or with commas.
AreaShape read_area(const JointFields& fields) {
    std::string text(fields.text("area"));
    std::replace(text.begin(), text.end(), ' ', ',');
    const auto area = parse_area("joint=" + text);
    if (!area) {
        fail(fields.place("area"),
             area.error(),
             "Write e.g. rect:65 45 20 20 (x, y, width, height), circle:80 60 6 or polygon:x1 y1 x2 y2 x3 y3");
    }
    return area->shape;
}

void read_temperature(const JointFields& fields, JointRow& row) {
    row.thermogram = std::string(fields.text("thermogram"));
    row.temperature_c = fields.optional_number("temperature_c", kDegrees);
    row.temperature_u_k = fields.optional_number("temperature_u_k", kUncertainty);
    if (row.temperature_c && !row.thermogram.empty()) {
        fail(fields.place("temperature_c"),
             fmt::format("{:.10g} stands beside the thermogram '{:.60}'", *row.temperature_c, row.thermogram.string()),
             "Keep one of them: a typed temperature, or a thermogram with an area");
    }
    if (!row.temperature_c && row.thermogram.empty()) {
        fail(fields.place("temperature_c"),
             "neither a temperature nor a thermogram is given",
             "Write degC here, or a file in 'thermogram' with an 'area'");
    }
    if (row.thermogram.empty() && !fields.text("area").empty()) {
        fail(fields.place("area"), "an area needs a thermogram", "Name the file in 'thermogram'");
    }
    if (!row.thermogram.empty()) {
        if (row.temperature_u_k) {
            fail(fields.place("temperature_u_k"),
                 fmt::format("{:.10g} stands beside a thermogram", *row.temperature_u_k),
                 "Leave it empty: the uncertainty is computed from the frame");
        }
        row.area = read_area(fields);
    }
}

JointRow read_row(const TextTable& table, const TextRow& text) {
    const JointFields fields(table, text);
    JointRow row;
    row.line = text.line;
    row.place = table.place(text);
    row.id = fields.text("joint");
    if (row.id.empty()) {
        fail(fields.place("joint"), "the field is empty", "Give every joint a name of its own");
    }
    row.group = fields.text("group");
    row.phase = fields.text("phase");
    row.note = fields.text("note");
    read_temperature(fields, row);
    row.air_c = fields.optional_number("air_c", kAirDegrees);
    row.reflected_c = fields.optional_number("reflected_c", kDegrees);
    row.current_a = fields.number("current_a", kCurrent);
    row.current_u_a = fields.optional_number("current_u_a", kUncertainty);
    row.rated_a = fields.number("rated_a", kRated);
    row.surface = read_surface(fields);
    if (row.surface == JointSurface::contact_probe && !row.thermogram.empty()) {
        fail(fields.place("surface"),
             fmt::format("a contact probe beside the thermogram '{:.60}'", row.thermogram.string()),
             "Type the probe's reading in 'temperature_c', or say what the area shows");
    }
    row.emissivity = fields.optional_number("emissivity", kEmissivity);
    if (row.surface == JointSurface::bare_metal && !row.emissivity) {
        fail(fields.place("emissivity"),
             "the field is empty for bare metal",
             "Bare metal is anything from 0.02 to 0.8: write its emissivity, or measure tape or insulation beside it");
    }
    row.cover_open_min = fields.optional_number("cover_open_min", kMinutes);
    row.load_held_min = fields.optional_number("load_held_min", kMinutes);
    return row;
}

void check_columns(const TextTable& table) {
    std::vector<std::string> known(kColumns.begin(), kColumns.end());
    for (const std::string& column : table.header.cells) {
        if (!column.empty() && std::find(known.begin(), known.end(), column) == known.end()) {
            const auto nearest = nearest_word(column, known);
            fail(table.place(table.header, column),
                 "there is no such column",
                 nearest ? fmt::format("Did you mean '{}'?", *nearest)
                         : fmt::format("Remove it, or call it 'note'. Columns: {}", fmt::join(known, ", ")));
        }
        if (!column.empty() && std::count(table.header.cells.begin(), table.header.cells.end(), column) > 1) {
            fail(table.place(table.header, column), "two columns have this name", "Keep one of them");
        }
    }
    for (const std::string_view required : {"joint", "group", "current_a", "rated_a", "surface"}) {
        if (!table.find_column(required)) {
            fail(table.place(table.header, required), "the column is missing", kDescribed);
        }
    }
}

void check_rows(const JointList& list) {
    std::map<std::string, const JointRow*> by_id;
    std::map<std::string, const JointRow*> by_group;
    for (const JointRow& row : list.rows) {
        const auto [same, is_new] = by_id.emplace(row.id, &row);
        if (!is_new) {
            fail(row.place + ", field joint",
                 fmt::format("'{:.60}' stands on line {} already", row.id, same->second->line),
                 "Give every joint a name of its own, or keep one of the two lines");
        }
        const auto [first, is_first] = by_group.emplace(row.group, &row);
        if (!row.group.empty() && !is_first && first->second->rated_a != row.rated_a) {
            fail(row.place + ", field rated_a",
                 fmt::format("{:.10g} A, but '{:.60}' of the same group '{:.60}' is rated {:.10g} A",
                             row.rated_a,
                             first->second->id,
                             row.group,
                             first->second->rated_a),
                 "Siblings are alike in build and rating: correct it, or give them groups of their own");
        }
    }
}

}  // namespace

JointList parse_joint_list(std::string_view bytes, std::string_view name) {
    const TextTable table = parse_text_table(bytes, name);
    check_columns(table);
    JointList list;
    list.name = table.name;
    for (const TextRow& row : table.rows) {
        list.rows.push_back(read_row(table, row));
    }
    if (list.rows.empty()) {
        fail(table.name, "it lists no joint", kDescribed);
    }
    check_rows(list);
    return list;
}

JointList read_joint_list(const std::filesystem::path& path) {
    return parse_joint_list(read_text_bytes(path), path.string());
}

}  // namespace heatrow
