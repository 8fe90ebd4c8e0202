// Whether the layout would fit the frames somewhere beyond the search: a wrong datum, grid or corner.
#pragma once

#include "heatrow/camera/lens.hpp"
#include "heatrow/georeference/flight_alignment.hpp"
#include "heatrow/site/layout_index.hpp"

#include <Eigen/Core>

#include <optional>
#include <span>

namespace heatrow {

struct ElsewhereOptions {
    AlignmentOptions alignment;  // of the search that found the flight where it is now
    Metres reach{36.0};          // looked at, east and north (own choice: datums differ by metres to some hundred)
};

struct LayoutElsewhere {
    // m, east and north: the layout would fit if it were drawn so far from where it is.
    Eigen::Vector2d move_in_site{0.0, 0.0};
    // Natural log of how much better the frames are explained there than anywhere inside the search.
    double margin = 0.0;
};

// All frames at one displacement, for every height of the search, headings as logged and 3 deg to either side, in
// blocks of 1 m. Nothing where no place beyond the search explains the frames clearly better: by 25 natural log units
// (own choice), and by what hardly any frame disagrees with, since a plant of like blocks of which the layout draws one
// also fits frames over the others.
std::optional<LayoutElsewhere> find_layout_elsewhere(const LayoutIndex& site,
                                                     const Lens& lens,
                                                     std::span<const ScoutFrame> frames,
                                                     const ElsewhereOptions& options = {});

}  // namespace heatrow
