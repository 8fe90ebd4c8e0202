#include "heatrow/score/seen_cover.hpp"

#include "heatrow/core/median.hpp"
#include "heatrow/site/neighbours.hpp"

#include <Eigen/Cholesky>
#include <Eigen/Core>

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

namespace heatrow {
namespace {

constexpr double kLeastShare = 0.08;  // of the cells on either side: fewer are a leaf, a clip, a rim
constexpr double kMostAstray = 0.06;  // of the cells on the wrong side of the line
constexpr double kWholly = 0.9;       // of the cells known

struct LikeModules {
    int first = -1;  // layout index, stands for the others
    std::vector<double> levels_c;
};

std::vector<double> temperatures_c(const FusedModule& fused) {
    std::vector<double> values;
    for (const FusedCell& cell : fused.cells) {
        values.push_back(cell.temperature.value.value());
    }
    return values;
}

// Cells off the line that parts these best, by least squares on their places.
int astray(const ModuleType& type, const std::vector<char>& cool) {
    Eigen::Matrix3d normal = Eigen::Matrix3d::Zero();
    Eigen::Vector3d right = Eigen::Vector3d::Zero();
    const auto place = [&](int cell) {
        const auto corners = type.cell_corners(type.cell_at(cell));
        const Eigen::Vector2d middle = 0.5 * (corners[0] + corners[2]);
        return Eigen::Vector3d(middle.x(), middle.y(), 1.0);
    };
    for (int cell = 0; cell < type.cell_count(); ++cell) {
        normal += place(cell) * place(cell).transpose();
        right += (cool[static_cast<std::size_t>(cell)] != 0 ? 1.0 : -1.0) * place(cell);
    }
    const Eigen::Vector3d line = normal.ldlt().solve(right);
    // Along its normal the place that errs least; shares of unequal size pull the fit's own towards the larger.
    std::vector<std::pair<double, char>> along;
    int cool_cells = 0;
    for (int cell = 0; cell < type.cell_count(); ++cell) {
        const char is_cool = cool[static_cast<std::size_t>(cell)];
        along.emplace_back(line.head<2>().dot(place(cell).head<2>()), is_cool);
        cool_cells += is_cool;
    }
    std::sort(along.begin(), along.end());
    int wrong = type.cell_count() - cool_cells;  // with all on the cool side
    int least = wrong;
    for (std::size_t i = 0; i < along.size(); ++i) {
        wrong += along[i].second != 0 ? 1 : -1;
        const bool ties = i + 1 < along.size() && along[i + 1].first - along[i].first < 1e-9;
        least = ties ? least : std::min(least, wrong);
    }
    return least;
}

// The corner of a shadow: cells that fill a box at the module's rim.
bool is_box_at_rim(const ModuleType& type, const std::vector<char>& cool) {
    constexpr double kFilled = 0.85;
    CellIndex low{type.rows, type.columns};
    CellIndex high{-1, -1};
    int cells = 0;
    for (int cell = 0; cell < type.cell_count(); ++cell) {
        if (cool[static_cast<std::size_t>(cell)] != 0) {
            const CellIndex at = type.cell_at(cell);
            low = {std::min(low.row, at.row), std::min(low.column, at.column)};
            high = {std::max(high.row, at.row), std::max(high.column, at.column)};
            ++cells;
        }
    }
    const int box = (high.row - low.row + 1) * (high.column - low.column + 1);
    const bool at_rim = low.row == 0 || low.column == 0 || high.row + 1 == type.rows || high.column + 1 == type.columns;
    return cells > 0 && at_rim && cells >= kFilled * box;
}

std::optional<std::vector<CellLight>> cover_of(const ModuleType& type,
                                               const std::vector<double>& values_c,
                                               double usual_c,
                                               double step_k) {
    std::vector<char> cool;
    std::vector<double> warm_c;
    std::vector<double> cool_c;
    for (const double value : values_c) {
        const bool is_cool = value < usual_c - step_k;  // false where not known
        cool.push_back(is_cool ? 1 : 0);
        (is_cool ? cool_c : warm_c).push_back(value);
    }
    const double least = kLeastShare * static_cast<double>(values_c.size());
    if (static_cast<double>(cool_c.size()) < least || static_cast<double>(warm_c.size()) < least ||
        take_median(warm_c) - take_median(cool_c) < step_k ||
        (astray(type, cool) > kMostAstray * static_cast<double>(values_c.size()) && !is_box_at_rim(type, cool))) {
        return std::nullopt;
    }
    std::vector<CellLight> light;
    for (int cell = 0; cell < type.cell_count(); ++cell) {
        const CellIndex at = type.cell_at(cell);
        bool touches = false;
        for (int row = std::max(0, at.row - 1); row <= std::min(type.rows - 1, at.row + 1); ++row) {
            for (int column = std::max(0, at.column - 1); column <= std::min(type.columns - 1, at.column + 1);
                 ++column) {
                touches = touches || cool[static_cast<std::size_t>(type.cell_number({row, column}))] != 0;
            }
        }
        light.push_back(cool[static_cast<std::size_t>(cell)] != 0 ? CellLight::shaded
                        : touches                                 ? CellLight::edge
                                                                  : CellLight::lit);
    }
    return light;
}

}  // namespace

void see_covers(const Layout& layout, const Profile& profile, std::vector<ModuleInput>& modules) {
    NeighbourOptions likeness;
    likeness.tilt_tolerance = degrees(profile.like_tilt_deg.value);
    likeness.azimuth_tolerance = degrees(profile.like_azimuth_deg.value);
    std::vector<LikeModules> groups;
    std::vector<std::size_t> group_of;
    const auto module_at = [&](int index) -> const Module& { return layout.modules[static_cast<std::size_t>(index)]; };
    for (const ModuleInput& module : modules) {
        const auto group = std::find_if(groups.begin(), groups.end(), [&](const LikeModules& like) {
            return are_like(module_at(like.first), module_at(module.fused.module), likeness);
        });
        group_of.push_back(static_cast<std::size_t>(group - groups.begin()));
        if (group == groups.end()) {
            groups.push_back({module.fused.module, {}});
        }
        if (!module.shade) {
            groups[group_of.back()].levels_c.push_back(median_of(temperatures_c(module.fused)));
        }
    }
    std::vector<double> usual_c;
    for (LikeModules& group : groups) {
        std::erase_if(group.levels_c, [](double level) { return !std::isfinite(level); });
        const bool enough = static_cast<double>(group.levels_c.size()) >= profile.template_minimum_modules.value;
        usual_c.push_back(enough ? take_median(group.levels_c) : kNaN);
    }
    for (std::size_t m = 0; m < modules.size(); ++m) {
        ModuleInput& module = modules[m];
        const auto values_c = temperatures_c(module.fused);
        const auto known = std::count_if(values_c.begin(), values_c.end(), [](double v) { return std::isfinite(v); });
        if (module.shade || module.fused.flags.has(Flag::seen_in_part) || !std::isfinite(usual_c[group_of[m]]) ||
            static_cast<double>(known) < kWholly * static_cast<double>(values_c.size())) {
            continue;
        }
        auto light = cover_of(layout.type_of(module_at(module.fused.module)),
                              values_c,
                              usual_c[group_of[m]],
                              profile.candidate_cool_k.value);
        if (light) {
            module.shade = PredictedShade{};
            module.shade->cells = std::move(*light);
        }
    }
}

}  // namespace heatrow
