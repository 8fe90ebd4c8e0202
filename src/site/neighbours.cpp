#include "heatrow/site/neighbours.hpp"

#include <algorithm>
#include <cmath>
#include <tuple>

namespace heatrow {
namespace {

constexpr double kFlatTiltDeg = 0.5;  // docs/formats/layout.md: below it a module has no azimuth

int bucket_of(double offset_m, double bucket_m, int count) {
    return std::clamp(static_cast<int>(std::floor(offset_m / bucket_m)), 0, count - 1);
}

}  // namespace

bool are_like(const Module& a, const Module& b, const NeighbourOptions& options) {
    if (a.type != b.type || std::abs(a.tilt.value() - b.tilt.value()) > options.tilt_tolerance.value()) {
        return false;
    }
    const double flat = degrees(kFlatTiltDeg).value();
    if (a.tilt.value() < flat && b.tilt.value() < flat) {
        return true;
    }
    return std::abs(wrap_half_turn(a.azimuth - b.azimuth).value()) <= options.azimuth_tolerance.value();
}

NeighbourIndex::NeighbourIndex(const Layout& layout, const NeighbourOptions& options)
    : layout_(layout), options_(options) {
    if (layout.modules.empty()) {
        return;
    }
    centres_.reserve(layout.modules.size());
    Eigen::Vector2d highest;
    for (const auto& module : layout.modules) {
        const Eigen::Vector3d centre = module.centre_in_site();
        lowest_ =
            centres_.empty() ? Eigen::Vector2d(centre.head<2>()) : Eigen::Vector2d(lowest_.cwiseMin(centre.head<2>()));
        highest =
            centres_.empty() ? Eigen::Vector2d(centre.head<2>()) : Eigen::Vector2d(highest.cwiseMax(centre.head<2>()));
        centres_.push_back(centre);
    }
    // A few modules a bucket: an eighth of the radius, but never more buckets than modules could fill.
    const double extent = std::max(highest.x() - lowest_.x(), highest.y() - lowest_.y());
    const double most = std::sqrt(static_cast<double>(layout.modules.size()));
    bucket_m_ = std::max({options.radius.value() / 8.0, extent / (4.0 * most + 1.0), 1e-3});
    columns_ = static_cast<int>((highest.x() - lowest_.x()) / bucket_m_) + 1;
    rows_ = static_cast<int>((highest.y() - lowest_.y()) / bucket_m_) + 1;
    buckets_.resize(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_));
    for (std::size_t i = 0; i < centres_.size(); ++i) {
        const int x = bucket_of(centres_[i].x() - lowest_.x(), bucket_m_, columns_);
        const int y = bucket_of(centres_[i].y() - lowest_.y(), bucket_m_, rows_);
        buckets_[static_cast<std::size_t>(y * columns_ + x)].push_back(static_cast<int>(i));
    }
}

std::vector<NeighbourIndex::Candidate> NeighbourIndex::collect(int module,
                                                               int reach,
                                                               const std::vector<char>& eligible) const {
    const auto self = static_cast<std::size_t>(module);
    const Eigen::Vector3d& centre = centres_[self];
    const int x0 = bucket_of(centre.x() - lowest_.x(), bucket_m_, columns_);
    const int y0 = bucket_of(centre.y() - lowest_.y(), bucket_m_, rows_);
    // Complete only as far as the nearest edge of the ring.
    const double limit = std::min(options_.radius.value(), reach * bucket_m_);
    std::vector<Candidate> found;
    for (int y = std::max(0, y0 - reach); y <= std::min(rows_ - 1, y0 + reach); ++y) {
        for (int x = std::max(0, x0 - reach); x <= std::min(columns_ - 1, x0 + reach); ++x) {
            for (const int other : buckets_[static_cast<std::size_t>(y * columns_ + x)]) {
                const auto index = static_cast<std::size_t>(other);
                if (other == module || (!eligible.empty() && eligible[index] == 0)) {
                    continue;
                }
                const double distance = (centres_[index] - centre).norm();
                if (distance <= limit && are_like(layout_.modules[self], layout_.modules[index], options_)) {
                    found.push_back({distance, other});
                }
            }
        }
    }
    return found;
}

std::vector<int> NeighbourIndex::choose(int module, std::vector<Candidate> candidates) const {
    std::sort(candidates.begin(), candidates.end(), [](const Candidate& a, const Candidate& b) {
        return std::tie(a.distance_m, a.module) < std::tie(b.distance_m, b.module);
    });
    const int table = layout_.modules[static_cast<std::size_t>(module)].table;
    const auto in_table = [&](const Candidate& c) {
        return table >= 0 && layout_.modules[static_cast<std::size_t>(c.module)].table == table;
    };
    const auto own = static_cast<int>(std::count_if(candidates.begin(), candidates.end(), in_table));
    const int others = static_cast<int>(candidates.size()) - own;
    int own_left = std::max(options_.wanted / 2, options_.wanted - others);
    std::vector<int> chosen;
    for (const auto& candidate : candidates) {
        if (static_cast<int>(chosen.size()) >= options_.wanted) {
            break;
        }
        if (in_table(candidate) && own_left-- <= 0) {
            continue;
        }
        chosen.push_back(candidate.module);
    }
    return chosen;
}

std::vector<int> NeighbourIndex::nearest(int module, const std::vector<char>& eligible) const {
    const int farthest = static_cast<int>(std::ceil(options_.radius.value() / bucket_m_));
    std::vector<Candidate> candidates;
    for (int reach = 1;; reach = std::min(2 * reach, farthest)) {
        candidates = collect(module, reach, eligible);
        // Enough from other tables too, so that the choice does not depend on where the search stopped.
        const int table = layout_.modules[static_cast<std::size_t>(module)].table;
        const auto others = std::count_if(candidates.begin(), candidates.end(), [&](const Candidate& c) {
            return table < 0 || layout_.modules[static_cast<std::size_t>(c.module)].table != table;
        });
        if (reach >= farthest || others >= options_.wanted) {
            break;
        }
    }
    return choose(module, std::move(candidates));
}

}  // namespace heatrow
