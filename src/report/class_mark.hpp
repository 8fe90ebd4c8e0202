// Marks of the classes of abnormality: a shape and a number each, so that no colour is needed to read them.
#pragma once

#include "canvas.hpp"
#include "heatrow/core/finding.hpp"

#include <string>
#include <string_view>

namespace heatrow {

// Class 1: circle, sky blue; class 2: triangle, orange; class 3: diamond, vermillion. Colours of Okabe and Ito, "Color
// universal design" (2008); the shapes are this program's own.
struct ClassMark {
    std::string_view shape;  // SVG path about the origin for a mark 16 px across
    std::string_view fill;
    std::string_view number_fill;
    double number_y;  // baseline of the number
    std::string_view number;
    std::string_view words;  // "safety-relevant"
};

const ClassMark& class_mark(AbnormalityClass abnormality);

// The mark as an SVG group at (x, y), scaled.
std::string class_mark_svg(AbnormalityClass abnormality, double x, double y, double scale = 1.0);
// The same on any canvas, its middle at (x, y).
void draw_class_mark(Canvas& canvas, AbnormalityClass abnormality, double x, double y, double scale = 1.0);
// A module that may be one of several: a dashed circle with a question mark.
std::string ambiguous_mark_svg(double x, double y);

}  // namespace heatrow
