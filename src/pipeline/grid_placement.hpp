// Placement of a frame in which one module, or a few, are named by a pixel inside them: the module grid gives the rest.
#pragma once

#include "heatrow/camera/lens.hpp"
#include "heatrow/core/frame_prior.hpp"
#include "heatrow/core/image.hpp"
#include "heatrow/core/rejection.hpp"
#include "heatrow/georeference/frame_lock.hpp"
#include "heatrow/site/layout_index.hpp"

#include <tl/expected.hpp>

namespace heatrow {

// Whether the points of a frame name modules by a pixel inside (their points are module centres), not corners.
bool named_inside(const LayoutIndex& site, const FramePrior& prior);

// The grid that holds the named pixels is laid over the layout in each way round that they allow; the way that explains
// the grid's modules is taken. not_locked: no grid, no module of a grid at a pixel, the layout not as the grid, or two
// ways round that explain it alike.
tl::expected<LockedFrame, Rejection> place_by_grid(
    const LayoutIndex& site, const Lens& lens, const FramePrior& prior, CountView counts, const LockOptions& options);

}  // namespace heatrow
