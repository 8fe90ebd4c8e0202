// Stage 2: a slot that has got its name.
#pragma once

#include <Eigen/Core>

#include <array>
#include <string_view>
#include <vector>

namespace heatrow {

enum class Placement {
    placed,     // the module is named beyond the threshold
    ambiguous,  // the slot may be one of several modules
    not_seen,   // no frame shows the module
};
std::string_view to_string(Placement placement);

// One module as seen by one frame.
struct PlacedView {
    int frame = 0;
    int slot = 0;    // place in the slots of its frame's SlotRecord
    int module = 0;  // layout index
    Placement placement = Placement::placed;
    // How much better the chosen alignment explains the frames than the best other one that the lattice allows,
    // in natural log units; infinite where corner points fix the placement.
    double placement_margin = 0.0;
    std::array<Eigen::Vector2d, 4> corners_px;  // order as in ModuleSlot
    std::vector<int> candidates;                // other modules that it may be, ascending; empty where placed
};

}  // namespace heatrow
