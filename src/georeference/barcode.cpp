#include "heatrow/georeference/barcode.hpp"

#include "heatrow/core/median.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

namespace heatrow {

namespace {

constexpr int kSmoothReach = 3;    // modules to each side whose median is the smooth part
constexpr double kDrawIn = 2.5;    // standard deviations from which on a mean is drawn in: faults
constexpr std::size_t kLeast = 4;  // modules

// Less the median of the modules near it on its row.
std::vector<BarcodeCell> without_smooth_part(const std::vector<BarcodeCell>& cells) {
    std::vector<BarcodeCell> result = cells;
    std::vector<double> nearby;
    for (std::size_t i = 0; i < cells.size(); ++i) {
        nearby.clear();
        for (const BarcodeCell& other : cells) {
            if (other.place.across == cells[i].place.across &&
                std::abs(other.place.along - cells[i].place.along) <= kSmoothReach) {
                nearby.push_back(other.mean);
            }
        }
        result[i].mean = cells[i].mean - take_median(nearby);
    }
    return result;
}

}  // namespace

Barcode::Barcode(std::vector<BarcodeCell> cells) {
    if (cells.size() < kLeast) {
        return;
    }
    std::sort(cells.begin(), cells.end(), [](const BarcodeCell& a, const BarcodeCell& b) { return a.place < b.place; });
    cells = without_smooth_part(cells);
    std::vector<double> sizes;
    for (const BarcodeCell& cell : cells) {
        sizes.push_back(std::abs(cell.mean));
    }
    const double sd = kSigmaOverMad * take_median(sizes);
    if (!(sd > 0.0)) {
        return;
    }
    for (BarcodeCell& cell : cells) {
        cell.mean = std::clamp(cell.mean / sd, -kDrawIn, kDrawIn);
    }
    cells_ = std::move(cells);
}

std::vector<RelativeVote> compare_barcodes(std::span<const BarcodeCell> a,
                                           std::span<const BarcodeCell> b,
                                           LatticeOffset guess,
                                           const OffsetWindow& reach,
                                           const BarcodeOptions& options) {
    std::vector<RelativeVote> votes;
    votes.reserve(static_cast<std::size_t>(reach.size()));
    for (int along = -reach.along; along <= reach.along; ++along) {
        for (int across = -reach.across; across <= reach.across; ++across) {
            const LatticeOffset relative = guess + LatticeOffset{along, across};
            // The same module: place in a + offset of a = place in b + offset of b.
            double products = 0.0;
            double squares_a = 0.0;
            double squares_b = 0.0;
            int common = 0;
            auto other = b.begin();
            for (const BarcodeCell& cell : a) {
                const LatticeOffset wanted = cell.place - relative;
                while (other != b.end() && other->place < wanted) {
                    ++other;
                }
                if (other != b.end() && other->place == wanted) {
                    products += cell.mean * other->mean;
                    squares_a += cell.mean * cell.mean;
                    squares_b += other->mean * other->mean;
                    ++common;
                }
            }
            double gain = 0.0;
            if (common >= options.least_common && products > 0.0) {
                // One pair's worth of disagreement is added, so that few modules cannot agree perfectly.
                const double explained = products * products / ((squares_a + 1.0) * (squares_b + 1.0));
                gain = -0.5 * options.independent_share * common * std::log1p(-explained);
            }
            votes.push_back({relative, gain});
        }
    }
    return votes;
}

std::vector<std::pair<int, int>> choose_pairs(std::span<const Eigen::Vector2d> positions_m,
                                              double largest_distance_m,
                                              const PairOptions& options) {
    std::vector<std::pair<int, int>> pairs;
    // Frames seen so far, in squares as wide as the largest distance.
    std::map<std::pair<int, int>, std::vector<int>> squares;
    const auto square_of = [&](const Eigen::Vector2d& position) {
        return std::pair(static_cast<int>(std::floor(position.x() / largest_distance_m)),
                         static_cast<int>(std::floor(position.y() / largest_distance_m)));
    };
    std::vector<std::pair<double, int>> nearest;
    for (int b = 0; b < static_cast<int>(positions_m.size()); ++b) {
        const Eigen::Vector2d& own = positions_m[static_cast<std::size_t>(b)];
        if (!own.allFinite()) {
            continue;
        }
        nearest.clear();
        const auto [x, y] = square_of(own);
        for (int dx = -1; dx <= 1; ++dx) {
            for (int dy = -1; dy <= 1; ++dy) {
                const auto found = squares.find({x + dx, y + dy});
                if (found == squares.end()) {
                    continue;
                }
                for (const int a : found->second) {
                    const double distance = (positions_m[static_cast<std::size_t>(a)] - own).norm();
                    if (distance > largest_distance_m) {
                        continue;
                    }
                    if (b - a <= options.next_in_time) {
                        pairs.emplace_back(a, b);
                    } else if (b - a >= options.pass_frames) {
                        nearest.emplace_back(distance, a);
                    }
                }
            }
        }
        std::sort(nearest.begin(), nearest.end());
        for (std::size_t i = 0; i < nearest.size() && i < static_cast<std::size_t>(options.of_other_passes); ++i) {
            pairs.emplace_back(nearest[i].second, b);
        }
        squares[{x, y}].push_back(b);
    }
    std::sort(pairs.begin(), pairs.end());
    return pairs;
}

std::vector<FrameTie> tie_frames(const FlightEvidence& flight,
                                 std::span<const Eigen::Vector2d> middles_m,
                                 double largest_distance_m,
                                 const PositionOptions& positions) {
    constexpr double kStandardDeviations = 3.0;
    constexpr int kLeastReach = 3;
    std::vector<FrameTie> ties;
    for (const auto& [a, b] : choose_pairs(middles_m, largest_distance_m)) {
        const auto first = static_cast<std::size_t>(a);
        const auto second = static_cast<std::size_t>(b);
        const double sd = std::sqrt(positions.change_variance_m2(flight.frames[first], flight.frames[second]));
        const auto reach = [sd](double pitch_m, int least) {
            return pitch_m > 0.0 ? std::max(least, static_cast<int>(std::ceil(kStandardDeviations * sd / pitch_m))) : 0;
        };
        const OffsetWindow window{reach(flight.pitch_along_m, kLeastReach), reach(flight.pitch_across_m, 1)};
        ties.push_back(
            {a, b, compare_barcodes(flight.frames[first].barcode, flight.frames[second].barcode, {0, 0}, window)});
    }
    return ties;
}

}  // namespace heatrow
