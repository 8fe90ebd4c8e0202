// The installed module types: what each says must hang together, and be drawn.
#include "heatrow/io/data_folder.hpp"
#include "heatrow/report/string_ribbon.hpp"
#include "heatrow/report/type_sheet.hpp"
#include "support/type_record.hpp"
#include "support/xml_check.hpp"

#include <catch2/catch.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <set>

using namespace heatrow;
using Technology = ModuleType::Technology;

namespace {

std::vector<ModuleType> library() {
    const ModuleTypeCatalogue catalogue = find_module_types(std::nullopt);
    std::vector<ModuleType> types;
    for (const std::string& id : catalogue.ids()) {
        types.push_back(catalogue.read(id));
    }
    return types;
}

std::size_t count(const std::string& text, std::string_view part) {
    std::size_t found = 0;
    for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + part.size())) {
        ++found;
    }
    return found;
}

// How many cells are in series: a block of a substring after another one, parallel blocks once.
int cells_in_series(const ModuleType& type) {
    const int parallel = type.technology == Technology::shingled ? type.columns : type.half_cut ? 2 : 1;
    return type.cell_count() / parallel;
}

}  // namespace

TEST_CASE("module types: the library has every common construction", "[io]") {
    std::set<std::string> ids;
    for (const ModuleType& type : library()) {
        ids.insert(type.id);
    }
    for (const char* id : {"generic-60-full",
                           "generic-72-full",
                           "generic-60-glass-glass",
                           "generic-108-half-cut",
                           "generic-120-half-cut",
                           "generic-132-half-cut",
                           "generic-144-half-cut",
                           "generic-144-glass-glass",
                           "generic-180-third-cut",
                           "generic-384-shingled",
                           "generic-96-thin-film",
                           "generic-118-thin-film"}) {
        INFO(id);
        CHECK(ids.contains(id));
    }
}

TEST_CASE("module types: sizes and ratings hang together", "[io]") {
    for (const ModuleType& type : library()) {
        INFO(type.id);
        CHECK(type.rated_power_w == Approx(type.rated_voltage_v * type.rated_current_a).epsilon(0.005));
        CHECK(type.short_circuit_current_a > type.rated_current_a);
        CHECK(type.short_circuit_current_a < 1.15 * type.rated_current_a);
        // Volts of a cell at its best power: silicon 0.5 to 0.6 V, thin film 0.45 to 0.8 V (common practice, no
        // source).
        const double cell_v = type.rated_voltage_v / cells_in_series(type);
        CHECK(cell_v > 0.45);
        CHECK(cell_v < (type.technology == Technology::thin_film ? 0.8 : 0.61));
        if (type.half_cut) {
            // Twin halves: each substring lies above and below the middle alike, one box for each at mid-height.
            REQUIRE(type.junction_boxes.size() == 3);
            for (const Eigen::Vector2d& box : type.junction_boxes) {
                CHECK(box.y() == Approx(0.5 * type.height.value()).margin(0.03));
            }
            for (int substring = 1; substring <= type.substring_count(); ++substring) {
                const auto cells = type.cells_of_substring(substring);
                const auto above =
                    std::ranges::count_if(cells, [&](int cell) { return type.cell_at(cell).row < type.rows / 2; });
                CHECK(2 * above == static_cast<long>(cells.size()));
            }
        }
    }
}

TEST_CASE("module types: cells are those of common wafers, whole or cut", "[io]") {
    // Sides of common wafers, m: 156.75, 166, 182, 210 mm (common practice, no source).
    constexpr std::array<double, 4> kWafers{0.15675, 0.166, 0.182, 0.210};
    constexpr double kWidestGap = 0.004;
    for (const ModuleType& type : library()) {
        if (type.technology != Technology::crystalline) {
            continue;
        }
        INFO(type.id);
        const double across = type.cell_area_width.value() / type.columns;
        const double along = type.cell_area_height.value() / type.rows;
        const bool known = std::ranges::any_of(kWafers, [&](double wafer) {
            const double parts = std::round(wafer / along);
            return across > wafer && across < wafer + kWidestGap && along > wafer / parts - 0.001 &&
                   along < wafer / parts + kWidestGap;
        });
        CHECK(known);
    }
}

TEST_CASE("module types: every type has a ribbon with its cells and groups, and is on the sheet", "[io]") {
    const auto types = library();
    for (const ModuleType& type : types) {
        INFO(type.id);
        const SurveyRecord record = testing::record_of_type(type);
        REQUIRE(first_breach(record).empty());
        const ReportModel model = make_report_model(record, {});
        const std::string svg = string_ribbon_svg(model, model.strings.front(), RibbonUse::file);
        CHECK(testing::xml_problem(svg).empty());
        // A filled cell is a closed rectangle "M..h..v..h..z"; plans and marks have no 'h' of both kinds.
        CHECK(count(svg, "z") >= static_cast<std::size_t>(3 * type.cell_count()));
    }
    const std::string sheet = type_sheet_svg(types);
    CHECK(testing::xml_problem(sheet).empty());
    for (const ModuleType& type : types) {
        CHECK(count(sheet, ">" + type.id + "<") == 1);
    }
}
