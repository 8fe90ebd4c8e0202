// How a moving camera with a slow detector sees a step: blurred by optics and pixel, and trailing behind.
#pragma once

#include <numbers>

namespace heatrow {

// One-dimensional spread: a Gaussian together with the exponential answer of a first-order detector (a thermal detector
// still shows where things were s ago, weight exp(-s/tau); check: step response 0.632, 0.865, 0.950 after 1, 2, 3 tau).
// Places are counted from the mean of that answer, so the spread as a whole does not move anything: what a picture
// shows of a point is centred where the point was tau before read-out. The exponentially modified Gaussian distribution
// (Grushka 1972) gives both functions in closed form.
class TrailBlur {
  public:
    // trail_px: image motion of the scene along the axis during one detector time constant, either sign. Below a
    // twentieth of the blur it is left out.
    TrailBlur(double sigma_px, double trail_px);

    // Answer at x to a unit step up at 0.
    [[nodiscard]] double step(double x) const;
    // Its integral from minus infinity.
    [[nodiscard]] double ramp(double x) const;

  private:
    struct Values {
        double distribution;
        double integral;
    };
    [[nodiscard]] Values trailing(double y) const;  // of Gaussian plus exponential, mean |trail|

    double sigma_;
    double trail_;
    bool moves_;
};

// From where a picture shows a trailing edge at half of its height to the middle of mass of what trails, in trails.
inline constexpr double kMiddleOfMass = std::numbers::ln2 - 1.0;

}  // namespace heatrow
