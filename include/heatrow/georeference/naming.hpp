// Which modules the locked frames saw: decided for the whole flight, without pixels (docs/naming.md).
#pragma once

#include "heatrow/core/placed_view.hpp"
#include "heatrow/core/slot_record.hpp"
#include "heatrow/georeference/flight_alignment.hpp"
#include "heatrow/georeference/place_decision.hpp"
#include "heatrow/site/layout_index.hpp"

#include <optional>
#include <span>
#include <vector>

namespace heatrow {

// Where a frame stands on the lattice, from the place where it was locked.
struct FrameName {
    LatticeOffset offset;  // most probable
    bool named = false;
    PlaceReason reason = PlaceReason::nothing_tells;
    double log_odds = 0.0;              // as SegmentDecision; minus infinity of a frame without slots
    std::vector<LatticeOffset> rivals;  // other offsets that it may have; empty where named
    int segment = -1;                   // frames of one number move as one; -1: a frame without slots
};

// By control, of some records: the offset that they must have. As many as records, or none at all.
using KnownOffsets = std::span<const std::optional<LatticeOffset>>;
// By record, m: standard uncertainty of positions that were not logged but filled in, 0 for logged ones. Empty: all
// are.
using FilledPositions = std::span<const double>;

// Evidence of locked frames as the joint decision takes it. times_s: of each record, since any moment. Frames without
// slots have no part in it; `frames`: which records the others are, in the order of time.
struct RecordEvidence {
    FlightEvidence flight;
    std::vector<int> records;
};
RecordEvidence evidence_of(const LayoutIndex& site,
                           std::span<const SlotRecord> records,
                           std::span<const double> times_s,
                           KnownOffsets known = {},
                           FilledPositions filled_u_m = {});

// One for each record. Frames whose place corner points fix are named by them. Where frames that hang together are
// known to have different offsets, or another one than what is in view names them by itself, none of them has a name
// (control_contradicted), and neither offset carries further.
std::vector<FrameName> name_frames(const LayoutIndex& site,
                                   std::span<const SlotRecord> records,
                                   std::span<const double> times_s,
                                   KnownOffsets known = {},
                                   FilledPositions filled_u_m = {},
                                   const PlaceOptions& options = {});

// The module that stands so many pitches from another one; nothing where the layout has none within a third of a pitch.
std::optional<int> module_at(const LayoutIndex& site, int module, LatticeOffset offset);

// Views in the order of the records, then of their slots. A slot at whose place the layout has no module is left out. A
// view without a name keeps the module at its most probable offset, and has the modules at the others as candidates.
std::vector<PlacedView> name_views(const LayoutIndex& site,
                                   std::span<const SlotRecord> records,
                                   std::span<const FrameName> names);

// The alignment of frames whose place is given by corner points.
FlightAlignment fixed_by_points();

}  // namespace heatrow
