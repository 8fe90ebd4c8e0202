#include "heatrow/measure/areas.hpp"

#include "heatrow/core/median.hpp"
#include "heatrow/measure/mask.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>

namespace heatrow {
namespace {

bool on_segment(const Eigen::Vector2d& p, const Eigen::Vector2d& a, const Eigen::Vector2d& b) {
    const Eigen::Vector2d along = b - a;
    const Eigen::Vector2d to = p - a;
    const double cross = along.x() * to.y() - along.y() * to.x();
    constexpr double kTolerance = 1e-9;
    return std::abs(cross) <= kTolerance * (1.0 + along.norm()) && to.dot(along) >= -kTolerance &&
           to.dot(along) <= along.squaredNorm() + kTolerance;
}

bool inside_polygon(const PolygonShape& polygon, const Eigen::Vector2d& p) {
    bool inside = false;
    const std::size_t n = polygon.corners_px.size();
    for (std::size_t i = 0; i < n; ++i) {
        const auto& a = polygon.corners_px[i];
        const auto& b = polygon.corners_px[(i + 1) % n];
        if (on_segment(p, a, b)) {
            return true;
        }
        if ((a.y() > p.y()) != (b.y() > p.y()) && p.x() < a.x() + (p.y() - a.y()) / (b.y() - a.y()) * (b.x() - a.x())) {
            inside = !inside;
        }
    }
    return inside;
}

// The box of a shape, real-valued, in pixels.
struct Box {
    double left;
    double top;
    double right;
    double bottom;
};

struct BoxOf {
    Box operator()(const PointShape& s) const {
        return {static_cast<double>(s.x), static_cast<double>(s.y), static_cast<double>(s.x), static_cast<double>(s.y)};
    }
    Box operator()(const RectangleShape& s) const {
        return {static_cast<double>(s.x), static_cast<double>(s.y), s.x + s.width - 1.0, s.y + s.height - 1.0};
    }
    Box operator()(const CircleShape& s) const {
        return {s.x - s.radius, s.y - s.radius, s.x + s.radius, s.y + s.radius};
    }
    Box operator()(const PolygonShape& s) const {
        Box box{s.corners_px.front().x(), s.corners_px.front().y(), s.corners_px.front().x(), s.corners_px.front().y()};
        for (const auto& corner : s.corners_px) {
            box.left = std::min(box.left, corner.x());
            box.top = std::min(box.top, corner.y());
            box.right = std::max(box.right, corner.x());
            box.bottom = std::max(box.bottom, corner.y());
        }
        return box;
    }
};

struct Contains {
    int x;
    int y;
    bool operator()(const PointShape& s) const { return s.x == x && s.y == y; }
    bool operator()(const RectangleShape& s) const {
        return x >= s.x && x < s.x + s.width && y >= s.y && y < s.y + s.height;
    }
    bool operator()(const CircleShape& s) const {
        return (x - s.x) * (x - s.x) + (y - s.y) * (y - s.y) <= s.radius * s.radius;
    }
    bool operator()(const PolygonShape& s) const { return inside_polygon(s, Eigen::Vector2d(x, y)); }
};

// A whole pixel range inside the picture, cut before the conversion so that no coordinate overflows.
int first_pixel(double low, int size) {
    return static_cast<int>(std::clamp(std::ceil(low), 0.0, static_cast<double>(size)));
}
int last_pixel(double high, int size) {
    return static_cast<int>(std::clamp(std::floor(high), -1.0, size - 1.0));
}

// Extreme 3 x 3 means over pixels of the mask.
void find_spots(const Mask& mask, ImageView<const float> t, AreaFigures& figures) {
    const auto in = mask.view();
    for (int y = 1; y + 1 < t.height(); ++y) {
        for (int x = 1; x + 1 < t.width(); ++x) {
            double sum = 0.0;
            bool whole = true;
            for (int dy = -1; dy <= 1 && whole; ++dy) {
                for (int dx = -1; dx <= 1; ++dx) {
                    whole = whole && in(x + dx, y + dy) != 0;
                    sum += static_cast<double>(t(x + dx, y + dy));
                }
            }
            if (!whole || std::isnan(sum)) {
                continue;
            }
            const Celsius mean(sum / 9.0);
            if (!figures.hottest_3x3.value.is_known() || mean > figures.hottest_3x3.value) {
                figures.hottest_3x3 = {mean, {x, y}};
            }
            if (!figures.coldest_3x3.value.is_known() || mean < figures.coldest_3x3.value) {
                figures.coldest_3x3 = {mean, {x, y}};
            }
        }
    }
}

Mask mask_of(const std::vector<PixelPosition>& pixels, int width, int height) {
    Mask mask(width, height, 0);
    for (const PixelPosition pixel : pixels) {
        mask.view()(pixel.x, pixel.y) = 1;
    }
    return mask;
}

}  // namespace

std::vector<PixelPosition> pixels_of(const AreaShape& shape, int width, int height) {
    const Box box = std::visit(BoxOf{}, shape);
    std::vector<PixelPosition> pixels;
    for (int y = first_pixel(box.top, height); y <= last_pixel(box.bottom, height); ++y) {
        for (int x = first_pixel(box.left, width); x <= last_pixel(box.right, width); ++x) {
            if (std::visit(Contains{x, y}, shape)) {
                pixels.push_back({x, y});
            }
        }
    }
    return pixels;
}

bool reaches_outside(const AreaShape& shape, int width, int height) {
    const Box box = std::visit(BoxOf{}, shape);
    return box.left < -0.5 || box.top < -0.5 || box.right > width - 0.5 || box.bottom > height - 0.5;
}

std::vector<Eigen::Vector2d> outline_of(const AreaShape& shape) {
    const auto box = [](double x, double y, double width, double height) {
        return std::vector<Eigen::Vector2d>{{x - 0.5, y - 0.5},
                                            {x + width - 0.5, y - 0.5},
                                            {x + width - 0.5, y + height - 0.5},
                                            {x - 0.5, y + height - 0.5}};
    };
    if (const auto* point = std::get_if<PointShape>(&shape)) {
        return box(point->x, point->y, 1.0, 1.0);
    }
    if (const auto* rectangle = std::get_if<RectangleShape>(&shape)) {
        return box(rectangle->x, rectangle->y, rectangle->width, rectangle->height);
    }
    if (const auto* polygon = std::get_if<PolygonShape>(&shape)) {
        return polygon->corners_px;
    }
    const auto& circle = std::get<CircleShape>(shape);
    constexpr int kCorners = 48;
    std::vector<Eigen::Vector2d> corners;
    for (int i = 0; i < kCorners; ++i) {
        const double angle = 2.0 * std::numbers::pi * i / kCorners;
        corners.emplace_back(circle.x + circle.radius * std::cos(angle), circle.y + circle.radius * std::sin(angle));
    }
    return corners;
}

AreaFigures measure_area(const AreaShape& shape, ImageView<const float> temperature_c) {
    const auto pixels = pixels_of(shape, temperature_c.width(), temperature_c.height());
    AreaFigures figures;
    figures.pixels = static_cast<int>(pixels.size());
    std::vector<double> known;
    double sum = 0.0;
    for (const PixelPosition pixel : pixels) {
        const Celsius value(static_cast<double>(temperature_c(pixel.x, pixel.y)));
        if (!value.is_known()) {
            ++figures.missing;
            continue;
        }
        known.push_back(value.value());
        sum += value.value();
        if (!figures.hottest.value.is_known() || value > figures.hottest.value) {
            figures.hottest = {value, pixel};
        }
        if (!figures.coldest.value.is_known() || value < figures.coldest.value) {
            figures.coldest = {value, pixel};
        }
    }
    if (known.empty()) {
        return figures;
    }
    const auto count = static_cast<double>(known.size());
    figures.mean = Celsius(sum / count);
    if (known.size() > 1) {
        double squares = 0.0;
        for (const double value : known) {
            squares += (value - figures.mean.value()) * (value - figures.mean.value());
        }
        figures.deviation = KelvinDelta(std::sqrt(squares / (count - 1.0)));
    }
    figures.median = Celsius(take_median(known));
    find_spots(mask_of(pixels, temperature_c.width(), temperature_c.height()), temperature_c, figures);
    return figures;
}

AreaFigures measure_picture(ImageView<const float> temperature_c) {
    return measure_area(RectangleShape{0, 0, temperature_c.width(), temperature_c.height()}, temperature_c);
}

Celsius median_around(const AreaShape& shape, ImageView<const float> temperature_c) {
    constexpr float kFrom = 3.0F;
    constexpr float kTo = 10.0F;
    const auto pixels = pixels_of(shape, temperature_c.width(), temperature_c.height());
    const auto distance = squared_distance_to(mask_of(pixels, temperature_c.width(), temperature_c.height()));
    std::vector<double> ring;
    for (int y = 0; y < temperature_c.height(); ++y) {
        for (int x = 0; x < temperature_c.width(); ++x) {
            const float away = distance.view()(x, y);
            if (away >= kFrom * kFrom && away <= kTo * kTo) {
                ring.push_back(static_cast<double>(temperature_c(x, y)));
            }
        }
    }
    return Celsius(take_median(ring));
}

}  // namespace heatrow
