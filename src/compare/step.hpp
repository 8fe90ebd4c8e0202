// One step from a survey to a later one: values of parts, how healthy parts scatter, and what makes a change.
#pragma once

#include "heatrow/compare/changes.hpp"
#include "heatrow/compare/survey_values.hpp"

#include <array>

namespace heatrow {

// A part in one survey, brought to the reference state.
struct PartValue {
    KelvinDelta delta_t_1000{kNaN};
    double normalised_k = kNaN;
    double relative_u = kNaN;  // what is new in each survey and grows with the difference
    double own_u_k = 0.0;      // what the survey states of a cell
    double loss_ratio_weight = kNaN;
    double irradiance_w_m2 = kNaN;
    std::string reason;  // why not known
};

// How a part's difference scales, and in which range.
struct Exponent {
    double value = 1.0;
    double low = 1.0;
    double high = 1.0;
};

// What all of the comparison shares.
struct SiteSurveys {
    std::span<const SurveyRecord* const> surveys;
    const ComparisonProfile& profile;
    const SiteMatch& site;
    std::vector<SurveyValues> values;  // one a survey
};

// By the rule of a pattern in the survey's profile; of a part without a finding by that of its level.
Exponent exponent_of(const SurveyRecord& survey, Pattern pattern);
Pattern usual_pattern(PartLevel level);

PartValue value_of(const SiteSurveys& all, const SitePart& part, std::size_t survey, const Exponent& exponent);

// Standard uncertainty of the change of a part. Common to both surveys, so that it cancels: the part's own healthy
// deviation, emissivity of the glass, the level of the heat loss. New in each: irradiance, wind, gain and point spread
// of the camera, noise. Shared but not cancelling where conditions differ: u1 / u0 of the heat loss, the exponent.
double change_u(const PartValue& from,
                const PartValue& to,
                PartLevel level,
                const Exponent& exponent,
                double spread_k,
                const ComparisonProfile& profile);

// Robust standard deviation of the changes of healthy parts of each level; never below the profile's least one, and the
// profile's assumed one where too few parts are compared. `has_finding`: by site module, in any survey.
std::array<double, kPartLevels> healthy_spreads(const SiteSurveys& all,
                                                std::size_t from,
                                                std::size_t to,
                                                const std::vector<bool>& has_finding);

// Two-sided probability of a normal deviate this far out.
double two_sided_p(double sigmas);

}  // namespace heatrow
