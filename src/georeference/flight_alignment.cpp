#include "heatrow/georeference/flight_alignment.hpp"

#include "coverage_match.hpp"
#include "heatrow/camera/posed_camera.hpp"
#include "heatrow/georeference/frame_lock.hpp"
#include "predicted_lines.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <vector>

namespace heatrow {

namespace {

using Eigen::ArrayXXf;
using Eigen::Vector2d;
using Eigen::Vector3d;

constexpr double kBlocksPerModule = 6.0;  // along a module's short side
constexpr int kLargestBlockPx = 12;

// One frame's votes at one height: log probability of each shift of the picture, in blocks.
struct FrameVotes {
    ArrayXXf warmer;
    ArrayXXf cooler;
};

struct VotingFrame {
    // Shift in blocks that a change of position makes: 2 x 3.
    Eigen::Matrix<double, 2, 3> shift_by_position;
    int reach = 0;
    std::vector<FrameVotes> by_height;
};

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

std::vector<double> height_steps(const AlignmentOptions& options) {
    constexpr double kStep = 0.5;  // m: at 20 m a step changes the scale by 2.5 %, half of that is left at most
    const int half = static_cast<int>(std::ceil(options.search_vertical.value() / kStep - 1e-9));
    std::vector<double> steps;
    for (int i = -half; i <= half; ++i) {
        steps.push_back(half > 0 ? options.search_vertical.value() * i / half : 0.0);
    }
    return steps;
}

// Convolution with a Gaussian of `sd` blocks along both axes; outside counts as nothing.
ArrayXXf smoothed(const ArrayXXf& values, double sd) {
    const int half = std::max(1, static_cast<int>(std::ceil(3.0 * sd)));
    std::vector<float> kernel;
    double sum = 0.0;
    for (int i = -half; i <= half; ++i) {
        kernel.push_back(static_cast<float>(std::exp(-0.5 * i * i / (sd * sd))));
        sum += static_cast<double>(kernel.back());
    }
    const auto along_first = [&](const ArrayXXf& in) {
        ArrayXXf out = ArrayXXf::Zero(in.rows(), in.cols());
        for (int i = -half; i <= half; ++i) {
            const Eigen::Index shift = std::abs(i);
            if (shift >= in.rows()) {
                continue;
            }
            const Eigen::Index length = in.rows() - shift;
            const float weight = kernel[static_cast<std::size_t>(i + half)] / static_cast<float>(sum);
            out.middleRows(i > 0 ? 0 : shift, length) += weight * in.middleRows(i > 0 ? shift : 0, length);
        }
        return out;
    };
    const ArrayXXf once = along_first(values);
    return along_first(once.transpose()).transpose();
}

// Scores to log probabilities of the shift, blurred by the scatter of logged poses, with a floor for frames that show
// something else. `total` is the sum of exp(score - highest) over everything that was tried for this frame and sign.
ArrayXXf votes_of(const ArrayXXf& scores, float highest, double total, double places, double scatter, double outliers) {
    const ArrayXXf likely = smoothed((scores - highest).exp(), scatter) / static_cast<float>(total);
    return ((1.0F - static_cast<float>(outliers)) * likely + static_cast<float>(outliers / places)).log();
}

std::optional<VotingFrame> read_votes(const LayoutIndex& site,
                                      const Lens& lens,
                                      const ScoutFrame& frame,
                                      const std::vector<double>& heights,
                                      const AlignmentOptions& options) {
    const FramePose& logged = *frame.prior->pose;
    const PosedCamera logged_camera(lens, logged);
    const Metres margin(options.search_horizontal.value() + 3.0 * options.position_sd.value());
    const std::vector<int> in_view = detail::modules_in_view(site, logged_camera, margin);
    if (in_view.empty()) {
        return std::nullopt;
    }
    const double pixel_m = detail::pixel_size_m(site, logged_camera, in_view);
    const double short_side_px = shortest_side_m(site) / pixel_m;
    const int block = std::clamp(static_cast<int>(std::lround(short_side_px / kBlocksPerModule)), 1, kLargestBlockPx);
    const detail::BlockPicture picture = detail::reduce(frame.counts, block, options.nodata);
    if (picture.means.size() == 0) {
        return std::nullopt;
    }
    const double scatter =
        std::hypot(options.position_sd.value() / pixel_m, options.attitude_sd.value() * lens.focal_px) / block;

    VotingFrame voting;
    voting.reach = static_cast<int>(std::ceil(options.search_horizontal.value() / pixel_m / block + scatter)) + 1;
    // The picture is worth about as many independent samples as modules would fit into it.
    const ModuleType& type = site.layout().type_of(site.module(in_view.front()));
    const double independent = static_cast<double>(lens.width_px) * lens.height_px * pixel_m * pixel_m /
                               std::max(type.width.value() * type.height.value(), 1e-6);
    Eigen::Matrix<double, 2, 3> shift = logged_camera.camera_from_site_rotation().topRows<2>() / (pixel_m * block);
    // Heights are tried one by one.
    shift.col(2).setZero();
    voting.shift_by_position = shift;

    std::vector<detail::ShiftScores> scores;
    float highest_warmer = 0.0F;
    float highest_cooler = 0.0F;
    for (const double height : heights) {
        FramePose pose = logged;
        pose.position_in_site.z() += height;
        scores.push_back(
            detail::match_coverage(picture, site, PosedCamera(lens, pose), in_view, voting.reach, independent));
        highest_warmer = std::max(highest_warmer, scores.back().warmer.maxCoeff());
        highest_cooler = std::max(highest_cooler, scores.back().cooler.maxCoeff());
    }
    double total_warmer = 0.0;
    double total_cooler = 0.0;
    double places = 0.0;
    for (const detail::ShiftScores& score : scores) {
        total_warmer += static_cast<double>((score.warmer - highest_warmer).exp().sum());
        total_cooler += static_cast<double>((score.cooler - highest_cooler).exp().sum());
        places += static_cast<double>(score.warmer.size());
    }
    // Both signs share one normalisation: the sign that explains less gets less.
    const double highest = static_cast<double>(std::max(highest_warmer, highest_cooler));
    const double log_all = highest + std::log(total_warmer * std::exp(static_cast<double>(highest_warmer) - highest) +
                                              total_cooler * std::exp(static_cast<double>(highest_cooler) - highest));
    for (const detail::ShiftScores& score : scores) {
        voting.by_height.push_back({votes_of(score.warmer,
                                             highest_warmer,
                                             std::exp(log_all - static_cast<double>(highest_warmer)),
                                             places,
                                             scatter,
                                             options.outlier_share),
                                    votes_of(score.cooler,
                                             highest_cooler,
                                             std::exp(log_all - static_cast<double>(highest_cooler)),
                                             places,
                                             scatter,
                                             options.outlier_share)});
    }
    return voting;
}

double interpolated(const ArrayXXf& values, const Vector2d& at) {
    const double x = std::clamp(at.x(), 0.0, static_cast<double>(values.rows() - 1) - 1e-6);
    const double y = std::clamp(at.y(), 0.0, static_cast<double>(values.cols() - 1) - 1e-6);
    const Eigen::Index i = static_cast<Eigen::Index>(x);
    const Eigen::Index j = static_cast<Eigen::Index>(y);
    const double u = x - static_cast<double>(i);
    const double v = y - static_cast<double>(j);
    return (1.0 - v) * ((1.0 - u) * static_cast<double>(values(i, j)) + u * static_cast<double>(values(i + 1, j))) +
           v * ((1.0 - u) * static_cast<double>(values(i, j + 1)) + u * static_cast<double>(values(i + 1, j + 1)));
}

struct Place {
    Vector3d correction{0.0, 0.0, 0.0};
    std::size_t height = 0;
    bool warmer = true;
};

// Every place of the search, in a fixed order.
std::vector<Place> all_places(const std::vector<double>& heights, double step_m, double radius_m) {
    const int half = static_cast<int>(std::floor(radius_m / step_m));
    std::vector<Place> places;
    for (std::size_t height = 0; height < heights.size(); ++height) {
        for (int north = -half; north <= half; ++north) {
            for (int east = -half; east <= half; ++east) {
                const Vector3d correction(east * step_m, north * step_m, heights[height]);
                if (correction.head<2>().norm() <= radius_m) {
                    places.push_back({correction, height, true});
                    places.push_back({correction, height, false});
                }
            }
        }
    }
    return places;
}

double vote_of(const VotingFrame& frame, const Place& place) {
    const Vector2d shift = frame.shift_by_position * place.correction;
    const Vector2d at = shift.array() + frame.reach;
    const FrameVotes& votes = frame.by_height[place.height];
    return interpolated(place.warmer ? votes.warmer : votes.cooler, at);
}

// The place with most votes; the first of equals.
Place most_voted(const std::vector<VotingFrame>& frames, const std::vector<Place>& places) {
    Place best;
    double most = -std::numeric_limits<double>::infinity();
    for (const Place& place : places) {
        double votes = 0.0;
        for (const VotingFrame& frame : frames) {
            votes += vote_of(frame, place);
        }
        if (votes > most) {
            most = votes;
            best = place;
        }
    }
    return best;
}

// How much more the frames speak for `best` than for the strongest place at least `apart_m` away. What one frame says
// counts only beyond kSilence: pixels that happen to fall a little better on one of two equal places are no witness,
// and many frames must not add up to one.
double margin_of(const std::vector<VotingFrame>& frames,
                 const std::vector<Place>& places,
                 const Place& best,
                 double apart_m) {
    constexpr double kSilence = 2.0;  // natural log units (own choice)
    std::vector<double> for_best;
    for (const VotingFrame& frame : frames) {
        for_best.push_back(vote_of(frame, best));
    }
    double margin = std::numeric_limits<double>::infinity();
    for (const Place& place : places) {
        if ((place.correction - best.correction).head<2>().norm() < apart_m) {
            continue;
        }
        double difference = 0.0;
        for (std::size_t i = 0; i < frames.size(); ++i) {
            const double says = for_best[i] - vote_of(frames[i], place);
            difference += std::copysign(std::max(0.0, std::abs(says) - kSilence), says);
        }
        margin = std::min(margin, difference);
    }
    return margin;
}

double median_of(std::vector<double> values) {
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

// Locks the scout frames at the placement found and moves it by the median of what is left.
void refine_on_edges(const LayoutIndex& site,
                     const Lens& lens,
                     std::span<const ScoutFrame> frames,
                     const AlignmentOptions& options,
                     FlightAlignment& alignment) {
    LockOptions lock;
    // The correction is still coarse here: the position carries most of what is left of it.
    constexpr double kCoarseSdM = 0.15;
    lock.position_sd = Metres(std::hypot(options.position_sd.value(), kCoarseSdM));
    lock.attitude_sd = options.attitude_sd;
    lock.blur_sigma_px = options.blur_sigma_px;
    lock.nodata = options.nodata;
    const double bound = 0.6 * placement_distance_m(site);  // less than half a pitch
    const Vector3d found = alignment.position_correction_in_site;
    for (int round = 0; round < 2; ++round) {
        std::array<std::vector<double>, 3> left;
        for (const ScoutFrame& frame : frames) {
            if (!frame.prior->pose) {
                continue;
            }
            lock.camera_motion_in_site = frame.camera_motion_in_site;
            const tl::expected<LockedFrame, Rejection> locked =
                lock_frame(site, lens, *frame.prior, alignment, frame.counts, lock);
            if (!locked) {
                continue;
            }
            const Vector3d correction = locked->pose.position_in_site - frame.prior->pose->position_in_site;
            if ((correction - found).head<2>().norm() > bound) {
                continue;
            }
            for (std::size_t axis = 0; axis < 3; ++axis) {
                left[axis].push_back(correction[static_cast<Eigen::Index>(axis)]);
            }
        }
        alignment.frames_locked = static_cast<int>(left[0].size());
        constexpr int kLeastLocked = 3;
        if (alignment.frames_locked < std::min(kLeastLocked, alignment.frames_used) || alignment.frames_locked == 0) {
            return;
        }
        for (std::size_t axis = 0; axis < 3; ++axis) {
            const double median = median_of(left[axis]);
            std::vector<double> off = left[axis];
            for (double& value : off) {
                value = std::abs(value - median);
            }
            const Eigen::Index i = static_cast<Eigen::Index>(axis);
            alignment.position_correction_in_site[i] = median;
            // Of a median of normal values.
            alignment.correction_sd[i] = 1.2533 * 1.4826 * median_of(off) / std::sqrt(static_cast<double>(off.size()));
        }
    }
}

}  // namespace

FlightAlignment align_flight(const LayoutIndex& site,
                             const Lens& lens,
                             std::span<const ScoutFrame> frames,
                             const AlignmentOptions& options) {
    FlightAlignment alignment;
    if (site.layout().modules.empty()) {
        return alignment;
    }
    const std::vector<double> heights = height_steps(options);
    std::vector<VotingFrame> voting;
    double finest_m = std::numeric_limits<double>::infinity();
    for (const ScoutFrame& frame : frames) {
        if (!frame.prior->pose) {
            continue;
        }
        if (std::optional<VotingFrame> votes = read_votes(site, lens, frame, heights, options)) {
            finest_m = std::min(finest_m, 1.0 / votes->shift_by_position.norm());
            voting.push_back(std::move(*votes));
        }
    }
    alignment.frames_used = static_cast<int>(voting.size());
    if (voting.empty()) {
        return alignment;
    }
    const double step_m = std::max(finest_m, options.search_horizontal.value() / 60.0);
    const std::vector<Place> places = all_places(heights, step_m, options.search_horizontal.value());
    const Place best = most_voted(voting, places);
    alignment.position_correction_in_site = best.correction;
    alignment.correction_sd = Vector3d(step_m, step_m, options.search_vertical.value());
    alignment.modules_warmer = best.warmer;
    alignment.margin = std::max(0.0, margin_of(voting, places, best, placement_distance_m(site)));
    refine_on_edges(site, lens, frames, options, alignment);
    return alignment;
}

}  // namespace heatrow
