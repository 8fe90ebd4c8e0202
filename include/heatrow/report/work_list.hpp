// What a technician has to do, where, in which order: findings grouped by place and action (docs/formats/worklist.md).
#pragma once

#include "heatrow/record/survey_record.hpp"

#include <Eigen/Core>

#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

// By what a pattern asks for; common practice, no source. A thermographer's word goes before it.
enum class WorkAction {
    check_string,  // switch, fuse, connectors, current of the string
    tighten,       // box, connector, ribbon: contacts that heat
    replace,       // module, or what of it the maker replaces
    clean,         // dirt, growth, what shades
    investigate,   // on site, with electrical means
};
inline constexpr int kWorkActionCount = static_cast<int>(WorkAction::investigate) + 1;
std::string_view to_string(WorkAction action);
WorkAction action_for(Pattern pattern);

// Findings of one table, or of one string, that ask for the same and are not done; all of them where all are done.
struct WorkTask {
    std::string id;     // "<table or string>.<action>": stable over re-runs, so that a second export updates the first
    std::string place;  // the table's or string's id; a module's where it is on no table
    WorkAction action = WorkAction::investigate;
    AbnormalityClass abnormality = AbnormalityClass::none;  // the highest of its findings
    std::vector<int> findings;                              // indices in the record's findings, ascending
    std::vector<int> modules;        // layout indices, ascending; candidates included where the place is ambiguous
    bool is_ambiguous = false;       // a module may be another one: look at all of them
    double loss_rated_w_low = kNaN;  // sums over the findings that have one
    double loss_rated_w_high = kNaN;
    double loss_kwh_year_low = kNaN;
    double loss_kwh_year_high = kNaN;
    Eigen::Vector3d position_in_site{kNaN, kNaN, kNaN};  // middle of its modules by the layout, m
    WorkStatus status = WorkStatus::open;  // still_there where any is; else of the finding that is least far
    int rank = 0;                          // from 1: what is to be done first, by class, then by what it costs at most
    int stop = 0;                          // from 1: place in the walk; 0 where nothing is to be done any more
};

// Tasks in order of rank. Findings that a reviewer rejected, of class 1, and `string_off` make none: no defect, or none
// that calls for work. start_in_site: where the walk begins; the south-west corner of the tasks where it is not finite.
std::vector<WorkTask> make_work_list(const SurveyRecord& record, const Eigen::Vector3d& start_in_site);

// Order in which places are walked, as indices: each time the nearest that is left, then pairs of legs exchanged as
// long as that makes the way shorter (2-opt; Croes 1958). Not the shortest way of all, and straight lines, not paths.
// Deterministic.
std::vector<int> walking_order(const std::vector<Eigen::Vector3d>& places, const Eigen::Vector3d& start);

}  // namespace heatrow
