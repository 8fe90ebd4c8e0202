// Counts to object temperatures of one frame, or of one slot, by table.
#pragma once

#include "heatrow/core/units.hpp"
#include "heatrow/radiometry/blackbody.hpp"
#include "heatrow/radiometry/encoding.hpp"
#include "heatrow/radiometry/measurement.hpp"

#include <vector>

namespace heatrow {

// Converts counts under one set of conditions. Cheap to build (about 0.1 ms); for a few hundred values or fewer call
// object_temperature() instead, which needs no table. Immutable.
//
// Monotone in the count, rising with a positive scale. Differs from the direct solution by less than 1e-5 K (tested).
class CountTable {
  public:
    // Range of exported temperatures that is tabulated; beyond it, and where the object would be colder than
    // kDirectBelow, values are solved one by one.
    static constexpr Celsius kLowest{-80.0};
    static constexpr Celsius kHighest{300.0};
    static constexpr Celsius kDirectBelow{-100.0};

    // Throws Error(usage) where the encoding or the conditions have a problem. `band` must outlive the table. A table
    // for a few values of one slot spans their exported temperatures only, `from` to `to`, which makes it as much
    // cheaper as it is shorter.
    CountTable(const TemperatureEncoding& encoding,
               const ObjectConditions& conditions,
               const BandRadiance& band,
               Celsius from = kLowest,
               Celsius to = kHighest);

    // Object temperature, degC. NaN for no data and where the reflected and air terms leave nothing for the object.
    [[nodiscard]] Celsius temperature(double count) const;

    // d temperature / d count, K per count: scales a spread or a noise in counts. NaN as above.
    [[nodiscard]] double slope_k_per_count(double count) const;

  private:
    struct Node {
        double object_c = kNaN;
        double slope = kNaN;  // object K per exported K
    };
    [[nodiscard]] Node solve(double exported_c) const;
    [[nodiscard]] Node at(double exported_c) const;

    TemperatureEncoding encoding_;
    ObjectConditions conditions_;
    const BandRadiance* band_;
    double first_c_ = kLowest.value();
    std::vector<Node> nodes_;  // at equal steps of the exported temperature, from first_c_ up
};

// The same conversion of one count without a table.
Celsius object_temperature(double count,
                           const TemperatureEncoding& encoding,
                           const ObjectConditions& conditions,
                           const BandRadiance& band);

}  // namespace heatrow
