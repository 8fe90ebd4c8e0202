#include "detector.hpp"

#include "random.hpp"

#include <algorithm>
#include <cmath>

namespace scene {
namespace {

constexpr double kCalibrationPoint = 25.0;  // degC at which the camera's gain error vanishes
constexpr double kNoiseStated = 30.0;       // degC for which a camera's noise is stated
constexpr double kColdest = -80.0;          // degC, of the table of noise
constexpr double kNoiseStep = 1.0;

// Half of the variance of the fixed pattern stands for the whole survey, half is new after each shutter event.
constexpr double kHalf = 0.70710678118654752;

}  // namespace

Detector::Detector(const World& world) : world_(world) {
    draw_patterns();
    draw_bad_pixels();
    // White noise is even in the signal: it weighs more where a kelvin makes less light.
    const auto slope = [&world](double celsius) {
        return world.band.of_celsius(celsius + 0.5) - world.band.of_celsius(celsius - 0.5);
    };
    constexpr int kCount = 280;
    for (int i = 0; i < kCount; ++i) {
        noise_factors_.push_back(slope(kNoiseStated) / slope(kColdest + i * kNoiseStep));
    }
}

void Detector::draw_patterns() {
    const CameraSpec& camera = world_.true_camera;
    standing_k_ = heatrow::Image<float>(camera.width_px, camera.height_px);
    shuttered_k_ = heatrow::Image<float>(camera.width_px, camera.height_px);
    Random random(world_.seed, Stream::fixed_pattern);
    std::vector<double> columns;
    for (int x = 0; x < camera.width_px; ++x) {
        columns.push_back(camera.column_pattern_k * random.normal());
    }
    const double half_diagonal = 0.5 * std::hypot(camera.width_px, camera.height_px);
    for (int y = 0; y < camera.height_px; ++y) {
        const double row = camera.row_pattern_k * random.normal();
        for (int x = 0; x < camera.width_px; ++x) {
            const double r =
                std::hypot(x - 0.5 * (camera.width_px - 1), y - 0.5 * (camera.height_px - 1)) / half_diagonal;
            const double white = kHalf * camera.fixed_pattern_k * random.normal();
            standing_k_.view()(x, y) =
                static_cast<float>(row + columns[static_cast<std::size_t>(x)] + white - camera.vignetting_k * r * r);
            shuttered_k_.view()(x, y) = static_cast<float>(kHalf * camera.fixed_pattern_k * random.normal());
        }
    }
}

void Detector::draw_bad_pixels() {
    const CameraSpec& camera = world_.true_camera;
    const int pixels = camera.width_px * camera.height_px;
    Random random(world_.seed, Stream::dead_pixels);
    const auto count_of = [pixels](double share) { return static_cast<int>(std::lround(share * pixels)); };
    for (int i = 0; i < count_of(camera.replaced_pixels); ++i) {
        replaced_.push_back(random.index(pixels));
    }
    for (int i = 0; i < count_of(camera.dead_pixels); ++i) {
        const int pixel = random.index(pixels);
        dead_.push_back({pixel, static_cast<float>(random.uniform(camera.range_low_c, camera.range_high_c))});
    }
}

Detector::Shutter Detector::last_shutter(double time_s) const {
    const double interval = world_.true_camera.shutter_interval_s;
    const double phase = Random(world_.seed, Stream::shutter).uniform(0.0, interval);
    const double event = std::floor((time_s + phase) / interval);
    return {static_cast<std::int64_t>(event), time_s + phase - event * interval};
}

double Detector::offset_k(double time_s) const {
    const CameraSpec& camera = world_.true_camera;
    const Shutter shutter = last_shutter(time_s);
    Random random(world_.seed, Stream::shutter, static_cast<std::uint64_t>(shutter.event + (1 << 20)));
    const double left = camera.shutter_jump_k * random.normal();
    return left + camera.drift_k_per_min * random.normal() * shutter.since_s / 60.0;
}

double Detector::noise_factor(float temperature_c) const {
    const double place = (static_cast<double>(temperature_c) - kColdest) / kNoiseStep;
    const auto last = static_cast<double>(noise_factors_.size() - 1);
    return noise_factors_[static_cast<std::size_t>(std::clamp(place, 0.0, last))];
}

heatrow::Image<float> Detector::read(const heatrow::Image<float>& seen_c, int shot_index) const {
    const CameraSpec& camera = world_.true_camera;
    const Shot& shot = world_.shots[static_cast<std::size_t>(shot_index)];
    const Shutter shutter = last_shutter(shot.time_s);
    const double offset = offset_k(shot.time_s);
    Random draw(world_.seed, Stream::shutter, static_cast<std::uint64_t>(shutter.event + (1 << 21)));
    // Each event leaves its own pattern: the same one, moved round by another step.
    const int turn = draw.index(camera.width_px);
    const int lift = draw.index(camera.height_px);
    heatrow::Image<float> readings(camera.width_px, camera.height_px);
    Random random(world_.seed, Stream::frame_noise, static_cast<std::uint64_t>(shot_index));
    const double gain = world_.hidden.camera_gain;
    for (int y = 0; y < camera.height_px; ++y) {
        const double row_noise = offset + camera.row_noise_k * random.normal();
        const float* seen = seen_c.view().row(y);
        const float* standing = standing_k_.view().row(y);
        const float* shuttered = shuttered_k_.view().row((y + lift) % camera.height_px);
        float* out = readings.view().row(y);
        for (int x = 0; x < camera.width_px; ++x) {
            const double gained = kCalibrationPoint + gain * (static_cast<double>(seen[x]) - kCalibrationPoint);
            const int turned = x + turn < camera.width_px ? x + turn : x + turn - camera.width_px;
            out[x] = static_cast<float>(gained + row_noise + static_cast<double>(standing[x] + shuttered[turned]) +
                                        camera.noise_k * noise_factor(seen[x]) * random.normal());
        }
    }
    auto& pixels = readings.pixels();
    for (const int pixel : replaced_) {
        const int x = pixel % camera.width_px;
        const int left = x > 0 ? pixel - 1 : pixel + 1;
        const int right = x + 1 < camera.width_px ? pixel + 1 : pixel - 1;
        pixels[static_cast<std::size_t>(pixel)] =
            0.5F * (pixels[static_cast<std::size_t>(left)] + pixels[static_cast<std::size_t>(right)]);
    }
    for (const Dead& dead : dead_) {
        pixels[static_cast<std::size_t>(dead.pixel)] = dead.reading_c;
    }
    for (float& pixel : pixels) {
        pixel = std::clamp(pixel, static_cast<float>(camera.range_low_c), static_cast<float>(camera.range_high_c));
    }
    return readings;
}

}  // namespace scene
