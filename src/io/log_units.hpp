// Quantities of a log: their names, units and the range in which a value can be true.
#pragma once

#include "heatrow/sun/conditions.hpp"

#include <optional>
#include <string>
#include <string_view>

namespace heatrow {

enum class UnitKind { irradiance, speed, temperature, percent, okta, fraction, current, voltage };

// value in the quantity's own unit = scale x written + offset
struct UnitConversion {
    double scale = 1.0;
    double offset = 0.0;
    [[nodiscard]] double apply(double written) const { return scale * written + offset; }
};

// The unit that documents and messages use: "W/m2", "m/s", "degC", "%", "okta", "", "A", "V".
std::string_view own_unit(UnitKind kind);
// How a written unit converts; nothing if it is not a unit of that kind. Empty text: the own unit.
std::optional<UnitConversion> find_conversion(UnitKind kind, std::string_view written);
// The units understood for a kind, for messages.
std::string_view known_units(UnitKind kind);
// True for a unit of any kind, or a word that loggers put into a unit row ("TS", "RN").
bool is_unit_text(std::string_view text);

// A column head "Wind speed (km/h)" or "Wind speed [km/h]" apart.
struct HeadParts {
    std::string name;
    std::string unit;
};
HeadParts split_head(std::string_view head);

// A quantity that a conditions log can hold.
struct LogQuantity {
    std::string_view name;  // pvlib's nomenclature
    UnitKind kind;
    double least;  // what is outside cannot be true; a value there is left out and counted
    double most;
    void (*store)(ConditionsRow&, double);
};
// Nothing (nullptr) for an unknown name.
const LogQuantity* find_quantity(std::string_view name);
// All of them, in the order of docs/formats/conditions.md.
struct LogQuantities {
    const LogQuantity* first;
    const LogQuantity* last;
    [[nodiscard]] const LogQuantity* begin() const { return first; }
    [[nodiscard]] const LogQuantity* end() const { return last; }
};
LogQuantities log_quantities();

}  // namespace heatrow
