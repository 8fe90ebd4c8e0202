// Whether single modules stand in a picture where the layout draws them, by their sides.
#pragma once

#include "heatrow/camera/lens.hpp"
#include "heatrow/core/frame_prior.hpp"
#include "heatrow/core/image.hpp"
#include "heatrow/georeference/frame_lock.hpp"
#include "heatrow/site/layout_index.hpp"

#include <span>
#include <vector>

namespace heatrow {

// Strips of the sides of one module that lie in the picture, clear of its border; and those of them that show an edge
// where the layout draws the side.
struct SideEvidence {
    int probed = 0;
    int shown = 0;
};

// Of each of `modules`, in their order, in a frame locked at `pose`. Where free sides of a module are in the picture
// they alone speak: what it shares with a neighbour is the neighbour's side too, and is there whether it stands or not.
std::vector<SideEvidence> evidence_of_sides(const LayoutIndex& site,
                                            const Lens& lens,
                                            const FramePose& pose,
                                            CountView counts,
                                            const LockOptions& options,
                                            std::span<const int> modules);

}  // namespace heatrow
