// What faults put into a module: changes of its circuit, of the light it absorbs, and heat of resistances.
#pragma once

#include "circuit.hpp"
#include "faults.hpp"
#include "module_sheet.hpp"

#include <map>
#include <vector>

namespace scene {

// A module's type, sheet and electrical power at 1000 W/m2 and the scene's mean wind.
struct SheetOfType {
    const PanelType* type = nullptr;
    ModuleSheet sheet;
    double cell_power_w_m2 = 0.0;  // exported by a healthy cell at maximum power, of its own area
    double cell_heat_w_m2 = 0.0;   // left in it
    double diode_k = 0.0;          // of a box whose diode carries the string's current, before it spreads
    double box_sigma_m = 0.0;
    CellMismatch mismatch;
};

class PanelSources {
  public:
    PanelSources(const SheetOfType& of_type, std::uint64_t seed, int panel);

    // from_end: of degradation, how far the module is from the negative end, 0 at it, 1 where it fades out.
    void add(const Fault& fault, double from_end);

    // Absorbed light, W/m2 at each node: less in the shade and under dirt.
    [[nodiscard]] const std::vector<double>& light_w_m2() const { return light_; }
    // Heat that the circuit leaves in the module at a load, beyond healthy cells at full load.
    [[nodiscard]] std::vector<double> circuit_w_m2(double load) const;
    struct Resistance {
        double exponent = 1.0;
        std::vector<double> w_m2;
    };
    [[nodiscard]] const std::vector<Resistance>& resistances() const { return resistances_; }
    [[nodiscard]] bool circuit_touched() const { return circuit_touched_; }

  private:
    void weaken_cells(const Fault& fault);
    void fit_shunt(int cell, double light, double wanted_heat);
    [[nodiscard]] double wanted_heat(int cell, const Fault& fault) const;
    void concentrate(int cell, const Fault& fault);
    void add_resistance(const std::vector<double>& shape, const Fault& fault);
    void degrade(const Fault& fault, double from_end);
    void soil(const Fault& fault);
    void shade(const Fault& fault);
    void break_glass(const Fault& fault);
    void scale_circuit(const Fault& fault);
    [[nodiscard]] std::vector<double> spot(const Eigen::Vector2d& at, double sigma_m) const;

    const SheetOfType& of_type_;
    const PanelType& type_;
    const ModuleSheet& sheet_;
    int panel_;
    ModuleState state_;
    bool circuit_touched_ = false;
    double circuit_factor_ = 1.0;
    std::vector<double> light_;
    std::vector<Resistance> resistances_;
    // Where in a cell its heat beyond lost export comes up, shares of nodes; elsewhere evenly.
    std::map<int, std::vector<CellPart>> concentrated_;
};

}  // namespace scene
