// One frame: rays, radiance, optics, detector, counts.
#pragma once

#include "heatrow/core/image.hpp"
#include "world.hpp"

#include <cstdint>
#include <vector>

namespace scene {

class FrameRenderer {
  public:
    explicit FrameRenderer(const World& world);

    // Counts of one shot. Depends on nothing but the world and the index.
    [[nodiscard]] heatrow::Image<std::uint16_t> render(int shot) const;
    // The same before noise, fixed pattern and rounding: apparent temperature, degC.
    [[nodiscard]] heatrow::Image<float> apparent_temperature(int shot) const;

    // Image motion of the scene during one detector time constant, px, in the middle of the picture.
    [[nodiscard]] Eigen::Vector2d smear_px(int shot) const;

  private:
    // 3 x 3 rays a pixel, no two in one line with an edge that runs along the pixels.
    static constexpr int kSide = 3;
    static constexpr int kSamples = kSide * kSide;
    static constexpr int kBorder = 4;  // pixels around the picture that blur and smear reach into
    struct Tap {
        int sample, dx, dy;
        float weight;
    };

    [[nodiscard]] std::vector<heatrow::Image<float>> cast_rays(int shot) const;
    [[nodiscard]] std::vector<Tap> point_spread(const Eigen::Vector2d& smear_px) const;
    [[nodiscard]] static Eigen::Vector2d sample_offset(int sample);

    const World& world_;
    // Directions in the camera frame (z = 1) of all samples, picture with border, and of the tile borders.
    std::vector<heatrow::Image<Eigen::Vector2f>> sample_rays_;
    heatrow::Image<float> fixed_pattern_k_;
};

}  // namespace scene
