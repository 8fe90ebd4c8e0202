// Temperatures along a straight line.
#pragma once

#include "heatrow/core/image.hpp"
#include "heatrow/core/units.hpp"

#include <Eigen/Core>
#include <tl/expected.hpp>

#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

struct LineShape {
    std::string name;
    Eigen::Vector2d from_px{0.0, 0.0};
    Eigen::Vector2d to_px{0.0, 0.0};
};

// "NAME=x1,y1,x2,y2". Pixels, (0, 0) is the centre of the top left one. The error is a sentence naming what cannot be
// read.
tl::expected<LineShape, std::string> parse_line(std::string_view text);

struct LinePoint {
    double along_px = 0.0;  // from the line's beginning
    Eigen::Vector2d at_px{0.0, 0.0};
    Celsius value{kNaN};  // NaN outside the picture or beside a pixel without a temperature
};

struct LineProfile {
    std::vector<LinePoint> points;
    // Over the known points; NaN and (-1, -1) positions where there are none.
    LinePoint coldest;
    LinePoint hottest;
    Celsius mean{kNaN};
};

// Points at equal steps of at most one pixel, both ends included, linear between the four pixels around each. The
// values are of single pixels blurred together: for the course of a temperature, not for its height.
LineProfile profile_along(const LineShape& line, ImageView<const float> temperature_c);

}  // namespace heatrow
