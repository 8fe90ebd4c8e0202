#include "heatrow/report/thermal_picture.hpp"

#include "canvas.hpp"
#include "heatrow/report/number_text.hpp"
#include "isotherm_outline.hpp"
#include "picture_tags.hpp"
#include "scale_strip.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

constexpr std::string_view kLight = "#ffffff";
constexpr std::string_view kIsotherm = "#7df3ea";
constexpr Colour kNoTemperature{139, 143, 148};
constexpr double kMargin = 24.0;
constexpr double kRuler = 16.0;  // room for the pixel numbers above and left of the picture
constexpr double kNoteLine = 15.0;
constexpr double kLeastText = 420.0;

// Where things lie in the drawing.
struct Layout {
    double zoom = 1.0;  // px of the drawing per pixel
    double left = 0.0;
    double top = 0.0;
    double width = 0.0;  // of the thermogram
    double height = 0.0;
    double text_width = 0.0;  // of title, scale and notes: at least kLeastText beside a narrow thermogram
    double scale_top = 0.0;
    double notes_top = 0.0;
    double drawing_width = 0.0;
    double drawing_height = 0.0;

    [[nodiscard]] Eigen::Vector2d at(const Eigen::Vector2d& pixel) const {
        return {left + (pixel.x() + 0.5) * zoom, top + (pixel.y() + 0.5) * zoom};
    }
};

std::vector<std::string> note_lines(const ThermalPicture& picture, double width) {
    std::vector<std::string> lines;
    for (const std::string& note : picture.notes) {
        for (std::string& line : wrap_text(note, width, 11.0)) {
            lines.push_back(std::move(line));
        }
    }
    return lines;
}

std::vector<std::string> subtitle_lines(const ThermalPicture& picture, double width) {
    return wrap_text(picture.subtitle, width, 11.0);
}

ScaleStrip strip_of(const ThermalPicture& picture) {
    return {picture.temperature_c, picture.scale, picture.marks, picture.isotherm, kIsotherm};
}

Layout lay_out(const ThermalPicture& picture) {
    Layout l;
    constexpr double kTallest = 1.5;  // of the width: tall thermograms are drawn narrower
    const double zoom = std::min(picture.width_px / picture.temperature_c.width(),
                                 kTallest * picture.width_px / picture.temperature_c.height());
    l.zoom = zoom >= 1.0 ? std::floor(zoom) : zoom;  // whole zooms keep pixels square and sharp
    l.width = l.zoom * picture.temperature_c.width();
    l.height = l.zoom * picture.temperature_c.height();
    if (picture.plain) {
        l.drawing_width = l.width;
        l.drawing_height = l.height;
        return l;
    }
    l.text_width = std::max(l.width, kLeastText);
    l.left = kMargin + kRuler;
    l.top = kMargin + 19.0 + kNoteLine * static_cast<double>(subtitle_lines(picture, l.text_width).size()) + kRuler;
    l.drawing_width = l.left + l.text_width + kMargin;
    l.scale_top = l.top + l.height + 12.0;
    l.notes_top = l.scale_top + scale_strip_height(strip_of(picture), l.text_width);
    const auto lines = note_lines(picture, l.text_width);
    l.drawing_height = l.notes_top + kNoteLine * static_cast<double>(lines.size()) + kMargin - 6.0;
    return l;
}

void draw_pixels(Canvas& canvas, const ThermalPicture& picture, const Layout& l) {
    const auto view = picture.temperature_c;
    Image<Colour> colours(view.width(), view.height());
    for (int y = 0; y < view.height(); ++y) {
        for (int x = 0; x < view.width(); ++x) {
            const Celsius value(static_cast<double>(view(x, y)));
            colours.view()(x, y) = value.is_known() ? picture.scale.colour(value) : kNoTemperature;
        }
    }
    canvas.pixels(colours, l.left, l.top, l.zoom);
    if (!picture.plain) {
        canvas.stroke({rectangle(l.left, l.top, l.width, l.height)}, {.colour = kInk, .closed = true});
    }
}

// Pixel numbers along the top and the left edge, so that areas can be read off and typed.
void draw_ruler(Canvas& canvas, const ThermalPicture& picture, const Layout& l) {
    const TextStyle style{.size = 9.0, .fill = kQuietInk, .anchor = Anchor::middle};
    std::vector<Polyline> ticks;
    for (const double pixel : scale_ticks(0.0, picture.temperature_c.width() - 1.0)) {
        const Eigen::Vector2d at = l.at({pixel, 0.0});
        ticks.push_back({{at.x(), l.top}, {at.x(), l.top - 4.0}});
        canvas.text(at.x(), l.top - 6.5, short_text(pixel, 0), style);
    }
    TextStyle beside = style;
    beside.anchor = Anchor::end;
    for (const double pixel : scale_ticks(0.0, picture.temperature_c.height() - 1.0)) {
        const Eigen::Vector2d at = l.at({0.0, pixel});
        ticks.push_back({{l.left, at.y()}, {l.left - 4.0, at.y()}});
        if (pixel > 0.0) {
            canvas.text(l.left - 6.0, at.y() + 3.2, short_text(pixel, 0), beside);
        }
    }
    canvas.stroke(ticks, {.colour = kQuietInk, .width = 0.8});
}

// A light line in an ink casing: seen on every colour of both palettes.
void draw_cased(Canvas& canvas, const std::vector<Polyline>& lines, bool closed, std::string_view colour) {
    canvas.stroke(lines, {.colour = kInk, .width = 3.6, .closed = closed});
    canvas.stroke(lines, {.colour = colour, .width = 1.4, .closed = closed});
}

void draw_outlines(Canvas& canvas, const ThermalPicture& picture, const Layout& l) {
    for (const PictureOutline& outline : picture.outlines) {
        Polyline placed;
        for (const Eigen::Vector2d& point : outline.outline_px) {
            placed.push_back(l.at(point));
        }
        const double dash = outline.doubtful ? 3.0 : 0.0;
        canvas.stroke({placed}, {.colour = kInk, .width = 1.8, .closed = true});
        canvas.stroke({placed}, {.colour = kLight, .width = 0.8, .closed = true, .dash = dash});
        const Box box = box_around(placed);
        constexpr double kSize = 9.0;
        const std::string label = fit_text(outline.label, box.width - 4.0, kSize);
        const double width = text_width(label, kSize) + 3.0;
        if (label.empty() || width > box.width || box.height < 2.0 * kSize) {
            continue;
        }
        const double middle = box.x + 0.5 * box.width;
        const double bottom = box.y + box.height - 3.0;
        canvas.fill(rectangle(middle - 0.5 * width, bottom - kSize - 1.0, width, kSize + 2.0), kPaper);
        canvas.text(middle, bottom - 1.0, label, {.size = kSize, .anchor = Anchor::middle});
    }
}

void draw_marks(Canvas& canvas, const ThermalPicture& picture, const Layout& l) {
    std::vector<Box> kept;  // where no tag may lie
    for (const PictureMark& mark : picture.marks) {
        Polyline outline;
        for (const Eigen::Vector2d& point : mark.outline_px) {
            outline.push_back(l.at(point));
        }
        if (!outline.empty()) {
            draw_cased(canvas, {outline}, mark.closed, kLight);
        }
        kept.push_back(box_around(outline));
    }
    for (const PictureMark& mark : picture.marks) {
        if (mark.spot_px) {
            const Eigen::Vector2d corner = l.at(*mark.spot_px - Eigen::Vector2d(2.0, 2.0));
            const Eigen::Vector2d first = corner + Eigen::Vector2d(0.5, 0.5) * l.zoom;
            canvas.stroke({rectangle(first.x(), first.y(), 3.0 * l.zoom, 3.0 * l.zoom)},
                          {.colour = kInk, .width = 1.2, .closed = true});
        }
    }
    const Box room{l.left, l.top, l.width, l.height};
    for (std::size_t i = 0; i < picture.marks.size(); ++i) {
        if (picture.marks[i].outline_px.empty()) {
            continue;  // stands on the scale only
        }
        draw_tag(canvas, picture.marks[i], kept[i], room, kept);
    }
}

void draw_length_bar(Canvas& canvas, const ThermalPicture& picture, const Layout& l) {
    if (!picture.metres_per_pixel || !(picture.metres_per_pixel->value() > 0.0)) {
        return;
    }
    const double metres_of_drawing = picture.metres_per_pixel->value() / l.zoom;
    const auto steps = scale_ticks(0.0, 0.3 * l.width * metres_of_drawing);
    const double length_m = steps.back();
    const double length = length_m / metres_of_drawing;
    const double right = l.left + l.width - 12.0;
    const double y = l.top + l.height - 12.0;
    draw_cased(canvas, {{{right - length, y - 4.0}, {right - length, y}, {right, y}, {right, y - 4.0}}}, false, kLight);
    const std::string label = length_m >= 1.0    ? short_text(length_m, 2) + " m"
                              : length_m >= 0.01 ? short_text(100.0 * length_m, 2) + " cm"
                                                 : short_text(1000.0 * length_m, 2) + " mm";
    const TextStyle style{.size = 11.0, .fill = kInk, .anchor = Anchor::middle, .bold = true};
    const double width = text_width(label, style.size) + 8.0;
    canvas.fill(rectangle(right - 0.5 * (length + width), y - 22.0, width, 15.0), kPaper);
    canvas.text(right - 0.5 * length, y - 11.0, label, style);
}

void draw(Canvas& canvas, const ThermalPicture& picture, const Layout& l) {
    canvas.fill(rectangle(0.0, 0.0, l.drawing_width, l.drawing_height), kPaper);
    draw_pixels(canvas, picture, l);
    if (picture.isotherm) {
        std::vector<Polyline> outline;
        for (const auto& line : isotherm_outline(picture.temperature_c, *picture.isotherm)) {
            Polyline placed;
            for (const Eigen::Vector2d& point : line) {
                placed.push_back(l.at(point));
            }
            outline.push_back(std::move(placed));
        }
        draw_cased(canvas, outline, false, kIsotherm);
    }
    if (!picture.plain) {
        canvas.text(l.left, kMargin + 10.0, fit_text(picture.title, l.text_width, 15.0), {.size = 15.0, .bold = true});
        double y = kMargin + 27.0;
        for (const std::string& line : subtitle_lines(picture, l.text_width)) {
            canvas.text(l.left, y, line, {.size = 11.0, .fill = kQuietInk});
            y += kNoteLine;
        }
        if (picture.ruler) {
            draw_ruler(canvas, picture, l);
        }
    }
    draw_outlines(canvas, picture, l);
    draw_marks(canvas, picture, l);
    draw_length_bar(canvas, picture, l);
    if (picture.plain) {
        return;
    }
    draw_scale_strip(canvas, strip_of(picture), {l.left, l.scale_top, l.text_width, l.notes_top - l.scale_top});
    double y = l.notes_top + 8.0;
    for (const std::string& line : note_lines(picture, l.text_width)) {
        canvas.text(l.left, y, line, {.size = 11.0, .fill = kQuietInk});
        y += kNoteLine;
    }
}

}  // namespace

std::string thermal_picture_svg(const ThermalPicture& picture) {
    const Layout layout = lay_out(picture);
    const auto canvas = make_svg_canvas(layout.drawing_width, layout.drawing_height);
    draw(*canvas, picture, layout);
    return canvas->finish();
}

std::string thermal_picture_png(const ThermalPicture& picture) {
    const Layout layout = lay_out(picture);
    const auto canvas = make_png_canvas(layout.drawing_width, layout.drawing_height, picture.png_scale);
    draw(*canvas, picture, layout);
    return canvas->finish();
}

}  // namespace heatrow
