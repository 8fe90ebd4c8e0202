#include "quiet_cells.hpp"

#include "cell_spread.hpp"
#include "heatrow/core/median.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

constexpr int kRounds = 3;
constexpr double kFirstLevel = 0.3;  // share of the cells below it
constexpr double kLeastQuiet = 0.4;  // of the branch's cells

std::vector<double> values_of(const ModuleState& module, const std::vector<int>& cells) {
    std::vector<double> values;
    for (const int cell : cells) {
        values.push_back(module.difference_k[static_cast<std::size_t>(cell)]);
    }
    return values;
}

std::vector<int> quiet_cells(const ModuleState& module, const std::vector<int>& branch, double level_k, double hot_k) {
    std::vector<int> hot;
    for (const int cell : branch) {
        if (module.difference_k[static_cast<std::size_t>(cell)] - level_k >= hot_k) {
            hot.push_back(cell);
        }
    }
    std::vector<int> quiet = branch;
    for (const int cell : hot) {
        const auto around = cells_around(*module.type, cell);
        std::erase_if(quiet, [&](int other) {
            return other == cell || std::find(around.begin(), around.end(), other) != around.end();
        });
    }
    return quiet;
}

}  // namespace

QuietLevels quiet_levels(const ScoreInput& input, const SurveyState& state, const ModuleState& module) {
    QuietLevels levels;
    levels.rise_k.assign(module.difference_k.size(), kNaN);
    levels.branch.assign(module.difference_k.size(), -1);
    for (int substring = 1; substring <= module.type->substring_count(); ++substring) {
        for (auto branch : module.type->branches_of_substring(substring)) {
            std::erase_if(
                branch, [&](int cell) { return !std::isfinite(module.difference_k[static_cast<std::size_t>(cell)]); });
            auto values = values_of(module, branch);
            std::sort(values.begin(), values.end());
            const auto count = static_cast<double>(branch.size());
            double level = branch.empty() ? kNaN : values[static_cast<std::size_t>(kFirstLevel * count)];
            std::vector<int> quiet;
            bool is_even = !branch.empty();
            for (int round = 0; round < kRounds && is_even; ++round) {
                quiet = quiet_cells(module, branch, level, input.profile.candidate_cell_k.value);
                is_even = static_cast<double>(quiet.size()) >= kLeastQuiet * count;
                level = median_of(values_of(module, is_even ? quiet : branch));
            }
            is_even =
                is_even &&
                even_probability(
                    input, state, module, robust_sigma(values_of(module, quiet)), static_cast<int>(quiet.size())) > 0.5;
            for (const int cell : branch) {
                const auto c = static_cast<std::size_t>(cell);
                levels.rise_k[c] = module.difference_k[c] - level;
                levels.branch[c] = static_cast<int>(levels.is_even.size());
            }
            levels.is_even.push_back(is_even ? 1 : 0);
        }
    }
    return levels;
}

}  // namespace heatrow
