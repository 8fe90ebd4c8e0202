#include "limit_lines.hpp"

#include "heatrow/report/number_text.hpp"

namespace heatrow {

std::vector<LimitLine> limit_lines(const Profile& profile) {
    const auto& change = profile.maximum_irradiance_change_per_minute;
    return {
        {"Irradiance in the module plane",
         "at least " + short_text(profile.minimum_irradiance_w_m2.value, 1) + " W/m²",
         profile.minimum_irradiance_w_m2.source,
         Flag::irradiance_below_minimum,
         profile.minimum_irradiance_w_m2.value},
        {"Wind",
         "at most " + short_text(profile.maximum_wind_m_s.value, 1) + " m/s",
         profile.maximum_wind_m_s.source,
         Flag::wind_above_maximum,
         profile.maximum_wind_m_s.value},
        {"Change of irradiance",
         "at most " + short_text(100.0 * change.value, 1) + " % a minute, then a wait of " +
             short_text(profile.settling_time_min.value, 1) + " min",
         change.source,
         Flag::irradiance_unsteady,
         100.0 * change.value},
        {"Cloud",
         "at most " + short_text(profile.maximum_cloud_okta.value, 1) + " okta",
         profile.maximum_cloud_okta.source,
         Flag::cloud_above_maximum,
         profile.maximum_cloud_okta.value},
    };
}

}  // namespace heatrow
