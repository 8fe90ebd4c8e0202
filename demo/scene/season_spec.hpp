// The same site again, later: [[season]] of scene.toml.
#pragma once

#include "fault_spec.hpp"
#include "heatrow/core/time.hpp"

#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace scene {

class Section;

// Everything is what happened since the season before; the first season has nothing but its name.
struct SeasonSpec {
    std::string id;                         // of its folder
    std::optional<heatrow::UtcTime> start;  // of its first frame
    std::optional<double> irradiance_w_m2;  // instead of the value of [conditions]
    std::optional<double> air_c;
    std::optional<double> wind_m_s;
    std::vector<std::string> repaired;  // modules and strings whose faults are gone
    int repairs = 0;                    // so many more, at random
    std::vector<std::string> grown;     // modules whose faults are stronger
    int growths = 0;
    double growth_low = 1.3;  // range of the factor
    double growth_high = 1.8;
    std::vector<std::string> replaced;  // modules; their faults go with them
    int replacements = 0;               // so many more of those with a fault
    std::vector<FaultSpec> faults;      // new ones
    std::vector<RandomFaults> random_faults;
    std::vector<std::pair<std::string, std::string>> renames;  // beginnings of ids of modules, tables and strings
};

SeasonSpec read_season(Section section, bool first);

// The name that an id bears after these renames: the first that fits is taken.
std::string renamed(const std::vector<std::pair<std::string, std::string>>& renames, const std::string& id);

}  // namespace scene
