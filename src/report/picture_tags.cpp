#include "picture_tags.hpp"

#include <algorithm>
#include <array>

namespace heatrow {
namespace {

constexpr double kSize = 11.0;
constexpr double kHeight = 17.0;
constexpr double kGap = 5.0;

// Of boxes that must not touch.
double shared_area(Box a, const Box& b) {
    constexpr double kAir = 2.0;
    a = {a.x - kAir, a.y - kAir, a.width + 2.0 * kAir, a.height + 2.0 * kAir};
    const double width = std::min(a.x + a.width, b.x + b.width) - std::max(a.x, b.x);
    const double height = std::min(a.y + a.height, b.y + b.height) - std::max(a.y, b.y);
    return std::max(width, 0.0) * std::max(height, 0.0);
}

Box tag_place(const Box& mark, double width, const Box& room, const std::vector<Box>& kept) {
    const double right = mark.x + mark.width + kGap;
    const double left = mark.x - kGap - width;
    const double above = mark.y - kGap - kHeight;
    const double below = mark.y + mark.height + kGap;
    const double centre = mark.x + 0.5 * (mark.width - width);
    const std::array<Eigen::Vector2d, 8> places{{{centre, above},
                                                 {right, mark.y},
                                                 {left, mark.y},
                                                 {centre, below},
                                                 {right, above},
                                                 {left, above},
                                                 {right, below},
                                                 {left, below}}};
    Box best;
    double least = -1.0;
    for (const Eigen::Vector2d& place : places) {
        Box tag{place.x(), place.y(), width, kHeight};
        tag.x = std::clamp(tag.x, room.x + 2.0, std::max(room.x + 2.0, room.x + room.width - width - 2.0));
        tag.y = std::clamp(tag.y, room.y + 2.0, std::max(room.y + 2.0, room.y + room.height - kHeight - 2.0));
        double covered = 0.0;
        for (const Box& box : kept) {
            covered += shared_area(tag, box);
        }
        if (least < 0.0 || covered < least - 1e-9) {
            least = covered;
            best = tag;
        }
    }
    return best;
}

}  // namespace

Box box_around(const Polyline& points) {
    if (points.empty()) {
        return {};
    }
    Eigen::Vector2d low = points.front();
    Eigen::Vector2d high = points.front();
    for (const Eigen::Vector2d& point : points) {
        low = low.cwiseMin(point);
        high = high.cwiseMax(point);
    }
    return {low.x(), low.y(), high.x() - low.x(), high.y() - low.y()};
}

void draw_tag(Canvas& canvas, const PictureMark& mark, const Box& mark_box, const Box& room, std::vector<Box>& kept) {
    if (mark.name.empty()) {
        return;
    }
    const double name_width = text_width(mark.name, kSize) * 1.06;  // bold
    const double value_width = mark.value.empty() ? 0.0 : text_width(mark.value, kSize) + 12.0;
    const Box tag = tag_place(mark_box, name_width + value_width + 12.0, room, kept);
    const Polyline outline = rectangle(tag.x, tag.y, tag.width, tag.height);
    canvas.fill(outline, kPaper);
    canvas.stroke({outline}, {.colour = kInk, .width = 1.0, .closed = true});
    canvas.text(tag.x + 6.0, tag.y + 12.6, mark.name, {.size = kSize, .bold = true});
    if (!mark.value.empty()) {
        const double x = tag.x + 6.0 + name_width + 5.0;
        canvas.stroke({{{x, tag.y}, {x, tag.y + tag.height}}}, {.colour = kInk, .width = 0.8});
        canvas.text(x + 5.0, tag.y + 12.6, mark.value, {.size = kSize});
    }
    kept.push_back(tag);
}

}  // namespace heatrow
