#include "heatrow/score/wider_name.hpp"

namespace heatrow {

Pattern wider_name(Pattern pattern) {
    switch (pattern) {
        case Pattern::string_off:
        case Pattern::string_open_circuit:
            return Pattern::string_warm_cause_open;
        case Pattern::substring_open_circuit:
        case Pattern::substring_short_circuited:
        case Pattern::substring_bypassed_by_cell:
            return Pattern::substring_bypassed;
        case Pattern::short_circuited_module:
        case Pattern::potential_induced_degradation:
        case Pattern::patchwork_cause_open:
        case Pattern::module_missing:
        case Pattern::module_replaced:
        case Pattern::module_cooler:
            return Pattern::open_circuit_module;
        case Pattern::soiling:
        case Pattern::broken_glass_suspected:
            return Pattern::external_cause_possible;
        default:
            return Pattern::hot_cell;
    }
}

}  // namespace heatrow
