// A spot at the place of a junction box, seen through the cells in front of it.
#include "cell_spread.hpp"
#include "evidence_text.hpp"
#include "finding_parts.hpp"
#include "findings.hpp"
#include "heatrow/core/median.hpp"
#include "heatrow/core/normal.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace heatrow {
namespace {

// Share of a normal distribution of one coordinate between two places.
double share_between(double low, double high, double middle, double sigma) {
    return normal_cdf((high - middle) / sigma) - normal_cdf((low - middle) / sigma);
}

// Mean over 3 x 3 pixels of a spot with a peak of 1.
double share_of_three_pixels(const ScoreInput& input, const ModuleState& module) {
    const auto c = module.type->cell_corners({0, 0});
    const double side_m = 3.0 * std::min(c[1].x() - c[0].x(), c[2].y() - c[0].y()) / module.input->fused.cell_short_px;
    if (!(side_m > 0.0)) {
        return 1.0;
    }
    const double spot = input.profile.box_spot_m.value;
    const double of_axis =
        std::sqrt(2.0 * std::numbers::pi) * spot / side_m * share_between(-0.5 * side_m, 0.5 * side_m, 0.0, spot);
    return of_axis * of_axis;
}

}  // namespace

std::vector<double> box_shares(const ModuleType& type, const Eigen::Vector2d& box, double spot_m) {
    std::vector<double> shares;
    for (int cell = 0; cell < type.cell_count(); ++cell) {
        const auto c = type.cell_corners(type.cell_at(cell));
        const double width = c[1].x() - c[0].x();
        const double height = c[2].y() - c[0].y();
        // Mean over the cell of exp(-r^2 / 2 spot^2).
        shares.push_back(2.0 * std::numbers::pi * spot_m * spot_m / (width * height) *
                         share_between(c[0].x(), c[1].x(), box.x(), spot_m) *
                         share_between(c[0].y(), c[2].y(), box.y(), spot_m));
    }
    return shares;
}

std::optional<HotBox> hot_box(const ScoreInput& input, const SurveyState& state, const ModuleState& module) {
    std::optional<HotBox> hottest;
    for (std::size_t b = 0; b < module.type->junction_boxes.size(); ++b) {
        const auto shares = box_shares(*module.type, module.type->junction_boxes[b], input.profile.box_spot_m.value);
        HotBox box;
        box.box = static_cast<int>(b) + 1;
        double products = 0.0;
        double squares = 0.0;
        double of_cell = state.group_of(module).cell_spread_k;
        double coolest = HUGE_VAL;
        double warmest = -HUGE_VAL;
        for (int cell = 0; cell < module.type->cell_count(); ++cell) {
            const double share = shares[static_cast<std::size_t>(cell)];
            if (share < kOfBox) {
                continue;
            }
            const int substring = module.type->substring_of_cell[static_cast<std::size_t>(cell)];
            const double rise = module.difference_k[static_cast<std::size_t>(cell)] -
                                module.substring_k[static_cast<std::size_t>(substring - 1)];
            if (!std::isfinite(rise)) {
                return std::nullopt;
            }
            for (const auto& branch : module.type->branches_of_substring(substring)) {
                if (std::find(branch.begin(), branch.end(), cell) != branch.end()) {  // a patchwork hides the box
                    const PartSpread around = spread_of(module, branch, input.profile.candidate_box_k.value);
                    of_cell = std::fmax(of_cell, around.sigma_k);
                }
            }
            box.cells.push_back(cell);
            products += share * rise;
            squares += share * share;
            coolest = std::min(coolest, rise / share);
            warmest = std::max(warmest, rise / share);
        }
        if (box.cells.empty()) {
            continue;
        }
        box.rise_k = products / squares;
        box.u_k = of_cell / std::sqrt(squares);
        box.cells_k = products / squares * std::sqrt(squares / static_cast<double>(box.cells.size()));
        // A spot on the box warms the cells around it by its shares: none of them lacks its part of the heat.
        const bool shared = box.cells.size() > 1 && coolest >= 0.5 * warmest;
        const bool warm = box.cells_k >= input.profile.candidate_box_k.value &&
                          box.rise_k >= input.profile.candidate_sigma.value * box.u_k;
        if (shared && warm && (!hottest || box.rise_k > hottest->rise_k)) {
            hottest = box;
        }
    }
    return hottest;
}

void add_box_finding(const ScoreInput& input,
                     const SurveyState& state,
                     const ModuleState& module,
                     const HotBox& box,
                     std::vector<Finding>& findings) {
    Finding finding = begin_finding(input, module, Pattern::junction_box);
    for (const int cell : box.cells) {
        finding.cells.push_back(module.type->cell_at(cell));
    }
    // What three pixels see of the spot, the smallest that is measured. How wide it is nobody knows: it rests on the
    // profile's width.
    constexpr double kSpotShare_u = 0.15;
    const double seen = box.rise_k * share_of_three_pixels(input, module);
    finding.delta_t = with_relative_terms(input, seen, combine_independent(box.u_k, kSpotShare_u * seen));
    finding.t_reference = Celsius(module.base_c());
    finding.t_hot = finding.t_reference + finding.delta_t.value;
    finding.reference = "median of " + count_words(module.base_cells, "healthy cell") + " of the same module";
    scale_and_classify(input, finding);
    finding.pattern_probability =
        normal_cdf((box.cells_k - input.profile.candidate_box_k.value) /
                   (state.group_of(module).cell_spread_k / std::sqrt(static_cast<double>(box.cells.size()))));
    finding.pattern_second = box.cells.size() >= 3 ? Pattern::multiple_hot_cells : Pattern::hot_cell;
    finding.evidence = "The " + count_words(static_cast<int>(box.cells.size()), "cell") + " in front of junction box " +
                       std::to_string(box.box) + " are " + number_words(box.cells_k, 1) +
                       " K warmer than their substrings, each by its share of one spot of " +
                       number_words(100.0 * input.profile.box_spot_m.value, 0) + " cm on the box, which is " +
                       difference_words(finding.delta_t) + " in its middle" + scaled_words(finding) + "; " +
                       count_words(static_cast<int>(finding.frames.size()), "frame") + ".";
    findings.push_back(std::move(finding));
}

}  // namespace heatrow
