// What like modules show by their place: wind cools the ends of a row and the lower edge of a table more than its
// middle. Taken out of what a module is compared with, so that no row end is too cold a neighbour and no upper tier
// looks warm.
#include "heatrow/core/median.hpp"
#include "lower_mode.hpp"
#include "survey_state.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <tuple>

namespace heatrow {
namespace {

constexpr double kRowGoesOn = 3.0;  // m beyond a table's end: with a like table there, the row has no end
constexpr int kEndColumns = 2;      // columns from the end of a row that are looked at apart

struct Place {
    int module = 0;
    int tier = 0;      // up the slope, from the lowest
    int from_end = 0;  // columns to the nearer end of the row; kEndColumns: none near
};

// One table: unit vectors along its rows and up its slope, and where its modules lie.
struct TableFrame {
    Eigen::Vector3d along = Eigen::Vector3d::Zero();
    Eigen::Vector3d up = Eigen::Vector3d::Zero();
    double width_m = 0.0;  // of a module along the row
    double height_m = 0.0;
    double low = 0.0;  // of the centres, along and up
    double high = 0.0;
    double lowest = 0.0;
    Eigen::Vector3d middle = Eigen::Vector3d::Zero();
    double reach_m = 0.0;  // from the middle to the farthest corner
};

TableFrame frame_of(const Layout& layout, const Table& table, int top_points) {
    TableFrame frame;
    const auto& corners = layout.modules[static_cast<std::size_t>(table.modules.front())].corners_in_site;
    const Eigen::Vector3d right = corners[1] - corners[0];
    const Eigen::Vector3d down = corners[3] - corners[0];
    const bool upright = top_points % 2 == 0;
    frame.along = (upright ? right : down).normalized();
    frame.up = (upright ? down : right).normalized() * (top_points == 0 || top_points == 3 ? -1.0 : 1.0);
    frame.width_m = (upright ? right : down).norm();
    frame.height_m = (upright ? down : right).norm();
    std::vector<double> places;
    std::vector<double> heights;
    for (const int module : table.modules) {
        const Eigen::Vector3d centre = layout.modules[static_cast<std::size_t>(module)].centre_in_site();
        places.push_back(frame.along.dot(centre));
        heights.push_back(frame.up.dot(centre));
        frame.middle += centre / static_cast<double>(table.modules.size());
    }
    frame.low = *std::min_element(places.begin(), places.end());
    frame.high = *std::max_element(places.begin(), places.end());
    frame.lowest = *std::min_element(heights.begin(), heights.end());
    frame.reach_m = 0.5 * (frame.high - frame.low + frame.width_m);
    return frame;
}

// Whether some other table stands beyond the end on that side (1: along, -1: against it).
bool row_goes_on(const std::vector<TableFrame>& tables, std::size_t self, double side) {
    const TableFrame& own = tables[self];
    return std::any_of(tables.begin(), tables.end(), [&](const TableFrame& other) {
        if (&other == &own || other.width_m == 0.0) {
            return false;
        }
        const Eigen::Vector3d away = other.middle - own.middle;
        const double ahead = side * own.along.dot(away);
        const double gap = ahead - own.reach_m - other.reach_m;
        return ahead > 0.0 && gap < kRowGoesOn && gap > -own.width_m &&
               (away - own.along * own.along.dot(away)).norm() < own.height_m;
    });
}

std::vector<Place> places_of(const ScoreInput& input, const SurveyState& state) {
    std::vector<TableFrame> frames(input.layout.tables.size());
    for (std::size_t t = 0; t < frames.size(); ++t) {
        const Table& table = input.layout.tables[t];
        for (const int module : table.modules) {
            const ModuleState& each = state.modules[static_cast<std::size_t>(module)];
            if (each.group >= 0) {
                frames[t] = frame_of(input.layout, table, state.group_of(each).top_points);
                break;
            }
        }
    }
    std::vector<Place> places;
    for (std::size_t t = 0; t < frames.size(); ++t) {
        const TableFrame& frame = frames[t];
        if (!(frame.width_m > 0.0 && frame.height_m > 0.0)) {
            continue;
        }
        const std::array<bool, 2> goes_on{row_goes_on(frames, t, -1.0), row_goes_on(frames, t, 1.0)};
        for (const int module : input.layout.tables[t].modules) {
            const ModuleState& each = state.modules[static_cast<std::size_t>(module)];
            if (each.group < 0 || !each.reference) {
                continue;
            }
            const Eigen::Vector3d centre = input.layout.modules[static_cast<std::size_t>(module)].centre_in_site();
            const double along = frame.along.dot(centre);
            const double from_low = goes_on[0] ? kEndColumns : (along - frame.low) / frame.width_m;
            const double from_high = goes_on[1] ? kEndColumns : (frame.high - along) / frame.width_m;
            places.push_back({module,
                              static_cast<int>(std::lround((frame.up.dot(centre) - frame.lowest) / frame.height_m)),
                              static_cast<int>(std::lround(std::min({from_low, from_high, 1.0 * kEndColumns})))});
        }
    }
    return places;
}

// What the modules of each class show, by the lower mode of their residuals: half of them may be warm.
struct Effect {
    double k = 0.0;
    double u_k = 0.0;
};
using Residuals = std::map<std::tuple<int, int>, std::vector<double>>;  // by group and class

std::map<std::tuple<int, int>, Effect> effects_of(const Residuals& residuals, const Profile& profile, double spread_k) {
    std::map<std::tuple<int, int>, Effect> effects;
    for (const auto& [place, values] : residuals) {
        if (values.size() >= static_cast<std::size_t>(profile.template_minimum_modules.value)) {
            const LowerMode mode = lower_mode(values, spread_k, profile.lower_mode_share.value);
            effects[place] = {mode.value, mode.u};
        }
    }
    return effects;
}

}  // namespace

void set_table_places(const ScoreInput& input, SurveyState& state) {
    const auto places = places_of(input, state);
    Residuals by_tier;
    const auto residual = [&](const Place& place) {
        const ModuleState& module = state.modules[static_cast<std::size_t>(place.module)];
        return module.base_c() - module.reference->level_c;
    };
    const auto counts = [&](const Place& place) {
        const ModuleState& module = state.modules[static_cast<std::size_t>(place.module)];
        return module.serves && !module.in_warm_string;
    };
    const auto group = [&](const Place& place) { return state.modules[static_cast<std::size_t>(place.module)].group; };
    for (const Place& place : places) {
        if (counts(place) && place.from_end == kEndColumns) {
            by_tier[{group(place), place.tier}].push_back(residual(place));
        }
    }
    const auto tiers = effects_of(by_tier, input.profile, state.module_spread_k);
    const auto tier_of = [&](const Place& place) {
        const auto effect = tiers.find({group(place), place.tier});
        return effect == tiers.end() ? Effect{} : effect->second;
    };
    Residuals by_column;
    for (const Place& place : places) {
        if (counts(place) && place.from_end < kEndColumns) {
            by_column[{group(place), place.from_end}].push_back(residual(place) - tier_of(place).k);
        }
    }
    const auto columns = effects_of(by_column, input.profile, state.module_spread_k);
    for (const Place& place : places) {
        const Effect tier = tier_of(place);
        const auto column = columns.find({group(place), place.from_end});
        const Effect end = column == columns.end() ? Effect{} : column->second;
        ModuleState& module = state.modules[static_cast<std::size_t>(place.module)];
        module.place_k = tier.k + end.k;
        module.place_u_k = combine_independent(tier.u_k, end.u_k);
    }
}

}  // namespace heatrow
