#include "heatrow/fuse/view_levels.hpp"

#include "heatrow/core/median.hpp"

#include <Eigen/Cholesky>
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

// How much each of these moves a view: the causes, and a field over the picture.
constexpr int kFieldTerms = 6;
constexpr int kShared = static_cast<int>(kViewCauses) + kFieldTerms;
using SharedEffects = Eigen::Matrix<double, kShared, 1>;

// Standard deviation of each term of the field at the corners, a tenth of a kelvin together: what a shutter leaves
// (common practice, no source). Without the field, mirrored sky that hardly varies over the picture would be blamed for
// it, and all levels moved by kelvins; with a field as loose as 0.2 K it takes what the sky does to oblique views.
constexpr double kField_k = 0.05;

SharedEffects effects_on(const ViewLevel& view) {
    SharedEffects effects;
    for (std::size_t cause = 0; cause < kViewCauses; ++cause) {
        effects(static_cast<Eigen::Index>(cause)) = view.by_cause_k[cause];
    }
    const double x = view.place.x();
    const double y = view.place.y();
    const double r2 = x * x + y * y;
    effects.tail<kFieldTerms>() << x, y, r2, x * x - y * y, 2.0 * x * y, r2 * r2;
    effects.tail<kFieldTerms>() *= kField_k;
    return effects;
}

class OffsetSolver {
  public:
    OffsetSolver(const ByModule& sorted, std::size_t groups, double scatter_k)
        : sorted_(sorted),
          offsets_(Eigen::VectorXd::Zero(static_cast<Eigen::Index>(groups))),
          weights_(sorted.views.size(), 1.0),
          scatter_k_(scatter_k) {
        for (const ViewLevel& view : sorted.views) {
            effects_.push_back(effects_on(view));
        }
    }

    // spread_k: standard deviation of the groups' offsets.
    void solve(double spread_k) {
        const double variance = scatter_k_ * scatter_k_;
        std::vector<Eigen::Triplet<double>> entries;  // groups x groups
        for (Eigen::Index i = 0; i < offsets_.size(); ++i) {
            entries.emplace_back(i, i, variance / (spread_k * spread_k));
        }
        Eigen::MatrixXd crossed = Eigen::MatrixXd::Zero(offsets_.size(), kShared);
        Eigen::MatrixXd shared = variance * Eigen::MatrixXd::Identity(kShared, kShared);
        Eigen::VectorXd right = Eigen::VectorXd::Zero(offsets_.size());
        Eigen::VectorXd right_shared = Eigen::VectorXd::Zero(kShared);
        // a module's temperature is eliminated: it is the weighted mean of its levels less what moves them
        for_each_module([&](std::size_t begin, std::size_t end) {
            double sum = 0.0;
            double mean_c = 0.0;
            SharedEffects mean = SharedEffects::Zero();
            for (std::size_t i = begin; i < end; ++i) {
                sum += weights_[i];
                mean_c += weights_[i] * sorted_.views[i].level_c;
                mean += weights_[i] * effects_[i];
            }
            mean_c /= sum;
            mean /= sum;
            for (std::size_t i = begin; i < end; ++i) {
                const Eigen::Index group = sorted_.views[i].group;
                const SharedEffects effects = weights_[i] * (effects_[i] - mean);
                const double above = sorted_.views[i].level_c - mean_c;
                right(group) += weights_[i] * above;
                right_shared += effects * above;
                crossed.row(group) += effects.transpose();
                shared += effects * (effects_[i] - mean).transpose();
                for (std::size_t j = begin; j < end; ++j) {
                    const double weight = weights_[i] * ((i == j ? 1.0 : 0.0) - weights_[j] / sum);
                    entries.emplace_back(group, sorted_.views[j].group, weight);
                }
            }
        });
        Eigen::SparseMatrix<double> normal(offsets_.size(), offsets_.size());
        normal.setFromTriplets(entries.begin(), entries.end());
        const Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>> solver(normal);
        const Eigen::MatrixXd by_shared = solver.solve(crossed);
        const Eigen::VectorXd alone = solver.solve(right);
        const Eigen::MatrixXd left = shared - crossed.transpose() * by_shared;
        shared_ = left.ldlt().solve(right_shared - crossed.transpose() * alone);
        offsets_ = alone - by_shared * shared_;
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
        return std::max(scatter_k_, offsets_.norm() / std::sqrt(static_cast<double>(offsets_.size())));
    }

    // Of one of the sorted views.
    [[nodiscard]] double offset_k(std::size_t view) const {
        return offsets_(sorted_.views[view].group) + effects_[view].dot(shared_);
    }

  private:
    // use(first of its views, end of them)
    template <class Use>
    void for_each_module(Use use) const {
        for (std::size_t m = 0; m + 1 < sorted_.begins.size(); ++m) {
            use(sorted_.begins[m], sorted_.begins[m + 1]);
        }
    }

    const ByModule& sorted_;
    std::vector<SharedEffects> effects_;  // of the sorted views
    Eigen::VectorXd offsets_;             // of the groups
    SharedEffects shared_ = SharedEffects::Zero();
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
