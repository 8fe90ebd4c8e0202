#include "cell_looks.hpp"

#include "cell_look.hpp"
#include "cell_terms.hpp"
#include "hot_modules.hpp"
#include "parallel_items.hpp"
#include "read_frame.hpp"

#include <algorithm>
#include <map>

namespace heatrow {
namespace {

constexpr std::size_t kMostViews = 4;  // the largest ones
constexpr double kLongestTrail = 0.3;  // sides of a cell; under a longer one an evenly hot cell is no longer even
constexpr std::size_t kMostLike = 16;  // modules that tell what healthy ones show, the nearest in the picture

bool resolves_parts(const SurveyInputs& inputs) {
    const CameraSettings& camera = inputs.settings.frame_camera();
    return !inputs.mosaic && camera.native_share() == 1.0 && camera.blur_sigma_px <= inputs.profile.shape_blur_px.value;
}

// Cells that may become findings of their own; which do is for scoring, which takes rims and boxes out.
std::vector<int> hot_cells_of(const SurveyInputs& inputs, const FusedModule& fused) {
    constexpr std::size_t kMostCells = 12;  // a patchwork or a warm part: no cell of it is looked into
    auto hot = cells_above(fused, KelvinDelta(inputs.profile.candidate_cell_k.value));
    return hot.size() > kMostCells ? std::vector<int>{} : hot;
}

using ViewsByFrame = std::map<int, std::vector<const PlacedView*>>;

std::vector<const PlacedView*> largest_views(const SurveyInputs& inputs,
                                             const std::vector<FrameOutcome>& outcomes,
                                             const ViewsByModule& views,
                                             const FusedModule& fused) {
    const ModuleType& type = inputs.layout.type_of(inputs.layout.modules[static_cast<std::size_t>(fused.module)]);
    const auto found = views.find(fused.module);
    if (found == views.end()) {
        return {};
    }
    auto own = found->second;
    std::erase_if(own, [&](const PlacedView* view) {
        if (!std::binary_search(fused.frames.begin(), fused.frames.end(), view->frame)) {
            return true;
        }
        const FrameOutcome& outcome = outcomes[static_cast<std::size_t>(view->frame)];
        const ModuleSlot& slot = outcome.record.slots[static_cast<std::size_t>(view->slot)];
        return motion_in_view(inputs, outcome, slot, type).cells > kLongestTrail;
    });
    sort_largest_first(own);
    own.resize(std::min(own.size(), kMostViews));
    return own;
}

Eigen::Vector2d middle_of(const PlacedView& view) {
    return 0.25 * (view.corners_px[0] + view.corners_px[1] + view.corners_px[2] + view.corners_px[3]);
}

// Modules of the same type that the same frame shows the same way round, the nearest ones.
std::vector<OutlineCorners> like_in_frame(const SurveyInputs& inputs,
                                          const ViewsByFrame& by_frame,
                                          const PlacedView& view) {
    const auto type_of = [&](const PlacedView& each) {
        return &inputs.layout.type_of(inputs.layout.modules[static_cast<std::size_t>(each.module)]);
    };
    const auto rightward = [](const PlacedView& each) {
        return (each.corners_px[1] - each.corners_px[0]).normalized();
    };
    constexpr double kSameWay = 0.95;  // cosine
    std::vector<const PlacedView*> like;
    for (const PlacedView* other : by_frame.at(view.frame)) {
        if (other->module != view.module && type_of(*other) == type_of(view) &&
            rightward(*other).dot(rightward(view)) > kSameWay) {
            like.push_back(other);
        }
    }
    const auto distance = [&](const PlacedView* other) { return (middle_of(*other) - middle_of(view)).norm(); };
    std::sort(like.begin(), like.end(), [&](const PlacedView* a, const PlacedView* b) {
        const double distance_a = distance(a);
        const double distance_b = distance(b);
        return distance_a != distance_b ? distance_a < distance_b : a->module < b->module;
    });
    like.resize(std::min(like.size(), kMostLike));
    std::vector<OutlineCorners> corners;
    for (const PlacedView* other : like) {
        corners.push_back(other->corners_px);
    }
    return corners;
}

// One view of one module.
struct Job {
    std::size_t module = 0;  // index in the run's modules
    const PlacedView* view = nullptr;
    std::vector<int> cells;
    std::vector<CellLook> looks;  // what comes of it
};

}  // namespace

void look_into_hot_cells(const SurveyInputs& inputs,
                         const std::vector<FrameOutcome>& outcomes,
                         std::span<const PlacedView> views,
                         int threads,
                         const Progress& progress,
                         std::vector<ModuleInput>& modules) {
    if (!resolves_parts(inputs)) {
        return;
    }
    const ViewsByModule by_module = views_by_module(views);
    ViewsByFrame by_frame;
    for (const PlacedView& view : views) {
        by_frame[view.frame].push_back(&view);
    }
    std::map<int, std::vector<Job>> jobs_of;
    for (std::size_t m = 0; m < modules.size(); ++m) {
        const FusedModule& fused = modules[m].fused;
        if (!(fused.cell_short_px >= inputs.profile.minimum_pixels_per_cell.value)) {
            continue;
        }
        const auto cells = hot_cells_of(inputs, fused);
        if (cells.empty()) {
            continue;
        }
        for (const PlacedView* view : largest_views(inputs, outcomes, by_module, fused)) {
            jobs_of[view->frame].push_back({m, view, cells, {}});
        }
    }
    std::vector<std::pair<int, std::vector<Job>>> frames(jobs_of.begin(), jobs_of.end());
    for_each_item(frames.size(), threads, "looking into hot cells", progress, [&](std::size_t f) {
        auto& [frame, jobs] = frames[f];
        const auto accepted = read_accepted(inputs, static_cast<std::size_t>(frame));
        if (!accepted) {
            return;
        }
        for (Job& job : jobs) {
            const auto like = like_in_frame(inputs, by_frame, *job.view);
            const auto& module = inputs.layout.modules[static_cast<std::size_t>(modules[job.module].fused.module)];
            for (const int cell : job.cells) {
                const auto look = look_at_cell(accepted->counts.view(),
                                               inputs.settings.temperature.encoding,
                                               inputs.layout.type_of(module),
                                               job.view->corners_px,
                                               cell,
                                               like);
                if (look) {
                    job.looks.push_back(*look);
                }
            }
        }
    });
    std::map<std::pair<std::size_t, int>, std::vector<CellLook>> by_cell;
    for (const auto& [frame, jobs] : frames) {
        for (const Job& job : jobs) {
            for (const CellLook& look : job.looks) {
                by_cell[{job.module, look.cell}].push_back(look);
            }
        }
    }
    for (const auto& [place, looks] : by_cell) {
        modules[place.first].looks.push_back(median_look(looks));
    }
}

}  // namespace heatrow
