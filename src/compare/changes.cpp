#include "heatrow/compare/changes.hpp"

#include "comparer.hpp"

#include <algorithm>
#include <optional>

namespace heatrow {

std::string_view to_string(PartLevel level) {
    switch (level) {
        case PartLevel::cell:
            return "cell";
        case PartLevel::substring:
            return "substring";
        case PartLevel::module:
            return "module";
        case PartLevel::string:
            break;
    }
    return "string";
}

std::string_view to_string(ChangeKind kind) {
    switch (kind) {
        case ChangeKind::new_finding:
            return "new";
        case ChangeKind::grown:
            return "grown";
        case ChangeKind::gone:
            return "gone";
        case ChangeKind::shrunk:
            return "shrunk";
        case ChangeKind::pattern_changed:
            return "pattern_changed";
        case ChangeKind::unchanged:
            return "unchanged";
        case ChangeKind::not_comparable:
            break;
    }
    return "not_comparable";
}

UtcTime survey_time(const SurveyRecord& survey) {
    std::optional<UtcTime> first;
    for (const FrameResult& frame : survey.frames) {
        if (frame.scored && (!first || frame.prior.time < *first)) {
            first = frame.prior.time;
        }
    }
    return first.value_or(survey.frames.empty() ? UtcTime{} : survey.frames.front().prior.time);
}

bool is_worse(const PartChange& change) {
    return change.kind == ChangeKind::new_finding || change.kind == ChangeKind::grown;
}

AbnormalityClass class_of_step(const PartHistory& history,
                               std::span<const SurveyRecord* const> surveys,
                               const StepSummary& step) {
    AbnormalityClass highest = AbnormalityClass::none;
    for (const int survey : {step.from, step.to}) {
        const int finding = history.seasons[detail::at(survey)].finding;
        if (finding >= 0) {
            highest = std::max(highest, surveys[detail::at(survey)]->findings[detail::at(finding)].abnormality);
        }
    }
    return highest;
}

Comparison compare_surveys(std::span<const SurveyRecord* const> surveys,
                           const std::vector<std::string>& names,
                           const ComparisonProfile& profile) {
    return detail::Comparer(surveys, names, profile).run();
}

}  // namespace heatrow
