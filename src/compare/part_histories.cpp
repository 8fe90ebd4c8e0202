#include "comparer.hpp"
#include "heatrow/score/wider_name.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow::detail {
namespace {

// Patterns whose heat says nothing of the next survey.
bool moves_with_conditions(Pattern pattern) {
    return pattern == Pattern::shading || pattern == Pattern::string_off;
}

// Patterns that are there or not, without a difference that could grow.
bool is_presence(Pattern pattern) {
    return pattern == Pattern::module_missing || pattern == Pattern::module_replaced;
}

}  // namespace

void Comparer::build_histories() {
    for (std::size_t i = 0; i < candidates_.size(); ++i) {
        const Candidate& candidate = candidates_[i];
        PartHistory history;
        history.part = candidate.part;
        for (std::size_t s = 0; s < surveys_.size(); ++s) {
            history.seasons.push_back(season_of(candidate, s));
        }
        const std::size_t count = i < named_ ? 1 : search_counts_[i - named_];
        for (const StepSummary& step : result_.steps) {
            history.changes.push_back(change_of(candidate, history, step, count));
        }
        history.trend = trend_of(history);
        result_.parts.push_back(std::move(history));
    }
    for (std::size_t i = 0; i < named_; ++i) {
        name_wider_parts(result_.parts[i]);
    }
    sort_parts();
}

PartSeason Comparer::season_of(const Candidate& candidate, std::size_t survey) const {
    const PartValue& value = candidate.values[survey];
    PartSeason season;
    season.finding = candidate.findings[survey];
    season.delta_t_1000 = value.delta_t_1000;
    season.reason = value.reason;
    if (!value.reason.empty()) {
        return season;
    }
    double spread_k = 0.0;
    for (const StepSummary& step : result_.steps) {
        if (at(step.from) == survey || at(step.to) == survey) {
            spread_k = std::max(spread_k, step.spread_k[at(candidate.part.level)]);
        }
    }
    season.normalised = {
        KelvinDelta(value.normalised_k),
        std::hypot(std::max(spread_k / std::sqrt(2.0), value.own_u_k), value.relative_u * value.normalised_k)};
    return season;
}

const Finding* Comparer::finding_of(const PartHistory& history, int survey) const {
    const int index = history.seasons[at(survey)].finding;
    return index < 0 ? nullptr : &surveys_[at(survey)]->findings[at(index)];
}

PartChange Comparer::change_of(const Candidate& candidate,
                               const PartHistory& history,
                               const StepSummary& step,
                               std::size_t searched) const {
    PartChange change;
    const Finding* before = finding_of(history, step.from);
    const Finding* after = finding_of(history, step.to);
    const PartValue& from = candidate.values[at(step.from)];
    const PartValue& to = candidate.values[at(step.to)];
    change.searched = before == nullptr && after == nullptr;
    for (const auto& [value, survey] : {std::pair{&from, step.from}, {&to, step.to}}) {
        if (!value->reason.empty() && change.reason.empty()) {
            change.kind = ChangeKind::not_comparable;
            change.reason = value->reason + " in " + surveys_[at(survey)]->survey_id;
        }
    }
    const auto any = [&](auto holds) {
        return (before != nullptr && holds(before->pattern)) || (after != nullptr && holds(after->pattern));
    };
    if (change.kind == ChangeKind::not_comparable) {
        return change;
    }
    if (any(moves_with_conditions)) {
        change.kind = ChangeKind::not_comparable;
        change.reason = "moves with sun and load";
        return change;
    }
    const double u = u_of(from, to, candidate, step);
    change.change = {KelvinDelta(to.normalised_k - from.normalised_k), u};
    change.detectable = KelvinDelta(profile_.detectable_sigma.value * u);
    const double sigmas = change.change.value.value() / u;
    change.p = change.searched ? of_any(two_sided_p(sigmas), searched) : two_sided_p(sigmas);
    const bool differs = change.searched ? change.p <= profile_.search_false_share.value &&
                                               std::abs(change.change.value.value()) >= least_k(history.part.level)
                                         : std::abs(sigmas) >= profile_.known_sigma.value;
    if (any(is_presence) && (before == nullptr) != (after == nullptr)) {
        change.kind = before == nullptr ? ChangeKind::new_finding : ChangeKind::gone;
    } else if (differs) {
        // Findings may be cooler than healthy; what no finding names just got warmer or cooler.
        const bool away = change.searched ? change.change.value.value() > 0.0
                                          : std::abs(to.normalised_k) > std::abs(from.normalised_k);
        change.kind = away ? (before == nullptr && after != nullptr ? ChangeKind::new_finding : ChangeKind::grown)
                           : (before != nullptr && after == nullptr ? ChangeKind::gone : ChangeKind::shrunk);
    } else if (before != nullptr && after != nullptr && wider_name(before->pattern) != wider_name(after->pattern)) {
        change.kind = ChangeKind::pattern_changed;
    } else if ((before == nullptr) != (after == nullptr)) {
        change.reason = "a finding in one survey only, but no more apart than the surveys can tell";
    }
    return change;
}

void Comparer::name_wider_parts(PartHistory& history) {
    for (std::size_t s = 0; s < result_.steps.size(); ++s) {
        const StepSummary& step = result_.steps[s];
        PartChange& change = history.changes[s];
        if (change.kind != ChangeKind::unchanged || finding_of(history, step.from) == nullptr ||
            finding_of(history, step.to) != nullptr) {
            continue;
        }
        for (const PartHistory& other : result_.parts) {
            if (&other != &history && other.part.module == history.part.module && other.part.module >= 0 &&
                finding_of(other, step.from) == nullptr && finding_of(other, step.to) != nullptr) {
                change.kind = ChangeKind::pattern_changed;
                change.reason = "now told as " + std::string(to_string(finding_of(other, step.to)->pattern));
            }
        }
    }
}

Trend Comparer::trend_of(const PartHistory& history) const {
    double weight = 0.0;
    double time = 0.0;
    double value = 0.0;
    int count = 0;
    const auto years = [this](std::size_t s) {
        return std::chrono::duration<double, std::ratio<31'556'952>>(survey_time(*surveys_[s]) -
                                                                     survey_time(*surveys_.front()))
            .count();
    };
    const auto each = [&](auto use) {
        for (std::size_t s = 0; s < surveys_.size(); ++s) {
            if (history.seasons[s].normalised.is_known()) {
                const Uncertain<KelvinDelta>& of = history.seasons[s].normalised;
                use(1.0 / (of.u * of.u), years(s), of.value.value());
            }
        }
    };
    each([&](double w, double t, double v) {
        weight += w;
        time += w * t;
        value += w * v;
        ++count;
    });
    if (count < 3) {
        return {};
    }
    time /= weight;
    value /= weight;
    double squares = 0.0;
    double products = 0.0;
    each([&](double w, double t, double v) {
        squares += w * (t - time) * (t - time);
        products += w * (t - time) * (v - value);
    });
    return {{KelvinDelta(products / squares), 1.0 / std::sqrt(squares)}};
}

void Comparer::sort_parts() {
    const std::size_t last = surveys_.size() - 2;  // the step to the last survey
    std::vector<std::size_t> order(result_.parts.size());
    std::vector<std::array<double, 3>> keys;
    for (std::size_t i = 0; i < order.size(); ++i) {
        order[i] = i;
        const PartHistory& history = result_.parts[i];
        const PartChange& change = history.changes[last];
        const double size = std::abs(change.change.value.value());
        const bool stands = change.kind == ChangeKind::unchanged || change.kind == ChangeKind::not_comparable;
        keys.push_back({-static_cast<double>(class_of_step(history, surveys_, result_.steps[last])),
                        stands ? 1.0 : 0.0,
                        std::isnan(size) ? 0.0 : -size});
    }
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return keys[a] < keys[b]; });
    std::vector<PartHistory> sorted;
    for (const std::size_t i : order) {
        sorted.push_back(std::move(result_.parts[i]));
    }
    result_.parts = std::move(sorted);
}

}  // namespace heatrow::detail
