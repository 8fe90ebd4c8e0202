#include "heatrow/georeference/frame_lock.hpp"

#include "heatrow/camera/posed_camera.hpp"
#include "heatrow/core/fixed_text.hpp"
#include "heatrow/edges/band_probe.hpp"
#include "place_evidence.hpp"
#include "pose_solver.hpp"
#include "predicted_lines.hpp"

#include <Eigen/LU>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>
#include <string>
#include <vector>

namespace heatrow {

namespace {

using detail::PoseObservation;
using detail::PoseSolution;
using detail::PredictedLine;
using detail::Vector6d;
using Eigen::Vector2d;
using Eigen::Vector3d;

constexpr double kRobustLimit = 4.685;  // Tukey's biweight, 95 % efficient on a normal distribution
constexpr double kTookPart = 0.1;       // weight from which a probe counts as used
constexpr double kSdFloorPx = 0.03;     // of one probe: layout and lens are not known better
constexpr int kCoarseLines = 160;
constexpr int kMostReachPx = 45;

Rejection not_locked(const std::string& detail) {
    return {RejectReason::not_locked, detail};
}

// Image shifts, at the module nearest to the middle of the picture, of one pitch along and one across.
std::vector<Vector2d> pitches_px(const LayoutIndex& site, const PosedCamera& camera, const std::vector<int>& modules) {
    const Vector2d middle(0.5 * (camera.lens().width_px - 1), 0.5 * (camera.lens().height_px - 1));
    Vector3d nearest = Vector3d::Zero();
    double distance = 1e300;
    for (const int module : modules) {
        const std::optional<Vector2d> pixel = camera.project(site.centre_in_site(module));
        if (pixel && (*pixel - middle).squaredNorm() < distance) {
            distance = (*pixel - middle).squaredNorm();
            nearest = site.centre_in_site(module);
        }
    }
    std::vector<Vector2d> pitches;
    for (const Vector3d& pitch : {site.pitch_along(), site.pitch_across()}) {
        const std::optional<Vector2d> from = camera.project(nearest);
        const std::optional<Vector2d> to = camera.project(nearest + pitch);
        if (pitch.squaredNorm() > 0.0 && from && to && (*to - *from).norm() > 1.0) {
            pitches.emplace_back(*to - *from);
        }
    }
    return pitches;
}

// The pose that moves the picture by `shift_px`, the prior deciding what of it is position and what is attitude.
FramePose shifted(const Lens& lens,
                  const FramePose& pose,
                  const Matrix6d& information,
                  const std::vector<PredictedLine>& lines,
                  const Vector2d& shift_px) {
    std::vector<PoseObservation> wanted;
    wanted.reserve(2 * lines.size());
    for (const PredictedLine& line : lines) {
        wanted.push_back({line.middle_in_site, Vector2d::UnitX(), shift_px.x(), 1.0});
        wanted.push_back({line.middle_in_site, Vector2d::UnitY(), shift_px.y(), 1.0});
    }
    const std::optional<PoseSolution> solution =
        detail::solve_pose(lens, pose, pose, information, wanted, std::numeric_limits<double>::infinity());
    return solution ? solution->pose : pose;
}

struct ProbePass {
    std::vector<PoseObservation> observations;
    int between_modules = 0;  // probes on sides between modules
    int found_between_modules = 0;
};

ProbePass probe_lines(BandProber& prober, const std::vector<PredictedLine>& lines, double free_side_sd_px) {
    ProbePass pass;
    pass.observations.reserve(lines.size());
    for (const PredictedLine& predicted : lines) {
        pass.between_modules += predicted.free_side ? 0 : 1;
        const std::optional<EdgeFix> fix = prober.probe(predicted.line);
        if (!fix) {
            continue;
        }
        pass.found_between_modules += predicted.free_side ? 0 : 1;
        const double systematic = predicted.free_side ? free_side_sd_px : kSdFloorPx;
        pass.observations.push_back(
            {predicted.middle_in_site, predicted.line.normal, fix->offset_px, std::hypot(fix->sd_px, systematic)});
    }
    return pass;
}

ProbeOptions probe_options(const LockOptions& options, double reach_px, double search_px) {
    ProbeOptions probe;
    probe.reach_px = reach_px;
    probe.search_px = search_px;
    probe.blur_sigma_px = options.blur_sigma_px;
    probe.nodata = options.nodata;
    return probe;
}

tl::expected<LockedFrame, Rejection> polish(const LayoutIndex& site,
                                            const Lens& lens,
                                            const FramePose& start,
                                            const FramePose& prior_pose,
                                            const Matrix6d& information,
                                            CountView counts,
                                            const LockOptions& options) {
    // A wide pass that catches everything, then a narrow one about its result.
    struct Pass {
        double reach_px;
        double search_px;
    };
    constexpr std::array<Pass, 2> kPasses{Pass{5.5, 4.0}, Pass{4.0, 2.5}};
    LockedFrame locked;
    locked.pose = start;
    for (const Pass& pass : kPasses) {
        const PosedCamera camera(lens, locked.pose);
        const std::vector<int> modules = detail::modules_in_view(site, camera, Metres(0.0));
        const std::vector<PredictedLine> lines = detail::predict_lines(
            site, camera, modules, pass.reach_px + 1.0, options.most_probes, options.camera_motion_in_site);
        BandProber prober(counts, probe_options(options, pass.reach_px, pass.search_px));
        const ProbePass probed = probe_lines(prober, lines, options.free_side_sd_px);
        locked.share_found = probed.between_modules > 0
                                 ? static_cast<double>(probed.found_between_modules) / probed.between_modules
                                 : 1.0;
        if (static_cast<int>(probed.observations.size()) < options.minimum_edges) {
            return tl::unexpected(not_locked(std::to_string(probed.observations.size()) + " edges found of " +
                                             std::to_string(lines.size()) + " predicted, " +
                                             std::to_string(options.minimum_edges) +
                                             " needed; check the layout, the lens and the pose"));
        }
        const std::optional<PoseSolution> solution =
            detail::solve_pose(lens, locked.pose, prior_pose, information, probed.observations, kRobustLimit);
        if (!solution) {
            return tl::unexpected(not_locked("the edges found do not fix the pose"));
        }
        locked.pose = solution->pose;
        locked.covariance = detail::to_angles(solution->pose, solution->covariance_of_change);
        double squares = 0.0;
        locked.edges_used = 0;
        for (std::size_t i = 0; i < solution->weights.size(); ++i) {
            if (solution->weights[i] > kTookPart) {
                squares += solution->residuals_px[i] * solution->residuals_px[i];
                ++locked.edges_used;
            }
        }
        locked.rms_px = locked.edges_used > 0 ? std::sqrt(squares / locked.edges_used) : kNaN;
    }
    if (locked.edges_used < options.minimum_edges || locked.share_found < options.minimum_share_found ||
        !(locked.rms_px <= options.maximum_rms_px)) {
        return tl::unexpected(not_locked(
            std::to_string(locked.edges_used) + " edges agree (" + std::to_string(options.minimum_edges) +
            " needed), " + fixed_text(100.0 * locked.share_found, 0) + " % of the gaps show one (" +
            fixed_text(100.0 * options.minimum_share_found, 0) + " % needed), rms " + fixed_text(locked.rms_px, 2) +
            " px (" + fixed_text(options.maximum_rms_px, 2) + " px allowed)"));
    }
    return locked;
}

// How far the picture moved between two poses, at the modules: median, px.
double moved_px(const LayoutIndex& site, const Lens& lens, const FramePose& a, const FramePose& b) {
    const PosedCamera camera_a(lens, a);
    const PosedCamera camera_b(lens, b);
    std::vector<double> distances;
    for (const int module : detail::modules_in_view(site, camera_a, Metres(0.0))) {
        const std::optional<Vector2d> in_a = camera_a.project(site.centre_in_site(module));
        const std::optional<Vector2d> in_b = camera_b.project(site.centre_in_site(module));
        if (in_a && in_b && inside_picture(lens, *in_a)) {
            distances.push_back((*in_a - *in_b).norm());
        }
    }
    if (distances.empty()) {
        return 0.0;
    }
    const auto middle = distances.begin() + static_cast<std::ptrdiff_t>(distances.size() / 2);
    std::nth_element(distances.begin(), middle, distances.end());
    return *middle;
}

}  // namespace

tl::expected<LockedFrame, Rejection> polish_pose(const LayoutIndex& site,
                                                 const Lens& lens,
                                                 const FramePose& start,
                                                 const Matrix6d& start_covariance,
                                                 CountView counts,
                                                 const LockOptions& options) {
    const Matrix6d information = detail::from_angles(start, start_covariance).inverse();
    if (!information.allFinite()) {
        return tl::unexpected(not_locked("the start's covariance is singular"));
    }
    return polish(site, lens, start, start, information, counts, options);
}

tl::expected<LockedFrame, Rejection> lock_frame(const LayoutIndex& site,
                                                const Lens& lens,
                                                const FramePrior& prior,
                                                const FlightAlignment& alignment,
                                                CountView counts,
                                                const LockOptions& options) {
    if (!prior.pose) {
        return tl::unexpected(Rejection{RejectReason::no_pose, "no pose was logged for this frame"});
    }
    FramePose start = *prior.pose;
    start.position_in_site += alignment.position_correction_in_site;
    const PosedCamera camera(lens, start);
    const std::vector<int> modules = detail::modules_in_view(site, camera, Metres(0.0));
    const double pixel_m = detail::pixel_size_m(site, camera, modules);
    const double shift_sd_px =
        std::hypot(options.position_sd.value() / pixel_m, options.attitude_sd.value() * lens.focal_px);
    const std::vector<PredictedLine> lines =
        detail::predict_lines(site, camera, modules, 1.0, kCoarseLines, options.camera_motion_in_site);
    if (lines.empty()) {
        return tl::unexpected(
            Rejection{RejectReason::sees_nothing, "no module of the layout lies in the picture at its logged pose"});
    }
    const std::vector<Vector2d> pitches = pitches_px(site, camera, modules);
    const Matrix6d information = detail::prior_information(start, options.position_sd, options.attitude_sd);

    detail::LatticeSearch search;
    search.shift_sd_px = std::max(shift_sd_px, 0.5);
    search.reach_px = std::clamp(static_cast<int>(std::ceil(3.0 * shift_sd_px)), 3, kMostReachPx);
    search.pitches_px = pitches;
    BandProber prober(counts, probe_options(options, 4.0, 2.5));
    const detail::GroundEvidence ground(site, camera, modules, counts, options.nodata);
    const detail::LatticePlace place = detail::find_place(prober, lines, ground, search);
    const FramePose placed = shifted(lens, start, information, lines, place.shift_px);

    tl::expected<LockedFrame, Rejection> locked = polish(site, lens, placed, start, information, counts, options);
    if (!locked) {
        return locked;
    }
    double bound = 0.45 * static_cast<double>(kMostReachPx);
    for (const Vector2d& pitch : pitches) {
        bound = std::min(bound, 0.45 * pitch.norm());
    }
    const double slid = moved_px(site, lens, placed, locked->pose);
    if (slid > bound) {
        return tl::unexpected(not_locked("the edges pulled the picture " + fixed_text(slid, 1) +
                                         " px from where the lattice was found, " + fixed_text(bound, 1) +
                                         " px allowed"));
    }
    locked->slip_margin = place.slip_margin;
    return locked;
}

}  // namespace heatrow
