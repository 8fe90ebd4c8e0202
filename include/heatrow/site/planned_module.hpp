// A module on its way into a layout file: ids as text, corners in space.
#pragma once

#include "heatrow/site/string_home.hpp"

#include <Eigen/Core>

#include <array>
#include <string>
#include <string_view>

namespace heatrow {

// Where the type's `top` edge points, seen from the front; left and right: the module lies on its side.
enum class TopEdge { up, down, left, right };
std::string_view to_string(TopEdge top);

struct PlannedModule {
    std::string id;
    std::string type;    // id of a module type
    std::string string;  // empty: in none
    int position = 0;    // in the string, from 1 at its positive end; 0 where `string` is empty
    std::string table;   // empty: on none
    StringHome home;
    double tilt_deg = 0.0;
    double azimuth_deg = 0.0;  // of the direction the front faces, clockwise from true north
    TopEdge top = TopEdge::up;
    // Top left, top right, bottom right, bottom left as seen from the front with the type's `top` up; site frame, m.
    std::array<Eigen::Vector3d, 4> corners_in_site;
    std::string doubt;  // what somebody should look at, in words; empty: nothing
};

// The frame of a plane that faces `azimuth_deg` at `tilt_deg` from horizontal; unit vectors in the site frame, for
// someone who looks at the front, up the slope.
struct PlaneFrame {
    PlaneFrame(double tilt_deg, double azimuth_deg);
    Eigen::Vector3d right;
    Eigen::Vector3d up;
};

// Corners of a module in the order of PlannedModule, within its place: lower left corner, width along `right`, height
// along `up`, m.
std::array<Eigen::Vector3d, 4> corners_of_place(
    const PlaneFrame& plane, const Eigen::Vector3d& lower_left, double width_m, double height_m, TopEdge top);

}  // namespace heatrow
