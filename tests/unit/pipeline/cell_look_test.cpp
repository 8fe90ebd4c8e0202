// One hot cell as a camera sees it, with blur and noise: what its pixels say of where the heat is.
#include "cell_look.hpp"

#include "cell_shape.hpp"

#include <catch2/catch.hpp>

#include <cmath>
#include <functional>
#include <random>

using namespace heatrow;
using Catch::Matchers::WithinAbs;

namespace {

using Eigen::Vector2d;

constexpr double kPixel_m = 0.0307;  // cells of 5.2 pixels
constexpr double kBlur_px = 0.5;
constexpr int kCell = 27;  // in the middle of the module

ModuleType full_cells() {
    ModuleType type;
    type.rows = 10;
    type.columns = 6;
    type.width = Metres(0.992);
    type.height = Metres(1.65);
    type.cell_area_left = Metres(0.02);
    type.cell_area_top = Metres(0.025);
    type.cell_area_width = Metres(0.952);
    type.cell_area_height = Metres(1.6);
    type.substring_of_cell.assign(60, 1);
    return type;
}

// Rise in K at a place in a cell, from its middle, m.
using Heat = std::function<double(const Vector2d&)>;

double smooth_step(double distance_m) {
    constexpr double kSpread_m = 0.012;  // heat goes sideways in the sheet
    return 0.5 * std::erfc(-distance_m / (std::sqrt(2.0) * kSpread_m));
}

double box(const Vector2d& at, const Vector2d& half) {
    return (smooth_step(at.x() + half.x()) - smooth_step(at.x() - half.x())) *
           (smooth_step(at.y() + half.y()) - smooth_step(at.y() - half.y()));
}

double whole_cell(const Vector2d& at) {
    return box(at, {0.078, 0.078});
}

Heat evenly() {
    return [](const Vector2d& at) { return 12.0 * whole_cell(at); };
}
Heat one_half() {  // the right one, the rest with its export lost
    return [](const Vector2d& at) {
        return 5.0 * whole_cell(at) + 18.0 * box(at - Vector2d(0.04, 0.0), {0.038, 0.078});
    };
}
Heat point() {
    return [](const Vector2d& at) {
        constexpr double kSpread_m = 0.018;
        const double distance = (at - Vector2d(-0.02, 0.015)).norm() / kSpread_m;
        return 5.0 * whole_cell(at) + 30.0 * std::exp(-0.5 * distance * distance);
    };
}
Heat ribbon() {  // along half of the cell's height, the rest of the cell as it was
    return [](const Vector2d& at) { return 45.0 * box(at - Vector2d(0.026, -0.03), {0.006, 0.04}); };
}

Vector2d middle_of_cell(const ModuleType& type, int cell) {
    const auto corners = type.cell_corners(type.cell_at(cell));
    return 0.5 * (corners[0] + corners[2]);
}

// `heat` over the plane of the module with this corner, from the corner.
Image<float> picture_of_plane(const Heat& heat, const Vector2d& corner_px, int width_px, unsigned seed) {
    Image<float> counts(width_px, 80, 0.0F);
    std::mt19937 generator(seed);
    std::normal_distribution<double> noise(0.0, 0.05);
    constexpr int kReach = 6;  // samples of the blur to either side, half a standard deviation apart
    for (int y = 0; y < counts.height(); ++y) {
        for (int x = 0; x < counts.width(); ++x) {
            double sum = 0.0;
            double weights = 0.0;
            for (int j = -kReach; j <= kReach; ++j) {
                for (int i = -kReach; i <= kReach; ++i) {
                    const Vector2d sigmas = 0.5 * Vector2d(i, j);
                    const double weight = std::exp(-0.5 * sigmas.squaredNorm());
                    const Vector2d at_m = kPixel_m * (Vector2d(x, y) + kBlur_px * sigmas - corner_px);
                    sum += weight * heat(at_m);
                    weights += weight;
                }
            }
            counts.view()(x, y) = static_cast<float>(45.0 + sum / weights + noise(generator));
        }
    }
    return counts;
}

Image<float> picture_of(const ModuleType& type, const Heat& heat, const Vector2d& corner_px, unsigned seed) {
    const Vector2d middle = middle_of_cell(type, kCell);
    return picture_of_plane([&](const Vector2d& at) { return heat(at - middle); }, corner_px, 60, seed);
}

std::array<Vector2d, 4> corners_at(const ModuleType& type, const Vector2d& corner_px) {
    const double right = type.width.value() / kPixel_m;
    const double down = type.height.value() / kPixel_m;
    return {corner_px,
            corner_px + Vector2d(right, 0.0),
            corner_px + Vector2d(right, down),
            corner_px + Vector2d(0.0, down)};
}

// From four views in which the module falls on other places between the pixels.
CellLook look_of(const Heat& heat) {
    const ModuleType type = full_cells();
    std::vector<CellLook> views;
    for (unsigned view = 0; view < 4; ++view) {
        const Vector2d corner_px(12.1 + 0.27 * view, 11.7 + 0.41 * view);
        const auto counts = picture_of(type, heat, corner_px, view + 1);
        const auto look = look_at_cell(std::as_const(counts).view(), {}, type, corners_at(type, corner_px), kCell);
        REQUIRE(look);
        views.push_back(*look);
    }
    return median_look(views);
}

constexpr int kAtRim = 24;  // first column, fifth row
constexpr double kPitch_m = 1.012;
constexpr int kSideBySide = 6;

// Modules side by side with cool rims and gaps, the left one with this heat in a cell at its rim.
CellLook look_at_rim(const Heat& heat) {
    const ModuleType type = full_cells();
    const Vector2d middle = middle_of_cell(type, kAtRim);
    const auto plane = [&](const Vector2d& at) {
        const Vector2d in_module(std::fmod(at.x() + kPitch_m, kPitch_m), at.y());
        const Vector2d half(0.5 * type.cell_area_width.value(), 0.5 * type.cell_area_height.value());
        const Vector2d area_middle = Vector2d(type.cell_area_left.value(), type.cell_area_top.value()) + half;
        return -12.0 * (1.0 - box(in_module - area_middle, half)) + heat(at - middle);
    };
    std::vector<CellLook> views;
    for (unsigned view = 0; view < 4; ++view) {
        const Vector2d corner_px(12.1 + 0.27 * view, 11.7 + 0.41 * view);
        const auto counts = picture_of_plane(plane, corner_px, 230, view + 1);
        std::vector<OutlineCorners> like;
        for (int i = 1; i < kSideBySide; ++i) {
            like.push_back(corners_at(type, corner_px + Vector2d(i * kPitch_m / kPixel_m, 0.0)));
        }
        const auto counts_view = std::as_const(counts).view();
        const auto look = look_at_cell(counts_view, {}, type, corners_at(type, corner_px), kAtRim, like);
        REQUIRE(look);
        views.push_back(*look);
        like.pop_back();
        CHECK_FALSE(look_at_cell(counts_view, {}, type, corners_at(type, corner_px), kAtRim, like));  // too few
    }
    return median_look(views);
}

}  // namespace

TEST_CASE("cell look: whole cell, half a cell, point and ribbon are told apart under blur and noise", "[pipeline]") {
    const std::vector<std::pair<Heat, Pattern>> cases{{evenly(), Pattern::hot_cell},
                                                      {one_half(), Pattern::part_of_cell},
                                                      {point(), Pattern::hot_point},
                                                      {ribbon(), Pattern::cell_interconnect}};
    for (const auto& [heat, pattern] : cases) {
        const CellLook look = look_of(heat);
        const CellShape shape = shape_of(look);
        INFO(to_string(pattern) << ": " << shape.words);
        CHECK(look.views == 4);
        CHECK(shape.pattern == pattern);
        CHECK(shape.probability > 0.8);
    }
}

TEST_CASE("cell look: at a cool rim what like modules show there is taken out", "[pipeline]") {
    const std::vector<std::pair<Heat, Pattern>> cases{
        {evenly(), Pattern::hot_cell}, {one_half(), Pattern::part_of_cell}, {point(), Pattern::hot_point}};
    for (const auto& [heat, pattern] : cases) {
        const CellShape shape = shape_of(look_at_rim(heat));
        INFO(to_string(pattern) << ": " << shape.words);
        CHECK(shape.pattern == pattern);
        CHECK(shape.probability > 0.8);
    }
}

TEST_CASE("cell look: figures of an evenly hot cell and of a half", "[pipeline]") {
    const CellLook even = look_of(evenly());
    CHECK_THAT(even.off_centre, WithinAbs(0.0, 0.03));
    CHECK_THAT(even.across_m, WithinAbs(even.along_m, 0.003));
    CHECK(even.low > 0.8);

    const CellLook half = look_of(one_half());
    CHECK_THAT(half.off_centre, WithinAbs(0.2, 0.07));  // 4 cm of 15.9, less what the cool half weighs
    CHECK(half.across_m < half.along_m);
    CHECK(half.point_ratio > 1.2);
}

TEST_CASE("cell look: none where the cell is cut by the picture or a pixel has no data", "[pipeline]") {
    const ModuleType type = full_cells();
    const Vector2d corner_px(12.1, 11.7);
    Image<float> counts = picture_of(type, evenly(), corner_px, 1);
    const auto look_from = [&](const Vector2d& corner) {
        TemperatureEncoding encoding;
        encoding.nodata = 0.0;
        return look_at_cell(std::as_const(counts).view(), encoding, type, corners_at(type, corner), kCell);
    };
    CHECK(look_from(corner_px));
    CHECK_FALSE(look_from({-20.0, 11.7}));  // the cell's left border at -3 px
    const auto corners = type.cell_corners(type.cell_at(kCell));
    const Vector2d middle_px = corner_px + 0.5 * (corners[0] + corners[2]) / kPixel_m;
    counts.view()(static_cast<int>(middle_px.x()), static_cast<int>(middle_px.y())) = 0.0F;
    CHECK_FALSE(look_from(corner_px));
}
