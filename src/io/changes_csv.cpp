#include "heatrow/io/changes_csv.hpp"

#include "heatrow/io/csv_writer.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace heatrow {
namespace {

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

constexpr int kDecimals = 3;

const Finding* finding_of(const PartHistory& history, std::span<const SurveyRecord* const> surveys, int survey) {
    const int index = history.seasons[at(survey)].finding;
    return index < 0 ? nullptr : &surveys[at(survey)]->findings[at(index)];
}

// The part's module, or the first of its string.
const Module* some_module(const Comparison& comparison,
                          std::span<const SurveyRecord* const> surveys,
                          const SitePart& part,
                          int survey) {
    const Layout& layout = surveys[at(survey)]->layout;
    const int index = part.module >= 0 ? comparison.site.modules[at(part.module)].index[at(survey)]
                                       : comparison.site.strings[at(part.string)].index[at(survey)];
    if (index < 0) {
        return nullptr;
    }
    return &layout.modules[at(part.module >= 0 ? index : layout.strings[at(index)].modules.front())];
}

std::string joined(const std::vector<CellIndex>& cells) {
    std::vector<std::string> names;
    names.reserve(cells.size());
    for (const CellIndex cell : cells) {
        names.push_back(to_string(cell));
    }
    return join_names(names);
}

void add_finding(CsvWriter& csv, const Finding* finding) {
    if (finding == nullptr) {
        csv.empty().empty().empty();
        return;
    }
    csv.text(finding->id).text(to_string(finding->pattern)).integer(static_cast<int>(finding->abnormality));
}

}  // namespace

std::string module_id(const Comparison& comparison,
                      std::span<const SurveyRecord* const> surveys,
                      int module,
                      int survey) {
    const int index = module < 0 ? -1 : comparison.site.modules[at(module)].index[at(survey)];
    return index < 0 ? std::string() : surveys[at(survey)]->layout.modules[at(index)].id;
}

std::string string_id(const Comparison& comparison,
                      std::span<const SurveyRecord* const> surveys,
                      const SitePart& part,
                      int survey) {
    const Module* module = some_module(comparison, surveys, part, survey);
    return module == nullptr || module->string < 0 ? std::string()
                                                   : surveys[at(survey)]->layout.strings[at(module->string)].id;
}

std::string part_text(const SitePart& part) {
    std::string text;
    for (const CellIndex cell : part.cells) {
        text += (text.empty() ? "" : ", ") + to_string(cell);
    }
    for (const int substring : part.substrings) {
        text += (text.empty() ? "" : ", ") + std::to_string(substring);
    }
    return text;
}

std::string changes_csv(const Comparison& comparison, std::span<const SurveyRecord* const> surveys) {
    CsvWriter csv({"from",
                   "to",
                   "kind",
                   "level",
                   "module_before",
                   "module",
                   "string_before",
                   "string",
                   "substrings",
                   "cells",
                   "finding_before",
                   "pattern_before",
                   "class_before",
                   "finding",
                   "pattern",
                   "class",
                   "delta_t_1000_before_k",
                   "delta_t_1000_k",
                   "normalised_before_k",
                   "normalised_before_u_k",
                   "normalised_k",
                   "normalised_u_k",
                   "change_k",
                   "change_u_k",
                   "sigmas",
                   "p",
                   "false_discovery",
                   "detectable_k",
                   "searched",
                   "trend_k_per_year",
                   "trend_u_k_per_year",
                   "reason"});
    for (std::size_t s = 0; s < comparison.steps.size(); ++s) {
        const StepSummary& step = comparison.steps[s];
        for (const PartHistory& history : comparison.parts) {
            const PartChange& change = history.changes[s];
            const PartSeason& before = history.seasons[at(step.from)];
            const PartSeason& now = history.seasons[at(step.to)];
            csv.text(surveys[at(step.from)]->survey_id).text(surveys[at(step.to)]->survey_id);
            csv.text(to_string(change.kind)).text(to_string(history.part.level));
            csv.text(module_id(comparison, surveys, history.part.module, step.from));
            csv.text(module_id(comparison, surveys, history.part.module, step.to));
            csv.text(string_id(comparison, surveys, history.part, step.from));
            csv.text(string_id(comparison, surveys, history.part, step.to));
            csv.text(fmt::format("{}", fmt::join(history.part.substrings, "|"))).text(joined(history.part.cells));
            add_finding(csv, finding_of(history, surveys, step.from));
            add_finding(csv, finding_of(history, surveys, step.to));
            csv.number(before.delta_t_1000.value(), kDecimals).number(now.delta_t_1000.value(), kDecimals);
            csv.number(before.normalised.value.value(), kDecimals).number(before.normalised.u, kDecimals);
            csv.number(now.normalised.value.value(), kDecimals).number(now.normalised.u, kDecimals);
            csv.number(change.change.value.value(), kDecimals).number(change.change.u, kDecimals);
            csv.number(change.change.value.value() / change.change.u, 2);
            csv.number(change.p, 6).number(change.false_discovery, 6).number(change.detectable.value(), kDecimals);
            csv.text(change.searched ? "yes" : "no");
            csv.number(history.trend.per_year.value.value(), kDecimals).number(history.trend.per_year.u, kDecimals);
            csv.text(change.reason);
            csv.end_row();
        }
    }
    return csv.str();
}

std::string steps_csv(const Comparison& comparison, std::span<const SurveyRecord* const> surveys) {
    std::vector<std::string> names{"from", "to", "modules_compared", "modules_not_comparable"};
    for (int kind = 0; kind < kChangeKinds; ++kind) {
        names.emplace_back(to_string(static_cast<ChangeKind>(kind)));
    }
    for (const std::string_view what : {"spread", "detectable", "detectable_finding"}) {
        for (int level = 0; level < kPartLevels; ++level) {
            names.push_back(fmt::format("{}_{}_k", what, to_string(static_cast<PartLevel>(level))));
        }
    }
    names.insert(names.end(), {"scale_u", "ratio", "ratio_u", "ratio_findings"});
    CsvWriter csv(std::vector<std::string_view>(names.begin(), names.end()));
    for (const StepSummary& step : comparison.steps) {
        csv.text(surveys[at(step.from)]->survey_id).text(surveys[at(step.to)]->survey_id);
        csv.integer(step.modules_compared).integer(step.modules_not_comparable);
        for (const int count : step.counts) {
            csv.integer(count);
        }
        for (const auto& figures : {step.spread_k, step.detectable_k, step.detectable_finding_k}) {
            for (const double figure : figures) {
                csv.number(figure, kDecimals);
            }
        }
        csv.number(step.scale_u, 4).number(step.ratio.value, 4).number(step.ratio.u, 4).integer(step.ratio_findings);
        csv.end_row();
    }
    return csv.str();
}

std::vector<IdentityChange> identity_changes(const Comparison& comparison,
                                             std::span<const SurveyRecord* const> surveys) {
    std::vector<IdentityChange> changes;
    for (int s = 1; s < static_cast<int>(surveys.size()); ++s) {
        for (int m = 0; m < static_cast<int>(comparison.site.modules.size()); ++m) {
            const SiteModule& module = comparison.site.modules[at(m)];
            const std::string before = module_id(comparison, surveys, m, s - 1);
            const std::string now = module_id(comparison, surveys, m, s);
            std::string_view what;
            if (before.empty() || now.empty()) {
                what = before.empty() == now.empty() ? "" : before.empty() ? "added" : "left_out";
            } else if (module.identity[at(s)] != Identity::same) {
                what = module.identity[at(s)] == Identity::moved ? "moved" : "other_type";
            } else if (before != now) {
                what = "renamed";
            }
            if (!what.empty()) {
                changes.push_back({surveys[at(s)]->survey_id, what, before, now});
            }
        }
    }
    return changes;
}

std::string identities_csv(const Comparison& comparison, std::span<const SurveyRecord* const> surveys) {
    CsvWriter csv({"survey", "what", "module_before", "module"});
    for (const IdentityChange& change : identity_changes(comparison, surveys)) {
        csv.text(change.survey).text(change.what).text(change.before).text(change.now);
        csv.end_row();
    }
    return csv.str();
}

}  // namespace heatrow
