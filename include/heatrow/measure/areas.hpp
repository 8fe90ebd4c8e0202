// Areas of one thermogram and their figures.
#pragma once

#include "heatrow/core/image.hpp"
#include "heatrow/core/units.hpp"

#include <Eigen/Core>
#include <tl/expected.hpp>

#include <string>
#include <string_view>
#include <variant>
#include <vector>

namespace heatrow {

// One pixel.
struct PointShape {
    int x = 0;
    int y = 0;
};
// Columns x .. x + width - 1 and rows y .. y + height - 1.
struct RectangleShape {
    int x = 0;
    int y = 0;
    int width = 0;
    int height = 0;
};
// Pixels whose centre is no farther than `radius` from (x, y).
struct CircleShape {
    double x = 0.0;
    double y = 0.0;
    double radius = 0.0;
};
// Pixels whose centre lies inside (even-odd rule) or on the outline.
struct PolygonShape {
    std::vector<Eigen::Vector2d> corners_px;
};
using AreaShape = std::variant<PointShape, RectangleShape, CircleShape, PolygonShape>;

struct Area {
    std::string name;
    AreaShape shape;
};

// "NAME=rect:x,y,w,h", "NAME=circle:x,y,r", "NAME=polygon:x1,y1,x2,y2,x3,y3,...", "NAME=point:x,y". Pixels, (0, 0) is
// the centre of the top left one. The error is a sentence naming what cannot be read.
tl::expected<Area, std::string> parse_area(std::string_view text);

// A pixel of a picture.
struct PixelPosition {
    int x = -1;
    int y = -1;
    friend bool operator==(PixelPosition, PixelPosition) = default;
};

// The pixels of a shape that lie in the picture, row by row.
std::vector<PixelPosition> pixels_of(const AreaShape& shape, int width, int height);
// Whether part of the shape lies outside the picture.
bool reaches_outside(const AreaShape& shape, int width, int height);

// A value and where it is. Position (-1, -1) and NaN where there is none.
struct PlacedTemperature {
    Celsius value{kNaN};
    PixelPosition at;
};

// The shape's outline to be drawn, closed, in pixels: a rectangle's runs along the pixel edges, a circle's as 48
// corners, a point's is its pixel.
std::vector<Eigen::Vector2d> outline_of(const AreaShape& shape);

// Figures over the known pixels of an area. A value that occurs more than once is placed at its first pixel.
struct AreaFigures {
    int pixels = 0;   // in the picture
    int missing = 0;  // of these, without a temperature
    PlacedTemperature coldest;
    PlacedTemperature hottest;
    Celsius mean{kNaN};
    Celsius median{kNaN};
    KelvinDelta deviation{kNaN};  // standard deviation; NaN below two pixels
    // Extreme means of 3 x 3 pixels that all lie in the area and are known, with the middle pixel. One pixel of a
    // thermogram is no measurement: its value is blurred with its neighbours' and carries the full noise.
    PlacedTemperature coldest_3x3;
    PlacedTemperature hottest_3x3;
};
AreaFigures measure_area(const AreaShape& shape, ImageView<const float> temperature_c);
// The whole picture.
AreaFigures measure_picture(ImageView<const float> temperature_c);

// Median of the known pixels 3 to 10 px around the area: what bleeds into it. NaN where there are none.
Celsius median_around(const AreaShape& shape, ImageView<const float> temperature_c);

}  // namespace heatrow
