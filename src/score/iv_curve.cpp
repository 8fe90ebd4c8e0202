#include "heatrow/score/iv_curve.hpp"

#include <algorithm>
#include <cstddef>

namespace heatrow {
namespace {

constexpr int kVoltageSteps = 400;

double between(double x, double x0, double x1, double y0, double y1) {
    return x1 == x0 ? y0 : y0 + (x - x0) / (x1 - x0) * (y1 - y0);
}

}  // namespace

double IvCurve::voltage(double current) const {
    const auto above = std::lower_bound(current_a.begin(), current_a.end(), current);
    if (above == current_a.begin()) {
        return voltage_v.front();
    }
    if (above == current_a.end()) {
        return voltage_v.back();
    }
    const auto i = static_cast<std::size_t>(above - current_a.begin());
    return between(current, current_a[i - 1], current_a[i], voltage_v[i - 1], voltage_v[i]);
}

double IvCurve::current(double voltage) const {
    const auto below = std::partition_point(
        voltage_v.begin(), voltage_v.end(), [voltage](double sample) { return sample >= voltage; });
    if (below == voltage_v.begin()) {
        return current_a.front();
    }
    if (below == voltage_v.end()) {
        return current_a.back();
    }
    const auto i = static_cast<std::size_t>(below - voltage_v.begin());
    return between(voltage, voltage_v[i - 1], voltage_v[i], current_a[i - 1], current_a[i]);
}

IvCurve in_series(const std::vector<IvCurve>& parts) {
    IvCurve sum = parts.front();
    for (std::size_t part = 1; part < parts.size(); ++part) {
        for (std::size_t i = 0; i < sum.voltage_v.size(); ++i) {
            sum.voltage_v[i] += parts[part].voltage_v[i];
        }
    }
    return sum;
}

IvCurve in_parallel(const std::vector<IvCurve>& branches, double bypass_v, const std::vector<double>& currents) {
    IvCurve sum;
    sum.current_a = currents;
    sum.voltage_v.assign(currents.size(), -bypass_v);
    if (branches.empty()) {
        return sum;
    }
    if (branches.size() == 1) {
        for (std::size_t i = 0; i < currents.size(); ++i) {
            sum.voltage_v[i] = std::max(-bypass_v, branches.front().voltage(currents[i]));
        }
        return sum;
    }
    double highest = -bypass_v;
    for (const IvCurve& branch : branches) {
        highest = std::max(highest, branch.voltage_v.front());
    }
    IvCurve by_voltage;
    for (int step = 0; step <= kVoltageSteps; ++step) {
        const double voltage = highest - (highest + bypass_v) * step / kVoltageSteps;
        double current = 0.0;
        for (const IvCurve& branch : branches) {
            current += branch.current(voltage);
        }
        by_voltage.current_a.push_back(current);
        by_voltage.voltage_v.push_back(voltage);
    }
    for (std::size_t i = 0; i < currents.size(); ++i) {
        sum.voltage_v[i] = by_voltage.voltage(currents[i]);
    }
    return sum;
}

}  // namespace heatrow
