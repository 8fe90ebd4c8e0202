// Current-voltage curves as samples, and how they add up in series and in parallel.
#pragma once

#include <vector>

namespace heatrow {

// Samples of a falling curve: current_a ascending, voltage_v not ascending; straight between samples, held beyond the ends.
struct IvCurve {
    std::vector<double> current_a;
    std::vector<double> voltage_v;

    [[nodiscard]] double voltage(double current) const;
    // Largest current that the curve has at this voltage or above; the lower end's where there is none.
    [[nodiscard]] double current(double voltage) const;
};

// One curve under each other on the same currents. Precondition: all have the same current_a; not empty.
IvCurve in_series(const std::vector<IvCurve>& parts);
// Branches side by side on the currents of the first, with a bypass diode over all of them that conducts from
// -bypass_v on. No branch: the diode alone, on `currents`.
IvCurve in_parallel(const std::vector<IvCurve>& branches, double bypass_v, const std::vector<double>& currents);

}  // namespace heatrow
