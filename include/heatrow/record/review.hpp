// What qualified people decided on findings. Entries are only ever added, so that it stays known who changed what.
#pragma once

#include "heatrow/core/finding.hpp"
#include "heatrow/core/time.hpp"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

// Where the work on a finding stands, by the word of those who did it and of the next survey.
enum class WorkStatus {
    open,         // nothing was done
    planned,      // it stands in somebody's plan
    repaired,     // done, by the word of who did it
    verified,     // a later survey saw the module without it
    still_there,  // a later survey saw it again after a repair
    accepted,     // known, and left as it is
    not_found,    // somebody went there and found nothing to do
};
inline constexpr int kWorkStatusCount = static_cast<int>(WorkStatus::not_found) + 1;
std::string_view to_string(WorkStatus status);
std::optional<WorkStatus> parse_work_status(std::string_view name);
// Whether somebody still has to go there: open, planned, still_there.
bool is_to_be_done(WorkStatus status);

// What holds for one finding.
struct Decision {
    Verdict verdict = Verdict::open;
    std::optional<Pattern> pattern;  // the reviewer's, where it is another than the finding's
    std::string comment;             // why rejected, what was seen on site, ...
    WorkStatus work = WorkStatus::open;
    friend bool operator==(const Decision&, const Decision&) = default;
};

// One decision as it was taken.
struct ReviewEntry {
    std::string finding;  // id; a later run may no longer have it
    UtcTime time{};
    std::string reviewer;
    Decision before;
    Decision after;
    std::string source;  // file that the decision came in
    // The class that stood by the pattern of `before` and that of `after`.
    AbnormalityClass class_before = AbnormalityClass::none;
    AbnormalityClass class_after = AbnormalityClass::none;
    friend bool operator==(const ReviewEntry&, const ReviewEntry&) = default;
};

// One thing that an entry changed, in the words of files.
struct ReviewChange {
    std::string_view what;  // "verdict", "pattern", "class", "comment", "work_status"
    std::string before;
    std::string after;
};
std::vector<ReviewChange> changes_of(const ReviewEntry& entry);

std::optional<Verdict> parse_verdict(std::string_view name);

}  // namespace heatrow
