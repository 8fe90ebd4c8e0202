#include "heatrow/radiometry/count_table.hpp"

#include "heatrow/core/error.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace heatrow {
namespace {

constexpr double kStepK = 0.5;

}  // namespace

CountTable::CountTable(const TemperatureEncoding& encoding,
                       const ObjectConditions& conditions,
                       const BandRadiance& band,
                       Celsius from,
                       Celsius to)
    : encoding_(encoding), conditions_(conditions), band_(&band) {
    for (const std::string& problem : {problem_with(encoding), problem_with(conditions)}) {
        if (!problem.empty()) {
            throw Error(ErrorKind::usage,
                        "cannot turn counts into temperatures",
                        "",
                        problem,
                        "Correct the temperature settings.");
        }
    }
    // fmax and fmin also take the limit where a bound is not known
    first_c_ = std::fmax(from.value(), kLowest.value());
    const double last_c = std::fmin(to.value(), kHighest.value());
    const int intervals = static_cast<int>(std::ceil(std::max(last_c - first_c_, 0.0) / kStepK));
    nodes_.reserve(static_cast<std::size_t>(intervals) + 1);
    for (int i = 0; i <= intervals; ++i) {
        nodes_.push_back(solve(first_c_ + i * kStepK));
    }
}

CountTable::Node CountTable::solve(double exported_c) const {
    const Celsius exported(exported_c);
    const double measured = radiance_at_camera(exported, encoding_, *band_);
    const Kelvin object = band_->temperature(object_radiance(measured, conditions_, *band_));
    const double gain = encoding_.export_emissivity / (conditions_.transmittance * conditions_.emissivity);
    return {to_celsius(object).value(), gain * band_->derivative(exported) / band_->derivative(object)};
}

CountTable::Node CountTable::at(double exported_c) const {
    const double position = (exported_c - first_c_) / kStepK;
    if (!(position >= 0.0 && position < static_cast<double>(nodes_.size() - 1))) {
        return solve(exported_c);
    }
    const auto i = static_cast<std::size_t>(position);
    const Node a = nodes_[i];
    const Node b = nodes_[i + 1];
    if (!(a.object_c >= kDirectBelow.value())) {  // steep where the object's share vanishes
        return solve(exported_c);
    }
    const double t = position - static_cast<double>(i);
    const double rise = b.object_c - a.object_c;
    const double ma = a.slope * kStepK;
    const double mb = b.slope * kStepK;
    const double c2 = 3.0 * rise - 2.0 * ma - mb;
    const double c3 = ma + mb - 2.0 * rise;
    return {a.object_c + t * (ma + t * (c2 + t * c3)), (ma + t * (2.0 * c2 + 3.0 * t * c3)) / kStepK};
}

Celsius CountTable::temperature(double count) const {
    return Celsius(at(exported_temperature(count, encoding_).value()).object_c);
}

double CountTable::slope_k_per_count(double count) const {
    return at(exported_temperature(count, encoding_).value()).slope * encoding_.scale;
}

Celsius object_temperature(double count,
                           const TemperatureEncoding& encoding,
                           const ObjectConditions& conditions,
                           const BandRadiance& band) {
    const double measured = radiance_at_camera(exported_temperature(count, encoding), encoding, band);
    return to_celsius(band.temperature(object_radiance(measured, conditions, band)));
}

}  // namespace heatrow
