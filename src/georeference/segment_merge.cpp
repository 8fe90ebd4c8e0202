#include "segment_merge.hpp"

#include "segment_tree.hpp"

#include <algorithm>

namespace heatrow::detail {

namespace {

// `joins`: pairs of segments, each in one pair at most, the later one to move to the earlier one's lattice.
RigidSegments joined(const RigidSegments& segments, const std::vector<const SegmentLink*>& joins) {
    std::vector<const SegmentLink*> into(static_cast<std::size_t>(segments.count), nullptr);
    for (const SegmentLink* join : joins) {
        into[static_cast<std::size_t>(join->b)] = join;
    }
    RigidSegments result;
    std::vector<int> number(static_cast<std::size_t>(segments.count), -1);
    for (std::size_t frame = 0; frame < segments.segment_of.size(); ++frame) {
        int segment = segments.segment_of[frame];
        LatticeOffset to_reference = segments.to_reference[frame];
        if (const SegmentLink* join = into[static_cast<std::size_t>(segment)]) {
            segment = join->a;
            to_reference = to_reference + join->best();
        }
        int& own = number[static_cast<std::size_t>(segment)];
        if (own < 0) {
            own = result.count++;
        }
        result.segment_of.push_back(own);
        result.to_reference.push_back(to_reference);
    }
    return result;
}

}  // namespace

RigidSegments merge_segments(const FlightEvidence& flight,
                             RigidSegments segments,
                             const std::vector<JudgedTie>& ties,
                             const PlaceOptions& options) {
    for (;;) {
        std::vector<SegmentLink> links = link_segments(flight, segments, ties, options);
        std::erase_if(links, [&](const SegmentLink& link) { return link.margin < options.rigid_margin; });
        std::stable_sort(
            links.begin(), links.end(), [](const SegmentLink& a, const SegmentLink& b) { return a.margin > b.margin; });
        // What a join changes is looked at anew before it is joined further.
        std::vector<bool> taken(static_cast<std::size_t>(segments.count), false);
        std::vector<const SegmentLink*> joins;
        for (const SegmentLink& link : links) {
            if (!taken[static_cast<std::size_t>(link.a)] && !taken[static_cast<std::size_t>(link.b)]) {
                taken[static_cast<std::size_t>(link.a)] = true;
                taken[static_cast<std::size_t>(link.b)] = true;
                joins.push_back(&link);
            }
        }
        if (joins.empty()) {
            return segments;
        }
        segments = joined(segments, joins);
    }
}

}  // namespace heatrow::detail
