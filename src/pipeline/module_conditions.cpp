#include "module_conditions.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

// Modules in series carry what the weakest of them lets through.
double rated_current_a(const Layout& layout, const ModuleString& string) {
    double least = kNaN;
    for (const int module : string.modules) {
        least = std::fmin(least, layout.type_of(layout.modules[static_cast<std::size_t>(module)]).rated_current_a);
    }
    return least;
}

}  // namespace

ModuleConditions::ModuleConditions(const Layout& layout,
                                   SiteConditions site,
                                   std::optional<ElectricalReadings> electrical,
                                   std::vector<UtcTime> times,
                                   const ConditionsLimits& limits)
    : site_(std::move(site)), times_(std::move(times)) {
    for (const PlaneConditions& plane : site_.planes) {
        auto& conditions = by_plane_.emplace_back();
        for (const UtcTime time : times_) {
            conditions.push_back(plane.series.at(time, limits));
        }
    }
    for (const Module& module : layout.modules) {
        string_of_module_.push_back(module.string);
    }
    if (!electrical) {
        return;
    }
    for (const ModuleString& string : layout.strings) {
        StringFacts& facts = strings_.emplace_back();
        facts.options = electrical->options;
        facts.options.rated_current_a = rated_current_a(layout, string);
        if (const auto found = electrical->strings.find(string.id);
            found != electrical->strings.end() && !string.modules.empty()) {
            facts.readings = std::move(found->second);
            facts.plane = site_.plane_of_module[static_cast<std::size_t>(string.modules.front())];
        }
    }
    clear_load_flags();
}

// A frame as a whole has an unknown load only where no string's is known; findings ask for their own string.
void ModuleConditions::clear_load_flags() {
    for (std::size_t frame = 0; frame < times_.size(); ++frame) {
        const bool any = std::any_of(strings_.begin(), strings_.end(), [&](const StringFacts& string) {
            return load_at(string, times_[frame]).is_known();
        });
        for (auto& conditions : by_plane_) {
            if (any && conditions[frame]) {
                conditions[frame]->flags.clear(Flag::load_unknown);
            }
        }
    }
}

const tl::expected<FrameConditions, Rejection>& ModuleConditions::of_frame(int frame) const {
    const auto at = static_cast<std::size_t>(frame);
    const auto known =
        std::find_if(by_plane_.begin(), by_plane_.end(), [at](const auto& plane) { return plane[at].has_value(); });
    return known == by_plane_.end() ? by_plane_.front()[at] : (*known)[at];
}

FrameConditions ModuleConditions::in_plane(int plane, int frame) const {
    const auto& own = by_plane_[static_cast<std::size_t>(plane)][static_cast<std::size_t>(frame)];
    if (own) {
        return *own;
    }
    FrameConditions other = *of_frame(frame);
    other.irradiance = {};
    other.irradiance_felt = {};
    other.flags.clear(Flag::irradiance_below_minimum);
    return other;
}

FrameConditions ModuleConditions::of_module(int module, int frame) const {
    const auto index = static_cast<std::size_t>(module);
    FrameConditions conditions = in_plane(site_.plane_of_module[index], frame);
    const int string = string_of_module_[index];
    if (string >= 0 && !strings_.empty()) {
        const auto load = load_at(strings_[static_cast<std::size_t>(string)], times_[static_cast<std::size_t>(frame)]);
        if (load.is_known()) {
            conditions.load_fraction = load;
        }
    }
    return conditions;
}

Uncertain<double> ModuleConditions::load_at(const StringFacts& string, UtcTime time) const {
    return load_fraction_at(
        string.readings, time, site_.planes[static_cast<std::size_t>(string.plane)].series, string.options);
}

StringLoad ModuleConditions::load_of(int string, const std::vector<int>& frames) const {
    StringLoad load;
    if (strings_.empty() || frames.empty()) {
        return load;
    }
    const StringFacts& facts = strings_[static_cast<std::size_t>(string)];
    double sum = 0.0;
    double sum_u = 0.0;
    int known = 0;
    for (const int frame : frames) {
        const auto at = load_at(facts, times_[static_cast<std::size_t>(frame)]);
        if (at.is_known()) {
            sum += at.value;
            sum_u += at.u;
            ++known;
        }
    }
    if (known == 0) {
        return load;
    }
    // Meter, rating and light err alike in all of them: the uncertainty does not average out.
    load.fraction = {sum / known, sum_u / known};
    const UtcTime middle = times_[static_cast<std::size_t>(frames[frames.size() / 2])];
    if (const auto nearest = nearest_reading(facts.readings, middle, facts.options.reach)) {
        load.current_a = nearest->current_a;
        load.voltage_v = nearest->voltage_v;
    }
    return load;
}

}  // namespace heatrow
