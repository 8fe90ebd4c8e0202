#include "heatrow/georeference/layout_elsewhere.hpp"

#include "displacement_track.hpp"
#include "heatrow/core/median.hpp"
#include "height_search.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <vector>

namespace heatrow {

namespace {

using detail::CoverageFrame;
using detail::DisplacementGrid;
using Eigen::ArrayXXf;
using Eigen::Vector2d;

// Own choices.
constexpr double kBlockM = 1.0;
constexpr double kScaleStep = 0.08;    // of the height
constexpr double kLowestFlight = 5.0;  // m above modules
constexpr double kHeadingStepDeg = 3.0;
constexpr double kBetween_m = 2.0;          // just beyond the search belongs to neither side
constexpr std::size_t kFramesForAll = 3;    // after these only the best hypotheses go on
constexpr std::size_t kKept = 8;            // of either side
constexpr double kLeastMargin = 25.0;       // natural log
constexpr double kMostDisagreement = 0.25;  // of what the other frames gain

struct Hypothesis {
    double height_m = 0.0;
    Radians heading{0.0};
    bool warmer = true;
};

// Gain of each frame at one displacement.
struct Place {
    double total = -std::numeric_limits<double>::infinity();
    Vector2d displacement{0.0, 0.0};
    std::vector<double> by_frame;
};

struct Sums {
    Hypothesis hypothesis;
    std::vector<ArrayXXf> by_frame;  // over the grid
    ArrayXXf total;
};

// Highest of each cell and its neighbours: positions wander by that during a flight.
ArrayXXf highest_nearby(const ArrayXXf& values) {
    const auto along_columns = [](const ArrayXXf& in) {
        ArrayXXf out = in;
        const Eigen::Index last = in.cols() - 1;
        for (Eigen::Index y = 0; y <= last; ++y) {
            out.col(y) = in.col(y).max(in.col(std::max<Eigen::Index>(y - 1, 0))).max(in.col(std::min(y + 1, last)));
        }
        return out;
    };
    return along_columns(along_columns(values).transpose()).transpose();
}

class Search {
  public:
    Search(const LayoutIndex& site,
           const Lens& lens,
           std::span<const ScoutFrame> frames,
           const ElsewhereOptions& options)
        : site_(site), lens_(lens), frames_(frames), options_(options) {
        grid_.step_m = kBlockM;
        grid_.half = static_cast<int>(std::ceil(options.reach.value() / kBlockM));
        for (const ScoutFrame& frame : frames) {
            pictures_.emplace_back(frame.counts, *frame.prior->pose, options.alignment.nodata);
        }
    }

    [[nodiscard]] std::vector<Sums> all_hypotheses() const {
        std::vector<double> above;
        for (const CoverageFrame& picture : pictures_) {
            above.push_back(picture.logged().position_in_site.z() - 0.5 * (site_.lowest_m() + site_.highest_m()));
        }
        const double reference = std::max(take_median(above), kLowestFlight);
        const double most = options_.alignment.search_vertical.value();
        const double step = std::log(1.0 + kScaleStep);
        std::vector<Sums> all;
        for (int k = static_cast<int>(std::floor(std::log(kLowestFlight / reference) / step));
             reference * std::exp(k * step) <= reference + most;
             ++k) {
            const double height = reference * (std::exp(k * step) - 1.0);
            if (height < -most || reference + height < kLowestFlight) {
                continue;
            }
            for (const int turn : {-1, 0, 1}) {
                for (const bool warmer : {true, false}) {
                    all.push_back({{height, degrees(turn * kHeadingStepDeg), warmer},
                                   {},
                                   ArrayXXf::Zero(grid_.size(), grid_.size())});
                }
            }
        }
        return all;
    }

    // Both signs of a hypothesis stand side by side, unless one was let go.
    void add_frames(std::size_t count, bool keep_each, std::vector<Sums>& sums) {
        std::vector<std::vector<ArrayXXf>> gains(count, std::vector<ArrayXXf>(sums.size()));
        options_.alignment.for_each(gains.size(), [&](std::size_t k) {
            CoverageFrame::Match match;
            for (std::size_t i = 0; i < sums.size(); ++i) {
                const Hypothesis& h = sums[i].hypothesis;
                const bool is_new = i == 0 || sums[i - 1].hypothesis.height_m != h.height_m ||
                                    sums[i - 1].hypothesis.heading.value() != h.heading.value();
                if (is_new) {
                    match = match_of(k, h);
                }
                gains[k][i] = on_grid(match, h.warmer);
            }
        });
        for (std::vector<ArrayXXf>& of_frame : gains) {
            for (std::size_t i = 0; i < sums.size(); ++i) {
                sums[i].total += of_frame[i];
                if (keep_each) {
                    sums[i].by_frame.push_back(std::move(of_frame[i]));
                }
            }
        }
    }

    // Best place inside the search, or beyond it.
    [[nodiscard]] Place best(const Sums& sums, bool beyond) const {
        const double search = options_.alignment.search_horizontal.value();
        Place place;
        Eigen::Index x = 0;
        Eigen::Index y = 0;
        for (Eigen::Index north = 0; north < grid_.size(); ++north) {
            for (Eigen::Index east = 0; east < grid_.size(); ++east) {
                const double distance = grid_.at(east, north).cwiseAbs().maxCoeff();
                const bool counts = beyond ? distance > search + kBetween_m : distance <= search;
                if (counts && static_cast<double>(sums.total(east, north)) > place.total) {
                    place.total = static_cast<double>(sums.total(east, north));
                    x = east;
                    y = north;
                }
            }
        }
        place.displacement = grid_.at(x, y);
        for (const ArrayXXf& one : sums.by_frame) {
            place.by_frame.push_back(static_cast<double>(one(x, y)));
        }
        return place;
    }

    [[nodiscard]] Place best(const std::vector<Sums>& all, bool beyond) const {
        Place most;
        for (const Sums& sums : all) {
            if (Place one = best(sums, beyond); one.total > most.total) {
                most = std::move(one);
            }
        }
        return most;
    }

    // Leaves the hypotheses that do best on either side, without their sums.
    void keep_best(std::vector<Sums>& all) const {
        std::vector<bool> kept(all.size(), false);
        for (const bool beyond : {false, true}) {
            std::vector<std::pair<double, std::size_t>> order;
            for (std::size_t i = 0; i < all.size(); ++i) {
                order.emplace_back(-best(all[i], beyond).total, i);
            }
            std::sort(order.begin(), order.end());
            for (std::size_t i = 0; i < std::min(kKept, order.size()); ++i) {
                kept[order[i].second] = true;
            }
        }
        std::size_t i = 0;
        std::erase_if(all, [&](const Sums&) { return !kept[i++]; });
        for (Sums& sums : all) {
            sums.total.setZero();
        }
    }

  private:
    CoverageFrame::Match match_of(std::size_t frame, const Hypothesis& h) {
        FramePose pose = pictures_[frame].logged();
        pose.position_in_site.z() += h.height_m;
        pose.yaw += h.heading;
        const LayoutIndex& site = frames_[frame].site != nullptr ? *frames_[frame].site : site_;
        return pictures_[frame].match(site, lens_, pose, kBlockM, options_.reach.value() * std::sqrt(2.0));
    }

    [[nodiscard]] ArrayXXf on_grid(const CoverageFrame::Match& match, bool warmer) const {
        ArrayXXf gains = ArrayXXf::Zero(grid_.size(), grid_.size());
        if (match.empty()) {
            return gains;
        }
        const ArrayXXf gain = match.gain(warmer);
        for (Eigen::Index north = 0; north < grid_.size(); ++north) {
            for (Eigen::Index east = 0; east < grid_.size(); ++east) {
                const Vector2d shift = match.shift_by_displacement * grid_.at(east, north);
                gains(east, north) =
                    static_cast<float>(detail::interpolated(gain, (shift.array() + match.reach).matrix()));
            }
        }
        return highest_nearby(gains);
    }

    const LayoutIndex& site_;
    const Lens& lens_;
    std::span<const ScoutFrame> frames_;
    const ElsewhereOptions& options_;
    DisplacementGrid grid_;
    std::vector<CoverageFrame> pictures_;
};

}  // namespace

std::optional<LayoutElsewhere> find_layout_elsewhere(const LayoutIndex& site,
                                                     const Lens& lens,
                                                     std::span<const ScoutFrame> frames,
                                                     const ElsewhereOptions& options) {
    if (frames.empty() || site.layout().modules.empty()) {
        return std::nullopt;
    }
    Search search(site, lens, frames, options);
    std::vector<Sums> sums = search.all_hypotheses();
    search.add_frames(std::min(kFramesForAll, frames.size()), false, sums);
    search.keep_best(sums);
    search.add_frames(frames.size(), true, sums);
    const Place near = search.best(sums, false);
    const Place far = search.best(sums, true);
    double won = 0.0;
    double lost = 0.0;
    for (std::size_t i = 0; i < frames.size(); ++i) {
        const double gain = far.by_frame[i] - near.by_frame[i];
        (gain > 0.0 ? won : lost) += std::abs(gain);
    }
    if (won - lost < kLeastMargin || lost > kMostDisagreement * won) {
        return std::nullopt;
    }
    return LayoutElsewhere{-far.displacement, won - lost};
}

}  // namespace heatrow
