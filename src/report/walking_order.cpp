#include "heatrow/report/work_list.hpp"

#include <algorithm>
#include <limits>

namespace heatrow {
namespace {

constexpr int kMostRounds = 50;  // of exchanges; each makes the way shorter, so few are ever needed

double leg(const Eigen::Vector3d& a, const Eigen::Vector3d& b) {
    return (a - b).head<2>().norm();
}

// The stretch first..last turned round pays where its two ends then lie nearer to what is before and behind.
bool exchange(const std::vector<Eigen::Vector3d>& places, const Eigen::Vector3d& start, std::vector<int>& order) {
    const auto at = [&](std::size_t i) -> const Eigen::Vector3d& { return places[static_cast<std::size_t>(order[i])]; };
    constexpr double kWorthwhile_m = 1e-6;
    bool is_shorter = false;
    for (std::size_t first = 0; first + 1 < order.size(); ++first) {
        const Eigen::Vector3d before = first == 0 ? start : at(first - 1);
        for (std::size_t last = first + 1; last < order.size(); ++last) {
            double gain = leg(before, at(first)) - leg(before, at(last));
            if (last + 1 < order.size()) {  // the walk ends where it ends, not at the start
                gain += leg(at(last), at(last + 1)) - leg(at(first), at(last + 1));
            }
            if (gain > kWorthwhile_m) {
                std::reverse(order.begin() + static_cast<std::ptrdiff_t>(first),
                             order.begin() + static_cast<std::ptrdiff_t>(last) + 1);
                is_shorter = true;
            }
        }
    }
    return is_shorter;
}

}  // namespace

std::vector<int> walking_order(const std::vector<Eigen::Vector3d>& places, const Eigen::Vector3d& start) {
    std::vector<int> left(places.size());
    for (std::size_t i = 0; i < left.size(); ++i) {
        left[i] = static_cast<int>(i);
    }
    std::vector<int> order;
    Eigen::Vector3d here = start;
    while (!left.empty()) {
        const auto nearest = std::min_element(left.begin(), left.end(), [&](int a, int b) {
            return leg(here, places[static_cast<std::size_t>(a)]) < leg(here, places[static_cast<std::size_t>(b)]);
        });
        order.push_back(*nearest);
        here = places[static_cast<std::size_t>(*nearest)];
        left.erase(nearest);
    }
    for (int round = 0; round < kMostRounds && exchange(places, start, order); ++round) {
    }
    return order;
}

}  // namespace heatrow
