// What all findings share.
#pragma once

#include "survey_state.hpp"

#include <span>
#include <string>

namespace heatrow {

// Adds the terms that grow with the difference (emissivity, camera gain) to an uncertainty as measured.
Uncertain<KelvinDelta> with_relative_terms(const ScoreInput& input, double delta_k, double u_k);
// The same for a cell in its module, with what its smallness adds.
Uncertain<KelvinDelta> with_cell_terms(const ScoreInput& input, const ModuleState& module, double delta_k, double u_k);

// How much warmer a part of the module gets that stops exporting altogether, by the energy balance at its own level;
// not known without air temperature or ratings.
double full_export_rise_k(const ScoreInput& input, const ModuleState& module);

// Module, string, candidates, time, conditions, frames, flags.
Finding begin_finding(const ScoreInput& input, const ModuleState& module, Pattern pattern);

// delta_t as measured in; delta_t_1000, exponent, class and its probability out, by the rule of the finding's pattern.
// Precondition: the profile has the rule.
void scale_and_classify(const ScoreInput& input, Finding& finding);

// Shading is no state of the module: no class by itself, and no scaling, since the shade moves with the sun.
void set_shading_outcome(double probability, Finding& finding);

// Makes the probability of the pattern, as its likelihoods have it, the share in which such findings are right, and
// names the cause that none of them knows as the runner-up where it is the likeliest of the rest.
void calibrate_probability(Finding& finding);

// Sums the probability of the finding's class over its pattern and the runner-up, which takes what is left of the
// probability: the same difference, scaled and classed by each one's rule. As it is where the runner-up is on another
// kind of part, whose difference is another, or where a hot cell in a substring set the class.
void weigh_runner_up(const ScoreInput& input, Finding& finding);

// "<module or string id>.<pattern>[.<part>]", part naming the substrings or cells.
std::string finding_id(std::string_view owner, const Finding& finding);

// "lower mode of 40 like modules within 12 m, 20 in its table"
std::string reference_words(const ReferenceLevel& reference);

// ", 17.0 K ± 2.1 K at 1000 W/m² (measured at 835 W/m², exponent 1.0)"
std::string scaled_words(const Finding& finding);

}  // namespace heatrow
