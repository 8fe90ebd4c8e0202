#include "heatrow/io/standing_review.hpp"

#include "heatrow/score/scaling.hpp"
#include "heatrow/score/wider_name.hpp"

#include <algorithm>
#include <cmath>
#include <set>

namespace heatrow {
namespace {

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

AsFound judgement_of(const Finding& finding) {
    return {finding.pattern, finding.abnormality, finding.class_probability, finding.delta_t_1000, finding.exponent};
}

void set_judgement(const AsFound& judged, Finding& finding) {
    finding.pattern = judged.pattern;
    finding.abnormality = judged.abnormality;
    finding.class_probability = judged.class_probability;
    finding.delta_t_1000 = judged.delta_t_1000;
    finding.exponent = judged.exponent;
}

// By class, then scaled difference, then id, as score orders them.
void sort_findings(std::vector<Finding>& findings) {
    const auto difference = [](const Finding& finding) {
        return finding.delta_t_1000.is_known() ? finding.delta_t_1000.value.value() : -HUGE_VAL;
    };
    std::stable_sort(findings.begin(), findings.end(), [&](const Finding& a, const Finding& b) {
        if (a.abnormality != b.abnormality) {
            return a.abnormality > b.abnormality;
        }
        return difference(a) != difference(b) ? difference(a) > difference(b) : a.id < b.id;
    });
}

// The rule of a pattern or, where it has none, of the wider name that it is a case of; null without either.
const RuleLine* rule_of(const RunDescription& run, Pattern pattern) {
    for (const Pattern name : {pattern, wider_name(pattern)}) {
        const auto line = std::find_if(
            run.rules.begin(), run.rules.end(), [name](const RuleLine& rule) { return rule.pattern == name; });
        if (line != run.rules.end()) {
            return &*line;
        }
    }
    return nullptr;
}

// The highest class of the findings on modules and strings that a reviewer looked at, but rejected ones.
void set_classes(SurveyRecord& record) {
    std::set<int> modules;
    std::set<int> strings;
    for (const Finding& finding : record.findings) {
        if (last_review(record, finding.id) != nullptr) {
            modules.insert(finding.module);
            strings.insert(finding.string);
        }
    }
    const auto highest = [&record](auto is_on) {
        AbnormalityClass found = AbnormalityClass::none;
        for (const Finding& finding : record.findings) {
            if (is_on(finding) && finding.verdict != Verdict::rejected) {
                found = std::max(found, finding.abnormality);
            }
        }
        return found;
    };
    for (const int module : modules) {
        if (module >= 0 && record.modules[at(module)].assessed) {
            record.modules[at(module)].abnormality =
                highest([module](const Finding& finding) { return finding.module == module; });
        }
    }
    for (const int string : strings) {
        if (string >= 0) {
            record.strings[at(string)].abnormality =
                highest([string](const Finding& finding) { return finding.string == string; });
        }
    }
}

}  // namespace

AsFound judged_as(const RunDescription& run, const Finding& finding, Pattern pattern) {
    AsFound judged = judgement_of(finding);
    judged.pattern = pattern;
    if (pattern == Pattern::string_off) {  // not under load is no abnormality
        judged.abnormality = AbnormalityClass::none;
        judged.class_probability = 1.0;
        return judged;
    }
    const RuleLine* line = rule_of(run, pattern);
    if (line == nullptr || !finding.delta_t.is_known()) {
        return judged;
    }
    const PatternRule rule{
        line->class_2_from, line->class_3_from, line->exponent, line->exponent_low, line->exponent_high, line->source};
    judged.exponent = rule.exponent;
    judged.delta_t_1000 = scale_to_1000(finding.delta_t, scaling_irradiance(finding.conditions), rule);
    const ClassDecision decision = classify(judged.delta_t_1000, rule);
    judged.abnormality = decision.abnormality;
    judged.class_probability = decision.probability;
    return judged;
}

void stand_as_reviewed(SurveyRecord& record) {
    for (Finding& finding : record.findings) {
        const ReviewEntry* last = last_review(record, finding.id);
        if (last != nullptr && last->after.pattern && *last->after.pattern != finding.pattern) {
            record.as_found[finding.id] = judgement_of(finding);
            set_judgement(judged_as(record.run, finding, *last->after.pattern), finding);
        }
    }
    if (!record.review_log.empty()) {
        set_classes(record);
    }
    if (!record.as_found.empty()) {
        sort_findings(record.findings);
    }
}

AbnormalityClass class_by(const SurveyRecord& record, const Finding& finding, const Decision& decision) {
    Finding found = finding;
    if (const auto kept = record.as_found.find(finding.id); kept != record.as_found.end()) {
        set_judgement(kept->second, found);
    }
    return decision.pattern ? judged_as(record.run, found, *decision.pattern).abnormality : found.abnormality;
}

}  // namespace heatrow
