#include "heatrow/score/score.hpp"

#include <cmath>

namespace heatrow {
namespace {

// Mean of what is known.
class Mean {
  public:
    void add(double value) {
        if (std::isfinite(value)) {
            sum_ += value;
            ++count_;
        }
    }
    [[nodiscard]] double value() const { return count_ > 0 ? sum_ / count_ : kNaN; }

  private:
    double sum_ = 0.0;
    int count_ = 0;
};

double number(double value) {
    return value;
}
template <class Q>
double number(const Q& quantity) {
    return quantity.value();
}

template <class Q>
Uncertain<Q> mean_of(std::span<const FrameConditions> conditions, Uncertain<Q> FrameConditions::*member) {
    Mean value;
    Mean u;
    for (const auto& each : conditions) {
        value.add(number((each.*member).value));
        u.add((each.*member).u);
    }
    return {Q(value.value()), u.value()};
}

double mean_of(std::span<const FrameConditions> conditions, double FrameConditions::*member) {
    Mean value;
    for (const auto& each : conditions) {
        value.add(each.*member);
    }
    return value.value();
}

}  // namespace

FrameConditions mean_conditions(std::span<const FrameConditions> conditions) {
    FrameConditions mean;
    mean.irradiance = mean_of(conditions, &FrameConditions::irradiance);
    mean.irradiance_felt = mean_of(conditions, &FrameConditions::irradiance_felt);
    mean.wind = mean_of(conditions, &FrameConditions::wind);
    mean.air = mean_of(conditions, &FrameConditions::air);
    mean.load_fraction = mean_of(conditions, &FrameConditions::load_fraction);
    mean.relative_humidity_percent = mean_of(conditions, &FrameConditions::relative_humidity_percent);
    mean.cloud_okta = mean_of(conditions, &FrameConditions::cloud_okta);
    for (const auto& each : conditions) {
        mean.irradiance_is_modelled = mean.irradiance_is_modelled || each.irradiance_is_modelled;
        mean.flags |= each.flags;
    }
    // A module's load is known from any of its frames; a frame's own flag says no more than that log's part.
    if (mean.load_fraction.is_known()) {
        mean.flags.clear(Flag::load_unknown);
    }
    return mean;
}

}  // namespace heatrow
