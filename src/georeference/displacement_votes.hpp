// What one scout frame says of where its logged position lies against the truth.
#pragma once

#include "displacement_track.hpp"
#include "heatrow/georeference/flight_alignment.hpp"

#include <Eigen/Core>

namespace heatrow::detail {

// Natural log of a vote for every displacement of `grid`; empty where the frame can see no module. `pose` is the logged
// one, its height and heading corrected; placements within `near_m` of one another are one.
Eigen::ArrayXXf votes_for_displacements(const LayoutIndex& site,
                                        const Lens& lens,
                                        const ScoutFrame& frame,
                                        const FramePose& pose,
                                        bool warmer,
                                        const DisplacementGrid& grid,
                                        double near_m,
                                        const AlignmentOptions& options);

}  // namespace heatrow::detail
