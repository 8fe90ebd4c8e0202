#include "isotherm_outline.hpp"

namespace heatrow {

std::vector<std::vector<Eigen::Vector2d>> isotherm_outline(ImageView<const float> temperature_c, Celsius limit) {
    const int width = temperature_c.width();
    const int height = temperature_c.height();
    const auto above = [&](int x, int y) {
        return temperature_c.contains(x, y) && static_cast<double>(temperature_c(x, y)) >= limit.value();
    };
    std::vector<std::vector<Eigen::Vector2d>> lines;
    for (int y = 0; y <= height; ++y) {  // edges between rows y - 1 and y
        for (int x = 0, start = -1; x <= width; ++x) {
            const bool edge = x < width && above(x, y - 1) != above(x, y);
            if (edge && start < 0) {
                start = x;
            } else if (!edge && start >= 0) {
                lines.push_back({{start - 0.5, y - 0.5}, {x - 0.5, y - 0.5}});
                start = -1;
            }
        }
    }
    for (int x = 0; x <= width; ++x) {
        for (int y = 0, start = -1; y <= height; ++y) {
            const bool edge = y < height && above(x - 1, y) != above(x, y);
            if (edge && start < 0) {
                start = y;
            } else if (!edge && start >= 0) {
                lines.push_back({{x - 0.5, start - 0.5}, {x - 0.5, y - 0.5}});
                start = -1;
            }
        }
    }
    return lines;
}

}  // namespace heatrow
