// How much of a picture the boards of a calibration reached.
#pragma once

#include "heatrow/vision/camera_calibration.hpp"

#include <span>

namespace heatrow::detail {

// Share of the picture inside the outline (convex hull of the points) of at least one board, sampled every 4 pixels.
double board_coverage(std::span<const BoardFrame> frames, int width_px, int height_px);

// Distance of the point farthest from the middle of the picture, over half the picture's diagonal.
double board_reach(std::span<const BoardFrame> frames, int width_px, int height_px);

}  // namespace heatrow::detail
