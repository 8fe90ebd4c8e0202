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

struct Witness {
    enum class Kind { low_end, high_end, hole };
    Kind kind = Kind::hole;
    int row = 0;    // in the frame's own lattice
    int place = 0;  // of the end's outermost module, or of the hole
};

struct EvidenceFrame {
    double time_s = 0.0;
    int lane = 0;
    double logged_along_m = 0.0;  // where the log puts the frame's own place 0, row 0
    double logged_across_m = 0.0;
    int places = 0;  // seen along
    std::vector<std::vector<double>>
        means_k;  // by row and place: module mean about the frame's median; NaN = no module
    std::vector<Witness> witnesses;
    int true_place = 0;  // of the frame's own place 0: truth, never written to the evidence
    int true_row = 0;
};

// Frame b's own lattice is so much further than frame a's, as their means say.
struct Tie {
    int a = 0, b = 0;
    int places = 0, rows = 0;
    double margin = 0.0;  // log-likelihood over the second best shift
};

struct FlightEvidence {
    double pitch_m = 1.0;
    double row_pitch_m = 6.0;
    std::vector<EvidenceRow> rows;
    std::vector<EvidenceFrame> frames;
    std::vector<Tie> ties;
};

// One flight over a site drawn at random. The same seed and number give the same flight.
FlightEvidence simulate_flight(const EvidenceStatistics& statistics, std::uint64_t seed, int number);

// One line of JSON each, without a line end.
std::string evidence_line(const FlightEvidence& flight, int number);
std::string evidence_truth_line(const FlightEvidence& flight, int number);

}  // namespace scene
