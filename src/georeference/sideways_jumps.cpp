#include "heatrow/georeference/sideways_jumps.hpp"

#include "heatrow/core/median.hpp"

#include <cmath>

namespace heatrow {
namespace {

using Eigen::Vector2d;

constexpr double kMostOfFlight = 0.8;  // own choice

// Unit vector across the direction in which most of the way is flown, forth and back.
Vector2d across_lanes(std::span<const FlownFrame> frames) {
    double cos2 = 0.0;
    double sin2 = 0.0;
    for (std::size_t i = 1; i < frames.size(); ++i) {
        const Vector2d way = frames[i].logged - frames[i - 1].logged;
        const double twice = 2.0 * std::atan2(way.y(), way.x());  // both directions of a lane are one
        cos2 += way.norm() * std::cos(twice);
        sin2 += way.norm() * std::sin(twice);
    }
    const double along = 0.5 * std::atan2(sin2, cos2);
    return {-std::sin(along), std::cos(along)};
}

}  // namespace

JumpCheck find_sideways_jumps(std::span<const FlownFrame> frames) {
    JumpCheck check;
    check.doubtful.assign(frames.size(), false);
    const Vector2d across = across_lanes(frames);
    std::vector<double> off;
    std::vector<std::vector<std::size_t>> parts(1);
    for (std::size_t i = 0; i < frames.size(); ++i) {
        off.push_back(across.dot(frames[i].found - frames[i].logged));
        const bool is_close = i > 0 && frames[i].time_s - frames[i - 1].time_s <= kLongestPause_s;
        if (is_close && std::abs(off[i] - off[i - 1]) > kFarthestJump_m) {
            const double change = off[i] - off[i - 1];
            check.jumps.push_back({i - 1, i, std::abs(change), change * across});
            parts.emplace_back();
        }
        parts.back().push_back(i);
    }
    if (check.jumps.empty()) {
        return check;
    }
    // The level that most frames share, by the parts that agree with the largest one.
    const auto level = [&](const std::vector<std::size_t>& part) {
        std::vector<double> values;
        for (const std::size_t i : part) {
            values.push_back(off[i]);
        }
        return take_median(values);
    };
    std::size_t largest = 0;
    for (std::size_t p = 1; p < parts.size(); ++p) {
        largest = parts[p].size() > parts[largest].size() ? p : largest;
    }
    std::size_t agreeing = 0;
    for (const auto& part : parts) {
        if (std::abs(level(part) - level(parts[largest])) <= kFarthestJump_m) {
            agreeing += part.size();
        } else {
            for (const std::size_t i : part) {
                check.doubtful[i] = true;
            }
        }
    }
    if (static_cast<double>(agreeing) < kMostOfFlight * static_cast<double>(frames.size())) {
        check.doubtful.assign(frames.size(), true);
    }
    return check;
}

}  // namespace heatrow
