// Where in a hot cell the heat is, by its pixels (docs/patterns.md).
#pragma once

#include "heatrow/core/finding.hpp"
#include "survey_state.hpp"

#include <string>

namespace heatrow {

struct CellShape {
    Pattern pattern = Pattern::hot_cell;  // or part_of_cell, hot_point, cell_interconnect
    Pattern second = Pattern::hot_cell;   // the next likely
    double probability = 1.0;             // of `pattern`, given that something in the cell is hot
    double point_ratio = 1.0;             // what three pixels see of it over the mean of the cell
    double point_ratio_u = 0.0;           // standard uncertainty
    std::string words;
};

// A look at this cell that can tell shapes apart; null where there is none. Only of whole cells, on which the figures
// were measured, that are warm enough (rise_k: mean of the cell), and from two views on, so that a bad pixel or a
// reflection in one of them is no shape.
const CellLook* look_at(const ModuleState& module, const Profile& profile, int cell, double rise_k);

CellShape shape_of(const CellLook& look);

}  // namespace heatrow
