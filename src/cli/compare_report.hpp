// What `compare` prints, and its page.
#pragma once

#include "compare_survey_set.hpp"
#include "heatrow/compare/comparison_profile.hpp"

#include <string>

namespace heatrow::cli {

std::string comparison_as_text(const Comparison& comparison, const SurveySet& set);
std::string comparison_as_json(const Comparison& comparison, const SurveySet& set, const ComparisonProfile& profile);
std::string comparison_as_html(const Comparison& comparison, const SurveySet& set, const ComparisonProfile& profile);

// "cell r4c4", "substring 2", "module"
std::string part_words(const SitePart& part);

}  // namespace heatrow::cli
