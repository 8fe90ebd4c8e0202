#include "assemble.hpp"
#include "cell_terms.hpp"
#include "heatrow/core/median.hpp"
#include "heatrow/fuse/fuse.hpp"
#include "heatrow/fuse/view_levels.hpp"
#include "heatrow/radiometry/uncertainty.hpp"
#include "parallel_items.hpp"
#include "view_conditions.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <set>
#include <utility>

namespace heatrow {
namespace {

// Where a view's temperatures lie.
struct ViewPlace {
    int frame = 0;
    std::size_t slot = 0;
    Placement placement = Placement::placed;
    const std::vector<int>* candidates = nullptr;
    double level_c = kNaN;  // median of its cells
    double offset_k = 0.0;  // what it reads too much, with the views like it
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

// The picture's border cuts it: its level is that of some cells, and tells nothing of the view's.
bool is_part(const std::vector<FrameOutcome>& outcomes, const ViewPlace& place) {
    return outcomes[static_cast<std::size_t>(place.frame)].views[place.slot].view.flags.has(Flag::seen_in_part);
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

// How far the standard uncertainty of what is mirrored moves a temperature, K: sky and ground apart.
std::array<double, kViewCauses> reflected_effects(const SurveyInputs& inputs,
                                                  const ObjectConditions& conditions,
                                                  Celsius air,
                                                  double level_c) {
    std::array<double, kViewCauses> effects{};
    if (conditions.emissivity < 1.0) {
        const bool is_ground = conditions.reflected > air;
        effects[is_ground ? 1 : 0] = -inputs.profile.reflected_u_k.value * (1.0 - conditions.emissivity) /
                                     conditions.emissivity * inputs.band.derivative(conditions.reflected) /
                                     inputs.band.derivative(Celsius(level_c));
    }
    return effects;
}

// What the border cuts takes the offset of the whole modules of its table in the frame.
void set_offsets_of_parts(const std::map<std::pair<int, int>, std::vector<double>>& offsets_of_group,
                          const Layout& layout,
                          const std::vector<FrameOutcome>& outcomes,
                          std::vector<std::vector<ViewPlace>>& by_module) {
    for (std::size_t module = 0; module < by_module.size(); ++module) {
        for (ViewPlace& place : by_module[module]) {
            const auto group = offsets_of_group.find({place.frame, layout.modules[module].table});
            if (is_part(outcomes, place) && group != offsets_of_group.end()) {
                place.offset_k = median_of(group->second);
            }
        }
    }
}

// From the centre of the picture, over half of its diagonal.
Eigen::Vector2d place_in_picture(const Lens& lens, const ModuleSlot& slot) {
    const Eigen::Vector2d size(lens.width_px, lens.height_px);
    const auto& corners = slot.corners_px;
    return 2.0 * (0.25 * (corners[0] + corners[1] + corners[2] + corners[3]) - 0.5 * size) / size.norm();
}

// Finds for every view by how much it reads too much or too little with the others of its table and angle.
void find_offsets(const SurveyInputs& inputs,
                  const std::vector<FrameOutcome>& outcomes,
                  std::vector<std::vector<ViewPlace>>& by_module) {
    std::map<std::pair<int, int>, int> group_of;  // by frame and table
    std::vector<ViewLevel> levels;
    std::vector<ViewPlace*> places;
    for (std::size_t module = 0; module < by_module.size(); ++module) {
        for (ViewPlace& place : by_module[module]) {
            const auto frame = static_cast<std::size_t>(place.frame);
            const FrameOutcome& outcome = outcomes[frame];
            place.level_c = outcome.views[place.slot].level_c;
            if (std::isfinite(place.level_c) && !is_part(outcomes, place)) {
                const auto next = static_cast<int>(group_of.size());
                const auto group = group_of.emplace(std::pair(place.frame, inputs.layout.modules[module].table), next);
                levels.push_back({static_cast<int>(module),
                                  group.first->second,
                                  place.level_c,
                                  reflected_effects(inputs,
                                                    outcome.view_conditions[place.slot],
                                                    inputs.frame_conditions[frame]->air.value,
                                                    place.level_c),
                                  place_in_picture(inputs.lens, outcome.record.slots[place.slot])});
                places.push_back(&place);
            }
        }
    }
    const auto offsets = view_offsets(levels, static_cast<int>(group_of.size()), inputs.profile.view_scatter_k.value);
    std::vector<std::vector<double>> offsets_by_number(group_of.size());
    for (std::size_t i = 0; i < places.size(); ++i) {
        places[i]->offset_k = offsets[i];
        offsets_by_number[static_cast<std::size_t>(levels[i].group)].push_back(offsets[i]);
    }
    std::map<std::pair<int, int>, std::vector<double>> offsets_of_group;
    for (const auto& [key, number] : group_of) {
        offsets_of_group.emplace(key, std::move(offsets_by_number[static_cast<std::size_t>(number)]));
    }
    set_offsets_of_parts(offsets_of_group, inputs.layout, outcomes, by_module);
}

// Less the offset, which is one of radiance: it weighs less on a hot cell.
ModuleView levelled(ModuleView view, const ViewPlace& place, const BandRadiance& band) {
    if (place.offset_k == 0.0) {
        return view;
    }
    const double offset = place.offset_k * band.derivative(Celsius(place.level_c));
    for (std::vector<float>* figures : {&view.mean_c, &view.hottest_c}) {
        for (float& value_c : *figures) {
            value_c -= static_cast<float>(offset / band.derivative(Celsius(double{value_c})));
        }
    }
    return view;
}

// By the budget of a temperature and of a difference of ten kelvin, under the conditions of one view.
SharedTerms shared_terms(const Profile& profile,
                         const BandRadiance& band,
                         const ObjectConditions& conditions,
                         double normal_emissivity,
                         Celsius object) {
    UncertaintyCauses causes;
    causes.camera_offset = KelvinDelta(profile.camera_offset_u_k.value);
    causes.camera_gain = profile.camera_gain_u.value;
    if (conditions.emissivity < 1.0) {
        // a share of what the front mirrors, stated for the normal
        causes.emissivity = profile.front_emissivity_u.value *
                            std::max(1.0, (1.0 - conditions.emissivity) / std::max(0.01, 1.0 - normal_emissivity));
        causes.reflected = KelvinDelta(profile.reflected_u_k.value);
    }
    causes.transmittance = profile.air_path_u.value * (1.0 - conditions.transmittance);
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

// Mean over the views that were used.
CellMotion motion_of(const SurveyInputs& inputs,
                     const std::vector<FrameOutcome>& outcomes,
                     const std::vector<ViewPlace>& places,
                     const ModuleType& type,
                     const FusedModule& fused) {
    std::vector<CellMotion> each;
    for (const ViewPlace& place : places) {
        if (std::binary_search(fused.frames.begin(), fused.frames.end(), place.frame)) {
            const FrameOutcome& outcome = outcomes[static_cast<std::size_t>(place.frame)];
            each.push_back(motion_in_view(inputs, outcome, outcome.record.slots[place.slot], type));
        }
    }
    return mean_motion(each);
}

// In most of its views most of a module's bands must lie where the layout has them. A frame in which few do at all
// shows no bands (no contrast, smear) and says nothing.
bool outline_fits(const std::vector<FrameOutcome>& outcomes, const std::vector<ViewPlace>& places) {
    int fitting = 0;
    int cut = 0;
    for (const ViewPlace& place : places) {
        const FrameOutcome& outcome = outcomes[static_cast<std::size_t>(place.frame)];
        if (outcome.views[place.slot].view.flags.has(Flag::smeared)) {
            continue;  // a trail moves the deepest place of a band's dip
        }
        const FrameSpread& spread = outcome.spread;
        BandFit all;
        for (const BandFit& fit : spread.fits) {
            all.cut += fit.cut;
            all.fitting += fit.fitting;
        }
        if (place.slot < spread.fits.size() && 2 * all.fitting > all.cut) {  // no fits: placed without a layout's bands
            cut += spread.fits[place.slot].cut;
            fitting += spread.fits[place.slot].fitting;
        }
    }
    return 2 * fitting >= cut;
}

ModuleInput fuse_one(const SurveyInputs& inputs,
                     const ViewConditions& view_conditions,
                     const std::vector<FrameOutcome>& outcomes,
                     const ViewStore& store,
                     int module,
                     const std::vector<ViewPlace>& places) {
    std::vector<ModuleView> views;
    views.reserve(places.size());
    for (const ViewPlace& place : places) {
        const FrameOutcome& outcome = outcomes[static_cast<std::size_t>(place.frame)];
        views.push_back(levelled(store.take_out(outcome.views[place.slot]), place, inputs.band));
    }
    FuseOptions options;
    options.noise_k = inputs.settings.frame_camera().noise.value();
    options.view_scatter_k = inputs.profile.view_scatter_k.value;

    ModuleInput result;
    result.fused = fuse_module(inputs.layout, module, views, options);
    result.outline_fits = outline_fits(outcomes, places);
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
        const ModuleType& type = inputs.layout.type_of(inputs.layout.modules[static_cast<std::size_t>(module)]);
        result.shared = shared_terms(inputs.profile,
                                     inputs.band,
                                     outcomes[static_cast<std::size_t>(first->frame)].view_conditions[first->slot],
                                     view_conditions.normal_emissivity(type.front),
                                     Celsius(take_median(cells_c)));
        const CellMotion motion = motion_of(inputs, outcomes, places, type, result.fused);
        result.fused.smear_cells = motion.cells;
        if ((inputs.mosaic || result.fused.flags.has(Flag::smeared)) && motion.unlogged_px > 0.0) {
            result.fused.flags.set(Flag::lower_bound);  // what no log tells is not taken out
        }
        result.shared.cell_relative_u = cell_relative_u(inputs, type, result.fused, motion);
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
                                      const ViewStore& store,
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
    find_offsets(inputs, outcomes, by_module);
    const ViewConditions view_conditions(inputs);
    std::vector<ModuleInput> modules(seen.size());
    for_each_item(seen.size(), threads, "fusing modules", progress, [&](std::size_t i) {
        modules[i] =
            fuse_one(inputs, view_conditions, outcomes, store, seen[i], by_module[static_cast<std::size_t>(seen[i])]);
    });
    return modules;
}

}  // namespace heatrow
