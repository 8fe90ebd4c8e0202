// The scale under a thermogram: colours with their degrees, above them how often each temperature occurs, and flags
// where the marks of the picture stand.
#pragma once

#include "canvas.hpp"
#include "heatrow/report/thermal_picture.hpp"
#include "picture_tags.hpp"

#include <optional>
#include <vector>

namespace heatrow {

struct ScaleStrip {
    ImageView<const float> temperature_c;
    const TemperatureScale& scale;
    const std::vector<PictureMark>& marks;
    std::optional<Celsius> isotherm;
    std::string_view isotherm_colour;
};

double scale_strip_height(const ScaleStrip& strip, double width);
void draw_scale_strip(Canvas& canvas, const ScaleStrip& strip, const Box& room);

}  // namespace heatrow
