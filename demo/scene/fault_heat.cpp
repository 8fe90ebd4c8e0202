#include "fault_heat.hpp"

#include "dirt.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/core/median.hpp"
#include "random.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace scene {
namespace {

using heatrow::Pattern;

constexpr double kReferenceSun = 1000.0;  // W/m2

// The box nearest to the middle of a substring: its diode conducts when the substring is bypassed.
Eigen::Vector2d box_of_substring(const PanelType& type, int substring) {
    Eigen::Vector2d middle(0.0, 0.0);
    int count = 0;
    for (int cell = 0; cell < type.cell_count(); ++cell) {
        if (type.substring_of_cell[static_cast<std::size_t>(cell)] == substring) {
            const auto box = type.cell_box(cell);
            middle += Eigen::Vector2d(0.5 * (box.left + box.right), 0.5 * (box.top + box.bottom));
            ++count;
        }
    }
    middle /= std::max(1, count);
    return *std::ranges::min_element(type.junction_boxes, [&middle](const auto& a, const auto& b) {
        return (a - middle).squaredNorm() < (b - middle).squaredNorm();
    });
}

double peak_of(const HeatMap& map) {
    return static_cast<double>(*std::ranges::max_element(map.values));
}

bool changes_circuit(Pattern pattern) {
    switch (pattern) {
        case Pattern::cell_interconnect:
        case Pattern::junction_box:
        case Pattern::broken_glass_suspected:
        case Pattern::module_cooler:
        case Pattern::module_replaced:
        case Pattern::module_missing:
            return false;
        default:
            return true;
    }
}

[[noreturn]] void too_strong(const Fault& fault, const std::string& most) {
    throw heatrow::Error(
        heatrow::ErrorKind::usage,
        "Could not heat a fault as asked",
        fmt::format("{}, delta_t_1000_k = {:g}", heatrow::to_string(fault.pattern), fault.delta_t_1000_k),
        most,
        "Ask for less.");
}

}  // namespace

PanelSources::PanelSources(const SheetOfType& of_type, std::uint64_t seed, int panel)
    : of_type_(of_type),
      type_(*of_type.type),
      sheet_(of_type.sheet),
      panel_(panel),
      state_(healthy_state(*of_type.type, of_type.mismatch, Random::mix(seed + static_cast<std::uint64_t>(panel)))),
      light_(of_type.sheet.size(), 0.0) {}

void PanelSources::add(const Fault& fault, double from_end) {
    switch (fault.pattern) {
        case Pattern::hot_cell:
        case Pattern::multiple_hot_cells:
        case Pattern::part_of_cell:
        case Pattern::hot_point:
        case Pattern::substring_bypassed_by_cell:
            weaken_cells(fault);
            break;
        case Pattern::substring_bypassed:
        case Pattern::substring_open_circuit:
            for (std::size_t i = 0; i < type_.branches.size(); ++i) {
                if (type_.branches[i].substring == fault.substring &&
                    (fault.branch < 0 || static_cast<std::size_t>(fault.branch) == i)) {
                    state_.branch_open[i] = true;
                }
            }
            scale_circuit(fault);
            break;
        case Pattern::substring_short_circuited:
            state_.substring_shorted[static_cast<std::size_t>(fault.substring) - 1] = true;
            break;
        case Pattern::short_circuited_module:
            state_.substring_shorted.assign(state_.substring_shorted.size(), true);
            break;
        case Pattern::open_circuit_module:
        case Pattern::string_open_circuit:
        case Pattern::string_off:
        case Pattern::string_warm_cause_open:
            state_.disconnected = true;
            scale_circuit(fault);
            break;
        case Pattern::potential_induced_degradation:
            degrade(fault, from_end);
            break;
        case Pattern::cell_interconnect: {
            // A ribbon that lost its bond: a line along the column over one end of the cell.
            Random random(fault.seed, Stream::fault_details, 1);
            const auto box = type_.cell_box(fault.cells.front());
            const double x = box.left + (box.right - box.left) * random.uniform(0.15, 0.85);
            const double middle = random.uniform() < 0.5 ? 0.3 : 0.7;
            std::vector<double> line(sheet_.size(), 0.0);
            for (int i = 0; i < 9; ++i) {
                const double share = middle + 0.25 * (i / 4.0 - 1.0);
                const auto part = spot({x, box.top + share * (box.bottom - box.top)}, 0.006);
                std::ranges::transform(line, part, line.begin(), std::plus<>());
            }
            add_resistance(line, fault);
            break;
        }
        case Pattern::junction_box:
            add_resistance(spot(fault.place_m, of_type_.box_sigma_m), fault);
            break;
        case Pattern::soiling:
            soil(fault);
            break;
        case Pattern::shading:
            shade(fault);
            break;
        case Pattern::broken_glass_suspected:
            break_glass(fault);
            break;
        case Pattern::module_cooler:
        case Pattern::module_replaced:
            for (double& value : light_) {
                value += sheet_.loss_w_m2k() * fault.delta_t_1000_k;
            }
            break;
        case Pattern::module_missing:
        case Pattern::patchwork_cause_open:
        case Pattern::external_cause_possible:
            break;  // nothing of the module is left, or no fault of a scene
    }
    circuit_touched_ = circuit_touched_ || changes_circuit(fault.pattern);
}

std::vector<double> PanelSources::spot(const Eigen::Vector2d& at, double sigma_m) const {
    std::vector<double> shape(sheet_.size());
    for (std::size_t i = 0; i < shape.size(); ++i) {
        shape[i] = std::exp(-0.5 * (sheet_.node_at(i) - at).squaredNorm() / (sigma_m * sigma_m));
    }
    return shape;
}

// A resistance in the string: its hottest centimetre at full load and 1000 W/m2 is what was asked for.
void PanelSources::add_resistance(const std::vector<double>& shape, const Fault& fault) {
    const double factor = fault.delta_t_1000_k / peak_of(sheet_.solve(shape));
    Resistance resistance{fault.exponent, shape};
    for (double& value : resistance.w_m2) {
        value *= factor;
    }
    resistances_.push_back(std::move(resistance));
}

// Heat in units of a cell's power that brings a cell's mean (of a part: its hottest centimetre) to the asked rise.
double PanelSources::wanted_heat(int cell, const Fault& fault) const {
    std::vector<double> unit(sheet_.size(), 0.0);
    const auto placed = concentrated_.find(cell);
    if (placed == concentrated_.end()) {
        sheet_.add_to_cell(unit, cell, of_type_.cell_power_w_m2);
        const auto means = cell_means(type_, sheet_.solve(unit));
        return fault.delta_t_1000_k / (means[static_cast<std::size_t>(cell)] - heatrow::median_of(means));
    }
    for (const CellPart& part : placed->second) {
        unit[part.node] += part.share * of_type_.cell_power_w_m2;
    }
    std::vector<double> even(sheet_.size(), 0.0);
    sheet_.add_to_cell(even, cell, of_type_.cell_power_w_m2);
    // One unit is lost export, in the whole cell; the rest comes up in the part.
    return 1.0 + std::max(0.0, fault.delta_t_1000_k - peak_of(sheet_.solve(even))) / peak_of(sheet_.solve(unit));
}

// Finds the leak that makes a weak cell as hot as wanted while its string carries the full current.
void PanelSources::fit_shunt(int cell, double light, double wanted) {
    CellState& weak = state_.cells[static_cast<std::size_t>(cell)];
    const int substring = type_.substring_of_cell[static_cast<std::size_t>(cell)];
    weak.light = light;
    double low = std::log(1e-3);
    double high = std::log(1e4);
    // Less light pushes a cell into reverse, so that it heats the more the less it leaks; a leak alone only eats its
    // own power.
    const bool reverse = light < 0.95;
    for (int i = 0; i < 40; ++i) {
        const double middle = 0.5 * (low + high);
        weak.shunt = std::exp(middle);
        const double heat = solve_circuit(type_, state_, 1.0, substring).cells[static_cast<std::size_t>(cell)];
        ((heat < wanted) == reverse ? low : high) = middle;
    }
    weak.shunt = std::exp(0.5 * (low + high));
}

void PanelSources::weaken_cells(const Fault& fault) {
    if (fault.pattern == Pattern::part_of_cell || fault.pattern == Pattern::hot_point) {
        concentrate(fault.cells.front(), fault);
    }
    if (fault.pattern == Pattern::substring_bypassed_by_cell) {
        CellState& weak = state_.cells[static_cast<std::size_t>(fault.cells.front())];
        weak = {fault.light, 1e4};
        return;
    }
    // Twice, since hot cells of one branch share its current.
    for (int round = 0; round < (fault.cells.size() > 1 ? 2 : 1); ++round) {
        for (const int cell : fault.cells) {
            const double wanted = wanted_heat(cell, fault);
            double reached = 0.0;
            for (const double light : {wanted < 1.1 ? 1.0 : fault.light, 0.92}) {
                fit_shunt(cell, light, wanted);
                reached = solve_circuit(type_, state_, 1.0).cells[static_cast<std::size_t>(cell)];
                if (std::abs(reached - wanted) < 0.02 * wanted) {
                    break;
                }
            }
            if (std::abs(reached - wanted) >= 0.02 * wanted) {
                too_strong(
                    fault,
                    fmt::format(
                        "the diode lets {:.2f} times a cell's power into it, {:.2f} would be needed", reached, wanted));
            }
        }
    }
}

// The part of a cell where its heat comes up: one side of a crack, or a spot of a centimetre.
void PanelSources::concentrate(int cell, const Fault& fault) {
    Random random(fault.seed, Stream::fault_details, 2);
    const auto box = type_.cell_box(cell);
    const Eigen::Vector2d size(box.right - box.left, box.bottom - box.top);
    const Eigen::Vector2d middle = Eigen::Vector2d(box.left, box.top) + 0.5 * size;
    const double angle = random.uniform(0.0, 2.0 * std::numbers::pi);
    const Eigen::Vector2d across(std::cos(angle), std::sin(angle));
    const double offset = random.uniform(-0.12, 0.2) * size.minCoeff();
    const Eigen::Vector2d point =
        Eigen::Vector2d(box.left, box.top) +
        Eigen::Vector2d(random.uniform(0.2, 0.8) * size.x(), random.uniform(0.2, 0.8) * size.y());
    const bool is_point = fault.pattern == Pattern::hot_point;
    std::vector<CellPart> parts;
    double whole = 0.0;
    double chosen = 0.0;
    for (const CellPart& part : sheet_.cell_parts(cell)) {
        const Eigen::Vector2d at = sheet_.node_at(part.node);
        const double weight = is_point ? std::exp(-0.5 * (at - point).squaredNorm() / (0.008 * 0.008))
                                       : std::clamp(((at - middle).dot(across) - offset) / 0.01 + 0.5, 0.0, 1.0);
        parts.push_back({part.node, part.share * weight});
        whole += part.share;
        chosen += part.share * weight;
    }
    for (CellPart& part : parts) {
        part.share *= whole / chosen;  // the cell's heat stays the same
    }
    concentrated_[cell] = std::move(parts);
}

// Shunted cells, worse near the frame and toward the negative end of the string.
void PanelSources::degrade(const Fault& fault, double from_end) {
    Random random(fault.seed, Stream::fault_details, 3 + static_cast<std::uint64_t>(panel_));
    for (int cell = 0; cell < type_.cell_count(); ++cell) {
        const int row = cell / type_.columns;
        const int column = cell % type_.columns;
        const bool outer = row == 0 || column == 0 || row + 1 == type_.rows || column + 1 == type_.columns;
        const double severity = std::min(1.0, (1.0 - 0.8 * from_end) * (outer ? 1.0 : 0.6) * random.uniform(0.5, 1.1));
        // From a healthy shunt to one that eats most of the cell's current.
        CellState& state = state_.cells[static_cast<std::size_t>(cell)];
        state.shunt = std::min(state.shunt, CellState().shunt * std::pow(0.6 / CellState().shunt, severity));
    }
}

void PanelSources::soil(const Fault& fault) {
    constexpr double kAbsorbed = -0.12;  // dry dirt absorbs less than a cell, a share of the sun (assumed)
    const Dirt dirt(fault.place_m, fault.size_m, fault.seed);
    for (std::size_t i = 0; i < light_.size(); ++i) {
        const Eigen::Vector2d at = sheet_.node_at(i);
        light_[i] += dirt.cover(at.x(), at.y()) * kAbsorbed * kReferenceSun;
    }
    for (std::size_t cell = 0; cell < state_.cells.size(); ++cell) {
        state_.cells[cell].light *= fault.light_on_cells[cell];
    }
}

void PanelSources::shade(const Fault& fault) {
    const double absorbed = of_type_.cell_power_w_m2 + of_type_.cell_heat_w_m2;
    for (std::size_t cell = 0; cell < state_.cells.size(); ++cell) {
        state_.cells[cell].light *= fault.light_on_cells[cell];
    }
    for (std::size_t node = 0; node < light_.size(); ++node) {
        light_[node] -= (1.0 - static_cast<double>(fault.light_on_nodes[node])) * absorbed;
    }
}

// Shards of glass, each with its own contact to what lies behind; they know nothing of cells.
void PanelSources::break_glass(const Fault& fault) {
    Random random(fault.seed, Stream::fault_details, 4);
    std::vector<Eigen::Vector3d> shards;  // place and heat
    const int count = 18 + random.index(14);
    for (int i = 0; i < count; ++i) {
        const double x = random.uniform(0.0, type_.width_m);
        const double y = random.uniform(0.0, type_.height_m);
        shards.emplace_back(x, y, of_type_.cell_power_w_m2 * (0.7 + 0.7 * random.normal()));
    }
    for (std::size_t i = 0; i < light_.size(); ++i) {
        const Eigen::Vector2d at = sheet_.node_at(i);
        const auto nearest = std::ranges::min_element(shards, [&at](const auto& a, const auto& b) {
            return (a.template head<2>() - at).squaredNorm() < (b.template head<2>() - at).squaredNorm();
        });
        light_[i] += nearest->z();
    }
}

// Where a difference was asked for although the circuit has its own: the circuit's heat is scaled to it.
void PanelSources::scale_circuit(const Fault& fault) {
    if (std::isnan(fault.delta_t_1000_k)) {
        return;
    }
    const auto means = cell_means(type_, sheet_.solve(circuit_w_m2(1.0)));
    std::vector<double> inside;
    std::vector<double> others;
    for (int cell = 0; cell < type_.cell_count(); ++cell) {
        const auto i = static_cast<std::size_t>(cell);
        const bool of_fault = fault.substring == 0 || type_.substring_of_cell[i] == fault.substring;
        (of_fault ? inside : others).push_back(means[i]);
    }
    const double level = others.empty() ? 0.0 : heatrow::take_median(others);  // of a whole module: above a healthy one
    circuit_factor_ *= fault.delta_t_1000_k / (heatrow::take_median(inside) - level);
}

std::vector<double> PanelSources::circuit_w_m2(double load) const {
    const ModuleHeat heat = solve_circuit(type_, state_, load);
    std::vector<double> sources(sheet_.size(), 0.0);
    const double unit = circuit_factor_ * of_type_.cell_power_w_m2;
    for (int cell = 0; cell < type_.cell_count(); ++cell) {
        const double of_cell = heat.cells[static_cast<std::size_t>(cell)];
        const auto placed = concentrated_.find(cell);
        const double even = placed == concentrated_.end() ? of_cell : std::min(of_cell, 1.0);
        sheet_.add_to_cell(sources, cell, unit * even);
        if (placed != concentrated_.end()) {
            for (const CellPart& part : placed->second) {
                sources[part.node] += part.share * unit * (of_cell - even);
            }
        }
    }
    for (std::size_t i = 0; i < heat.diode_current.size() && !type_.junction_boxes.empty(); ++i) {
        if (heat.diode_current[i] > 0.0) {
            const auto shape = spot(box_of_substring(type_, static_cast<int>(i) + 1), of_type_.box_sigma_m);
            const double strength = of_type_.diode_k * sheet_.loss_w_m2k() * heat.diode_current[i];
            for (std::size_t node = 0; node < sources.size(); ++node) {
                sources[node] += strength * shape[node];
            }
        }
    }
    return sources;
}

}  // namespace scene
