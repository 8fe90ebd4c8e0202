// One frame: light through the lens, blur, detector.
#pragma once

#include "detector.hpp"
#include "heatrow/core/image.hpp"
#include "light_planes.hpp"
#include "point_spread.hpp"
#include "world.hpp"

#include <vector>

namespace scene {

class FrameRenderer {
  public:
    explicit FrameRenderer(const World& world);

    // What the camera puts out for one shot, degC, before it is encoded. Depends on nothing but the world and the
    // index.
    [[nodiscard]] heatrow::Image<float> render(int shot) const;
    // The light on the detector alone, as apparent temperature, degC.
    [[nodiscard]] heatrow::Image<float> apparent_temperature(int shot) const;

    // Image motion of the scene during one detector time constant, px, in the middle of the picture.
    [[nodiscard]] Eigen::Vector2d smear_px(int shot) const;

  private:
    // Weight of a sample, or of the mean of all samples (kMean), of the pixel dx, dy away.
    struct Tap {
        int plane, dx, dy;
        float weight;
    };
    static constexpr int kMean = LightPlanes::kSamples;
    [[nodiscard]] std::vector<Tap> taps(const Eigen::Vector2d& smear_px) const;
    [[nodiscard]] heatrow::Image<float> blurred(const LightPlanes::Light& light, const std::vector<Tap>& taps) const;

    const World& world_;
    LightPlanes planes_;
    PointSpread spread_;
    Detector detector_;
};

}  // namespace scene
