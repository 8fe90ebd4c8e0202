#include "heatrow/compare/changes.hpp"

#include "heatrow/core/median.hpp"
#include "heatrow/score/wider_name.hpp"
#include "site_parts.hpp"
#include "step.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>

namespace heatrow {
namespace {

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

std::size_t at(PartLevel level) {
    return static_cast<std::size_t>(level);
}

// A part with what its histories are built from.
struct Candidate {
    SitePart part;
    std::vector<int> findings;
    Exponent exponent;
    std::vector<PartValue> values;  // one a survey
};

// Patterns whose heat says nothing of the next survey.
bool moves_with_conditions(Pattern pattern) {
    return pattern == Pattern::shading || pattern == Pattern::string_off;
}

// Patterns that are there or not, without a difference that could grow.
bool is_presence(Pattern pattern) {
    return pattern == Pattern::module_missing || pattern == Pattern::module_replaced;
}

// -1 where the type has no such cell: layouts of one id may differ between surveys.
int substring_at(const ModuleType& type, CellIndex cell) {
    return cell.row < type.rows && cell.column < type.columns ? type.substring_of_cell[at(type.cell_number(cell))] : -1;
}

class Comparer {
  public:
    Comparer(std::span<const SurveyRecord* const> surveys,
             const std::vector<std::string>& names,
             const ComparisonProfile& profile)
        : surveys_(surveys), profile_(profile) {
        result_.site = match_site(surveys, names, profile);
    }

    Comparison run() {
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

  private:
    void add_candidate(SitePart part, std::vector<int> findings) {
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

    void list_steps() {
        const int count = static_cast<int>(surveys_.size());
        for (int s = 1; s < count; ++s) {
            result_.steps.push_back({.from = s - 1, .to = s});
        }
        if (count > 2) {
            result_.steps.push_back({.from = 0, .to = count - 1});
        }
    }

    [[nodiscard]] bool in_both(const SiteModule& module, const StepSummary& step) const {
        return module.index[at(step.from)] >= 0 && module.index[at(step.to)] >= 0;
    }
    [[nodiscard]] bool is_compared(const SiteModule& module, const StepSummary& step) const {
        return in_both(module, step) && module.identity[at(step.from)] == Identity::same &&
               module.identity[at(step.to)] == Identity::same &&
               all_->values[at(step.from)].modules[at(module.index[at(step.from)])].comparable &&
               all_->values[at(step.to)].modules[at(module.index[at(step.to)])].comparable;
    }

    void measure_step(StepSummary& step) {
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

    [[nodiscard]] double u_of(const PartValue& from,
                              const PartValue& to,
                              const Candidate& candidate,
                              const StepSummary& step) const {
        return change_u(
            from, to, candidate.part.level, candidate.exponent, step.spread_k[at(candidate.part.level)], profile_);
    }

    [[nodiscard]] double least_k(PartLevel level) const {
        const std::array<double, kPartLevels> least{profile_.least_cell_k.value,
                                                    profile_.least_substring_k.value,
                                                    profile_.least_module_k.value,
                                                    profile_.least_string_k.value};
        return least[at(level)];
    }

    // A part named by a finding, a neighbour that a named cell's blur and heat reach, or a cell in series with it,
    // whose current it holds back (docs/scoring.md, step 7).
    [[nodiscard]] bool is_taken(const SitePart& part, const ModuleType* type) const {
        const auto named = named_on_.find(part.module);
        if (named == named_on_.end()) {
            return false;
        }
        for (const std::size_t i : named->second) {
            const SitePart& known = candidates_[i].part;
            if (overlap(known, part)) {
                return true;
            }
            if (part.level == PartLevel::cell && known.level == PartLevel::cell && known.module == part.module &&
                std::any_of(known.cells.begin(), known.cells.end(), [&](CellIndex cell) {
                    const CellIndex other = part.cells.front();
                    return (std::abs(cell.row - other.row) <= 1 && std::abs(cell.column - other.column) <= 1) ||
                           substring_at(*type, cell) == substring_at(*type, other);
                })) {
                return true;
            }
        }
        return false;
    }

    // All parts of a module, or a string, that no finding names, one by one.
    [[nodiscard]] std::vector<SitePart> parts_to_search(int module) const {
        std::vector<SitePart> parts;
        const SiteModule& place = result_.site.modules[at(module)];
        const auto survey = std::find_if(place.index.rbegin(), place.index.rend(), [](int i) { return i >= 0; });
        const auto s = static_cast<std::size_t>(std::distance(survey, place.index.rend()) - 1);
        const Layout& layout = surveys_[s]->layout;
        const ModuleType& type = layout.type_of(layout.modules[at(*survey)]);
        const auto add = [&](SitePart part) {
            if (!is_taken(part, &type)) {
                parts.push_back(std::move(part));
            }
        };
        add({.level = PartLevel::module, .module = module, .cells = {}, .substrings = {}});
        for (int i = 1; type.substring_count() > 1 && i <= type.substring_count(); ++i) {
            add({.level = PartLevel::substring, .module = module, .cells = {}, .substrings = {i}});
        }
        for (int i = 0; i < type.cell_count(); ++i) {
            add({.level = PartLevel::cell, .module = module, .cells = {type.cell_at(i)}, .substrings = {}});
        }
        return parts;
    }

    // Changes that no finding names. Their probability is that of any part of the module to show as much by chance
    // (Sidak, J. Am. Stat. Assoc. 62 (1967) 626-633).
    void search(StepSummary& step, std::size_t s) {
        searched_p_.resize(result_.steps.size());
        for (int m = 0; m < static_cast<int>(result_.site.modules.size()); ++m) {
            if (is_compared(result_.site.modules[at(m)], step)) {
                search_parts(parts_to_search(m), step, s);
            }
        }
        for (int i = 0; i < static_cast<int>(result_.site.strings.size()); ++i) {
            const SitePart part{.level = PartLevel::string, .string = i, .cells = {}, .substrings = {}};
            if (!is_taken(part, nullptr)) {
                search_parts({part}, step, s);
            }
        }
    }

    void search_parts(const std::vector<SitePart>& parts, const StepSummary& step, std::size_t s) {
        double least_p = 1.0;
        std::array<std::optional<SitePart>, 2> cells;  // that got cooler, warmer
        for (const SitePart& part : parts) {
            Candidate one{part, {}, exponent_of(*surveys_.back(), usual_pattern(part.level)), {}};
            const PartValue from = value_of(*all_, part, at(step.from), one.exponent);
            const PartValue to = value_of(*all_, part, at(step.to), one.exponent);
            if (!from.reason.empty() || !to.reason.empty()) {
                continue;
            }
            const double change = to.normalised_k - from.normalised_k;
            const double p = of_any(two_sided_p(change / u_of(from, to, one, step)), parts.size());
            least_p = std::min(least_p, p);
            if (p > profile_.search_false_share.value || std::abs(change) < least_k(part.level)) {
                continue;
            }
            if (part.level != PartLevel::cell) {
                add_searched(part, parts.size());
                continue;
            }
            auto& found = cells[change > 0.0 ? 1 : 0];
            found ? join(*found, part) : void(found = part);
        }
        for (const auto& found : cells) {
            if (found) {
                add_searched(*found, parts.size());
            }
        }
        searched_p_[s].push_back(least_p);
    }

    static double of_any(double p, std::size_t count) {
        return -std::expm1(static_cast<double>(count) * std::log1p(-std::min(p, 1.0 - 1e-12)));
    }

    void add_searched(const SitePart& part, std::size_t count) {
        for (std::size_t i = named_; i < candidates_.size(); ++i) {
            if (overlap(candidates_[i].part, part)) {
                return;
            }
        }
        add_candidate(part, std::vector<int>(surveys_.size(), -1));
        search_counts_.push_back(count);
    }

    void build_histories() {
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

    [[nodiscard]] PartSeason season_of(const Candidate& candidate, std::size_t survey) const {
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

    [[nodiscard]] const Finding* finding_of(const PartHistory& history, int survey) const {
        const int index = history.seasons[at(survey)].finding;
        return index < 0 ? nullptr : &surveys_[at(survey)]->findings[at(index)];
    }

    [[nodiscard]] PartChange change_of(const Candidate& candidate,
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

    // A hot cell that has become part of a bypassed substring, or the other way round, is one thing under another name.
    void name_wider_parts(PartHistory& history) {
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

    [[nodiscard]] Trend trend_of(const PartHistory& history) const {
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

    // Gravest first, then the largest change of the last step, then by place.
    void sort_parts() {
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

    void finish_step(std::size_t s) {
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

    // Of parts without a finding: every module, its substrings, its warmest cell, and the strings.
    void set_detectable(StepSummary& step) const {
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

    // Benjamini & Hochberg, J. R. Stat. Soc. B 57 (1995) 289-300, over all parts with a finding and, once each, all
    // modules and strings that were searched.
    void set_false_discovery(std::size_t s) {
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

    void add_notes() {
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

    std::span<const SurveyRecord* const> surveys_;
    const ComparisonProfile& profile_;
    Comparison result_;
    const SiteSurveys* all_ = nullptr;
    std::vector<Candidate> candidates_;  // those with findings first
    std::size_t named_ = 0;
    std::map<int, std::vector<std::size_t>> named_on_;  // by site module, -1 for strings
    std::vector<std::size_t> search_counts_;            // of the other candidates: parts searched along with it
    std::vector<std::vector<double>> searched_p_;       // by step, one a module or string
    std::vector<int> left_out_;
};

}  // namespace

std::string_view to_string(PartLevel level) {
    switch (level) {
        case PartLevel::cell:
            return "cell";
        case PartLevel::substring:
            return "substring";
        case PartLevel::module:
            return "module";
        case PartLevel::string:
            break;
    }
    return "string";
}

std::string_view to_string(ChangeKind kind) {
    switch (kind) {
        case ChangeKind::new_finding:
            return "new";
        case ChangeKind::grown:
            return "grown";
        case ChangeKind::gone:
            return "gone";
        case ChangeKind::shrunk:
            return "shrunk";
        case ChangeKind::pattern_changed:
            return "pattern_changed";
        case ChangeKind::unchanged:
            return "unchanged";
        case ChangeKind::not_comparable:
            break;
    }
    return "not_comparable";
}

UtcTime survey_time(const SurveyRecord& survey) {
    std::optional<UtcTime> first;
    for (const FrameResult& frame : survey.frames) {
        if (frame.scored && (!first || frame.prior.time < *first)) {
            first = frame.prior.time;
        }
    }
    return first.value_or(survey.frames.empty() ? UtcTime{} : survey.frames.front().prior.time);
}

bool is_worse(const PartChange& change) {
    return change.kind == ChangeKind::new_finding || change.kind == ChangeKind::grown;
}

AbnormalityClass class_of_step(const PartHistory& history,
                               std::span<const SurveyRecord* const> surveys,
                               const StepSummary& step) {
    AbnormalityClass highest = AbnormalityClass::none;
    for (const int survey : {step.from, step.to}) {
        const int finding = history.seasons[at(survey)].finding;
        if (finding >= 0) {
            highest = std::max(highest, surveys[at(survey)]->findings[at(finding)].abnormality);
        }
    }
    return highest;
}

Comparison compare_surveys(std::span<const SurveyRecord* const> surveys,
                           const std::vector<std::string>& names,
                           const ComparisonProfile& profile) {
    return Comparer(surveys, names, profile).run();
}

}  // namespace heatrow
