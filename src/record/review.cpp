#include "heatrow/record/review.hpp"

#include <utility>

namespace heatrow {

std::vector<ReviewChange> changes_of(const ReviewEntry& entry) {
    std::vector<ReviewChange> changes;
    const auto note = [&changes](std::string_view what, std::string before, std::string after) {
        if (before != after) {
            changes.push_back({what, std::move(before), std::move(after)});
        }
    };
    const auto pattern = [](const Decision& decision) {
        return decision.pattern ? std::string(to_string(*decision.pattern)) : std::string("as found");
    };
    note("verdict", std::string(to_string(entry.before.verdict)), std::string(to_string(entry.after.verdict)));
    note("pattern", pattern(entry.before), pattern(entry.after));
    note("class",
         std::to_string(static_cast<int>(entry.class_before)),
         std::to_string(static_cast<int>(entry.class_after)));
    note("comment", entry.before.comment, entry.after.comment);
    note("work_status", std::string(to_string(entry.before.work)), std::string(to_string(entry.after.work)));
    return changes;
}

std::optional<Verdict> parse_verdict(std::string_view name) {
    for (const Verdict verdict : {Verdict::open, Verdict::confirmed, Verdict::rejected}) {
        if (to_string(verdict) == name) {
            return verdict;
        }
    }
    return std::nullopt;
}

std::string_view to_string(WorkStatus status) {
    switch (status) {
        case WorkStatus::open:
            return "open";
        case WorkStatus::planned:
            return "planned";
        case WorkStatus::repaired:
            return "repaired";
        case WorkStatus::verified:
            return "verified";
        case WorkStatus::still_there:
            return "still_there";
        case WorkStatus::accepted:
            return "accepted";
        case WorkStatus::not_found:
            return "not_found";
    }
    return "open";
}

std::optional<WorkStatus> parse_work_status(std::string_view name) {
    for (int i = 0; i < kWorkStatusCount; ++i) {
        if (to_string(static_cast<WorkStatus>(i)) == name) {
            return static_cast<WorkStatus>(i);
        }
    }
    return std::nullopt;
}

bool is_to_be_done(WorkStatus status) {
    return status == WorkStatus::open || status == WorkStatus::planned || status == WorkStatus::still_there;
}

}  // namespace heatrow
