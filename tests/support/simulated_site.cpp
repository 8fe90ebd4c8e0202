#include "support/simulated_site.hpp"

#include "heatrow/fuse/fuse.hpp"

#include <toml++/toml.h>

#include <cmath>
#include <cstdio>
#include <random>
#include <string>

namespace heatrow::test {
namespace {

std::string numbered(char letter, int number) {
    char text[16];
    std::snprintf(text, sizeof text, "%c%02d", letter, number);
    return text;
}

ModuleType make_type(int rows, bool half_cut) {
    ModuleType type;
    type.id = half_cut ? "half" : "full";
    type.width = Metres(1.0);
    type.height = Metres(1.7);
    type.rows = rows;
    type.columns = 6;
    type.half_cut = half_cut;
    type.cell_area_left = Metres(0.02);
    type.cell_area_top = Metres(0.03);
    type.cell_area_width = Metres(0.96);
    type.cell_area_height = Metres(half_cut ? 1.62 : 1.64);
    type.middle_gap = Metres(half_cut ? 0.02 : 0.0);
    type.rated_power_w = 300.0;
    type.rated_current_a = 9.0;
    type.rated_voltage_v = 300.0 / 9.0;
    type.short_circuit_current_a = 9.5;
    for (int cell = 0; cell < type.cell_count(); ++cell) {
        type.substring_of_cell.push_back(type.cell_at(cell).column / 2 + 1);
    }
    return type;
}

double fault_rise_k(const SimulatedFault& fault, const Module& module, int index, const ModuleType& type, int cell) {
    if (fault.pattern == Pattern::string_warm_cause_open) {
        return fault.string == module.string ? fault.rise_k : 0.0;
    }
    if (fault.module != index) {
        return 0.0;
    }
    switch (fault.pattern) {
        case Pattern::open_circuit_module:
            return fault.rise_k;
        case Pattern::substring_bypassed:
            return type.substring_of_cell[static_cast<std::size_t>(cell)] == fault.substring ? fault.rise_k : 0.0;
        default:
            return cell == fault.cell ? fault.rise_k : 0.0;
    }
}

}  // namespace

double template_k(const ModuleType& type, int cell, double size_k) {
    const auto at = type.cell_at(cell);
    const bool rim = at.row == 0 || at.row == type.rows - 1 || at.column == 0 || at.column == type.columns - 1;
    const bool box = at.row == 0 && at.column == 2;
    return box ? size_k : (rim ? -0.5 * size_k : 0.0);
}

ModuleType make_full_type() {
    return make_type(10, false);
}

ModuleType make_half_cut_type() {
    return make_type(20, true);
}

Layout make_site(const SiteOptions& options) {
    Layout layout;
    layout.types.push_back(options.half_cut ? make_half_cut_type() : make_full_type());
    const double tilt = degrees(25.0).value();
    const double table_length = options.modules_per_string * 1.02 + 1.0;
    for (int row = 0; row < options.rows; ++row) {
        for (int table = 0; table < options.tables_per_row; ++table) {
            const std::string table_id = numbered('R', row + 1) + numbered('T', table + 1);
            const int table_index = static_cast<int>(layout.tables.size());
            layout.tables.push_back({table_id, {}});
            for (int line = 0; line < options.strings_per_table; ++line) {
                const std::string string_id = table_id + numbered('S', line + 1);
                const int string_index = static_cast<int>(layout.strings.size());
                layout.strings.push_back({string_id, {}});
                for (int place = 0; place < options.modules_per_string; ++place) {
                    Module module;
                    module.id = string_id + numbered('M', place + 1);
                    module.string = string_index;
                    module.position = place + 1;
                    module.table = table_index;
                    module.tilt = Radians(tilt);
                    module.azimuth = degrees(180.0);
                    const double west = table * table_length + place * 1.02;
                    const double up = line * 1.72;  // from the table's lower edge up the slope
                    const double south = -row * 7.0;
                    const auto at = [&](double across, double along) {
                        return Eigen::Vector3d(
                            west + across, south + (up + along) * std::cos(tilt), 0.8 + (up + along) * std::sin(tilt));
                    };
                    module.corners_in_site = {at(0.0, 1.7), at(1.0, 1.7), at(1.0, 0.0), at(0.0, 0.0)};
                    const int index = static_cast<int>(layout.modules.size());
                    layout.modules.push_back(module);
                    layout.strings.back().modules.push_back(index);
                    layout.tables.back().modules.push_back(index);
                }
            }
        }
    }
    return layout;
}

std::vector<ModuleInput> simulate(const Layout& layout,
                                  const std::vector<SimulatedFault>& faults,
                                  const SimulationOptions& options) {
    std::mt19937_64 engine(options.seed);
    std::normal_distribution<double> normal;
    std::vector<ModuleInput> inputs;
    for (std::size_t i = 0; i < layout.modules.size(); ++i) {
        const auto& module = layout.modules[i];
        const auto& type = layout.type_of(module);
        const auto cells = static_cast<std::size_t>(type.cell_count());
        const double own = options.level_c + options.module_spread_k * normal(engine) +
                           options.slope_k_per_100m * module.centre_in_site().x() / 100.0;
        std::vector<double> truth(cells);
        for (std::size_t c = 0; c < cells; ++c) {
            double deviation = options.cell_spread_k * normal(engine);
            truth[c] = own + template_k(type, static_cast<int>(c), options.template_size_k);
            for (const auto& fault : faults) {
                const double rise = fault_rise_k(fault, module, static_cast<int>(i), type, static_cast<int>(c));
                truth[c] += rise;
                deviation = fault.pattern == Pattern::hot_cell && rise != 0.0 ? 0.0 : deviation;
            }
            truth[c] += deviation;
        }
        std::vector<ModuleView> views(static_cast<std::size_t>(options.views));
        for (std::size_t v = 0; v < views.size(); ++v) {
            auto& view = views[v];
            view.frame = static_cast<int>(i / 20 * 3 + v);
            view.cell_short_px = 5.0;
            const double drift = options.frame_drift_k * normal(engine);
            for (const double cell : truth) {
                const auto mean = static_cast<float>(cell + drift + options.view_noise_k * normal(engine));
                view.mean_c.push_back(mean);
                view.hottest_c.push_back(mean + 0.1F);
                view.spread_k.push_back(0.1F);
                view.pixels.push_back(25.0F);
            }
        }
        ModuleInput input;
        input.fused = fuse_module(layout, static_cast<int>(i), views, {options.view_noise_k, 0.15});
        const double g = options.irradiance_w_m2;
        input.conditions.irradiance = {WattsPerSquareMetre(g), 0.025 * g};
        input.conditions.irradiance_felt = {WattsPerSquareMetre(g), 0.025 * g};
        input.conditions.air = {Celsius(22.0), 0.5};
        input.conditions.wind = {MetresPerSecond(2.0), 0.3};
        inputs.push_back(std::move(input));
    }
    return inputs;
}

Profile shipped_profile(const std::filesystem::path& file) {
    const auto text = toml::parse_file(file.string());
    Profile profile;
    profile.id = text["id"].value_or("");
    for (const auto& key : profile_keys()) {
        auto& value = profile.*key.member;
        value.value = text[key.table][key.name]["value"].value_or(kNaN);
        value.source = text[key.table][key.name]["source"].value_or("");
    }
    for (const auto& node : *text["rule"].as_array()) {
        const auto& table = *node.as_table();
        const auto pattern = parse_pattern(table["pattern"].value_or(""));
        PatternRule rule;
        rule.class_2_from = KelvinDelta(table["class_2_from"].value_or(kNaN));
        rule.class_3_from = KelvinDelta(table["class_3_from"].value_or(kNaN));
        rule.exponent = table["exponent"].value_or(kNaN);
        rule.exponent_low = table["exponent_low"].value_or(kNaN);
        rule.exponent_high = table["exponent_high"].value_or(kNaN);
        rule.source = table["source"].value_or("");
        profile.rules[static_cast<std::size_t>(pattern.value())] = rule;
    }
    return profile;
}

}  // namespace heatrow::test
