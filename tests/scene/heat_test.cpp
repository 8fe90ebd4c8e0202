// Heat in the sheet against closed solutions, the circuit against energy, the weather's lag against its law.
#include "circuit.hpp"
#include "heat_map.hpp"
#include "heatrow/core/median.hpp"
#include "module_sheet.hpp"
#include "scene_fixture.hpp"
#include "sheet.hpp"
#include "weather.hpp"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <numeric>

namespace {

using namespace scene;

// An even sheet: conductance a square kt (W/K), loss u (W/m2K), nodes a square of `pitch`.
SheetGrid even_grid(int nx, int ny, double pitch, double kt, double u) {
    SheetGrid grid;
    grid.nx = nx;
    grid.ny = ny;
    grid.along_x.assign(grid.size(), kt);
    grid.along_y.assign(grid.size(), kt);
    grid.loss.assign(grid.size(), u * pitch * pitch);
    return grid;
}

PanelType type_named(const std::string& id) {
    return read_panel_type_file(std::filesystem::path(HEATROW_MODULE_TYPES) / (id + ".toml"));
}

double sum(const std::vector<double>& values) {
    return std::accumulate(values.begin(), values.end(), 0.0);
}

}  // namespace

TEST_CASE("sheet: a heated strip falls off like a fin", "[scene]") {
    constexpr double kKt = 0.028;
    constexpr double kU = 28.0;
    constexpr double kPitch = 0.005;
    constexpr double kHalf = 0.0775;  // 31 of 201 nodes
    constexpr double kSource = 400.0;
    const int nx = 201;
    const Sheet sheet(even_grid(nx, 3, kPitch, kKt, kU));
    std::vector<double> sources(static_cast<std::size_t>(nx) * 3, 0.0);
    for (int iy = 0; iy < 3; ++iy) {
        for (int ix = 85; ix <= 115; ++ix) {
            sources[static_cast<std::size_t>(iy * nx + ix)] = kSource * kPitch * kPitch;
        }
    }
    const auto rise = sheet.solve(sources);
    const double length = std::sqrt(kKt / kU);  // 3.16 cm
    for (int ix = 60; ix <= 140; ++ix) {
        const double x = std::abs(ix - 100) * kPitch;
        const double expected = x < kHalf ? kSource / kU * (1.0 - std::exp(-kHalf / length) * std::cosh(x / length))
                                          : kSource / kU * std::sinh(kHalf / length) * std::exp(-x / length);
        CHECK(rise[static_cast<std::size_t>(nx + ix)] == Approx(expected).epsilon(0.01));
    }
}

TEST_CASE("sheet: a heated disc falls off like a round fin", "[scene]") {
    // theta = q/u (1 - a/l K1(a/l) I0(r/l)) inside, q/u a/l I1(a/l) K0(r/l) outside.
    constexpr double kKt = 0.02;
    constexpr double kU = 25.0;
    constexpr double kPitch = 0.0025;
    constexpr double kRadius = 0.03;
    constexpr int kNodes = 201;
    const Sheet sheet(even_grid(kNodes, kNodes, kPitch, kKt, kU));
    std::vector<double> sources(static_cast<std::size_t>(kNodes) * kNodes, 0.0);
    for (int iy = 0; iy < kNodes; ++iy) {
        for (int ix = 0; ix < kNodes; ++ix) {
            int inside = 0;
            for (int sub = 0; sub < 64; ++sub) {
                const double x = (ix - 100 + (sub % 8 + 0.5) / 8 - 0.5) * kPitch;
                const double y = (iy - 100 + (sub / 8 + 0.5) / 8 - 0.5) * kPitch;
                inside += std::hypot(x, y) < kRadius ? 1 : 0;
            }
            sources[static_cast<std::size_t>(iy * kNodes + ix)] = 1000.0 * kPitch * kPitch * inside / 64.0;
        }
    }
    const auto rise = sheet.solve(sources);
    const double length = std::sqrt(kKt / kU);
    const double a = kRadius / length;
    for (int ix = 100; ix <= 150; ++ix) {
        const double r = (ix - 100) * kPitch / length;
        const double expected = r < a ? 40.0 * (1.0 - a * std::cyl_bessel_k(1.0, a) * std::cyl_bessel_i(0.0, r))
                                      : 40.0 * a * std::cyl_bessel_i(1.0, a) * std::cyl_bessel_k(0.0, r);
        CHECK(rise[static_cast<std::size_t>(100 * kNodes + ix)] == Approx(expected).epsilon(0.015));
    }
}

TEST_CASE("sheet: what flows in is lost to the air", "[scene]") {
    for (const char* id : {"generic-60-full", "generic-120-half-cut"}) {
        INFO(id);
        const PanelType type = type_named(id);
        HeatSpec spec;
        spec.frame_loss_w_mk = 0.0;  // so that the loss is the same everywhere
        spec.rail_hindrance = 0.0;
        constexpr double kLoss = 28.0;
        const ModuleSheet sheet(type, Top::up, spec, kLoss);
        std::vector<double> sources(sheet.size(), 0.0);
        sheet.add_to_cell(sources, 7, 800.0);
        sheet.add_to_cell(sources, type.cell_count() - 1, -120.0);
        const HeatMap map = sheet.solve(sources);
        const double node_m2 = map.dx_m * map.dy_m;
        double lost = 0.0;
        for (const float value : map.values) {
            lost += kLoss * node_m2 * static_cast<double>(value);
        }
        CHECK(lost == Approx(sum(sources) * node_m2).epsilon(1e-4));
        CHECK(sum(sources) * node_m2 == Approx(680.0 * cell_area_m2(type, spec)).epsilon(1e-9));
    }
}

TEST_CASE("sheet: heat reaches 2 to 3 cm in silicon and less over a cell gap", "[scene]") {
    const PanelType type = type_named("generic-60-full");
    const ModuleSheet sheet(type, Top::up, {}, 28.0);
    std::vector<double> sources(sheet.size(), 0.0);
    const int cell = 4 * type.columns + 2;
    sheet.add_to_cell(sources, cell, 1000.0);
    const HeatMap map = sheet.solve(sources);
    const auto box = type.cell_box(cell);
    const double y = 0.5 * (box.top + box.bottom);
    const double near = map.at(box.right + 0.02, y);
    const double far = map.at(box.right + 0.05, y);
    const double length = 0.03 / std::log(near / far);
    CHECK(length > 0.02);
    CHECK(length < 0.035);
    // Without the gap more crosses the border.
    HeatSpec closed;
    closed.cell_gap_m = 0.0;
    const ModuleSheet whole(type, Top::up, closed, 28.0);
    std::vector<double> same(whole.size(), 0.0);
    whole.add_to_cell(same, cell, 1000.0);
    CHECK(whole.solve(same).at(box.right + 0.02, y) > 1.1 * near);
}

TEST_CASE("sheet: one cell's response stands for the solve of that cell", "[scene]") {
    const PanelType type = type_named("generic-60-full");
    const ModuleSheet sheet(type, Top::left, {}, 28.0);
    std::vector<double> sources(sheet.size(), 0.0);
    sheet.add_to_cell(sources, 33, 1.0);
    const HeatMap whole = sheet.solve(sources);
    const auto response = sheet.response_of_cell(33);
    const double peak = static_cast<double>(*std::ranges::max_element(whole.values));
    for (int iy = 0; iy < whole.ny; ++iy) {
        for (int ix = 0; ix < whole.nx; ++ix) {
            const int rx = ix - response.x0;
            const int ry = iy - response.y0;
            const bool inside = rx >= 0 && ry >= 0 && rx < response.nx && ry < response.ny;
            const double value =
                inside ? static_cast<double>(response.values[static_cast<std::size_t>(ry * response.nx + rx)]) : 0.0;
            REQUIRE(value == Approx(static_cast<double>(whole.values[static_cast<std::size_t>(iy * whole.nx + ix)]))
                                 .margin(1.001e-3 * peak));
        }
    }
}

TEST_CASE("heat: cells and modules differ by what was asked", "[scene]") {
    SceneSpec spec = scene_test::quiet_scene();
    spec.blocks.front().tables_per_row = 10;  // 120 modules: enough for the responses of cells
    spec.blocks.front().modules_along = 6;
    spec.heat.cell_spread_k = 0.4;
    spec.heat.module_spread_k = 0.6;
    const Plant plant = build_plant(spec);
    HeatReference reference{25.85, 24.0, std::vector(plant.strings.size(), std::pair(1.0, 1.0))};
    const auto heat = build_heat(plant, spec.heat, {}, reference, 3);
    double between_cells = 0.0;
    double between_modules = 0.0;
    for (const PanelHeat& panel : heat) {
        const auto means = panel.cell_means_k({});
        const double mean = sum(means) / static_cast<double>(means.size());
        between_modules += mean * mean / static_cast<double>(heat.size());
        for (const double value : means) {
            between_cells += (value - mean) * (value - mean) / static_cast<double>(means.size() * heat.size());
        }
    }
    CHECK(std::sqrt(between_cells) == Approx(0.4).epsilon(0.03));
    CHECK(std::sqrt(between_modules) == Approx(0.6).epsilon(0.15));  // 120 draws: 6.5 % standard error
}

TEST_CASE("circuit: what is not exported stays as heat", "[scene]") {
    const PanelType type = type_named("generic-60-full");
    ModuleState state = healthy_state(type, CellMismatch(), 5);
    for (CellState& cell : state.cells) {
        cell = {};
    }
    // Healthy at full load: the reference.
    for (const double heat : solve_circuit(type, state, 1.0).cells) {
        CHECK(heat == Approx(0.0).margin(1e-6));
    }
    // An open substring keeps all of its power, and its diode carries the string.
    ModuleState open = state;
    open.branch_open[1] = true;
    const ModuleHeat heat = solve_circuit(type, open, 1.0);
    for (int cell = 0; cell < type.cell_count(); ++cell) {
        const auto i = static_cast<std::size_t>(cell);
        CHECK(heat.cells[i] == Approx(type.substring_of_cell[i] == 2 ? 1.0 : 0.0).margin(1e-6));
    }
    CHECK(heat.diode_current[1] == Approx(1.0));
    CHECK(heat.diode_current[0] == 0.0);
    // A weak cell that is bypassed takes what its neighbours give: together the substring keeps its power, and gains
    // what the diode's forward voltage drives back.
    ModuleState weak = state;
    weak.cells[8] = {0.4, 1e4};
    const ModuleHeat of_weak = solve_circuit(type, weak, 1.0);
    double kept = 0.0;
    for (int cell = 0; cell < type.cell_count(); ++cell) {
        kept += type.substring_of_cell[static_cast<std::size_t>(cell)] == type.substring_of_cell[8]
                    ? of_weak.cells[static_cast<std::size_t>(cell)]
                    : 0.0;
    }
    CHECK(kept > 20.0);
    CHECK(kept < 21.0);
    CHECK(of_weak.cells[8] > 8.0);
    CHECK(of_weak.cells[9] > 0.3);
}

TEST_CASE("circuit: shorted cells run unevenly, open ones alike", "[scene]") {
    const PanelType type = type_named("generic-60-full");
    ModuleState state = healthy_state(type, CellMismatch(), 11);
    const auto spread = [&](const ModuleState& of) {
        const auto heat = solve_circuit(type, of, 1.0).cells;
        const double mean = sum(heat) / static_cast<double>(heat.size());
        double squares = 0.0;
        for (const double value : heat) {
            squares += (value - mean) * (value - mean);
        }
        return std::pair(mean, std::sqrt(squares / static_cast<double>(heat.size())));
    };
    ModuleState shorted = state;
    shorted.substring_shorted.assign(3, true);
    ModuleState open = state;
    open.disconnected = true;
    CHECK(spread(shorted).first == Approx(1.0).margin(0.02));
    CHECK(spread(open).first == Approx(1.0).margin(0.02));
    CHECK(spread(open).second < 0.02);
    CHECK(spread(shorted).second > 0.1);
}

TEST_CASE("circuit: a half-cut or third-cut module with one open part loses its third", "[scene]") {
    const PanelType type = type_named(GENERATE("generic-120-half-cut", "generic-180-third-cut"));
    REQUIRE(type.branches.size() == 6);
    ModuleState state = healthy_state(type, CellMismatch(), 2);
    state.branch_open[2] = true;  // upper half of the middle substring
    const ModuleHeat full = solve_circuit(type, state, 1.0);
    const ModuleHeat half = solve_circuit(type, state, 0.5);
    CHECK(full.diode_current[1] > 0.4);  // the other half carries half of the string's current
    CHECK(half.diode_current[1] == Approx(0.0).margin(1e-6));
    double lost = 0.0;
    for (std::size_t cell = 0; cell < full.cells.size(); ++cell) {
        lost += full.cells[cell] / static_cast<double>(full.cells.size());
    }
    CHECK(lost == Approx(1.0 / 3.0).margin(0.03));
}

TEST_CASE("circuit: a curtailed string cools its weak cells and lessens lost export", "[scene]") {
    const PanelType type = type_named("generic-60-full");
    ModuleState state = healthy_state(type, CellMismatch(), 9);
    state.cells[14] = {0.7, 300.0};
    const double hot = solve_circuit(type, state, 1.0).cells[14];
    const double curtailed = solve_circuit(type, state, 0.6).cells[14];
    CHECK(hot > 3.0);
    CHECK(curtailed < 0.6);
    ModuleState healthy = healthy_state(type, CellMismatch(), 9);
    healthy.cells.assign(healthy.cells.size(), CellState());  // all alike
    ModuleState open = healthy;
    open.disconnected = true;
    // What differs is what the others export: less of it at half load, nothing without load.
    const auto difference = [&](double load) {
        return solve_circuit(type, open, load).cells[0] - solve_circuit(type, healthy, load).cells[0];
    };
    CHECK(difference(1.0) == Approx(1.0).margin(0.03));
    CHECK(difference(0.5) == Approx(exported_share(type, 0.5)).margin(0.03));
    CHECK(difference(0.0) == Approx(0.0).margin(0.01));
    CHECK(exported_share(type, load_of_share(type, 0.7)) == Approx(0.7).margin(1e-6));
}

TEST_CASE("heat: lost export against the energy balance of check-values.md, section 7", "[scene]") {
    // Computed there: (T_module - T_air) eta / (alpha - eta). The whole module lies on silicon here, without a rim.
    struct Row {
        double eta, sun, wind, rise, difference;
    };
    for (const Row& row : {Row{0.17, 1000.0, 1.0, 31.407, 7.314},
                           Row{0.19, 1000.0, 1.0, 31.407, 8.405},
                           Row{0.22, 1000.0, 1.0, 31.407, 10.161},
                           Row{0.20, 1000.0, 4.0, 19.099, 5.457},
                           Row{0.20, 800.0, 2.0, 20.683, 5.909},
                           Row{0.20, 600.0, 5.0, 10.135, 2.896}}) {
        SceneSpec spec = scene_test::quiet_scene();
        spec.heat.cell_gap_m = 0.0;
        Plant plant = build_plant(spec);
        PanelType& type = plant.types.front();
        type.cells_left_m = 0.0;
        type.cells_top_m = 0.0;
        type.cells_width_m = type.width_m;
        type.cells_height_m = type.height_m;
        type.rated_power_w = row.eta * 1000.0 * type.width_m * type.height_m;
        type.junction_boxes.clear();
        const double reference_rise = 1000.0 / (25.0 + 6.84 * row.wind);
        const HeatReference reference{reference_rise, 24.0, std::vector(plant.strings.size(), std::pair(1.0, 1.0))};
        const std::vector<Fault> faults{
            {.pattern = heatrow::Pattern::open_circuit_module, .panel = 0, .delta_t_1000_k = std::nan("")}};
        const auto heat = build_heat(plant, spec.heat, faults, reference, 3);
        const double share = row.rise / reference_rise;
        CHECK(share == Approx(row.sun / 1000.0).epsilon(1e-3));
        const HeatState state{share, row.sun / 1000.0, 1.0};
        CHECK(heatrow::median_of(heat[0].cell_means_k(state)) - heatrow::median_of(heat[1].cell_means_k(state)) ==
              Approx(row.difference).epsilon(2e-3));
    }
}

TEST_CASE("weather: modules follow a step of the sun with their time constant", "[scene]") {
    SceneSpec spec = scene_test::quiet_scene();
    spec.conditions.gust_m_s = 0.0;
    spec.conditions.drift_w_m2 = 0.0;
    spec.conditions.wind_m_s = 1.0;
    spec.heat.time_constant_s = 429.3;  // 1 / P of Prilliman 2020 at 1 m/s, computed in check-values.md, section 4.5
    spec.conditions.dips.push_back({.from_s = 0.0, .to_s = 4000.0, .irradiance_w_m2 = 400.0, .edge_s = 1.0});
    const Weather weather(spec, {}, type_named("generic-60-full"), 3000.0, 3);
    const double before = weather.at(-5.0).rise_k;
    const double settled = 400.0 / (25.0 + 6.84);
    CHECK(before == Approx(900.0 / (25.0 + 6.84)).epsilon(0.005));
    for (const auto& [tau, left] : {std::pair(1.0, 0.36788), {2.0, 0.13534}, {3.0, 0.04979}}) {
        // The edge of one second begins at 0; a wait of 15 min is 2.1 time constants: 88 % settled.
        const double rise = weather.at(0.5 + tau * 429.3).rise_k;
        CHECK((rise - settled) / (before - settled) == Approx(left).margin(0.01));
    }
    CHECK((weather.at(900.0).rise_k - before) / (settled - before) == Approx(0.88).margin(0.01));
}

TEST_CASE("law: each part follows sun, wind and load by its own rule", "[scene]") {
    const HeatLaw light{};
    const HeatLaw contact{.kind = HeatLaw::Kind::current, .exponent = 1.8};
    const HeatState half{0.5, 0.5, 1.0};
    CHECK(light.factor(half) == Approx(0.5));
    CHECK(contact.factor(half) == Approx(std::pow(0.5, 1.8)));
    CHECK(contact.factor({0.5, 0.5, 0.4}) == Approx(std::pow(0.2, 1.8)));
    // More wind at the same sun lowers all alike.
    CHECK(contact.factor({0.8, 1.0, 1.0}) == Approx(0.8));
    // Between solved loads the shares add up to one.
    const HeatLaw low{.kind = HeatLaw::Kind::circuit, .load = 0.4, .load_below = 0.4, .load_above = 0.6};
    const HeatLaw high{.kind = HeatLaw::Kind::circuit, .load = 0.6, .load_below = 0.4, .load_above = 0.6};
    for (const double load : {0.3, 0.4, 0.47, 0.55, 0.6, 0.9}) {
        CHECK(low.factor({1.0, 1.0, load}) + high.factor({1.0, 1.0, load}) == Approx(1.0));
    }
}
