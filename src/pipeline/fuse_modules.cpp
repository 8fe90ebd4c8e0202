#include "assemble.hpp"
#include "heatrow/fuse/fuse.hpp"
#include "parallel_items.hpp"

#include <algorithm>

namespace heatrow {
namespace {

// Where a view's temperatures lie.
struct ViewPlace {
    int frame = 0;
    std::size_t slot = 0;
    Placement placement = Placement::placed;
};

// Views of each module of the layout, in frame order.
std::vector<std::vector<ViewPlace>> views_by_module(const std::vector<PlacedView>& views, std::size_t module_count) {
    std::vector<std::vector<ViewPlace>> by_module(module_count);
    for (const PlacedView& view : views) {
        by_module[static_cast<std::size_t>(view.module)].push_back(
            {view.frame, static_cast<std::size_t>(view.slot), view.placement});
    }
    return by_module;
}

// Drops the views without enough light in the module's plane where others exist.
void prefer_lit_views(const SurveyInputs& inputs, int module, std::vector<ViewPlace>& places) {
    const auto is_lit = [&](const ViewPlace& place) {
        const FrameConditions conditions = inputs.conditions.of_module(module, place.frame);
        return conditions.irradiance.is_known() && !conditions.flags.has(Flag::irradiance_below_minimum);
    };
    if (std::any_of(places.begin(), places.end(), is_lit)) {
        std::erase_if(places, [&](const ViewPlace& place) { return !is_lit(place); });
    }
}

ModuleInput fuse_one(const SurveyInputs& inputs,
                     const std::vector<FrameOutcome>& outcomes,
                     int module,
                     const std::vector<ViewPlace>& places) {
    std::vector<ModuleView> views;
    views.reserve(places.size());
    for (const ViewPlace& place : places) {
        views.push_back(outcomes[static_cast<std::size_t>(place.frame)].views[place.slot]);
    }
    FuseOptions options;
    options.noise_k = inputs.settings.frame_camera().noise.value();
    options.view_scatter_k = inputs.profile.view_scatter_k.value;

    ModuleInput result;
    result.fused = fuse_module(inputs.layout, module, views, options);
    std::vector<FrameConditions> conditions;
    for (const int frame : result.fused.frames) {
        conditions.push_back(inputs.conditions.of_module(module, frame));
    }
    result.conditions = mean_conditions(conditions);
    if (!result.fused.frames.empty()) {
        result.time = inputs.frames.priors[static_cast<std::size_t>(result.fused.frames.front())].time;
    }
    const auto is_placed = [](const ViewPlace& place) { return place.placement == Placement::placed; };
    result.placement = std::all_of(places.begin(), places.end(), is_placed) ? Placement::placed : Placement::ambiguous;
    return result;
}

}  // namespace

std::vector<ModuleInput> fuse_modules(const SurveyInputs& inputs,
                                      const std::vector<FrameOutcome>& outcomes,
                                      const std::vector<PlacedView>& views,
                                      int threads,
                                      const Progress& progress) {
    auto by_module = views_by_module(views, inputs.layout.modules.size());
    std::vector<int> seen;
    for (std::size_t module = 0; module < by_module.size(); ++module) {
        prefer_lit_views(inputs, static_cast<int>(module), by_module[module]);
        if (!by_module[module].empty()) {
            seen.push_back(static_cast<int>(module));
        }
    }
    std::vector<ModuleInput> modules(seen.size());
    for_each_item(seen.size(), threads, "fusing modules", progress, [&](std::size_t i) {
        modules[i] = fuse_one(inputs, outcomes, seen[i], by_module[static_cast<std::size_t>(seen[i])]);
    });
    return modules;
}

}  // namespace heatrow
