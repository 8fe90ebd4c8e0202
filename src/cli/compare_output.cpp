#include "compare_report.hpp"
#include "heatrow/io/changes_csv.hpp"
#include "rounded_json.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>

namespace heatrow::cli {
namespace {

using Json = nlohmann::ordered_json;

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

constexpr std::array<PartLevel, 3> kPrintedLevels{PartLevel::substring, PartLevel::module, PartLevel::cell};

Json by_level(const std::array<double, kPartLevels>& figures) {
    Json json;
    for (std::size_t level = 0; level < figures.size(); ++level) {
        json[std::string(to_string(static_cast<PartLevel>(level)))] = rounded(figures[level], 3);
    }
    return json;
}

Json uncertain_json(const Uncertain<KelvinDelta>& value) {
    return {{"kelvin", rounded(value.value.value(), 3)}, {"u_k", rounded(value.u, 3)}};
}

std::string where(const Comparison& comparison, const SurveySet& set, const SitePart& part, int survey) {
    return part.module >= 0 ? module_id(comparison, set.records, part.module, survey)
                            : string_id(comparison, set.records, part, survey);
}

Json change_json(const Comparison& comparison, const SurveySet& set, const PartHistory& history, std::size_t s) {
    const StepSummary& step = comparison.steps[s];
    const PartChange& change = history.changes[s];
    Json json;
    json["kind"] = to_string(change.kind);
    json["level"] = to_string(history.part.level);
    json["place_before"] = where(comparison, set, history.part, step.from);
    json["place"] = where(comparison, set, history.part, step.to);
    json["part"] = part_text(history.part);
    for (const auto& [key, survey] : {std::pair{"pattern_before", step.from}, {"pattern", step.to}}) {
        const int finding = history.seasons[at(survey)].finding;
        json[key] =
            finding < 0 ? Json(nullptr) : Json(to_string(set.records[at(survey)]->findings[at(finding)].pattern));
    }
    json["before"] = uncertain_json(history.seasons[at(step.from)].normalised);
    json["now"] = uncertain_json(history.seasons[at(step.to)].normalised);
    json["change"] = uncertain_json(change.change);
    json["p"] = rounded(change.p, 6);
    json["false_discovery"] = rounded(change.false_discovery, 6);
    json["searched"] = change.searched;
    json["reason"] = change.reason;
    return json;
}

}  // namespace

std::string part_words(const SitePart& part) {
    const std::string text = part_text(part);
    return std::string(to_string(part.level)) + (text.empty() ? "" : " " + text);
}

std::string comparison_as_text(const Comparison& comparison, const SurveySet& set) {
    std::string text;
    for (std::size_t s = 0; s < comparison.steps.size(); ++s) {
        const StepSummary& step = comparison.steps[s];
        text += fmt::format("{} -> {}: {} modules compared, {} not comparable\n",
                            set.records[at(step.from)]->survey_id,
                            set.records[at(step.to)]->survey_id,
                            step.modules_compared,
                            step.modules_not_comparable);
        std::string counts;
        for (int kind = 0; kind < kChangeKinds; ++kind) {
            counts += fmt::format(
                "{}{} {}", counts.empty() ? "" : ", ", step.counts[at(kind)], to_string(static_cast<ChangeKind>(kind)));
        }
        text += "  parts: " + counts + "\n  found in 95 % from (median):";
        for (const PartLevel level : kPrintedLevels) {
            text += fmt::format(" {} {:.1f} K", to_string(level), step.detectable_k[static_cast<std::size_t>(level)]);
            if (const double with = step.detectable_finding_k[static_cast<std::size_t>(level)]; !std::isnan(with)) {
                text += fmt::format(" ({:.1f} K on findings)", with);
            }
            text += level == kPrintedLevels.back() ? "\n" : ",";
        }
        for (const PartHistory& history : comparison.parts) {
            const PartChange& change = history.changes[s];
            if (change.kind == ChangeKind::unchanged) {
                continue;
            }
            text += fmt::format("  {:<15} {} {}",
                                to_string(change.kind),
                                where(comparison,
                                      set,
                                      history.part,
                                      history.seasons[at(step.to)].reason == "not_in_layout" ? step.from : step.to),
                                part_words(history.part));
            if (change.change.is_known()) {
                text += fmt::format(": {:.1f} -> {:.1f} K, {:+.1f} +- {:.1f} K",
                                    history.seasons[at(step.from)].normalised.value.value(),
                                    history.seasons[at(step.to)].normalised.value.value(),
                                    change.change.value.value(),
                                    change.change.u95());
            }
            text += (change.reason.empty() ? "" : " (" + change.reason + ")") + "\n";
        }
    }
    for (const std::string& note : comparison.notes) {
        text += "note: " + note + "\n";
    }
    return text;
}

std::string comparison_as_json(const Comparison& comparison, const SurveySet& set, const ComparisonProfile& profile) {
    Json json;
    json["schema"] = "heatrow-compare/1";
    json["profile"] = {{"id", profile.id}, {"version", profile.version}};
    json["surveys"] = Json::array();
    for (std::size_t s = 0; s < set.records.size(); ++s) {
        json["surveys"].push_back({{"survey", set.records[s]->survey_id},
                                   {"file", set.files[s].string()},
                                   {"first_frame_utc", to_iso8601(survey_time(*set.records[s]))},
                                   {"findings", set.records[s]->findings.size()}});
    }
    json["steps"] = Json::array();
    for (std::size_t s = 0; s < comparison.steps.size(); ++s) {
        const StepSummary& step = comparison.steps[s];
        Json counts;
        for (int kind = 0; kind < kChangeKinds; ++kind) {
            counts[std::string(to_string(static_cast<ChangeKind>(kind)))] = step.counts[at(kind)];
        }
        Json changes = Json::array();
        for (const PartHistory& history : comparison.parts) {
            changes.push_back(change_json(comparison, set, history, s));
        }
        json["steps"].push_back({{"from", set.records[at(step.from)]->survey_id},
                                 {"to", set.records[at(step.to)]->survey_id},
                                 {"modules_compared", step.modules_compared},
                                 {"modules_not_comparable", step.modules_not_comparable},
                                 {"counts", counts},
                                 {"spread_k", by_level(step.spread_k)},
                                 {"detectable_k", by_level(step.detectable_k)},
                                 {"detectable_finding_k", by_level(step.detectable_finding_k)},
                                 {"parts", changes}});
    }
    json["notes"] = comparison.notes;
    return json.dump(2) + "\n";
}

}  // namespace heatrow::cli
