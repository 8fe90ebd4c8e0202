#include "compare_report.hpp"
#include "heatrow/io/changes_csv.hpp"
#include "heatrow/io/changes_gpkg.hpp"
#include "heatrow/report/change_page.hpp"
#include "heatrow/score/scaling.hpp"
#include "heatrow/score/score.hpp"
#include "version.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

namespace heatrow::cli {
namespace {

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

ChangeMark mark_of_kind(ChangeKind kind) {
    switch (kind) {
        case ChangeKind::new_finding:
            return ChangeMark::appeared;
        case ChangeKind::grown:
            return ChangeMark::grown;
        case ChangeKind::pattern_changed:
            return ChangeMark::pattern_changed;
        case ChangeKind::shrunk:
            return ChangeMark::shrunk;
        case ChangeKind::gone:
            return ChangeMark::gone;
        case ChangeKind::unchanged:
            return ChangeMark::unchanged;
        case ChangeKind::not_comparable:
            break;
    }
    return ChangeMark::not_comparable;
}

ChangePageSurvey page_survey(const SurveyRecord& record, UtcTime first) {
    ChangePageSurvey survey;
    survey.id = record.survey_id;
    survey.title = record.title;
    survey.time = to_iso8601(survey_time(record));
    survey.years = std::chrono::duration<double, std::ratio<31'556'952>>(survey_time(record) - first).count();
    for (const InstrumentStatement& instrument : record.stated.instruments) {
        if (instrument.measures == "thermal frames") {
            survey.camera = instrument.maker + " " + instrument.model + " " + instrument.serial;
        }
    }
    if (survey.camera.find_first_not_of(' ') == std::string::npos) {
        survey.camera = "not stated";
    }
    std::vector<FrameConditions> conditions;
    for (const FrameResult& frame : record.frames) {
        if (frame.scored) {
            conditions.push_back(frame.conditions);
        }
    }
    const FrameConditions mean = mean_conditions(conditions);
    survey.irradiance_w_m2 = scaling_irradiance(mean).value.value();
    survey.wind_m_s = mean.wind.value.value();
    survey.air_c = mean.air.value.value();
    survey.modules = static_cast<int>(record.modules.size());
    survey.assessed = static_cast<int>(
        std::count_if(record.modules.begin(), record.modules.end(), [](const ModuleResult& m) { return m.assessed; }));
    survey.findings = static_cast<int>(record.findings.size());
    return survey;
}

class PageFiller {
  public:
    PageFiller(const Comparison& comparison, const SurveySet& set)
        : comparison_(comparison), set_(set), shown_(set.records.size() - 2) {}

    [[nodiscard]] ChangePageStep step(const StepSummary& from) const {
        ChangePageStep step;
        step.from = set_.records[at(from.from)]->survey_id;
        step.to = set_.records[at(from.to)]->survey_id;
        step.compared = from.modules_compared;
        step.not_comparable = from.modules_not_comparable;
        for (int kind = 0; kind < kChangeKinds; ++kind) {
            step.counts[static_cast<std::size_t>(mark_of_kind(static_cast<ChangeKind>(kind)))] = from.counts[at(kind)];
        }
        step.spread_k = from.spread_k;
        step.detectable_k = from.detectable_k;
        step.detectable_finding_k = from.detectable_finding_k;
        step.scale_u = from.scale_u;
        if (from.ratio.is_known()) {
            step.ratio = fmt::format("{:.2f} ± {:.2f} of {}", from.ratio.value, from.ratio.u95(), from.ratio_findings);
        }
        return step;
    }

    [[nodiscard]] ChangeLine line(const PartHistory& history) const {
        const StepSummary& step = comparison_.steps[shown_];
        const PartChange& change = history.changes[shown_];
        ChangeLine line;
        line.mark = mark_of_kind(change.kind);
        const auto pattern = [&](int survey) {
            const int finding = history.seasons[at(survey)].finding;
            return finding < 0 ? std::string("–")
                               : pattern_words(set_.records[at(survey)]->findings[at(finding)].pattern);
        };
        if (history.seasons[at(step.from)].finding >= 0 || history.seasons[at(step.to)].finding >= 0) {
            line.abnormality = class_of_step(history, set_.records, step);
        }
        const std::string before = place(history.part, step.from);
        const std::string now = place(history.part, step.to);
        line.place = now.empty() ? before : now;
        line.renamed_from = now.empty() || before == now ? "" : before;
        line.part = part_words(history.part);
        line.pattern_before = pattern(step.from);
        line.pattern = pattern(step.to);
        line.change = change.change;
        line.detectable = change.detectable;
        line.p = change.p;
        line.false_discovery = change.false_discovery;
        for (const PartSeason& season : history.seasons) {
            line.seasons.push_back(season.normalised);
            line.has_finding.push_back(season.finding >= 0);
        }
        line.per_year = history.trend.per_year;
        line.reason = change.reason;
        return line;
    }

    // Modules that both layouts have and that were not compared, by reason.
    [[nodiscard]] std::vector<ChangePageRow> reasons() const {
        constexpr std::size_t kNamed = 12;
        const StepSummary& step = comparison_.steps[shown_];
        std::map<std::string, std::vector<std::string>> modules;
        for (int m = 0; m < static_cast<int>(comparison_.site.modules.size()); ++m) {
            const SiteModule& module = comparison_.site.modules[at(m)];
            if (module.index[at(step.from)] < 0 || module.index[at(step.to)] < 0) {
                continue;
            }
            for (const int survey : {step.from, step.to}) {
                const SurveyRecord& record = *set_.records[at(survey)];
                const ModuleResult& result = record.modules[at(module.index[at(survey)])];
                if (!result.assessed) {
                    modules[result.assessed_reason + " in " + record.survey_id].push_back(
                        module_id(comparison_, set_.records, m, step.to));
                }
            }
            if (module.identity[at(step.to)] != Identity::same) {
                modules[module.identity[at(step.to)] == Identity::moved ? "at another place" : "another type"]
                    .push_back(module_id(comparison_, set_.records, m, step.to));
            }
        }
        std::vector<ChangePageRow> rows;
        for (const auto& [reason, ids] : modules) {
            const std::vector<std::string> first(
                ids.begin(), ids.begin() + static_cast<std::ptrdiff_t>(std::min(kNamed, ids.size())));
            rows.push_back({{reason,
                             std::to_string(ids.size()),
                             fmt::format("{}{}", fmt::join(first, ", "), ids.size() > kNamed ? ", …" : "")}});
        }
        return rows;
    }

    [[nodiscard]] std::vector<ChangePageRow> identities() const {
        std::vector<ChangePageRow> rows;
        for (const IdentityChange& change : identity_changes(comparison_, set_.records)) {
            rows.push_back({{change.survey, std::string(change.what), change.before, change.now}});
        }
        return rows;
    }

  private:
    // As it is read, not as files have it.
    static std::string pattern_words(Pattern pattern) {
        std::string words(to_string(pattern));
        std::replace(words.begin(), words.end(), '_', ' ');
        return words;
    }

    [[nodiscard]] std::string place(const SitePart& part, int survey) const {
        return part.module >= 0 ? module_id(comparison_, set_.records, part.module, survey)
                                : string_id(comparison_, set_.records, part, survey);
    }

    const Comparison& comparison_;
    const SurveySet& set_;
    std::size_t shown_;
};

}  // namespace

std::string comparison_as_html(const Comparison& comparison, const SurveySet& set, const ComparisonProfile& profile) {
    const PageFiller filler(comparison, set);
    ChangePage page;
    page.program = fmt::format("heatrow {}", kVersion);
    page.profile = profile.id + " " + profile.version;
    page.profile_title = profile.title;
    page.reference_wind_m_s = profile.reference_wind_m_s.value;
    page.plan = set.records.back();
    for (const ChangeKind kind : kinds_of_modules(comparison, set.records)) {
        page.module_marks.push_back(mark_of_kind(kind));
    }
    for (const SurveyRecord* record : set.records) {
        page.surveys.push_back(page_survey(*record, survey_time(*set.records.front())));
    }
    for (const StepSummary& step : comparison.steps) {
        page.steps.push_back(filler.step(step));
    }
    page.shown = set.records.size() - 2;
    for (const PartHistory& history : comparison.parts) {
        page.lines.push_back(filler.line(history));
    }
    page.identities = filler.identities();
    page.reasons = filler.reasons();
    for (const ComparisonProfileKey& key : kComparisonProfileKeys) {
        page.figures.push_back(
            {{std::string(key.name), fmt::format("{:g}", (profile.*key.member).value), (profile.*key.member).source}});
    }
    page.notes = comparison.notes;
    return change_page_html(page);
}

}  // namespace heatrow::cli
