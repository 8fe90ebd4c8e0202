#include "heatrow/measure/outline.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <functional>

namespace heatrow {
namespace {

using Line = std::vector<Eigen::Vector2d>;

// Left, top, right or bottom border of the picture on which a unit step lies; -1 for none.
int border_of_step(const Eigen::Vector2d& a, const Eigen::Vector2d& b, int width, int height) {
    const Eigen::Vector2d middle = 0.5 * (a + b);
    constexpr double kNear = 0.25;
    if (std::abs(middle.x() + 0.5) < kNear) {
        return 0;
    }
    if (std::abs(middle.y() + 0.5) < kNear) {
        return 1;
    }
    if (std::abs(middle.x() - (width - 0.5)) < kNear) {
        return 2;
    }
    if (std::abs(middle.y() - (height - 0.5)) < kNear) {
        return 3;
    }
    return -1;
}

double distance_to_segment(const Eigen::Vector2d& point, const Eigen::Vector2d& a, const Eigen::Vector2d& b) {
    const Eigen::Vector2d along = b - a;
    const double length_squared = along.squaredNorm();
    if (length_squared <= 0.0) {
        return (point - a).norm();
    }
    const double t = std::clamp((point - a).dot(along) / length_squared, 0.0, 1.0);
    return (point - a - t * along).norm();
}

// Corners between first and last (which are kept), appended to `out` without the first.
void simplify_open(const Line& line, std::size_t first, std::size_t last, double tolerance, Line& out) {
    std::vector<std::pair<std::size_t, std::size_t>> open{{first, last}};
    while (!open.empty()) {
        const auto [from, to] = open.back();
        open.pop_back();
        std::size_t farthest = from;
        double distance = tolerance;
        for (std::size_t i = from + 1; i < to; ++i) {
            const double here = distance_to_segment(line[i], line[from], line[to]);
            if (here > distance) {
                distance = here;
                farthest = i;
            }
        }
        if (farthest == from) {
            out.push_back(line[to]);
        } else {
            open.emplace_back(farthest, to);
            open.emplace_back(from, farthest);
        }
    }
}

std::size_t farthest_from(const Line& line, const Eigen::Vector2d& point) {
    const auto farthest = std::max_element(line.begin(), line.end(), [&point](const auto& a, const auto& b) {
        return (a - point).squaredNorm() < (b - point).squaredNorm();
    });
    return static_cast<std::size_t>(farthest - line.begin());
}

}  // namespace

std::vector<Eigen::Vector2d> trace_outline(const Component& component, int picture_width) {
    const int width = component.right - component.left + 1;
    const int height = component.bottom - component.top + 1;
    Mask mask(width, height);
    for (const int index : component.pixels) {
        mask.view()(index % picture_width - component.left, index / picture_width - component.top) = 1;
    }
    const auto view = mask.view();
    const auto inside = [&view](int x, int y) { return view.contains(x, y) && view(x, y) != 0; };
    int start = 0;
    while (!inside(start, 0)) {
        ++start;
    }
    // vertex (x, y) is the top left corner of pixel (x, y); directions right, down, left, up
    constexpr std::array<int, 4> kDx{1, 0, -1, 0};
    constexpr std::array<int, 4> kDy{0, 1, 0, -1};
    // pixel ahead on the right hand, and on the left hand, relative to the vertex
    constexpr std::array<int, 4> kRightX{0, -1, -1, 0};
    constexpr std::array<int, 4> kRightY{0, 0, -1, -1};
    constexpr std::array<int, 4> kLeftX{0, 0, -1, -1};
    constexpr std::array<int, 4> kLeftY{-1, 0, 0, -1};
    Line outline;
    int x = start;
    int y = 0;
    std::size_t direction = 0;
    do {
        outline.emplace_back(component.left + x - 0.5, component.top + y - 0.5);
        x += kDx[direction];
        y += kDy[direction];
        if (!inside(x + kRightX[direction], y + kRightY[direction])) {
            direction = (direction + 1) % 4;
        } else if (inside(x + kLeftX[direction], y + kLeftY[direction])) {
            direction = (direction + 3) % 4;
        }
    } while (x != start || y != 0 || direction != 0);
    return outline;
}

CutOutline split_at_border(const std::vector<Eigen::Vector2d>& outline, int width, int height) {
    CutOutline result;
    const std::size_t n = outline.size();
    const auto border = [&](std::size_t i) {
        return border_of_step(outline[i % n], outline[(i + 1) % n], width, height);
    };
    std::size_t begin = 0;  // a step along the border that is followed by one that is seen
    while (begin < n && !(border(begin) >= 0 && border(begin + 1) < 0)) {
        ++begin;
    }
    if (begin == n) {
        if (border(0) < 0) {
            result.seen.push_back(outline);
            result.seen.back().push_back(outline.front());
        } else {
            for (std::size_t i = 0; i < n; ++i) {
                result.cut_px[static_cast<std::size_t>(border(i))] += 1.0;
            }
            result.cuts = 1;
        }
        return result;
    }
    bool was_cut = true;
    for (std::size_t i = begin + 1; i <= begin + n; ++i) {
        const int side = border(i);
        if (side >= 0) {
            result.cut_px[static_cast<std::size_t>(side)] += 1.0;
            result.cuts += was_cut ? 0 : 1;
            was_cut = true;
            continue;
        }
        if (was_cut) {
            result.seen.push_back({outline[i % n]});
        }
        result.seen.back().push_back(outline[(i + 1) % n]);
        was_cut = false;
    }
    return result;
}

std::vector<Eigen::Vector2d> simplify(const std::vector<Eigen::Vector2d>& line, double tolerance_px) {
    if (line.size() < 3) {
        return line;
    }
    Line out;
    if (line.front() != line.back()) {
        out.push_back(line.front());
        simplify_open(line, 0, line.size() - 1, tolerance_px, out);
        return out;
    }
    Line turned(line.begin(), line.end() - 1);
    Eigen::Vector2d middle = Eigen::Vector2d::Zero();
    for (const auto& point : turned) {
        middle += point;
    }
    middle /= static_cast<double>(turned.size());
    std::rotate(
        turned.begin(), turned.begin() + static_cast<std::ptrdiff_t>(farthest_from(turned, middle)), turned.end());
    const std::size_t opposite = farthest_from(turned, turned.front());
    turned.push_back(turned.front());
    out.push_back(turned.front());
    simplify_open(turned, 0, opposite, tolerance_px, out);
    simplify_open(turned, opposite, turned.size() - 1, tolerance_px, out);
    return out;
}

double straight_share(const CutOutline& outline, double tolerance_px) {
    std::vector<double> sides;
    double total = 0.0;
    for (const auto& line : outline.seen) {
        const Line simple = simplify(line, tolerance_px);
        for (std::size_t i = 0; i + 1 < simple.size(); ++i) {
            sides.push_back((simple[i + 1] - simple[i]).norm());
            total += sides.back();
        }
    }
    const auto borders =
        std::count_if(outline.cut_px.begin(), outline.cut_px.end(), [](double px) { return px > 0.0; });
    const auto counted = std::min(static_cast<std::size_t>(4 - borders), sides.size());
    std::sort(sides.begin(), sides.end(), std::greater<>());
    double longest = 0.0;
    for (std::size_t i = 0; i < counted; ++i) {
        longest += sides[i];
    }
    return total > 0.0 ? longest / total : 0.0;
}

}  // namespace heatrow
