#include "comparer.hpp"

#include "heatrow/core/median.hpp"

#include <cmath>
#include <optional>

namespace heatrow::detail {

Comparer::Comparer(std::span<const SurveyRecord* const> surveys,
                   const std::vector<std::string>& names,
                   const ComparisonProfile& profile)
    : surveys_(surveys), profile_(profile) {
    result_.site = match_site(surveys, names, profile);
}

Comparison Comparer::run() {
    SiteSurveys all{surveys_, profile_, result_.site, {}};
    for (const SurveyRecord* survey : surveys_) {
        all.values.push_back(survey_values(*survey, profile_));
    }
    all_ = &all;
    for (NamedPart& named : parts_of_findings(result_.site, surveys_, left_out_)) {
        add_candidate(std::move(named.part), std::move(named.findings));
    }
    named_ = candidates_.size();
    for (std::size_t i = 0; i < named_; ++i) {
        named_on_[candidates_[i].part.module].push_back(i);
    }
    list_steps();
    for (StepSummary& step : result_.steps) {
        measure_step(step);
    }
    for (std::size_t s = 0; s < result_.steps.size(); ++s) {
        search(result_.steps[s], s);
    }
    build_histories();
    for (std::size_t s = 0; s < result_.steps.size(); ++s) {
        finish_step(s);
    }
    add_notes();
    return std::move(result_);
}

void Comparer::add_candidate(SitePart part, std::vector<int> findings) {
    Candidate candidate{std::move(part), std::move(findings), {}, {}};
    std::optional<std::size_t> last;
    for (std::size_t s = 0; s < surveys_.size(); ++s) {
        last = candidate.findings[s] >= 0 ? s : last;
    }
    const SurveyRecord& ruling = *surveys_[last.value_or(surveys_.size() - 1)];
    const Pattern pattern =
        last ? ruling.findings[at(candidate.findings[*last])].pattern : usual_pattern(candidate.part.level);
    candidate.exponent = exponent_of(ruling, pattern);
    for (std::size_t s = 0; s < surveys_.size(); ++s) {
        candidate.values.push_back(value_of(*all_, candidate.part, s, candidate.exponent));
    }
    candidates_.push_back(std::move(candidate));
}

void Comparer::list_steps() {
    const int count = static_cast<int>(surveys_.size());
    for (int s = 1; s < count; ++s) {
        result_.steps.push_back({.from = s - 1, .to = s});
    }
    if (count > 2) {
        result_.steps.push_back({.from = 0, .to = count - 1});
    }
}

bool Comparer::in_both(const SiteModule& module, const StepSummary& step) const {
    return module.index[at(step.from)] >= 0 && module.index[at(step.to)] >= 0;
}

bool Comparer::is_compared(const SiteModule& module, const StepSummary& step) const {
    return in_both(module, step) && module.identity[at(step.from)] == Identity::same &&
           module.identity[at(step.to)] == Identity::same &&
           all_->values[at(step.from)].modules[at(module.index[at(step.from)])].comparable &&
           all_->values[at(step.to)].modules[at(module.index[at(step.to)])].comparable;
}

void Comparer::measure_step(StepSummary& step) {
    std::vector<bool> has_finding(result_.site.modules.size(), false);
    for (const Candidate& candidate : candidates_) {
        if (candidate.part.module >= 0) {
            has_finding[at(candidate.part.module)] = true;
        }
    }
    step.spread_k = healthy_spreads(*all_, at(step.from), at(step.to), has_finding);
    std::vector<double> scales;
    for (const SiteModule& module : result_.site.modules) {
        if (!in_both(module, step)) {
            continue;
        }
        if (!is_compared(module, step)) {
            ++step.modules_not_comparable;
            continue;
        }
        ++step.modules_compared;
        const Scaling& a = all_->values[at(step.from)].modules[at(module.index[at(step.from)])].scaling;
        const Scaling& b = all_->values[at(step.to)].modules[at(module.index[at(step.to)])].scaling;
        scales.push_back(std::hypot(a.relative_u(1.0, profile_), b.relative_u(1.0, profile_)));
    }
    step.scale_u = median_of(scales);
}

double Comparer::u_of(const PartValue& from,
                      const PartValue& to,
                      const Candidate& candidate,
                      const StepSummary& step) const {
    return change_u(
        from, to, candidate.part.level, candidate.exponent, step.spread_k[at(candidate.part.level)], profile_);
}

double Comparer::least_k(PartLevel level) const {
    const std::array<double, kPartLevels> least{profile_.least_cell_k.value,
                                                profile_.least_substring_k.value,
                                                profile_.least_module_k.value,
                                                profile_.least_string_k.value};
    return least[at(level)];
}

}  // namespace heatrow::detail
