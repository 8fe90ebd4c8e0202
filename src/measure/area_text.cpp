#include "heatrow/measure/areas.hpp"
#include "number_list.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>

namespace heatrow {

std::optional<std::vector<double>> numbers_of(std::string_view text) {
    std::vector<double> numbers;
    while (true) {
        const std::size_t comma = text.find(',');
        const std::string_view word = text.substr(0, comma);
        double value = 0.0;
        const auto [end, error] = std::from_chars(word.data(), word.data() + word.size(), value);
        if (error != std::errc{} || end != word.data() + word.size() || !std::isfinite(value)) {
            return std::nullopt;
        }
        numbers.push_back(value);
        if (comma == std::string_view::npos) {
            return numbers;
        }
        text.remove_prefix(comma + 1);
    }
}

namespace {

// Whole pixel coordinates of any picture that can be read.
bool is_whole(double value) {
    constexpr double kLargest = 1e6;
    return std::abs(value) <= kLargest && std::floor(value) == std::ceil(value);
}

tl::unexpected<std::string> cannot(std::string_view text, std::string_view why) {
    return tl::make_unexpected("area '" + std::string(text) + "': " + std::string(why));
}

}  // namespace

tl::expected<Area, std::string> parse_area(std::string_view text) {
    const std::size_t equals = text.find('=');
    const std::size_t colon = equals == std::string_view::npos ? equals : text.find(':', equals);
    if (colon == std::string_view::npos || equals == 0) {
        return cannot(text, "write NAME=SHAPE:NUMBERS, e.g. cell=rect:120,80,24,24");
    }
    const std::string name(text.substr(0, equals));
    const std::string_view kind = text.substr(equals + 1, colon - equals - 1);
    const auto numbers = numbers_of(text.substr(colon + 1));
    if (!numbers) {
        return cannot(text, "the numbers behind ':' must be separated by commas");
    }
    const auto& n = *numbers;
    const auto whole = [&n] { return std::all_of(n.begin(), n.end(), is_whole); };
    const auto pixel = [&n](std::size_t i) { return static_cast<int>(n[i]); };
    if (kind == "point") {
        if (n.size() != 2 || !whole()) {
            return cannot(text, "a point has two whole numbers: x,y");
        }
        return Area{name, PointShape{pixel(0), pixel(1)}};
    }
    if (kind == "rect") {
        if (n.size() != 4 || !whole() || n[2] < 1.0 || n[3] < 1.0) {
            return cannot(text, "a rectangle has four whole numbers: x,y,width,height, the last two at least 1");
        }
        return Area{name, RectangleShape{pixel(0), pixel(1), pixel(2), pixel(3)}};
    }
    if (kind == "circle") {
        if (n.size() != 3 || !(n[2] > 0.0)) {
            return cannot(text, "a circle has three numbers: x,y,radius, the radius above zero");
        }
        return Area{name, CircleShape{n[0], n[1], n[2]}};
    }
    if (kind == "polygon") {
        if (n.size() < 6 || n.size() % 2 != 0) {
            return cannot(text, "a polygon has at least three corners: x1,y1,x2,y2,x3,y3");
        }
        PolygonShape polygon;
        for (std::size_t i = 0; i + 1 < n.size(); i += 2) {
            polygon.corners_px.emplace_back(n[i], n[i + 1]);
        }
        return Area{name, polygon};
    }
    return cannot(text, "the shape '" + std::string(kind) + "' is none of point, rect, circle, polygon");
}

}  // namespace heatrow
