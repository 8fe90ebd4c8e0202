#include "heatrow/core/finding.hpp"

#include <array>

namespace heatrow {
namespace {

constexpr std::array<std::string_view, kPatternCount> kPatternNames = {
    "open_circuit_module",
    "short_circuited_module",
    "substring_open_circuit",
    "substring_short_circuited",
    "substring_bypassed_by_cell",
    "substring_bypassed",
    "hot_cell",
    "multiple_hot_cells",
    "part_of_cell",
    "hot_point",
    "cell_interconnect",
    "junction_box",
    "potential_induced_degradation",
    "patchwork_cause_open",
    "shading",
    "soiling",
    "broken_glass_suspected",
    "external_cause_possible",
    "string_open_circuit",
    "string_off",
    "string_warm_cause_open",
    "module_missing",
    "module_replaced",
    "module_cooler",
};

}  // namespace

std::string_view to_string(Pattern pattern) {
    return kPatternNames[static_cast<std::size_t>(pattern)];
}

std::optional<Pattern> parse_pattern(std::string_view name) {
    for (std::size_t i = 0; i < kPatternNames.size(); ++i) {
        if (kPatternNames[i] == name) {
            return static_cast<Pattern>(i);
        }
    }
    return std::nullopt;
}

std::string_view to_string(Verdict verdict) {
    switch (verdict) {
        case Verdict::open:
            return "open";
        case Verdict::confirmed:
            return "confirmed";
        case Verdict::rejected:
            return "rejected";
    }
    return {};
}

}  // namespace heatrow
