#include "name_frames.hpp"

#include "control.hpp"
#include "cut_views.hpp"
#include "elsewhere_check.hpp"
#include "heatrow/georeference/sideways_jumps.hpp"
#include "layout_check.hpp"
#include "naming_notes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <optional>

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
                                    const KnownPlaces& known,
                                    const std::vector<FrameOutcome>& outcomes) {
    std::vector<double> times_s;
    for (const FramePrior& prior : inputs.frames.priors) {
        const std::chrono::duration<double> since = prior.time - inputs.frames.priors.front().time;
        times_s.push_back(since.count());
    }
    return heatrow::name_frames(site, records_of(outcomes), times_s, known.offsets, inputs.filled_u_m);
}

// The modules where this one would lie if the flight had leapt there.
std::vector<int> beyond_jump(const LayoutIndex& site, int module, const Eigen::Vector2d& jump) {
    std::vector<int> modules;
    for (const double way : {-1.0, 1.0}) {
        const Eigen::Vector2d there = site.centre_in_site(module).head<2>() + way * jump;
        const Eigen::Vector2d reach = Eigen::Vector2d::Constant(site.largest_radius_m());
        int nearest = -1;
        double distance = reach.x();
        for (const int other : site.modules_in_box(there - reach, there + reach)) {
            const double own = (site.centre_in_site(other).head<2>() - there).norm();
            if (other != module && own < distance) {
                nearest = other;
                distance = own;
            }
        }
        if (nearest >= 0) {
            modules.push_back(nearest);
        }
    }
    std::sort(modules.begin(), modules.end());
    return modules;
}

// Takes the names of frames that a leap between rows makes doubtful; the reader is told.
void open_jumps(const SurveyInputs& inputs,
                const LayoutIndex& site,
                const SurveyAlignment& alignment,
                const std::vector<FrameOutcome>& outcomes,
                NamedFrames& named) {
    std::vector<std::vector<FlownFrame>> flown(alignment.flights.size());
    std::vector<std::vector<std::size_t>> numbers(alignment.flights.size());
    for (std::size_t i = 0; i < outcomes.size(); ++i) {
        const FramePrior& prior = inputs.frames.priors[i];
        if (outcomes[i].rejection || !is_logged(inputs, i) || outcomes[i].record.slots.empty()) {
            continue;
        }
        const std::chrono::duration<double> since = prior.time - inputs.frames.priors.front().time;
        const auto flight = static_cast<std::size_t>(alignment.flight_of_frame[i]);
        flown[flight].push_back({since.count(),
                                 prior.pose->position_in_site.head<2>(),
                                 outcomes[i].record.pose.position_in_site.head<2>()});
        numbers[flight].push_back(i);
    }
    std::vector<const SidewaysJump*> jump_of(outcomes.size(), nullptr);
    std::vector<JumpCheck> checks;
    checks.reserve(flown.size());
    for (std::size_t flight = 0; flight < flown.size(); ++flight) {
        const JumpCheck& check = checks.emplace_back(find_sideways_jumps(flown[flight]));
        std::size_t count = 0;
        for (std::size_t i = 0; i < numbers[flight].size(); ++i) {
            if (check.doubtful[i]) {
                jump_of[numbers[flight][i]] = &check.jumps.front();
                ++count;
            }
        }
        if (count > 0) {
            const SidewaysJump& jump = check.jumps.front();
            named.notes.push_back(fmt::format(
                "{} frames may lie in another row: from {} to {} the flight would have leapt {:.1f} m across "
                "its lanes against its log. A pixel and module known on either side would settle it.",
                count,
                inputs.files[numbers[flight][jump.before]].name,
                inputs.files[numbers[flight][jump.after]].name,
                jump.metres));
        }
    }
    for (PlacedView& view : named.views) {
        const SidewaysJump* jump = jump_of[static_cast<std::size_t>(view.frame)];
        if (jump != nullptr && view.placement == Placement::placed) {
            view.placement = Placement::ambiguous;
            view.candidates = beyond_jump(site, view.module, jump->change);
        }
    }
}

// Tiles of a mosaic overlap: what two of them show is one view.
void keep_own_views(const Mosaic& mosaic, std::vector<PlacedView>& views) {
    std::erase_if(views, [&](const PlacedView& view) {
        Eigen::Vector2d centre = Eigen::Vector2d::Zero();
        for (const Eigen::Vector2d& corner : view.corners_px) {
            centre += 0.25 * corner;
        }
        return !mosaic.is_own(static_cast<std::size_t>(view.frame), centre);
    });
}

}  // namespace

NamedFrames name_frames(const SurveyInputs& inputs,
                        const LayoutIndex& site,
                        const SurveyAlignment& alignment,
                        int threads,
                        const Progress& progress,
                        SlotCache& cache,
                        std::vector<FrameOutcome>& outcomes) {
    refuse_layout_elsewhere(inputs, site, alignment, outcomes, threads, progress);
    const LayoutConflicts conflicts = check_layout(inputs.layout, outcomes);
    const std::optional<Layout> moved_layout = move_tables(inputs.layout, conflicts, site.pitch_along());
    std::optional<LayoutIndex> moved_site;
    if (moved_layout) {
        moved_site.emplace(*moved_layout);
        outcomes = run_frame_pass(inputs, *moved_site, alignment, threads, progress, cache);
    }
    const LayoutIndex& settled = moved_site ? *moved_site : site;
    silence_witnesses(inputs.layout, conflicts, outcomes);
    const KnownPlaces known = read_known_places(inputs, settled, outcomes);
    std::vector<FrameName> names = decide_names(inputs, settled, known, outcomes);
    const int moved = move_frames(inputs, settled, names, threads, progress, cache, outcomes);
    const std::vector<int> contradicted = modules_in_conflict(inputs.layout, conflicts);
    add_cut_views(inputs, settled, names, contradicted, threads, progress, outcomes);
    NamedFrames named{name_views(settled, records_of(outcomes), names),
                      compare_control(inputs, settled, outcomes, names, known),
                      conflict_notes(inputs.layout, conflicts),
                      contradicted};
    leave_open(site, conflicts, named.views);
    if (inputs.mosaic) {
        keep_own_views(*inputs.mosaic, named.views);
    } else if (inputs.settings.frames.placement == FrameSettings::Placement::poses) {
        open_jumps(inputs, settled, alignment, outcomes, named);
    }
    for (const auto& notes :
         {name_notes(inputs, settled, outcomes, names, moved), control_notes(inputs, named.control)}) {
        named.notes.insert(named.notes.end(), notes.begin(), notes.end());
    }
    return named;
}

}  // namespace heatrow
