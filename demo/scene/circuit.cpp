#include "circuit.hpp"

#include "random.hpp"

#include <algorithm>
#include <cmath>

namespace scene {
namespace {

// Thermal voltage over the voltage at maximum power: puts the open-circuit voltage at 1.2 times that (common figures).
constexpr double kKnee = 0.07;
// Forward voltage of a bypass diode in cell voltages: 0.45 V over 0.52 V (common figures).
constexpr double kDiode = 0.87;

// Where a falling function passes zero, between two places of different sign (regula falsi with the Illinois step).
template <class Function>
double root_of_falling(Function function, double low, double high) {
    double at_low = function(low);
    double at_high = function(high);
    double middle = low;
    int side = 0;
    for (int i = 0; i < 60 && high - low > 1e-9; ++i) {
        middle = (low * at_high - high * at_low) / (at_high - at_low);
        const double value = function(middle);
        if (std::abs(value) < 1e-9) {
            break;
        }
        if (value > 0.0) {
            low = middle;
            at_low = value;
            at_high *= side == 1 ? 0.5 : 1.0;
            side = 1;
        } else {
            high = middle;
            at_high = value;
            at_low *= side == -1 ? 0.5 : 1.0;
            side = -1;
        }
    }
    return middle;
}

// One cell: i = k light - (k - 1) exp((v - 1) / knee) - v / shunt, with k = I_sc / I_mp.
class Cell {
  public:
    Cell(double k, const CellState& state) : k_(k), state_(state) {}

    // Newton steps from the right: the current is a falling, concave function of the voltage.
    [[nodiscard]] double voltage(double current) const {
        const double forward = k_ * state_.light - current;
        double v = forward > 0.0 ? std::max(0.0, 1.0 + kKnee * std::log(forward / (k_ - 1.0))) : 0.0;
        for (int i = 0; i < 60; ++i) {
            const double knee = (k_ - 1.0) * std::exp((v - 1.0) / kKnee);
            const double step = (forward - knee - v / state_.shunt) / (knee / kKnee + 1.0 / state_.shunt);
            v += step;
            if (std::abs(step) < 1e-10) {
                break;
            }
        }
        return v;
    }

  private:
    double k_;
    CellState state_;
};

double current_ratio(const PanelType& type) {
    return type.short_circuit_current_a / type.rated_current_a;
}

class BranchCircuit {
  public:
    BranchCircuit(const PanelType& type, const ModuleState& state, const PanelType::Branch& branch, bool open)
        : open_(open) {
        for (const int cell : branch.cells) {
            cells_.emplace_back(current_ratio(type), state.cells[static_cast<std::size_t>(cell)]);
        }
        most_ = 2.0 * current_ratio(type) + 1.0;
    }

    [[nodiscard]] double voltage(double current) const {
        double sum = 0.0;
        for (const Cell& cell : cells_) {
            sum += cell.voltage(current);
        }
        return sum;
    }
    // At a voltage across the branch; no current flows back into it.
    [[nodiscard]] double current(double at_voltage) const {
        if (open_ || voltage(0.0) <= at_voltage) {
            return 0.0;
        }
        return root_of_falling([&](double i) { return voltage(i) - at_voltage; }, 0.0, most_);
    }
    [[nodiscard]] bool open() const { return open_; }
    [[nodiscard]] std::size_t size() const { return cells_.size(); }
    [[nodiscard]] const Cell& cell(std::size_t i) const { return cells_[i]; }

  private:
    std::vector<Cell> cells_;
    bool open_;
    double most_;
};

// Currents of the branches of one substring that together carry `wanted`, or what they carry with the diode conducting.
std::vector<double> branch_currents(const std::vector<BranchCircuit>& branches, double wanted, bool shorted) {
    const auto all = [&branches](double voltage) {
        std::vector<double> currents;
        for (const BranchCircuit& branch : branches) {
            currents.push_back(branch.current(voltage));
        }
        return currents;
    };
    const auto total = [](const std::vector<double>& currents) {
        double sum = 0.0;
        for (const double current : currents) {
            sum += current;
        }
        return sum;
    };
    if (shorted) {
        return all(0.0);
    }
    if (branches.size() == 1 && !branches.front().open() && branches.front().voltage(wanted) >= -kDiode) {
        return {wanted};
    }
    auto currents = all(-kDiode);
    if (total(currents) <= wanted) {
        return currents;  // the diode carries the rest
    }
    const double open_voltage = 1.4 * static_cast<double>(branches.front().size());
    return all(root_of_falling([&](double v) { return total(all(v)) - wanted; }, -kDiode, open_voltage));
}

}  // namespace

ModuleState healthy_state(const PanelType& type, const CellMismatch& mismatch, std::uint64_t seed) {
    Random random(seed, Stream::circuit);
    ModuleState state;
    for (int cell = 0; cell < type.cell_count(); ++cell) {
        const double light = 1.0 + mismatch.light * random.normal();
        state.cells.push_back({light, CellState().shunt * std::exp(mismatch.shunt * random.normal())});
    }
    state.branch_open.assign(type.branches.size(), false);
    state.substring_shorted.assign(static_cast<std::size_t>(type.substring_count()), false);
    return state;
}

ModuleHeat solve_circuit(const PanelType& type, const ModuleState& state, double load, int only_substring) {
    const double healthy = Cell(current_ratio(type), {}).voltage(1.0);
    ModuleHeat heat;
    heat.cells.assign(state.cells.size(), 0.0);
    for (int substring = 1; substring <= type.substring_count(); ++substring) {
        if (only_substring > 0 && substring != only_substring) {
            heat.diode_current.push_back(0.0);
            continue;
        }
        std::vector<BranchCircuit> circuits;
        std::vector<const PanelType::Branch*> branches;
        for (std::size_t i = 0; i < type.branches.size(); ++i) {
            if (type.branches[i].substring == substring) {
                branches.push_back(&type.branches[i]);
                circuits.emplace_back(type, state, type.branches[i], state.branch_open[i]);
            }
        }
        const double wanted = state.disconnected ? 0.0 : load * static_cast<double>(circuits.size());
        const bool shorted = state.substring_shorted[static_cast<std::size_t>(substring) - 1];
        const auto currents = branch_currents(circuits, wanted, shorted);
        double carried = 0.0;
        for (std::size_t b = 0; b < circuits.size(); ++b) {
            carried += currents[b];
            for (std::size_t i = 0; i < circuits[b].size(); ++i) {
                const double exported = currents[b] * circuits[b].cell(i).voltage(currents[b]);
                heat.cells[static_cast<std::size_t>(branches[b]->cells[i])] = 1.0 - exported / healthy;
            }
        }
        heat.diode_current.push_back(
            shorted ? 0.0 : std::max(0.0, (wanted - carried) / static_cast<double>(circuits.size())));
    }
    return heat;
}

double exported_share(const PanelType& type, double load) {
    const Cell cell(current_ratio(type), {});
    return load * cell.voltage(load) / cell.voltage(1.0);
}

double load_of_share(const PanelType& type, double share) {
    if (share >= 1.0) {
        return 1.0;
    }
    return root_of_falling([&](double load) { return share - exported_share(type, load); }, 0.0, 1.0);
}

}  // namespace scene
