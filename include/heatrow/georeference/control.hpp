// What control says of where a frame is (docs/control.md).
#pragma once

#include "heatrow/camera/posed_camera.hpp"
#include "heatrow/core/control_mark.hpp"
#include "heatrow/georeference/flight_evidence.hpp"
#include "heatrow/site/layout_index.hpp"

#include <Eigen/Core>
#include <tl/expected.hpp>

#include <optional>
#include <string>

namespace heatrow {

// How far the camera would have to be moved for the mark's pixel to show its point, east and north, m. Nothing where
// the pixel does not look down.
std::optional<Eigen::Vector2d> displacement_to(const PosedCamera& camera, const ControlMark& mark);

// How far a mark is off in a frame as it is placed.
struct MarkResidual {
    // Marked pixel less where the point falls; of a module from the nearest pixel of its outline, zero inside.
    Eigen::Vector2d pixel{0.0, 0.0};
    // The same on the ground, east and north: where the marked pixel looks, less the point.
    Eigen::Vector2d metres{0.0, 0.0};
};
// Nothing where the point cannot be in the picture.
std::optional<MarkResidual> residual_of(const LayoutIndex& site, const PosedCamera& camera, const ControlMark& mark);

struct MarkOptions {
    double click_px = 2.0;     // a pixel is pointed at to so much, standard deviation (own choice)
    double same_place = 0.33;  // of a pitch: a point is off by less from where its place has it (own choice)
};

// By how many steps of the lattice the frame must be moved for the mark to be right. In words why that cannot be said:
// a pixel near a module's rim, a place that no steps lead to, a point that is too uncertain.
tl::expected<LatticeOffset, std::string> offset_by(const LayoutIndex& site,
                                                   const PosedCamera& locked,
                                                   const ControlMark& mark,
                                                   const MarkOptions& options = {});

}  // namespace heatrow
