// Quantities as types, so that a metre cannot be taken for a radian nor a temperature for a difference.
//
// Linear quantities (`KelvinDelta`, `Metres`, ...) add, subtract and scale. The two temperature scales are points:
// they subtract to a `KelvinDelta` and shift by one, but two temperatures cannot be added.
// Conversions round as one double operation; nothing here throws.
#pragma once

#include <cmath>
#include <compare>
#include <limits>
#include <numbers>

namespace heatrow {

inline constexpr double kNaN = std::numeric_limits<double>::quiet_NaN();

// A linear quantity in the unit that its tag names. NaN means "no data".
template <class Tag>
class Quantity {
  public:
    constexpr Quantity() = default;
    constexpr explicit Quantity(double value) : value_(value) {}

    [[nodiscard]] constexpr double value() const { return value_; }
    [[nodiscard]] bool is_known() const { return !std::isnan(value_); }

    constexpr Quantity& operator+=(Quantity other) {
        value_ += other.value_;
        return *this;
    }
    constexpr Quantity& operator-=(Quantity other) {
        value_ -= other.value_;
        return *this;
    }
    friend constexpr Quantity operator+(Quantity a, Quantity b) { return Quantity(a.value_ + b.value_); }
    friend constexpr Quantity operator-(Quantity a, Quantity b) { return Quantity(a.value_ - b.value_); }
    friend constexpr Quantity operator-(Quantity a) { return Quantity(-a.value_); }
    friend constexpr Quantity operator*(Quantity a, double f) { return Quantity(a.value_ * f); }
    friend constexpr Quantity operator*(double f, Quantity a) { return Quantity(f * a.value_); }
    friend constexpr Quantity operator/(Quantity a, double f) { return Quantity(a.value_ / f); }
    friend constexpr double operator/(Quantity a, Quantity b) { return a.value_ / b.value_; }
    friend constexpr auto operator<=>(Quantity a, Quantity b) = default;

  private:
    double value_ = 0.0;
};

using KelvinDelta = Quantity<struct KelvinDeltaTag>;                  // temperature difference, K
using Metres = Quantity<struct MetresTag>;                            // m
using MetresPerSecond = Quantity<struct MetresPerSecondTag>;          // m/s
using Seconds = Quantity<struct SecondsTag>;                          // s
using Watts = Quantity<struct WattsTag>;                              // W
using WattsPerSquareMetre = Quantity<struct WattsPerSquareMetreTag>;  // irradiance, W/m2
using Radians = Quantity<struct RadiansTag>;                          // plane angle, rad

constexpr Radians degrees(double value) {
    return Radians(value * std::numbers::pi / 180.0);
}
constexpr double in_degrees(Radians angle) {
    return angle.value() * 180.0 / std::numbers::pi;
}

// The same angle in [0, 2 pi).
inline Radians wrap_full_turn(Radians angle) {
    const double turn = 2.0 * std::numbers::pi;
    const double wrapped = std::fmod(angle.value(), turn);
    return Radians(wrapped < 0.0 ? wrapped + turn : wrapped);
}

// The same angle in (-pi, pi].
inline Radians wrap_half_turn(Radians angle) {
    const double wrapped = wrap_full_turn(angle).value();
    return Radians(wrapped > std::numbers::pi ? wrapped - 2.0 * std::numbers::pi : wrapped);
}

// A point on a temperature scale: points subtract, and shift by a difference.
template <class Tag>
class TemperaturePoint {
  public:
    constexpr TemperaturePoint() = default;
    constexpr explicit TemperaturePoint(double value) : value_(value) {}

    [[nodiscard]] constexpr double value() const { return value_; }
    [[nodiscard]] bool is_known() const { return !std::isnan(value_); }

    friend constexpr KelvinDelta operator-(TemperaturePoint a, TemperaturePoint b) {
        return KelvinDelta(a.value_ - b.value_);
    }
    friend constexpr TemperaturePoint operator+(TemperaturePoint t, KelvinDelta d) {
        return TemperaturePoint(t.value_ + d.value());
    }
    friend constexpr TemperaturePoint operator-(TemperaturePoint t, KelvinDelta d) {
        return TemperaturePoint(t.value_ - d.value());
    }
    friend constexpr auto operator<=>(TemperaturePoint a, TemperaturePoint b) = default;

  private:
    double value_ = 0.0;
};

using Kelvin = TemperaturePoint<struct KelvinTag>;    // thermodynamic temperature, K
using Celsius = TemperaturePoint<struct CelsiusTag>;  // Celsius temperature, degC

inline constexpr double kZeroCelsiusInKelvin = 273.15;  // exact, BIPM SI brochure

constexpr Kelvin to_kelvin(Celsius t) {
    return Kelvin(t.value() + kZeroCelsiusInKelvin);
}
constexpr Celsius to_celsius(Kelvin t) {
    return Celsius(t.value() - kZeroCelsiusInKelvin);
}

}  // namespace heatrow
