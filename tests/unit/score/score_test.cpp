#include "heatrow/score/score.hpp"

#include "heatrow/core/error.hpp"
#include "support/simulated_site.hpp"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <set>

using namespace heatrow;
using namespace heatrow::test;

namespace {

const Profile& profile() {
    static const Profile shipped = shipped_profile(HEATROW_FIELD_PRACTICE);
    return shipped;
}

ScoreResult score_site(const Layout& layout, const std::vector<ModuleInput>& inputs) {
    return score({layout, inputs, profile()});
}

int count(const ScoreResult& result, Pattern pattern) {
    return static_cast<int>(std::count_if(
        result.findings.begin(), result.findings.end(), [&](const Finding& f) { return f.pattern == pattern; }));
}

}  // namespace

TEST_CASE("score: half of a table hot, its open modules are found and no other", "[score]") {
    const auto layout = make_site({5, 5, 20, 2, false});
    std::vector<SimulatedFault> faults;
    const auto& table = layout.tables[12].modules;
    for (std::size_t i = 0; i < table.size(); i += 2) {  // every other one, so no string is warm as a whole
        faults.push_back({Pattern::open_circuit_module, table[i], -1, 1, 0, 5.0});
    }
    const auto result = score_site(layout, simulate(layout, faults, {}));
    std::set<int> named;
    for (const auto& finding : result.findings) {
        CHECK(finding.pattern == Pattern::open_circuit_module);
        named.insert(finding.module);
    }
    CHECK(named.size() == 20);
    for (const auto& fault : faults) {
        CHECK(named.count(fault.module) == 1);
    }
}

TEST_CASE("score: a table that is one warm string is one finding and its modules are not assessed", "[score]") {
    const auto layout = make_site({5, 5, 20, 1, false});
    const std::vector<SimulatedFault> faults = {{Pattern::string_warm_cause_open, -1, 12, 1, 0, 5.0},
                                                {Pattern::hot_cell, layout.strings[12].modules[3], -1, 1, 17, 25.0}};
    const auto result = score_site(layout, simulate(layout, faults, {}));
    REQUIRE(result.findings.size() == 1);
    const auto& finding = result.findings.front();
    CHECK(finding.pattern == Pattern::string_warm_cause_open);
    CHECK(finding.module == -1);
    CHECK(finding.string == 12);
    CHECK(finding.id == layout.strings[12].id + ".string_warm_cause_open");
    CHECK(finding.delta_t.value.value() == Approx(5.0).margin(0.6));
    CHECK(finding.evidence.find("cell faults in it are not assessed") != std::string::npos);
    for (const int module : layout.strings[12].modules) {
        CHECK_FALSE(result.modules[static_cast<std::size_t>(module)].assessed);
        CHECK(result.modules[static_cast<std::size_t>(module)].assessed_reason == "string_warm");
        CHECK(result.modules[static_cast<std::size_t>(module)].abnormality == AbnormalityClass::none);
        CHECK(result.modules[static_cast<std::size_t>(module)].delta_t.value.value() == Approx(5.0).margin(2.5));
    }
    CHECK(result.strings[12].abnormality == AbnormalityClass::thermal);
    CHECK(result.strings[12].findings == 1);
    CHECK(result.strings[12].modules_assessed == 0);
    CHECK(result.strings[13].modules_assessed == 20);
}

TEST_CASE("score: both strings of a table and a neighbour warm are three findings", "[score]") {
    const auto layout = make_site({5, 5, 20, 2, false});
    const std::vector<SimulatedFault> faults = {{Pattern::string_warm_cause_open, -1, 24, 1, 0, 5.0},
                                                {Pattern::string_warm_cause_open, -1, 25, 1, 0, 5.0},
                                                {Pattern::string_warm_cause_open, -1, 26, 1, 0, 5.0}};
    const auto result = score_site(layout, simulate(layout, faults, {}));
    CHECK(count(result, Pattern::string_warm_cause_open) == 3);
    CHECK(result.findings.size() == 3);
}

TEST_CASE("score: the healthy template takes the warm box cell out", "[score]") {
    const auto layout = make_site({3, 3, 20, 2, false});
    SimulationOptions options;
    options.template_size_k = 6.0;  // above candidate_cell_k
    const auto result = score_site(layout, simulate(layout, {}, options));
    CHECK(count(result, Pattern::hot_cell) == 0);
    double worst = 0.0;
    for (const auto& module : result.modules) {
        worst = std::max(worst, std::abs(module.cells[2].in_module.value()));
    }
    CHECK(worst < 2.5);
}

TEST_CASE("score: too few like modules for a template say so", "[score]") {
    const auto layout = make_site({1, 1, 6, 1, false});
    SimulationOptions options;
    options.template_size_k = 6.0;
    const auto result = score_site(layout, simulate(layout, {}, options));
    CHECK(result.findings.size() == 6);  // cool rim and warm box stay in
    CHECK(std::any_of(result.notes.begin(), result.notes.end(), [](const auto& note) {
        return note.find("no healthy template") != std::string::npos;
    }));
}

TEST_CASE("score: one string on site cannot be told to be off", "[score]") {
    const auto layout = make_site({1, 1, 20, 1, false});
    const std::vector<SimulatedFault> faults = {{Pattern::string_warm_cause_open, -1, 0, 1, 0, 6.0},
                                                {Pattern::hot_cell, 4, -1, 1, 17, 25.0}};
    const auto result = score_site(layout, simulate(layout, faults, {}));
    CHECK(count(result, Pattern::string_warm_cause_open) == 0);
    CHECK(count(result, Pattern::hot_cell) == 1);
    CHECK_FALSE(result.strings[0].assessed);
    CHECK(result.strings[0].assessed_reason == "no_reference");
    CHECK_FALSE(result.strings[0].delta_t.is_known());
    REQUIRE(result.notes.size() == 1);
    CHECK(result.notes[0].find("cannot be decided without electrical data") != std::string::npos);
}

TEST_CASE("score: a module alone on site is not assessed, its hot cell is reported", "[score]") {
    const auto layout = make_site({1, 1, 1, 1, false});
    SimulationOptions options;
    options.template_size_k = 0.0;
    const auto result = score_site(layout, simulate(layout, {{Pattern::hot_cell, 0, -1, 1, 17, 50.0}}, options));
    CHECK_FALSE(result.modules[0].assessed);
    CHECK(result.modules[0].assessed_reason == "no_reference");
    CHECK_FALSE(result.modules[0].delta_t.is_known());
    REQUIRE(result.findings.size() == 1);
    CHECK(result.findings[0].pattern == Pattern::hot_cell);
    CHECK(result.findings[0].abnormality == AbnormalityClass::safety_relevant);
}

TEST_CASE("score: what takes no part is not called healthy", "[score]") {
    const auto layout = make_site({2, 2, 20, 2, false});
    const std::vector<SimulatedFault> faults = {{Pattern::hot_cell, 1, -1, 1, 17, 30.0},
                                                {Pattern::hot_cell, 2, -1, 1, 17, 30.0},
                                                {Pattern::hot_cell, 3, -1, 1, 17, 30.0},
                                                {Pattern::hot_cell, 4, -1, 1, 17, 30.0}};
    auto inputs = simulate(layout, faults, {});
    inputs[1].conditions.irradiance.value = WattsPerSquareMetre(599.0);
    inputs[2].conditions.irradiance.value = WattsPerSquareMetre(kNaN);
    inputs[3].conditions.load_fraction = {0.1, 0.05};
    inputs[4].placement = Placement::ambiguous;
    inputs[4].candidates = {24};
    for (auto& cell : inputs[5].fused.cells) {
        cell.temperature = {};
    }
    inputs.erase(inputs.begin() + 6);
    const auto result = score_site(layout, inputs);
    const auto why = [&](std::size_t i) { return result.modules[i].assessed ? "" : result.modules[i].assessed_reason; };
    CHECK(why(0).empty());
    CHECK(why(1) == "irradiance_below_minimum");
    CHECK(result.modules[1].flags.has(Flag::irradiance_below_minimum));
    CHECK(result.modules[1].temperature.is_known());  // kept as information
    CHECK(why(2) == "irradiance_unknown");
    CHECK(why(3) == "low_load");
    CHECK(why(4) == "ambiguous");
    CHECK(why(5) == "no_data");
    CHECK(why(6) == "not_seen");
    REQUIRE(result.findings.size() == 1);  // of the ambiguous one, with its candidate
    CHECK(result.findings[0].module == 4);
    CHECK(result.findings[0].candidates == std::vector<int>{24});
    CHECK(result.modules[4].abnormality == AbnormalityClass::none);
}

TEST_CASE("score: cells without data are left out, the rest is judged", "[score]") {
    const auto layout = make_site({2, 2, 20, 2, false});
    auto inputs = simulate(layout, {{Pattern::hot_cell, 10, -1, 1, 17, 30.0}}, {});
    for (std::size_t c = 0; c < 12; ++c) {
        inputs[10].fused.cells[c] = FusedCell{};
    }
    const auto result = score_site(layout, inputs);
    REQUIRE(result.findings.size() == 1);
    CHECK(result.findings[0].module == 10);
    CHECK_FALSE(result.modules[10].cells[0].delta_t.is_known());
    CHECK(result.modules[10].hottest_cell == 17);
}

namespace {

// As if no frame showed more than the first columns.
void cut(FusedModule& fused, std::size_t columns_seen, std::size_t columns) {
    fused.flags.set(Flag::seen_in_part);
    for (std::size_t c = 0; c < fused.cells.size(); ++c) {
        if (c % columns >= columns_seen) {
            fused.cells[c] = FusedCell{};
        }
    }
}

}  // namespace

TEST_CASE("score: a module seen in part gives what is seen of it and is never called healthy", "[score]") {
    const auto layout = make_site({2, 2, 20, 2, false});
    const std::vector<SimulatedFault> faults = {
        {Pattern::hot_cell, 1, -1, 1, 13, 25.0},           // r3c2: seen
        {Pattern::hot_cell, 2, -1, 1, 17, 25.0},           // r3c6: not seen
        {Pattern::open_circuit_module, 3, -1, 1, 0, 6.0},  // half of it is seen
        {Pattern::substring_bypassed, 4, -1, 1, 0, 6.0},   // columns 1 and 2: seen beside the next substring
        {Pattern::substring_bypassed, 5, -1, 1, 0, 6.0},   // nothing but columns 1 and 2 is seen
        {Pattern::hot_cell, 6, -1, 1, 6, 25.0}};           // one column is seen: too little to judge
    auto inputs = simulate(layout, faults, {});
    const auto whole = score_site(layout, inputs);
    for (std::size_t module = 1; module <= 4; ++module) {
        cut(inputs[module].fused, 3, 6);
    }
    cut(inputs[5].fused, 2, 6);
    cut(inputs[6].fused, 1, 6);
    const auto result = score_site(layout, inputs);
    for (std::size_t module = 1; module <= 6; ++module) {
        INFO(module);
        CHECK_FALSE(result.modules[module].assessed);
        CHECK(result.modules[module].assessed_reason == "seen_in_part");
        CHECK(result.modules[module].abnormality == AbnormalityClass::none);
        CHECK(result.modules[module].cells.size() == 60);
    }
    CHECK_FALSE(result.modules[6].temperature.is_known());
    std::set<int> found;
    for (const Finding& finding : result.findings) {
        INFO(finding.id << ": " << finding.evidence);
        found.insert(finding.module);
        CHECK(finding.flags.has(Flag::seen_in_part));
        CHECK(finding.evidence.find("no frame shows the whole module") != std::string::npos);
        CHECK(finding.pattern_probability <= (finding.module == 3 || finding.module == 5 ? 0.5 : 1.0));
    }
    CHECK(found == std::set<int>{1, 3, 4, 5});
    CHECK(result.findings.size() == 4);
    for (const Finding& finding : result.findings) {
        if (finding.module == 3) {
            CHECK(finding.pattern == Pattern::open_circuit_module);
            CHECK(finding.pattern_second == Pattern::substring_bypassed);
        } else if (finding.module == 5) {
            CHECK(finding.pattern == Pattern::substring_bypassed);
            CHECK(finding.substrings == std::vector<int>{1});
            CHECK(finding.pattern_second == Pattern::open_circuit_module);
        }
    }
    const auto note = std::find_if(result.notes.begin(), result.notes.end(), [](const std::string& words) {
        return words.find("6 modules are cut by the border") != std::string::npos;
    });
    REQUIRE(note != result.notes.end());
    CHECK(note->find("(17 to 50 % of the cells)") != std::string::npos);

    // They speak for no other module.
    for (std::size_t module = 7; module < result.modules.size(); ++module) {
        CHECK(result.modules[module].assessed == whole.modules[module].assessed);
        CHECK(result.modules[module].delta_t.value.value() ==
              Approx(whole.modules[module].delta_t.value.value()).margin(0.25));
    }
}

TEST_CASE("score: a finding says what it rests on", "[score]") {
    const auto layout = make_site({3, 3, 20, 2, false});
    auto inputs = simulate(layout, {{Pattern::hot_cell, 45, -1, 1, 33, 17.0}}, {});
    const auto result = score_site(layout, inputs);
    REQUIRE(result.findings.size() == 1);
    const auto& finding = result.findings[0];
    CHECK(finding.id == layout.modules[45].id + ".hot_cell.r6c4");
    CHECK(finding.cells == std::vector<CellIndex>{{5, 3}});
    CHECK(finding.delta_t.value.value() == Approx(17.0).margin(1.5));
    CHECK(finding.delta_t_1000.value.value() == Approx(finding.delta_t.value.value() / 0.85));
    CHECK(finding.delta_t_1000.u > finding.delta_t.u);
    CHECK(finding.abnormality == AbnormalityClass::thermal);
    CHECK(finding.class_probability > 0.99);
    CHECK(finding.pattern_probability > 0.9);
    CHECK(finding.pattern_probability < 1.0);
    CHECK(finding.flags.has(Flag::load_unknown));
    CHECK((finding.t_hot - finding.t_reference).value() == Approx(finding.delta_t.value.value()));
    CHECK(finding.evidence.find("Cell r6c4 is ") == 0);
    CHECK(finding.evidence.find("at 1000 W/m² (measured at 850 W/m², exponent 1.0)") != std::string::npos);
    CHECK(finding.loss_w_low > 0.0);
    CHECK(finding.loss_w_high < 150.0);
}

TEST_CASE("score: a hot cell in a warm substring is one finding, classed by the worse rule", "[score]") {
    const auto layout = make_site({3, 3, 20, 2, false});
    const std::vector<SimulatedFault> faults = {{Pattern::substring_bypassed, 45, -1, 2, 0, 5.0},
                                                {Pattern::hot_cell, 45, -1, 1, 33, 45.0}};
    const auto result = score_site(layout, simulate(layout, faults, {}));
    REQUIRE(result.findings.size() == 1);
    const auto& finding = result.findings[0];
    CHECK(finding.pattern == Pattern::substring_bypassed_by_cell);
    CHECK(finding.substrings == std::vector<int>{2});
    CHECK(finding.cells == std::vector<CellIndex>{{5, 3}});
    CHECK(finding.abnormality == AbnormalityClass::safety_relevant);
    CHECK(finding.delta_t.value.value() == Approx(5.0).margin(0.8));
    CHECK(finding.loss_w_high > 0.9 * 300.0 / 3.0 * 0.85);  // warm cells yield less than rated
    CHECK(finding.loss_w_high < 1.4 * 300.0 / 3.0 * 0.85);
    CHECK(finding.loss_rated_w_high > finding.loss_w_high);
    CHECK_FALSE(std::isfinite(finding.loss_kwh_year_high));  // no yield stated
    CHECK(finding.loss_w_low > 0.0);
    CHECK(finding.loss_w_low <= finding.loss_w_high);
}

TEST_CASE("score: neighbours lit up by blur are no hot cells, three true ones are one finding", "[score]") {
    const auto layout = make_site({3, 3, 20, 2, false});
    std::vector<SimulatedFault> faults = {{Pattern::hot_cell, 45, -1, 1, 33, 40.0},
                                          {Pattern::hot_cell, 45, -1, 1, 27, 8.0},   // above it, 20 % of it
                                          {Pattern::hot_cell, 45, -1, 1, 34, 8.0}};  // beside it
    CHECK(score_site(layout, simulate(layout, faults, {})).findings.size() == 1);
    faults = {{Pattern::hot_cell, 45, -1, 1, 7, 15.0},
              {Pattern::hot_cell, 45, -1, 1, 28, 16.0},
              {Pattern::hot_cell, 45, -1, 1, 52, 17.0}};
    const auto many = score_site(layout, simulate(layout, faults, {}));
    REQUIRE(many.findings.size() == 1);
    CHECK(many.findings[0].pattern == Pattern::multiple_hot_cells);
    CHECK(many.findings[0].cells == std::vector<CellIndex>{{1, 1}, {4, 4}, {8, 4}});
    faults.pop_back();
    CHECK(count(score_site(layout, simulate(layout, faults, {})), Pattern::hot_cell) == 2);
}

TEST_CASE("score: one substring in the sun beside two in shade is no warm substring", "[score]") {
    const auto layout = make_site({3, 3, 20, 2, false});
    const std::vector<SimulatedFault> shade = {{Pattern::substring_bypassed, 45, -1, 1, 0, -6.0},
                                               {Pattern::substring_bypassed, 45, -1, 2, 0, -6.0}};
    CHECK(score_site(layout, simulate(layout, shade, {})).findings.empty());
}

TEST_CASE("score: a single view is scored and flagged", "[score]") {
    const auto layout = make_site({2, 2, 20, 2, false});
    SimulationOptions options;
    options.views = 1;
    const auto result = score_site(layout, simulate(layout, {{Pattern::hot_cell, 10, -1, 1, 17, 30.0}}, options));
    REQUIRE(result.findings.size() == 1);
    CHECK(result.findings[0].flags.has(Flag::single_view));
    CHECK(result.modules[11].flags.has(Flag::single_view));
    CHECK(result.modules[11].assessed);
}

TEST_CASE("score: same input, same result; classes sorted", "[score]") {
    const auto layout = make_site({3, 3, 20, 2, false});
    const std::vector<SimulatedFault> faults = {{Pattern::hot_cell, 45, -1, 1, 33, 20.0},
                                                {Pattern::hot_cell, 145, -1, 1, 33, 50.0},
                                                {Pattern::open_circuit_module, 200, -1, 1, 0, 6.0}};
    const auto inputs = simulate(layout, faults, {});
    const auto a = score_site(layout, inputs);
    const auto b = score_site(layout, inputs);
    REQUIRE(a.findings.size() == 3);
    REQUIRE(b.findings.size() == 3);
    for (std::size_t i = 0; i < 3; ++i) {
        CHECK(a.findings[i].evidence == b.findings[i].evidence);
        CHECK(a.findings[i].delta_t_1000.u == b.findings[i].delta_t_1000.u);
    }
    CHECK(a.findings[0].module == 145);
    CHECK(a.findings[1].module == 45);
}

TEST_CASE("score: a profile without a needed rule ends the command", "[score]") {
    const auto layout = make_site({1, 1, 2, 1, false});
    const auto inputs = simulate(layout, {}, {});
    auto broken = profile();
    broken.rules[static_cast<std::size_t>(Pattern::hot_cell)].reset();
    CHECK_THROWS_WITH(score({layout, inputs, broken, {}}), Catch::Contains("there is no rule of hot_cell"));
    CHECK_THROWS_AS(score({layout, inputs, Profile{}, {}}), Error);
}

TEST_CASE("score: nothing seen at all gives one result per module", "[score]") {
    const auto layout = make_site({1, 1, 3, 1, false});
    const auto result = score_site(layout, {});
    CHECK(result.modules.size() == 3);
    CHECK(result.findings.empty());
    CHECK_FALSE(result.strings[0].assessed);
    CHECK(result.modules[0].assessed_reason == "not_seen");
    CHECK(score_site(Layout{}, {}).modules.empty());
}

TEST_CASE("score: what all views share widens temperatures and differences", "[score]") {
    const auto layout = make_site({3, 3, 20, 2, false});
    auto inputs = simulate(layout, {{Pattern::hot_cell, 25, -1, 1, 17, 25.0}}, {});
    const auto narrow = score({layout, inputs, profile(), 0.0});
    for (ModuleInput& input : inputs) {
        input.shared.temperature_u_k = 2.0;
        input.shared.cell_relative_u = 0.03;
    }
    const auto wide = score({layout, inputs, profile(), 0.04});  // both shares together 0.05
    REQUIRE(wide.findings.size() == 1);
    REQUIRE(narrow.findings.size() == 1);
    const double own = narrow.findings[0].delta_t.u;
    CHECK(wide.findings[0].delta_t.u == Approx(std::hypot(own, 0.05 * wide.findings[0].delta_t.value.value())));
    CHECK(wide.modules[3].temperature.u == Approx(std::hypot(narrow.modules[3].temperature.u, 2.0)));
}

TEST_CASE("score: a finding from views at the end of the range is a lower bound and says so", "[score]") {
    const auto layout = make_site({3, 3, 20, 2, false});
    auto inputs = simulate(layout, {{Pattern::hot_cell, 25, -1, 1, 17, 25.0}}, {});
    CHECK_FALSE(score_site(layout, inputs).findings.at(0).flags.has(Flag::lower_bound));
    for (ModuleInput& input : inputs) {
        if (input.fused.module == 25) {
            input.fused.flags.set(Flag::clipped);
        }
    }
    const auto result = score_site(layout, inputs);
    REQUIRE(result.findings.size() == 1);
    CHECK(result.findings[0].flags.has(Flag::lower_bound));
    CHECK(result.findings[0].evidence.find("at least") != std::string::npos);
}

TEST_CASE("score: only a trail longer than the profile's share of a cell keeps a module from being assessed",
          "[score]") {
    const auto layout = make_site({2, 2, 20, 2, false});
    auto inputs = simulate(layout, {}, {});
    const auto smear = [&](std::size_t module, double cells) {
        inputs[module].fused.flags.set(Flag::smeared);
        inputs[module].fused.cell_short_px = 5.0;
        inputs[module].fused.smear_px = 5.0 * cells;
        inputs[module].fused.smear_cells = cells;
    };
    const double most = profile().most_smear_cells.value;
    smear(3, most - 0.05);  // as far as the fit takes it out
    smear(4, most + 0.05);
    const auto result = score_site(layout, inputs);
    CHECK(result.modules[3].assessed);
    CHECK_FALSE(result.modules[4].assessed);
    CHECK(result.modules[4].assessed_reason == reason::kSmeared);
}
