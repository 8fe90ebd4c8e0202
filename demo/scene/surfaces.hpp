// What surfaces send to the camera: their own radiance and the mirrored sky.
#pragma once

#include "band_radiance.hpp"
#include "scene_spec.hpp"

#include <array>
#include <vector>

namespace scene {

// Emissivity of a flat soda-lime glass front by Fresnel's equations from n and k of Rubin 1985, averaged over the band
// with Planck weights at 323 K.
class GlassEmissivity {
  public:
    explicit GlassEmissivity(double offset = 0.0);
    // cosine of the angle between line of sight and normal, 0 to 1.
    [[nodiscard]] double at(double cosine) const {
        const double place = cosine * (kCount - 1);
        const double inside = place < 0.0 ? 0.0 : (place > kCount - 1.001 ? kCount - 1.001 : place);
        const auto i = static_cast<std::size_t>(inside);
        return table_[i] + (inside - static_cast<double>(i)) * (table_[i + 1] - table_[i]);
    }

  private:
    static constexpr int kCount = 257;
    std::array<double, kCount> table_{};
};

// Radiance of a clear sky by the cosine of the zenith angle: its apparent temperature falls linearly in the cosine from
// the horizon to the zenith (an assumption; common practice, no source). Below the horizon the ground stands in.
class SkyRadiance {
  public:
    SkyRadiance(const BandRadiance& band, double zenith_c, double horizon_c, double ground_c);
    [[nodiscard]] double at(double cosine) const {
        if (cosine <= 0.0) {
            return ground_;
        }
        const double place = cosine * (kCount - 1);
        const double inside = place > kCount - 1.001 ? kCount - 1.001 : place;
        const auto i = static_cast<std::size_t>(inside);
        return table_[i] + (inside - static_cast<double>(i)) * (table_[i + 1] - table_[i]);
    }
    // Over the hemisphere, weighted by the cosine: what a matt horizontal surface reflects.
    [[nodiscard]] double hemispherical() const { return hemispherical_; }

  private:
    static constexpr int kCount = 129;
    std::array<double, kCount> table_{};
    double ground_ = 0.0;
    double hemispherical_ = 0.0;
};

}  // namespace scene
