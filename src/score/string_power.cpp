#include "heatrow/score/string_power.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

IvCurve string_curve(const IvCurve& healthy, const IvCurve& faulty, int modules) {
    IvCurve curve = faulty;
    for (std::size_t i = 0; i < curve.voltage_v.size(); ++i) {
        curve.voltage_v[i] += (modules - 1) * healthy.voltage_v[i];
    }
    return curve;
}

}  // namespace

PowerPoint maximum_power(const IvCurve& curve) {
    std::vector<double> power;
    for (std::size_t i = 0; i < curve.current_a.size(); ++i) {
        power.push_back(curve.current_a[i] * curve.voltage_v[i]);
    }
    const auto best = static_cast<std::size_t>(std::max_element(power.begin(), power.end()) - power.begin());
    if (best == 0 || best + 1 == power.size()) {
        return {curve.current_a[best], power[best]};
    }
    // The vertex of the parabola through the three samples around the highest one.
    const double step = curve.current_a[best + 1] - curve.current_a[best];
    const double bend = power[best - 1] - 2.0 * power[best] + power[best + 1];
    const double slope = 0.5 * (power[best + 1] - power[best - 1]);
    const double offset = bend < 0.0 ? std::clamp(-slope / bend, -1.0, 1.0) : 0.0;
    return {curve.current_a[best] + offset * step, power[best] + offset * (slope + 0.5 * bend * offset)};
}

std::vector<StringPoint> string_points(const IvCurve& healthy, const IvCurve& faulty, int modules, double load) {
    const PowerPoint best_module = maximum_power(healthy);
    const IvCurve string = string_curve(healthy, faulty, modules);
    if (load < kFullLoad) {
        const double current = load * best_module.current_a;
        return {{current, current * (healthy.voltage(current) - faulty.voltage(current))}};
    }
    const double healthy_power = modules * best_module.power_w;
    const PowerPoint tracked = maximum_power(string);
    const double common_voltage = healthy_power / best_module.current_a;
    const double held = string.current(common_voltage);
    return {{tracked.current_a, healthy_power - tracked.power_w},
            {held, healthy_power - held * common_voltage}};
}

}  // namespace heatrow
