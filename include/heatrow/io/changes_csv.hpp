// changes.csv and steps.csv (docs/formats/changes.md).
#pragma once

#include "heatrow/compare/changes.hpp"

#include <string>

namespace heatrow {

// A row for each step and each part with a finding in any survey, or a change.
std::string changes_csv(const Comparison& comparison, std::span<const SurveyRecord* const> surveys);
// A row for each step: what was compared, how many of each kind, what could have been seen.
std::string steps_csv(const Comparison& comparison, std::span<const SurveyRecord* const> surveys);
// A module that is not the same in a survey and the one before it.
struct IdentityChange {
    std::string survey;     // the later one
    std::string_view what;  // "renamed", "added", "left_out", "moved", "other_type"
    std::string before;     // ids
    std::string now;
};
std::vector<IdentityChange> identity_changes(const Comparison& comparison,
                                             std::span<const SurveyRecord* const> surveys);
// A row for each of them.
std::string identities_csv(const Comparison& comparison, std::span<const SurveyRecord* const> surveys);

// Ids in one survey; empty where the survey does not have it.
std::string module_id(const Comparison& comparison,
                      std::span<const SurveyRecord* const> surveys,
                      int module,
                      int survey);
std::string string_id(const Comparison& comparison,
                      std::span<const SurveyRecord* const> surveys,
                      const SitePart& part,
                      int survey);
// "r3c4, r3c5"; "2"; empty for a whole module or string.
std::string part_text(const SitePart& part);

}  // namespace heatrow
