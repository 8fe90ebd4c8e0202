#include "canvas.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace heatrow {

std::vector<Polyline> hatch_lines(const Polyline& convex, double spacing) {
    double low = std::numeric_limits<double>::max();
    double high = std::numeric_limits<double>::lowest();
    for (const Eigen::Vector2d& point : convex) {
        low = std::min(low, point.x() + point.y());
        high = std::max(high, point.x() + point.y());
    }
    std::vector<Polyline> lines;
    for (double sum = std::ceil(low / spacing) * spacing; sum < high; sum += spacing) {
        Polyline ends;  // where x + y = sum meets the outline
        for (std::size_t i = 0; i < convex.size(); ++i) {
            const Eigen::Vector2d& a = convex[i];
            const Eigen::Vector2d& b = convex[(i + 1) % convex.size()];
            const double from = a.x() + a.y();
            const double to = b.x() + b.y();
            if ((from <= sum) != (to <= sum)) {
                ends.push_back(a + (sum - from) / (to - from) * (b - a));
            }
        }
        if (ends.size() == 2) {
            lines.push_back(std::move(ends));
        }
    }
    return lines;
}

Polyline rectangle(double x, double y, double width, double height) {
    return {{x, y}, {x + width, y}, {x + width, y + height}, {x, y + height}};
}

}  // namespace heatrow
