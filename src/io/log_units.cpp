#include "log_units.hpp"

#include <algorithm>
#include <array>
#include <span>

namespace heatrow {
namespace {

struct NamedUnit {
    UnitKind kind;
    std::string_view name;  // as normalised below
    UnitConversion conversion;
};

// Names without blanks, in lower case, with plain digits and slashes. Knot and mile an hour are exact by definition.
constexpr std::array<NamedUnit, 41> kUnits{{
    {UnitKind::irradiance, "w/m2", {1.0, 0.0}},
    {UnitKind::irradiance, "wm-2", {1.0, 0.0}},
    {UnitKind::irradiance, "w/m^2", {1.0, 0.0}},
    {UnitKind::irradiance, "w.m-2", {1.0, 0.0}},
    {UnitKind::irradiance, "w/sqm", {1.0, 0.0}},
    {UnitKind::irradiance, "wm^-2", {1.0, 0.0}},
    {UnitKind::irradiance, "kw/m2", {1000.0, 0.0}},
    {UnitKind::irradiance, "kw/m^2", {1000.0, 0.0}},
    {UnitKind::irradiance, "kwm-2", {1000.0, 0.0}},
    {UnitKind::speed, "m/s", {1.0, 0.0}},
    {UnitKind::speed, "ms-1", {1.0, 0.0}},
    {UnitKind::speed, "m.s-1", {1.0, 0.0}},
    {UnitKind::speed, "mps", {1.0, 0.0}},
    {UnitKind::speed, "km/h", {1.0 / 3.6, 0.0}},
    {UnitKind::speed, "kmh", {1.0 / 3.6, 0.0}},
    {UnitKind::speed, "kmph", {1.0 / 3.6, 0.0}},
    {UnitKind::speed, "kph", {1.0 / 3.6, 0.0}},
    {UnitKind::speed, "mph", {0.44704, 0.0}},
    {UnitKind::speed, "kt", {1852.0 / 3600.0, 0.0}},
    {UnitKind::speed, "kn", {1852.0 / 3600.0, 0.0}},
    {UnitKind::speed, "knots", {1852.0 / 3600.0, 0.0}},
    {UnitKind::temperature, "degc", {1.0, 0.0}},
    {UnitKind::temperature, "c", {1.0, 0.0}},
    {UnitKind::temperature, "deg_c", {1.0, 0.0}},
    {UnitKind::temperature, "celsius", {1.0, 0.0}},
    {UnitKind::temperature, "k", {1.0, -kZeroCelsiusInKelvin}},
    {UnitKind::temperature, "kelvin", {1.0, -kZeroCelsiusInKelvin}},
    {UnitKind::temperature, "degf", {5.0 / 9.0, -160.0 / 9.0}},
    {UnitKind::temperature, "f", {5.0 / 9.0, -160.0 / 9.0}},
    {UnitKind::percent, "%", {1.0, 0.0}},
    {UnitKind::percent, "%rh", {1.0, 0.0}},
    {UnitKind::percent, "percent", {1.0, 0.0}},
    {UnitKind::okta, "okta", {1.0, 0.0}},
    {UnitKind::okta, "oktas", {1.0, 0.0}},
    {UnitKind::okta, "1/8", {1.0, 0.0}},
    {UnitKind::fraction, "1", {1.0, 0.0}},
    {UnitKind::fraction, "-", {1.0, 0.0}},
    {UnitKind::fraction, "%", {0.01, 0.0}},
    {UnitKind::current, "a", {1.0, 0.0}},
    {UnitKind::current, "ma", {0.001, 0.0}},
    {UnitKind::voltage, "v", {1.0, 0.0}},
}};

void replace_all(std::string& text, std::string_view from, std::string_view to) {
    for (std::size_t at = text.find(from); at != std::string::npos; at = text.find(from, at + to.size())) {
        text.replace(at, from.size(), to);
    }
}

std::string normalised(std::string_view written) {
    std::string text(written);
    replace_all(text, "\u00B2", "2");         // superscript two
    replace_all(text, "\u207B\u00B9", "-1");  // superscript minus one
    replace_all(text, "\u207B", "-");
    replace_all(text, "\u00B9", "1");
    replace_all(text, "\u00B0", "deg");  // degree sign
    replace_all(text, "\u00BA", "deg");  // ordinal sign, often typed for it
    replace_all(text, "\u00B7", ".");    // middle dot
    std::string plain;
    for (const char c : text) {
        if (c != ' ' && c != '*') {
            plain.push_back(c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c);
        }
    }
    return plain;
}

constexpr std::array<LogQuantity, 10> kQuantities{{
    {"poa_global",
     UnitKind::irradiance,
     -50.0,
     2000.0,
     [](ConditionsRow& row, double v) { row.poa = WattsPerSquareMetre(v); }},
    {"ghi",
     UnitKind::irradiance,
     -50.0,
     2000.0,
     [](ConditionsRow& row, double v) { row.ghi = WattsPerSquareMetre(v); }},
    {"dni",
     UnitKind::irradiance,
     -50.0,
     1500.0,
     [](ConditionsRow& row, double v) { row.dni = WattsPerSquareMetre(v); }},
    {"dhi",
     UnitKind::irradiance,
     -50.0,
     1200.0,
     [](ConditionsRow& row, double v) { row.dhi = WattsPerSquareMetre(v); }},
    {"wind_speed",
     UnitKind::speed,
     -0.5,
     75.0,
     [](ConditionsRow& row, double v) { row.wind = MetresPerSecond(std::max(v, 0.0)); }},
    {"temp_air", UnitKind::temperature, -60.0, 60.0, [](ConditionsRow& row, double v) { row.air = Celsius(v); }},
    {"temp_module", UnitKind::temperature, -60.0, 120.0, [](ConditionsRow& row, double v) { row.module = Celsius(v); }},
    {"relative_humidity",
     UnitKind::percent,
     0.0,
     105.0,
     [](ConditionsRow& row, double v) { row.relative_humidity_percent = v; }},
    {"cloud_okta", UnitKind::okta, 0.0, 9.0, [](ConditionsRow& row, double v) { row.cloud_okta = v; }},
    {"load_fraction", UnitKind::fraction, 0.0, 1.5, [](ConditionsRow& row, double v) { row.load_fraction = v; }},
}};

}  // namespace

std::string_view own_unit(UnitKind kind) {
    switch (kind) {
        case UnitKind::irradiance:
            return "W/m2";
        case UnitKind::speed:
            return "m/s";
        case UnitKind::temperature:
            return "degC";
        case UnitKind::percent:
            return "%";
        case UnitKind::okta:
            return "okta";
        case UnitKind::fraction:
            return "1";
        case UnitKind::current:
            return "A";
        case UnitKind::voltage:
            return "V";
    }
    return {};
}

std::string_view known_units(UnitKind kind) {
    switch (kind) {
        case UnitKind::irradiance:
            return "W/m2, kW/m2";
        case UnitKind::speed:
            return "m/s, km/h, mph, kt";
        case UnitKind::temperature:
            return "degC, K, degF";
        case UnitKind::percent:
            return "%";
        case UnitKind::okta:
            return "okta, 1/8";
        case UnitKind::fraction:
            return "1, %";
        case UnitKind::current:
            return "A, mA";
        case UnitKind::voltage:
            return "V";
    }
    return {};
}

std::optional<UnitConversion> find_conversion(UnitKind kind, std::string_view written) {
    const std::string name = normalised(written);
    if (name.empty()) {
        return UnitConversion{};
    }
    const auto found = std::find_if(
        kUnits.begin(), kUnits.end(), [&](const NamedUnit& unit) { return unit.kind == kind && unit.name == name; });
    return found == kUnits.end() ? std::nullopt : std::optional(found->conversion);
}

bool is_unit_text(std::string_view text) {
    std::string name = normalised(text);
    if (name.size() >= 2 &&
        ((name.front() == '(' && name.back() == ')') || (name.front() == '[' && name.back() == ']'))) {
        name = name.substr(1, name.size() - 2);
    }
    constexpr std::array<std::string_view, 12> kOthers{
        "ts", "rn", "deg", "mbar", "hpa", "kpa", "mm", "utc", "h", "s", "date", "time"};
    return std::any_of(kUnits.begin(), kUnits.end(), [&](const NamedUnit& unit) { return unit.name == name; }) ||
           std::find(kOthers.begin(), kOthers.end(), name) != kOthers.end();
}

HeadParts split_head(std::string_view head) {
    for (const auto& [open, close] : {std::pair{'(', ')'}, std::pair{'[', ']'}}) {
        const auto from = head.rfind(open);
        if (from != std::string_view::npos && !head.empty() && head.back() == close && from > 0) {
            std::string_view name = head.substr(0, from);
            while (!name.empty() && name.back() == ' ') {
                name.remove_suffix(1);
            }
            return {std::string(name), std::string(head.substr(from + 1, head.size() - from - 2))};
        }
    }
    return {std::string(head), {}};
}

const LogQuantity* find_quantity(std::string_view name) {
    const auto found = std::find_if(
        kQuantities.begin(), kQuantities.end(), [&](const LogQuantity& quantity) { return quantity.name == name; });
    return found == kQuantities.end() ? nullptr : &*found;
}

LogQuantities log_quantities() {
    return {kQuantities.data(), kQuantities.data() + kQuantities.size()};
}

}  // namespace heatrow
