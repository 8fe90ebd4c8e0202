// How the heat of a hot cell lies in it, by the pixels of one view.
#pragma once

#include "heatrow/core/image.hpp"
#include "heatrow/radiometry/encoding.hpp"
#include "heatrow/score/score.hpp"
#include "heatrow/site/module_type.hpp"

#include <Eigen/Core>

#include <array>
#include <optional>
#include <span>
#include <vector>

namespace heatrow {

using OutlineCorners = std::array<Eigen::Vector2d, 4>;  // in the picture; order and pixel coordinates as in ModuleSlot

// Of a module with this outline. What the same place of `like` modules shows, of the same type and seen the same way
// round in the same picture, is taken out of the pixels (median over them): cool rims, warm boxes, what a trail draws
// over a cell. Nothing where the cell and what lies around it are cut by the picture or have pixels without data, and
// none of a cell at the module's rim where `like` has less than kFewestLike.
std::optional<CellLook> look_at_cell(CountView counts,
                                     const TemperatureEncoding& encoding,
                                     const ModuleType& type,
                                     const OutlineCorners& corners_px,
                                     int cell,
                                     std::span<const OutlineCorners> like = {});
constexpr std::size_t kFewestLike = 5;

// Medians, figure by figure, of the views of one cell. Precondition: at least one.
CellLook median_look(const std::vector<CellLook>& views);

}  // namespace heatrow
