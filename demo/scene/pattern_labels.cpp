#include "pattern_labels.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/core/finding.hpp"

namespace scene {
namespace {

using heatrow::Pattern;

Pattern parse(const std::string& name) {
    const auto pattern = heatrow::parse_pattern(name);
    if (!pattern) {
        throw heatrow::Error(heatrow::ErrorKind::input,
                             "Could not grade",
                             "pattern '" + name + "'",
                             "it is no known pattern",
                             "See docs/patterns.md for the names.");
    }
    return *pattern;
}

// The name that stands for the pattern where the evidence does not decide; itself where there is none.
Pattern merged_name(Pattern pattern, bool cell_parts_resolved) {
    switch (pattern) {
        case Pattern::substring_open_circuit:
        case Pattern::substring_short_circuited:
        case Pattern::substring_bypassed_by_cell:
            return Pattern::substring_bypassed;
        case Pattern::part_of_cell:
        case Pattern::hot_point:
        case Pattern::cell_interconnect:
            return cell_parts_resolved ? pattern : Pattern::hot_cell;
        case Pattern::potential_induced_degradation:
            return Pattern::patchwork_cause_open;
        case Pattern::shading:
        case Pattern::soiling:
        case Pattern::broken_glass_suspected:
            return Pattern::external_cause_possible;
        case Pattern::string_open_circuit:
        case Pattern::string_off:
            return Pattern::string_warm_cause_open;
        case Pattern::module_replaced:
            return Pattern::module_cooler;
        default:
            return pattern;
    }
}

}  // namespace

Level level_of(const std::string& name) {
    switch (parse(name)) {
        case Pattern::substring_open_circuit:
        case Pattern::substring_short_circuited:
        case Pattern::substring_bypassed_by_cell:
        case Pattern::substring_bypassed:
            return Level::substring;
        case Pattern::hot_cell:
        case Pattern::multiple_hot_cells:
        case Pattern::part_of_cell:
        case Pattern::hot_point:
        case Pattern::cell_interconnect:
        case Pattern::junction_box:
        case Pattern::shading:
        case Pattern::soiling:
        case Pattern::broken_glass_suspected:
        case Pattern::external_cause_possible:
            return Level::cell;
        case Pattern::string_open_circuit:
        case Pattern::string_off:
        case Pattern::string_warm_cause_open:
            return Level::string;
        default:
            return Level::module;
    }
}

const char* name_of(Level level) {
    switch (level) {
        case Level::cell:
            return "cell";
        case Level::substring:
            return "substring";
        case Level::module:
            return "module";
        case Level::string:
            return "string";
    }
    return "";
}

LabelVerdict judge_label(const std::string& truth, const std::string& called, double short_side_px) {
    if (truth == called) {
        return LabelVerdict::right;
    }
    // A substring whose truth names no cause is rendered with all its branches open.
    if (parse(truth) == Pattern::substring_bypassed && parse(called) == Pattern::substring_open_circuit) {
        return LabelVerdict::merged;
    }
    // Parts of a cell are told apart only where its short side has five pixels (docs/patterns.md).
    constexpr double kPartsFromPx = 5.0;
    const Pattern merged = merged_name(parse(truth), short_side_px >= kPartsFromPx);
    return merged == parse(called) ? LabelVerdict::merged : LabelVerdict::wrong;
}

}  // namespace scene
