#include "substring_cause.hpp"

#include "cell_spread.hpp"
#include "evidence_text.hpp"
#include "finding_parts.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace heatrow {
namespace {

// What the branches of one substring say: a conducting diode leaves the cells of an open branch alike, each with the
// heat of its own light; a weak cell leaves them alike but for itself; a short drives all of them against each other.
struct Evidence {
    double open = 0.0;
    double by_cell = 0.0;
    double shorted = 1.0;
    double least_sigma_k = kNaN;  // of the most even branch
    int hot_cell = -1;
    double hot_cell_k = 0.0;
};

// A hot cell no hotter than lost export alone makes it does not explain a substring.
constexpr double kMildCell = 0.2;

Evidence evidence_of(const ScoreInput& input, const SurveyState& state, const ModuleState& module, int substring) {
    Evidence evidence;
    const double full = full_export_rise_k(input, module);
    bool hot_in_even = false;
    for (const auto& branch : module.type->branches_of_substring(substring)) {
        const PartSpread spread = spread_of(module, branch, input.profile.candidate_cell_k.value);
        if (spread.cells < 2) {
            continue;
        }
        const double even = even_probability(input, state, module, spread.sigma_k, spread.cells);
        evidence.shorted *= 1.0 - even;
        evidence.least_sigma_k = std::fmin(evidence.least_sigma_k, spread.sigma_k);
        if (spread.hottest < 0) {
            evidence.open = std::max(evidence.open, even);
            continue;
        }
        evidence.by_cell = std::max(evidence.by_cell, even * (spread.hottest_k > full ? 1.0 : kMildCell));
        const bool in_even = even > 0.5;
        if (evidence.hot_cell < 0 || (in_even && !hot_in_even) ||
            (in_even == hot_in_even && spread.hottest_k > evidence.hot_cell_k)) {
            evidence.hot_cell = spread.hottest;
            evidence.hot_cell_k = spread.hottest_k;
        }
        hot_in_even = hot_in_even || in_even;
    }
    return evidence;
}

// Mean over the cells within reach of the box nearest to the substring, each above the level of its branch, leaving out
// patchworks, K; its standard uncertainty.
struct BoxWarmth {
    double rise_k = kNaN;
    double u_k = kNaN;
};

Eigen::Vector2d middle_of(const ModuleType& type, const std::vector<int>& cells) {
    Eigen::Vector2d sum(0.0, 0.0);
    for (const int cell : cells) {
        const auto corners = type.cell_corners(type.cell_at(cell));
        sum += 0.25 * (corners[0] + corners[1] + corners[2] + corners[3]);
    }
    return sum / static_cast<double>(cells.size());
}

BoxWarmth box_warmth(const ScoreInput& input, const SurveyState& state, const ModuleState& module, int substring) {
    const ModuleType& type = *module.type;
    if (type.junction_boxes.empty()) {
        return {};
    }
    const Eigen::Vector2d middle = middle_of(type, type.cells_of_substring(substring));
    const Eigen::Vector2d box =
        *std::min_element(type.junction_boxes.begin(), type.junction_boxes.end(), [&](const auto& a, const auto& b) {
            return (a - middle).squaredNorm() < (b - middle).squaredNorm();
        });
    const auto share = box_shares(type, box, input.profile.box_spot_m.value);
    double sum = 0.0;
    int count = 0;
    for (int s = 1; s <= type.substring_count(); ++s) {
        for (const auto& branch : type.branches_of_substring(s)) {
            const PartSpread spread = spread_of(module, branch, input.profile.candidate_cell_k.value);
            if (!(even_probability(input, state, module, spread.sigma_k, spread.cells) > 0.5)) {
                continue;
            }
            for (const int cell : branch) {
                const double rise = module.difference_k[static_cast<std::size_t>(cell)] - spread.level_k;
                if (share[static_cast<std::size_t>(cell)] >= kOfBox && cell != spread.hottest && std::isfinite(rise)) {
                    sum += rise;
                    ++count;
                }
            }
        }
    }
    return count == 0
               ? BoxWarmth{}
               : BoxWarmth{sum / count, state.group_of(module).cell_spread_k / std::sqrt(static_cast<double>(count))};
}

std::string names_of(const std::vector<int>& substrings) {
    return substrings.size() == 1 ? "its" : "their";
}

}  // namespace

SubstringCause cause_of_warm_substrings(const ScoreInput& input,
                                        const SurveyState& state,
                                        const ModuleState& module,
                                        const std::vector<int>& substrings) {
    SubstringCause cause;
    Evidence all;
    all.open = 1.0;
    BoxWarmth box;
    for (const int substring : substrings) {
        const Evidence one = evidence_of(input, state, module, substring);
        all.open = std::min(all.open, one.open);
        all.by_cell = std::max(all.by_cell, one.by_cell);
        all.shorted = std::min(all.shorted, one.shorted);
        all.least_sigma_k = std::fmin(all.least_sigma_k, one.least_sigma_k);
        if (one.hot_cell >= 0 && one.hot_cell_k > all.hot_cell_k) {
            all.hot_cell = one.hot_cell;
            all.hot_cell_k = one.hot_cell_k;
        }
        const BoxWarmth warmth = box_warmth(input, state, module, substring);
        box = !(box.rise_k >= warmth.rise_k) ? warmth : box;
    }
    const bool box_is_warm = box.rise_k >= 2.0 * box.u_k;
    cause.hot_cell = all.hot_cell;
    cause.hot_cell_k = all.hot_cell_k;
    // A diode that carries the current warms its box; a short does not.
    constexpr double kWarmBox = 3.0;
    std::array<std::pair<double, Pattern>, 3> causes{
        std::pair(all.open * (box_is_warm ? kWarmBox : 1.0), Pattern::substring_open_circuit),
        std::pair(all.by_cell * (box_is_warm ? kWarmBox : 1.0), Pattern::substring_bypassed_by_cell),
        std::pair(all.shorted, Pattern::substring_short_circuited)};
    std::stable_sort(causes.begin(), causes.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
    const double sum = causes[0].first + causes[1].first + causes[2].first;
    cause.words = "spread between " + names_of(substrings) + " cells " + number_words(all.least_sigma_k, 1) +
                  " K in the most even branch, of healthy modules " +
                  number_words(state.group_of(module).cell_spread_k, 1) + " K";
    if (std::isfinite(box.rise_k)) {
        cause.words += "; the box is " + number_words(box.rise_k, 1) + " K ± " + number_words(1.96 * box.u_k, 1) +
                       " K above the cells";
    }
    const std::string also_box = box_is_warm ? " and the box is warm" : "";
    if (!(sum > 0.0) || causes[0].first < input.profile.cause_named_from.value * sum) {
        cause.second = causes[0].second;
        cause.words += ": open, shorted or held back by a cell is not decided";
        return cause;
    }
    cause.pattern = causes[0].second;
    cause.second = causes[1].second;
    cause.probability = causes[0].first / sum;
    switch (cause.pattern) {
        case Pattern::substring_open_circuit:
            cause.words += ": open, not shorted, since the cells are alike" + also_box;
            break;
        case Pattern::substring_bypassed_by_cell:
            cause.words += ": one much hotter cell holds back the current, the rest are alike" + also_box;
            break;
        default:
            cause.words += ": shorted, not open, since the cells are a patchwork";
    }
    return cause;
}

}  // namespace heatrow
