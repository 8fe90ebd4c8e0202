#include "slot_views.hpp"

#include "heatrow/radiometry/count_table.hpp"

#include <cmath>

namespace heatrow {
namespace {

ModuleSight sight_of(const LayoutIndex& site, const FramePose& pose, const ModuleSlot& slot) {
    return {pose.position_in_site,
            site.centre_in_site(slot.module),
            site.normal_in_site(slot.module),
            slot.view_angle,
            site.layout().type_of(site.module(slot.module)).front};
}

// The table for the counts of one slot and no more.
CountTable table_for(const ModuleSlot& slot, const ObjectConditions& conditions, const SurveyInputs& inputs) {
    const TemperatureEncoding& encoding = inputs.settings.temperature.encoding;
    double low_c = HUGE_VAL;
    double high_c = -HUGE_VAL;
    for (const CellSample& cell : slot.cells) {
        for (const float count : {cell.mean, cell.hottest}) {
            const double exported_c = exported_temperature(double{count}, encoding).value();
            low_c = std::fmin(low_c, exported_c);
            high_c = std::fmax(high_c, exported_c);
        }
    }
    return {encoding, conditions, inputs.band, Celsius(low_c), Celsius(high_c)};
}

ModuleView view_of(const ModuleSlot& slot, int frame, double native_share, const CountTable& table) {
    ModuleView view;
    view.frame = frame;
    view.flags = slot.flags;
    view.view_angle = slot.view_angle;
    view.cell_short_px = slot.cell_short_px * native_share;
    view.smear_px = std::isfinite(slot.smear_px) ? slot.smear_px * native_share : 0.0;
    for (const CellSample& cell : slot.cells) {
        view.mean_c.push_back(static_cast<float>(table.temperature(double{cell.mean}).value()));
        view.hottest_c.push_back(static_cast<float>(table.temperature(double{cell.hottest}).value()));
        view.spread_k.push_back(static_cast<float>(double{cell.spread} * table.slope_k_per_count(double{cell.mean})));
        view.pixels.push_back(cell.pixels);
    }
    return view;
}

}  // namespace

SlotViews views_of(const SurveyInputs& inputs,
                   const LayoutIndex& site,
                   const ViewConditions& view_conditions,
                   const SlotRecord& record) {
    const FrameConditions& frame_conditions = *inputs.frame_conditions[static_cast<std::size_t>(record.frame)];
    const double native_share = inputs.settings.frame_camera().native_share();
    SlotViews result;
    result.views.reserve(record.slots.size());
    result.conditions.reserve(record.slots.size());
    for (const ModuleSlot& slot : record.slots) {
        const ObjectConditions conditions = view_conditions.of(sight_of(site, record.pose, slot), frame_conditions);
        result.views.push_back(view_of(slot, record.frame, native_share, table_for(slot, conditions, inputs)));
        result.conditions.push_back(conditions);
    }
    return result;
}

}  // namespace heatrow
