#include "naming_notes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <string_view>

namespace heatrow {
namespace {

constexpr std::size_t kMostStretches = 10;  // told one by one

// Frames that hang together and have no name.
using Stretch = std::vector<std::size_t>;

std::string_view in_words(PlaceReason reason) {
    switch (reason) {
        case PlaceReason::decided:
        case PlaceReason::control_contradicted:  // told with the control
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

std::vector<Stretch> open_stretches(const std::vector<FrameOutcome>& outcomes, const std::vector<FrameName>& names) {
    std::map<int, Stretch> by_segment;
    for (std::size_t i = 0; i < names.size(); ++i) {
        if (!names[i].named && names[i].reason != PlaceReason::control_contradicted &&
            !outcomes[i].record.slots.empty()) {
            by_segment[names[i].segment].push_back(i);
        }
    }
    std::vector<Stretch> stretches;
    for (auto& [segment, frames] : by_segment) {
        stretches.push_back(std::move(frames));
    }
    return stretches;
}

// The nearest end of a row or table from what the frames show, at their most probable place: its module, -1 for none.
struct RowEnd {
    int module = -1;
    int steps = 0;  // modules from the nearest one in view
};
RowEnd nearest_end(const LayoutIndex& site,
                   const std::vector<FrameOutcome>& outcomes,
                   const std::vector<FrameName>& names,
                   const Stretch& stretch) {
    RowEnd nearest;
    for (const int way : {-1, 1}) {
        std::map<int, RowEnd> end_of;  // of every module passed
        for (const std::size_t i : stretch) {
            for (const ModuleSlot& slot : outcomes[i].record.slots) {
                std::vector<int> passed;
                std::optional<int> here = module_at(site, slot.module, names[i].offset);
                while (here && !end_of.contains(*here) && passed.size() < site.layout().modules.size()) {
                    passed.push_back(*here);
                    here = module_at(site, *here, {way, 0});
                }
                RowEnd end = here && end_of.contains(*here) ? end_of[*here] : RowEnd{};
                for (auto module = passed.rbegin(); module != passed.rend(); ++module) {
                    end = end.module < 0 ? RowEnd{*module, 0} : RowEnd{end.module, end.steps + 1};
                    end_of[*module] = end;
                }
                if (end.module >= 0 && (nearest.module < 0 || end.steps < nearest.steps)) {
                    nearest = end;
                }
            }
        }
    }
    return nearest;
}

std::string remedy(const SurveyInputs& inputs, PlaceReason reason, const RowEnd& end) {
    if (reason != PlaceReason::nothing_tells || end.module < 0) {
        return "frames that show ends of more rows";
    }
    const std::string& id = inputs.layout.modules[static_cast<std::size_t>(end.module)].id;
    return end.steps == 0 ? fmt::format("a frame that shows the row's end at {} clearly", id)
                          : fmt::format("frames on to the row's end at {}, {} modules further", id, end.steps);
}

std::string about(const SurveyInputs& inputs,
                  const LayoutIndex& site,
                  const std::vector<FrameOutcome>& outcomes,
                  const std::vector<FrameName>& names,
                  const Stretch& stretch) {
    const FrameName& name = names[stretch.front()];
    int least = 0;
    int most = 0;
    for (const LatticeOffset& rival : name.rivals) {
        least = std::min(least, rival.along - name.offset.along);
        most = std::max(most, rival.along - name.offset.along);
    }
    const auto file = [&](std::size_t place) { return inputs.files[stretch[place]].name; };
    return fmt::format("{} may lie elsewhere in {} rows{}: {}. A pixel and module known in {}, or {}, would settle it.",
                       stretch.size() == 1
                           ? file(0)
                           : fmt::format("{} frames from {} to {}", stretch.size(), file(0), file(stretch.size() - 1)),
                       stretch.size() == 1 ? "its" : "their",
                       least < most ? fmt::format(", by {:+d} to {:+d} modules", least, most) : std::string(),
                       in_words(name.reason),
                       file(stretch.size() / 2),
                       remedy(inputs, name.reason, nearest_end(site, outcomes, names, stretch)));
}

}  // namespace

std::vector<std::string> name_notes(const SurveyInputs& inputs,
                                    const LayoutIndex& site,
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
    std::vector<Stretch> stretches = open_stretches(outcomes, names);
    std::stable_sort(
        stretches.begin(), stretches.end(), [](const Stretch& a, const Stretch& b) { return a.size() > b.size(); });
    std::size_t left = 0;
    for (std::size_t i = kMostStretches; i < stretches.size(); ++i) {
        left += stretches[i].size();
    }
    const std::size_t shorter = stretches.size() > kMostStretches ? stretches.size() - kMostStretches : 0;
    stretches.resize(std::min(stretches.size(), kMostStretches));
    std::sort(stretches.begin(), stretches.end());
    for (const Stretch& stretch : stretches) {
        notes.push_back(about(inputs, site, outcomes, names, stretch));
    }
    if (shorter > 0) {
        notes.push_back(
            fmt::format("{} shorter stretches, {} frames in all, may lie elsewhere in their rows as well: a pixel and "
                        "module known in "
                        "each would settle it.",
                        shorter,
                        left));
    }
    return notes;
}

}  // namespace heatrow
