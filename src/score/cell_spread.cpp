#include "cell_spread.hpp"

#include "heatrow/core/median.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

constexpr double kIndependentCells = 8.0;
constexpr double kDrawnIn = 3.0;  // robust standard deviations
// How much the spread of healthy cells differs from part to part (standard deviation of its logarithm): few pixels and
// what the front mirrors add to it here and there. 0.25: own choice; it leaves 1.4 to 1.8 times the usual open.
constexpr double kSpreadScatter = 0.25;

// Natural log of the likelihood of a spread of z, of n independent cells of a part whose own spread lies about 1 by
// kSpreadScatter: at the likeliest own spread.
double log_likelihood_of_spread(double z, double n) {
    // d/dx of -n (z^2 exp(-2x) / 2 + x) - x^2 / (2 scatter^2) = 0, by Newton steps from a start above the root.
    double x = std::max(0.0, std::log(z));
    for (int i = 0; i < 20; ++i) {
        const double pull = n * z * z * std::exp(-2.0 * x);
        const double slope = pull - n - x / (kSpreadScatter * kSpreadScatter);
        x += slope / (2.0 * pull + 1.0 / (kSpreadScatter * kSpreadScatter));
    }
    return -n * (0.5 * z * z * std::exp(-2.0 * x) + x) - 0.5 * x * x / (kSpreadScatter * kSpreadScatter);
}

double difference_k(const ModuleState& module, int cell) {
    return module.difference_k[static_cast<std::size_t>(cell)];
}

}  // namespace

std::vector<int> cells_around(const ModuleType& type, int cell) {
    const CellIndex at = type.cell_at(cell);
    std::vector<int> around;
    for (int row = std::max(0, at.row - 1); row <= std::min(type.rows - 1, at.row + 1); ++row) {
        for (int column = std::max(0, at.column - 1); column <= std::min(type.columns - 1, at.column + 1); ++column) {
            if (row != at.row || column != at.column) {
                around.push_back(type.cell_number({row, column}));
            }
        }
    }
    return around;
}

PartSpread spread_of(const ModuleState& module, const std::vector<int>& cells, double stands_out_k) {
    PartSpread spread;
    std::vector<double> values;
    for (const int cell : cells) {
        if (std::isfinite(difference_k(module, cell))) {
            values.push_back(difference_k(module, cell));
            if (spread.hottest < 0 || difference_k(module, cell) > difference_k(module, spread.hottest)) {
                spread.hottest = cell;
            }
        }
    }
    spread.cells = static_cast<int>(values.size());
    if (values.empty()) {
        return spread;
    }
    spread.level_k = take_median(values);
    spread.hottest_k = difference_k(module, spread.hottest) - spread.level_k;
    std::vector<int> left_out;
    if (spread.hottest_k >= stands_out_k) {
        left_out = cells_around(*module.type, spread.hottest);
        left_out.push_back(spread.hottest);
    } else {
        spread.hottest = -1;
        spread.hottest_k = 0.0;
    }
    double sum = 0.0;
    int count = 0;
    for (const int cell : cells) {
        const double away = difference_k(module, cell) - spread.level_k;
        if (std::isfinite(away) && std::find(left_out.begin(), left_out.end(), cell) == left_out.end()) {
            sum += away * away;
            ++count;
        }
    }
    spread.sigma_k = count > 1 ? std::sqrt(sum / count) : kNaN;
    return spread;
}

double spread_between_cells_k(const ModuleState& module) {
    std::vector<double> values;
    for (int substring = 1; substring <= module.type->substring_count(); ++substring) {
        for (const auto& branch : module.type->branches_of_substring(substring)) {
            std::vector<double> of_branch;
            for (const int cell : branch) {
                of_branch.push_back(difference_k(module, cell));
            }
            const double level = median_of(of_branch);
            for (const double value : of_branch) {
                values.push_back(value - level);
            }
        }
    }
    return robust_sigma(std::move(values));
}

double even_probability(
    const ScoreInput& input, const SurveyState& state, const ModuleState& module, double sigma_k, int cells) {
    const double ratio = input.profile.patchwork_spread_ratio.value;
    const double z = sigma_k / state.group_of(module).cell_spread_k;
    const double n = std::min(kIndependentCells, static_cast<double>(cells));
    const double log_even = log_likelihood_of_spread(z, n);
    const double log_patchwork = log_likelihood_of_spread(z / ratio, n) - n * std::log(ratio);
    return 1.0 / (1.0 + std::exp(log_patchwork - log_even));
}

double likeness_of_neighbours(const ModuleState& module) {
    const ModuleType& type = *module.type;
    const double most = kDrawnIn * robust_sigma(module.difference_k);
    const double level = median_of(module.difference_k);
    const auto away = [&](int row, int column) {
        return std::clamp(difference_k(module, type.cell_number({row, column})) - level, -most, most);
    };
    double products = 0.0;
    double squares = 0.0;
    int pairs = 0;
    int cells = 0;
    for (int row = 0; row < type.rows; ++row) {
        for (int column = 0; column < type.columns; ++column) {
            const double own = away(row, column);
            if (!std::isfinite(own)) {
                continue;
            }
            squares += own * own;
            ++cells;
            for (const auto& [down, right] : {std::pair(1, 0), std::pair(0, 1)}) {
                if (row + down < type.rows && column + right < type.columns) {
                    const double other = away(row + down, column + right);
                    products += std::isfinite(other) ? own * other : 0.0;
                    pairs += std::isfinite(other) ? 1 : 0;
                }
            }
        }
    }
    return squares > 0.0 && pairs > 0 ? products / pairs / (squares / cells) : 0.0;
}

}  // namespace heatrow
