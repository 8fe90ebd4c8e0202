// Segments and what links them: beliefs over the offsets of each.
#pragma once

#include "rigid_segments.hpp"

#include <algorithm>
#include <map>
#include <utility>
#include <vector>

namespace heatrow::detail {

// Log-likelihood of two segments by the step from the offset of `a` to that of `b`.
struct SegmentLink {
    int a = 0;
    int b = 0;
    OffsetWindow steps;                  // twice the window of offsets
    std::vector<double> log_likelihood;  // by steps.index_of
    double margin = 0.0;                 // of the best step over the second best

    [[nodiscard]] double at(LatticeOffset step) const {
        return log_likelihood[static_cast<std::size_t>(steps.index_of(step))];
    }
    [[nodiscard]] LatticeOffset best() const {
        return steps.at(
            static_cast<int>(std::max_element(log_likelihood.begin(), log_likelihood.end()) - log_likelihood.begin()));
    }
};

// Between segments that have a tie that was not cut, by the barcodes of all their frames; and from the change of
// position where a segment follows another in time.
std::vector<SegmentLink> link_segments(const FlightEvidence& flight,
                                       const RigidSegments& segments,
                                       const std::vector<JudgedTie>& ties,
                                       const PlaceOptions& options);

// Of every tree the links that say most; the others are left out.
std::vector<SegmentLink> spanning_links(std::vector<SegmentLink> links, int segment_count);

// Every tree of links hung up at one of its segments.
class RootedForest {
  public:
    RootedForest(int segment_count, const std::vector<SegmentLink>& tree);  // keeps references into `tree`

    [[nodiscard]] const std::vector<int>& outward() const { return outward_; }  // parents before their children
    [[nodiscard]] int parent(int segment) const { return parent_[static_cast<std::size_t>(segment)]; }  // -1: a root
    [[nodiscard]] const std::vector<int>& children(int segment) const {
        return children_[static_cast<std::size_t>(segment)];
    }
    [[nodiscard]] const SegmentLink& link_to_parent(int segment) const {
        return *link_[static_cast<std::size_t>(segment)];
    }

  private:
    std::vector<int> outward_;
    std::vector<int> parent_;
    std::vector<std::vector<int>> children_;
    std::vector<const SegmentLink*> link_;
};

// Forward-backward over the trees: log of the posterior, up to a constant, of every offset of every segment.
// `own`: by segment and OffsetWindow::index_of; minus infinity where an offset does not come into question.
std::vector<std::vector<double>> propagate(const std::vector<std::vector<double>>& own,
                                           const OffsetWindow& window,
                                           const std::vector<SegmentLink>& tree);

// Natural log of the sum of exponentials; minus infinity of nothing.
double log_sum(const std::vector<double>& logs);

}  // namespace heatrow::detail
