// How well glass emits, and so how badly it mirrors.
#pragma once

#include <array>
#include <cstddef>

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

}  // namespace scene
