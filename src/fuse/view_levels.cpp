#include "heatrow/fuse/view_levels.hpp"

#include "heatrow/core/median.hpp"

#include <Eigen/SparseCholesky>
#include <Eigen/SparseCore>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numeric>

namespace heatrow {
namespace {

constexpr int kRounds = 5;
constexpr double kHuber = 1.345;          // in standard deviations: 95 % efficient for normal scatter (Huber 1981, M)
constexpr double kLeastScatter_k = 0.02;  // rounding of counts and of cell means

// Views sorted by module, and where each module's begin.
struct ByModule {
    std::vector<ViewLevel> views;
    std::vector<std::size_t> order;   // their indices in the order given
    std::vector<std::size_t> begins;  // one more than modules
};

ByModule sort_by_module(std::span<const ViewLevel> levels) {
    ByModule sorted;
    sorted.order.resize(levels.size());
    std::iota(sorted.order.begin(), sorted.order.end(), std::size_t{0});
    std::stable_sort(sorted.order.begin(), sorted.order.end(), [&](std::size_t a, std::size_t b) {
        return levels[a].module < levels[b].module;
    });
    for (std::size_t i = 0; i < levels.size(); ++i) {
        sorted.views.push_back(levels[sorted.order[i]]);
        if (i == 0 || sorted.views[i].module != sorted.views[i - 1].module) {
            sorted.begins.push_back(i);
        }
    }
    sorted.begins.push_back(levels.size());
    return sorted;
}

// How far views of a module differ, as offsets of groups: medians of a group's views less their modules' medians.
double spread_of_offsets(const ByModule& sorted, std::size_t groups) {
    std::vector<std::vector<double>> of_group(groups);
    for (std::size_t m = 0; m + 1 < sorted.begins.size(); ++m) {
        std::vector<double> levels;
        for (std::size_t i = sorted.begins[m]; i < sorted.begins[m + 1]; ++i) {
            levels.push_back(sorted.views[i].level_c);
        }
        const double middle = take_median(levels);
        for (std::size_t i = sorted.begins[m]; i < sorted.begins[m + 1]; ++i) {
            of_group[static_cast<std::size_t>(sorted.views[i].group)].push_back(sorted.views[i].level_c - middle);
        }
    }
    double sum = 0.0;
    int count = 0;
    for (auto& values : of_group) {
        if (const double offset = take_median(values); std::isfinite(offset)) {
            sum += offset * offset;
            ++count;
        }
    }
    return count > 0 ? std::sqrt(sum / count) : 0.0;
}

class OffsetSolver {
  public:
    OffsetSolver(const ByModule& sorted, std::size_t groups, double scatter_k)
        : sorted_(sorted),
          groups_(groups),
          unknowns_(Eigen::VectorXd::Zero(static_cast<Eigen::Index>(groups + kViewCauses))),
          weights_(sorted.views.size(), 1.0),
          scatter_k_(scatter_k) {}

    // spread_k: standard deviation of the groups' offsets.
    void solve(double spread_k) {
        Eigen::VectorXd right = Eigen::VectorXd::Zero(unknowns_.size());
        std::vector<Eigen::Triplet<double>> entries;
        const double variance = scatter_k_ * scatter_k_;
        for (Eigen::Index i = 0; i < unknowns_.size(); ++i) {
            const bool is_group = i < static_cast<Eigen::Index>(groups_);
            entries.emplace_back(i, i, is_group ? variance / (spread_k * spread_k) : variance);
        }
        // a module's temperature is eliminated: it is the weighted mean of its levels less what moves them
        for_each_module([&](std::size_t begin, std::size_t end) {
            double sum = 0.0;
            double mean_c = 0.0;
            for (std::size_t i = begin; i < end; ++i) {
                sum += weights_[i];
                mean_c += weights_[i] * sorted_.views[i].level_c;
            }
            mean_c /= sum;
            for (std::size_t i = begin; i < end; ++i) {
                for_each_effect(i, [&](Eigen::Index a, double effect_a) {
                    right(a) += weights_[i] * effect_a * (sorted_.views[i].level_c - mean_c);
                    for (std::size_t j = begin; j < end; ++j) {
                        const double weight = weights_[i] * ((i == j ? 1.0 : 0.0) - weights_[j] / sum);
                        for_each_effect(j, [&](Eigen::Index b, double effect_b) {
                            entries.emplace_back(a, b, weight * effect_a * effect_b);
                        });
                    }
                });
            }
        });
        Eigen::SparseMatrix<double> normal(unknowns_.size(), unknowns_.size());
        normal.setFromTriplets(entries.begin(), entries.end());
        unknowns_ = Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>>(normal).solve(right);
    }

    // Weights and scatter of the next round from what this one leaves.
    void weigh() {
        std::vector<double> residuals(sorted_.views.size(), 0.0);
        std::vector<double> sizes;
        for_each_module([&](std::size_t begin, std::size_t end) {
            double sum = 0.0;
            double mean_c = 0.0;
            for (std::size_t i = begin; i < end; ++i) {
                residuals[i] = sorted_.views[i].level_c - offset_k(i);
                sum += weights_[i];
                mean_c += weights_[i] * residuals[i];
            }
            for (std::size_t i = begin; i < end; ++i) {
                residuals[i] -= mean_c / sum;
                if (end - begin > 1) {
                    sizes.push_back(std::abs(residuals[i]));
                }
            }
        });
        const double middle = take_median(sizes);
        if (std::isfinite(middle)) {
            scatter_k_ = std::max(kLeastScatter_k, kSigmaOverMad * middle);
        }
        for (std::size_t i = 0; i < weights_.size(); ++i) {
            weights_[i] = std::min(1.0, kHuber * scatter_k_ / std::max(kLeastScatter_k, std::abs(residuals[i])));
        }
    }

    // Root mean square of the groups' offsets, never below the scatter.
    [[nodiscard]] double spread_k() const {
        const auto count = static_cast<Eigen::Index>(groups_);
        return std::max(scatter_k_, unknowns_.head(count).norm() / std::sqrt(static_cast<double>(count)));
    }

    // Of one of the sorted views.
    [[nodiscard]] double offset_k(std::size_t view) const {
        double sum = 0.0;
        for_each_effect(view, [&](Eigen::Index unknown, double effect) { sum += effect * unknowns_(unknown); });
        return sum;
    }

  private:
    // use(unknown, how much it moves the view)
    template <class Use>
    void for_each_effect(std::size_t view, Use use) const {
        use(static_cast<Eigen::Index>(sorted_.views[view].group), 1.0);
        for (std::size_t cause = 0; cause < kViewCauses; ++cause) {
            if (const double effect = sorted_.views[view].by_cause_k[cause]; effect != 0.0) {
                use(static_cast<Eigen::Index>(groups_ + cause), effect);
            }
        }
    }
    // use(first of its views, end of them)
    template <class Use>
    void for_each_module(Use use) const {
        for (std::size_t m = 0; m + 1 < sorted_.begins.size(); ++m) {
            use(sorted_.begins[m], sorted_.begins[m + 1]);
        }
    }

    const ByModule& sorted_;
    std::size_t groups_;
    Eigen::VectorXd unknowns_;  // offsets of the groups, then causes
    std::vector<double> weights_;
    double scatter_k_;
};

}  // namespace

std::vector<double> view_offsets(std::span<const ViewLevel> levels, int groups, double scatter_k) {
    std::vector<double> offsets(levels.size(), 0.0);
    const ByModule sorted = sort_by_module(levels);
    double spread_k = spread_of_offsets(sorted, static_cast<std::size_t>(groups));
    if (!(spread_k > 0.0)) {
        return offsets;
    }
    OffsetSolver solver(sorted, static_cast<std::size_t>(groups), scatter_k);
    for (int round = 0; round < kRounds; ++round) {
        solver.solve(spread_k);
        solver.weigh();
        spread_k = solver.spread_k();
    }
    for (std::size_t i = 0; i < offsets.size(); ++i) {
        offsets[sorted.order[i]] = solver.offset_k(i);
    }
    return offsets;
}

}  // namespace heatrow
