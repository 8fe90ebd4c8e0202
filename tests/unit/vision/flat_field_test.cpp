#include "heatrow/vision/flat_field.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/core/units.hpp"

#include <catch2/catch.hpp>

#include <cmath>
#include <functional>
#include <random>

using namespace heatrow;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;

namespace {

constexpr int kWidth = 160;
constexpr int kHeight = 120;
const FlatFieldLimits kLimits{30, 0.7, 2.0};

struct Planted {
    Image<double> vignetting{kWidth, kHeight};
    Image<double> pattern{kWidth, kHeight};
    [[nodiscard]] double at(int x, int y) const { return vignetting.view()(x, y) + pattern.view()(x, y); }
};

// 40 counts of vignetting from middle to corner; pixels 4, rows 5 and columns 6 counts of fixed pattern.
Planted plant() {
    std::mt19937_64 random(7);
    std::normal_distribution<double> normal(0.0, 1.0);
    std::vector<double> rows(kHeight);
    std::vector<double> columns(kWidth);
    for (double& row : rows) {
        row = 5.0 * normal(random);
    }
    for (double& column : columns) {
        column = 6.0 * normal(random);
    }
    Planted planted;
    for (int y = 0; y < kHeight; ++y) {
        for (int x = 0; x < kWidth; ++x) {
            const double u = (x - 79.5) / 100.0;
            const double v = (y - 59.5) / 100.0;
            planted.vignetting.view()(x, y) = -40.0 * (u * u + v * v);
            planted.pattern.view()(x, y) =
                4.0 * normal(random) + rows[static_cast<std::size_t>(y)] + columns[static_cast<std::size_t>(x)];
        }
    }
    return planted;
}

using Scene = std::function<double(int frame, int x, int y)>;

std::vector<Image<float>> frames_of(const Scene& scene, const Planted& planted, int count, double noise_counts) {
    std::mt19937_64 random(11);
    std::normal_distribution<double> noise(0.0, noise_counts);
    std::vector<Image<float>> frames;
    for (int i = 0; i < count; ++i) {
        Image<float> frame(kWidth, kHeight);
        for (int y = 0; y < kHeight; ++y) {
            for (int x = 0; x < kWidth; ++x) {
                frame.view()(x, y) = static_cast<float>(std::round(scene(i, x, y) + planted.at(x, y) + noise(random)));
            }
        }
        frames.push_back(frame);
    }
    return frames;
}

// Rows of modules in a grid of cells, hot cells here and there, above ground that differs from place to place; the
// camera flies over it in lanes that lie askew to the rows. 100 counts are 1 K.
double plant_below(int frame, int x, int y) {
    // Wind and steering: no two frames lie on one raster.
    const double drift_east = std::fmod(17.31 * frame * frame, 40.0);
    const double drift_north = std::fmod(29.77 * frame * frame, 40.0);
    const int lane = frame / 20;
    const double east = x + 0.12 * y + 83.0 * lane + drift_east;
    const double north = y - 0.12 * x + 41.7 * (frame % 20) + 37.1 * lane + drift_north;
    const double along = std::fmod(std::fmod(north, 90.0) + 90.0, 90.0);
    if (along > 50.0) {
        return 30000.0 + 300.0 * std::sin(east / 37.0) + 200.0 * std::sin(north / 23.0);
    }
    const auto module = static_cast<int>(std::floor(east / 31.0));
    const double in_module = east - 31.0 * module;
    if (in_module < 1.5 || along < 1.5) {
        return 30400.0;
    }
    const auto row = static_cast<int>(std::floor(north / 90.0));
    const bool hot = (module * 7 + row * 13) % 11 == 0 && in_module < 12.0 && along < 12.0;
    return 31500.0 + 60.0 * std::sin(1.7 * module + row) + (hot ? 1500.0 : 0.0);
}

// What is left of the planted map when the estimate is subtracted, both without their plane.
struct Leftover {
    double before = 0.0;
    double after = 0.0;
    double worst = 0.0;
};

Leftover leftover(const FlatField& found, const Planted& planted) {
    const auto sigma = [](const Image<double>& map, double& worst) {
        // The grid is symmetric: mean and slopes are independent.
        double mean = 0.0;
        double along_x = 0.0;
        double along_y = 0.0;
        double xx = 0.0;
        double yy = 0.0;
        for (int y = 0; y < kHeight; ++y) {
            for (int x = 0; x < kWidth; ++x) {
                const double value = map.view()(x, y);
                mean += value / (kWidth * kHeight);
                along_x += value * (x - 79.5);
                along_y += value * (y - 59.5);
                xx += (x - 79.5) * (x - 79.5);
                yy += (y - 59.5) * (y - 59.5);
            }
        }
        double squares = 0.0;
        worst = 0.0;
        for (int y = 0; y < kHeight; ++y) {
            for (int x = 0; x < kWidth; ++x) {
                const double rest = map.view()(x, y) - mean - along_x / xx * (x - 79.5) - along_y / yy * (y - 59.5);
                squares += rest * rest;
                worst = std::max(worst, std::abs(rest));
            }
        }
        return std::sqrt(squares / (kWidth * kHeight));
    };
    Image<double> truth(kWidth, kHeight);
    Image<double> rest(kWidth, kHeight);
    for (int y = 0; y < kHeight; ++y) {
        for (int x = 0; x < kWidth; ++x) {
            truth.view()(x, y) = planted.at(x, y);
            rest.view()(x, y) = planted.at(x, y) - static_cast<double>(found.offset.view()(x, y));
        }
    }
    Leftover result;
    result.before = sigma(truth, result.worst);
    result.after = sigma(rest, result.worst);
    return result;
}

std::string refusal(const std::vector<Image<float>>& frames, bool flat, const FlatFieldLimits& limits = kLimits) {
    try {
        estimate_flat_field(frames, flat, limits);
    } catch (const Error& problem) {
        CHECK(problem.kind() == ErrorKind::input);
        return problem.what();
    }
    return {};
}

}  // namespace

// Of the whole map at a pixel.
double u_of(const FlatField& found) {
    return std::hypot(found.vignetting.u, found.fixed_pattern.u);
}

TEST_CASE("flat field: a flat scene gives the planted map to its stated uncertainty", "[vision]") {
    const Planted planted = plant();
    const auto scene = [](int frame, int x, int y) { return 30000.0 + 3.0 * frame + 0.05 * x - 0.02 * y; };
    const FlatField found = estimate_flat_field(frames_of(scene, planted, 60, 8.0), true, kLimits);
    const Leftover left = leftover(found, planted);
    CAPTURE(left.before, left.after, left.worst, u_of(found), found.moving_share);
    CHECK(left.after < 0.2 * left.before);
    CHECK_THAT(left.after / u_of(found), WithinAbs(1.0, 0.3));
    CHECK(found.moving_share < kLimits.least_moving_share);
}

// The numbers that docs/calibration.md shows; 10 % leaves room for its rounding and for another machine's.
TEST_CASE("flat field: the worked example of docs/calibration.md", "[vision]") {
    const Planted planted = plant();
    const FlatField found = estimate_flat_field(frames_of(plant_below, planted, 800, 8.0), false, kLimits);
    const Leftover left = leftover(found, planted);
    CAPTURE(left.before, left.after, left.worst, found.moving_share);
    CAPTURE(found.vignetting.sigma, found.vignetting.peak_to_peak, found.vignetting.u);
    CAPTURE(found.fixed_pattern.sigma, found.fixed_pattern.peak_to_peak, found.fixed_pattern.u);
    CAPTURE(found.row_sigma, found.column_sigma);
    CHECK(found.vignetting.in_map);
    CHECK(found.fixed_pattern.in_map);
    const auto shown = [](double value) { return Catch::Matchers::WithinRel(value, 0.1); };
    CHECK_THAT(left.before, shown(12.4));
    CHECK_THAT(left.after, shown(1.4));
    CHECK_THAT(found.vignetting.sigma, shown(9.2));
    CHECK_THAT(found.vignetting.peak_to_peak, shown(37.6));
    CHECK_THAT(found.vignetting.u, shown(1.2));
    CHECK_THAT(found.fixed_pattern.sigma, shown(8.5));
    CHECK_THAT(found.fixed_pattern.peak_to_peak, shown(50.7));
    CHECK_THAT(found.fixed_pattern.u, shown(0.8));
    CHECK_THAT(found.row_sigma, shown(4.9));
    CHECK_THAT(found.column_sigma, shown(5.7));
    CHECK(left.after < 2.0 * u_of(found));
    CHECK(left.after > 0.5 * u_of(found));
}

TEST_CASE("flat field: an uncertain vignetting is left out, the fixed pattern kept", "[vision]") {
    const Planted planted = plant();
    const FlatField found = estimate_flat_field(frames_of(plant_below, planted, 100, 8.0), false, kLimits);
    CHECK_FALSE(found.vignetting.in_map);
    CHECK(found.fixed_pattern.in_map);
    CHECK(found.fixed_pattern.u < 3.0);
    // The map holds no more than the fixed pattern.
    double squares = 0.0;
    for (const float value : found.offset.pixels()) {
        squares += static_cast<double>(value) * static_cast<double>(value);
    }
    CHECK_THAT(std::sqrt(squares / (kWidth * kHeight)), WithinAbs(found.fixed_pattern.sigma, 1e-3));
}

TEST_CASE("flat field: subtracting the map leaves nothing for a second estimate", "[vision]") {
    const Planted planted = plant();
    auto frames = frames_of(plant_below, planted, 120, 8.0);
    const FlatField first = estimate_flat_field(frames, false, kLimits);
    for (Image<float>& frame : frames) {
        for (std::size_t i = 0; i < frame.pixels().size(); ++i) {
            frame.pixels()[i] -= first.offset.pixels()[i];
        }
    }
    CHECK_THAT(refusal(frames, false), Contains("add about as much as it removes"));
}

TEST_CASE("flat field: no data stays no data, and does not spoil its neighbours", "[vision]") {
    const Planted planted = plant();
    auto frames = frames_of([](int frame, int, int) { return 30000.0 + frame; }, planted, 40, 4.0);
    for (Image<float>& frame : frames) {
        frame.view()(50, 40) = std::numeric_limits<float>::quiet_NaN();
    }
    frames[3].view()(10, 10) = std::numeric_limits<float>::quiet_NaN();
    const FlatField found = estimate_flat_field(frames, true, kLimits);
    CHECK(std::isnan(found.offset.view()(50, 40)));
    CHECK(std::isfinite(found.offset.view()(10, 10)));
    const auto rest = [&](int x, int y) { return static_cast<double>(found.offset.view()(x, y)) - planted.at(x, y); };
    CHECK_THAT(rest(51, 40) - rest(53, 40), WithinAbs(0.0, 6.0));
}

TEST_CASE("flat field: odd sizes work as even ones", "[vision]") {
    std::mt19937_64 random(3);
    std::normal_distribution<double> normal(0.0, 1.0);
    Image<double> pattern(31, 23);
    for (double& value : pattern.pixels()) {
        value = 10.0 * normal(random);
    }
    std::vector<Image<float>> frames;
    for (int i = 0; i < 40; ++i) {
        Image<float> frame(31, 23);
        for (std::size_t p = 0; p < frame.pixels().size(); ++p) {
            frame.pixels()[p] = static_cast<float>(30000.0 + pattern.pixels()[p] + normal(random));
        }
        frames.push_back(frame);
    }
    const FlatField found = estimate_flat_field(frames, true, kLimits);
    double worst = 0.0;
    for (int x = 0; x < 31; ++x) {
        const double rest = static_cast<double>(found.offset.view()(x, 11)) - pattern.view()(x, 11);
        const double first = static_cast<double>(found.offset.view()(15, 11)) - pattern.view()(15, 11);
        worst = std::max(worst, std::abs(rest - first));
    }
    CHECK(worst < 3.0);  // a plane of the pattern's own included
}

TEST_CASE("flat field: a scene that stands still is refused, unless it is said to be flat", "[vision]") {
    const Planted planted = plant();
    const auto still = [](int, int x, int y) { return plant_below(0, x, y); };
    const auto frames = frames_of(still, planted, 40, 8.0);
    CHECK_THAT(refusal(frames, false), Contains("does not move") && Contains("70 % are needed") && Contains("--flat"));
}

TEST_CASE("flat field: too few frames are refused with the reason", "[vision]") {
    const Planted planted = plant();
    const auto frames = frames_of(plant_below, planted, 29, 8.0);
    CHECK_THAT(refusal(frames, false), Contains("29 frames, at least 30") && Contains("square root"));
    CHECK_THAT(refusal({}, false), Contains("0 frames"));
}

TEST_CASE("flat field: a pattern below its uncertainty is refused with the frames that would do", "[vision]") {
    Planted weak = plant();
    for (std::size_t i = 0; i < weak.pattern.pixels().size(); ++i) {
        weak.pattern.pixels()[i] *= 0.3;
        weak.vignetting.pixels()[i] = 0.0;
    }
    const auto frames = frames_of([](int, int, int) { return 30000.0; }, weak, 30, 20.0);
    CHECK_THAT(refusal(frames, true), Contains("frames would do") && Contains("counts of fixed pattern found"));
}

TEST_CASE("flat field: frames of two sizes are refused", "[vision]") {
    const Planted planted = plant();
    auto frames = frames_of(plant_below, planted, 30, 8.0);
    frames.back() = Image<float>(80, 60, 30000.0F);
    CHECK_THAT(refusal(frames, false), Contains("160 x 120") && Contains("80 x 60"));
}

TEST_CASE("flat field: frames without any count are refused", "[vision]") {
    const std::vector<Image<float>> frames(30, Image<float>(16, 12, std::numeric_limits<float>::quiet_NaN()));
    CHECK_THAT(refusal(frames, true), Contains("no pixel holds a count"));
}
