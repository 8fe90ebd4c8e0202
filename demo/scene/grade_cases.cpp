#include "grade_cases.hpp"

#include "best_estimator.hpp"
#include "heatrow/core/median.hpp"
#include "whole_view.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>

namespace scene {
namespace {

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

std::string place_of(const GradeInput& input, const Abnormality& place) {
    return fmt::format("{} seed {}: {} {} on {}",
                       input.facts.text("scene"),
                       input.facts.text("seed"),
                       place.id,
                       place.pattern,
                       place.module.empty() ? "string " + place.string : "module " + place.module);
}

// Robust standard deviation of enough values.
double scatter(std::vector<double> values) {
    std::erase_if(values, [](double value) { return std::isnan(value); });
    constexpr std::size_t kFewest = 8;
    if (values.size() < kFewest) {
        return kNone;
    }
    return heatrow::robust_sigma(std::move(values));
}

// Modules and strings that no fault touches.
struct Healthy {
    std::set<std::string> faulty_modules;
    std::set<std::string> warm_strings;

    explicit Healthy(const GradeInput& input) {
        for (const Abnormality& fault : input.faults) {
            if (!fault.decoy) {
                (fault.module.empty() ? warm_strings : faulty_modules)
                    .insert(fault.module.empty() ? fault.string : fault.module);
            }
        }
    }
    [[nodiscard]] bool holds(const GradeInput& input, const std::string& module) const {
        const auto string = input.string_of.find(module);
        return !faulty_modules.contains(module) &&
               (string == input.string_of.end() || !warm_strings.contains(string->second));
    }
};

// How much healthy objects of each level scatter in this result, at 1000 W/m2.
std::array<double, 4> healthy_scatter(const GradeInput& input, const Healthy& healthy) {
    std::vector<double> cells;
    std::vector<double> substrings;
    std::vector<double> modules;
    std::vector<double> strings;
    for (const MeasuredModule& measured : input.measured) {
        const auto type = input.types.find(measured.module);
        if (type == input.types.end() || !healthy.holds(input, measured.module)) {
            continue;
        }
        modules.push_back(measured.delta_t_1000_k);
        const auto& values = measured.cell_delta_1000_k;
        if (static_cast<int>(values.size()) != type->second.cell_count()) {
            continue;
        }
        cells.insert(cells.end(), values.begin(), values.end());
        for (int substring = 1; substring <= type->second.substring_count(); ++substring) {
            std::vector<double> inside;
            std::vector<double> others;
            for (std::size_t i = 0; i < values.size(); ++i) {
                if (!std::isnan(values[i])) {
                    (type->second.substring_of_cell[i] == substring ? inside : others).push_back(values[i]);
                }
            }
            if (!inside.empty() && !others.empty()) {
                substrings.push_back(heatrow::take_median(inside) - heatrow::take_median(others));
            }
        }
    }
    for (const auto& [string, difference] : input.string_delta_1000_k) {
        if (!healthy.warm_strings.contains(string)) {
            strings.push_back(difference);
        }
    }
    return {scatter(cells), scatter(substrings), scatter(modules), scatter(strings)};
}

// Pixels of a cell's width and height in the median whole view of each module.
std::map<std::string, std::array<double, 2>> cell_sizes(const GradeInput& input) {
    std::map<std::string, std::array<std::vector<double>, 2>> all;
    for (const FrameModule& outline : input.outlines) {
        const auto type = input.types.find(outline.module);
        if (outline.visible_share <= kWholeShare || type == input.types.end()) {
            continue;
        }
        const auto& c = outline.corners_px;
        const PanelType& t = type->second;
        const double across = 0.5 * ((c[1] - c[0]).norm() + (c[2] - c[3]).norm());
        const double down = 0.5 * ((c[3] - c[0]).norm() + (c[2] - c[1]).norm());
        all[outline.module][0].push_back(across * t.cells_width_m / t.width_m / t.columns);
        all[outline.module][1].push_back(down * (t.cells_height_m - t.middle_gap_m) / t.height_m / t.rows);
    }
    std::map<std::string, std::array<double, 2>> sizes;
    for (auto& [module, values] : all) {
        sizes[module] = {heatrow::take_median(values[0]), heatrow::take_median(values[1])};
    }
    return sizes;
}

void describe_views(FaultCase& item,
                    const GradeInput& input,
                    const std::map<std::string, std::array<double, 2>>& sizes,
                    const std::string& module) {
    const auto size = sizes.find(module);
    item.width_px = size == sizes.end() ? kNone : size->second[0];
    item.height_px = size == sizes.end() ? kNone : size->second[1];
    const auto type = input.types.find(module);
    if (type != input.types.end()) {
        const PanelType& t = type->second;
        const double ratio = (t.cells_width_m / t.columns) / ((t.cells_height_m - t.middle_gap_m) / t.rows);
        item.half_cut = ratio > 1.0 / 0.75 || ratio < 0.75;
    }
    item.best_in_frame_k = kNone;
    if (level_of(item.fault.pattern) == Level::cell && size != sizes.end() && item.whole_views > 0) {
        const SceneFacts& facts = input.facts;
        item.best_in_frame_k =
            best_cell_error_k({.width_px = item.width_px,
                               .height_px = item.height_px,
                               .blur_sigma_px = facts.number("blur_sigma_px"),
                               .smear_px = facts.number("smear_px"),
                               .noise_k = std::hypot(facts.number("noise_k"), facts.number("fixed_pattern_k")),
                               .views = item.whole_views,
                               .gain_share = facts.number("hidden_camera_gain_share"),
                               .emissivity = facts.number("hidden_emissivity")},
                              item.fault.delta_t_k);
    }
}

void add_healthy_cells(Cases& cases, const GradeInput& input, const Healthy& healthy) {
    for (const MeasuredModule& measured : input.measured) {
        const auto truth = input.true_cell_delta_k.find(measured.module);
        if (truth == input.true_cell_delta_k.end() || truth->second.size() != measured.cell_delta_k.size() ||
            !healthy.holds(input, measured.module)) {
            continue;
        }
        for (std::size_t i = 0; i < truth->second.size(); ++i) {
            const double error = measured.cell_delta_k[i] - truth->second[i];
            if (!std::isnan(error)) {
                cases.healthy_cell_errors_k.push_back(error);
            }
        }
    }
}

// A finding that says it may be on another module is not false where a fault is on one of those.
bool fault_on_candidate(const GradeInput& input, const Abnormality& finding) {
    return std::ranges::any_of(input.faults, [&finding](const Abnormality& fault) {
        return !fault.decoy && finding.candidates.contains(fault.module);
    });
}

}  // namespace

bool FaultCase::of_cell() const {
    return finding && label == LabelVerdict::merged && finding->pattern == "hot_cell" &&
           !std::isnan(fault.cell_delta_t_k);
}

void add_cases(Cases& cases, const GradeInput& input) {
    const Healthy healthy(input);
    const auto sigma = healthy_scatter(input, healthy);
    const auto sizes = cell_sizes(input);
    const Matching matching = match_findings(input.faults, input.findings);
    for (std::size_t i = 0; i < input.faults.size(); ++i) {
        if (input.faults[i].decoy) {
            continue;
        }
        FaultCase item;
        item.fault = input.faults[i];
        item.where = fmt::format("{}, {:.1f} K at 1000 W/m2", place_of(input, item.fault), item.fault.delta_t_1000_k);
        item.sigma_k = sigma[static_cast<std::size_t>(level_of(item.fault.pattern))];
        item.whole_views = item.fault.whole_views;
        std::string module = item.fault.module;
        if (module.empty()) {  // any module of the string shows its scale
            const auto member = std::ranges::find_if(input.string_of, [&item, &sizes](const auto& entry) {
                return entry.second == item.fault.string && sizes.contains(entry.first);
            });
            module = member == input.string_of.end() ? "" : member->first;
        }
        describe_views(item, input, sizes, module);
        if (matching.finding_of_fault[i] >= 0) {
            item.finding = input.findings[static_cast<std::size_t>(matching.finding_of_fault[i])];
            item.label = judge_label(item.fault.pattern, item.finding->pattern, item.short_side_px());
        }
        cases.faults.push_back(std::move(item));
    }
    for (std::size_t k = 0; k < input.findings.size(); ++k) {
        const Abnormality& finding = input.findings[k];
        ++cases.findings;
        if (matching.fault_of_finding[k] < 0 && (matching.beside_a_fault[k] || fault_on_candidate(input, finding))) {
            ++cases.beside;
        } else if (matching.fault_of_finding[k] < 0) {
            cases.false_findings.push_back({fmt::format("{}, class {}, {:.1f} K at 1000 W/m2",
                                                        place_of(input, finding),
                                                        finding.abnormality_class,
                                                        finding.delta_t_1000_k),
                                            finding});
        }
    }
    cases.modules += input.modules;
    add_healthy_cells(cases, input, healthy);
}

}  // namespace scene
