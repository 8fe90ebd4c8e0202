// The light that counts stand for. Optics, trails and pixels average light, not temperatures: a pixel that sees a hot
// cell and glass beside it in equal parts reads warmer than their mean, by 3.2 K where they are 60 K apart.
#pragma once

#include <vector>

namespace heatrow {

class LightScale {
  public:
    // `light` at equal steps of the count from `first_count` on, rising, at least two values, in any unit. The step may
    // be negative. Between them straight lines; beyond them the last one goes on.
    LightScale(double first_count, double count_step, std::vector<double> light);

    [[nodiscard]] double light(double count) const;
    // The inverse.
    [[nodiscard]] double count(double light) const;
    // d light / d count.
    [[nodiscard]] double slope(double count) const;

    // Mean light of counts of this mean and standard deviation, taken as two values beside the mean.
    [[nodiscard]] double mean_light(double mean, double spread) const;
    // The mean of counts of this standard deviation and this mean light.
    [[nodiscard]] double mean_count(double mean_light, double spread) const;

  private:
    double first_count_;
    double count_step_;
    std::vector<double> light_;
};

}  // namespace heatrow
