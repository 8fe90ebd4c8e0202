#include "heatrow/io/array_description_reader.hpp"

#include "toml_section.hpp"

#include <fmt/format.h>

#include <set>

namespace heatrow {
namespace {

using detail::kNotNegative;
using detail::kPositive;
using detail::Range;
using detail::TomlDocument;
using detail::TomlSection;

constexpr std::string_view kFailed = "cannot read the description of the array";
constexpr int kMostRows = 10000;
constexpr int kMostAlong = 10000;
constexpr double kSteepest_deg = 85.0;  // docs/formats/layout.md
constexpr Range kTilt{0.0, kSteepest_deg};
constexpr Range kAzimuth{-360.0, 360.0};

constexpr std::array<std::string_view, 3> kTablePlaces{"area", "row", "table"};
constexpr std::array<std::string_view, 10> kModulePlaces{
    "area", "row", "table", "table_id", "tier", "column", "place", "n", "row_n", "area_n"};
constexpr std::array<std::string_view, 6> kStringPlaces{"area", "row", "string", "n", "group", "in_group"};

IdPattern pattern(const TomlSection& section,
                  std::string_view key,
                  std::span<const std::string_view> known,
                  std::string_view standard) {
    const std::string text = section.optional_text(key).value_or(std::string(standard));
    if (text.empty()) {
        return {};
    }
    auto parsed = IdPattern::parse(text, known);
    if (!parsed) {
        section.fail(key, fmt::format("\"{}\": {}", text, parsed.error()), "See docs/formats/layout-description.md");
    }
    return *std::move(parsed);
}

Corner corner(const TomlSection& section) {
    return section.choice<Corner, 4>("start",
                                     {{{"lower-left", {false, false}},
                                       {"lower-right", {true, false}},
                                       {"upper-left", {false, true}},
                                       {"upper-right", {true, true}}}});
}

std::optional<std::array<double, 2>> position(const TomlSection& section) {
    const auto numbers = section.optional_numbers("position_m", 2);
    return numbers ? std::optional(std::array{(*numbers)[0], (*numbers)[1]}) : std::nullopt;
}

int count(const TomlSection& section, std::string_view key, int high, int standard) {
    return section.has(key) ? section.integer(key, 1, high) : standard;
}

StringHome home_of(const TomlSection& section) {
    return {section.optional_text("combiner").value_or(""),
            section.optional_text("inverter").value_or(""),
            section.optional_text("input").value_or("")};
}

bool positive_at_start(const TomlSection& section) {
    return section.choice<bool, 2>("positive", {{{"start", true}, {"end", false}}});
}

Numbering read_numbering(const TomlSection& area) {
    Numbering numbering;
    const auto given = area.optional_section(
        "numbering", {"start", "rows_from", "direction", "serpentine", "first_row", "table", "module"});
    if (!given) {
        numbering.table = *IdPattern::parse("{area}R{row}-T{table}", kTablePlaces);
        numbering.module = *IdPattern::parse("{table_id}-{tier:A}{column:02}", kModulePlaces);
        return numbering;
    }
    const TomlSection& section = *given;
    numbering.start = corner(section);
    numbering.rows_from_back = section.choice<bool, 2>("rows_from", {{{"front", false}, {"back", true}}});
    numbering.up_first = section.choice<bool, 2>("direction", {{{"along", false}, {"up", true}}});
    enum class Serpentine { none, lines, rows, both };
    const auto serpentine = section.choice<Serpentine, 4>("serpentine",
                                                          {{{"none", Serpentine::none},
                                                            {"lines", Serpentine::lines},
                                                            {"rows", Serpentine::rows},
                                                            {"both", Serpentine::both}}});
    numbering.serpentine_lines = serpentine == Serpentine::lines || serpentine == Serpentine::both;
    numbering.serpentine_rows = serpentine == Serpentine::rows || serpentine == Serpentine::both;
    numbering.first_row = section.has("first_row") ? section.integer("first_row", 0, 1000000) : 1;
    numbering.table = pattern(section, "table", kTablePlaces, "{area}R{row}-T{table}");
    numbering.module = pattern(section, "module", kModulePlaces, "{table_id}-{tier:A}{column:02}");
    return numbering;
}

Wiring read_wiring(const TomlSection& area) {
    Wiring wiring;
    const auto given = area.optional_section(
        "wiring", {"form", "length", "over", "start", "positive", "string", "combiner", "inverter", "input", "group"});
    if (!given) {
        return wiring;
    }
    const TomlSection& section = *given;
    static_cast<void>(section.text("form"));  // required
    wiring.form = section.choice<Wiring::Form, 3>(
        "form", {{{"row", Wiring::Form::row}, {"u", Wiring::Form::u}, {"leapfrog", Wiring::Form::leapfrog}}});
    wiring.length = section.has("length") ? section.integer("length", 1, kMostAlong) : 0;
    wiring.over_tables = section.choice<bool, 2>("over", {{{"row", true}, {"table", false}}});
    wiring.start = corner(section);
    wiring.positive_at_start = positive_at_start(section);
    wiring.string = pattern(section, "string", kStringPlaces, "{area}R{row}-S{string}");
    wiring.combiner = pattern(section, "combiner", kStringPlaces, "");
    wiring.inverter = pattern(section, "inverter", kStringPlaces, "");
    wiring.input = pattern(section, "input", kStringPlaces, "");
    wiring.group = count(section, "group", 1000000, 1);
    return wiring;
}

std::vector<PlaceChange> read_changes(const TomlSection& area) {
    std::vector<PlaceChange> changes;
    std::set<std::pair<int, int>> seen;
    for (const TomlSection& section : area.sections(
             "change", {"row", "table", "position_m", "lower_edge_m", "tilt", "azimuth", "tables", "along", "up"})) {
        PlaceChange change;
        change.row = section.integer("row", 1, kMostRows);
        change.table = section.has("table") ? section.integer("table", 1, kMostRows) : 0;
        if (!seen.emplace(change.row, change.table).second) {
            section.fail("row", fmt::format("row {} is changed twice", change.row), "Write one [[area.change]] for it");
        }
        change.position_m = position(section);
        change.lower_edge_m = section.optional_number("lower_edge_m");
        change.tilt_deg = section.optional_number("tilt", kTilt);
        change.azimuth_deg = section.optional_number("azimuth", kAzimuth);
        if (section.has("tables")) {
            if (change.table != 0) {
                section.fail("tables", "a table has no tables", "Leave 'table' out to change the row");
            }
            change.tables = section.integer("tables", 1, kMostRows);
        }
        if (section.has("along")) {
            change.along = section.integer("along", 1, kMostAlong);
        }
        if (section.has("up")) {
            change.up = section.integer("up", 1, kMostAlong);
        }
        changes.push_back(change);
    }
    return changes;
}

std::vector<double> read_gaps(const TomlSection& section, int tables) {
    if (!section.has("table_gap_m")) {
        return {0.0};
    }
    // One number for all gaps, or a list of one each.
    if (section.is_array("table_gap_m")) {
        return *section.optional_numbers("table_gap_m", static_cast<std::size_t>(tables - 1));
    }
    return {section.number("table_gap_m", kNotNegative)};
}

ArrayArea read_area(const TomlSection& section) {
    ArrayArea area;
    area.id = section.optional_text("id").value_or("");
    area.type = section.text("type");
    area.position_m = position(section).value_or(area.position_m);
    area.lower_edge_m = section.optional_number("lower_edge_m").value_or(0.0);
    area.tilt_deg = section.number("tilt", kTilt);
    area.azimuth_deg = section.number("azimuth", kAzimuth);
    area.top = section.choice<TopEdge, 4>(
        "top", {{{"up", TopEdge::up}, {"down", TopEdge::down}, {"left", TopEdge::left}, {"right", TopEdge::right}}});
    area.rows = count(section, "rows", kMostRows, 1);
    if (area.rows > 1 || section.has("row_pitch_m")) {
        area.row_pitch_m = section.number("row_pitch_m", kPositive);
    }
    area.row_shift_m = section.optional_number("row_shift_m").value_or(0.0);
    area.tables = count(section, "tables", kMostRows, 1);
    area.grid.along = section.integer("along", 1, kMostAlong);
    area.grid.up = count(section, "up", kMostAlong, 1);
    area.table_gaps_m = read_gaps(section, area.tables);
    area.gap_along_m = section.optional_number("gap_along_m", kNotNegative).value_or(area.gap_along_m);
    area.gap_up_m = section.optional_number("gap_up_m", kNotNegative).value_or(area.gap_up_m);
    area.table_step_m = section.optional_number("table_step_m").value_or(0.0);
    area.table_turn_deg = section.optional_number("table_turn_deg", {-45.0, 45.0}).value_or(0.0);
    area.changes = read_changes(section);
    area.numbering = read_numbering(section);
    area.missing = section.has("missing") ? section.texts("missing") : std::vector<std::string>{};
    area.renamed = section.text_map("renamed");
    area.wiring = read_wiring(section);
    constexpr double kMostPlaces = 2e6;
    if (static_cast<double>(area.rows) * area.tables * area.grid.along * area.grid.up > kMostPlaces) {
        section.fail("rows", "the area has more than two million modules", "Check rows, tables, along and up");
    }
    return area;
}

std::vector<ListedString> read_strings(const TomlSection& root) {
    std::vector<ListedString> strings;
    for (const TomlSection& section :
         root.sections("string", {"id", "modules", "positive", "combiner", "inverter", "input"})) {
        strings.push_back({section.text("id"), section.texts("modules"), positive_at_start(section), home_of(section)});
    }
    return strings;
}

}  // namespace

DescribedArray parse_array_description(std::string_view text, const std::filesystem::path& file) {
    const TomlDocument document(text, file, std::string(kFailed));
    const TomlSection root = document.root({"site", "area", "string"});
    const TomlSection site = root.section("site", {"longitude", "latitude", "ground_rise", "module_types"});
    DescribedArray described;
    described.origin.longitude_deg = site.number("longitude", {-180.0, 180.0});
    described.origin.latitude_deg = site.number("latitude", {-90.0, 90.0});
    described.array.name = file.filename().string();
    if (const auto rise = site.optional_numbers("ground_rise", 2)) {
        described.array.ground_rise = {(*rise)[0], (*rise)[1]};
    }
    if (const auto types = site.optional_text("module_types")) {
        described.module_types = file.parent_path() / *types;
    }
    std::set<std::string> ids;
    for (const TomlSection& section : root.sections(
             "area", {"id",     "type",        "position_m",  "lower_edge_m", "tilt",         "azimuth",
                      "top",    "rows",        "row_pitch_m", "row_shift_m",  "tables",       "along",
                      "up",     "table_gap_m", "gap_along_m", "gap_up_m",     "table_step_m", "table_turn_deg",
                      "change", "numbering",   "missing",     "renamed",      "wiring"})) {
        described.array.areas.push_back(read_area(section));
        if (!ids.insert(described.array.areas.back().id).second) {
            section.fail("id",
                         fmt::format("two areas are called \"{}\"", described.array.areas.back().id),
                         "Give each [[area]] an id of its own");
        }
    }
    if (described.array.areas.empty()) {
        root.fail("area", "there is none", "Describe each roof face, or each field of rows, in an [[area]]");
    }
    described.array.strings = read_strings(root);
    return described;
}

DescribedArray read_array_description(const std::filesystem::path& file) {
    return parse_array_description(detail::read_text_file(file, kFailed, "Check the path"), file);
}

}  // namespace heatrow
