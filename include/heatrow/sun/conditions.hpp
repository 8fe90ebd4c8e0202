// The weather of a survey as a series in time, and what it says of the moment of one frame.
#pragma once

#include "heatrow/core/conditions.hpp"
#include "heatrow/core/rejection.hpp"
#include "heatrow/core/time.hpp"
#include "heatrow/core/units.hpp"
#include "heatrow/sun/incidence.hpp"
#include "heatrow/sun/thermal_lag.hpp"

#include <tl/expected.hpp>

#include <chrono>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace heatrow {

// One row of a log. NaN: not recorded.
struct ConditionsRow {
    UtcTime time{};                 // of a sample, or the middle of the interval that a mean is over
    WattsPerSquareMetre poa{kNaN};  // irradiance in the module plane
    WattsPerSquareMetre ghi{kNaN};  // on the horizontal
    WattsPerSquareMetre dni{kNaN};  // normal to the beam
    WattsPerSquareMetre dhi{kNaN};  // diffuse on the horizontal
    MetresPerSecond wind{kNaN};
    Celsius air{kNaN};
    Celsius module{kNaN};
    double relative_humidity_percent = kNaN;
    double cloud_okta = kNaN;
    double load_fraction = kNaN;  // I / I_mp at this irradiance
    double poa_model_u = 0.0;     // standard uncertainty of a model that made `poa`, as a share of it
};

// The limits of a profile that conditions are held against. NaN: no limit.
struct ConditionsLimits {
    WattsPerSquareMetre minimum_irradiance{kNaN};  // in the module plane
    MetresPerSecond maximum_wind{kNaN};
    double maximum_change_per_minute = kNaN;  // of the irradiance, as a share of it: 0.1 = 10 %
    std::chrono::minutes settling_time{0};    // wait after such a change
    double maximum_cloud_okta = kNaN;
};

// What is known of the instruments; the defaults are common practice (no source) and can be set in survey.toml.
struct LoggerDescription {
    bool irradiance_is_modelled = false;           // transposed from horizontal, not measured in the plane
    std::optional<PlaneOrientation> sensor_plane;  // of `poa`; absent: the modules' own
    double irradiance_u_share = 0.025;             // standard uncertainty of the sensor's gain
    WattsPerSquareMetre irradiance_u_offset{5.0};  // standard uncertainty of its zero
    double wind_u_share = 0.05;
    MetresPerSecond wind_u{0.3};
    KelvinDelta air_u{0.5};
    double load_u = 0.05;               // of a load fraction given in the log
    Metres distance{0.0};               // of the irradiance sensor from the modules
    MetresPerSecond cloud_speed{10.0};  // at which cloud edges travel between the two
    double module_mass_kg_per_m2 = kModuleMassKgPerM2;
    std::chrono::milliseconds interval{0};          // that each row is a mean over; 0: rows are samples
    std::chrono::milliseconds maximum_gap{0};       // rows further apart are not interpolated; 0: three usual spacings
    std::chrono::minutes observation_lifetime{60};  // how long an observed cloud cover holds
};

// Rows in order of time. A value type; all members are safe to call from many threads at once.
class ConditionsSeries {
  public:
    ConditionsSeries() = default;
    // Rows in any order; of rows with the same time the first is kept.
    explicit ConditionsSeries(std::vector<ConditionsRow> rows, LoggerDescription logger = {});

    [[nodiscard]] const std::vector<ConditionsRow>& rows() const { return rows_; }
    [[nodiscard]] const LoggerDescription& logger() const { return logger_; }
    [[nodiscard]] bool empty() const { return rows_.empty(); }
    // First and last instant that the log speaks for (half an interval beyond the outer rows of a log of means).
    [[nodiscard]] UtcTime begins() const;
    [[nodiscard]] UtcTime ends() const;
    // Median distance of neighbouring rows; zero with fewer than two.
    [[nodiscard]] std::chrono::milliseconds usual_spacing() const { return usual_spacing_; }
    [[nodiscard]] std::chrono::milliseconds maximum_gap() const;

    // What holds at the capture time of a frame: linear between rows, each value with its uncertainty
    // (docs/conditions.md) and flagged against the limits. Rejection (no_conditions) outside the log's span, inside a
    // gap, or where the irradiance is not known.
    [[nodiscard]] tl::expected<FrameConditions, Rejection> at(UtcTime time, const ConditionsLimits& limits) const;

    // Irradiance between rows; nothing outside the span or in a gap.
    [[nodiscard]] std::optional<WattsPerSquareMetre> irradiance_at(UtcTime time) const;
    // Standard uncertainty of the irradiance near a time by the sensor's gain and zero and by a model that made it; what
    // lies between rows and the distance of the logger are not in it.
    [[nodiscard]] double irradiance_gain_u(UtcTime time, WattsPerSquareMetre irradiance) const;
    // The same lagged by the thermal time constant at this wind.
    [[nodiscard]] std::optional<WattsPerSquareMetre> irradiance_felt_at(UtcTime time, MetresPerSecond wind) const;
    // When the irradiance last changed faster than allowed, not later than `time` and within the settling time before
    // it; nothing if it was steady. Rows further than a minute apart are judged from neighbour to neighbour: a change
    // between them may have taken a minute.
    [[nodiscard]] std::optional<UtcTime> last_unsteady(UtcTime time, const ConditionsLimits& limits) const;

  private:
    std::vector<ConditionsRow> rows_;
    LoggerDescription logger_;
    std::chrono::milliseconds usual_spacing_{0};
};

}  // namespace heatrow
