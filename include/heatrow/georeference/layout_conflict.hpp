// Tables that the layout draws elsewhere along the row than they are, beside others that it draws rightly: decided over
// all frames, as a single one may have locked on the wrong row (docs/alignment.md). Without pixels.
#pragma once

#include "heatrow/core/placed_view.hpp"
#include "heatrow/core/slot_record.hpp"
#include "heatrow/site/layout.hpp"
#include "heatrow/site/layout_index.hpp"

#include <Eigen/Core>

#include <optional>
#include <span>
#include <vector>

namespace heatrow {

struct LayoutConflict {
    int table = 0;  // index in Layout::tables
    // Where it is, from where it is drawn: pitches along the row, less whole ones; -0.5 to 0.5. NaN where no one shift
    // brings it into place, as of a table drawn too long.
    double along = 0.0;
    int frames = 0;  // that show it off beside a table that is right
};

struct LayoutConflicts {
    std::vector<LayoutConflict> tables;  // ascending
    int compared = 0;                    // tables that some frames show beside another one
};

// Of tables that hang together through common frames, those that agree with most others are right. Where none are in
// the majority, all of them are in conflict. A table that is never seen beside another one is left as it is.
LayoutConflicts find_layout_conflicts(std::span<const SlotRecord> records);

// A layout that lies elsewhere as a whole: some frames lock on rows that happen to be near, and badly.
struct PoorFit {
    int locked = 0;       // frames
    int not_locked = 0;   // see no module of the layout, or their edges do not fit it
    double rms_px = 0.0;  // of what is left at the edges, median over locked frames
};

// Nothing where the layout fits, or no frame locked. Frames placed by corner points do not speak. not_locked: frames
// without a record.
std::optional<PoorFit> find_poor_fit(std::span<const SlotRecord> locked, int not_locked);

// The layout with those tables where the frames show them, modulo a pitch, for another lock, or far away where no shift
// tells: what stands there is not what is drawn, and must not draw locks to itself. Nothing without conflicts.
std::optional<Layout> move_tables(const Layout& layout,
                                  const LayoutConflicts& conflicts,
                                  const Eigen::Vector3d& pitch_along);

// Whether the module lies on one of those tables.
bool is_in_conflict(const Layout& layout, int module, const LayoutConflicts& conflicts);

// Their views lose their names and have the neighbours along the row as candidates.
void leave_open(const LayoutIndex& site, const LayoutConflicts& conflicts, std::span<PlacedView> views);

}  // namespace heatrow
