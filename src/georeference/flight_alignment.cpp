#include "heatrow/georeference/flight_alignment.hpp"

#include "displacement_track.hpp"
#include "displacement_votes.hpp"
#include "drift_fit.hpp"
#include "heatrow/core/median.hpp"
#include "heatrow/georeference/frame_lock.hpp"
#include "height_search.hpp"

#include <Eigen/LU>

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <limits>
#include <numeric>
#include <optional>
#include <vector>

namespace heatrow {

namespace {

using detail::CoverageFrame;
using detail::DisplacementGrid;
using detail::DisplacementTrack;
using detail::DisplacementVotes;
using detail::HeightHeading;
using Eigen::Matrix2d;
using Eigen::Vector2d;
using Eigen::Vector3d;

// Frames that settle height and heading (own choice: more add time and little else).
constexpr std::size_t kHeightFrames = 8;

double shortest_side_m(const LayoutIndex& site) {
    double shortest = std::numeric_limits<double>::infinity();
    for (const ModuleType& type : site.layout().types) {
        shortest = std::min({shortest, type.width.value(), type.height.value()});
    }
    return shortest;
}

// Distance from which another placement is another one: three quarters of the shortest pitch of the lattice. Nearer
// ones are the same placement, less well centred.
double placement_distance_m(const LayoutIndex& site) {
    double distance = shortest_side_m(site);
    for (const Vector3d& pitch : {site.pitch_along(), site.pitch_across()}) {
        if (pitch.norm() > 0.0) {
            distance = std::min(distance, pitch.norm());
        }
    }
    return 0.75 * distance;
}

double seconds(UtcTime time) {
    return std::chrono::duration<double>(time.time_since_epoch()).count();
}

// Unit vector along which what turns with the flight is counted: the way it flies, since a lag of the positions lies
// along it whatever way the camera looks; the top of the picture where it hovers or that is not known.
Vector2d forward_of(const std::vector<FlightWay>& ways, const FramePrior& prior, const FramePose& pose) {
    constexpr double kHovers_m_s = 0.5;
    const std::optional<Vector2d> velocity = velocity_at(ways, prior.time);
    if (velocity && velocity->norm() > kHovers_m_s) {
        return velocity->normalized();
    }
    return {std::sin(pose.yaw.value()), std::cos(pose.yaw.value())};
}

const LayoutIndex& site_of(const ScoutFrame& frame, const LayoutIndex& flight) {
    return frame.site != nullptr ? *frame.site : flight;
}

std::vector<const ScoutFrame*> frames_by_time(std::span<const ScoutFrame> frames) {
    std::vector<const ScoutFrame*> sorted;
    for (const ScoutFrame& frame : frames) {
        if (frame.prior->pose) {
            sorted.push_back(&frame);
        }
    }
    std::stable_sort(sorted.begin(), sorted.end(), [](const ScoutFrame* a, const ScoutFrame* b) {
        return a->prior->time < b->prior->time;
    });
    return sorted;
}

HeightHeading settle_height(const LayoutIndex& site,
                            const Lens& lens,
                            const std::vector<const ScoutFrame*>& frames,
                            const AlignmentOptions& options) {
    std::vector<CoverageFrame> chosen;
    const std::size_t count = std::min(frames.size(), kHeightFrames);
    // Order by bits reversed would spread the first ones best; the middle, then outwards, does nearly as well.
    for (std::size_t i = 0; i < count; ++i) {
        const ScoutFrame& frame = *frames[((2 * ((i * 5 + 3) % count) + 1) * frames.size()) / (2 * count)];
        chosen.emplace_back(frame.counts, *frame.prior->pose, options.nodata);
    }
    return detail::find_height_and_heading(
        site,
        lens,
        chosen,
        {options.search_vertical.value(), options.search_heading, options.search_horizontal.value()},
        options.for_each);
}

// Nothing (empty votes) where the frame can see no module.
DisplacementVotes read_votes(const LayoutIndex& site,
                             const Lens& lens,
                             const ScoutFrame& frame,
                             const HeightHeading& found,
                             const DisplacementGrid& grid,
                             const AlignmentOptions& options) {
    FramePose pose = *frame.prior->pose;
    pose.position_in_site.z() += found.height_m;
    pose.yaw += found.heading;
    return {seconds(frame.prior->time),
            forward_of(options.ways, *frame.prior, pose),
            detail::votes_for_displacements(
                site, lens, frame, pose, found.warmer, grid, placement_distance_m(site), options)};
}

void set_drift(const std::vector<double>& times_s,
               const std::vector<Vector2d>& drift,
               const std::vector<Matrix2d>& covariance,
               const std::vector<double>& margins,
               FlightAlignment& alignment) {
    alignment.drift.clear();
    std::array<std::vector<double>, 2> all;
    Matrix2d mean_covariance = Matrix2d::Zero();
    for (std::size_t i = 0; i < drift.size(); ++i) {
        const auto since = std::chrono::duration<double>(times_s[i]);
        alignment.drift.push_back(
            {UtcTime(std::chrono::round<std::chrono::milliseconds>(since)), drift[i], covariance[i], margins[i]});
        all[0].push_back(drift[i].x());
        all[1].push_back(drift[i].y());
        mean_covariance += covariance[i] / static_cast<double>(drift.size());
    }
    alignment.position_correction_in_site.head<2>() = Vector2d(median_of(all[0]), median_of(all[1]));
    alignment.correction_sd.head<2>() = mean_covariance.diagonal().cwiseSqrt();
}

// How late the positions are, by least squares of: displacement along the flight = lever arm + lag x speed.
PositionLag lag_of(const std::vector<detail::DriftObservation>& observed,
                   const std::vector<double>& speeds,
                   const detail::DriftFit& fit) {
    constexpr double kLeverArmSd = 0.15;  // m: antenna over camera, and what is left of a boresight (own choice)
    Eigen::Matrix2d normal = Eigen::Matrix2d::Zero();  // lever arm, lag
    Vector2d right_side = Vector2d::Zero();
    normal(0, 0) = 1.0 / (kLeverArmSd * kLeverArmSd);
    const double weight = 1.0 / (fit.scatter_m * fit.scatter_m);
    for (std::size_t i = 0; i < observed.size(); ++i) {
        const Vector2d by(1.0, speeds[i]);
        normal += weight * by * by.transpose();
        right_side += weight * by * observed[i].forward.dot(observed[i].displacement - fit.drift[i]);
    }
    const double speed = median_of(speeds);
    PositionLag lag;
    if (speed > 0.0) {
        const Eigen::Matrix2d covariance = normal.inverse();
        lag.seconds = (covariance * right_side).y();
        // what tells the drift from it is how the flight turns, which the fit knows
        lag.u_s = std::hypot(std::sqrt(covariance(1, 1)), fit.turning_sd.x() / speed);
        lag.speed_m_s = speed;
    }
    return lag;
}

// Locks the scout frames about the placement found; what they are then off by gives drift, height and attitude anew.
void refine_on_edges(const LayoutIndex& site,
                     const Lens& lens,
                     const std::vector<const ScoutFrame*>& frames,
                     const AlignmentOptions& options,
                     FlightAlignment& alignment) {
    LockOptions lock;
    lock.position_sd = options.position_sd;
    lock.attitude_sd = options.attitude_sd;
    lock.blur_sigma_px = options.blur_sigma_px;
    lock.nodata = options.nodata;
    const double bound = 0.8 * placement_distance_m(site);  // less than two thirds of a pitch
    for (int round = 0; round < 2; ++round) {
        std::vector<detail::DriftObservation> observed;
        std::vector<double> speeds;
        std::vector<double> margins;
        std::array<std::vector<double>, 4> constants;  // height, yaw, pitch, roll
        std::vector<tl::expected<LockedFrame, Rejection>> locks(frames.size(), tl::unexpected(Rejection{}));
        options.for_each(frames.size(), [&](std::size_t i) {
            LockOptions own = lock;
            own.camera_motion_in_site = frames[i]->camera_motion_in_site;
            locks[i] =
                lock_frame(site_of(*frames[i], site), lens, *frames[i]->prior, alignment, frames[i]->counts, own);
        });
        for (std::size_t i = 0; i < frames.size(); ++i) {
            const ScoutFrame* frame = frames[i];
            const tl::expected<LockedFrame, Rejection>& locked = locks[i];
            if (!locked) {
                continue;
            }
            const ExpectedPose expected = expected_pose(alignment, *frame->prior);
            const FramePose& logged = *frame->prior->pose;
            const Vector3d off = locked->pose.position_in_site - expected.pose.position_in_site;
            if (off.head<2>().norm() > bound) {
                continue;
            }
            observed.push_back({seconds(frame->prior->time),
                                forward_of(alignment.ways, *frame->prior, expected.pose),
                                (locked->pose.position_in_site - logged.position_in_site).head<2>()});
            speeds.push_back(velocity_at(alignment.ways, frame->prior->time).value_or(Vector2d::Zero()).norm());
            margins.push_back(expected.margin);
            constants[0].push_back(locked->pose.position_in_site.z() - logged.position_in_site.z());
            constants[1].push_back(wrap_half_turn(locked->pose.yaw - logged.yaw).value());
            constants[2].push_back(wrap_half_turn(locked->pose.pitch - logged.pitch).value());
            constants[3].push_back(wrap_half_turn(locked->pose.roll - logged.roll).value());
        }
        alignment.frames_locked = static_cast<int>(observed.size());
        constexpr int kLeastLocked = 3;
        if (alignment.frames_locked < std::min(kLeastLocked, alignment.frames_used) || alignment.frames_locked == 0) {
            return;
        }
        const detail::DriftFit fit =
            detail::fit_drift(observed, options.position_sd.value(), alignment.wander_m, alignment.turning_correction);
        std::vector<double> times;
        for (const detail::DriftObservation& one : observed) {
            times.push_back(one.time_s);
        }
        set_drift(times, fit.drift, fit.covariance, margins, alignment);
        alignment.turning_correction = fit.turning;
        alignment.lag = lag_of(observed, speeds, fit);
        // Standard deviation of a median of normal values.
        const double by_count = 1.2533 / std::sqrt(static_cast<double>(observed.size()));
        alignment.position_correction_in_site.z() = median_of(constants[0]);
        alignment.correction_sd.z() = by_count * robust_sigma(constants[0]);
        for (Eigen::Index axis = 0; axis < 3; ++axis) {
            const std::vector<double>& values = constants[static_cast<std::size_t>(axis) + 1];
            alignment.attitude_correction[axis] = median_of(values);
            alignment.attitude_correction_sd[axis] = by_count * robust_sigma(values);
        }
    }
}

}  // namespace

ExpectedPose expected_pose(const FlightAlignment& alignment, const FramePrior& prior) {
    ExpectedPose expected;
    expected.pose = *prior.pose;
    FramePose& pose = expected.pose;
    pose.yaw += Radians(alignment.attitude_correction[0]);
    pose.pitch += Radians(alignment.attitude_correction[1]);
    pose.roll += Radians(alignment.attitude_correction[2]);
    expected.attitude_sd = alignment.attitude_correction_sd;
    pose.position_in_site.z() += alignment.position_correction_in_site.z();
    expected.position_covariance.diagonal() = alignment.correction_sd.cwiseAbs2();
    expected.margin = alignment.margin;
    if (alignment.drift.empty()) {
        pose.position_in_site.head<2>() += alignment.position_correction_in_site.head<2>();
    } else {
        const auto later = std::lower_bound(
            alignment.drift.begin(), alignment.drift.end(), prior.time, [](const DriftPoint& point, UtcTime time) {
                return point.time < time;
            });
        const DriftPoint& b = later == alignment.drift.end() ? alignment.drift.back() : *later;
        const DriftPoint& a = later == alignment.drift.begin() ? alignment.drift.front() : *std::prev(later);
        const double span = seconds(b.time) - seconds(a.time);
        const double t = seconds(prior.time);
        const double share = span > 0.0 ? std::clamp((t - seconds(a.time)) / span, 0.0, 1.0) : 0.5;
        // A walk between two known points (a Brownian bridge), or beyond the last one.
        const double from_a = std::abs(t - seconds(a.time));
        const double from_b = std::abs(t - seconds(b.time));
        const double free_s =
            t > seconds(a.time) && t < seconds(b.time) ? from_a * from_b / span : std::min(from_a, from_b);
        pose.position_in_site.head<2>() += (1.0 - share) * a.drift + share * b.drift;
        expected.position_covariance.topLeftCorner<2, 2>() =
            (1.0 - share) * a.covariance + share * b.covariance +
            Matrix2d::Identity() * alignment.wander_m * alignment.wander_m * free_s;
        expected.margin = std::min({alignment.margin, a.margin, b.margin});
    }
    pose.position_in_site.head<2>() +=
        detail::turned(forward_of(alignment.ways, prior, pose), alignment.turning_correction);
    return expected;
}

FlightAlignment align_flight(const LayoutIndex& site,
                             const Lens& lens,
                             std::span<const ScoutFrame> frames,
                             const AlignmentOptions& options) {
    FlightAlignment alignment;
    alignment.ways = options.ways;
    const std::vector<const ScoutFrame*> sorted = frames_by_time(frames);
    if (site.layout().modules.empty() || sorted.empty()) {
        return alignment;
    }
    const HeightHeading found = settle_height(site, lens, sorted, options);
    const double near_m = placement_distance_m(site);
    DisplacementGrid grid;
    grid.step_m = near_m / 3.0;
    grid.half = static_cast<int>(std::ceil(options.search_horizontal.value() / grid.step_m));
    std::vector<DisplacementVotes> votes;
    std::vector<double> times;
    std::vector<DisplacementVotes> read(sorted.size());
    options.for_each(sorted.size(), [&](std::size_t i) {
        read[i] = read_votes(site_of(*sorted[i], site), lens, *sorted[i], found, grid, options);
    });
    for (DisplacementVotes& one : read) {
        if (one.votes.size() > 0) {
            times.push_back(one.time_s);
            votes.push_back(std::move(one));
        }
    }
    alignment.frames_used = static_cast<int>(votes.size());
    if (votes.empty()) {
        return alignment;
    }
    const DisplacementTrack track = detail::track_displacement(votes, grid, near_m, options.for_each);
    alignment.modules_warmer = found.warmer;
    alignment.position_correction_in_site.z() = found.height_m;
    alignment.attitude_correction[0] = found.heading.value();
    alignment.turning_correction = track.turning;
    alignment.wander_m = track.wander_m;
    std::vector<Vector2d> drift;
    std::vector<Matrix2d> covariance;
    std::vector<double> margins;
    for (std::size_t i = 0; i < votes.size(); ++i) {
        drift.emplace_back(track.frames[i].mean - detail::turned(votes[i].forward, track.turning));
        covariance.push_back(track.frames[i].covariance);
        margins.push_back(std::max(0.0, track.frames[i].margin));
    }
    set_drift(times, drift, covariance, margins, alignment);
    // The last steps of the search for height and heading: half a percent, and a fifth of a degree.
    constexpr double kScaleSd = 0.004;
    alignment.correction_sd.z() = kScaleSd * sorted.front()->prior->pose->position_in_site.z();
    alignment.attitude_correction_sd = Vector3d(degrees(0.2).value(), 0.0, 0.0);
    alignment.margin = std::max(0.0, std::min(found.margin, *std::max_element(margins.begin(), margins.end())));
    refine_on_edges(site, lens, sorted, options, alignment);
    return alignment;
}

}  // namespace heatrow
