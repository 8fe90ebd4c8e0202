#include "heatrow/score/loss.hpp"
#include "heatrow/score/one_diode.hpp"
#include "heatrow/score/scaling.hpp"
#include "heatrow/score/score.hpp"
#include "heatrow/sun/module_temperature.hpp"
#include "operations.hpp"

#include <algorithm>

namespace heatrow::reference {
namespace {

// accept: delta_k irradiance_w_m2; exponent=x
std::vector<double> scale(const Parameters& parameters, const std::vector<std::string>& accept) {
    const KelvinDelta delta(to_number(accept.at(0)));
    const WattsPerSquareMetre irradiance(to_number(accept.at(1)));
    return {scale_to_1000(delta, irradiance, parameters.number("exponent")).value()};
}

// accept: efficiency irradiance_w_m2 wind_m_s; absorbed=a u0= u1=. Rise of an exporting module over the air, and how
// much warmer a part gets that stops exporting.
std::vector<double> lost_export(const Parameters& parameters, const std::vector<std::string>& accept) {
    const FaimanCoefficients coefficients{parameters.number("u0"), parameters.number("u1")};
    const Celsius air(20.0);
    const Celsius module = faiman_temperature(
        WattsPerSquareMetre(to_number(accept.at(1))), air, MetresPerSecond(to_number(accept.at(2))), coefficients);
    const KelvinDelta rise = module - air;
    return {rise.value(), lost_export_rise(rise, to_number(accept.at(0)), parameters.number("absorbed")).value()};
}

// accept: wind_m_s. Rise by lost export over that at 1 m/s.
std::vector<double> wind_factor(const Parameters& parameters, const std::vector<std::string>& accept) {
    const auto rise_at = [&](const std::string& wind) { return lost_export(parameters, {"0.2", "1000", wind}).at(1); };
    return {rise_at(accept.at(0)) / rise_at("1")};
}

// A profile in which nothing but the irradiance can keep a module from being assessed.
Profile profile_with_minimum(double irradiance_w_m2) {
    Profile profile;
    for (const auto& key : profile_keys()) {
        (profile.*key.member).value = 1.0;
    }
    profile.patchwork_spread_ratio.value = 2.0;
    profile.open_voltage_ratio.value = 2.0;
    profile.minimum_irradiance_w_m2.value = irradiance_w_m2;
    for (auto& rule : profile.rules) {
        rule.emplace();
    }
    return profile;
}

// accept: irradiance_w_m2; minimum=m. 1 where a module is assessed, 0 where it is kept as information.
std::vector<double> assessed(const Parameters& parameters, const std::vector<std::string>& accept) {
    Layout layout;
    layout.types.emplace_back();
    layout.types.front().rows = 1;
    layout.types.front().columns = 1;
    layout.types.front().substring_of_cell = {1};
    layout.modules.resize(2);
    std::vector<ModuleInput> inputs(2);
    for (int i = 0; i < 2; ++i) {
        auto& input = inputs[static_cast<std::size_t>(i)];
        input.fused.module = i;
        input.fused.cells.resize(1);
        input.fused.cells.front().temperature = {Celsius(45.0), 0.1};
        input.conditions.irradiance.value = WattsPerSquareMetre(to_number(accept.at(0)));
        auto& corners = layout.modules[static_cast<std::size_t>(i)].corners_in_site;
        corners = {
            Eigen::Vector3d(0, 1, 0), Eigen::Vector3d(1, 1, 0), Eigen::Vector3d(1, 0, 0), Eigen::Vector3d(0, 0, 0)};
    }
    const auto profile = profile_with_minimum(parameters.number("minimum"));
    const auto result = score({layout, inputs, profile});
    return {result.modules.front().assessed ? 1.0 : 0.0};
}

OneDiode diode_in(const Parameters& parameters) {
    return {parameters.number("light"),
            parameters.number("saturation"),
            parameters.number("slope"),
            parameters.number("series"),
            parameters.number("shunt")};
}

// accept: voltage. Current, A.
std::vector<double> one_diode_current(const Parameters& parameters, const std::vector<std::string>& accept) {
    return {diode_in(parameters).current(to_number(accept.at(0)))};
}

// accept: voltage; ratings as parameters. Current, A, and the slope of power over voltage, A.
std::vector<double> one_diode_of_rating(const Parameters& parameters, const std::vector<std::string>& accept) {
    const auto diode = diode_of({parameters.number("short"),
                                 parameters.number("open"),
                                 parameters.number("current"),
                                 parameters.number("voltage")});
    const double voltage = to_number(accept.at(0));
    const double step = 1e-5;
    const double slope = ((voltage + step) * diode->current(voltage + step) -
                          (voltage - step) * diode->current(voltage - step)) /
                         (2.0 * step);
    return {diode->current(voltage), slope};
}

// 120 half cells in twin halves: three substrings of two branches of 20.
ModuleType half_cut_type() {
    ModuleType type;
    type.width = Metres(1.04);
    type.height = Metres(1.76);
    type.rows = 20;
    type.columns = 6;
    type.half_cut = true;
    type.rated_power_w = 370.0;
    type.rated_voltage_v = 34.2;
    type.rated_current_a = 10.82;
    type.short_circuit_current_a = 11.40;
    type.open_circuit_voltage_v = 41.0;
    for (int cell = 0; cell < type.cell_count(); ++cell) {
        const CellIndex at = type.cell_at(cell);
        type.substring_of_cell.push_back(at.column / 2 + 1);
        const auto branch = static_cast<std::size_t>(2 * (at.column / 2) + at.row / 10);
        type.branches.resize(std::max(type.branches.size(), branch + 1));
        type.branches[branch].push_back(cell);
    }
    return type;
}

// accept: load; modules=n in the string. Share of a module's power lost with one half of a substring open.
std::vector<double> half_cut_open_half(const Parameters& parameters, const std::vector<std::string>& accept) {
    const ModuleType type = half_cut_type();
    Profile profile;
    profile.bypass_diode_v.value = 0.45;
    profile.absorbed_fraction.value = 0.9;
    LossCircumstances circumstances;
    circumstances.modules_in_string = static_cast<int>(parameters.number("modules"));
    circumstances.load = to_number(accept.at(0));
    circumstances.heat_loss_w_m2k = 25.0;
    const auto range = loss_of_substrings(
        type, profile, circumstances, {2}, Pattern::substring_open_circuit, {KelvinDelta(30.0), 0.1});
    return {range.low_w / healthy_module_w(type, profile, circumstances)};
}

}  // namespace

void add_score_operations(Operations& operations) {
    operations["scale_to_1000"] = scale;
    operations["lost_export"] = lost_export;
    operations["lost_export_wind_factor"] = wind_factor;
    operations["one_diode_current"] = one_diode_current;
    operations["one_diode_of_rating"] = one_diode_of_rating;
    operations["half_cut_open_half"] = half_cut_open_half;
    operations["assessed_at_irradiance"] = assessed;
}

}  // namespace heatrow::reference
