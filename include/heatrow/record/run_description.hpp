// How a record came about: what was read, with which settings and rules, and what is to be made of it. Reports say it,
// and with it they can be drawn again without the survey folder.
#pragma once

#include "heatrow/core/finding.hpp"
#include "heatrow/core/units.hpp"
#include "heatrow/record/geographic_point.hpp"

#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace heatrow {

// Which difference makes which class, for one pattern.
struct RuleLine {
    Pattern pattern = Pattern::hot_cell;
    KelvinDelta class_2_from{kNaN};  // NaN: never by its difference
    KelvinDelta class_3_from{kNaN};
    double exponent = kNaN;  // of the scaling with irradiance, and its range
    double exponent_low = kNaN;
    double exponent_high = kNaN;
    std::string source;
};

// One file that was read.
struct InputLine {
    std::string role;
    std::string name;
    std::uint64_t bytes = 0;
    std::string sha256;
};

// [work_list] of survey.toml.
struct WorkListSettings {
    std::optional<GeographicPoint> start;  // where the walk begins
    // Columns of worklist.csv under the headers that another system wants: our name, theirs. Empty: all of ours under
    // their own names.
    std::vector<std::pair<std::string, std::string>> columns;
};

struct RunDescription {
    std::string id;  // twelve hexadecimal digits (manifest.md)
    std::vector<RuleLine> rules;
    std::vector<std::pair<std::string, std::string>> settings;  // every effective value as text, by dotted key
    std::vector<std::pair<std::string, std::string>> clocks;    // device, clock in words
    std::vector<InputLine> inputs;
    WorkListSettings work_list;
    bool decimal_comma_tables = false;  // asked for by [output]
};

}  // namespace heatrow
