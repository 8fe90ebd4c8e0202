// What each cell of a module turns into heat: a current-voltage solve over the module's bypass topology.
#pragma once

#include "panel_type.hpp"

#include <cstdint>
#include <vector>

namespace scene {

// Currents in units of a healthy cell's current at maximum power, voltages in units of its voltage there.
struct CellState {
    double light = 1.0;   // photocurrent over a healthy cell's
    double shunt = 60.0;  // resistance beside the junction: what a reverse-biased cell leaks through
};

struct ModuleState {
    std::vector<CellState> cells;         // row by row
    std::vector<bool> branch_open;        // of type.branches
    std::vector<bool> substring_shorted;  // by its diode or wiring, from substring 1 on
    bool disconnected = false;            // carries no current: jumpered out, or its string is open
};
// How much healthy cells differ, standard deviations.
struct CellMismatch {
    double light = 0.01;  // share
    double shunt = 0.7;   // of its logarithm: a factor of two
};
ModuleState healthy_state(const PanelType& type, const CellMismatch& mismatch, std::uint64_t seed);

struct ModuleHeat {
    // Heat of each cell beyond that of a healthy cell at maximum power, in units of that cell's electrical power.
    std::vector<double> cells;
    std::vector<double> diode_current;  // of each substring, over the string's current at maximum power
};
// load: string current over its current at maximum power. only_substring: from 1, the others are left at 0; 0 = all.
ModuleHeat solve_circuit(const PanelType& type, const ModuleState& state, double load, int only_substring = 0);

// Power that a healthy cell exports at this load, over that at full load; and the load at which it exports this share.
double exported_share(const PanelType& type, double load);
double load_of_share(const PanelType& type, double share);

}  // namespace scene
