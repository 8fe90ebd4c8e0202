// Frames joined by ties that hold.
#pragma once

#include "heatrow/georeference/place_decision.hpp"

#include <vector>

namespace heatrow::detail {

// A tie by its means and by the change of position between its frames.
struct JudgedTie {
    int a = 0;
    int b = 0;
    const std::vector<RelativeVote>* by_means = nullptr;
    LatticeOffset best;
    double margin = 0.0;    // of the best over the second best
    double strength = 0.0;  // margin, and more where triangles of ties close
    bool cut = false;       // stronger ties contradict it
};

// Natural log of how well the change of (logged less solved) position between two frames fits `relative`, floored;
// 0 without positions.
double change_log_likelihood(
    const FlightEvidence& flight, int a, int b, LatticeOffset relative, const PlaceOptions& options);

std::vector<JudgedTie> judge_ties(const FlightEvidence& flight, const PlaceOptions& options);

struct RigidSegments {
    std::vector<int> segment_of;              // of each frame; segments count by their first frame
    std::vector<LatticeOffset> to_reference;  // offset of the frame less that of its segment's first frame
    int count = 0;
};

// Strongest first, as a maximum spanning forest is grown: a tie within one tree that does not close its loop is the
// weakest of the loop, and is cut (marked in `ties`), and so are weaker ones.
RigidSegments join_frames(int frame_count, std::vector<JudgedTie>& ties, double rigid_margin);

}  // namespace heatrow::detail
