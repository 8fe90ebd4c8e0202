#include "displacement_votes.hpp"

#include "coverage_match.hpp"
#include "heatrow/camera/posed_camera.hpp"
#include "heatrow/georeference/control.hpp"
#include "height_search.hpp"

#include <Eigen/LU>

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>
#include <vector>

namespace heatrow::detail {

namespace {

using Eigen::ArrayXXf;
using Eigen::Vector2d;
using Eigen::Vector3d;

constexpr double kBlockM = 0.2;
// What one frame says between places counts only beyond this: pixels that happen to fall a little better on one of two
// equal places are no witness, and many frames must not add up to one. Natural log units (own choice).
constexpr float kSilence = 3.0F;

// What a parabola through three neighbours rises above the middle one; 0 unless that is the highest.
float rise_between(float before, float here, float after) {
    const float bend = 2.0F * here - before - after;
    return here >= before && here >= after && bend > 0.0F ? (after - before) * (after - before) / (8.0F * bend) : 0.0F;
}

// Whole-block shifts pass the crest of an even row now on it, now half a block beside it; each gets the height of the
// crest that runs past it.
ArrayXXf with_crests(const ArrayXXf& gain) {
    ArrayXXf crests = gain;
    for (Eigen::Index y = 0; y < gain.cols(); ++y) {
        for (Eigen::Index x = 0; x < gain.rows(); ++x) {
            float rise = 0.0F;
            if (x > 0 && x + 1 < gain.rows()) {
                rise = rise_between(gain(x - 1, y), gain(x, y), gain(x + 1, y));
            }
            if (y > 0 && y + 1 < gain.cols()) {
                rise = std::max(rise, rise_between(gain(x, y - 1), gain(x, y), gain(x, y + 1)));
            }
            crests(x, y) += rise;
        }
    }
    return crests;
}

// Scores to votes: probabilities blurred by the scatter of logged poses, with a floor for frames that show something
// else, and a plateau where places do nearly as well as the best.
ArrayXXf votes_of(const ArrayXXf& gain, double scatter, double outliers) {
    const ArrayXXf likely = (gain - gain.maxCoeff()).exp();
    const float outlying = static_cast<float>(outliers / static_cast<double>(gain.size()));
    const ArrayXXf votes =
        ((1.0F - static_cast<float>(outliers)) * detail::smoothed(likely / likely.sum(), scatter) + outlying).log();
    return votes.min(votes.maxCoeff() - kSilence);
}

// What a mark says of a frame's displacement.
struct KnownDisplacement {
    Vector2d metres{0.0, 0.0};
    double sd_m = 0.0;
};
std::vector<KnownDisplacement> known_displacements(const PosedCamera& camera,
                                                   const ScoutFrame& frame,
                                                   double scatter_m) {
    constexpr double kHeightShare = 0.01;  // the height is not yet known better; off the middle that moves what is seen
    std::vector<KnownDisplacement> known;
    for (const ControlMark& mark : frame.marks) {
        if (const std::optional<Vector2d> displacement = displacement_to(camera, mark)) {
            const double below_m = camera.position_in_site().z() - mark.point_in_site.z();
            known.push_back({*displacement, Vector3d(mark.sd_m, scatter_m, kHeightShare * below_m).norm()});
        }
    }
    return known;
}

// A normal distribution, bounded: a wrong mark must not outweigh what a flight shows (own choice).
double vote_of_marks(const std::vector<KnownDisplacement>& known, const Vector2d& displacement) {
    constexpr double kMostVote = 20.0;
    double vote = 0.0;
    for (const KnownDisplacement& one : known) {
        const double off = (displacement - one.metres).norm() / one.sd_m;
        vote -= std::min(kMostVote, 0.5 * off * off);
    }
    return vote;
}

// Places that do better than all others within `reach` cells, the best first.
std::vector<Vector2d> summits(const ArrayXXf& gain, double reach) {
    constexpr std::size_t kMost = 8;
    constexpr float kNoRival = 15.0F;  // so far below the best a place gains nothing by a closer look (own choice)
    std::vector<std::pair<float, Vector2d>> highest;
    const float least = gain.maxCoeff() - kNoRival;
    for (Eigen::Index y = 0; y < gain.cols(); ++y) {
        for (Eigen::Index x = 0; x < gain.rows(); ++x) {
            if (gain(x, y) > least) {
                highest.emplace_back(gain(x, y), Vector2d(static_cast<double>(x), static_cast<double>(y)));
            }
        }
    }
    std::stable_sort(highest.begin(), highest.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
    std::vector<Vector2d> found;
    for (const auto& [value, place] : highest) {
        const Vector2d& here = place;
        if (std::none_of(
                found.begin(), found.end(), [&](const Vector2d& one) { return (one - here).norm() < reach; })) {
            found.push_back(here);
            if (found.size() == kMost) {
                break;
            }
        }
    }
    return found;
}

// A shifted picture shows tilted rows as wide as they look from the logged position, not as from where it would have
// been taken: every summit is looked at from there, and what lies about it rises or sinks with it.
void look_from_summits(CoverageFrame& coverage,
                       const LayoutIndex& site,
                       const Lens& lens,
                       const FramePose& pose,
                       const CoverageFrame::Match& match,
                       bool warmer,
                       double near_m,
                       double blur_m,
                       ArrayXXf& gain) {
    const std::vector<Vector2d> places = summits(gain, 2.0 * near_m / match.block_m);
    std::vector<float> rise;
    for (const Vector2d& place : places) {
        FramePose there = pose;
        there.position_in_site.head<2>() +=
            match.shift_by_displacement.inverse() * (place.array() - match.reach).matrix();
        const CoverageFrame::Match closer = coverage.match(site, lens, there, kBlockM, 0.5 * near_m, blur_m);
        const auto x = static_cast<Eigen::Index>(place.x());
        const auto y = static_cast<Eigen::Index>(place.y());
        rise.push_back(closer.empty() ? 0.0F : with_crests(closer.gain(warmer)).maxCoeff() - gain(x, y));
    }
    for (Eigen::Index y = 0; y < gain.cols(); ++y) {
        for (Eigen::Index x = 0; x < gain.rows(); ++x) {
            const Vector2d here(static_cast<double>(x), static_cast<double>(y));
            const auto nearest =
                std::min_element(places.begin(), places.end(), [&](const Vector2d& a, const Vector2d& b) {
                    return (a - here).squaredNorm() < (b - here).squaredNorm();
                });
            gain(x, y) += rise[static_cast<std::size_t>(nearest - places.begin())];
        }
    }
}

}  // namespace

ArrayXXf votes_for_displacements(const LayoutIndex& site,
                                 const Lens& lens,
                                 const ScoutFrame& frame,
                                 const FramePose& pose,
                                 bool warmer,
                                 const DisplacementGrid& grid,
                                 double near_m,
                                 const AlignmentOptions& options) {
    const double blur_m = 0.5 * near_m;
    CoverageFrame coverage(frame.counts, pose, options.nodata);
    const double scatter_m = std::hypot(
        options.position_sd.value(),
        options.attitude_sd.value() * (pose.position_in_site.z() - 0.5 * (site.lowest_m() + site.highest_m())));
    const CoverageFrame::Match match =
        coverage.match(site, lens, pose, kBlockM, options.search_horizontal.value() + 2.0 * scatter_m, blur_m);
    if (match.empty()) {
        return {};
    }
    ArrayXXf gain = with_crests(match.gain(warmer));
    look_from_summits(coverage, site, lens, pose, match, warmer, near_m, blur_m, gain);
    const ArrayXXf all = votes_of(gain, scatter_m / match.block_m, options.outlier_share);
    ArrayXXf votes(grid.size(), grid.size());
    const std::vector<KnownDisplacement> known = known_displacements(PosedCamera(lens, pose), frame, scatter_m);
    for (Eigen::Index north = 0; north < grid.size(); ++north) {
        for (Eigen::Index east = 0; east < grid.size(); ++east) {
            const Vector2d shift = match.shift_by_displacement * grid.at(east, north);
            votes(east, north) = static_cast<float>(interpolated(all, shift.array() + match.reach) +
                                                    vote_of_marks(known, grid.at(east, north)));
        }
    }
    return votes;
}

}  // namespace heatrow::detail
