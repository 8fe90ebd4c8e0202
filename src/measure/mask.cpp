#include "heatrow/measure/mask.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>

namespace heatrow {
namespace {

constexpr float kFar = std::numeric_limits<float>::infinity();

// One line of the transform: from the costs f to min over q of (p - q)^2 + f(q).
class LineTransform {
  public:
    explicit LineTransform(int longest)
        : apex_(static_cast<std::size_t>(longest)), start_(static_cast<std::size_t>(longest) + 1) {}

    void run(const std::vector<float>& cost, std::vector<float>& result, int length) {
        std::size_t used = 0;
        for (int q = 0; q < length; ++q) {
            if (!std::isinf(cost[static_cast<std::size_t>(q)])) {
                used = push(cost, used, q);
            }
        }
        std::size_t k = 0;
        for (int p = 0; p < length; ++p) {
            auto& out = result[static_cast<std::size_t>(p)];
            if (used == 0) {
                out = kFar;
                continue;
            }
            while (k + 1 < used && start_[k + 1] < static_cast<float>(p)) {
                ++k;
            }
            const auto away = static_cast<float>(p - apex_[k]);
            out = away * away + cost[static_cast<std::size_t>(apex_[k])];
        }
    }

  private:
    // Puts the parabola of q on the lower envelope; returns the number of parabolas.
    std::size_t push(const std::vector<float>& cost, std::size_t used, int q) {
        const auto height = [&cost](int at) {
            return cost[static_cast<std::size_t>(at)] + static_cast<float>(at) * static_cast<float>(at);
        };
        while (used > 0) {
            const int before = apex_[used - 1];
            const float cross = (height(q) - height(before)) / static_cast<float>(2 * (q - before));
            if (cross > start_[used - 1]) {
                start_[used] = cross;
                break;
            }
            --used;
        }
        if (used == 0) {
            start_[0] = -kFar;
        }
        apex_[used] = q;
        return used + 1;
    }

    std::vector<int> apex_;
    std::vector<float> start_;
};

}  // namespace

Image<float> squared_distance_to(const Mask& set) {
    const int width = set.width();
    const int height = set.height();
    Image<float> result(width, height, kFar);
    const auto view = result.view();
    const auto source = set.view();
    const int longest = std::max(width, height);
    LineTransform transform(longest);
    std::vector<float> cost(static_cast<std::size_t>(longest));
    std::vector<float> line(static_cast<std::size_t>(longest));
    for (int x = 0; x < width; ++x) {
        for (int y = 0; y < height; ++y) {
            cost[static_cast<std::size_t>(y)] = source(x, y) != 0 ? 0.0F : kFar;
        }
        transform.run(cost, line, height);
        for (int y = 0; y < height; ++y) {
            view(x, y) = line[static_cast<std::size_t>(y)];
        }
    }
    for (int y = 0; y < height; ++y) {
        std::copy_n(view.row(y), width, cost.begin());
        transform.run(cost, line, width);
        std::copy_n(line.begin(), width, view.row(y));
    }
    return result;
}

std::vector<Component> components_of(const Mask& mask, int least_area) {
    const int width = mask.width();
    const int height = mask.height();
    std::vector<std::uint8_t> open = mask.pixels();
    std::vector<Component> found;
    for (int seed = 0; seed < width * height; ++seed) {
        if (open[static_cast<std::size_t>(seed)] == 0) {
            continue;
        }
        Component component{width, height, -1, -1, {}};
        component.pixels.push_back(seed);
        open[static_cast<std::size_t>(seed)] = 0;
        for (std::size_t next = 0; next < component.pixels.size(); ++next) {
            const int index = component.pixels[next];
            const int x = index % width;
            const int y = index / width;
            component.left = std::min(component.left, x);
            component.right = std::max(component.right, x);
            component.top = std::min(component.top, y);
            component.bottom = std::max(component.bottom, y);
            const auto visit = [&](int neighbour, bool inside) {
                if (inside && open[static_cast<std::size_t>(neighbour)] != 0) {
                    open[static_cast<std::size_t>(neighbour)] = 0;
                    component.pixels.push_back(neighbour);
                }
            };
            visit(index - 1, x > 0);
            visit(index + 1, x + 1 < width);
            visit(index - width, y > 0);
            visit(index + width, y + 1 < height);
        }
        if (component.area() >= least_area) {
            found.push_back(std::move(component));
        }
    }
    return found;
}

}  // namespace heatrow
