#include "heatrow/georeference/naming.hpp"

#include <algorithm>
#include <limits>

namespace heatrow {

std::vector<PlacedView> name_views(std::span<const SlotRecord> records,
                                   const FlightAlignment& alignment,
                                   const NamingOptions& options) {
    std::vector<PlacedView> views;
    for (const SlotRecord& record : records) {
        const double margin = std::min(alignment.margin, record.slip_margin);
        const Placement placement = margin >= options.threshold ? Placement::placed : Placement::ambiguous;
        for (std::size_t i = 0; i < record.slots.size(); ++i) {
            const ModuleSlot& slot = record.slots[i];
            views.push_back({record.frame, static_cast<int>(i), slot.module, placement, margin, slot.corners_px});
        }
    }
    return views;
}

FlightAlignment fixed_by_points() {
    FlightAlignment alignment;
    alignment.margin = std::numeric_limits<double>::infinity();
    return alignment;
}

}  // namespace heatrow
