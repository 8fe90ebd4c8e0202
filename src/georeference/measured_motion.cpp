#include "measured_motion.hpp"

#include "heatrow/edges/band_probe.hpp"
#include "predicted_lines.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

namespace heatrow::detail {

namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

// Own choices.
constexpr double kReachPx = 9.0;    // of a profile: a trail that leaves it is not told from a longer one
constexpr double kSearchPx = 4.5;   // an edge under a trail of 8 px is seen 3.5 px off
constexpr double kLongestPx = 8.0;  // trail
constexpr double kStepPx = 0.5;
// Blurs that are tried, of the one stated: rims, gap and glass border are told as one band, and what widens it must not
// count as a trail.
constexpr std::array<double, 4> kBlurs{1.0, 1.4, 1.8, 2.4};
constexpr double kFirstLookPx = 2.0;   // trails tried first: where neither helps, the log is believed
constexpr std::size_t kFewLines = 40;  // of the first look
constexpr int kMostLines = 120;        // of each direction
constexpr double kTells = 20.0;        // natural log, over the log's motion and over trails of the other sign
constexpr double kLeastChangePx = 0.75;
constexpr double kFacing = 0.9;  // share of the motion along the normal from which a side tells it

// A side, and how far one metre of motion moves it along its normal, px.
struct Side {
    BandLine line;
    double px_per_m = 0.0;
};

// Likelihood of a trail along one direction, summed over sides.
class TrailLikelihood {
  public:
    // At the blurs kBlurs; `probers` as many.
    TrailLikelihood(std::vector<BandProber>& probers, std::vector<Side> sides)
        : probers_(probers), sides_(std::move(sides)) {
        for (const Side& side : sides_) {
            px_per_m_ += std::abs(side.px_per_m) / static_cast<double>(sides_.size());
            logged_px_ += std::copysign(1.0, side.px_per_m) * side.line.trail_px / static_cast<double>(sides_.size());
        }
    }

    // Of a trail of `trail_px` as a whole, in the direction of positive motion.
    [[nodiscard]] double at(std::size_t blur, double trail_px, std::size_t most) const {
        const std::size_t every = std::max<std::size_t>(1, (sides_.size() + most - 1) / most);
        const double motion_m = beyond_log_m(trail_px);
        double sum = 0.0;
        for (std::size_t i = 0; i < sides_.size(); i += every) {
            BandLine line = sides_[i].line;
            line.trail_px += sides_[i].px_per_m * motion_m;
            const std::optional<EdgeFix> fix = probers_[blur].probe(line);
            sum += fix ? fix->gain : 0.0;
        }
        return sum;
    }
    [[nodiscard]] double beyond_log_m(double trail_px) const { return (trail_px - logged_px_) / px_per_m_; }
    [[nodiscard]] double logged_px() const { return logged_px_; }
    [[nodiscard]] std::size_t size() const { return sides_.size(); }

  private:
    std::vector<BandProber>& probers_;
    std::vector<Side> sides_;
    double px_per_m_ = 0.0;   // mean, either way
    double logged_px_ = 0.0;  // mean
};

// Largest value over evenly spaced places, between them by a parabola.
struct Peak {
    double place = 0.0;  // in steps
    double value = 0.0;
    bool is_inside = false;
};

Peak peak_of(const std::vector<double>& values) {
    const auto best = std::max_element(values.begin(), values.end());
    if (best == values.begin() || best + 1 == values.end()) {
        return {static_cast<double>(best - values.begin()), *best, false};
    }
    const double bend = best[-1] - 2.0 * best[0] + best[1];
    const double moved = bend < 0.0 ? 0.5 * (best[-1] - best[1]) / bend : 0.0;
    return {static_cast<double>(best - values.begin()) + moved, *best - 0.25 * (best[-1] - best[1]) * moved, true};
}

// Motion beyond the log's, m; zero where the log explains the picture.
double motion_beyond_log(const TrailLikelihood& likelihood) {
    constexpr std::size_t kLeastSides = 12;
    if (likelihood.size() < kLeastSides) {
        return 0.0;
    }
    constexpr std::size_t kFirstBlur = 1;
    const double logged_px = likelihood.logged_px();
    const double few_by_log = likelihood.at(kFirstBlur, logged_px, kFewLines);
    if (likelihood.at(kFirstBlur, logged_px + kFirstLookPx, kFewLines) <= few_by_log &&
        likelihood.at(kFirstBlur, logged_px - kFirstLookPx, kFewLines) <= few_by_log) {
        return 0.0;
    }
    const int half = static_cast<int>(std::lround(kLongestPx / kStepPx));
    std::vector<Peak> peaks;      // of the trail, at each blur
    std::vector<double> heights;  // of these
    double other_way = 0.0;
    double by_log = 0.0;
    for (std::size_t blur = 0; blur < kBlurs.size(); ++blur) {
        std::vector<double> by_trail;
        for (int i = -half; i <= half; ++i) {
            by_trail.push_back(likelihood.at(blur, i * kStepPx, kMostLines));
        }
        peaks.push_back(peak_of(by_trail));
        heights.push_back(peaks.back().value);
        const bool forward = peaks.back().place > half;
        other_way = std::max(other_way,
                             forward ? *std::max_element(by_trail.begin(), by_trail.begin() + half)
                                     : *std::max_element(by_trail.begin() + half + 1, by_trail.end()));
        by_log = std::max(by_log, likelihood.at(blur, logged_px, kMostLines));
    }
    // The trail at the most probable blur: the peaks lie about evenly between two blurs.
    const auto best = static_cast<std::size_t>(std::max_element(heights.begin(), heights.end()) - heights.begin());
    const Peak blur = peak_of(heights);
    const auto below = static_cast<std::size_t>(std::min(blur.place, static_cast<double>(kBlurs.size() - 2)));
    const double share = blur.place - static_cast<double>(below);
    const double place = peaks[below].place + share * (peaks[below + 1].place - peaks[below].place);
    const double trail_px = (place - half) * kStepPx;
    const bool has_way = heights[best] - other_way > kTells || std::abs(trail_px) < kFirstLookPx;
    if (!peaks[best].is_inside || std::abs(trail_px - logged_px) < kLeastChangePx || heights[best] - by_log < kTells ||
        !has_way) {
        return 0.0;
    }
    return likelihood.beyond_log_m(trail_px);
}

}  // namespace

std::optional<Vector3d> measured_motion(const LayoutIndex& site,
                                        const PosedCamera& camera,
                                        CountView counts,
                                        const LockOptions& options) {
    Vector3d along(site.pitch_along().x(), site.pitch_along().y(), 0.0);
    along = along.norm() > 0.0 ? Vector3d(along.normalized()) : Vector3d(Vector3d::UnitX());
    const std::array<Vector3d, 2> axes{along, Vector3d(-along.y(), along.x(), 0.0)};
    ProbeOptions probe;
    probe.reach_px = kReachPx;
    probe.search_px = kSearchPx;
    probe.nodata = options.nodata;
    probe.minimum_gain = 0.0;
    std::vector<BandProber> probers;
    for (const double blur : kBlurs) {
        probe.blur_sigma_px = blur * options.blur_sigma_px;
        probers.emplace_back(counts, probe);
    }
    std::array<std::vector<Side>, 2> sides;
    constexpr double kSmall_m = 0.05;
    for (const PredictedLine& predicted : predict_lines(site,
                                                        camera,
                                                        modules_in_view(site, camera, Metres(0.0)),
                                                        kReachPx + 1.0,
                                                        4 * kMostLines,
                                                        options.camera_motion_in_site)) {
        Vector2d px_per_m = Vector2d::Zero();
        for (int axis = 0; axis < 2; ++axis) {
            const auto later =
                camera.project(predicted.middle_in_site - kSmall_m * axes[static_cast<std::size_t>(axis)]);
            px_per_m[axis] = later ? predicted.line.normal.dot(*later - predicted.line.middle) / kSmall_m : 0.0;
        }
        for (int axis = 0; axis < 2; ++axis) {
            // Free sides beyond which the ground is uneven tell less of the shape.
            if (!predicted.free_side && std::abs(px_per_m[axis]) > kFacing * px_per_m.norm()) {
                sides[static_cast<std::size_t>(axis)].push_back({predicted.line, px_per_m[axis]});
            }
        }
    }
    Vector3d motion = options.camera_motion_in_site;
    for (std::size_t axis = 0; axis < 2; ++axis) {
        motion += motion_beyond_log(TrailLikelihood(probers, std::move(sides[axis]))) * axes[axis];
    }
    return motion == options.camera_motion_in_site ? std::nullopt : std::optional<Vector3d>(motion);
}

}  // namespace heatrow::detail
