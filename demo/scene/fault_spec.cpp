#include "fault_spec.hpp"

#include "toml_section.hpp"

#include <fmt/format.h>

#include <cmath>

namespace scene {
namespace {

using heatrow::kNaN;
using heatrow::Pattern;

Pattern pattern_of(const Section& section, std::string_view key, std::string_view name) {
    const auto pattern = heatrow::parse_pattern(name);
    if (!pattern || (*pattern != Pattern::hot_cell && *pattern != Pattern::substring_bypassed &&
                     *pattern != Pattern::open_circuit_module && *pattern != Pattern::string_warm_cause_open)) {
        section.fail(key, fmt::format("'{}' is no pattern that can be rendered yet", name));
    }
    return *pattern;
}

}  // namespace

RandomFaults read_random_faults(Section section) {
    RandomFaults faults;
    faults.pattern = pattern_of(section, "pattern", section.text("pattern"));
    faults.count = section.integer("count");
    const auto range = section.numbers("delta_t_1000_k", {});
    if (range.size() != 2 && (!range.empty() || faults.pattern == Pattern::hot_cell)) {
        section.fail("delta_t_1000_k", "must hold the lowest and the highest difference");
    }
    faults.low_k = range.empty() ? kNaN : range[0];
    faults.high_k = range.empty() ? kNaN : range[1];
    section.finish();
    return faults;
}

FaultSpec read_fault(Section section) {
    FaultSpec fault;
    fault.pattern = pattern_of(section, "pattern", section.text("pattern"));
    fault.module = section.text("module", "");
    fault.string = section.text("string", "");
    fault.cell = section.text("cell", "");
    fault.substring = section.integer("substring", 0);
    fault.delta_t_1000_k = section.number("delta_t_1000_k", kNaN);
    const bool on_string = fault.pattern == Pattern::string_warm_cause_open;
    if (on_string == fault.string.empty() || on_string != fault.module.empty()) {
        section.fail(on_string ? "string" : "module", "must name where the fault lies");
    }
    if (fault.pattern == Pattern::hot_cell && (fault.cell.empty() || std::isnan(fault.delta_t_1000_k))) {
        section.fail("cell", "and delta_t_1000_k are needed for a hot cell");
    }
    if (fault.pattern == Pattern::substring_bypassed && fault.substring < 1) {
        section.fail("substring", "is needed");
    }
    section.finish();
    return fault;
}

ScopeSpec read_scope(Section& root) {
    ScopeSpec scope;
    auto limits = root.section("limits_k");
    if (!limits) {
        root.fail("limits_k", "is missing");
    }
    for (const Pattern pattern : {Pattern::hot_cell,
                                  Pattern::substring_bypassed,
                                  Pattern::open_circuit_module,
                                  Pattern::string_warm_cause_open}) {
        scope.limits_k[pattern] = limits->number(heatrow::to_string(pattern));
    }
    limits->finish();
    if (auto section = root.section("scope")) {
        scope.factor = section->number("factor", scope.factor);
        scope.minimum_frames = section->integer("minimum_frames", scope.minimum_frames);
        scope.minimum_irradiance_w_m2 = section->number("minimum_irradiance_w_m2", scope.minimum_irradiance_w_m2);
        section->finish();
    }
    return scope;
}

}  // namespace scene
