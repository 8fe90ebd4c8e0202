// Sun, air and wind over the survey: [conditions] of scene.toml.
#pragma once

#include <map>
#include <string>
#include <vector>

namespace scene {

class Section;

// A cloud passing: irradiance falls and comes back.
struct DipSpec {
    double from_s = 0.0;  // after the first frame
    double to_s = 0.0;
    double irradiance_w_m2 = 400.0;
    double edge_s = 20.0;
};

struct ConditionsSpec {
    double irradiance_w_m2 = 900.0;
    double drift_w_m2 = 10.0;  // amplitude of the slow change
    double air_c = 24.0;
    double wind_m_s = 2.0;
    double gust_m_s = 0.3;       // standard deviation
    double settling_s = 1200.0;  // the log begins this long before the first frame
    std::vector<DipSpec> dips;
    double direct_share = 0.85;  // of the irradiance: what a shadow takes
    double load_fraction = 1.0;  // of every string: its current over the current at maximum power
    double clip_w_m2 = 1e9;      // irradiance from which the inverters hold the power
    bool log_load = false;       // writes the load to the conditions log
    std::map<std::string, double> string_load_fractions;  // on top of load_fraction
};

ConditionsSpec read_conditions(Section section);

}  // namespace scene
