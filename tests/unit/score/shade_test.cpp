#include "heatrow/score/score.hpp"
#include "heatrow/score/seen_cover.hpp"
#include "support/simulated_site.hpp"

#include <catch2/catch.hpp>

#include <algorithm>

using namespace heatrow;
using namespace heatrow::test;

namespace {

const Profile& profile() {
    static const Profile shipped = shipped_profile(HEATROW_FIELD_PRACTICE);
    return shipped;
}

// Lays a shadow over the lowest `rows` of cells of a module, over `columns` of it from the left: the shaded cells cool
// by `cooling_k`, the lit ones of every substring with a shaded cell warm by `bypass_k`.
void shade(ModuleInput& module, const ModuleType& type, int rows, int columns, double cooling_k, double bypass_k) {
    PredictedShade shade;
    shade.thrown_by = "table R01T01";
    shade.sun_azimuth = degrees(181.0);
    shade.sun_elevation = degrees(23.0);
    for (int cell = 0; cell < type.cell_count(); ++cell) {
        const auto at = type.cell_at(cell);
        const bool shaded = at.row >= type.rows - rows && at.column < columns;
        const bool edge = at.row == type.rows - rows - 1 && at.column < columns;
        shade.cells.push_back(shaded ? CellLight::shaded : edge ? CellLight::edge : CellLight::lit);
        auto& value = module.fused.cells[static_cast<std::size_t>(cell)].temperature.value;
        const bool bypassed = at.column / 2 * 2 < columns;
        value = value + KelvinDelta(shaded ? -cooling_k : bypassed ? bypass_k : 0.0);
    }
    module.shade = std::move(shade);
}

std::vector<const Finding*> findings_on(const ScoreResult& result, int module) {
    std::vector<const Finding*> found;
    for (const Finding& finding : result.findings) {
        if (finding.module == module) {
            found.push_back(&finding);
        }
    }
    return found;
}

}  // namespace

TEST_CASE("shade: rows that shade the lower half of those behind are explained, true faults are found", "[score]") {
    const auto layout = make_site({5, 5, 20, 2, false});
    const int hot = layout.strings[14].modules[3];    // on a table behind, shaded
    const int other = layout.strings[13].modules[5];  // and one that is not
    auto inputs = simulate(
        layout, {{Pattern::hot_cell, hot, -1, 1, 13, 20.0}, {Pattern::open_circuit_module, other, -1, 1, 0, 5.0}}, {});
    int shaded = 0;
    for (std::size_t i = 0; i < inputs.size(); ++i) {
        const bool lower_line = layout.modules[i].string % 2 == 0;
        if (lower_line && layout.modules[i].table >= 5) {
            shade(inputs[i], layout.types[0], 4, 6, 10.0, 4.5);
            ++shaded;
        }
    }
    const auto result = score({layout, inputs, profile()});
    int explained = 0;
    for (const Finding& finding : result.findings) {
        if (finding.pattern == Pattern::shading) {
            ++explained;
            CHECK(finding.abnormality == AbnormalityClass::none);
            CHECK_FALSE(finding.delta_t_1000.is_known());
            CHECK(finding.pattern_second == Pattern::open_circuit_module);
            continue;
        }
        CHECK((finding.module == hot || finding.module == other));
    }
    CHECK(explained >= shaded * 9 / 10);
    REQUIRE(findings_on(result, other).size() == 1);
    CHECK(findings_on(result, other).front()->pattern == Pattern::open_circuit_module);
    const auto on_hot = findings_on(result, hot);
    CHECK(std::any_of(on_hot.begin(), on_hot.end(), [](const Finding* f) {
        return f->pattern == Pattern::hot_cell && f->delta_t.value.value() > 15.0;
    }));
    const ModuleScore& judged = result.modules[static_cast<std::size_t>(hot)];
    CHECK_FALSE(judged.assessed);
    CHECK(judged.assessed_reason == "shaded");
    CHECK_FALSE(judged.cells.back().delta_t.is_known());
    CHECK(judged.cells.front().delta_t.is_known());
    CHECK(std::any_of(result.notes.begin(), result.notes.end(), [](const std::string& note) {
        return note.find("predicted shade") != std::string::npos;
    }));
}

TEST_CASE("shade: one substring in shade is explained, the others stay assessed", "[score]") {
    const auto layout = make_site({3, 3, 20, 2, false});
    auto inputs = simulate(layout, {{Pattern::substring_bypassed, 30, -1, 3, 0, 5.0}}, {});
    shade(inputs[30], layout.types[0], 2, 2, 10.0, 5.0);  // substring 1 by shade, 3 by a fault of its own
    shade(inputs[50], layout.types[0], 2, 2, 10.0, 5.0);
    shade(inputs[70], layout.types[0], 2, 2, 10.0, 0.0);  // a string without load: nothing is warm
    const auto result = score({layout, inputs, profile()});
    const auto two = findings_on(result, 30);
    REQUIRE(two.size() == 2);
    for (const Finding* finding : two) {
        const bool by_shade = finding->pattern == Pattern::shading;
        CHECK(finding->substrings == std::vector<int>{by_shade ? 1 : 3});
        CHECK((by_shade || finding->pattern == Pattern::substring_open_circuit));
    }
    REQUIRE(findings_on(result, 50).size() == 1);
    const Finding& shading = *findings_on(result, 50).front();
    CHECK(shading.pattern == Pattern::shading);
    CHECK(shading.evidence.find("4 cells in the predicted shadow of table R01T01 and 2 at its edge (sun 23 deg high in "
                                "181 deg); what is lit of substring 1 is") != std::string::npos);
    CHECK(findings_on(result, 70).empty());
    CHECK(result.modules[50].assessed);
    CHECK(result.modules[70].assessed);
}

TEST_CASE("shade: a shaded cell that is hot is the shade's doing", "[score]") {
    const auto layout = make_site({3, 3, 20, 2, false});
    auto inputs = simulate(layout, {{Pattern::hot_cell, 40, -1, 1, 55, 25.0}}, {});
    shade(inputs[40], layout.types[0], 1, 2, 0.0, 0.0);
    inputs[40].shade->cells[55] = CellLight::shaded;
    const auto result = score({layout, inputs, profile()});
    REQUIRE(findings_on(result, 40).size() == 1);
    const Finding& finding = *findings_on(result, 40).front();
    CHECK(finding.pattern == Pattern::shading);
    CHECK(finding.pattern_second == Pattern::hot_cell);
    REQUIRE(finding.cells.size() == 1);
    CHECK(layout.types[0].cell_number(finding.cells.front()) == 55);
}

TEST_CASE("shade: a line that nothing predicts is seen by the cells beyond it, and they are no fault", "[score]") {
    const auto layout = make_site({3, 2, 20, 2, false});
    const int open = layout.strings[1].modules[5];
    const int bypassed = layout.strings[1].modules[9];
    auto inputs = simulate(
        layout,
        {{Pattern::open_circuit_module, open, -1, 1, 0, 5.0}, {Pattern::substring_bypassed, bypassed, -1, 1, 0, 5.0}},
        {});
    // Straight across the lower cells of ten modules side by side, some of the lit ones bypassed; of one more only one
    // row is cool, and one lies wholly beyond the line.
    std::vector<int> covered;
    const auto& line = layout.strings[0].modules;
    for (std::size_t i = 2; i < 12; ++i) {
        covered.push_back(line[i]);
        shade(inputs[static_cast<std::size_t>(line[i])], layout.types[0], 4, 6, 9.0, i % 2 == 0 ? 4.5 : 0.0);
    }
    const int corner = line[13];  // of the shadow: a box of cells
    shade(inputs[static_cast<std::size_t>(corner)], layout.types[0], 4, 3, 9.0, 0.0);
    const int rim = line[14];
    shade(inputs[static_cast<std::size_t>(rim)], layout.types[0], 1, 4, 9.0, 0.0);
    const int wholly = line[16];
    shade(inputs[static_cast<std::size_t>(wholly)], layout.types[0], 10, 6, 9.0, 0.0);
    for (ModuleInput& module : inputs) {
        module.shade.reset();
    }
    see_covers(layout, profile(), inputs);
    for (const ModuleInput& module : inputs) {
        const bool is_covered = std::count(covered.begin(), covered.end(), module.fused.module) > 0;
        INFO(layout.modules[static_cast<std::size_t>(module.fused.module)].id);
        REQUIRE(module.shade.has_value() == (is_covered || module.fused.module == corner));
        if (is_covered) {
            const auto& cells = module.shade->cells;
            CHECK(std::count(cells.begin(), cells.end(), CellLight::shaded) == 24);
            CHECK(std::count(cells.begin(), cells.end(), CellLight::edge) == 6);
        }
    }
    const auto result = score({layout, inputs, profile()});
    for (const int module : covered) {
        CHECK(result.modules[static_cast<std::size_t>(module)].assessed_reason == "shaded");
        for (const Finding* finding : findings_on(result, module)) {
            CHECK(finding->pattern == Pattern::shading);
            CHECK(finding->abnormality == AbnormalityClass::none);
            CHECK(finding->evidence.find("that the layout does not predict") != std::string::npos);
        }
    }
    REQUIRE(findings_on(result, open).size() == 1);
    CHECK(findings_on(result, open).front()->pattern == Pattern::open_circuit_module);
    CHECK(findings_on(result, bypassed).size() == 1);
    REQUIRE(findings_on(result, wholly).size() == 1);
    CHECK(findings_on(result, wholly).front()->pattern == Pattern::module_cooler);
    CHECK(std::any_of(result.notes.begin(), result.notes.end(), [](const std::string& note) {
        return note.find("11 modules are much cooler in one part") != std::string::npos;
    }));
}
