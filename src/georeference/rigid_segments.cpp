#include "rigid_segments.hpp"

#include "heatrow/georeference/barcode.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <numeric>
#include <utility>

namespace heatrow::detail {

namespace {

// Best and second best of the votes, the change of position taken in.
JudgedTie judge(const FlightEvidence& flight, const FrameTie& tie, const PlaceOptions& options) {
    JudgedTie judged{tie.a, tie.b, &tie.votes, {}, 0.0, 0.0, false};
    double best = -std::numeric_limits<double>::infinity();
    double second = best;
    for (const RelativeVote& vote : tie.votes) {
        const double total = vote.log_likelihood + change_log_likelihood(flight, tie.a, tie.b, vote.relative, options);
        if (total > best) {
            second = best;
            best = total;
            judged.best = vote.relative;
        } else {
            second = std::max(second, total);
        }
    }
    judged.margin = tie.votes.size() > 1 ? best - second : 0.0;
    return judged;
}

// Three ties between three frames.
struct Triangle {
    std::array<std::size_t, 3> ties;
    bool closes = false;  // their offsets sum to zero
};

std::vector<Triangle> find_triangles(const std::vector<JudgedTie>& ties) {
    std::map<std::pair<int, int>, std::size_t> tie_of;
    std::map<int, std::vector<int>> later;  // frames that are tied to this one and come after it
    for (std::size_t i = 0; i < ties.size(); ++i) {
        tie_of[{ties[i].a, ties[i].b}] = i;
        later[ties[i].a].push_back(ties[i].b);
    }
    std::vector<Triangle> triangles;
    for (const auto& [first, others] : later) {
        for (const int second : others) {
            for (const int third : others) {
                if (const auto far = tie_of.find({second, third}); far != tie_of.end()) {
                    const std::size_t ab = tie_of[{first, second}];
                    const std::size_t ac = tie_of[{first, third}];
                    triangles.push_back(
                        {{ab, ac, far->second}, ties[ab].best + ties[far->second].best == ties[ac].best});
                }
            }
        }
    }
    return triangles;
}

// Triangles that close strengthen their ties by the lesser margin of the other two. Of those that do not, the tie that
// most speaks against is cut, until no tie has more against it than for it.
void weigh_triangles(std::vector<JudgedTie>& ties) {
    const std::vector<Triangle> triangles = find_triangles(ties);
    std::vector<std::vector<std::size_t>> triangles_of(ties.size());
    std::vector<double> against(ties.size(), 0.0);
    const auto weigh = [&](std::size_t triangle, double sign) {
        const auto& [a, b, c] = triangles[triangle].ties;
        const double direction = triangles[triangle].closes ? -sign : sign;
        against[a] += direction * std::min(ties[b].margin, ties[c].margin);
        against[b] += direction * std::min(ties[a].margin, ties[c].margin);
        against[c] += direction * std::min(ties[a].margin, ties[b].margin);
    };
    std::vector<bool> broken(triangles.size(), false);
    for (std::size_t i = 0; i < triangles.size(); ++i) {
        weigh(i, 1.0);
        for (const std::size_t tie : triangles[i].ties) {
            triangles_of[tie].push_back(i);
        }
    }
    for (;;) {
        const auto worst = std::max_element(against.begin(), against.end());
        if (worst == against.end() || *worst <= 0.0) {
            break;
        }
        const auto tie = static_cast<std::size_t>(worst - against.begin());
        ties[tie].cut = true;
        for (const std::size_t triangle : triangles_of[tie]) {
            if (!broken[triangle]) {
                broken[triangle] = true;
                weigh(triangle, -1.0);
            }
        }
        against[tie] = -std::numeric_limits<double>::infinity();
    }
    for (std::size_t i = 0; i < ties.size(); ++i) {
        ties[i].strength = ties[i].cut ? 0.0 : ties[i].margin - against[i];
    }
}

// Disjoint sets of frames, each member with its offset from the root.
class OffsetForest {
  public:
    explicit OffsetForest(int count)
        : parent_(static_cast<std::size_t>(count)),
          from_parent_(static_cast<std::size_t>(count)),
          size_(static_cast<std::size_t>(count), 1) {
        std::iota(parent_.begin(), parent_.end(), 0);
    }

    struct Place {
        int root;
        LatticeOffset from_root;
    };
    Place find(int frame) {
        const auto f = static_cast<std::size_t>(frame);
        if (parent_[f] == frame) {
            return {frame, {}};
        }
        const Place above = find(parent_[f]);
        parent_[f] = above.root;
        from_parent_[f] = from_parent_[f] + above.from_root;
        return {above.root, from_parent_[f]};
    }
    // Joins the trees of a and b so that b's offset is a's plus `relative`.
    void join(int a, int b, LatticeOffset relative) {
        const Place of_a = find(a);
        const Place of_b = find(b);
        if (size_[static_cast<std::size_t>(of_a.root)] < size_[static_cast<std::size_t>(of_b.root)]) {
            join(b, a, -relative);
            return;
        }
        size_[static_cast<std::size_t>(of_a.root)] += size_[static_cast<std::size_t>(of_b.root)];
        parent_[static_cast<std::size_t>(of_b.root)] = of_a.root;
        from_parent_[static_cast<std::size_t>(of_b.root)] = of_a.from_root + relative - of_b.from_root;
    }

  private:
    std::vector<int> parent_;
    std::vector<LatticeOffset> from_parent_;
    std::vector<int> size_;  // of the tree, at its root
};

}  // namespace

double change_log_likelihood(
    const FlightEvidence& flight, int a, int b, LatticeOffset relative, const PlaceOptions& options) {
    const FrameEvidence& first = flight.frames[static_cast<std::size_t>(a)];
    const FrameEvidence& second = flight.frames[static_cast<std::size_t>(b)];
    const Eigen::Vector2d step(relative.along * flight.pitch_along_m, relative.across * flight.pitch_across_m);
    // A larger offset puts the solved position further on, and so the deviation back.
    const Eigen::Vector2d change = second.deviation_m - step - first.deviation_m;
    if (!change.allFinite()) {
        return 0.0;
    }
    const double variance = options.positions.change_variance_m2(first, second);
    return std::log(std::exp(-0.5 * change.squaredNorm() / variance) + options.positions.outlier);
}

std::vector<JudgedTie> judge_ties(const FlightEvidence& flight, const PlaceOptions& options) {
    std::vector<JudgedTie> ties;
    ties.reserve(flight.ties.size());
    for (const FrameTie& tie : flight.ties) {
        if (!tie.votes.empty()) {
            ties.push_back(judge(flight, tie, options));
        }
    }
    weigh_triangles(ties);
    return ties;
}

RigidSegments join_frames(int frame_count, std::vector<JudgedTie>& ties, double rigid_margin) {
    std::vector<std::size_t> order(ties.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(
        order.begin(), order.end(), [&](std::size_t i, std::size_t j) { return ties[i].strength > ties[j].strength; });
    OffsetForest forest(frame_count);
    for (const std::size_t i : order) {
        const JudgedTie& tie = ties[i];
        if (tie.cut || tie.strength < rigid_margin || tie.b - tie.a >= PairOptions{}.pass_frames) {
            continue;
        }
        const OffsetForest::Place a = forest.find(tie.a);
        const OffsetForest::Place b = forest.find(tie.b);
        if (a.root != b.root) {
            forest.join(tie.a, tie.b, tie.best);
        }
    }
    for (JudgedTie& tie : ties) {
        const OffsetForest::Place a = forest.find(tie.a);
        const OffsetForest::Place b = forest.find(tie.b);
        tie.cut = tie.cut || (a.root == b.root && b.from_root - a.from_root != tie.best);
    }
    RigidSegments segments;
    std::map<int, int> segment_of_root;
    std::vector<LatticeOffset> first_of;
    for (int frame = 0; frame < frame_count; ++frame) {
        const OffsetForest::Place place = forest.find(frame);
        const auto [found, is_new] = segment_of_root.try_emplace(place.root, segments.count);
        if (is_new) {
            ++segments.count;
            first_of.push_back(place.from_root);
        }
        segments.segment_of.push_back(found->second);
        segments.to_reference.push_back(place.from_root - first_of[static_cast<std::size_t>(found->second)]);
    }
    return segments;
}

}  // namespace heatrow::detail
