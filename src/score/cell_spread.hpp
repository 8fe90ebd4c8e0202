// How alike the cells of a part of a module are, and whether cells side by side are more alike than others.
#pragma once

#include "survey_state.hpp"

#include <vector>

namespace heatrow {

struct PartSpread {
    double level_k = kNaN;   // median of difference_k
    double sigma_k = kNaN;   // about it, a hottest cell that stands out and the cells around it left out
    int cells = 0;           // with a temperature
    int hottest = -1;        // the cell that stands out; -1: none does
    double hottest_k = 0.0;  // above the level
};
// stands_out_k: rise above the level from which a cell stands out.
PartSpread spread_of(const ModuleState& module, const std::vector<int>& cells, double stands_out_k);

// Robust standard deviation between all cells, each about the median of its branch.
double spread_between_cells_k(const ModuleState& module);

// Probability that cells with this spread are alike rather than a patchwork: the likelihoods of the spread for the
// healthy one and for `patchwork_spread_ratio` times it. Cells of a module are not independent; they count as eight at
// most.
double even_probability(
    const ScoreInput& input, const SurveyState& state, const ModuleState& module, double sigma_k, int cells);

// Moran's I of the cells' differences over all pairs of cells side by side (Moran 1950): 0 where neighbours have
// nothing in common, toward 1 where what is warm knows nothing of the cells' borders. Values beyond three robust
// standard deviations are drawn in to them.
double likeness_of_neighbours(const ModuleState& module);

// Numbers of the up to eight cells around a cell.
std::vector<int> cells_around(const ModuleType& type, int cell);

}  // namespace heatrow
