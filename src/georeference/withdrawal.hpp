// Whether a reading of a whole flight stands when its strongest witnesses are taken away.
#pragma once

#include "segment_tree.hpp"

#include <vector>

namespace heatrow::detail {

// By how much (natural log) the chosen offsets of all segments lead over the best reading in which `segment` has
// another offset, the `withdrawn` witnesses that speak most for the lead being left out, wherever in the tree they are.
// Exact: least sums over the trees of links, for every number of witnesses withdrawn.
class Withdrawal {
  public:
    // witnesses: by segment, votes of each by OffsetWindow::index_of. allowed: by segment; minus infinity where an
    // offset does not come into question. chosen: by segment.
    Withdrawal(const std::vector<std::vector<std::vector<double>>>& witnesses,
               const std::vector<std::vector<double>>& allowed,
               const std::vector<int>& chosen,
               const OffsetWindow& window,
               const std::vector<SegmentLink>& tree,
               int withdrawn);

    // Infinite for an offset that does not come into question.
    [[nodiscard]] double lead(int segment, int offset) const;

  private:
    int withdrawn_;
    // By segment; then lead by offset and number of witnesses withdrawn.
    std::vector<std::vector<double>> leads_;
};

}  // namespace heatrow::detail
