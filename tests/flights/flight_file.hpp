// A line of evidence.jsonl and a line of truth.jsonl (docs/formats/flight-evidence.md).
#pragma once

#include "heatrow/georeference/flight_evidence.hpp"

#include <string>
#include <vector>

namespace flights {

struct LayoutRow {
    int first = 0;
    int count = 0;
    std::vector<int> holes;  // ascending

    [[nodiscard]] bool has(int place) const;
};

struct SeenFrame {
    double time_s = 0.0;
    int lane = 0;
    double along_m = 0.0;  // where the log puts the frame's own place 0, row 0
    double across_m = 0.0;
    std::vector<std::vector<double>> means_k;  // by row and place; NaN = looks like ground
};

struct FlightFile {
    double pitch_m = 0.0;
    double row_pitch_m = 0.0;
    std::vector<LayoutRow> rows;
    std::vector<SeenFrame> frames;
};

struct FlightTruth {
    std::vector<heatrow::LatticeOffset> places;  // of the site, where each frame's place 0, row 0 lies
    std::vector<int> frames_with_row_end;
    bool has_wrong_row = false;  // the layout draws one elsewhere
};

FlightFile read_flight(const std::string& line);
FlightTruth read_truth(const std::string& line);

}  // namespace flights
