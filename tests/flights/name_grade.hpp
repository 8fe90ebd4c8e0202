// Names of frames held against the truth.
#pragma once

#include "flight_file.hpp"
#include "heatrow/georeference/place_decision.hpp"

#include <string>
#include <vector>

namespace flights {

struct FrameCounts {
    int named = 0;  // rightly
    int wrong = 0;
    int ambiguous = 0;

    [[nodiscard]] int all() const { return named + wrong + ambiguous; }
    FrameCounts& operator+=(const FrameCounts& other);
};

struct NameGrade {
    int flights = 0;
    int flights_with_wrong_names = 0;
    int flights_named_whole = 0;
    FrameCounts with_row_end;                                    // in lanes of which some frame sees a row end
    FrameCounts with_two_things;                                 // of these, where the whole flight shows two at most
    FrameCounts with_wrong_row;                                  // of the rest, where the layout draws a row elsewhere
    FrameCounts without_row_end;                                 // in the other lanes
    std::vector<int> frames_by_reason = std::vector<int>(4, 0);  // by PlaceReason
    int segments = 0;
    int ties_cut = 0;
    std::vector<int> wrong_flights;

    NameGrade& operator+=(const NameGrade& other);
};

NameGrade grade_names(const FlightFile& flight,
                      const FlightTruth& truth,
                      const std::vector<heatrow::LatticeOffset>& at_zero,
                      const heatrow::PlaceDecision& decision);

// Rows of a Markdown table, with Wilson's intervals.
std::string grade_page(const NameGrade& grade);

}  // namespace flights
