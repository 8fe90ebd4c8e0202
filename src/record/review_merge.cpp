#include "heatrow/record/review_merge.hpp"

#include <algorithm>
#include <map>
#include <set>

namespace heatrow {
namespace {

using FindingsById = std::map<std::string, const Finding*>;

FindingsById by_id(const SurveyRecord& record) {
    FindingsById findings;
    for (const Finding& finding : record.findings) {
        findings[finding.id] = &finding;
    }
    return findings;
}

Decision decided(const DecisionRow& row, Pattern found, const Decision& before) {
    Decision after = before;
    after.verdict = row.verdict.value_or(before.verdict);
    after.comment = row.comment.value_or(before.comment);
    after.work = row.work.value_or(before.work);
    if (row.clears_pattern || row.pattern == found) {
        after.pattern.reset();
    } else if (row.pattern) {
        after.pattern = row.pattern;
    }
    return after;
}

// Why a changed row cannot be taken; empty where it can.
std::string objection(const ReviewEntry& entry, bool has_time) {
    if (entry.reviewer.empty()) {
        return "it names no reviewer. Fill the column, or give --reviewer";
    }
    if (!has_time) {
        return "it does not say when it was decided. Fill the column, or give --reviewed";
    }
    if (entry.after.verdict == Verdict::rejected && entry.after.comment.empty()) {
        return "it rejects without a reason. Write it as the comment";
    }
    return {};
}

}  // namespace

MergedDecisions merge_decisions(const SurveyRecord& record,
                                const std::vector<DecisionFile>& files,
                                const DecisionDefaults& defaults) {
    const FindingsById findings = by_id(record);
    std::map<std::string, Decision> stand;
    std::map<std::string, UtcTime> decided_at;
    for (const ReviewEntry& entry : record.review_log) {
        stand[entry.finding] = entry.after;
        decided_at[entry.finding] = entry.time;
    }
    MergedDecisions merged;
    const auto refuse = [&merged](const DecisionRow& row, const std::string& why) {
        merged.problems.push_back(row.place + ": finding \"" + row.finding + "\": " + why);
    };
    for (const DecisionFile& file : files) {
        std::set<std::string> seen;
        for (const DecisionRow& row : file.rows) {
            const auto found = findings.find(row.finding);
            if (found == findings.end()) {
                refuse(row, "the record has no such finding. Correct the id, or take the row out");
                continue;
            }
            if (!seen.insert(row.finding).second) {
                refuse(row, "the file names it before. Keep one of the rows");
                continue;
            }
            Decision& now = stand[row.finding];
            const Decision after = decided(row, pattern_as_found(record, *found->second), now);
            if (after == now) {
                ++merged.unchanged;
                continue;
            }
            // The time of the decision before, left standing in a row that was edited, is not that of this one.
            const auto last = decided_at.find(row.finding);
            const bool is_stale = row.time && last != decided_at.end() && *row.time == last->second;
            const std::optional<UtcTime> time = row.time && !is_stale ? row.time : defaults.time;
            const ReviewEntry entry{row.finding,
                                    time.value_or(UtcTime{}),
                                    row.reviewer.empty() ? defaults.reviewer : row.reviewer,
                                    now,
                                    after,
                                    file.name,
                                    {},
                                    {}};
            if (const std::string why = objection(entry, time.has_value()); !why.empty()) {
                refuse(row, why);
                continue;
            }
            now = after;
            merged.entries.push_back(entry);
        }
    }
    return merged;
}

CarriedReview carry_review(const std::vector<ReviewEntry>& earlier, const SurveyRecord& record) {
    const FindingsById findings = by_id(record);
    CarriedReview carried;
    std::set<std::string> gone;
    std::set<std::string> again;
    for (const ReviewEntry& entry : earlier) {
        (findings.contains(entry.finding) ? again : gone).insert(entry.finding);
        if (std::find(record.review_log.begin(), record.review_log.end(), entry) == record.review_log.end()) {
            carried.entries.push_back(entry);
        }
    }
    carried.found_again = static_cast<int>(again.size());
    carried.gone.assign(gone.begin(), gone.end());
    return carried;
}

namespace {

// What the later survey says of one repaired finding; the reason why nothing, where it says nothing.
std::optional<WorkStatus> seen_later(const SurveyRecord& later,
                                     const std::string& id,
                                     const std::string& module,
                                     const std::string& string,
                                     std::string& reason) {
    const auto on_place = [&](const Finding& finding) {
        const std::string& name = module.empty() ? string : module;
        const int index = module.empty() ? finding.string : finding.module;
        if (index < 0 || (module.empty() && finding.module >= 0)) {
            return false;
        }
        const auto at = static_cast<std::size_t>(index);
        return (module.empty() ? later.layout.strings[at].id : later.layout.modules[at].id) == name;
    };
    const Finding* other = nullptr;
    for (const Finding& finding : later.findings) {
        if (finding.id == id) {
            return WorkStatus::still_there;
        }
        if (on_place(finding) && finding.abnormality != AbnormalityClass::none) {
            other = &finding;
        }
    }
    if (other != nullptr) {
        reason = "finding " + other->id + " is there now";
        return std::nullopt;
    }
    bool all_assessed = true;
    bool any = false;
    for (const ModuleResult& result : later.modules) {
        const Module& one = later.layout.modules[static_cast<std::size_t>(result.module)];
        const bool meant =
            module.empty() ? one.string >= 0 && later.layout.strings[static_cast<std::size_t>(one.string)].id == string
                           : one.id == module;
        any = any || meant;
        all_assessed = all_assessed && (!meant || result.assessed);
    }
    if (!any || !all_assessed) {
        reason = any ? "not all of it was assessed" : "the later layout does not have it";
        return std::nullopt;
    }
    return WorkStatus::verified;
}

}  // namespace

std::vector<ReviewEntry> work_log(const SurveyRecord& earlier) {
    std::vector<ReviewEntry> log;
    for (const ReviewEntry& entry : earlier.review_log) {
        if (work_status_of(earlier, entry.finding) != WorkStatus::open) {
            log.push_back(entry);
        }
    }
    return log;
}

Reinspection reinspect(const SurveyRecord& earlier,
                       const SurveyRecord& later,
                       const std::string& reviewer,
                       UtcTime time,
                       const std::string& source) {
    Reinspection seen;
    for (const Finding& finding : earlier.findings) {
        const ReviewEntry* last = last_review(later, finding.id);
        if (last == nullptr || last->after.work != WorkStatus::repaired) {
            continue;
        }
        const std::string module =
            finding.module < 0 ? std::string{} : earlier.layout.modules[static_cast<std::size_t>(finding.module)].id;
        const std::string string =
            finding.string < 0 ? std::string{} : earlier.layout.strings[static_cast<std::size_t>(finding.string)].id;
        std::string reason;
        const auto status = seen_later(later, finding.id, module, string, reason);
        if (!status) {
            seen.undecided.push_back(finding.id + ": " + reason);
            continue;
        }
        ReviewEntry entry{
            finding.id, time, reviewer, last->after, last->after, source, last->class_after, last->class_after};
        entry.after.work = *status;
        seen.entries.push_back(std::move(entry));
    }
    return seen;
}

void add_to_log(SurveyRecord& record, const std::vector<ReviewEntry>& entries) {
    record.review_log.insert(record.review_log.end(), entries.begin(), entries.end());
    for (Finding& finding : record.findings) {
        if (const ReviewEntry* last = last_review(record, finding.id)) {
            finding.verdict = last->after.verdict;
        }
    }
}

}  // namespace heatrow
