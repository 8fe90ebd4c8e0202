// Random numbers of the scene: one small generator per purpose, so that a draw never depends on the order of threads.
#pragma once

#include <cmath>
#include <cstdint>
#include <numbers>

namespace scene {

// What a stream of draws is for; part of its seed.
enum class Stream : std::uint64_t {
    faults = 1,
    panels,
    weather,
    flight,
    logged_poses,
    ground,
    fixed_pattern,
    frame_noise,
    corner_points,
    hidden,
    circuit = 40,
    fault_details,
    obstacles,
    trackers,
    evidence,
    seasons,
    season_changes,
    jerks,
    bootstrap = 100,  // the grader's
    clouds = 101,     // light and camera
    module_lean,
    shutter,
    dead_pixels,
};

// SplitMix64 (Steele, Lea, Flood 2014, "Fast splittable pseudorandom number generators").
class Random {
  public:
    Random(std::uint64_t seed, Stream stream, std::uint64_t index = 0)
        : state_(mix(mix(seed + kGolden) ^ mix(static_cast<std::uint64_t>(stream) * kGolden) ^ mix(index + 1))) {}

    std::uint64_t bits() {
        state_ += kGolden;
        return mix(state_);
    }
    // In [0, 1).
    double uniform() { return static_cast<double>(bits() >> 11U) * 0x1.0p-53; }
    double uniform(double low, double high) { return low + (high - low) * uniform(); }
    // In 0 .. count - 1.
    int index(int count) { return static_cast<int>(uniform() * count); }
    // Standard normal, by Box and Muller.
    double normal() {
        if (has_spare_) {
            has_spare_ = false;
            return spare_;
        }
        const double radius = std::sqrt(-2.0 * std::log(1.0 - uniform()));
        const double angle = 2.0 * std::numbers::pi * uniform();
        spare_ = radius * std::sin(angle);
        has_spare_ = true;
        return radius * std::cos(angle);
    }

    static std::uint64_t mix(std::uint64_t z) {
        z = (z ^ (z >> 30U)) * 0xBF58476D1CE4E5B9ULL;
        z = (z ^ (z >> 27U)) * 0x94D049BB133111EBULL;
        return z ^ (z >> 31U);
    }

  private:
    static constexpr std::uint64_t kGolden = 0x9E3779B97F4A7C15ULL;
    std::uint64_t state_;
    double spare_ = 0.0;
    bool has_spare_ = false;
};

}  // namespace scene
