#include "assemble.hpp"
#include "camera_optics.hpp"
#include "heatrow/core/median.hpp"
#include "heatrow/fuse/fuse.hpp"
#include "heatrow/radiometry/uncertainty.hpp"
#include "heatrow/segment/sample.hpp"
#include "parallel_items.hpp"

#include <algorithm>
#include <set>

namespace heatrow {
namespace {

// Where a view's temperatures lie.
struct ViewPlace {
    int frame = 0;
    std::size_t slot = 0;
    Placement placement = Placement::placed;
    const std::vector<int>* candidates = nullptr;
};

// Views of each module of the layout, in frame order.
std::vector<std::vector<ViewPlace>> views_by_module(const std::vector<PlacedView>& views, std::size_t module_count) {
    std::vector<std::vector<ViewPlace>> by_module(module_count);
    for (const PlacedView& view : views) {
        by_module[static_cast<std::size_t>(view.module)].push_back(
            {view.frame, static_cast<std::size_t>(view.slot), view.placement, &view.candidates});
    }
    return by_module;
}

bool is_placed(const ViewPlace& place) {
    return place.placement == Placement::placed;
}

// What may be another module has no say where it is not needed.
void prefer_placed_views(std::vector<ViewPlace>& places) {
    if (std::any_of(places.begin(), places.end(), is_placed)) {
        std::erase_if(places, [](const ViewPlace& place) { return !is_placed(place); });
    }
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

// What the fit leaves open of a cell's difference to its module, K per K: width of the point spread, light that strays
// beyond it, heat in the sheet.
double cell_relative_u(const SurveyInputs& inputs, const ModuleType& type, const FusedModule& fused) {
    const Optics optics = optics_of(inputs);
    const double width_m = type.cell_area_width.value() / type.columns;
    const double height_m = type.cell_area_height.value() / type.rows;
    const double short_px = fused.cell_short_px * optics.frame_px_per_pixel;
    const double long_px = short_px * std::max(width_m, height_m) / std::min(width_m, height_m);
    const double by_width =
        optics.blur_sigma_px > 0.0
            ? loss_by_width(point_spread(optics), short_px, long_px, kept_clear(short_px, SampleOptions{}.edge_px))
            : 0.0;
    return combine_independent(inputs.profile.point_spread_u.value * by_width,
                               inputs.profile.size_of_source_u.value,
                               inputs.profile.cell_heat_u.value);
}

// By the budget of a temperature and of a difference of ten kelvin, under the conditions of one view.
SharedTerms shared_terms(const Profile& profile,
                         const BandRadiance& band,
                         const ObjectConditions& conditions,
                         Celsius object) {
    UncertaintyCauses causes;
    causes.camera_offset = KelvinDelta(profile.camera_offset_u_k.value);
    causes.camera_gain = profile.camera_gain_u.value;
    if (conditions.emissivity < 1.0) {
        causes.emissivity = profile.front_emissivity_u.value;
        causes.reflected = KelvinDelta(profile.reflected_u_k.value);
    }
    const KelvinDelta step(10.0);
    MeasuredArea area;
    area.conditions = conditions;
    area.apparent = apparent_of_object(object, conditions, band);
    MeasuredArea hotter = area;
    hotter.apparent = apparent_of_object(object + step, conditions, band);
    return {temperature_with_budget(area, causes, band).budget.combined_k(),
            difference_with_budget(hotter, area, causes, band).budget.combined_k() / step.value(),
            0.0};
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
        const auto first = std::find_if(places.begin(), places.end(), [&](const ViewPlace& place) {
            return place.frame == result.fused.frames.front();
        });
        std::vector<double> cells_c;
        for (const FusedCell& cell : result.fused.cells) {
            cells_c.push_back(cell.temperature.value.value());
        }
        result.shared = shared_terms(inputs.profile,
                                     inputs.band,
                                     outcomes[static_cast<std::size_t>(first->frame)].view_conditions[first->slot],
                                     Celsius(take_median(cells_c)));
        result.shared.cell_relative_u = cell_relative_u(
            inputs, inputs.layout.type_of(inputs.layout.modules[static_cast<std::size_t>(module)]), result.fused);
        result.time = inputs.frames.priors[static_cast<std::size_t>(result.fused.frames.front())].time;
    }
    if (!is_placed(places.front())) {
        result.placement = Placement::ambiguous;
        std::set<int> candidates;
        for (const ViewPlace& place : places) {
            candidates.insert(place.candidates->begin(), place.candidates->end());
        }
        candidates.erase(module);
        result.candidates.assign(candidates.begin(), candidates.end());
    }
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
        prefer_placed_views(by_module[module]);
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
