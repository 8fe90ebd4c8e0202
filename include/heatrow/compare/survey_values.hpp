// One survey's differences in a form in which conditions cancel: against like healthy neighbours of the same survey, at
// 1000 W/m2 and a reference wind (docs/seasons.md).
#pragma once

#include "heatrow/compare/comparison_profile.hpp"
#include "heatrow/core/conditions.hpp"
#include "heatrow/record/survey_record.hpp"

#include <string>
#include <vector>

namespace heatrow {

// What brings a difference as measured to 1000 W/m2 and the reference wind.
struct Scaling {
    double irradiance_w_m2 = kNaN;  // as felt
    double irradiance_u = kNaN;     // standard uncertainty, share
    double wind_m_s = kNaN;
    double wind_u_m_s = kNaN;

    // (1000 / G)^exponent (u0 + u1 v) / (u0 + u1 v_reference)
    [[nodiscard]] double factor(double exponent, const ComparisonProfile& profile) const;
    // Its relative standard uncertainty by what is new in each survey: irradiance and wind.
    [[nodiscard]] double relative_u(double exponent, const ComparisonProfile& profile) const;
    // d ln(factor) / d ln(u1 / u0): what all surveys of a site share.
    [[nodiscard]] double loss_ratio_weight(const ComparisonProfile& profile) const;
};

// One module. Differences as measured, K; NaN where unknown.
struct ModuleValues {
    bool comparable = false;
    std::string reason;  // why not, in words of modules.csv
    Scaling scaling;
    double module = kNaN;            // the level of its parts that are not warm, against its neighbours
    std::vector<double> substrings;  // each against the level of the others
    std::vector<double> cells;       // each against its substring's median, row by row
    std::vector<double> cell_u;      // standard uncertainty as the survey states it
};

struct StringValues {
    Scaling scaling;
    double delta_t_1000_k = kNaN;  // as the survey states it
};

struct SurveyValues {
    std::vector<ModuleValues> modules;  // in the order of the layout
    std::vector<StringValues> strings;  // the same
};

SurveyValues survey_values(const SurveyRecord& survey, const ComparisonProfile& profile);

}  // namespace heatrow
