// How the heat of a hot cell lies in it, by the pixels of one view.
#pragma once

#include "heatrow/core/image.hpp"
#include "heatrow/radiometry/encoding.hpp"
#include "heatrow/score/score.hpp"
#include "heatrow/site/module_type.hpp"

#include <Eigen/Core>

#include <array>
#include <optional>
#include <vector>

namespace heatrow {

// Of a module whose outline has these corners in the picture (order and pixel coordinates as in ModuleSlot). Nothing
// where the cell and what lies around it are cut by the picture or have pixels without data.
std::optional<CellLook> look_at_cell(CountView counts,
                                     const TemperatureEncoding& encoding,
                                     const ModuleType& type,
                                     const std::array<Eigen::Vector2d, 4>& corners_px,
                                     int cell);

// Medians, figure by figure, of the views of one cell. Precondition: at least one.
CellLook median_look(const std::vector<CellLook>& views);

}  // namespace heatrow
