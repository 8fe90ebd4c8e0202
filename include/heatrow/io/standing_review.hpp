// What the decisions of reviewers make of the findings: a pattern that a reviewer gave goes before the program's, and
// with it the profile's rule and the class (docs/formats/decisions.md).
#pragma once

#include "heatrow/record/survey_record.hpp"

namespace heatrow {

// Difference at 1000 W/m2 and class of a finding by the rule of another pattern, from its difference as measured and
// the irradiance that it was seen at. A pattern without a rule of its own takes that of its wider name
// (score/wider_name.hpp), as scoring does; where the run has neither they stay as they are.
AsFound judged_as(const RunDescription& run, const Finding& finding, Pattern pattern);

// From a record as the program found it: findings with a reviewer's pattern get pattern, exponent, scaled difference
// and class by it, what was found goes to SurveyRecord::as_found; classes of their modules and strings and the order of
// the findings follow. Rejected findings give their module and string no class. To be called before anything refers to
// findings by index. Losses and evidence stay those found.
void stand_as_reviewed(SurveyRecord& record);

// The class of a finding if this decision held, the record standing as reviewed.
AbnormalityClass class_by(const SurveyRecord& record, const Finding& finding, const Decision& decision);

}  // namespace heatrow
