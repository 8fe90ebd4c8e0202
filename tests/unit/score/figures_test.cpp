// Measured figures of scoring on simulated modules: false findings and recall. The bounds are the and design's
// targets; what was measured is printed.
#include "heatrow/core/median.hpp"
#include "support/simulated_site.hpp"

#include <catch2/catch.hpp>

#include <algorithm>
#include <string>

using namespace heatrow;
using namespace heatrow::test;

namespace {

ScoreResult score_site(const Layout& layout, const std::vector<ModuleInput>& inputs, const Profile& profile) {
    return score({layout, inputs, profile});
}

bool matches(const Finding& finding, const SimulatedFault& fault, const ModuleType& type) {
    // Evenly warm substrings, as they are simulated, are open ones.
    const bool is_open =
        fault.pattern == Pattern::substring_bypassed && finding.pattern == Pattern::substring_open_circuit;
    if (finding.pattern != fault.pattern && !is_open) {
        return false;
    }
    switch (fault.pattern) {
        case Pattern::string_warm_cause_open:
            return finding.string == fault.string;
        case Pattern::hot_cell:
            return finding.module == fault.module && finding.cells.front() == type.cell_at(fault.cell);
        case Pattern::substring_bypassed:
            return finding.module == fault.module && finding.substrings == std::vector<int>{fault.substring};
        default:
            return finding.module == fault.module;
    }
}

struct Grade {
    int faults = 0;
    int found = 0;
    int of_class = 0;  // found and not class 1
    int false_findings = 0;
    int covered = 0;  // 95 % interval of the difference as measured holds the truth
};

// By how much parts differ in truth: their own deviation and the fault, template and slope of the site taken out
// (docs/conventions.md). The same draws as with the faults, without noise and drift.
class TrueDifferences {
  public:
    TrueDifferences(const Layout& layout, SimulationOptions options) : layout_(layout) {
        options.view_noise_k = 0.0;
        options.frame_drift_k = 0.0;
        const auto inputs = simulate(layout, {}, options);
        for (std::size_t i = 0; i < inputs.size(); ++i) {
            const auto& type = layout.type_of(layout.modules[i]);
            const double like =
                options.level_c + options.slope_k_per_100m * layout.modules[i].centre_in_site().x() / 100.0;
            cells_.emplace_back();
            for (int cell = 0; cell < type.cell_count(); ++cell) {
                cells_.back().push_back(
                    inputs[i].fused.cells[static_cast<std::size_t>(cell)].temperature.value.value() -
                    template_k(type, cell, options.template_size_k) - like);
            }
        }
    }
    [[nodiscard]] double of(const SimulatedFault& fault) const {
        if (fault.pattern == Pattern::hot_cell) {
            return fault.rise_k;  // a hot cell has no deviation of its own
        }
        if (fault.pattern == Pattern::string_warm_cause_open) {
            std::vector<double> levels;
            for (const int module : layout_.strings[static_cast<std::size_t>(fault.string)].modules) {
                levels.push_back(median_of(cells_[static_cast<std::size_t>(module)]));
            }
            return fault.rise_k + median_of(levels);
        }
        const auto& cells = cells_[static_cast<std::size_t>(fault.module)];
        if (fault.pattern == Pattern::open_circuit_module) {
            return fault.rise_k + median_of(cells);
        }
        const auto& type = layout_.type_of(layout_.modules[static_cast<std::size_t>(fault.module)]);
        std::vector<double> inside;
        std::vector<double> others;
        for (std::size_t c = 0; c < cells.size(); ++c) {
            (type.substring_of_cell[c] == fault.substring ? inside : others).push_back(cells[c]);
        }
        return fault.rise_k + median_of(inside) - median_of(others);
    }

  private:
    const Layout& layout_;
    std::vector<std::vector<double>> cells_;
};

Grade grade(const std::vector<Finding>& findings,
            const std::vector<SimulatedFault>& faults,
            const ModuleType& type,
            const TrueDifferences& truth) {
    Grade result;
    result.faults = static_cast<int>(faults.size());
    int matched = 0;
    for (const auto& fault : faults) {
        const auto found = std::find_if(
            findings.begin(), findings.end(), [&](const Finding& finding) { return matches(finding, fault, type); });
        if (found == findings.end()) {
            continue;
        }
        ++matched;
        result.of_class += found->abnormality != AbnormalityClass::none ? 1 : 0;
        result.covered += std::abs(found->delta_t.value.value() - truth.of(fault)) <= found->delta_t.u95() ? 1 : 0;
    }
    result.found = matched;
    result.false_findings = static_cast<int>(findings.size()) - matched;
    return result;
}

// Every 15th module gets a fault, those of one string in eight being left to string faults.
std::vector<SimulatedFault> faults_at(const Layout& layout, Pattern pattern, double rise_k) {
    std::vector<SimulatedFault> faults;
    if (pattern == Pattern::string_warm_cause_open) {
        for (int string = 3; string < static_cast<int>(layout.strings.size()); string += 8) {
            faults.push_back({pattern, -1, string, 1, 0, rise_k});
        }
        return faults;
    }
    const auto& type = layout.types.front();
    for (int module = 7; module < static_cast<int>(layout.modules.size()); module += 15) {
        faults.push_back({pattern, module, -1, module % 3 + 1, module * 7 % type.cell_count(), rise_k});
    }
    return faults;
}

}  // namespace

TEST_CASE("figures: fewer than one false finding per 1000 healthy modules", "[score]") {
    const auto profile = shipped_profile(HEATROW_FIELD_PRACTICE);
    for (const bool half_cut : {false, true}) {
        int modules = 0;
        std::size_t findings = 0;
        for (const std::uint64_t seed : {11U, 12U}) {
            const auto layout = make_site({half_cut ? 4 : 8, 8, 20, 2, half_cut});
            SimulationOptions options;
            options.seed = seed;
            const auto inputs = simulate(layout, {}, options);
            modules += static_cast<int>(layout.modules.size());
            const auto result = score_site(layout, inputs, profile);
            findings += result.findings.size();
            CHECK(std::all_of(result.modules.begin(), result.modules.end(), [](const auto& m) { return m.assessed; }));
        }
        WARN((half_cut ? "half-cut: " : "full: ")
             << findings << " false findings on " << modules << " healthy modules");
        CHECK(static_cast<double>(findings) < 1e-3 * modules);
    }
}

TEST_CASE("figures: faults at 1.2 times their limit are found with their pattern", "[score]") {
    const auto profile = shipped_profile(HEATROW_FIELD_PRACTICE);
    for (const auto pattern : {Pattern::hot_cell,
                               Pattern::substring_bypassed,
                               Pattern::open_circuit_module,
                               Pattern::string_warm_cause_open}) {
        for (const double irradiance : {850.0, 1000.0}) {
            Grade total;
            int modules = 0;
            for (const std::uint64_t seed : {21U, 22U}) {
                const auto layout = make_site({5, 8, 20, 2, false});
                const double limit = profile.rule(pattern)->class_2_from.value();
                const auto faults = faults_at(layout, pattern, 1.2 * limit * irradiance / 1000.0);
                SimulationOptions options;
                options.seed = seed;
                options.irradiance_w_m2 = irradiance;
                const auto inputs = simulate(layout, faults, options);
                const auto result = score_site(layout, inputs, profile);
                const auto one = grade(result.findings, faults, layout.types.front(), TrueDifferences(layout, options));
                total.faults += one.faults;
                total.found += one.found;
                total.of_class += one.of_class;
                total.covered += one.covered;
                total.false_findings += one.false_findings;
                modules += static_cast<int>(layout.modules.size());
            }
            WARN(std::string(to_string(pattern))
                 << " at " << irradiance << " W/m2: found " << total.found << " of " << total.faults
                 << ", class 2 or 3 " << total.of_class << ", interval holds the truth for " << total.covered
                 << ", false " << total.false_findings << " on " << modules << " modules");
            // An open module lies 3.06 K above neighbours that differ by 0.6 K at 850 W/m2: no estimator gets them all.
            const double least = pattern == Pattern::open_circuit_module ? 0.88 : 0.99;
            CHECK(total.found >= least * total.faults);
            CHECK(total.covered >= 0.9 * total.found);
            CHECK(total.false_findings < 2e-3 * modules);
        }
    }
}
