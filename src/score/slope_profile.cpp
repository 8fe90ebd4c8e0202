// What modules side by side show alike along their slope beyond the template: tables mirror other parts of the sky, of
// the ground and of the rows in front of them, each its own, and the template is that of the middle one.
#include "heatrow/core/median.hpp"
#include "survey_state.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

namespace heatrow {
namespace {

using Stretch = std::vector<ModuleState*>;  // modules of one table and one group

const Module& module_of(const ScoreInput& input, const ModuleState& state) {
    return input.layout.modules[static_cast<std::size_t>(state.input->fused.module)];
}

// Cells at one height on the slope share a line: a row, or a column where `top` points sideways.
int line_of(const TemplateGroup& group, const ModuleType& type, int cell) {
    const CellIndex at = type.cell_at(cell);
    return group.top_points % 2 == 0 ? at.row : at.column;
}

// By their place along the table, as many of them as at least this many allow.
std::vector<Stretch> stretches_of(const ScoreInput& input, const TemplateGroup& group, Stretch modules, int at_least) {
    const auto& corners = module_of(input, *modules.front()).corners_in_site;
    const Eigen::Vector3d along = (group.top_points % 2 == 0 ? corners[1] : corners[3]) - corners[0];
    std::stable_sort(modules.begin(), modules.end(), [&](const ModuleState* a, const ModuleState* b) {
        return module_of(input, *a).centre_in_site().dot(along) < module_of(input, *b).centre_in_site().dot(along);
    });
    const std::size_t count = std::max<std::size_t>(1, modules.size() / static_cast<std::size_t>(at_least));
    std::vector<Stretch> stretches;
    for (std::size_t i = 0; i < count; ++i) {
        const auto at = [&](std::size_t k) {
            return modules.begin() + static_cast<std::ptrdiff_t>(k * modules.size() / count);
        };
        stretches.emplace_back(at(i), at(i + 1));
    }
    return stretches;
}

// Per cell; empty where fewer than `at_least` healthy modules tell.
std::vector<double> profile_of(const TemplateGroup& group, const Stretch& stretch, std::size_t at_least) {
    const ModuleType& type = *stretch.front()->type;
    std::vector<std::vector<double>> lines(static_cast<std::size_t>(std::max(type.rows, type.columns)));
    std::size_t serving = 0;
    std::vector<double> values;
    for (const ModuleState* module : stretch) {
        if (!module->serves) {
            continue;
        }
        ++serving;
        values.clear();
        for (std::size_t c = 0; c < group.template_k.size(); ++c) {
            values.push_back(module->input->fused.cells[c].temperature.value.value() - group.template_k[c]);
        }
        const double level = median_of(values);
        for (std::size_t c = 0; c < values.size(); ++c) {
            lines[static_cast<std::size_t>(line_of(group, type, static_cast<int>(c)))].push_back(values[c] - level);
        }
    }
    if (serving < at_least) {
        return {};
    }
    std::vector<double> of_line;
    for (auto& line : lines) {
        of_line.push_back(take_median(line));
    }
    std::vector<double> profile;
    for (int cell = 0; cell < type.cell_count(); ++cell) {
        const double value = of_line[static_cast<std::size_t>(line_of(group, type, cell))];
        profile.push_back(std::isfinite(value) ? value : 0.0);
    }
    const double centre = median_of(profile);
    for (double& value : profile) {
        value -= centre;  // it moves no module's level
    }
    return profile;
}

}  // namespace

void set_slope_profiles(const ScoreInput& input, SurveyState& state) {
    const int at_least = static_cast<int>(input.profile.template_minimum_modules.value);
    std::map<std::pair<int, int>, Stretch> tables;  // by table and group
    for (ModuleState& module : state.modules) {
        if (module.has_levels && state.group_of(module).has_template && module_of(input, module).table >= 0) {
            tables[{module_of(input, module).table, module.group}].push_back(&module);
        }
    }
    for (auto& [place, modules] : tables) {
        const TemplateGroup& group = state.groups[static_cast<std::size_t>(place.second)];
        for (const Stretch& stretch : stretches_of(input, group, std::move(modules), at_least)) {
            auto profile = profile_of(group, stretch, static_cast<std::size_t>(at_least));
            if (profile.empty()) {
                continue;
            }
            for (ModuleState* module : stretch) {
                module->slope_profile = static_cast<int>(state.slope_profiles.size());
            }
            state.slope_profiles.push_back(std::move(profile));
        }
    }
}

}  // namespace heatrow
