#include "weather.hpp"

#include "circuit.hpp"
#include "random.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace scene {
namespace {

// How much of a dip holds at a time: 0 before and after, 1 inside, a smooth edge between.
double dip_share(const DipSpec& dip, double time_s) {
    const auto smooth = [](double x) {
        const double t = std::clamp(x, 0.0, 1.0);
        return t * t * (3.0 - 2.0 * t);
    };
    const double edge = std::max(dip.edge_s, 1.0);
    return smooth((time_s - dip.from_s) / edge) * smooth((dip.to_s - time_s) / edge);
}

}  // namespace

double reference_rise_k(const HeatSpec& heat, const HiddenTruth& hidden, double wind_m_s) {
    return 1000.0 / (hidden.heat_loss_factor * (heat.u0 + heat.u1 * std::max(0.1, wind_m_s + hidden.wind_offset_m_s)));
}

Weather::Weather(
    const SceneSpec& scene, const HiddenTruth& hidden, const PanelType& type, double last_s, std::uint64_t seed)
    : begin_s_(-scene.conditions.settling_s),
      logger_gain_(hidden.logger_gain),
      wind_offset_m_s_(hidden.wind_offset_m_s),
      seed_(seed) {
    const ConditionsSpec& spec = scene.conditions;
    const HeatSpec& heat = scene.heat;
    const double u0 = heat.u0 * hidden.heat_loss_factor;
    const double u1 = heat.u1 * hidden.heat_loss_factor;
    reference_rise_k_ = scene::reference_rise_k(heat, hidden, spec.wind_m_s);

    Random random(seed, Stream::weather);
    const double phase = random.uniform(0.0, 2.0 * std::numbers::pi);
    const double period_s = random.uniform(900.0, 1800.0);
    double flutter = 0.0;  // of the irradiance, and of the wind: first-order processes
    double gust = 0.0;
    WeatherNow now;
    const int count = static_cast<int>(std::ceil(last_s + 60.0 - begin_s_)) + 2;
    for (int i = 0; i < count; ++i) {
        const double time_s = begin_s_ + i;
        flutter += -flutter / 20.0 + 0.5 * random.normal();
        gust += -gust / 15.0 + spec.gust_m_s * std::sqrt(2.0 / 15.0) * random.normal();
        double irradiance = spec.irradiance_w_m2 + flutter +
                            spec.drift_w_m2 * std::sin(phase + 2.0 * std::numbers::pi * time_s / period_s);
        for (const DipSpec& dip : spec.dips) {
            const double share = dip_share(dip, time_s);
            irradiance += share * (dip.irradiance_w_m2 - irradiance);
        }
        now.irradiance_w_m2 = std::max(0.0, irradiance);
        now.wind_m_s = std::max(0.1, spec.wind_m_s + hidden.wind_offset_m_s + gust);
        now.air_c = spec.air_c + 0.3 * std::sin(0.7 + 2.0 * std::numbers::pi * time_s / 2400.0);
        const double balance = now.irradiance_w_m2 / (u0 + u1 * now.wind_m_s);
        const double clipped =
            now.irradiance_w_m2 > spec.clip_w_m2 ? load_of_share(type, spec.clip_w_m2 / now.irradiance_w_m2) : 1.0;
        now.load = std::min(spec.load_fraction, clipped);
        if (i == 0) {
            now.rise_k = balance;
            now.irradiance_felt_w_m2 = now.irradiance_w_m2;
            now.load_felt = now.load;
        } else {
            const double share = 1.0 - std::exp(-1.0 / heat.time_constant_s);
            now.rise_k += share * (balance - now.rise_k);
            now.irradiance_felt_w_m2 += share * (now.irradiance_w_m2 - now.irradiance_felt_w_m2);
            now.load_felt += share * (now.load - now.load_felt);
        }
        seconds_.push_back(now);
    }
}

WeatherNow Weather::at(double time_s) const {
    const double place = std::clamp(time_s - begin_s_, 0.0, static_cast<double>(seconds_.size() - 2));
    const auto i = static_cast<std::size_t>(place);
    const double share = place - static_cast<double>(i);
    const WeatherNow& a = seconds_[i];
    const WeatherNow& b = seconds_[i + 1];
    const auto mix = [share](double from, double to) { return from + share * (to - from); };
    return {mix(a.irradiance_w_m2, b.irradiance_w_m2),
            mix(a.irradiance_felt_w_m2, b.irradiance_felt_w_m2),
            mix(a.rise_k, b.rise_k),
            mix(a.wind_m_s, b.wind_m_s),
            mix(a.air_c, b.air_c),
            mix(a.load, b.load),
            mix(a.load_felt, b.load_felt)};
}

std::pair<double, double> Weather::load_range() const {
    const auto first = seconds_.begin() + static_cast<std::ptrdiff_t>(std::max(0.0, std::floor(-begin_s_)));
    const auto [low, high] = std::minmax_element(
        first, seconds_.end(), [](const WeatherNow& a, const WeatherNow& b) { return a.load_felt < b.load_felt; });
    return {low->load_felt, high->load_felt};
}

std::vector<LogRow> Weather::log() const {
    Random random(seed_, Stream::weather, 1);
    std::vector<LogRow> rows;
    for (std::size_t i = 0; i < seconds_.size(); i += 5) {
        const WeatherNow& now = seconds_[i];
        rows.push_back({begin_s_ + static_cast<double>(i),
                        now.irradiance_w_m2 * logger_gain_ + 0.5 * random.normal(),
                        std::max(0.0, now.wind_m_s - wind_offset_m_s_ + 0.05 * random.normal()),
                        now.air_c + 0.05 * random.normal(),
                        now.load});
    }
    return rows;
}

}  // namespace scene
