#include "heatrow/fuse/fuse.hpp"

#include "heatrow/core/median.hpp"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <numbers>

namespace heatrow {
namespace {

// Variance of a median over that of a mean for normal values, for many values.
constexpr double kMedianVarianceRatio = std::numbers::pi / 2.0;

// How much a median of n is less efficient than the mean, as a factor on the standard error: 1 for one and two values,
// which are their own mean.
double median_factor(int n) {
    return n <= 2 ? 1.0 : std::sqrt(kMedianVarianceRatio);
}

// What a view is worth: small cells and shallow angles still show each cell's own heat; smear mixes it with its
// neighbours', and a clipped view ends short of it.
enum class Worth { good, poor, bad };

Worth worth_of(const ModuleView& view) {
    if (view.flags.has(Flag::smeared) || view.flags.has(Flag::clipped)) {
        return Worth::bad;
    }
    const bool poor = view.flags.has(Flag::too_few_pixels) || view.flags.has(Flag::angle_too_shallow);
    return poor ? Worth::poor : Worth::good;
}

bool has_data(const ModuleView& view) {
    return std::any_of(view.mean_c.begin(), view.mean_c.end(), [](float v) { return std::isfinite(v); });
}

// Where all views are smeared, the less smeared ones speak.
constexpr double kMuchMoreSmear = 1.25;  // times the least
constexpr double kAlikeSmear_px = 0.3;   // and more than this above it

std::vector<const ModuleView*> choose_views(std::span<const ModuleView> views) {
    std::vector<const ModuleView*> chosen;
    for (const Worth least : {Worth::good, Worth::poor, Worth::bad}) {
        for (const auto& view : views) {
            if (has_data(view) && worth_of(view) <= least) {
                chosen.push_back(&view);
            }
        }
        if (!chosen.empty()) {
            break;
        }
    }
    double least_smear = HUGE_VAL;
    for (const auto* view : chosen) {
        least_smear = std::min(least_smear, view->smear_px);
    }
    std::erase_if(chosen, [&](const auto* view) {
        return view->flags.has(Flag::smeared) &&
               view->smear_px > std::max(kMuchMoreSmear * least_smear, least_smear + kAlikeSmear_px);
    });
    std::sort(chosen.begin(), chosen.end(), [](const auto* a, const auto* b) { return a->frame < b->frame; });
    return chosen;
}

// Levels of the views and differences of the cells, by alternating medians.
class Decomposition {
  public:
    Decomposition(const std::vector<const ModuleView*>& views, std::size_t cells)
        : views_(views), level_c_(views.size(), 0.0), difference_k_(cells, 0.0) {
        // The second round puts the levels right of views that miss cells.
        for (int round = 0; round < 2; ++round) {
            update_levels();
            update_differences();
        }
        scratch_ = level_c_;
        common_c_ = take_median(scratch_);
    }

    [[nodiscard]] double common_c() const { return common_c_; }
    [[nodiscard]] double level_c(std::size_t view) const { return level_c_[view]; }
    [[nodiscard]] double difference_k(std::size_t cell) const { return difference_k_[cell]; }

    // Median over the views of a figure less the view's level, plus the common level.
    template <class Figure>
    double fused(Figure figure) {
        scratch_.clear();
        for (std::size_t v = 0; v < views_.size(); ++v) {
            scratch_.push_back(figure(*views_[v]) - level_c_[v]);
        }
        return take_median(scratch_) + common_c_;
    }

    // Standard uncertainty of the common level by the scatter of the levels.
    double level_u_k() {
        const auto n = static_cast<int>(level_c_.size());
        if (n < 2) {
            return 0.0;
        }
        scratch_.clear();
        for (const double level : level_c_) {
            scratch_.push_back(std::abs(level - common_c_));
        }
        return scatter_from_mad(take_median(scratch_), n) * median_factor(n) / std::sqrt(static_cast<double>(n));
    }

  private:
    void update_levels() {
        for (std::size_t v = 0; v < views_.size(); ++v) {
            scratch_.clear();
            for (std::size_t c = 0; c < difference_k_.size(); ++c) {
                scratch_.push_back(static_cast<double>(views_[v]->mean_c[c]) - difference_k_[c]);
            }
            const double level = take_median(scratch_);
            level_c_[v] = std::isfinite(level) ? level : level_c_[v];
        }
    }
    void update_differences() {
        for (std::size_t c = 0; c < difference_k_.size(); ++c) {
            scratch_.clear();
            for (std::size_t v = 0; v < views_.size(); ++v) {
                scratch_.push_back(static_cast<double>(views_[v]->mean_c[c]) - level_c_[v]);
            }
            difference_k_[c] = take_median(scratch_);
        }
    }

    const std::vector<const ModuleView*>& views_;
    std::vector<double> level_c_;
    std::vector<double> difference_k_;
    std::vector<double> scratch_;
    double common_c_ = kNaN;
};

// What the views say about one cell beyond its value.
struct CellEvidence {
    int views = 0;
    double scatter_k = kNaN;  // between views
    double noise_u_k = 0.0;   // of the fused value, from pixel noise
};

CellEvidence evidence_of(const std::vector<const ModuleView*>& views,
                         const Decomposition& parts,
                         std::size_t cell,
                         double noise_k,
                         std::vector<double>& scratch) {
    CellEvidence evidence;
    double variance = 0.0;
    scratch.clear();
    for (std::size_t v = 0; v < views.size(); ++v) {
        const auto mean = static_cast<double>(views[v]->mean_c[cell]);
        if (!std::isfinite(mean)) {
            continue;
        }
        ++evidence.views;
        variance += noise_k * noise_k / std::max(1.0, static_cast<double>(views[v]->pixels[cell]));
        scratch.push_back(std::abs(mean - parts.level_c(v) - parts.difference_k(cell)));
    }
    if (evidence.views > 0) {
        evidence.noise_u_k = median_factor(evidence.views) * std::sqrt(variance) / evidence.views;
        evidence.scatter_k = scatter_from_mad(take_median(scratch), evidence.views);
    }
    return evidence;
}

// A cell's own scatter, from a few views, is wild; it is drawn toward that of the whole module as if it had been seen
// in kPriorViews more views.
constexpr double kPriorViews = 4.0;

// Mean over the cells, each being unbiased; clipped, so that a cell that a glint crosses does not raise them all.
double pooled_scatter_k(const std::vector<CellEvidence>& evidence, double assumed_k) {
    std::vector<double> scatters;
    for (const auto& cell : evidence) {
        if (cell.views >= 2) {
            scatters.push_back(cell.scatter_k);
        }
    }
    const double clip = 4.0 * take_median(scatters);
    if (!std::isfinite(clip)) {
        return assumed_k;
    }
    double sum = 0.0;
    for (const double scatter : scatters) {
        sum += std::min(scatter, clip);
    }
    return sum / static_cast<double>(scatters.size());
}

double cell_u_k(const CellEvidence& cell, double pooled_k) {
    const double own_weight = cell.views >= 2 ? cell.views - 1.0 : 0.0;
    const double own = own_weight > 0.0 ? cell.scatter_k : 0.0;
    const double scatter =
        std::sqrt((kPriorViews * pooled_k * pooled_k + own_weight * own * own) / (kPriorViews + own_weight));
    return std::max(cell.noise_u_k, median_factor(cell.views) * scatter / std::sqrt(static_cast<double>(cell.views)));
}

void set_view_figures(const std::vector<const ModuleView*>& views, FusedModule& fused) {
    std::vector<double> angles;
    std::vector<double> sizes;
    std::vector<double> smears;
    for (const auto* view : views) {
        fused.frames.push_back(view->frame);
        fused.flags |= view->flags;
        angles.push_back(view->view_angle.value());
        sizes.push_back(view->cell_short_px);
        smears.push_back(view->smear_px);
    }
    fused.view_angle = Radians(take_median(angles));
    fused.cell_short_px = take_median(sizes);
    fused.smear_px = take_median(smears);
    if (views.size() == 1) {
        fused.flags.set(Flag::single_view);
    }
}

}  // namespace

double scatter_from_mad(double mad, int n) {
    if (n < 2) {
        return kNaN;
    }
    constexpr std::array<double, 8> kSmall = {1.196, 1.495, 1.363, 1.206, 1.200, 1.140, 1.129, 1.107};  // n = 2 .. 9
    const double factor = n <= 9 ? kSmall[static_cast<std::size_t>(n - 2)] : n / (n - 0.8);
    return kSigmaOverMad * factor * mad;
}

FusedModule fuse_module(const Layout& layout,
                        int module,
                        std::span<const ModuleView> views,
                        const FuseOptions& options) {
    const auto& type = layout.type_of(layout.modules[static_cast<std::size_t>(module)]);
    const auto cells = static_cast<std::size_t>(type.cell_count());
    FusedModule fused;
    fused.module = module;
    fused.cells.resize(cells);
    const auto used = choose_views(views);
    if (used.empty()) {
        return fused;
    }
    assert(std::all_of(used.begin(), used.end(), [&](const auto* v) {
        return v->mean_c.size() == cells && v->hottest_c.size() == cells && v->spread_k.size() == cells &&
               v->pixels.size() == cells;
    }));
    set_view_figures(used, fused);
    Decomposition parts(used, cells);
    fused.level_u_k = parts.level_u_k();

    std::vector<double> scratch;
    std::vector<CellEvidence> evidence(cells);
    for (std::size_t c = 0; c < cells; ++c) {
        evidence[c] = evidence_of(used, parts, c, options.noise_k, scratch);
    }
    const double pooled_k = pooled_scatter_k(evidence, options.view_scatter_k);
    for (std::size_t c = 0; c < cells; ++c) {
        auto& cell = fused.cells[c];
        cell.views = evidence[c].views;
        if (cell.views == 0) {
            cell.spread_k = std::nanf("");
            continue;
        }
        cell.temperature = {Celsius(parts.common_c() + parts.difference_k(c)), cell_u_k(evidence[c], pooled_k)};
        cell.hottest = Celsius(parts.fused([&](const ModuleView& v) { return static_cast<double>(v.hottest_c[c]); }));
        scratch.clear();
        for (const auto* view : used) {
            scratch.push_back(static_cast<double>(view->spread_k[c]));
        }
        cell.spread_k = static_cast<float>(take_median(scratch));
    }
    return fused;
}

}  // namespace heatrow
