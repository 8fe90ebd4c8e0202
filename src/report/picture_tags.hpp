// Tags that name the marks of a picture without lying on them or on each other.
#pragma once

#include "canvas.hpp"
#include "heatrow/report/thermal_picture.hpp"

#include <vector>

namespace heatrow {

struct Box {
    double x = 0.0;
    double y = 0.0;
    double width = 0.0;
    double height = 0.0;
};
Box box_around(const Polyline& points);

// Beside `mark_box`, inside `room` as far as it fits, where it covers least of `kept`; joins `kept`.
void draw_tag(Canvas& canvas, const PictureMark& mark, const Box& mark_box, const Box& room, std::vector<Box>& kept);

}  // namespace heatrow
