#include "heatrow/measure/line_profile.hpp"

#include "number_list.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

Celsius interpolated(ImageView<const float> picture, const Eigen::Vector2d& at) {
    if (at.x() < 0.0 || at.y() < 0.0 || at.x() > picture.width() - 1.0 || at.y() > picture.height() - 1.0) {
        return Celsius(kNaN);
    }
    const int x = std::min(static_cast<int>(at.x()), picture.width() - 2 < 0 ? 0 : picture.width() - 2);
    const int y = std::min(static_cast<int>(at.y()), picture.height() - 2 < 0 ? 0 : picture.height() - 2);
    const double right = at.x() - x;
    const double down = at.y() - y;
    double sum = 0.0;
    for (const int dy : {0, 1}) {
        for (const int dx : {0, 1}) {
            const double weight = (dx == 1 ? right : 1.0 - right) * (dy == 1 ? down : 1.0 - down);
            if (weight > 0.0) {
                sum += weight * static_cast<double>(picture(x + dx, y + dy));
            }
        }
    }
    return Celsius(sum);
}

}  // namespace

tl::expected<LineShape, std::string> parse_line(std::string_view text) {
    const std::size_t equals = text.find('=');
    const auto numbers =
        equals == std::string_view::npos || equals == 0 ? std::nullopt : numbers_of(text.substr(equals + 1));
    if (!numbers || numbers->size() != 4) {
        return tl::make_unexpected("line '" + std::string(text) + "': write NAME=x1,y1,x2,y2, e.g. edge=10,60,150,60");
    }
    const auto& n = *numbers;
    LineShape line{std::string(text.substr(0, equals)), {n[0], n[1]}, {n[2], n[3]}};
    constexpr double kFarthest = 1e6;  // px: longer than any picture that can be read
    if (!((line.to_px - line.from_px).norm() > 0.0) || line.from_px.cwiseAbs().maxCoeff() > kFarthest ||
        line.to_px.cwiseAbs().maxCoeff() > kFarthest) {
        return tl::make_unexpected("line '" + std::string(text) +
                                   "': it must have a length, and ends near the picture");
    }
    return line;
}

LineProfile profile_along(const LineShape& line, ImageView<const float> temperature_c) {
    const Eigen::Vector2d whole = line.to_px - line.from_px;
    const double length = whole.norm();
    const int steps = std::max(1, static_cast<int>(std::ceil(length - 1e-9)));
    LineProfile profile;
    for (LinePoint* point : {&profile.coldest, &profile.hottest}) {
        point->at_px = {-1.0, -1.0};
        point->along_px = kNaN;
    }
    double sum = 0.0;
    int known = 0;
    for (int i = 0; i <= steps; ++i) {
        const double share = static_cast<double>(i) / steps;
        LinePoint point{share * length, line.from_px + share * whole, Celsius(kNaN)};
        point.value = interpolated(temperature_c, point.at_px);
        profile.points.push_back(point);
        if (!point.value.is_known()) {
            continue;
        }
        sum += point.value.value();
        ++known;
        if (!(profile.coldest.value <= point.value)) {
            profile.coldest = point;
        }
        if (!(profile.hottest.value >= point.value)) {
            profile.hottest = point;
        }
    }
    if (known > 0) {
        profile.mean = Celsius(sum / known);
    }
    return profile;
}

}  // namespace heatrow
