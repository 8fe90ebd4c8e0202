#include "heatrow/segment/light_scale.hpp"

#include <algorithm>
#include <cstddef>
#include <utility>

namespace heatrow {

LightScale::LightScale(double first_count, double count_step, std::vector<double> light)
    : first_count_(first_count), count_step_(count_step), light_(std::move(light)) {}

double LightScale::light(double count) const {
    const double position = (count - first_count_) / count_step_;
    const double last = static_cast<double>(light_.size()) - 2.0;
    const std::size_t i = position > 0.0 ? static_cast<std::size_t>(std::min(position, last)) : 0;
    return light_[i] + (position - static_cast<double>(i)) * (light_[i + 1] - light_[i]);
}

double LightScale::count(double light) const {
    const auto above = std::upper_bound(light_.begin() + 1, light_.end() - 1, light);
    const auto i = static_cast<std::size_t>(above - light_.begin()) - 1;
    const double share = (light - light_[i]) / (light_[i + 1] - light_[i]);
    return first_count_ + (static_cast<double>(i) + share) * count_step_;
}

double LightScale::slope(double count) const {
    return (light(count + count_step_) - light(count - count_step_)) / (2.0 * count_step_);
}

double LightScale::mean_light(double mean, double spread) const {
    return 0.5 * (light(mean + spread) + light(mean - spread));
}

double LightScale::mean_count(double mean_light_of_all, double spread) const {
    const double even = count(mean_light_of_all);
    return count(2.0 * mean_light_of_all - mean_light(even, spread));
}

}  // namespace heatrow
