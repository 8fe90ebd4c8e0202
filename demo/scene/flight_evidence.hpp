// Evidence of flights without pixels: what naming a flight has to decide from (docs/formats/flight-evidence.md).
#pragma once

#include "evidence_statistics.hpp"

#include <cstdint>
#include <string>
#include <vector>

namespace scene {

// Rows of modules at one pitch; a hole is a place without a module. Rows may begin at different places.
struct EvidenceRow {
    int first = 0;           // place of the first module on the lattice that all rows share
    int count = 0;           // places up to the last module
    std::vector<int> holes;  // places
};

struct EvidenceFrame {
    double time_s = 0.0;
    int lane = 0;
    double logged_along_m = 0.0;  // where the log puts the frame's own place 0, row 0
    double logged_across_m = 0.0;
    int places = 0;  // seen along
    // By row and place: the module's mean about the frame's level; NaN = looks like ground
    std::vector<std::vector<double>> means_k;
    int true_place = 0;  // of the frame's own place 0: truth, never written to the evidence
    int true_row = 0;
    bool sees_row_end = false;  // truth
};

struct FlightEvidence {
    double pitch_m = 1.0;
    double row_pitch_m = 6.0;
    std::vector<EvidenceRow> site;    // truth, never written to the evidence
    std::vector<EvidenceRow> layout;  // the same, but for a row that may be drawn wrongly
    std::vector<EvidenceFrame> frames;
};

// One flight over a site drawn at random. The same seed and number give the same flight.
FlightEvidence simulate_flight(const EvidenceStatistics& statistics, std::uint64_t seed, int number);

// One line of JSON each, without a line end.
std::string evidence_line(const FlightEvidence& flight, int number);
std::string evidence_truth_line(const FlightEvidence& flight, int number);

}  // namespace scene
