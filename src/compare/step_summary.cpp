#include "comparer.hpp"
#include "heatrow/core/median.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow::detail {

void Comparer::finish_step(std::size_t s) {
    StepSummary& step = result_.steps[s];
    set_false_discovery(s);
    std::array<std::vector<double>, kPartLevels> with_finding;
    std::vector<double> ratios;
    for (const PartHistory& history : result_.parts) {
        const PartChange& change = history.changes[s];
        ++step.counts[static_cast<std::size_t>(change.kind)];
        const PartSeason& from = history.seasons[at(step.from)];
        const PartSeason& to = history.seasons[at(step.to)];
        if (from.finding >= 0 || to.finding >= 0) {
            with_finding[at(history.part.level)].push_back(change.detectable.value());
        }
        if (from.finding >= 0 && to.finding >= 0 && change.change.is_known() &&
            to.normalised.value / from.normalised.value > 0.0) {
            ratios.push_back(std::log(to.normalised.value / from.normalised.value));
        }
    }
    for (std::size_t level = 0; level < kPartLevels; ++level) {
        step.detectable_finding_k[level] = median_of(with_finding[level]);
    }
    step.ratio_findings = static_cast<int>(ratios.size());
    if (ratios.size() >= 3) {
        // The median's standard uncertainty for normal scatter is sqrt(pi / 2) that of the mean.
        const double u = 1.2533 * robust_sigma(ratios) / std::sqrt(static_cast<double>(ratios.size()));
        const double ratio = std::exp(median_of(ratios));
        step.ratio = {ratio, ratio * u};
    }
    set_detectable(step);
}

void Comparer::set_detectable(StepSummary& step) const {
    std::array<std::vector<double>, kPartLevels> detectable;
    const auto add = [&](const SitePart& part) {
        const Candidate one{part, {}, exponent_of(*surveys_.back(), usual_pattern(part.level)), {}};
        const PartValue from = value_of(*all_, part, at(step.from), one.exponent);
        const PartValue to = value_of(*all_, part, at(step.to), one.exponent);
        if (from.reason.empty() && to.reason.empty()) {
            detectable[at(part.level)].push_back(profile_.detectable_sigma.value * u_of(from, to, one, step));
        }
    };
    for (int m = 0; m < static_cast<int>(result_.site.modules.size()); ++m) {
        const SiteModule& module = result_.site.modules[at(m)];
        if (!is_compared(module, step)) {
            continue;
        }
        const ModuleValues& values = all_->values[at(step.to)].modules[at(module.index[at(step.to)])];
        const Layout& layout = surveys_[at(step.to)]->layout;
        const ModuleType& type = layout.type_of(layout.modules[at(module.index[at(step.to)])]);
        add({.level = PartLevel::module, .module = m, .cells = {}, .substrings = {}});
        for (int i = 1; type.substring_count() > 1 && i <= type.substring_count(); ++i) {
            add({.level = PartLevel::substring, .module = m, .cells = {}, .substrings = {i}});
        }
        int warmest = 0;
        for (int i = 1; i < type.cell_count(); ++i) {
            const double cell = values.cells[at(i)];
            if (!(cell <= values.cells[at(warmest)]) && !std::isnan(cell)) {
                warmest = i;
            }
        }
        add({.level = PartLevel::cell, .module = m, .cells = {type.cell_at(warmest)}, .substrings = {}});
    }
    for (int i = 0; i < static_cast<int>(result_.site.strings.size()); ++i) {
        add({.level = PartLevel::string, .string = i, .cells = {}, .substrings = {}});
    }
    for (std::size_t level = 0; level < kPartLevels; ++level) {
        step.detectable_k[level] = median_of(detectable[level]);
    }
}

void Comparer::set_false_discovery(std::size_t s) {
    std::vector<double> p = searched_p_[s];
    for (const PartHistory& history : result_.parts) {
        if (!history.changes[s].searched && !std::isnan(history.changes[s].p)) {
            p.push_back(history.changes[s].p);
        }
    }
    std::sort(p.begin(), p.end());
    std::vector<double> adjusted(p.size());
    double least = 1.0;
    for (std::size_t i = p.size(); i-- > 0;) {
        least = std::min(least, p[i] * static_cast<double>(p.size()) / static_cast<double>(i + 1));
        adjusted[i] = least;
    }
    for (PartHistory& history : result_.parts) {
        PartChange& change = history.changes[s];
        if (!std::isnan(change.p) && !p.empty()) {
            const auto rank = std::upper_bound(p.begin(), p.end(), change.p) - p.begin();
            change.false_discovery = adjusted[static_cast<std::size_t>(std::max<std::ptrdiff_t>(rank, 1) - 1)];
        }
    }
}

void Comparer::add_notes() {
    for (std::size_t s = 0; s < surveys_.size(); ++s) {
        if (left_out_[s] > 0) {
            result_.notes.push_back(std::to_string(left_out_[s]) + " findings of " + surveys_[s]->survey_id +
                                    " are on modules without a sure name or on strings that the last survey does "
                                    "not have: they are not compared.");
        }
    }
    for (const StepSummary& step : result_.steps) {
        if (step.ratio.is_known() && std::abs(std::log(step.ratio.value)) >
                                         profile_.known_sigma.value * std::hypot(step.scale_u, step.ratio.u)) {
            result_.notes.push_back("The findings that " + surveys_[at(step.from)]->survey_id + " and " +
                                    surveys_[at(step.to)]->survey_id +
                                    " share differ as a whole by more than irradiance and wind explain: "
                                    "check the logs of both before any single change is believed.");
        }
    }
    result_.notes.emplace_back(
        "Differences are against like neighbours of the same survey: what changes a whole site alike does not "
        "show.");
}

}  // namespace heatrow::detail
