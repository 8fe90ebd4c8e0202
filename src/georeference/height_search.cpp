#include "height_search.hpp"

#include "heatrow/camera/posed_camera.hpp"
#include "heatrow/core/median.hpp"
#include "predicted_lines.hpp"

#include <Eigen/LU>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <functional>
#include <map>
#include <numeric>
#include <utility>

namespace heatrow::detail {

namespace {

using Eigen::ArrayXXf;
using Eigen::Matrix2d;
using Eigen::Vector2d;

// A picture is worth as many independent samples, to either channel, as half the modules that would fill it, but no
// more than this (own choice: a handful of rows, a dozen modules long): great heights, where more modules fit, must not
// shout, and a few modules close by have said little.
constexpr double kMostIndependent = 30.0;
constexpr double kLineBlurM = 0.35;    // m, a third of a module: lines become areas
constexpr double kLowestFlight = 5.0;  // m above modules
constexpr int kFewestBlocks = 12;      // across the picture's shorter side
// Sizes of blocks, px: a ladder, so that a frame is reduced a few times only.
constexpr std::array<int, 14> kBlocks{3, 4, 5, 6, 8, 10, 12, 16, 20, 24, 32, 40, 48, 64};

enum Sign : std::size_t { kWarmer = 0, kCooler = 1 };

struct Hypothesis {
    double scale = 1.0;  // of the reference height above modules
    double heading = 0.0;

    friend bool operator==(const Hypothesis&, const Hypothesis&) = default;
};

struct FrameFit {
    double score = 0.0;
    Vector2d displacement{0.0, 0.0};
};

// Displacements found so far, of each frame.
using Displacements = std::vector<Vector2d>;

struct Fit {
    Hypothesis hypothesis;
    Sign sign = kWarmer;
    double score = 0.0;
    Displacements displacements;
};

struct Level {
    double block_m;
    double reach_m;
    double scale_step;
    double heading_step;
    int smallest_block;  // px
};

class Search {
  public:
    Search(const LayoutIndex& site, const Lens& lens, std::vector<CoverageFrame>& frames, const ForEach& for_each)
        : site_(site), lens_(lens), frames_(frames), for_each_(for_each) {
        std::vector<double> above;
        for (const CoverageFrame& frame : frames_) {
            above.push_back(frame.logged().position_in_site.z() - ground_below(frame.logged().position_in_site));
        }
        reference_m_ = std::max(median_of(above), kLowestFlight);
    }

    // Logged height above the modules, m; scales are shares of it.
    [[nodiscard]] double reference_m() const { return reference_m_; }
    [[nodiscard]] double height_of(const Hypothesis& h) const { return reference_m_ * (h.scale - 1.0); }

    std::array<FrameFit, 2> fit_frame(std::size_t frame, const Hypothesis& h, const Vector2d& about, const Level& at) {
        FramePose pose = frames_[frame].logged();
        pose.position_in_site.head<2>() += about;
        pose.position_in_site.z() += height_of(h);
        pose.yaw += Radians(h.heading);
        const CoverageFrame::Match match =
            frames_[frame].match(site_, lens_, pose, at.block_m, at.reach_m, 0.0, at.smallest_block);
        std::array<FrameFit, 2> fits{FrameFit{0.0, about}, FrameFit{0.0, about}};
        if (match.empty()) {
            return fits;
        }
        const Matrix2d displacement_by_shift = match.shift_by_displacement.inverse();
        for (const Sign sign : {kWarmer, kCooler}) {
            const ArrayXXf gain = match.gain(sign == kWarmer);
            Eigen::Index x = 0;
            Eigen::Index y = 0;
            fits[sign].score = static_cast<double>(gain.maxCoeff(&x, &y));
            const Vector2d shift(static_cast<double>(x - match.reach), static_cast<double>(y - match.reach));
            fits[sign].displacement = about + displacement_by_shift * shift;
        }
        return fits;
    }

    // All frames at one hypothesis, each about its own displacement of `from`.
    Fit fit_all(const Fit& from, const Hypothesis& h, const Level& at) {
        Fit fit{h, from.sign, 0.0, from.displacements};
        std::vector<double> scores(frames_.size());
        for_each_(frames_.size(), [&](std::size_t i) {
            const FrameFit one = fit_frame(i, h, from.displacements[i], at)[from.sign];
            scores[i] = one.score;
            fit.displacements[i] = one.displacement;
        });
        fit.score = std::accumulate(scores.begin(), scores.end(), 0.0);
        return fit;
    }

    // Climbs from `start` by the level's steps; the start is scored anew at this level.
    Fit climb(Fit start, const Level& at) {
        constexpr int kMostMoves = 6;
        Fit best = fit_all(start, start.hypothesis, at);
        std::map<std::pair<int, int>, bool> tried{{{0, 0}, true}};
        std::pair<int, int> place{0, 0};
        const Hypothesis origin = start.hypothesis;
        for (int move = 0; move < kMostMoves; ++move) {
            const std::pair<int, int> centre = place;
            for (const auto& [ds, dh] : {std::pair{-1, 0}, {1, 0}, {0, -1}, {0, 1}}) {
                const std::pair<int, int> next{centre.first + ds, centre.second + dh};
                if (!tried.emplace(next, true).second) {
                    continue;
                }
                const Hypothesis h{origin.scale * std::pow(1.0 + at.scale_step, next.first),
                                   origin.heading + at.heading_step * next.second};
                Fit fit = fit_all(best, h, at);
                if (fit.score > best.score) {
                    best = std::move(fit);
                    place = next;
                }
            }
            if (place == centre) {
                break;
            }
        }
        return best;
    }

    [[nodiscard]] const ForEach& for_each() const { return for_each_; }
    [[nodiscard]] std::size_t frame_count() const { return frames_.size(); }

  private:
    // Height of modules near a place, m.
    [[nodiscard]] double ground_below(const Eigen::Vector3d& position) const {
        constexpr double kNear = 20.0;
        const Vector2d middle = position.head<2>();
        std::vector<double> heights;
        for (const int module : site_.modules_in_box(middle.array() - kNear, middle.array() + kNear)) {
            heights.push_back(site_.centre_in_site(module).z());
        }
        return heights.empty() ? 0.5 * (site_.lowest_m() + site_.highest_m()) : median_of(std::move(heights));
    }

    const LayoutIndex& site_;
    const Lens& lens_;
    std::vector<CoverageFrame>& frames_;
    const ForEach& for_each_;
    double reference_m_ = 0.0;
};

std::vector<Hypothesis> all_hypotheses(double reference_m, const HeightSearch& search, const Level& at) {
    const double low = std::max(kLowestFlight, reference_m - search.height_m) / reference_m;
    const double high = std::max(low, (reference_m + search.height_m) / reference_m);
    const double step = std::log(1.0 + at.scale_step);
    const int headings = static_cast<int>(std::ceil(search.heading.value() / at.heading_step - 1e-9));
    std::vector<Hypothesis> all;
    for (int s = static_cast<int>(std::ceil(std::log(low) / step)); s * step <= std::log(high); ++s) {
        for (int h = -headings; h <= headings; ++h) {
            all.push_back({std::exp(s * step), at.heading_step * h});
        }
    }
    return all;
}

// The grid over all of the search; after a few frames only its better part goes on.
std::vector<Fit> search_grid(Search& search, const std::vector<Hypothesis>& hypotheses, const Level& at) {
    constexpr std::size_t kFramesForAll = 4;
    constexpr std::size_t kKept = 24;
    std::vector<Fit> fits;
    for (const Hypothesis& h : hypotheses) {
        for (const Sign sign : {kWarmer, kCooler}) {
            fits.push_back({h, sign, 0.0, Displacements(search.frame_count(), Vector2d::Zero())});
        }
    }
    // Frames side by side, each through all fits; both signs of a hypothesis stand side by side unless one was let go.
    const auto add_frames = [&](std::size_t first_frame, std::size_t last_frame) {
        std::vector<std::vector<double>> scores(last_frame - first_frame, std::vector<double>(fits.size()));
        search.for_each()(scores.size(), [&](std::size_t k) {
            const std::size_t frame = first_frame + k;
            for (std::size_t i = 0; i < fits.size();) {
                const Hypothesis h = fits[i].hypothesis;
                const std::array<FrameFit, 2> both = search.fit_frame(frame, h, Vector2d::Zero(), at);
                for (; i < fits.size() && fits[i].hypothesis == h; ++i) {
                    scores[k][i] = both[fits[i].sign].score;
                    fits[i].displacements[frame] = both[fits[i].sign].displacement;
                }
            }
        });
        for (const std::vector<double>& of_frame : scores) {
            for (std::size_t i = 0; i < fits.size(); ++i) {
                fits[i].score += of_frame[i];
            }
        }
    };
    const std::size_t first_round = std::min(kFramesForAll, search.frame_count());
    add_frames(0, first_round);
    if (first_round < search.frame_count() && fits.size() > kKept) {
        std::vector<double> scores;
        for (const Fit& fit : fits) {
            scores.push_back(fit.score);
        }
        std::nth_element(scores.begin(), scores.begin() + kKept, scores.end(), std::greater<>());
        const double least = scores[kKept];
        std::erase_if(fits, [least](const Fit& fit) { return fit.score <= least; });
    }
    add_frames(first_round, search.frame_count());
    std::stable_sort(fits.begin(), fits.end(), [](const Fit& a, const Fit& b) { return a.score > b.score; });
    return fits;
}

// Whether two fits are different explanations and not two steps of one.
bool apart(const Fit& a, const Fit& b) {
    constexpr double kOtherScale = 1.1;
    const double ratio = a.hypothesis.scale / b.hypothesis.scale;
    return a.sign != b.sign || ratio > kOtherScale || ratio < 1.0 / kOtherScale;
}

}  // namespace

const BlockPicture& CoverageFrame::blocks_of(Channel channel, int block_px) {
    const auto [place, is_new] = blocks_.try_emplace({channel, block_px});
    if (is_new && channel == Channel::lines) {
        if (lines_.empty()) {
            lines_ = line_strength(counts_, nodata_);
        }
        place->second = reduce(std::as_const(lines_).view(), block_px, kNaN);
    } else if (is_new) {
        place->second = reduce(counts_, block_px, nodata_);
    }
    return place->second;
}

const BlockPicture& CoverageFrame::reduced(Channel channel, int block_px, double blur_blocks) {
    const auto [place, is_new] = reduced_.try_emplace({channel, block_px, blur_blocks});
    if (is_new) {
        place->second = about_mean(blocks_of(channel, block_px), blur_blocks);
    }
    return place->second;
}

ArrayXXf CoverageFrame::Match::gain(bool warmer) const {
    return likelihood_gain(counts, warmer, independent) + likelihood_gain(lines, true, independent);
}

CoverageFrame::Match CoverageFrame::match(const LayoutIndex& site,
                                          const Lens& lens,
                                          const FramePose& pose,
                                          double block_m,
                                          double reach_m,
                                          double blur_m,
                                          int smallest_block) {
    Match match;
    const PosedCamera camera(lens, pose);
    const std::vector<int> modules = modules_in_view(site, camera, Metres(reach_m + 2.0 * (blur_m + kLineBlurM)));
    const double pixel_m = pixel_size_m(site, camera, modules);
    if (modules.empty() || !(pixel_m > 0.0)) {
        return match;
    }
    // So close, no place looks unlike another, and blocks would be too small to be tried over the whole reach.
    constexpr double kFewestModules = 2.0;
    const ModuleType& type = site.layout().type_of(site.module(modules.front()));
    if (std::max(lens.width_px, lens.height_px) * pixel_m < kFewestModules * type.width.value()) {
        return match;
    }
    const int largest = std::max(smallest_block, std::min(lens.width_px, lens.height_px) / kFewestBlocks);
    int block = smallest_block;
    for (const int size : kBlocks) {
        if (size <= largest && size * pixel_m <= 1.13 * block_m) {
            block = std::max(block, size);
        }
    }
    match.independent = std::min(kMostIndependent,
                                 0.5 * lens.width_px * lens.height_px * pixel_m * pixel_m /
                                     std::max(type.width.value() * type.height.value(), 1e-6));
    match.block_m = block * pixel_m;
    match.shift_by_displacement = camera.camera_from_site_rotation().topLeftCorner<2, 2>() / match.block_m;
    match.reach = std::max(1, static_cast<int>(std::ceil(reach_m / match.block_m)));
    const double blur_blocks = blur_m / match.block_m;
    const double line_blur_blocks = std::max(blur_m, kLineBlurM) / match.block_m;
    const Coverage coverage = cover(site,
                                    camera,
                                    modules,
                                    block,
                                    {lens.width_px / block, lens.height_px / block},
                                    match.reach + static_cast<int>(std::ceil(2.0 * line_blur_blocks)));
    match.counts = explained_by_shift(reduced(Channel::counts, block, blur_blocks), coverage, match.reach);
    match.lines = explained_by_shift(reduced(Channel::lines, block, line_blur_blocks), coverage, match.reach);
    return match;
}

HeightHeading find_height_and_heading(const LayoutIndex& site,
                                      const Lens& lens,
                                      std::vector<CoverageFrame>& frames,
                                      const HeightSearch& search,
                                      const ForEach& for_each) {
    Search run(site, lens, frames, for_each);
    const Level grid{0.5, search.displacement_m, 0.06, degrees(3.0).value(), 8};
    std::vector<Fit> fits = search_grid(run, all_hypotheses(run.reference_m(), search, grid), grid);
    // The best few are looked at more closely before one is chosen.
    constexpr std::size_t kFinalists = 6;
    const Level closer{0.4, 0.9, 0.03, degrees(1.5).value(), 5};
    std::vector<Fit> finalists;
    for (const Fit& fit : fits) {
        const auto near_a_finalist = [&](const Fit& other) {
            return !apart(fit, other) &&
                   std::abs(fit.hypothesis.heading - other.hypothesis.heading) < 1.5 * grid.heading_step;
        };
        if (finalists.size() < kFinalists && std::none_of(finalists.begin(), finalists.end(), near_a_finalist)) {
            finalists.push_back(fit);
        }
    }
    for (Fit& fit : finalists) {
        fit = run.climb(std::move(fit), closer);
    }
    std::stable_sort(finalists.begin(), finalists.end(), [](const Fit& a, const Fit& b) { return a.score > b.score; });
    HeightHeading found;
    if (finalists.empty() || finalists.front().score <= 0.0) {
        return found;
    }
    Fit best = finalists.front();
    found.margin = best.score;
    for (const Fit& other : finalists) {
        if (apart(best, other)) {
            found.margin = std::min(found.margin, best.score - other.score);
        }
    }
    for (const Level& level : {Level{0.25, 0.75, 0.015, degrees(0.75).value(), 3},
                               Level{0.16, 0.5, 0.0075, degrees(0.4).value(), 3},
                               Level{0.12, 0.36, 0.004, degrees(0.2).value(), 3}}) {
        best = run.climb(std::move(best), level);
    }
    found.height_m = run.height_of(best.hypothesis);
    found.heading = Radians(best.hypothesis.heading);
    found.warmer = best.sign == kWarmer;
    return found;
}

}  // namespace heatrow::detail
