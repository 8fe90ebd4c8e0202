// Where the frames of a whole flight stand on the lattice: one joint decision from witnesses, ties and positions
// (docs/naming.md).
#pragma once

#include "heatrow/georeference/flight_evidence.hpp"

#include <string_view>
#include <vector>

namespace heatrow {

// Own choices; those marked * were tempered on simulated flights (docs/naming.md says which and with what result).
struct PlaceOptions {
    PositionOptions positions;
    // Of witnesses
    double witness_outlier = 0.01;  // * share of things in view that are not what they look like, however many frames
                                    // see them: caps the vote of one witness at its log
    int witness_extent = 6;         // things on one row less than so many modules apart may have one cause: one witness
    // Of ties
    double rigid_margin = 8.0;  // * natural log, over the second best relative offset: from here frames move as one
    // Of names
    double threshold = 6.0;            // * least log-odds
    int withdrawn_witnesses = 2;       // a name must stand without any so many witnesses,
    double margin_without_them = 1.0;  // * ahead of every other by this, natural log, by what the rest says
};

enum class PlaceReason {
    decided,
    nothing_tells,         // no witness tells the places apart
    too_few_witnesses,     // the name would rest on one or two
    close_call,            // witnesses speak, but not clearly enough or against each other
    control_contradicted,  // by other control, or by what is in view (name_frames says it, no decision alone)
};
std::string_view to_string(PlaceReason reason);

// Frames that move as one.
struct SegmentDecision {
    std::vector<int> frames;  // places in FlightEvidence::frames, ascending
    bool named = false;
    PlaceReason reason = PlaceReason::nothing_tells;
    double log_odds = 0.0;  // natural log, of the most probable offsets over all others together; infinite by control
    // What else it may be: steps from the most probable offsets, most probable first; empty where named.
    std::vector<LatticeOffset> rivals;
};

struct PlaceDecision {
    std::vector<LatticeOffset> offsets;  // most probable, of each frame
    std::vector<int> segment_of;         // of each frame
    std::vector<SegmentDecision> segments;
    int ties_cut = 0;  // that a loop contradicted
};

PlaceDecision decide_places(const FlightEvidence& flight, const PlaceOptions& options = {});

}  // namespace heatrow
