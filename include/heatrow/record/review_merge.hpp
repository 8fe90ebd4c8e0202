// Decisions of reviewers brought into the record's review log (docs/formats/decisions.md).
#pragma once

#include "heatrow/record/survey_record.hpp"

#include <array>
#include <optional>
#include <string>
#include <vector>

namespace heatrow {

// One row as a reviewer wrote it. What is left out stays as it is.
struct DecisionRow {
    std::string place;  // "FILE, line 4", for messages
    std::string finding;
    std::optional<Verdict> verdict;
    std::optional<Pattern> pattern;  // the finding's own: none is given
    bool clears_pattern = false;     // an empty field that means "as found"
    std::optional<std::string> comment;
    std::optional<WorkStatus> work;
    std::string reviewer;
    std::optional<UtcTime> time;
};

struct DecisionFile {
    std::string name;  // file name, kept in the log
    std::vector<DecisionRow> rows;
};

// For rows that do not say.
struct DecisionDefaults {
    std::string reviewer;
    std::optional<UtcTime> time;
};

struct MergedDecisions {
    std::vector<ReviewEntry> entries;   // to be added to the log, in the order of files and rows
    int unchanged = 0;                  // rows that say what holds already
    std::vector<std::string> problems;  // rows that cannot be taken, with place and reason; then nothing is to be added
};

// Rows are refused that name an unknown finding, a finding that their file names before, that change something without
// a reviewer or a time, or reject without a comment.
MergedDecisions merge_decisions(const SurveyRecord& record,
                                const std::vector<DecisionFile>& files,
                                const DecisionDefaults& defaults);

struct CarriedReview {
    std::vector<ReviewEntry> entries;  // of the earlier log, that the record's log does not hold yet
    int found_again = 0;               // findings with decisions that the record has
    std::vector<std::string> gone;     // ids of findings with decisions that the record has not
};

// The log of an earlier run for a record of the same survey.
CarriedReview carry_review(const std::vector<ReviewEntry>& earlier, const SurveyRecord& record);

// The log of findings on which work was planned or done: what a later survey of the plant has to know.
std::vector<ReviewEntry> work_log(const SurveyRecord& earlier);

// What a later survey says of repairs: findings of `earlier` whose work stands at `repaired`.
struct Reinspection {
    std::vector<ReviewEntry> entries;    // verified: seen without it; still_there: found again, by its id
    std::vector<std::string> undecided;  // what stays at `repaired` and why, one sentence each
};

// `later`: a record of the same plant, its log holding what was decided on the earlier one; modules and strings are
// told by their ids. A module that was not assessed, or that has another finding of class 2 or 3 now, decides nothing:
// somebody has to look.
Reinspection reinspect(const SurveyRecord& earlier,
                       const SurveyRecord& later,
                       const std::string& reviewer,
                       UtcTime time,
                       const std::string& source);

// Adds entries to the log and sets the verdicts of the findings.
void add_to_log(SurveyRecord& record, const std::vector<ReviewEntry>& entries);

}  // namespace heatrow
