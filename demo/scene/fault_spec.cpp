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
    if (!pattern || !fault_place(*pattern)) {
        section.fail(key,
                     fmt::format("'{}' is no fault that can be placed{}",
                                 name,
                                 name == "shading" ? ": let an [[obstacle]] stand in the sun" : ""));
    }
    return *pattern;
}

// Has it a strength of its own, or does it follow from the circuit and the energy balance?
bool needs_strength(Pattern pattern) {
    switch (pattern) {
        case Pattern::hot_cell:
        case Pattern::multiple_hot_cells:
        case Pattern::part_of_cell:
        case Pattern::hot_point:
        case Pattern::cell_interconnect:
        case Pattern::junction_box:
        case Pattern::module_cooler:
        case Pattern::module_replaced:
            return true;
        default:
            return false;
    }
}

// Can a strength be asked for?
bool takes_strength(Pattern pattern) {
    return needs_strength(pattern) || pattern == Pattern::substring_bypassed ||
           pattern == Pattern::open_circuit_module || pattern == Pattern::string_warm_cause_open;
}

void check_strength(const Section& section, Pattern pattern, bool given) {
    if (given && !takes_strength(pattern)) {
        section.fail("delta_t_1000_k", fmt::format("follows from the circuit for {}", heatrow::to_string(pattern)));
    }
    if (!given && needs_strength(pattern)) {
        section.fail("delta_t_1000_k", fmt::format("is needed for {}", heatrow::to_string(pattern)));
    }
}

}  // namespace

std::optional<FaultPlace> fault_place(Pattern pattern) {
    switch (pattern) {
        case Pattern::hot_cell:
        case Pattern::multiple_hot_cells:
        case Pattern::part_of_cell:
        case Pattern::hot_point:
        case Pattern::cell_interconnect:
        case Pattern::substring_bypassed_by_cell:
            return FaultPlace::cell;
        case Pattern::substring_bypassed:
        case Pattern::substring_open_circuit:
        case Pattern::substring_short_circuited:
            return FaultPlace::substring;
        case Pattern::open_circuit_module:
        case Pattern::short_circuited_module:
        case Pattern::junction_box:
        case Pattern::soiling:
        case Pattern::broken_glass_suspected:
        case Pattern::module_missing:
        case Pattern::module_replaced:
        case Pattern::module_cooler:
            return FaultPlace::module;
        case Pattern::string_open_circuit:
        case Pattern::string_off:
        case Pattern::string_warm_cause_open:
        case Pattern::potential_induced_degradation:
            return FaultPlace::string;
        case Pattern::patchwork_cause_open:
        case Pattern::shading:
        case Pattern::external_cause_possible:
            break;
    }
    return std::nullopt;
}

RandomFaults read_random_faults(Section section) {
    RandomFaults faults;
    faults.pattern = pattern_of(section, "pattern", section.text("pattern"));
    faults.count = section.integer("count");
    const auto range = section.numbers("delta_t_1000_k", {});
    if (range.size() != 2 && !range.empty()) {
        section.fail("delta_t_1000_k", "must hold the lowest and the highest difference");
    }
    check_strength(section, faults.pattern, !range.empty());
    faults.low_k = range.empty() ? kNaN : range[0];
    faults.high_k = range.empty() ? kNaN : range[1];
    section.finish();
    return faults;
}

FaultSpec read_fault(Section section) {
    FaultSpec fault;
    fault.pattern = pattern_of(section, "pattern", section.text("pattern"));
    const FaultPlace place = *fault_place(fault.pattern);
    const bool on_string = place == FaultPlace::string;
    (on_string ? fault.string : fault.module) = section.text(on_string ? "string" : "module");
    if (place == FaultPlace::cell) {
        if (fault.pattern == Pattern::multiple_hot_cells) {
            fault.cells = section.texts("cells");
        } else {
            fault.cells = {section.text("cell")};
        }
    }
    if (place == FaultPlace::substring) {
        fault.substring = section.integer("substring");
        fault.branch = section.integer("branch", 0);
        if (fault.substring < 1 || fault.branch < 0) {
            section.fail("substring", "and branch count from 1");
        }
    }
    if (fault.pattern == Pattern::junction_box) {
        fault.box = section.integer("box", 1);
    }
    if (fault.pattern == Pattern::potential_induced_degradation) {
        fault.modules = section.integer("modules", 6);
    }
    if (fault.pattern == Pattern::soiling) {
        fault.size_m = section.number("size_m", 0.35);
    }
    fault.delta_t_1000_k = section.number("delta_t_1000_k", kNaN);
    check_strength(section, fault.pattern, !std::isnan(fault.delta_t_1000_k));
    section.finish();
    return fault;
}

ScopeSpec read_scope(Section& root) {
    ScopeSpec scope;
    auto limits = root.section("limits_k");
    if (!limits) {
        root.fail("limits_k", "is missing");
    }
    for (int i = 0; i < heatrow::kPatternCount; ++i) {
        const auto pattern = static_cast<Pattern>(i);
        const std::string_view name = heatrow::to_string(pattern);
        const bool required = pattern == Pattern::hot_cell || pattern == Pattern::substring_bypassed ||
                              pattern == Pattern::open_circuit_module || pattern == Pattern::string_warm_cause_open;
        if (required || limits->has(name)) {
            scope.limits_k[pattern] = limits->number(name);
        }
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
