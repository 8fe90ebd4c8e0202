// Writing SVG: numbers to a hundredth of a pixel, text escaped.
#pragma once

#include <Eigen/Core>

#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

// Ink and paper of every drawing. Marks of classes have colours of their own (class_mark.hpp).
inline constexpr std::string_view kInk = "#1c2330";
inline constexpr std::string_view kQuietInk = "#5d6673";
inline constexpr std::string_view kPaper = "#fbfaf7";
inline constexpr std::string_view kBand = "#eceae3";  // the ribbon's bed
inline constexpr std::string_view kOtherModules = "#d5d2c8";
inline constexpr std::string_view kThisString = "#3f6f73";

std::string px(double value);

enum class Anchor { start, middle, end };

struct TextStyle {
    double size = 11.0;
    std::string_view fill = kInk;
    Anchor anchor = Anchor::start;
    bool bold = false;
};

// Text to be put into a drawing; grows by elements. Text in ink takes its fill from the drawing: open_drawing.
class Svg {
  public:
    // Markup as it is; the caller escapes.
    Svg& raw(std::string_view markup);
    Svg& rect(double x, double y, double width, double height, std::string_view attributes);
    Svg& line(double x1, double y1, double x2, double y2, std::string_view attributes);
    Svg& path(std::string_view d, std::string_view attributes);
    Svg& text(double x, double y, std::string_view content, const TextStyle& style = {});
    Svg& open_group(std::string_view attributes);
    Svg& close_group();
    // The tooltip and accessible name of the group just opened.
    Svg& title(std::string_view content);

    [[nodiscard]] const std::string& str() const { return out_; }

  private:
    std::string out_;
};

// The beginning of an svg element of that size with the face and ink of every drawing; `attributes` may be empty.
std::string open_drawing(double width, double height, std::string_view attributes);

// "M..h..v..h..z" of a rectangle, "M..L..z" of a polygon.
std::string rect_path(double x, double y, double width, double height);
std::string polygon_path(const std::vector<Eigen::Vector2d>& points);

// Width of a text in px, estimated (no font is at hand): wide enough for common sans-serif faces.
double text_width(std::string_view text, double size);
// The text, or its end after an ellipsis, so that it fits; ids differ at their end.
std::string fit_text(std::string_view text, double width, double size);
// Lines broken at blanks, none wider than `width` unless a single word is.
std::vector<std::string> wrap_text(std::string_view text, double width, double size);

}  // namespace heatrow
