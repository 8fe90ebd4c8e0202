#include "displacement_track.hpp"

#include "coverage_match.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>

namespace heatrow::detail {

namespace {

using Eigen::ArrayXXf;
using Eigen::Matrix2d;
using Eigen::Vector2d;

// Rates of the walk that are tried, m a square root of a second: a bias that stands still, one that wanders by half a
// metre in ten minutes, by one and a half, by four (own choices).
constexpr std::array<double, 4> kWanders{0.002, 0.02, 0.06, 0.16};
// Turning parts that are tried: multiples of a step either way, forward and to the right (own choices: a boresight of a
// degree at 30 m, or a lag of a quarter of a second).
constexpr int kTurningHalf = 2;
constexpr double kTurningStep = 0.35;  // m
constexpr double kTurningSd = 0.4;     // m
// Explanations that are less probable than the best by this are left out, natural log units.
constexpr double kNegligible = 9.0;

// The grid seen from a displacement: value at c of the result is the value at c + by; beyond the border its value goes
// on.
ArrayXXf moved(const ArrayXXf& values, const Vector2d& by_cells) {
    if (by_cells.isZero(1e-9)) {
        return values;
    }
    const auto along_columns = [](const ArrayXXf& in, double by) {
        const double whole = std::floor(by);
        const float share = static_cast<float>(by - whole);
        const Eigen::Index last = in.cols() - 1;
        const auto at = [&](Eigen::Index place) {
            return std::clamp<Eigen::Index>(place + static_cast<Eigen::Index>(whole), 0, last);
        };
        ArrayXXf out(in.rows(), in.cols());
        for (Eigen::Index y = 0; y <= last; ++y) {
            out.col(y) = (1.0F - share) * in.col(at(y)) + share * in.col(at(y + 1));
        }
        return out;
    };
    const ArrayXXf once = along_columns(values, by_cells.y());
    return along_columns(once.transpose(), by_cells.x()).transpose();
}

struct Chain {
    std::vector<ArrayXXf> likelihoods;  // of the drift, highest 1
    std::vector<double> blur;           // cells, from each frame to the next
};

struct Forward {
    std::vector<ArrayXXf> filtered;
    double evidence = 0.0;  // natural log
};

// likelihoods: of the displacements that are voted for, highest 1.
Chain make_chain(const std::vector<DisplacementVotes>& votes,
                 const std::vector<ArrayXXf>& likelihoods,
                 const DisplacementGrid& grid,
                 const Vector2d& turning) {
    Chain chain;
    for (std::size_t i = 0; i < votes.size(); ++i) {
        chain.likelihoods.push_back(moved(likelihoods[i], turned(votes[i].forward, turning) / grid.step_m));
    }
    return chain;
}

std::vector<double> blurs(const std::vector<DisplacementVotes>& votes, const DisplacementGrid& grid, double wander) {
    std::vector<double> cells;
    for (std::size_t i = 0; i + 1 < votes.size(); ++i) {
        const double elapsed = std::max(0.0, votes[i + 1].time_s - votes[i].time_s);
        cells.push_back(wander * std::sqrt(elapsed) / grid.step_m);
    }
    return cells;
}

Forward run_forward(const Chain& chain) {
    Forward forward;
    const Eigen::Index cells = chain.likelihoods.front().rows();
    ArrayXXf state = ArrayXXf::Constant(cells, cells, 1.0F / static_cast<float>(cells * cells));
    for (std::size_t i = 0; i < chain.likelihoods.size(); ++i) {
        if (i > 0) {
            state = smoothed(state, chain.blur[i - 1]);
        }
        state *= chain.likelihoods[i];
        const float sum = std::max(state.sum(), 1e-30F);
        forward.evidence += std::log(static_cast<double>(sum));
        state /= sum;
        forward.filtered.push_back(state);
    }
    return forward;
}

// Probability of each drift, frame by frame.
std::vector<ArrayXXf> run_backward(const Chain& chain, std::vector<ArrayXXf> filtered) {
    ArrayXXf later = ArrayXXf::Ones(filtered.front().rows(), filtered.front().cols());
    for (std::size_t i = filtered.size(); i-- > 0;) {
        filtered[i] *= later;
        filtered[i] /= std::max(filtered[i].sum(), 1e-30F);
        if (i > 0) {
            later = smoothed(later * chain.likelihoods[i], chain.blur[i - 1]);
            later /= std::max(later.maxCoeff(), 1e-30F);
        }
    }
    return filtered;
}

DisplacementTrack::Frame summed_up(const ArrayXXf& mass, const DisplacementGrid& grid, double near_m) {
    DisplacementTrack::Frame frame;
    Vector2d sum = Vector2d::Zero();
    Matrix2d squares = Matrix2d::Zero();
    double total = 0.0;
    for (Eigen::Index y = 0; y < mass.cols(); ++y) {
        for (Eigen::Index x = 0; x < mass.rows(); ++x) {
            const Vector2d place = grid.at(x, y);
            const double weight = static_cast<double>(mass(x, y));
            total += weight;
            sum += weight * place;
            squares += weight * place * place.transpose();
        }
    }
    total = std::max(total, 1e-30);
    frame.mean = sum / total;
    // A cell's own width is part of what is not known.
    frame.covariance =
        squares / total - frame.mean * frame.mean.transpose() + Matrix2d::Identity() * grid.step_m * grid.step_m / 12.0;
    double near = 0.0;
    double far = 0.0;
    for (Eigen::Index y = 0; y < mass.cols(); ++y) {
        for (Eigen::Index x = 0; x < mass.rows(); ++x) {
            ((grid.at(x, y) - frame.mean).norm() < near_m ? near : far) += static_cast<double>(mass(x, y));
        }
    }
    frame.margin = std::log(std::max(near, 1e-30) / std::max(far, 1e-12));
    return frame;
}

}  // namespace

Vector2d turned(const Vector2d& forward, const Vector2d& turning) {
    return turning.x() * forward + turning.y() * Vector2d(forward.y(), -forward.x());
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

DisplacementTrack track_displacement(const std::vector<DisplacementVotes>& votes,
                                     const DisplacementGrid& grid,
                                     double near_m,
                                     const ForEach& for_each) {
    DisplacementTrack track;
    if (votes.empty()) {
        return track;
    }
    struct Explanation {
        Vector2d turning;
        double wander;
        double evidence;
    };
    std::vector<ArrayXXf> likelihoods;
    for (const DisplacementVotes& vote : votes) {
        likelihoods.emplace_back((vote.votes - vote.votes.maxCoeff()).exp());
    }
    std::vector<Vector2d> turnings;
    for (int ahead = -kTurningHalf; ahead <= kTurningHalf; ++ahead) {
        for (int right = -kTurningHalf; right <= kTurningHalf; ++right) {
            turnings.emplace_back(kTurningStep * Vector2d(ahead, right));
        }
    }
    std::vector<Explanation> explanations(turnings.size() * kWanders.size());
    for_each(turnings.size(), [&](std::size_t t) {
        const Vector2d& turning = turnings[t];
        Chain chain = make_chain(votes, likelihoods, grid, turning);
        for (std::size_t w = 0; w < kWanders.size(); ++w) {
            chain.blur = blurs(votes, grid, kWanders[w]);
            const double prior = -0.5 * turning.squaredNorm() / (kTurningSd * kTurningSd);
            explanations[t * kWanders.size() + w] = {turning, kWanders[w], prior + run_forward(chain).evidence};
        }
    });
    const Explanation* best = nullptr;
    for (const Explanation& e : explanations) {
        best = best == nullptr || e.evidence > best->evidence ? &e : best;
    }
    track.turning = best->turning;
    track.wander_m = best->wander;
    std::vector<ArrayXXf> mass(votes.size(), ArrayXXf::Zero(grid.size(), grid.size()));
    for (const Explanation& e : explanations) {
        if (e.evidence < best->evidence - kNegligible) {
            continue;
        }
        Chain chain = make_chain(votes, likelihoods, grid, e.turning);
        chain.blur = blurs(votes, grid, e.wander);
        const std::vector<ArrayXXf> drift = run_backward(chain, run_forward(chain).filtered);
        const float weight = static_cast<float>(std::exp(e.evidence - best->evidence));
        for (std::size_t i = 0; i < votes.size(); ++i) {
            mass[i] += weight * moved(drift[i], -turned(votes[i].forward, e.turning) / grid.step_m);
        }
    }
    for (ArrayXXf& one : mass) {
        one /= std::max(one.sum(), 1e-30F);
        track.frames.push_back(summed_up(one, grid, near_m));
    }
    return track;
}

}  // namespace heatrow::detail
