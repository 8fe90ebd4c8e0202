// Focal length and first radial distortion of the camera, solved from frames that are locked.
#pragma once

#include "heatrow/camera/lens.hpp"
#include "heatrow/core/image.hpp"
#include "heatrow/georeference/flight_alignment.hpp"
#include "heatrow/georeference/frame_lock.hpp"

#include <tl/expected.hpp>

#include <span>
#include <string>

namespace heatrow {

// A frame that was locked with the lens as stated.
struct LensFrame {
    const LayoutIndex* site = nullptr;
    CountView counts;
    FramePose pose;
    LockOptions options;
};

struct LensRefinement {
    Lens lens;              // with the focal length and k1 found
    double focal_u_px = 0;  // standard uncertainties
    double k1_u = 0;
    int frames = 0;
    int edges = 0;
};

struct LensRefinementOptions {
    double focal_sd = 0.03;       // of the stated focal length, share
    double k1_sd = 0.05;          // of the stated k1
    double most_focal_u = 0.005;  // less certain than that it is not observable, share (own choice)
    double most_focal_change = 0.1;
    int fewest_frames = 6;
    ForEach for_each = one_after_the_other;
};

// Least squares over the edges of all frames with the pose of each frame free (eliminated by its Schur complement) and
// both parameters shared: over flat ground the focal length is one with the height; modules that stand up from the
// plane, and frames that look aside, tell the two apart. The uncertainty is the larger of what the edges' scatter gives
// and the one clustered by frames, whose edges may err together. An error is the sentence that says why not: too few
// frames, not observable, or a focal length so far off that the lens is another one.
tl::expected<LensRefinement, std::string> refine_lens(const Lens& stated,
                                                      std::span<const LensFrame> frames,
                                                      const LensRefinementOptions& options = {});

}  // namespace heatrow
