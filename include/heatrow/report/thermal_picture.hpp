// A thermogram drawn to be read: pixels as measured, areas marked, and a scale on which the areas stand. One drawing
// for SVG and PNG. Used by `measure`, by the page of `joints`, and for thumbnails of findings.
#pragma once

#include "heatrow/core/image.hpp"
#include "heatrow/core/units.hpp"
#include "heatrow/report/temperature_scale.hpp"

#include <Eigen/Core>

#include <optional>
#include <string>
#include <vector>

namespace heatrow {

// Something marked in the picture, in pixels of the thermogram (docs/conventions.md).
struct PictureMark {
    std::string name;                         // on its tag and on the scale
    std::string value;                        // behind the name on the tag, e.g. "76.1 °C"; may be empty
    std::vector<Eigen::Vector2d> outline_px;  // empty: stands on the scale only
    bool closed = true;
    std::optional<Eigen::Vector2d> spot_px;  // middle of the 3 x 3 pixels that count
    Celsius level{kNaN};                     // where it stands on the scale; NaN: nowhere
};

// Something whose place is known, drawn thinly so that a person sees whether it fits, in pixels of the thermogram.
struct PictureOutline {
    std::string label;  // inside, where there is room
    std::vector<Eigen::Vector2d> outline_px;
    bool doubtful = false;  // dashed
};

struct ThermalPicture {
    ImageView<const float> temperature_c;  // NaN: no temperature, drawn grey
    TemperatureScale scale{Celsius(0.0), Celsius(100.0), Palette::inferno};
    std::string title;
    std::string subtitle;
    std::vector<PictureOutline> outlines;  // below the marks
    std::vector<PictureMark> marks;
    std::optional<Celsius> isotherm;         // outlined where the picture is at or above it
    std::optional<Metres> metres_per_pixel;  // draws a length bar
    std::vector<std::string> notes;          // sentences below the scale
    double png_scale = 2.0;                  // pixels of the PNG per px of the drawing
    double width_px = 640.0;                 // of the thermogram in the drawing, about
    bool ruler = true;                       // pixel numbers along two edges
    bool plain = false;                      // no title, ruler or scale: a thumbnail with its marks
};

std::string thermal_picture_svg(const ThermalPicture& picture);
// `png_scale` times as many pixels as the SVG has px. Throws Error(output) for pictures too large.
std::string thermal_picture_png(const ThermalPicture& picture);

}  // namespace heatrow
