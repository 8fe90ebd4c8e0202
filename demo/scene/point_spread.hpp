// How the light of one point is spread over the pixels: diffraction, pixel, defocus.
#pragma once

#include "camera_spec.hpp"

#include <vector>

namespace scene {

// Round optics of a given f-number over the band (Airy), times the square pixel, times the Gaussian that is missing to
// the stated blur. Stated is a Gaussian; it stands for the optics that has the same contrast at the finest stripes that
// the pixels resolve (half a cycle a pixel).
class PointSpread {
  public:
    // width_factor: the hidden draw; everything is that much wider. Throws heatrow::Error where the stated blur is
    // less than diffraction and pixel alone allow.
    PointSpread(const CameraSpec& stated, double width_factor);

    // Share of the light a square pixel of area that lies this far from the middle takes, px. Round to 1 % beyond 1 px;
    // the pixel's square is kept.
    [[nodiscard]] double at(double dx, double dy) const;

    // Contrast of stripes of this many cycles a pixel along rows or columns; 1 at 0. Before the width factor.
    [[nodiscard]] double contrast(double cycles_per_px) const;

    // Beyond this distance `at` is 0, px.
    [[nodiscard]] double reach_px() const { return kReach * width_factor_; }

  private:
    static constexpr double kReach = 12.0;
    static constexpr int kPerPixel = 12;
    static constexpr int kNodes = static_cast<int>(kReach) * kPerPixel + 2;

    void tabulate();
    [[nodiscard]] double optics(double cycles_per_px) const;

    double width_factor_ = 1.0;
    bool diffraction_ = true;
    double cutoff_at_1_um_ = 0.0;  // cycles a pixel for light of one micrometre
    double gaussian_px_ = 0.0;
    std::vector<double> table_;  // a quarter of the plane
};

}  // namespace scene
