#include "finding_losses.hpp"

#include "heatrow/score/loss.hpp"

#include <algorithm>
#include <numeric>

namespace heatrow {
namespace {

// Modules of a string, where the layout names no string for a module; common practice, no source.
constexpr int kUsualString = 20;

struct Case {
    const ModuleType& type;
    LossCircumstances circumstances;
    Uncertain<KelvinDelta> rise;
};

const ModuleType& type_of(const ScoreInput& input, const Finding& finding) {
    const int module = finding.module >= 0
                           ? finding.module
                           : input.layout.strings[static_cast<std::size_t>(finding.string)].modules.front();
    return input.layout.type_of(input.layout.modules[static_cast<std::size_t>(module)]);
}

int modules_in_string(const ScoreInput& input, const Finding& finding) {
    if (finding.string < 0) {
        return kUsualString;
    }
    return static_cast<int>(input.layout.strings[static_cast<std::size_t>(finding.string)].modules.size());
}

Case now(const ScoreInput& input, const Finding& finding) {
    const ModuleType& type = type_of(input, finding);
    const WattsPerSquareMetre irradiance = finding.conditions.irradiance.value;
    const KelvinDelta over_air = finding.t_reference - finding.conditions.air.value;
    LossCircumstances circumstances;
    circumstances.irradiance = irradiance;
    circumstances.cell = finding.t_reference;
    circumstances.modules_in_string = modules_in_string(input, finding);
    circumstances.load = finding.conditions.load_fraction.value;
    circumstances.heat_loss_w_m2k = heat_loss_w_m2k(type, irradiance, over_air, input.profile.absorbed_fraction.value);
    return {type, circumstances, finding.delta_t};
}

// Full sun and load, cells at 25 degC; the heat that goes a kelvin stays the measured one.
Case rated(const ScoreInput& input, const Finding& finding) {
    Case at = now(input, finding);
    at.circumstances.irradiance = WattsPerSquareMetre(1000.0);
    at.circumstances.cell = Celsius(25.0);
    at.circumstances.load = kNaN;
    at.rise = finding.delta_t_1000;
    return at;
}

// Of a part of a cell or a point what three pixels see is stated; the heat that leaves the cell is that of its mean.
Uncertain<KelvinDelta> mean_of_cell(const ScoreInput& input,
                                    const Finding& finding,
                                    const Uncertain<KelvinDelta>& rise) {
    const bool is_part = finding.pattern == Pattern::part_of_cell || finding.pattern == Pattern::hot_point;
    if (!is_part || finding.module < 0 || finding.cells.empty()) {
        return rise;
    }
    const int cell = type_of(input, finding).cell_number(finding.cells.front());
    const auto module = std::lower_bound(
        input.modules.begin(), input.modules.end(), finding.module, [](const ModuleInput& each, int index) {
            return each.fused.module < index;
        });
    const auto& looks = module->looks;  // there is a finding on it, so there is an input
    const auto look = std::find_if(looks.begin(), looks.end(), [&](const CellLook& each) { return each.cell == cell; });
    if (look == looks.end()) {
        return rise;
    }
    return {KelvinDelta(rise.value.value() / look->point_ratio), rise.u / look->point_ratio};
}

LossRange loss_of_cells(const ScoreInput& input, const Finding& finding, const Case& at) {
    LossRange sum{0.0, 0.0};
    const auto rise = mean_of_cell(input, finding, at.rise);
    for (std::size_t i = 0; i < finding.cells.size(); ++i) {
        const LossRange one = loss_of_cell(at.type, input.profile, at.circumstances, finding.cells[i], rise);
        // The difference is the hottest cell's: of the others it says no more than that they are not hotter.
        sum.low_w = std::max(sum.low_w, one.low_w);
        sum.high_w += one.high_w;
    }
    sum.high_w = std::min(sum.high_w, healthy_module_w(at.type, input.profile, at.circumstances));
    return sum;
}

// Every module of the string: all of its power, or what the heat surely shows.
LossRange loss_of_string(const ScoreInput& input, const Finding& finding, const Case& at) {
    std::vector<int> all(static_cast<std::size_t>(at.type.substring_count()));
    std::iota(all.begin(), all.end(), 1);
    const int modules = at.circumstances.modules_in_string;
    const double full_w = modules * healthy_module_w(at.type, input.profile, at.circumstances);
    if (finding.pattern == Pattern::string_open_circuit) {
        return {full_w, full_w};
    }
    const LossRange one =
        loss_of_substrings(at.type, input.profile, at.circumstances, all, Pattern::open_circuit_module, at.rise);
    return {std::min(modules * one.low_w, full_w), full_w};
}

LossRange loss_of(const ScoreInput& input, const Finding& finding, const Case& at) {
    std::vector<int> substrings = finding.substrings;
    switch (finding.pattern) {
        case Pattern::hot_cell:
        case Pattern::multiple_hot_cells:
        case Pattern::part_of_cell:
        case Pattern::hot_point:
            return loss_of_cells(input, finding, at);
        case Pattern::open_circuit_module:
        case Pattern::short_circuited_module:
            substrings.resize(static_cast<std::size_t>(at.type.substring_count()));
            std::iota(substrings.begin(), substrings.end(), 1);
            [[fallthrough]];
        case Pattern::substring_open_circuit:
        case Pattern::substring_short_circuited:
        case Pattern::substring_bypassed_by_cell:
        case Pattern::substring_bypassed:
            return loss_of_substrings(at.type, input.profile, at.circumstances, substrings, finding.pattern, at.rise);
        case Pattern::string_open_circuit:
        case Pattern::string_warm_cause_open:
            return loss_of_string(input, finding, at);
        default:
            return {};
    }
}

}  // namespace

void set_losses(const ScoreInput& input, std::vector<Finding>& findings) {
    input.for_each(findings.size(), [&](std::size_t i) {
        Finding& finding = findings[i];
        if (!(finding.conditions.irradiance.value.value() > 0.0)) {
            return;
        }
        const LossRange measured = loss_of(input, finding, now(input, finding));
        finding.loss_w_low = measured.low_w;
        finding.loss_w_high = measured.high_w;
        if (!finding.delta_t_1000.is_known()) {
            return;
        }
        const LossRange full = loss_of(input, finding, rated(input, finding));
        finding.loss_rated_w_low = full.low_w;
        finding.loss_rated_w_high = full.high_w;
        finding.loss_kwh_year_low = full.low_w / 1000.0 * input.specific_yield_kwh_kw;
        finding.loss_kwh_year_high = full.high_w / 1000.0 * input.specific_yield_kwh_kw;
    });
}

}  // namespace heatrow
