#include "heatrow/measure/hot_patches.hpp"

#include "heatrow/core/median.hpp"
#include "heatrow/measure/enclosing_quadrilateral.hpp"
#include "heatrow/measure/outline.hpp"
#include "heatrow/measure/smoothing.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <iterator>
#include <numeric>

namespace heatrow {
namespace {

// The picture as every candidate needs it.
struct Scene {
    ImageView<const float> temperature;
    Image<float> smooth;
    Celsius median{kNaN};
};

// A candidate's window: its box and the ring around it.
struct Window {
    int left;
    int top;
    int width;
    int height;
};

Window window_of(const Component& component, const Scene& scene, double margin_px) {
    const int margin = static_cast<int>(std::ceil(margin_px)) + 1;
    const int left = std::max(0, component.left - margin);
    const int top = std::max(0, component.top - margin);
    const int right = std::min(scene.temperature.width() - 1, component.right + margin);
    const int bottom = std::min(scene.temperature.height() - 1, component.bottom + margin);
    return {left, top, right - left + 1, bottom - top + 1};
}

// Mean slope of the smoothed picture over the seen outline, K/px.
double mean_edge_slope(const CutOutline& outline, const Scene& scene) {
    constexpr int kArm = 3;  // px
    const auto picture = scene.smooth.view();
    double sum = 0.0;
    long count = 0;
    for (const auto& line : outline.seen) {
        for (const auto& point : line) {
            const int x = static_cast<int>(std::lround(point.x()));
            const int y = static_cast<int>(std::lround(point.y()));
            if (x < kArm || y < kArm || x + kArm >= picture.width() || y + kArm >= picture.height()) {
                continue;
            }
            const float dx = picture(x + kArm, y) - picture(x - kArm, y);
            const float dy = picture(x, y + kArm) - picture(x, y - kArm);
            if (std::isnan(dx) || std::isnan(dy)) {
                continue;
            }
            sum += static_cast<double>(std::hypot(dx, dy)) / (2.0 * kArm);
            ++count;
        }
    }
    return count > 0 ? sum / static_cast<double>(count) : 0.0;
}

struct Figures {
    Celsius inside{kNaN};
    Celsius ring{kNaN};
    double width_px = 0.0;  // of the largest circle inside
};

Figures figures_of(const Component& component, const Scene& scene, const HotPatchOptions& options) {
    const Window window = window_of(component, scene, options.ring_to_px);
    Mask inside(window.width, window.height, 0);
    Mask outside(window.width, window.height, 1);
    for (const int index : component.pixels) {
        const int x = index % scene.temperature.width() - window.left;
        const int y = index / scene.temperature.width() - window.top;
        inside.view()(x, y) = 1;
        outside.view()(x, y) = 0;
    }
    const Image<float> from_inside = squared_distance_to(inside);
    const Image<float> from_outside = squared_distance_to(outside);
    const auto margin = static_cast<float>(options.inside_margin_px * options.inside_margin_px);
    const auto ring_from = static_cast<float>(options.ring_from_px * options.ring_from_px);
    const auto ring_to = static_cast<float>(options.ring_to_px * options.ring_to_px);
    std::vector<double> inner;
    std::vector<double> ring;
    float deepest = 0.0F;
    for (int y = 0; y < window.height; ++y) {
        for (int x = 0; x < window.width; ++x) {
            const float out = from_inside.view()(x, y);
            const float in = from_outside.view()(x, y);
            const float value = scene.temperature(window.left + x, window.top + y);
            deepest = std::isinf(in) ? deepest : std::max(deepest, in);
            if (std::isnan(value)) {
                continue;
            }
            if (in > margin) {
                inner.push_back(static_cast<double>(value));
            } else if (out > ring_from && out <= ring_to) {
                ring.push_back(static_cast<double>(value));
            }
        }
    }
    return {Celsius(take_median(inner)), Celsius(take_median(ring)), 2.0 * std::sqrt(static_cast<double>(deepest))};
}

std::optional<PatchObjection> objection_to(const HotPatch& patch,
                                           const CutOutline& outline,
                                           const HotPatchOptions& options) {
    const auto area = static_cast<double>(patch.pixels.size());
    const double cut = std::accumulate(outline.cut_px.begin(), outline.cut_px.end(), 0.0);
    if (patch.above_picture < options.least_share_above_picture * options.least_contrast) {
        return PatchObjection::not_above_picture;
    }
    if (outline.cuts > 1 || cut * cut > options.longest_cut_ratio * area) {
        return PatchObjection::cut_off;
    }
    const double least_straight = outline.cuts > 0 ? options.least_straight_share_cut : options.least_straight_share;
    if (patch.straight_share < least_straight || patch.fill < options.least_fill) {
        return PatchObjection::not_straight;
    }
    if (patch.contrast.value() > options.widest_edge_share * std::sqrt(area) * patch.edge_k_per_px) {
        return PatchObjection::soft_edge;
    }
    return std::nullopt;
}

// A patch with what the choice among candidates needs.
struct Candidate {
    HotPatch patch;
    std::vector<Eigen::Vector2d> seen_outline;
};

// The candidate, if it is warm enough against its ring and wide enough.
std::optional<Candidate> examine(const Component& component, const Scene& scene, const HotPatchOptions& options) {
    const Figures figures = figures_of(component, scene, options);
    const KelvinDelta contrast = figures.inside - figures.ring;
    if (!(contrast >= options.least_contrast) || figures.width_px < options.least_width_px) {
        return std::nullopt;
    }
    const int width = scene.temperature.width();
    const auto outline = trace_outline(component, width);
    const CutOutline cut = split_at_border(outline, width, scene.temperature.height());
    HotPatch patch;
    patch.pixels = component.pixels;
    std::sort(patch.pixels.begin(), patch.pixels.end());
    patch.corners_px = enclosing_quadrilateral(outline);
    patch.fill = static_cast<double>(patch.pixels.size()) / polygon_area(patch.corners_px);
    for (const int index : patch.pixels) {
        patch.centre_px += Eigen::Vector2d(index % width, index / width);
    }
    patch.centre_px /= static_cast<double>(patch.pixels.size());
    patch.median = figures.inside;
    patch.ring_median = figures.ring;
    patch.contrast = contrast;
    patch.above_picture = figures.inside - scene.median;
    patch.edge_k_per_px = mean_edge_slope(cut, scene);
    patch.straight_share =
        straight_share(cut, options.outline_tolerance_share * std::sqrt(static_cast<double>(patch.pixels.size())));
    patch.objection = objection_to(patch, cut, options);
    Candidate candidate{std::move(patch), {}};
    for (const auto& line : cut.seen) {
        candidate.seen_outline.insert(candidate.seen_outline.end(), line.begin(), line.end());
    }
    return candidate;
}

std::vector<Candidate> candidates_of(const Scene& scene, const HotPatchOptions& options) {
    std::vector<float> known;
    for (const float value : scene.smooth.pixels()) {
        if (!std::isnan(value)) {
            known.push_back(value);
        }
    }
    std::vector<Candidate> candidates;
    if (known.empty()) {
        return candidates;
    }
    constexpr double kLowestShare = 0.01;  // levels start above the coldest percent
    const auto lowest = known.begin() + static_cast<std::ptrdiff_t>(kLowestShare * static_cast<double>(known.size()));
    std::nth_element(known.begin(), lowest, known.end());
    const auto low = static_cast<double>(*lowest);
    const auto high = static_cast<double>(*std::max_element(known.begin(), known.end()));
    const double pixels = static_cast<double>(scene.smooth.pixels().size());
    const int least_area = static_cast<int>(options.least_width_px * options.least_width_px * 0.75);
    const auto levels = static_cast<int>((high - low) / options.level_step.value());
    Mask above(scene.smooth.width(), scene.smooth.height());
    for (int i = 0; i <= levels; ++i) {
        const auto level = static_cast<float>(low + i * options.level_step.value());
        std::transform(
            scene.smooth.pixels().begin(), scene.smooth.pixels().end(), above.pixels().begin(), [level](float value) {
                return static_cast<std::uint8_t>(value >= level ? 1 : 0);
            });
        for (const Component& component : components_of(above, least_area)) {
            if (component.area() > options.largest_picture_share * pixels) {
                continue;
            }
            if (auto candidate = examine(component, scene, options)) {
                candidates.push_back(std::move(*candidate));
            }
        }
    }
    return candidates;
}

// Share of the outline within one edge width of the leader's: whether both run along the same edge.
class SameEdge {
  public:
    SameEdge(const Candidate& leader, const Scene& scene) {
        Mask edge(scene.smooth.width(), scene.smooth.height(), 0);
        for (const auto& point : leader.seen_outline) {
            edge.view()(pixel(point.x(), edge.width()), pixel(point.y(), edge.height())) = 1;
        }
        distance_ = squared_distance_to(edge);
        const double width = leader.patch.contrast.value() / leader.patch.edge_k_per_px;
        reach_ = static_cast<float>(width * width);
    }

    [[nodiscard]] bool holds(const Candidate& other) const {
        const auto near =
            std::count_if(other.seen_outline.begin(), other.seen_outline.end(), [this](const auto& point) {
                const auto distance = distance_.view();
                return distance(pixel(point.x(), distance.width()), pixel(point.y(), distance.height())) <= reach_;
            });
        return 2 * near > std::ssize(other.seen_outline);
    }

  private:
    static int pixel(double at, int size) { return std::clamp(static_cast<int>(std::lround(at)), 0, size - 1); }

    Image<float> distance_;
    float reach_ = 0.0F;
};

// One patch for each edge: candidates along the same edge are led by the steepest; where it breaks a rule, another that
// is nearly as steep may stand in for it, since noise bends outlines. Steepest first.
std::vector<HotPatch> one_for_each_edge(std::vector<Candidate> candidates,
                                        const Scene& scene,
                                        const HotPatchOptions& options) {
    std::stable_sort(candidates.begin(), candidates.end(), [](const Candidate& a, const Candidate& b) {
        return a.patch.edge_k_per_px > b.patch.edge_k_per_px;
    });
    std::vector<HotPatch> patches;
    while (!candidates.empty()) {
        const SameEdge same_edge(candidates.front(), scene);
        const auto others = std::stable_partition(
            candidates.begin() + 1, candidates.end(), [&same_edge](const Candidate& c) { return same_edge.holds(c); });
        const double least = options.least_share_of_steepest * candidates.front().patch.edge_k_per_px;
        const auto speaker = std::find_if(candidates.begin(), others, [least](const Candidate& c) {
            return c.patch.edge_k_per_px >= least && !c.patch.objection;
        });
        patches.push_back(std::move((speaker == others ? candidates.begin() : speaker)->patch));
        candidates.erase(candidates.begin(), others);
    }
    return patches;
}

// Hot cells first, as long as they do not overlap; then the others where no hot cell lies.
std::vector<HotPatch> without_overlap(std::vector<HotPatch> patches, std::size_t pixels) {
    std::stable_partition(patches.begin(), patches.end(), [](const HotPatch& p) { return !p.objection; });
    std::vector<bool> taken(pixels, false);
    std::vector<HotPatch> chosen;
    for (HotPatch& patch : patches) {
        const bool overlaps = std::any_of(patch.pixels.begin(), patch.pixels.end(), [&taken](int index) {
            return taken[static_cast<std::size_t>(index)];
        });
        if (overlaps) {
            continue;
        }
        for (const int index : patch.pixels) {
            taken[static_cast<std::size_t>(index)] = true;
        }
        chosen.push_back(std::move(patch));
    }
    std::stable_sort(chosen.begin(), chosen.end(), [](const HotPatch& a, const HotPatch& b) {
        if (a.objection.has_value() != b.objection.has_value()) {
            return !a.objection.has_value();
        }
        return a.contrast > b.contrast;
    });
    return chosen;
}

}  // namespace

std::string_view problem_with(const HotPatchOptions& options) {
    if (!(options.least_contrast.value() > 0.0)) {
        return "the least contrast must be above zero";
    }
    if (!(options.smoothing_sigma_px > 0.0) || !(options.level_step.value() > 0.0)) {
        return "smoothing and level step must be above zero";
    }
    if (!(options.inside_margin_px >= 0.0 && options.ring_from_px >= 0.0 &&
          options.ring_to_px > options.ring_from_px)) {
        return "the ring must begin at zero or more and end beyond where it begins";
    }
    if (!(options.least_width_px > 2.0 * options.inside_margin_px)) {
        return "the least width must exceed twice the inside margin";
    }
    return {};
}

std::string_view to_string(PatchObjection objection) {
    switch (objection) {
        case PatchObjection::not_above_picture:
            return "not_above_picture";
        case PatchObjection::not_straight:
            return "not_straight";
        case PatchObjection::soft_edge:
            return "soft_edge";
        case PatchObjection::cut_off:
            return "cut_off";
    }
    return "";
}

bool HotPatch::contains(int x, int y, int picture_width) const {
    return x >= 0 && x < picture_width && std::binary_search(pixels.begin(), pixels.end(), y * picture_width + x);
}

std::vector<HotPatch> find_warm_patches(ImageView<const float> temperature_c, const HotPatchOptions& options) {
    Scene scene{temperature_c, smooth(temperature_c, options.smoothing_sigma_px), Celsius(kNaN)};
    std::vector<double> known;
    for (int y = 0; y < temperature_c.height(); ++y) {
        std::copy_n(temperature_c.row(y), temperature_c.width(), std::back_inserter(known));
    }
    scene.median = Celsius(take_median(known));
    if (!scene.median.is_known()) {
        return {};
    }
    return without_overlap(one_for_each_edge(candidates_of(scene, options), scene, options),
                           scene.smooth.pixels().size());
}

std::vector<HotPatch> find_hot_patches(ImageView<const float> temperature_c, const HotPatchOptions& options) {
    std::vector<HotPatch> patches = find_warm_patches(temperature_c, options);
    patches.erase(
        std::remove_if(patches.begin(), patches.end(), [](const HotPatch& p) { return p.objection.has_value(); }),
        patches.end());
    return patches;
}

}  // namespace heatrow
