// Fused modules with known truth, without pixels: a field of tables, healthy spreads, view noise, and faults laid on
// top.
#pragma once

#include "heatrow/fuse/fuse.hpp"
#include "heatrow/score/score.hpp"
#include "heatrow/site/layout.hpp"

#include <cstdint>
#include <filesystem>
#include <vector>

namespace heatrow::test {

struct SiteOptions {
    int rows = 5;  // of tables, north to south
    int tables_per_row = 5;
    int modules_per_string = 20;  // one string is one line of modules along the table
    int strings_per_table = 2;
    bool half_cut = false;
};

// Portrait modules facing south at 25 deg. Ids sort in the order of generation: R01T01S01M01, ...
Layout make_site(const SiteOptions& options);
ModuleType make_full_type();      // 10 x 6 cells, three substrings of two columns
ModuleType make_half_cut_type();  // 20 x 6

// What a module, a substring or cells are warmer by, as measured; of a single cell all that it differs by.
struct SimulatedFault {
    Pattern pattern = Pattern::hot_cell;
    int module = -1;
    int string = -1;    // for string_warm_cause_open
    int substring = 1;  // from 1
    int cell = 0;
    double rise_k = 0.0;
};

struct SimulationOptions {
    double level_c = 45.0;
    double module_spread_k = 0.6;
    double cell_spread_k = 0.4;
    double view_noise_k = 0.05;     // of a cell in one view
    double frame_drift_k = 0.2;     // of a frame's level
    double template_size_k = 1.5;   // of the pattern by cell position: cool rim, warm box
    double slope_k_per_100m = 1.0;  // from west to east
    int views = 5;
    double irradiance_w_m2 = 850.0;
    std::uint64_t seed = 1;
};

// One input per module, fused from its views.
std::vector<ModuleInput> simulate(const Layout& layout,
                                  const std::vector<SimulatedFault>& faults,
                                  const SimulationOptions& options);

// The simulated pattern by cell position: rim cells cooler, the cell under the box warmer.
double template_k(const ModuleType& type, int cell, double size_k);

// The profile that is shipped, so that figures hold for it.
Profile shipped_profile(const std::filesystem::path& file);

}  // namespace heatrow::test
