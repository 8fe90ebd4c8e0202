// What is known, without pixels, of where the frames of a flight stand on the lattice of the layout.
#pragma once

#include <Eigen/Core>

#include <cmath>
#include <compare>
#include <optional>
#include <vector>

namespace heatrow {

// Whole steps on the layout's lattice: modules along a row, rows (or modules up the slope) across.
struct LatticeOffset {
    int along = 0;
    int across = 0;

    friend auto operator<=>(const LatticeOffset&, const LatticeOffset&) = default;
    friend LatticeOffset operator+(LatticeOffset a, LatticeOffset b) {
        return {a.along + b.along, a.across + b.across};
    }
    friend LatticeOffset operator-(LatticeOffset a, LatticeOffset b) {
        return {a.along - b.along, a.across - b.across};
    }
    friend LatticeOffset operator-(LatticeOffset a) { return {-a.along, -a.across}; }
};

// Every frame has a lattice of its own, laid where its log (or its lock) put it: its place (along, across) is the
// layout's place (along, across) + the frame's offset, which is to be found. Offsets from -along to +along and -across
// to +across come into question.
struct OffsetWindow {
    int along = 0;
    int across = 0;

    [[nodiscard]] bool holds(LatticeOffset offset) const {
        return offset.along >= -along && offset.along <= along && offset.across >= -across && offset.across <= across;
    }
    [[nodiscard]] int size() const { return (2 * along + 1) * (2 * across + 1); }
    [[nodiscard]] LatticeOffset at(int index) const {
        return {index % (2 * along + 1) - along, index / (2 * along + 1) - across};
    }
    [[nodiscard]] int index_of(LatticeOffset offset) const {
        return (offset.across + across) * (2 * along + 1) + offset.along + along;
    }
};

// One thing in view that tells offsets apart: the end of a row, a gap, a hole, a table; seen, or expected and missed.
struct WitnessVote {
    LatticeOffset offset;         // of the frame for which it speaks
    LatticeOffset witness;        // where the thing lies on the frame's own lattice
    double log_likelihood = 0.0;  // natural log, up to a constant of frame and witness; offsets not listed have 0
};

// Mean of one module in one frame, in counts or kelvin: a barcode does not depend on the unit.
struct BarcodeCell {
    LatticeOffset place;  // on the frame's own lattice
    double mean = 0.0;
};

struct FrameEvidence {
    double time_s = 0.0;  // since any moment, the same for all frames
    // Logged position less the solved one if the frame's offset is (0, 0), along and across, m. NaN without a log.
    Eigen::Vector2d deviation_m{0.0, 0.0};
    double deviation_u_m = 0.0;  // of a position that was not logged but filled in; beyond what logged ones scatter
    std::vector<WitnessVote> votes;
    std::vector<LatticeOffset> considered;  // offsets that its votes are about, ascending; empty: the whole window
    std::optional<LatticeOffset> known;     // by a control point
    std::vector<BarcodeCell> barcode;  // as Barcode makes them comparable, ascending by place; empty: it tells nothing
};

// How logged positions scatter, each axis (own choices, docs/naming.md).
struct PositionOptions {
    double bias_sd_m = 4.0;          // of a flight's mean error
    double walk_m_per_sqrt_s = 0.1;  // of its wandering
    double fix_noise_m = 0.25;       // of one position about it
    double outlier = 1e-4;           // share of changes that follow none of this
    double pause_s = 90.0;           // without a frame, from which a receiver started anew (FlightSplitOptions)

    // Of the change of the error between two positions.
    [[nodiscard]] double change_variance_m2(double seconds) const {
        return 2.0 * fix_noise_m * fix_noise_m + walk_m_per_sqrt_s * walk_m_per_sqrt_s * std::abs(seconds);
    }
    [[nodiscard]] double change_variance_m2(const FrameEvidence& a, const FrameEvidence& b) const {
        return change_variance_m2(b.time_s - a.time_s) + a.deviation_u_m * a.deviation_u_m +
               b.deviation_u_m * b.deviation_u_m;
    }
};

// How much the pictures of two frames speak for b's offset being a's plus `relative`.
struct RelativeVote {
    LatticeOffset relative;
    double log_likelihood = 0.0;  // natural log, over the two pictures being unrelated
};
struct FrameTie {
    int a = 0;  // places in FlightEvidence::frames
    int b = 0;
    std::vector<RelativeVote> votes;  // ascending by relative; the others are held for as bad as the worst listed
};

struct FlightEvidence {
    double pitch_along_m = 0.0;
    double pitch_across_m = 0.0;
    OffsetWindow window;
    std::vector<FrameEvidence> frames;  // in the order of time
    std::vector<FrameTie> ties;
};

}  // namespace heatrow
