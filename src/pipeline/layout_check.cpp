#include "layout_check.hpp"

#include "heatrow/core/error.hpp"

#include <fmt/format.h>

#include <cmath>
#include <optional>

namespace heatrow {
namespace {

constexpr double kMostInConflict = 0.4;  // of the tables that can be compared (own choice)

const std::string& id_of(const Layout& layout, const LayoutConflict& conflict) {
    return layout.tables[static_cast<std::size_t>(conflict.table)].id;
}

}  // namespace

LayoutConflicts check_layout(const Layout& layout, const std::vector<FrameOutcome>& outcomes) {
    std::vector<SlotRecord> records;
    int not_locked = 0;
    for (const FrameOutcome& outcome : outcomes) {
        if (!outcome.rejection) {
            records.push_back(outcome.record);
        } else if (outcome.rejection->reason == RejectReason::not_locked ||
                   outcome.rejection->reason == RejectReason::sees_nothing) {
            ++not_locked;
        }
    }
    if (const std::optional<PoorFit> fit = find_poor_fit(records, not_locked)) {
        throw Error(
            ErrorKind::input,
            "the layout does not fit the frames anywhere near their logged positions",
            "",
            fmt::format("{} of {} frames lock on it, and their edges are {:.2f} px off (median)",
                        fit->locked,
                        fit->locked + fit->not_locked,
                        fit->rms_px),
            fmt::format("Compare layout and positions on a map: a wrong coordinate system or datum moves all of "
                        "it, and positions may be off by {:.0f} m at most. Then check the lens.",
                        AlignmentOptions{}.search_horizontal.value()));
    }
    LayoutConflicts conflicts = find_layout_conflicts(records);
    if (static_cast<double>(conflicts.tables.size()) > kMostInConflict * conflicts.compared) {
        throw Error(
            ErrorKind::input,
            "the layout is in conflict with the frames",
            "",
            fmt::format("{} of {} tables that frames show beside others do not fit together with them, {:.0f} % "
                        "allowed; the first is {}",
                        conflicts.tables.size(),
                        conflicts.compared,
                        100.0 * kMostInConflict,
                        id_of(layout, conflicts.tables.front())),
            "Check where the layout draws its tables, and their module types, against the site.");
    }
    return conflicts;
}

void silence_witnesses(const Layout& layout, const LayoutConflicts& conflicts, std::vector<FrameOutcome>& outcomes) {
    for (FrameOutcome& outcome : outcomes) {
        for (PlaceVote& vote : outcome.record.votes) {
            if (vote.witness >= 0 && is_in_conflict(layout, vote.witness, conflicts)) {
                vote.witness = -1;
                vote.log_likelihood = 0.0;
            }
        }
    }
}

std::vector<int> modules_in_conflict(const Layout& layout, const LayoutConflicts& conflicts) {
    std::vector<int> modules;
    for (int module = 0; module < static_cast<int>(layout.modules.size()); ++module) {
        if (is_in_conflict(layout, module, conflicts)) {
            modules.push_back(module);
        }
    }
    return modules;
}

std::vector<std::string> conflict_notes(const Layout& layout, const LayoutConflicts& conflicts) {
    std::vector<std::string> notes;
    for (const LayoutConflict& conflict : conflicts.tables) {
        const std::string how =
            std::isfinite(conflict.along)
                ? fmt::format(
                      "is {:.2f} of a module along its row from where the layout draws it, give or take whole modules",
                      std::abs(conflict.along))
                : std::string(
                      "does not have its modules where the layout draws them, by no one shift, and is left out");
        notes.push_back(
            fmt::format("Layout conflict: table {} {}, seen beside other tables in {} frames. None of its "
                        "modules has a name; correct the table in the layout, or its module type, and "
                        "analyse again.",
                        id_of(layout, conflict),
                        how,
                        conflict.frames));
    }
    return notes;
}

}  // namespace heatrow
