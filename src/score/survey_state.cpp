#include "survey_state.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/core/median.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

// A module is judged from at least half of its cells; what is lit of a shaded one is looked at from a quarter on.
constexpr double kLeastShare = 0.5;
constexpr double kLeastLitShare = 0.25;

constexpr double kMedianOverMean = 1.2533;  // standard error of a median over a mean's: sqrt(pi/2), normal values

// Share of the cells with a temperature; `lit_only` leaves those in predicted shade out.
double known_share(const ModuleState& module, bool lit_only) {
    const auto& cells = module.input->fused.cells;
    int known = 0;
    for (std::size_t c = 0; c < cells.size(); ++c) {
        const bool counts = !lit_only || module.light_on(static_cast<int>(c)) == CellLight::lit;
        known += cells[c].temperature.is_known() && counts ? 1 : 0;
    }
    return static_cast<double>(known) / static_cast<double>(cells.size());
}

bool is_lost_in_smear(const FusedModule& fused, const Profile& profile) {
    return fused.flags.has(Flag::smeared) && !(fused.smear_cells <= profile.most_smear_cells.value);
}

// Too much of it in the shade: no substring is known to have all its light, or less than half of the cells have.
bool is_mostly_shaded(const ModuleState& module) {
    if (!module.input->shade) {
        return false;
    }
    bool whole = false;
    for (int s = 1; s <= module.type->substring_count(); ++s) {
        whole = whole || !module.is_touched_by_shade(s);
    }
    return !whole || known_share(module, true) < kLeastShare;
}

std::string_view why_unassessed(const ModuleState& state, const Profile& profile) {
    const ModuleInput& module = *state.input;
    const auto& conditions = module.conditions;
    if (known_share(state, false) < kLeastShare && !state.is_seen_in_part()) {
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
    if (!module.outline_fits) {
        return reason::kOutlineMismatch;
    }
    if (module.placement == Placement::ambiguous) {
        return reason::kAmbiguous;
    }
    if (state.is_seen_in_part()) {
        return reason::kSeenInPart;
    }
    if (is_mostly_shaded(state)) {
        return reason::kShaded;
    }
    return is_lost_in_smear(module.fused, profile) ? reason::kSmeared : std::string_view{};
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

CellLight ModuleState::light_on(int cell) const {
    return input != nullptr && input->shade ? input->shade->cells[static_cast<std::size_t>(cell)] : CellLight::lit;
}

bool ModuleState::is_touched_by_shade(int substring) const {
    if (input == nullptr || !input->shade) {
        return false;
    }
    for (std::size_t c = 0; c < input->shade->cells.size(); ++c) {
        if (type->substring_of_cell[c] == substring && input->shade->cells[c] != CellLight::lit) {
            return true;
        }
    }
    return false;
}

bool ModuleState::is_seen_in_part() const {
    return input != nullptr && input->fused.flags.has(Flag::seen_in_part);
}

int ModuleState::cells_seen() const {
    const auto& cells = input->fused.cells;
    return static_cast<int>(
        std::count_if(cells.begin(), cells.end(), [](const FusedCell& cell) { return cell.temperature.is_known(); }));
}

bool ModuleState::is_well_seen(int substring) const {
    if (!is_seen_in_part()) {
        return true;
    }
    int cells = 0;
    int seen = 0;
    for (std::size_t c = 0; c < type->substring_of_cell.size(); ++c) {
        if (type->substring_of_cell[c] == substring) {
            ++cells;
            seen += input->fused.cells[c].temperature.is_known() ? 1 : 0;
        }
    }
    return seen >= kLeastShare * cells;
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
        each.unassessed = why_unassessed(each, input.profile);
        each.has_levels = each.unassessed != reason::kNoData && known_share(each, true) >= kLeastLitShare;
        each.serves = (each.unassessed.empty() || each.unassessed == reason::kSmeared) && !module.shade;
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

double stated_module_u_k(const ModuleState& module) {
    return combine_independent(module.reference->u_k, module.input->fused.level_u_k);
}

double stated_string_u_k(const SurveyState& state, const StringState& string) {
    // What healthy strings differ by beyond what the deviations of their modules explain is the reference's.
    const double own_k = kMedianOverMean * state.module_spread_k / std::sqrt(static_cast<double>(string.seen.size()));
    const double beyond_k = std::sqrt(std::max(0.0, state.string_seen_k * state.string_seen_k - own_k * own_k));
    std::vector<double> levels;
    for (const int module : string.seen) {
        levels.push_back(state.modules[static_cast<std::size_t>(module)].input->fused.level_u_k);
    }
    // Modules of a string share frames and so their drift: the median's is not taken as smaller than one module's.
    return combine_independent(string.reference ? string.reference->u_k : 0.0, take_median(levels), beyond_k);
}

double stated_substring_u_k(const SurveyState& state, const ModuleState& module) {
    std::vector<double> own;
    for (const FusedCell& cell : module.input->fused.cells) {
        own.push_back(cell.temperature.u);
    }
    const double cell_u = take_median(own);
    const double cells = static_cast<double>(module.type->cell_count()) / module.type->substring_count();
    const double of_medians =
        kMedianOverMean * std::sqrt(1.0 / cells + 1.0 / std::max(1.0, static_cast<double>(module.base_cells)));
    const TemplateGroup& group = state.group_of(module);
    // What healthy substrings differ by beyond what the deviations of their cells explain is the measurement's; at
    // least half of it is taken as that, since the two cannot be told apart more finely.
    const double seen_k = group.substring_seen_k;
    const double own_k = of_medians * group.cell_spread_k;
    const double beyond_k = std::max(0.5 * seen_k, std::sqrt(std::max(0.0, seen_k * seen_k - own_k * own_k)));
    return combine_independent(of_medians * (std::isfinite(cell_u) ? cell_u : 0.0), group.template_u_k, beyond_k);
}

double measured_cell_u_k(const SurveyState& state, const ModuleState& module, int cell) {
    const auto& group = state.group_of(module);
    const double own = module.input->fused.cells[static_cast<std::size_t>(cell)].temperature.u;
    // The median of the module's other cells errs with their spread.
    const double rest =
        kMedianOverMean * group.cell_spread_k / std::sqrt(std::max(1.0, static_cast<double>(module.base_cells)));
    return combine_independent(std::isfinite(own) ? own : 0.0, group.template_u_k, rest);
}

double cell_u_k(const SurveyState& state, const ModuleState& module, int cell) {
    return combine_independent(state.group_of(module).cell_spread_k, measured_cell_u_k(state, module, cell));
}

}  // namespace heatrow
