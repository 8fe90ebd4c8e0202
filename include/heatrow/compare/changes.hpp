// What changed on a site between surveys (docs/seasons.md).
#pragma once

#include "heatrow/compare/comparison_profile.hpp"
#include "heatrow/compare/site_match.hpp"
#include "heatrow/record/survey_record.hpp"

#include <array>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

enum class PartLevel { cell, substring, module, string };
inline constexpr int kPartLevels = 4;
std::string_view to_string(PartLevel level);

enum class ChangeKind {
    new_finding,      // warmer, and a finding that was none
    grown,            // further from healthy
    gone,             // nearer to healthy, and the finding is none any more
    shrunk,           // nearer to healthy
    pattern_changed,  // no more and no less, but another pattern
    unchanged,        // within what the surveys can tell apart
    not_comparable,   // one of the surveys does not say
};
inline constexpr int kChangeKinds = 7;
std::string_view to_string(ChangeKind kind);  // "new", "grown", ...

// A part of the site whose history is told.
struct SitePart {
    PartLevel level = PartLevel::cell;
    int module = -1;               // in SiteMatch::modules; -1 for a string
    int string = -1;               // in SiteMatch::strings, of a string
    std::vector<CellIndex> cells;  // of level cell
    std::vector<int> substrings;   // of level substring, from 1
};

// The part in one survey.
struct PartSeason {
    int finding = -1;                   // index in the survey's findings; -1 = none on this part
    KelvinDelta delta_t_1000{kNaN};     // at 1000 W/m2, in the survey's own wind
    Uncertain<KelvinDelta> normalised;  // at 1000 W/m2 and the reference wind
    std::string reason;                 // why it is not known; empty where it is
};

// From one survey to a later one.
struct PartChange {
    ChangeKind kind = ChangeKind::unchanged;
    Uncertain<KelvinDelta> change;  // normalised, later less earlier
    double p = kNaN;                // that an unchanged part (of a module: any of those searched) shows as much
    double false_discovery = kNaN;  // share of unchanged ones among all changes called with this p or a smaller one
    KelvinDelta detectable{kNaN};   // that would be found in 95 %
    bool searched = false;          // no finding names it: found by going through all parts of all modules
    std::string reason;             // why not comparable, or what a reader must know
};

struct Trend {
    Uncertain<KelvinDelta> per_year;  // not known for fewer than three seasons
};

struct PartHistory {
    SitePart part;
    std::vector<PartSeason> seasons;  // one a survey
    std::vector<PartChange> changes;  // one a step
    Trend trend;
};

// What holds for one step as a whole.
struct StepSummary {
    int from = 0;  // survey
    int to = 0;
    int modules_compared = 0;
    int modules_not_comparable = 0;                          // that both layouts have
    std::array<int, kChangeKinds> counts{};                  // histories by kind
    std::array<double, kPartLevels> spread_k{};              // robust, of the changes of healthy parts
    std::array<double, kPartLevels> detectable_k{};          // median over the parts compared
    std::array<double, kPartLevels> detectable_finding_k{};  // median over those with a finding; NaN where none
    double scale_u = kNaN;  // relative standard uncertainty of the ratio of two differences by irradiance and wind
    // Ratio of later to earlier difference over all findings that both surveys have: what conditions leave, or a trend
    // of the whole site.
    Uncertain<double> ratio{kNaN, kNaN};
    int ratio_findings = 0;
};

struct Comparison {
    SiteMatch site;
    std::vector<StepSummary>
        steps;  // each survey against the one before; the last against the first too, of three or more
    std::vector<PartHistory> parts;  // those with a finding in any survey or a change in any step
    std::vector<std::string> notes;  // what the reader must know
};

// `surveys` in the order of their times, two or more. Throws as match_site.
Comparison compare_surveys(std::span<const SurveyRecord* const> surveys,
                           const std::vector<std::string>& names,
                           const ComparisonProfile& profile);

// The time that a survey stands for: of its first frame that was scored.
UtcTime survey_time(const SurveyRecord& survey);

// Is the site worse off by it?
bool is_worse(const PartChange& change);
// The higher class of the part's finding in the two surveys of a step; none where it has no finding.
AbnormalityClass class_of_step(const PartHistory& history,
                               std::span<const SurveyRecord* const> surveys,
                               const StepSummary& step);

}  // namespace heatrow
