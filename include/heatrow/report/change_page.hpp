// The page of `compare`: one self-contained HTML file to read and print.
#pragma once

#include "heatrow/core/finding.hpp"
#include "heatrow/core/uncertain.hpp"
#include "heatrow/core/units.hpp"
#include "heatrow/record/survey_record.hpp"

#include <array>
#include <optional>
#include <string>
#include <vector>

namespace heatrow {

// How a kind of change is shown: a sign of its own beside its colour.
enum class ChangeMark { appeared, grown, pattern_changed, shrunk, gone, unchanged, not_comparable };
inline constexpr int kChangeMarks = 7;

struct ChangePageSurvey {
    std::string id;
    std::string title;
    std::string time;  // of its first frame that was scored
    std::string camera;
    double irradiance_w_m2 = kNaN;  // means over the modules compared
    double wind_m_s = kNaN;
    double air_c = kNaN;
    double years = 0.0;  // since the first survey
    int modules = 0;
    int assessed = 0;
    int findings = 0;
};

// One part over all surveys. Differences are at 1000 W/m2 and the reference wind.
struct ChangeLine {
    ChangeMark mark = ChangeMark::unchanged;      // in the step to the last survey
    std::optional<AbnormalityClass> abnormality;  // the higher one of that step's two; none: no finding
    std::string place;                            // module, or string
    std::string renamed_from;                     // its id in the survey before, where that was another
    std::string part;                             // "cell r4c4", "substring 2", "module", "string"
    std::string pattern_before;                   // "–" where there is no finding
    std::string pattern;
    Uncertain<KelvinDelta> change;
    KelvinDelta detectable{kNaN};
    double p = kNaN;
    double false_discovery = kNaN;
    std::vector<Uncertain<KelvinDelta>> seasons;  // one a survey
    std::vector<bool> has_finding;                // the same
    Uncertain<KelvinDelta> per_year;              // of three or more
    std::string reason;
};

// One step as a whole, in words and figures.
struct ChangePageStep {
    std::string from;
    std::string to;
    int compared = 0;
    int not_comparable = 0;
    std::array<int, kChangeMarks> counts{};
    std::array<double, 4> spread_k{};  // cell, substring, module, string
    std::array<double, 4> detectable_k{};
    std::array<double, 4> detectable_finding_k{};
    double scale_u = kNaN;
    std::string ratio;  // of shared findings, in words; empty where too few
};

struct ChangePageRow {
    std::vector<std::string> fields;
};

struct ChangePage {
    std::string program;
    std::string profile;
    std::string profile_title;
    double reference_wind_m_s = kNaN;
    const SurveyRecord* plan = nullptr;    // whose layout is drawn: the last survey's
    std::vector<ChangeMark> module_marks;  // of its modules
    std::vector<ChangePageSurvey> surveys;
    std::vector<ChangePageStep> steps;  // the one to the last survey is `shown`
    std::size_t shown = 0;
    std::vector<ChangeLine> lines;          // gravest first
    std::vector<ChangePageRow> identities;  // survey, what, before, now
    std::vector<ChangePageRow> reasons;     // modules not comparable: reason, how many, some ids
    std::vector<ChangePageRow> figures;     // of the profile: key, value, source
    std::vector<std::string> notes;
};

std::string change_page_html(const ChangePage& page);

}  // namespace heatrow
