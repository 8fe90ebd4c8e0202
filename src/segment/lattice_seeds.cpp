#include "lattice_seeds.hpp"

#include "heatrow/core/quad_area.hpp"

#include <algorithm>
#include <cmath>
#include <deque>
#include <map>
#include <numbers>
#include <optional>
#include <utility>

namespace heatrow::detail {

namespace {

using Eigen::Vector2d;
using Quad = std::array<Vector2d, 4>;

double shortest_side(const Quad& quad) {
    double shortest = (quad[1] - quad[0]).norm();
    for (std::size_t i = 1; i < 4; ++i) {
        shortest = std::min(shortest, (quad[(i + 1) % 4] - quad[i]).norm());
    }
    return shortest;
}

// Ends of a common side are at most this far apart: lines are found to a pixel, gaps between rims are narrow.
double reach_of(const Quad& quad) {
    constexpr double kShare = 0.12;
    constexpr double kLeast_px = 2.5;
    return std::max(kLeast_px, kShare * shortest_side(quad));
}

struct Joint {
    std::size_t other;
    int own_side;
    int other_side;
};

std::optional<Joint> joint_of(const Quad& a, const Quad& b, std::size_t b_index) {
    const double reach = std::min(reach_of(a), reach_of(b));
    for (std::size_t s = 0; s < 4; ++s) {
        for (std::size_t t = 0; t < 4; ++t) {
            if ((a[s] - b[(t + 1) % 4]).norm() < reach && (a[(s + 1) % 4] - b[t]).norm() < reach) {
                return Joint{b_index, static_cast<int>(s), static_cast<int>(t)};
            }
        }
    }
    return std::nullopt;
}

// The turn that makes side 0 the upper one.
int upright(const Quad& quad) {
    int best = 0;
    double most = -std::numeric_limits<double>::infinity();
    for (std::size_t s = 0; s < 4; ++s) {
        const Vector2d along = (quad[(s + 1) % 4] - quad[s]).normalized();
        if (along.x() > most) {
            most = along.x();
            best = static_cast<int>(s);
        }
    }
    return (4 - best) % 4;
}

struct Place {
    int column;
    int row;
    int turn;  // side s of the patch lies at (s + turn) % 4: up, right, down, left
};

constexpr std::array<std::array<int, 2>, 4> kSteps{{{0, -1}, {1, 0}, {0, 1}, {-1, 0}}};

}  // namespace

std::vector<LatticeSeed> lattice_seeds(std::span<const Quad> patches, std::size_t least) {
    std::vector<std::vector<Joint>> joints(patches.size());
    for (std::size_t i = 0; i < patches.size(); ++i) {
        for (std::size_t j = 0; j < patches.size(); ++j) {
            if (i != j) {
                if (const auto joint = joint_of(patches[i], patches[j], j)) {
                    joints[i].push_back(*joint);
                }
            }
        }
    }
    // Largest first, so that a patch that a hot cell split off does not begin a lattice.
    std::vector<std::size_t> order(patches.size());
    for (std::size_t i = 0; i < order.size(); ++i) {
        order[i] = i;
    }
    std::stable_sort(
        order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return joints[a].size() > joints[b].size(); });
    std::vector<std::optional<Place>> places(patches.size());
    std::vector<std::pair<double, LatticeSeed>> seeds;
    for (const std::size_t first : order) {
        if (places[first]) {
            continue;
        }
        std::map<std::pair<int, int>, std::size_t> taken;
        std::deque<std::size_t> open{first};
        places[first] = Place{0, 0, upright(patches[first])};
        taken[{0, 0}] = first;
        LatticeSeed seed;
        double area = 0.0;
        while (!open.empty()) {
            const std::size_t at = open.front();
            open.pop_front();
            const Place place = *places[at];
            PlacedPatch patch{place.column, place.row, {}};
            for (std::size_t s = 0; s < 4; ++s) {
                patch.corners_px[(s + static_cast<std::size_t>(place.turn)) % 4] = patches[at][s];
            }
            area += quad_area(patches[at]);
            seed.push_back(patch);
            for (const Joint& joint : joints[at]) {
                const int direction = (joint.own_side + place.turn) % 4;
                const auto& step = kSteps[static_cast<std::size_t>(direction)];
                const std::pair<int, int> next{place.column + step[0], place.row + step[1]};
                if (places[joint.other] || taken.contains(next)) {
                    continue;
                }
                places[joint.other] = Place{next.first, next.second, (direction + 2 - joint.other_side + 4) % 4};
                taken[next] = joint.other;
                open.push_back(joint.other);
            }
        }
        if (seed.size() >= least) {
            seeds.emplace_back(area, std::move(seed));
        }
    }
    std::stable_sort(seeds.begin(), seeds.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
    std::vector<LatticeSeed> result;
    for (auto& [area, seed] : seeds) {
        result.push_back(std::move(seed));
    }
    return result;
}

}  // namespace heatrow::detail
