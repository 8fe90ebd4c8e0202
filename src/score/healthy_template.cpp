// The healthy template: what a cell's position alone does to its temperature (frame, box, rail, convection), taken as
// the median over like modules, and the spreads that healthy modules show about it.
#include "heatrow/core/median.hpp"
#include "heatrow/site/neighbours.hpp"
#include "survey_state.hpp"

#include <Eigen/Geometry>

#include <algorithm>
#include <cmath>
#include <utility>

namespace heatrow {
namespace {

constexpr double kMedianFactor = 1.2533;  // standard error of a median over that of a mean, sqrt(pi / 2)

// As TemplateGroup::top_points. Convection cares.
int top_direction(const Module& module) {
    const Eigen::Vector3d normal = module.normal_in_site();
    const Eigen::Vector3d up_slope = Eigen::Vector3d::UnitZ() - normal.z() * normal;
    const Eigen::Vector3d top = module.corners_in_site[0] - module.corners_in_site[3];
    const double along = top.dot(up_slope);
    const double right = top.dot(up_slope.cross(normal));
    if (std::abs(along) >= std::abs(right)) {
        return along >= 0.0 ? 0 : 2;
    }
    return right > 0.0 ? 1 : 3;
}

NeighbourOptions likeness(const Profile& profile) {
    NeighbourOptions options;
    options.tilt_tolerance = degrees(profile.like_tilt_deg.value);
    options.azimuth_tolerance = degrees(profile.like_azimuth_deg.value);
    return options;
}

void assign_groups(const ScoreInput& input, SurveyState& state) {
    const auto options = likeness(input.profile);
    const auto& modules = input.layout.modules;
    for (std::size_t i = 0; i < modules.size(); ++i) {
        auto& module = state.modules[i];
        if (!module.has_levels) {
            continue;
        }
        const int direction = top_direction(modules[i]);
        std::size_t g = 0;
        while (g < state.groups.size() &&
               (state.groups[g].top_points != direction ||
                !are_like(modules[static_cast<std::size_t>(state.groups[g].first_module)], modules[i], options))) {
            ++g;
        }
        if (g == state.groups.size()) {
            state.groups.emplace_back();
            state.groups[g].first_module = static_cast<int>(i);
            state.groups[g].top_points = direction;
        }
        module.group = static_cast<int>(g);
        state.groups[g].modules += module.serves ? 1 : 0;
    }
}

double temperature_c(const ModuleState& module, std::size_t cell) {
    return module.input->fused.cells[cell].temperature.value.value();
}

double raw_level_c(const ModuleState& module) {
    std::vector<double> values;
    values.reserve(module.input->fused.cells.size());
    for (std::size_t c = 0; c < module.input->fused.cells.size(); ++c) {
        values.push_back(temperature_c(module, c));
    }
    return take_median(values);
}

// Median over the group's modules, cell by cell; zero where too few modules show it.
void set_template(const ScoreInput& input, const std::vector<const ModuleState*>& members, TemplateGroup& group) {
    const auto& type = input.layout.type_of(input.layout.modules[static_cast<std::size_t>(group.first_module)]);
    const auto cells = static_cast<std::size_t>(type.cell_count());
    group.template_k.assign(cells, 0.0);
    group.cell_spread_k = input.profile.healthy_cell_spread_k.value;
    group.substring_spread_k = input.profile.healthy_substring_spread_k.value;
    group.substring_seen_k = group.substring_spread_k;
    if (group.modules < static_cast<int>(input.profile.template_minimum_modules.value)) {
        group.template_u_k = group.cell_spread_k;  // the pattern stays in: taken to be no larger than the cell spread
        return;
    }
    group.has_template = true;
    std::vector<double> levels;
    levels.reserve(members.size());
    for (const auto* member : members) {
        levels.push_back(raw_level_c(*member));
    }
    std::vector<double> values;
    for (std::size_t c = 0; c < cells; ++c) {
        values.clear();
        for (std::size_t m = 0; m < members.size(); ++m) {
            values.push_back(temperature_c(*members[m], c) - levels[m]);
        }
        const double median = take_median(values);
        group.template_k[c] = std::isfinite(median) ? median : 0.0;
    }
    const double centre = median_of(group.template_k);
    for (double& value : group.template_k) {
        value -= centre;  // a template moves no module's level
    }
    group.template_u_k = kMedianFactor * group.cell_spread_k / std::sqrt(static_cast<double>(members.size()));
}

double substring_median_k(const ModuleState& module, int substring) {
    std::vector<double> values;
    for (std::size_t c = 0; c < module.difference_k.size(); ++c) {
        if (module.type->substring_of_cell[c] == substring) {
            values.push_back(module.difference_k[c]);
        }
    }
    return take_median(values);
}

void set_levels(const SurveyState& state, ModuleState& module) {
    const TemplateGroup& group = state.group_of(module);
    const std::vector<double>* profile =
        module.slope_profile >= 0 ? &state.slope_profiles[static_cast<std::size_t>(module.slope_profile)] : nullptr;
    const auto cells = module.input->fused.cells.size();
    std::vector<double> values(cells);
    if (module.input->shade) {
        module.in_shade_k.assign(cells, kNaN);
    }
    for (std::size_t c = 0; c < cells; ++c) {
        values[c] = temperature_c(module, c) - group.template_k[c] - (profile != nullptr ? (*profile)[c] : 0.0);
        if (module.light_on(static_cast<int>(c)) != CellLight::lit) {
            module.in_shade_k[c] = std::exchange(values[c], kNaN);
        }
    }
    module.level_c = median_of(values);
    for (double& value : values) {
        value -= module.level_c;
    }
    for (double& value : module.in_shade_k) {
        value -= module.level_c;
    }
    module.difference_k = std::move(values);
    for (int s = 1; s <= module.type->substring_count(); ++s) {
        module.substring_k.push_back(substring_median_k(module, s));
    }
}

// The survey's own spreads where larger than the profile's: about the substring's median for cells, between a substring
// and the mean of its siblings for substrings.
void set_spreads(const std::vector<const ModuleState*>& members, TemplateGroup& group) {
    std::vector<double> cell_spreads;
    std::vector<double> substring_steps;
    std::vector<double> values;
    for (const auto* member : members) {
        values.clear();
        double sum = 0.0;
        for (const double median : member->substring_k) {
            sum += median;
        }
        for (std::size_t c = 0; c < member->difference_k.size(); ++c) {
            const auto s = static_cast<std::size_t>(member->type->substring_of_cell[c] - 1);
            values.push_back(member->difference_k[c] - member->substring_k[s]);
        }
        cell_spreads.push_back(robust_sigma(values));
        const auto n = static_cast<double>(member->substring_k.size());
        for (const double median : member->substring_k) {
            substring_steps.push_back(n > 1.0 ? median - (sum - median) / (n - 1.0) : kNaN);
        }
    }
    const double cells = take_median(cell_spreads);
    const double substrings = robust_sigma(substring_steps);
    group.cell_spread_k = std::isfinite(cells) ? std::max(group.cell_spread_k, cells) : group.cell_spread_k;
    group.substring_seen_k = std::isfinite(substrings) && substrings > 0.0 ? substrings : group.substring_seen_k;
    group.substring_spread_k =
        std::isfinite(substrings) ? std::max(group.substring_spread_k, substrings) : group.substring_spread_k;
}

}  // namespace

void remove_templates(const ScoreInput& input, SurveyState& state) {
    assign_groups(input, state);
    std::vector<std::vector<const ModuleState*>> members(state.groups.size());
    for (const auto& module : state.modules) {
        if (module.serves) {
            members[static_cast<std::size_t>(module.group)].push_back(&module);
        }
    }
    for (std::size_t g = 0; g < state.groups.size(); ++g) {
        set_template(input, members[g], state.groups[g]);
    }
    set_slope_profiles(input, state);
    for (auto& module : state.modules) {
        if (module.has_levels) {
            set_levels(state, module);
        }
    }
    for (std::size_t g = 0; g < state.groups.size(); ++g) {
        if (state.groups[g].modules >= static_cast<int>(input.profile.template_minimum_modules.value)) {
            set_spreads(members[g], state.groups[g]);
        }
    }
}

void find_warm_substrings(const ScoreInput& input, SurveyState& state) {
    std::vector<double> values;
    for (auto& module : state.modules) {
        if (!module.has_levels) {
            continue;
        }
        const double threshold = std::max(input.profile.candidate_substring_k.value,
                                          input.profile.candidate_sigma.value * substring_u_k(state, module));
        double coolest = kNaN;
        for (std::size_t s = 0; s < module.substring_k.size(); ++s) {
            coolest =
                module.is_well_seen(static_cast<int>(s) + 1) ? std::fmin(coolest, module.substring_k[s]) : coolest;
        }
        // Warm: a threshold above the coolest, and then above the level of all that are not.
        for (const bool against_base : {false, true}) {
            std::vector<int> warm;
            for (std::size_t s = 0; s < module.substring_k.size(); ++s) {
                const int number = static_cast<int>(s) + 1;
                const bool was = against_base ? module.is_warm(number) : module.is_well_seen(number);
                if (was && module.substring_k[s] - (against_base ? module.base_k : coolest) >= threshold) {
                    warm.push_back(number);
                }
            }
            module.warm_substrings = warm;
            values.clear();
            for (std::size_t c = 0; c < module.difference_k.size(); ++c) {
                if (!module.is_warm(module.type->substring_of_cell[c]) && std::isfinite(module.difference_k[c])) {
                    values.push_back(module.difference_k[c]);
                }
            }
            module.base_cells = static_cast<int>(values.size());
            module.base_k = take_median(values);
        }
    }
}

}  // namespace heatrow
