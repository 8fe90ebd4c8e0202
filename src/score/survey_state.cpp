#include "survey_state.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/core/median.hpp"

#include <algorithm>

namespace heatrow {
namespace {

// A module is judged from at least half of its cells.
bool has_enough_cells(const FusedModule& fused) {
    const auto known = std::count_if(
        fused.cells.begin(), fused.cells.end(), [](const FusedCell& cell) { return cell.temperature.is_known(); });
    return known > 0 && 2 * static_cast<std::size_t>(known) >= fused.cells.size();
}

std::string_view why_unassessed(const ModuleInput& module, const Profile& profile) {
    const auto& conditions = module.conditions;
    if (!has_enough_cells(module.fused)) {
        return reason::kNoData;
    }
    if (module.placement == Placement::not_seen) {
        return reason::kNotSeen;
    }
    if (!conditions.irradiance.is_known()) {
        return reason::kIrradianceUnknown;
    }
    if (conditions.irradiance.value.value() < profile.minimum_irradiance_w_m2.value) {
        return reason::kIrradianceBelowMinimum;
    }
    if (conditions.load_fraction.value < profile.minimum_load_fraction.value) {  // false where the load is unknown
        return reason::kLowLoad;
    }
    return module.placement == Placement::ambiguous ? reason::kAmbiguous : std::string_view{};
}

void check_order(const ScoreInput& input) {
    int last = -1;
    for (const auto& module : input.modules) {
        const int index = module.fused.module;
        if (index <= last || static_cast<std::size_t>(index) >= input.layout.modules.size()) {
            throw Error(ErrorKind::internal,
                        "modules cannot be scored",
                        "layout index " + std::to_string(index),
                        "the modules are not in ascending layout order",
                        "report this as a defect");
        }
        const auto& type = input.layout.type_of(input.layout.modules[static_cast<std::size_t>(index)]);
        if (module.fused.cells.size() != static_cast<std::size_t>(type.cell_count())) {
            throw Error(ErrorKind::internal,
                        "a module cannot be scored",
                        input.layout.modules[static_cast<std::size_t>(index)].id,
                        "it has not as many cells as its type",
                        "report this as a defect");
        }
        last = index;
    }
}

}  // namespace

bool ModuleState::is_warm(int substring) const {
    return std::find(warm_substrings.begin(), warm_substrings.end(), substring) != warm_substrings.end();
}

SurveyState begin_state(const ScoreInput& input) {
    check_order(input);
    SurveyState state;
    state.modules.resize(input.layout.modules.size());
    for (std::size_t i = 0; i < state.modules.size(); ++i) {
        state.modules[i].type = &input.layout.type_of(input.layout.modules[i]);
        state.modules[i].unassessed = reason::kNotSeen;
    }
    for (const auto& module : input.modules) {
        auto& each = state.modules[static_cast<std::size_t>(module.fused.module)];
        each.input = &module;
        each.unassessed = why_unassessed(module, input.profile);
        each.has_levels = has_enough_cells(module.fused);
        each.serves = each.unassessed.empty();
    }
    return state;
}

double string_u_k(const SurveyState& state, const StringState& string) {
    const double modules =
        state.module_spread_k / std::sqrt(std::max<double>(1.0, static_cast<double>(string.seen.size())));
    return combine_independent(state.string_spread_k, modules, string.reference ? string.reference->u_k : 0.0);
}

double module_u_k(const SurveyState& state, const ModuleState& module) {
    return combine_independent(state.module_spread_k, module.reference->u_k, module.input->fused.level_u_k);
}

double substring_u_k(const SurveyState& state, const ModuleState& module) {
    return state.group_of(module).substring_spread_k;
}

double measured_cell_u_k(const SurveyState& state, const ModuleState& module, int cell) {
    const auto& group = state.group_of(module);
    const double own = module.input->fused.cells[static_cast<std::size_t>(cell)].temperature.u;
    // The median of the module's other cells errs with their spread; a median needs 1.25 times the mean's.
    const double rest = 1.2533 * group.cell_spread_k / std::sqrt(std::max(1.0, static_cast<double>(module.base_cells)));
    return combine_independent(std::isfinite(own) ? own : 0.0, group.template_u_k, rest);
}

double cell_u_k(const SurveyState& state, const ModuleState& module, int cell) {
    return combine_independent(state.group_of(module).cell_spread_k, measured_cell_u_k(state, module, cell));
}

}  // namespace heatrow
