// How far reviewers agree with the program, pattern by pattern.
#pragma once

#include "heatrow/record/survey_record.hpp"

#include <vector>

namespace heatrow {

// Share of successes with its 95 % interval; NaN where count is 0.
struct Share {
    int successes = 0;
    int count = 0;
    double value = kNaN;
    double low = kNaN;
    double high = kNaN;
};

// Score interval of Wilson (J. Am. Stat. Assoc. 22 (1927) 209-212).
Share wilson_share(int successes, int count);

struct AgreementRow {
    Pattern pattern = Pattern::hot_cell;  // as the program found it
    int findings = 0;
    int confirmed = 0;   // with the program's pattern
    int relabelled = 0;  // confirmed with another pattern
    int rejected = 0;
    int open = 0;
    Share agreement;  // confirmed of all that were decided
};

struct Agreement {
    std::vector<AgreementRow> rows;  // of the patterns found, in the order of the enumeration
    AgreementRow all;                // `pattern` has no meaning
};

Agreement agreement_of(const SurveyRecord& record);

}  // namespace heatrow
