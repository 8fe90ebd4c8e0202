#include "heatrow/compare/survey_values.hpp"

#include "heatrow/core/median.hpp"
#include "heatrow/score/scaling.hpp"
#include "heatrow/score/score.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

// The lower of the middle two: losing export only warms, so that of two parts the cooler is the healthy one.
double lower_median(std::vector<double> values) {
    std::erase_if(values, [](double value) { return std::isnan(value); });
    if (values.empty()) {
        return kNaN;
    }
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>((values.size() - 1) / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

Scaling scaling_of(const FrameConditions& conditions, const ComparisonProfile& profile) {
    const Uncertain<WattsPerSquareMetre>& irradiance = scaling_irradiance(conditions);
    const auto stated = [](double value, double otherwise) { return std::isnan(value) ? otherwise : value; };
    Scaling scaling;
    scaling.irradiance_w_m2 = irradiance.value.value();
    scaling.irradiance_u = stated(irradiance.u / scaling.irradiance_w_m2, profile.irradiance_u.value);
    scaling.wind_m_s = conditions.wind.value.value();
    scaling.wind_u_m_s = stated(conditions.wind.u, profile.wind_u_m_s.value);
    return scaling;
}

void take_cells(ModuleValues& values, const ModuleResult& result, const ModuleType& type) {
    std::vector<double> levels;
    for (int s = 1; s <= type.substring_count(); ++s) {
        std::vector<double> cells;
        for (const int cell : type.cells_of_substring(s)) {
            cells.push_back(result.cells[at(cell)].delta_t.value.value());
        }
        levels.push_back(take_median(cells));
    }
    values.module = lower_median(levels);
    for (std::size_t s = 0; s < levels.size(); ++s) {
        std::vector<double> others = levels;
        others.erase(others.begin() + static_cast<std::ptrdiff_t>(s));
        values.substrings.push_back(levels[s] - lower_median(others));
    }
    for (std::size_t cell = 0; cell < result.cells.size(); ++cell) {
        const CellResult& of = result.cells[cell];
        values.cells.push_back(of.delta_t.value.value() - levels[at(type.substring_of_cell[cell] - 1)]);
        values.cell_u.push_back(of.delta_t.u);
    }
}

ModuleValues module_values(const SurveyRecord& survey, const ModuleResult& result, const ComparisonProfile& profile) {
    ModuleValues values;
    std::vector<FrameConditions> conditions;
    for (const int frame : result.frames) {
        conditions.push_back(survey.frames[at(frame)].conditions);
    }
    values.scaling = scaling_of(mean_conditions(conditions), profile);
    if (!result.assessed) {
        values.reason = result.assessed_reason;
    } else if (std::isnan(values.scaling.wind_m_s)) {
        values.reason = "wind_unknown";
    } else if (!(values.scaling.irradiance_w_m2 > 0.0)) {
        values.reason = reason::kIrradianceUnknown;
    } else if (result.cells.empty()) {
        values.reason = reason::kNoData;
    }
    values.comparable = values.reason.empty();
    const Module& module = survey.layout.modules[at(result.module)];
    if (!result.cells.empty()) {
        take_cells(values, result, survey.layout.type_of(module));
    }
    return values;
}

StringValues string_values(const SurveyRecord& survey, const StringResult& result, const ComparisonProfile& profile) {
    std::vector<FrameConditions> conditions;
    for (const int module : survey.layout.strings[at(result.string)].modules) {
        for (const int frame : survey.modules[at(module)].frames) {
            conditions.push_back(survey.frames[at(frame)].conditions);
        }
    }
    return {scaling_of(mean_conditions(conditions), profile), result.delta_t_1000.value()};
}

}  // namespace

double Scaling::factor(double exponent, const ComparisonProfile& profile) const {
    const double u0 = profile.heat_loss_u0.value;
    const double u1 = profile.heat_loss_u1.value;
    return std::pow(1000.0 / irradiance_w_m2, exponent) * (u0 + u1 * wind_m_s) /
           (u0 + u1 * profile.reference_wind_m_s.value);
}

double Scaling::relative_u(double exponent, const ComparisonProfile& profile) const {
    const double u1 = profile.heat_loss_u1.value;
    return std::hypot(exponent * irradiance_u, u1 * wind_u_m_s / (profile.heat_loss_u0.value + u1 * wind_m_s));
}

double Scaling::loss_ratio_weight(const ComparisonProfile& profile) const {
    const double by_wind = profile.heat_loss_u1.value * wind_m_s;
    return by_wind / (profile.heat_loss_u0.value + by_wind);
}

SurveyValues survey_values(const SurveyRecord& survey, const ComparisonProfile& profile) {
    SurveyValues values;
    for (const ModuleResult& result : survey.modules) {
        values.modules.push_back(module_values(survey, result, profile));
    }
    for (const StringResult& result : survey.strings) {
        values.strings.push_back(string_values(survey, result, profile));
    }
    return values;
}

}  // namespace heatrow
