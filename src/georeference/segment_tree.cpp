#include "segment_tree.hpp"

#include "heatrow/georeference/barcode.hpp"
#include "position_scatter.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <set>

namespace heatrow::detail {

namespace {

constexpr double kNever = -std::numeric_limits<double>::infinity();
constexpr int kFramesAveraged = 4;  // positions on either side of a change of segment (own choice)

// Mean of (logged less solved) position of some frames of a segment, its offset being (0, 0).
struct MeanDeviation {
    Eigen::Vector2d deviation_m{0.0, 0.0};
    double time_s = 0.0;
    double variance_m2 = 0.0;  // beyond what logged positions scatter
    int frames = 0;
};

// Of the frames with a log nearest to `from`, going by `direction`, that belong to the segment; of the nearest position
// that was filled in where none has a log.
MeanDeviation mean_deviation(const FlightEvidence& flight, const RigidSegments& segments, int from, int direction) {
    MeanDeviation mean;
    MeanDeviation filled;
    const int segment = segments.segment_of[static_cast<std::size_t>(from)];
    for (int i = from; i >= 0 && i < static_cast<int>(flight.frames.size()) && mean.frames < kFramesAveraged &&
                       segments.segment_of[static_cast<std::size_t>(i)] == segment;
         i += direction) {
        const FrameEvidence& frame = flight.frames[static_cast<std::size_t>(i)];
        const LatticeOffset offset = segments.to_reference[static_cast<std::size_t>(i)];
        if (!frame.deviation_m.allFinite()) {
            continue;
        }
        const Eigen::Vector2d own = frame.deviation_m - Eigen::Vector2d(offset.along * flight.pitch_along_m,
                                                                        offset.across * flight.pitch_across_m);
        if (frame.deviation_u_m == 0.0) {
            mean.deviation_m += own;
            mean.time_s += frame.time_s;
            ++mean.frames;
        } else if (filled.frames == 0) {
            filled = {own, frame.time_s, frame.deviation_u_m * frame.deviation_u_m, 1};
        }
    }
    if (mean.frames == 0) {
        return filled;
    }
    mean.deviation_m /= mean.frames;
    mean.time_s /= mean.frames;
    return mean;
}

class LinkSum {
  public:
    LinkSum(const FlightEvidence& flight, const RigidSegments& segments, const PlaceOptions& options)
        : flight_(flight),
          segments_(segments),
          positions_(measured_positions(flight, segments, options.positions)),
          steps_{2 * flight.window.along, 2 * flight.window.across},
          frames_of_(static_cast<std::size_t>(segments.count)) {
        for (std::size_t frame = 0; frame < flight.frames.size(); ++frame) {
            frames_of_[static_cast<std::size_t>(segments.segment_of[frame])].push_back(static_cast<int>(frame));
        }
    }

    // Two segments that may have seen the same: by the barcodes of all their frames, so that each module they share
    // counts once.
    void add_barcodes(int frame_of_one, int frame_of_other) {
        const int a = segments_.segment_of[static_cast<std::size_t>(frame_of_one)];
        const int b = segments_.segment_of[static_cast<std::size_t>(frame_of_other)];
        if (!compared_.insert({std::min(a, b), std::max(a, b)}).second) {
            return;
        }
        SegmentLink& link = between(std::min(a, b), std::max(a, b));
        for (const RelativeVote& vote : compare_barcodes(barcode_of(link.a), barcode_of(link.b), {}, steps_)) {
            link.log_likelihood[static_cast<std::size_t>(steps_.index_of(vote.relative))] += vote.log_likelihood;
        }
    }

    // Where frame `before` belongs to another segment than `after`, with nothing between them that has a log.
    void add_change(int before, int after) {
        const MeanDeviation first = mean_deviation(flight_, segments_, before, -1);
        const MeanDeviation second = mean_deviation(flight_, segments_, after, 1);
        if (first.frames == 0 || second.frames == 0) {
            return;
        }
        const int a = segments_.segment_of[static_cast<std::size_t>(before)];
        const int b = segments_.segment_of[static_cast<std::size_t>(after)];
        if (!changed_.insert({std::min(a, b), std::max(a, b)}).second) {
            return;  // a later change between the same two says the same again
        }
        SegmentLink& link = between(std::min(a, b), std::max(a, b));
        // The mean of a few positions is no better than one of them by more than what they share.
        const double between_s = flight_.frames[static_cast<std::size_t>(after)].time_s -
                                 flight_.frames[static_cast<std::size_t>(before)].time_s;
        const double scatter = between_s > positions_.pause_s
                                   ? 2.0 * positions_.bias_sd_m * positions_.bias_sd_m
                                   : positions_.change_variance_m2(second.time_s - first.time_s);
        const double variance = scatter + first.variance_m2 + second.variance_m2;
        const Eigen::Vector2d change = second.deviation_m - first.deviation_m;
        for (int i = 0; i < steps_.size(); ++i) {
            const LatticeOffset step = a < b ? steps_.at(i) : -steps_.at(i);
            const Eigen::Vector2d left =
                change - Eigen::Vector2d(step.along * flight_.pitch_along_m, step.across * flight_.pitch_across_m);
            link.log_likelihood[static_cast<std::size_t>(i)] +=
                std::log(std::exp(-0.5 * left.squaredNorm() / variance) + positions_.outlier);
        }
    }

    [[nodiscard]] std::vector<SegmentLink> take() {
        std::vector<SegmentLink> links;
        for (auto& [pair, link] : links_) {
            std::vector<double> sorted = link.log_likelihood;
            std::nth_element(sorted.begin(), sorted.begin() + 1, sorted.end(), std::greater<>());
            link.margin = sorted[0] - sorted[1];
            links.push_back(std::move(link));
        }
        return links;
    }

  private:
    // Of a segment: mean of its frames' cells, on its own lattice.
    const std::vector<BarcodeCell>& barcode_of(int segment) {
        const auto [found, is_new] = barcodes_.try_emplace(segment);
        if (is_new) {
            std::map<LatticeOffset, std::pair<double, int>> sums;
            for (const int frame : frames_of_[static_cast<std::size_t>(segment)]) {
                const LatticeOffset to_reference = segments_.to_reference[static_cast<std::size_t>(frame)];
                for (const BarcodeCell& cell : flight_.frames[static_cast<std::size_t>(frame)].barcode) {
                    auto& [sum, count] = sums[cell.place + to_reference];
                    sum += cell.mean;
                    ++count;
                }
            }
            for (const auto& [place, sum] : sums) {
                found->second.push_back({place, sum.first / sum.second});
            }
        }
        return found->second;
    }
    SegmentLink& between(int a, int b) {
        SegmentLink& link = links_[{a, b}];
        if (link.log_likelihood.empty()) {
            link.a = a;
            link.b = b;
            link.steps = steps_;
            link.log_likelihood.assign(static_cast<std::size_t>(steps_.size()), 0.0);
        }
        return link;
    }

    const FlightEvidence& flight_;
    const RigidSegments& segments_;
    PositionOptions positions_;
    OffsetWindow steps_;
    std::map<std::pair<int, int>, SegmentLink> links_;
    std::vector<std::vector<int>> frames_of_;
    std::map<int, std::vector<BarcodeCell>> barcodes_;
    std::set<std::pair<int, int>> compared_;
    std::set<std::pair<int, int>> changed_;
};

}  // namespace

double log_sum(const std::vector<double>& logs) {
    const double largest = logs.empty() ? kNever : *std::max_element(logs.begin(), logs.end());
    if (largest == kNever) {
        return kNever;
    }
    double sum = 0.0;
    for (const double value : logs) {
        sum += std::exp(value - largest);
    }
    return largest + std::log(sum);
}

std::vector<SegmentLink> link_segments(const FlightEvidence& flight,
                                       const RigidSegments& segments,
                                       const std::vector<JudgedTie>& ties,
                                       const PlaceOptions& options) {
    LinkSum sum(flight, segments, options);
    for (const JudgedTie& tie : ties) {
        if (!tie.cut && segments.segment_of[static_cast<std::size_t>(tie.a)] !=
                            segments.segment_of[static_cast<std::size_t>(tie.b)]) {
            sum.add_barcodes(tie.a, tie.b);
        }
    }
    int logged = -1;  // the last frame before this one that has a log
    for (int i = 0; i < static_cast<int>(flight.frames.size()); ++i) {
        const auto segment_of = [&](int frame) { return segments.segment_of[static_cast<std::size_t>(frame)]; };
        if (i > 0 && segment_of(i - 1) != segment_of(i)) {
            sum.add_barcodes(i - 1, i);
            sum.add_change(i - 1, i);
        }
        const FrameEvidence& frame = flight.frames[static_cast<std::size_t>(i)];
        if (frame.deviation_m.allFinite() && frame.deviation_u_m == 0.0) {
            if (logged >= 0 && logged < i - 1 && segment_of(logged) != segment_of(i)) {
                sum.add_change(logged, i);
            }
            logged = i;
        }
    }
    return sum.take();
}

std::vector<SegmentLink> spanning_links(std::vector<SegmentLink> links, int segment_count) {
    std::stable_sort(
        links.begin(), links.end(), [](const SegmentLink& a, const SegmentLink& b) { return a.margin > b.margin; });
    std::vector<int> group(static_cast<std::size_t>(segment_count));
    std::iota(group.begin(), group.end(), 0);
    std::vector<SegmentLink> tree;
    for (SegmentLink& link : links) {
        const int from = group[static_cast<std::size_t>(link.b)];
        const int to = group[static_cast<std::size_t>(link.a)];
        if (from != to) {
            std::replace(group.begin(), group.end(), from, to);
            tree.push_back(std::move(link));
        }
    }
    return tree;
}

RootedForest::RootedForest(int segment_count, const std::vector<SegmentLink>& tree)
    : parent_(static_cast<std::size_t>(segment_count), -1),
      children_(static_cast<std::size_t>(segment_count)),
      link_(static_cast<std::size_t>(segment_count), nullptr) {
    std::vector<std::vector<const SegmentLink*>> links_of(static_cast<std::size_t>(segment_count));
    for (const SegmentLink& link : tree) {
        links_of[static_cast<std::size_t>(link.a)].push_back(&link);
        links_of[static_cast<std::size_t>(link.b)].push_back(&link);
    }
    std::vector<bool> reached(static_cast<std::size_t>(segment_count), false);
    for (int root = 0; root < segment_count; ++root) {
        if (reached[static_cast<std::size_t>(root)]) {
            continue;
        }
        reached[static_cast<std::size_t>(root)] = true;
        outward_.push_back(root);
        for (std::size_t next = outward_.size() - 1; next < outward_.size(); ++next) {
            const int segment = outward_[next];
            for (const SegmentLink* link : links_of[static_cast<std::size_t>(segment)]) {
                const int other = link->a == segment ? link->b : link->a;
                if (!reached[static_cast<std::size_t>(other)]) {
                    reached[static_cast<std::size_t>(other)] = true;
                    parent_[static_cast<std::size_t>(other)] = segment;
                    link_[static_cast<std::size_t>(other)] = link;
                    children_[static_cast<std::size_t>(segment)].push_back(other);
                    outward_.push_back(other);
                }
            }
        }
    }
}

std::vector<std::vector<double>> propagate(const std::vector<std::vector<double>>& own,
                                           const OffsetWindow& window,
                                           const std::vector<SegmentLink>& tree) {
    const RootedForest forest(static_cast<int>(own.size()), tree);
    const auto states = static_cast<std::size_t>(window.size());
    // What `from` says at the other end of the link, given all that reaches `from` by other ways.
    const auto message = [&](const std::vector<double>& at_from, int from, const SegmentLink& link) {
        std::vector<double> result(states, kNever);
        std::vector<double> terms;
        for (std::size_t there = 0; there < states; ++there) {
            terms.clear();
            for (std::size_t here = 0; here < states; ++here) {
                if (at_from[here] != kNever) {
                    const LatticeOffset step = window.at(static_cast<int>(there)) - window.at(static_cast<int>(here));
                    terms.push_back(at_from[here] + link.at(from == link.a ? step : -step));
                }
            }
            result[there] = log_sum(terms);
        }
        return result;
    };
    const auto add = [](std::vector<double>& sum, const std::vector<double>& term) {
        for (std::size_t i = 0; i < sum.size(); ++i) {
            sum[i] += term[i];
        }
    };

    // Inward: own and all children. `upward` is what a segment tells its parent.
    std::vector<std::vector<double>> inward = own;
    std::vector<std::vector<double>> upward(own.size());
    for (auto it = forest.outward().rbegin(); it != forest.outward().rend(); ++it) {
        const auto segment = static_cast<std::size_t>(*it);
        if (const int parent = forest.parent(*it); parent >= 0) {
            upward[segment] = message(inward[segment], *it, forest.link_to_parent(*it));
            add(inward[static_cast<std::size_t>(parent)], upward[segment]);
        }
    }
    // Outward: the parent's belief without what the segment itself told it.
    std::vector<std::vector<double>> belief = inward;
    for (const int segment : forest.outward()) {
        const auto s = static_cast<std::size_t>(segment);
        if (const int parent = forest.parent(segment); parent >= 0) {
            std::vector<double> others = belief[static_cast<std::size_t>(parent)];
            for (std::size_t i = 0; i < others.size(); ++i) {
                others[i] = others[i] == kNever ? kNever : others[i] - upward[s][i];
            }
            add(belief[s], message(others, parent, forest.link_to_parent(segment)));
        }
    }
    return belief;
}

}  // namespace heatrow::detail
