// From the light on the detector to what the camera puts out: gain, offset between shutter events, patterns, noise, bad
// pixels, range.
#pragma once

#include "heatrow/core/image.hpp"
#include "world.hpp"

#include <vector>

namespace scene {

class Detector {
  public:
    explicit Detector(const World& world);

    // seen_c: apparent temperature of each pixel, degC. Depends on nothing but that, the world and the shot.
    [[nodiscard]] heatrow::Image<float> read(const heatrow::Image<float>& seen_c, int shot) const;

    // Offset of all pixels at a time after the first frame, K: what the last shutter event left, and the drift since.
    [[nodiscard]] double offset_k(double time_s) const;

  private:
    struct Shutter {
        std::int64_t event;
        double since_s;
    };
    [[nodiscard]] Shutter last_shutter(double time_s) const;
    [[nodiscard]] double noise_factor(float temperature_c) const;
    void draw_patterns();
    void draw_bad_pixels();

    const World& world_;
    heatrow::Image<float> standing_k_;   // vignetting and the pattern that stays
    heatrow::Image<float> shuttered_k_;  // the pattern that each shutter event leaves anew
    std::vector<double> noise_factors_;  // against 30 degC, by temperature
    struct Dead {
        int pixel;
        float reading_c;
    };
    std::vector<Dead> dead_;
    std::vector<int> replaced_;
};

}  // namespace scene
