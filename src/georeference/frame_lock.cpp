#include "heatrow/georeference/frame_lock.hpp"

#include "edge_observations.hpp"
#include "heatrow/camera/posed_camera.hpp"
#include "heatrow/core/fixed_text.hpp"
#include "heatrow/core/median.hpp"
#include "heatrow/edges/band_probe.hpp"
#include "lattice_votes.hpp"
#include "measured_motion.hpp"
#include "phase_search.hpp"
#include "pose_solver.hpp"
#include "predicted_lines.hpp"
#include "table_shifts.hpp"

#include <Eigen/LU>

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <limits>
#include <optional>
#include <string>
#include <utility>
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
constexpr double kMostGain = 25.0;      // of one probe in the comparison of phases, natural log units
constexpr int kCoarseLines = 160;
constexpr int kMostReachPx = 45;
constexpr double kMostContradicted = 0.34;  // beyond a third it is open which part is right (own choice)
constexpr double kFarthest = 6.0;           // standard deviations of a lock from what was expected (own choice)

Rejection not_locked(const std::string& detail) {
    return {RejectReason::not_locked, detail};
}

// Centre of the module nearest to the middle of the picture.
Vector3d middle_module(const LayoutIndex& site, const PosedCamera& camera, const std::vector<int>& modules) {
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
    return nearest;
}

// Image shifts there of one pitch along and one across.
std::vector<Vector2d> pitches_px(const LayoutIndex& site, const PosedCamera& camera, const Vector3d& place) {
    std::vector<Vector2d> pitches;
    for (const Vector3d& pitch : {site.pitch_along(), site.pitch_across()}) {
        const std::optional<Vector2d> from = camera.project(place);
        const std::optional<Vector2d> to = camera.project(place + pitch);
        if (pitch.squaredNorm() > 0.0 && from && to && (*to - *from).norm() > 1.0) {
            pitches.emplace_back(*to - *from);
        }
    }
    return pitches;
}

// Of the expected pose of a frame: position, yaw, pitch, roll.
Matrix6d prior_covariance(const ExpectedPose& expected, const LockOptions& options) {
    Matrix6d covariance = Matrix6d::Zero();
    covariance.topLeftCorner<3, 3>() = expected.position_covariance;
    covariance.diagonal().head<3>().array() += options.position_sd.value() * options.position_sd.value();
    covariance.diagonal().tail<3>() =
        expected.attitude_sd.array().square() + options.attitude_sd.value() * options.attitude_sd.value();
    return covariance;
}

// Of the shift of the whole picture, px2: position and the two turns that tilt the camera.
Eigen::Matrix2d shift_covariance_px(const PosedCamera& camera, const Matrix6d& covariance, double pixel_m) {
    const Eigen::Matrix<double, 2, 3> by_position = camera.camera_from_site_rotation().topRows<2>() / pixel_m;
    const double tilt_px = camera.lens().focal_px * std::sqrt(covariance.diagonal().tail<2>().maxCoeff());
    constexpr double kLeastSdPx = 0.5;
    return by_position * covariance.topLeftCorner<3, 3>() * by_position.transpose() +
           Eigen::Matrix2d::Identity() * (tilt_px * tilt_px + kLeastSdPx * kLeastSdPx);
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
    std::vector<double> gains;  // of each observation, capped
    int between_modules = 0;    // probes on sides between modules
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
        pass.gains.push_back(std::min(fix->gain, kMostGain));
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

struct Polished {
    LockedFrame frame;
    double support = 0.0;             // of the edges that agree, natural log units
    double contradicted_share = 0.0;  // of the modules in view
};

tl::expected<Polished, Rejection> polish(const LayoutIndex& site,
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
    Polished polished;
    LockedFrame& locked = polished.frame;
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
        polished.support = 0.0;
        for (std::size_t i = 0; i < solution->weights.size(); ++i) {
            if (solution->weights[i] > kTookPart) {
                squares += solution->residuals_px[i] * solution->residuals_px[i];
                ++locked.edges_used;
                polished.support += solution->weights[i] * probed.gains[i];
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
    return polished;
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
    return distances.empty() ? 0.0 : take_median(distances);
}

// The same frame with the motion that its picture shows, where that is another than the log's: a trail that is not
// expected pulls edges by up to ln 2 of it. Nothing else is changed where there is none, or where it does not hold.
void take_measured_motion(const LayoutIndex& site,
                          const Lens& lens,
                          const FramePose& prior_pose,
                          const Matrix6d& information,
                          CountView counts,
                          LockOptions& options,
                          Polished& polished) {
    if (!options.measures_motion) {
        return;
    }
    const auto motion = detail::measured_motion(site, PosedCamera(lens, polished.frame.pose), counts, options);
    if (!motion) {
        return;
    }
    LockOptions moving = options;
    moving.camera_motion_in_site = *motion;
    auto again = polish(site, lens, polished.frame.pose, prior_pose, information, counts, moving);
    if (again && again->support > polished.support) {
        polished = std::move(*again);
        polished.frame.measured_motion_in_site = motion;
        options = moving;
    }
}

// What is known of a frame before its edges are looked at.
struct Start {
    FramePose pose;
    Matrix6d information;               // of a change of the pose
    Eigen::Matrix2d shift_information;  // of a shift of the picture, 1/px2
    Vector3d place{0.0, 0.0, 0.0};      // where shifts are measured
    double most_slide_px = 0.0;         // a polish that goes further has left its lattice place
};

// Natural log of the prior probability of a pose, by how far it shifts the picture.
double log_prior(const Lens& lens, const Start& start, const FramePose& pose) {
    const std::optional<Vector2d> before = PosedCamera(lens, start.pose).project(start.place);
    const std::optional<Vector2d> after = PosedCamera(lens, pose).project(start.place);
    if (!before || !after) {
        return -std::numeric_limits<double>::infinity();
    }
    const Vector2d shift = *after - *before;
    return -0.5 * shift.dot(start.shift_information * shift);
}

tl::expected<Polished, Rejection> polish_near(const LayoutIndex& site,
                                              const Lens& lens,
                                              const FramePose& placed,
                                              const Start& start,
                                              CountView counts,
                                              const LockOptions& options) {
    tl::expected<Polished, Rejection> polished =
        polish(site, lens, placed, start.pose, start.information, counts, options);
    if (!polished) {
        return polished;
    }
    const double slid = moved_px(site, lens, placed, polished->frame.pose);
    if (slid > start.most_slide_px) {
        return tl::unexpected(not_locked("the edges pulled the picture " + fixed_text(slid, 1) +
                                         " px from where the lattice was found, " + fixed_text(start.most_slide_px, 1) +
                                         " px allowed"));
    }
    return polished;
}

// Votes for the places on the lattice that the prior does not rule out, and for the nearest ones even then: the
// flight's placement may itself rest on what few frames saw. Where the flight does not tell its place along the rows,
// its drift is known to centimetres on whatever place it took, and all within reach are asked. The best other place
// sets the slip margin. Returns the place that is more probable than the locked one, (0, 0) where there is none.
std::pair<int, int> vote_on_places(const LayoutIndex& site,
                                   const Lens& lens,
                                   const Start& start,
                                   double flight_margin,
                                   CountView counts,
                                   const LockOptions& options,
                                   Polished& polished) {
    constexpr int kMostAlong = 8;
    constexpr int kMostAcross = 2;
    constexpr double kRuledOut = 14.0;  // natural log units below the best place
    constexpr std::size_t kMostPlaces = 24;
    LockedFrame& frame = polished.frame;
    ProbeOptions probe = probe_options(options, 4.0, 2.5);
    probe.levels = true;
    BandProber prober(counts, probe);
    detail::LatticeVoter voter(site, lens, frame.pose, prober, options.camera_motion_in_site);
    struct Place {
        int along;
        int across;
        double prior;
    };
    const double prior_here = log_prior(lens, start, frame.pose);
    double best_prior = prior_here;
    std::vector<Place> places;
    const int most_along = site.pitch_along().norm() > 0.0 ? kMostAlong : 0;
    const int most_across = site.pitch_across().norm() > 0.0 ? kMostAcross : 0;
    for (int along = -most_along; along <= most_along; ++along) {
        for (int across = -most_across; across <= most_across; ++across) {
            if (along != 0 || across != 0) {
                places.push_back({along, across, log_prior(lens, start, voter.at(along, across))});
                best_prior = std::max(best_prior, places.back().prior);
            }
        }
    }
    constexpr double kTells = 6.0;  // natural log, of the flight's placement (own choice)
    const int near_along = flight_margin < kTells ? kMostAlong : 2;
    constexpr int kNearAcross = 1;
    const auto is_near = [near_along](const Place& place) {
        return (place.across == 0 && std::abs(place.along) <= near_along) ||
               (place.along == 0 && std::abs(place.across) <= kNearAcross);
    };
    std::erase_if(places,
                  [&](const Place& place) { return !(is_near(place) || place.prior > best_prior - kRuledOut); });
    std::stable_sort(places.begin(), places.end(), [](const Place& a, const Place& b) { return a.prior > b.prior; });
    if (places.size() > kMostPlaces) {
        const std::vector<Place> left(places.begin() + kMostPlaces, places.end());
        places.resize(kMostPlaces);
        std::copy_if(left.begin(), left.end(), std::back_inserter(places), is_near);
    }
    frame.contradicted = voter.contradicted();
    polished.contradicted_share = static_cast<double>(frame.contradicted.size()) /
                                  static_cast<double>(std::max<std::size_t>(1, voter.module_count()));
    std::pair<int, int> best{0, 0};
    double best_score = prior_here;
    frame.slip_margin = std::numeric_limits<double>::infinity();
    frame.votes.clear();
    for (const Place& place : places) {
        double score = place.prior;
        for (const PlaceVote& vote : voter.vote(place.along, place.across)) {
            score += vote.log_likelihood;
            frame.votes.push_back(vote);
        }
        frame.slip_margin = std::min(frame.slip_margin, prior_here - score);
        if (score > best_score) {
            best = {place.along, place.across};
            best_score = score;
        }
    }
    std::stable_sort(frame.votes.begin(), frame.votes.end(), [](const PlaceVote& a, const PlaceVote& b) {
        return std::pair(a.along, a.across) < std::pair(b.along, b.across);
    });
    return best;
}

// Tables that are not where they are drawn, among the shifts, where they have none.
void add_contradicted(const LayoutIndex& site, LockedFrame& frame) {
    const auto by_table = [](const TableShift& a, const TableShift& b) { return a.table < b.table; };
    for (const int module : frame.contradicted) {
        const TableShift none{site.module(module).table, kNaN};
        const auto at = std::lower_bound(frame.table_shifts.begin(), frame.table_shifts.end(), none, by_table);
        if (none.table >= 0 && (at == frame.table_shifts.end() || at->table != none.table)) {
            frame.table_shifts.insert(at, none);
        }
    }
}

}  // namespace

std::vector<PoseObservation> detail::edge_observations(
    const LayoutIndex& site, const Lens& lens, const FramePose& pose, CountView counts, const LockOptions& options) {
    constexpr double kReachPx = 4.0;
    constexpr double kSearchPx = 2.5;
    const PosedCamera camera(lens, pose);
    const std::vector<PredictedLine> lines = detail::predict_lines(site,
                                                                   camera,
                                                                   detail::modules_in_view(site, camera, Metres(0.0)),
                                                                   kReachPx + 1.0,
                                                                   options.most_probes,
                                                                   options.camera_motion_in_site);
    BandProber prober(counts, probe_options(options, kReachPx, kSearchPx));
    return probe_lines(prober, lines, options.free_side_sd_px).observations;
}

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
    tl::expected<Polished, Rejection> polished = polish(site, lens, start, start, information, counts, options);
    if (!polished) {
        return tl::unexpected(polished.error());
    }
    LockOptions own = options;
    take_measured_motion(site, lens, start, information, counts, own, *polished);
    return polished->frame;
}

tl::expected<LockedFrame, Rejection> lock_frame(const LayoutIndex& site,
                                                const Lens& lens,
                                                const FramePrior& prior,
                                                const FlightAlignment& alignment,
                                                CountView counts,
                                                const LockOptions& stated) {
    LockOptions options = stated;
    if (!prior.pose) {
        return tl::unexpected(Rejection{RejectReason::no_pose, "no pose was logged for this frame"});
    }
    const ExpectedPose expected = expected_pose(alignment, prior);
    const PosedCamera camera(lens, expected.pose);
    const std::vector<int> modules = detail::modules_in_view(site, camera, Metres(0.0));
    const std::vector<PredictedLine> lines =
        detail::predict_lines(site, camera, modules, 1.0, kCoarseLines, options.camera_motion_in_site);
    if (lines.empty()) {
        return tl::unexpected(
            Rejection{RejectReason::sees_nothing, "no module of the layout lies in the picture at its logged pose"});
    }
    const Matrix6d covariance = prior_covariance(expected, options);
    const Eigen::Matrix2d shift_covariance =
        shift_covariance_px(camera, covariance, detail::pixel_size_m(site, camera, modules));
    Start start;
    start.pose = expected.pose;
    start.information = detail::from_angles(expected.pose, covariance).inverse();
    start.shift_information = shift_covariance.inverse();
    start.place = middle_module(site, camera, modules);
    detail::PhaseSearch search;
    search.shift_information = start.shift_information;
    search.reach_px = std::clamp(
        static_cast<int>(std::ceil(3.0 * std::sqrt(shift_covariance.diagonal().maxCoeff()))), 3, kMostReachPx);
    search.pitches_px = pitches_px(site, camera, start.place);
    start.most_slide_px = 0.45 * static_cast<double>(kMostReachPx);
    for (const Vector2d& pitch : search.pitches_px) {
        start.most_slide_px = std::min(start.most_slide_px, 0.45 * pitch.norm());
    }

    BandProber prober(counts, probe_options(options, 4.0, 2.5));
    tl::expected<Polished, Rejection> best = tl::unexpected(not_locked(""));
    for (const Vector2d& shift : detail::find_phases(prober, lines, search)) {
        const FramePose placed = shifted(lens, start.pose, start.information, lines, shift);
        tl::expected<Polished, Rejection> polished = polish_near(site, lens, placed, start, counts, options);
        const bool first = !best && best.error().detail.empty();
        if (first || (polished && (!best || polished->support > best->support))) {
            best = std::move(polished);
        }
    }
    if (best) {
        take_measured_motion(site, lens, start.pose, start.information, counts, options, *best);
    }
    constexpr int kMostMoves = 3;
    for (int move = 0; best && move < kMostMoves; ++move) {
        const auto [along, across] = vote_on_places(site, lens, start, expected.margin, counts, options, *best);
        if ((along == 0 && across == 0) || move + 1 == kMostMoves) {
            break;
        }
        FramePose there = best->frame.pose;
        there.position_in_site += along * site.pitch_along() + across * site.pitch_across();
        tl::expected<Polished, Rejection> moved = polish_near(site, lens, there, start, counts, options);
        if (!moved) {
            break;
        }
        moved->frame.measured_motion_in_site = best->frame.measured_motion_in_site;
        best = std::move(moved);
    }
    if (!best) {
        return tl::unexpected(best.error());
    }
    if (best->contradicted_share > kMostContradicted) {
        return tl::unexpected(
            not_locked(fixed_text(100.0 * best->contradicted_share, 0) +
                       " % of the modules in view are not where the layout has them beside the others, " +
                       fixed_text(100.0 * kMostContradicted, 0) + " % allowed; check the layout"));
    }
    const Vector6d off = detail::change_between(start.pose, best->frame.pose);
    const double distance = std::sqrt(off.dot(start.information * off));
    if (distance > kFarthest) {
        return tl::unexpected(not_locked("the pose that fits the edges lies " + fixed_text(distance, 1) +
                                         " standard deviations from the expected one, " + fixed_text(kFarthest, 1) +
                                         " allowed"));
    }
    best->frame.table_shifts =
        detail::table_shifts(site, PosedCamera(lens, best->frame.pose), prober, options.camera_motion_in_site);
    add_contradicted(site, best->frame);
    return best->frame;
}

}  // namespace heatrow
