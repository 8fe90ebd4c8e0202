#include "heatrow/site/layout_index.hpp"

#include <Eigen/Geometry>

#include <algorithm>
#include <cmath>
#include <limits>

namespace heatrow {

namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

struct Side {
    Vector3d from;
    Vector3d to;
    Vector3d middle;
    Vector3d outward;
};

Side side_of(const Module& module, const Vector3d& centre, int side) {
    const Vector3d& from = module.corners_in_site[at(side)];
    const Vector3d& to = module.corners_in_site[at((side + 1) % 4)];
    const Vector3d middle = 0.5 * (from + to);
    const Vector3d along = (to - from).normalized();
    const Vector3d outward = middle - centre;
    return {from, to, middle, (outward - along * along.dot(outward)).normalized()};
}

Vector3d median_of(std::vector<Vector3d> vectors) {
    if (vectors.empty()) {
        return Vector3d::Zero();
    }
    Vector3d median;
    std::vector<double> values(vectors.size());
    for (int axis = 0; axis < 3; ++axis) {
        std::transform(vectors.begin(), vectors.end(), values.begin(), [axis](const Vector3d& v) { return v[axis]; });
        const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
        std::nth_element(values.begin(), middle, values.end());
        median[axis] = *middle;
    }
    return median;
}

}  // namespace

LayoutIndex::LayoutIndex(const Layout& layout) : layout_(&layout) {
    const std::size_t count = layout.modules.size();
    centres_.reserve(count);
    normals_.reserve(count);
    radii_.reserve(count);
    if (!layout.modules.empty()) {
        lowest_ = highest_ = layout.modules.front().corners_in_site.front().z();
    }
    for (const Module& module : layout.modules) {
        const Vector3d centre = module.centre_in_site();
        double radius = 0.0;
        for (const Vector3d& corner : module.corners_in_site) {
            radius = std::max(radius, (corner - centre).norm());
            lowest_ = std::min(lowest_, corner.z());
            highest_ = std::max(highest_, corner.z());
        }
        centres_.push_back(centre);
        normals_.push_back(module.normal_in_site());
        radii_.push_back(radius);
        largest_radius_ = std::max(largest_radius_, radius);
    }
    fill_bins();
    find_edges();
    find_pitches();
}

int LayoutIndex::bin_of(double value, int axis) const {
    const double bin = std::floor((value - low_[axis]) / bin_size_);
    return static_cast<int>(std::clamp(bin, 0.0, static_cast<double>(bins_[at(axis)] - 1)));
}

void LayoutIndex::fill_bins() {
    if (centres_.empty()) {
        bin_begin_.assign(1, 0);
        return;
    }
    low_ = centres_.front().head<2>();
    Vector2d high = low_;
    for (const Vector3d& centre : centres_) {
        low_ = low_.cwiseMin(centre.head<2>());
        high = high.cwiseMax(centre.head<2>());
    }
    // About two modules a bin on a dense field, and never many more bins than modules on a sparse one.
    bin_size_ = std::max(2.0 * largest_radius_, 1e-3);
    const double most_bins = 4.0 * static_cast<double>(centres_.size()) + 64.0;
    while (((high - low_) / bin_size_ + Vector2d::Ones()).prod() > most_bins) {
        bin_size_ *= 2.0;
    }
    for (int axis = 0; axis < 2; ++axis) {
        bins_[at(axis)] = static_cast<int>(std::floor((high[axis] - low_[axis]) / bin_size_)) + 1;
    }
    const auto bin_number = [this](const Vector3d& centre) {
        return at(bin_of(centre.y(), 1) * bins_[0] + bin_of(centre.x(), 0));
    };
    bin_begin_.assign(at(bins_[0] * bins_[1]) + 1, 0);
    for (const Vector3d& centre : centres_) {
        ++bin_begin_[bin_number(centre) + 1];
    }
    for (std::size_t bin = 1; bin < bin_begin_.size(); ++bin) {
        bin_begin_[bin] += bin_begin_[bin - 1];
    }
    std::vector<int> next(bin_begin_.begin(), bin_begin_.end() - 1);
    bin_modules_.resize(centres_.size());
    for (std::size_t module = 0; module < centres_.size(); ++module) {
        bin_modules_[at(next[bin_number(centres_[module])]++)] = static_cast<int>(module);
    }
}

std::vector<int> LayoutIndex::modules_in_box(const Vector2d& low, const Vector2d& high) const {
    std::vector<int> found;
    if (centres_.empty() || !(low.x() <= high.x()) || !(low.y() <= high.y())) {
        return found;
    }
    for (int y = bin_of(low.y(), 1); y <= bin_of(high.y(), 1); ++y) {
        for (int x = bin_of(low.x(), 0); x <= bin_of(high.x(), 0); ++x) {
            const std::size_t bin = at(y * bins_[0] + x);
            for (int i = bin_begin_[bin]; i < bin_begin_[bin + 1]; ++i) {
                const int module = bin_modules_[at(i)];
                const Vector2d centre = centres_[at(module)].head<2>();
                if ((centre.array() >= low.array()).all() && (centre.array() <= high.array()).all()) {
                    found.push_back(module);
                }
            }
        }
    }
    std::sort(found.begin(), found.end());
    return found;
}

int LayoutIndex::neighbour_at(int module, int side) const {
    const Side own = side_of(layout_->modules[at(module)], centres_[at(module)], side);
    const double length = (own.to - own.from).norm();
    const Vector2d reach = Vector2d::Constant(largest_radius_ + kWidestGap);
    int best = -1;
    double best_distance = 2.0 * kWidestGap;
    for (const int other : modules_in_box(own.middle.head<2>() - reach, own.middle.head<2>() + reach)) {
        if (other == module) {
            continue;
        }
        for (int other_side = 0; other_side < 4; ++other_side) {
            const Side theirs = side_of(layout_->modules[at(other)], centres_[at(other)], other_side);
            const Vector3d between = theirs.middle - own.middle;
            const Vector3d along = (own.to - own.from) / length;
            const double slid = std::abs(between.dot(along));
            const double apart = between.dot(own.outward);
            const double off_plane = std::abs(between.dot(along.cross(own.outward)));
            constexpr double kAlike = 0.05;  // share of the side's length
            if (theirs.outward.dot(own.outward) < -0.99 && slid < kAlike * length &&
                std::abs((theirs.to - theirs.from).norm() - length) < kAlike * length && apart > -0.02 &&
                apart < kWidestGap && off_plane < kWidestGap && between.norm() < best_distance) {
                best = other;
                best_distance = between.norm();
            }
        }
    }
    return best;
}

bool LayoutIndex::covered(const Vector2d& point) const {
    const Vector2d reach = Vector2d::Constant(largest_radius_);
    for (const int module : modules_in_box(point - reach, point + reach)) {
        const auto& corners = layout_->modules[at(module)].corners_in_site;
        int left = 0;
        for (std::size_t i = 0; i < 4; ++i) {
            const Vector2d edge = (corners[(i + 1) % 4] - corners[i]).head<2>();
            const Vector2d to_point = point - corners[i].head<2>();
            left += edge.x() * to_point.y() - edge.y() * to_point.x() > 0.0 ? 1 : 0;
        }
        if (left == 0 || left == 4) {
            return true;
        }
    }
    return false;
}

double LayoutIndex::clear_beyond(const Vector3d& middle, const Vector3d& outward) const {
    constexpr double kStep = 0.1;
    double clear = 0.0;
    for (double reached = kStep; reached < kClearLimit + 0.5 * kStep; reached += kStep) {
        if (covered((middle + reached * outward).head<2>())) {
            break;
        }
        clear = reached;
    }
    return clear;
}

// How far a neighbour's glass begins beyond `line`: gap and the neighbour's rim.
double LayoutIndex::reach_to(int neighbour, const Vector3d& middle, const Vector3d& outward) const {
    const Module& other = module(neighbour);
    double nearest = std::numeric_limits<double>::infinity();
    double gap = 0.0;
    for (int side = 0; side < 4; ++side) {
        const Side theirs = side_of(other, centres_[at(neighbour)], side);
        const double distance = (theirs.middle - middle).norm();
        if (distance < nearest) {
            nearest = distance;
            gap = std::max(0.0, (theirs.middle - middle).dot(outward));
        }
    }
    return gap + layout_->type_of(other).frame_width.value();
}

void LayoutIndex::find_edges() {
    const int count = static_cast<int>(centres_.size());
    edge_begin_.assign(1, 0);
    band_beyond_.assign(centres_.size(), {0.0, 0.0, 0.0, 0.0});
    for (int index = 0; index < count; ++index) {
        const double rim = layout_->type_of(module(index)).frame_width.value();
        for (int side = 0; side < 4; ++side) {
            const Side line = side_of(module(index), centres_[at(index)], side);
            const int neighbour = neighbour_at(index, side);
            const double beyond = neighbour >= 0 ? reach_to(neighbour, line.middle, line.outward) : 0.0;
            band_beyond_[at(index)][at(side)] = beyond;
            if (neighbour >= 0 && neighbour < index) {
                continue;  // listed under the neighbour
            }
            const Vector3d to_centre_line = line.outward * 0.5 * (beyond - rim);
            edges_.push_back({index,
                              side,
                              neighbour,
                              line.from + to_centre_line,
                              line.to + to_centre_line,
                              line.outward,
                              rim + beyond,
                              neighbour >= 0 ? 0.0 : clear_beyond(line.middle, line.outward)});
        }
        edge_begin_.push_back(static_cast<int>(edges_.size()));
    }
}

std::span<const BandEdge> LayoutIndex::edges_of(int module) const {
    const int begin = edge_begin_[at(module)];
    return std::span<const BandEdge>(edges_).subspan(at(begin), at(edge_begin_[at(module) + 1] - begin));
}

void LayoutIndex::find_pitches() {
    std::vector<Vector3d> along;
    std::vector<Vector3d> across;
    for (const BandEdge& edge : edges_) {
        if (edge.neighbour < 0) {
            continue;
        }
        const Vector3d pitch = centres_[at(edge.neighbour)] - centres_[at(edge.module)];
        // One sign for every pitch of a family, whichever of the two modules has the lower index.
        const bool sideways = edge.side % 2 == 1;
        const bool reversed = edge.side == 2 || edge.side == 3;
        (sideways ? along : across).push_back(reversed ? Vector3d(-pitch) : pitch);
    }
    pitch_along_ = median_of(std::move(along));
    pitch_across_ = median_of(std::move(across));
}

}  // namespace heatrow
