// Drawings as tables: corners, or centres, of modules.
#pragma once

#include "heatrow/io/drawing_reader.hpp"

#include <string_view>

namespace heatrow::detail {

// Columns x1, y1 to x4, y4 (corners) or x, y (centres), in any unit; longitude1, latitude1 ... or longitude, latitude
// in degrees, WGS 84. All other columns are fields.
Drawing read_drawing_table(const std::filesystem::path& file);

// A ring without its repeated points and those that lie on the line between their neighbours.
std::vector<Eigen::Vector2d> corners_of_ring(std::vector<Eigen::Vector2d> ring);

[[noreturn]] void fail_drawing(const std::filesystem::path& file,
                               std::string_view entity,
                               std::string_view why,
                               std::string_view remedy);

}  // namespace heatrow::detail
