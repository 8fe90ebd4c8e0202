#include "name_frames.hpp"

#include "layout_check.hpp"

#include <fmt/format.h>

#include <chrono>
#include <optional>
#include <string_view>

namespace heatrow {
namespace {

std::vector<SlotRecord> records_of(const std::vector<FrameOutcome>& outcomes) {
    std::vector<SlotRecord> records;
    for (const FrameOutcome& outcome : outcomes) {
        records.push_back(outcome.record);
    }
    return records;
}

std::vector<FrameName> decide_names(const SurveyInputs& inputs,
                                    const LayoutIndex& site,
                                    const std::vector<FrameOutcome>& outcomes) {
    std::vector<double> times_s;
    for (const FramePrior& prior : inputs.frames.priors) {
        const std::chrono::duration<double> since = prior.time - inputs.frames.priors.front().time;
        times_s.push_back(since.count());
    }
    return heatrow::name_frames(site, records_of(outcomes), times_s);
}

std::string_view in_words(PlaceReason reason) {
    switch (reason) {
        case PlaceReason::decided:
            break;
        case PlaceReason::nothing_tells:
            return "nothing in view tells modules along the rows apart";
        case PlaceReason::too_few_witnesses:
            return "their names would rest on one or two row ends alone";
        case PlaceReason::close_call:
            return "what is in view does not tell clearly enough, or contradicts itself";
    }
    return {};
}

std::string_view remedy(PlaceReason reason) {
    return reason == PlaceReason::nothing_tells ? "a frame that shows an end of these rows"
                                                : "frames that show ends of more rows";
}

// What the reader must know of the names of frames.
std::vector<std::string> name_notes(const SurveyInputs& inputs,
                                    const std::vector<FrameOutcome>& outcomes,
                                    const std::vector<FrameName>& names,
                                    int moved) {
    std::vector<std::string> notes;
    if (moved > 0) {
        notes.push_back(
            fmt::format("{} of {} frames were moved to another place in their row by what the whole flight shows, and "
                        "locked there again.",
                        moved,
                        names.size()));
    }
    for (const PlaceReason reason :
         {PlaceReason::nothing_tells, PlaceReason::too_few_witnesses, PlaceReason::close_call}) {
        const FrameName* strongest = nullptr;
        std::size_t frame = 0;
        int count = 0;
        for (std::size_t i = 0; i < names.size(); ++i) {
            if (names[i].named || names[i].reason != reason || outcomes[i].record.slots.empty()) {
                continue;
            }
            ++count;
            if (strongest == nullptr || names[i].log_odds > strongest->log_odds) {
                strongest = &names[i];
                frame = i;
            }
        }
        if (strongest != nullptr) {
            notes.push_back(fmt::format(
                "{} frames may be elsewhere in their rows: {}. A pixel and module known in {}, or {}, would "
                "settle it.",
                count,
                in_words(reason),
                inputs.files[frame].name,
                remedy(reason)));
        }
    }
    return notes;
}

}  // namespace

NamedFrames name_frames(const SurveyInputs& inputs,
                        const LayoutIndex& site,
                        const SurveyAlignment& alignment,
                        int threads,
                        const Progress& progress,
                        std::vector<FrameOutcome>& outcomes) {
    const LayoutConflicts conflicts = check_layout(inputs.layout, outcomes);
    const std::optional<Layout> moved_layout = move_tables(inputs.layout, conflicts, site.pitch_along());
    std::optional<LayoutIndex> moved_site;
    if (moved_layout) {
        moved_site.emplace(*moved_layout);
        outcomes = run_frame_pass(inputs, *moved_site, alignment, threads, progress);
    }
    const LayoutIndex& settled = moved_site ? *moved_site : site;
    silence_witnesses(inputs.layout, conflicts, outcomes);
    std::vector<FrameName> names = decide_names(inputs, settled, outcomes);
    const int moved = move_frames(inputs, settled, names, threads, progress, outcomes);
    NamedFrames named{name_views(settled, records_of(outcomes), names), conflict_notes(inputs.layout, conflicts)};
    leave_open(site, conflicts, named.views);
    const std::vector<std::string> notes = name_notes(inputs, outcomes, names, moved);
    named.notes.insert(named.notes.end(), notes.begin(), notes.end());
    return named;
}

}  // namespace heatrow
