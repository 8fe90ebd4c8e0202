#include "support/module_field.hpp"

#include <Eigen/Geometry>
#include <Eigen/LU>

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <random>
#include <string>

namespace heatrow::test {

namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

constexpr int kSide = 5;    // sample points a pixel, each way
constexpr int kBorder = 3;  // px of surroundings that the blur reaches into

ModuleType upright_type(bool half_cut) {
    ModuleType type;
    type.id = "test";
    type.width = Metres(0.992);
    type.height = Metres(1.650);
    type.rows = half_cut ? 20 : 10;
    type.columns = 6;
    type.half_cut = half_cut;
    type.cell_area_left = Metres(0.020);
    type.cell_area_top = Metres(0.025);
    type.cell_area_width = Metres(0.952);
    type.cell_area_height = Metres(1.600);
    type.frame_width = Metres(0.011);
    type.substring_of_cell.assign(static_cast<std::size_t>(type.cell_count()), 1);
    return type;
}

struct Face {
    Vector3d origin;
    Vector3d along;  // unit
    Vector3d down;   // unit
    Vector3d normal;
    double width;
    double height;
    Vector2d low;  // box in sample pixels
    Vector2d high;
};

// Level of a point of the plane.
double level_on(const ModuleType& type, int module, double x, double y, const PaintOptions& options) {
    const double rim = type.frame_width.value();
    if (x < rim || y < rim || x > type.width.value() - rim || y > type.height.value() - rim) {
        return options.rim;
    }
    if (!options.cell_excess) {
        return options.glass;
    }
    const double u = (x - type.cell_area_left.value()) / type.cell_area_width.value();
    const double v = (y - type.cell_area_top.value()) / type.cell_area_height.value();
    const int column = std::clamp(static_cast<int>(std::floor(u * type.columns)), 0, type.columns - 1);
    const int row = std::clamp(static_cast<int>(std::floor(v * type.rows)), 0, type.rows - 1);
    return options.glass + options.cell_excess(module, type.cell_number({row, column}));
}

// What the sample points of every pixel see; the picture with kBorder pixels around it, kSide samples a pixel.
Image<float> cast_samples(const Layout& layout, const PosedCamera& camera, const PaintOptions& options) {
    const Lens& lens = camera.lens();
    const int width = (lens.width_px + 2 * kBorder) * kSide;
    const int height = (lens.height_px + 2 * kBorder) * kSide;
    const auto to_pixel = [](int sample) { return (sample + 0.5) / kSide - kBorder - 0.5; };
    Image<Eigen::Vector3f> rays(width, height, Eigen::Vector3f::Zero());
    Image<float> levels(width, height);
    Image<float> nearest(width, height, 1e9F);
    for (int y = 0; y < height; ++y) {
        for (int x = 0; x < width; ++x) {
            const Vector3d ray = camera.ray_in_site({to_pixel(x), to_pixel(y)});
            rays.view()(x, y) = ray.cast<float>();
            const double distance = -camera.position_in_site().z() / ray.z();
            const Vector3d at = camera.position_in_site() + distance * ray;
            levels.view()(x, y) = static_cast<float>(
                options.ground + (options.ground_excess ? options.ground_excess(at.x(), at.y()) : 0.0));
        }
    }
    for (std::size_t i = 0; i < layout.modules.size(); ++i) {
        const Module& module = layout.modules[i];
        const ModuleType& type = layout.type_of(module);
        const auto& corners = module.corners_in_site;
        Vector2d low(1e9, 1e9);
        Vector2d high(-1e9, -1e9);
        bool in_front = true;
        for (const Vector3d& corner : corners) {
            const std::optional<Vector2d> pixel = camera.project(corner);
            in_front = in_front && pixel.has_value();
            if (pixel) {
                low = low.cwiseMin(*pixel);
                high = high.cwiseMax(*pixel);
            }
        }
        if (!in_front) {
            continue;
        }
        const Vector3d along = (corners[1] - corners[0]).normalized();
        const Vector3d down = (corners[3] - corners[0]).normalized();
        const Vector3d normal = along.cross(down);
        const double offset = normal.dot(corners[0] - camera.position_in_site());
        const auto sample_of = [](double pixel, int most) {
            return static_cast<int>(std::clamp((pixel + kBorder + 0.5) * kSide, 0.0, static_cast<double>(most)));
        };
        for (int y = sample_of(low.y() - 2.0, height); y < sample_of(high.y() + 2.0, height); ++y) {
            for (int x = sample_of(low.x() - 2.0, width); x < sample_of(high.x() + 2.0, width); ++x) {
                const Vector3d ray = rays.view()(x, y).cast<double>();
                const double distance = offset / normal.dot(ray);
                if (distance <= 0.0 || distance >= static_cast<double>(nearest.view()(x, y))) {
                    continue;
                }
                const Vector3d from_origin = camera.position_in_site() + distance * ray - corners[0];
                const double u = from_origin.dot(along);
                const double v = from_origin.dot(down);
                if (u >= 0.0 && v >= 0.0 && u <= type.width.value() && v <= type.height.value()) {
                    nearest.view()(x, y) = static_cast<float>(distance);
                    levels.view()(x, y) = static_cast<float>(level_on(type, static_cast<int>(i), u, v, options));
                }
            }
        }
    }
    return levels;
}

std::vector<float> blur_weights(double sigma_px) {
    std::vector<float> weights;
    double sum = 0.0;
    const int half = kBorder * kSide;
    for (int i = -half; i <= half; ++i) {
        const double t = static_cast<double>(i) / kSide;
        weights.push_back(static_cast<float>(std::exp(-0.5 * t * t / (sigma_px * sigma_px))));
        sum += static_cast<double>(weights.back());
    }
    for (float& weight : weights) {
        weight = static_cast<float>(static_cast<double>(weight) / sum);
    }
    return weights;
}

}  // namespace

Layout make_field(const FieldOptions& options) {
    Layout layout;
    layout.types.push_back(upright_type(options.half_cut));
    const ModuleType& type = layout.types.front();
    const double tilt = degrees(options.tilt_deg).value();
    const Vector3d along(1.0, 0.0, 0.0);
    const Vector3d up(0.0, std::cos(tilt), std::sin(tilt));
    const double pitch_along = type.width.value() + options.gap_m;
    const double pitch_up = type.height.value() + options.gap_m;
    for (int row = 0; row < options.rows; ++row) {
        for (int table = 0; table < options.tables_in_row; ++table) {
            const double start = table * (options.modules_along * pitch_along - options.gap_m + options.table_gap_m);
            layout.tables.push_back({"T" + std::to_string(row) + "-" + std::to_string(table), {}});
            for (int i = 0; i < options.modules_up; ++i) {
                for (int j = 0; j < options.modules_along; ++j) {
                    Module module;
                    module.id = layout.tables.back().id + "-" + std::to_string(i) + "-" + std::to_string(j);
                    module.table = static_cast<int>(layout.tables.size()) - 1;
                    module.tilt = degrees(options.tilt_deg);
                    module.azimuth = degrees(180.0);
                    const Vector3d lower_left = Vector3d(start, row * options.row_pitch_m, options.lower_edge_m) +
                                                j * pitch_along * along + i * pitch_up * up;
                    module.corners_in_site = {lower_left + type.height.value() * up,
                                              lower_left + type.height.value() * up + type.width.value() * along,
                                              lower_left + type.width.value() * along,
                                              lower_left};
                    layout.tables.back().modules.push_back(static_cast<int>(layout.modules.size()));
                    layout.modules.push_back(module);
                }
            }
        }
    }
    return layout;
}

Image<float> paint(const Layout& layout, const PosedCamera& camera, const PaintOptions& options) {
    const Image<float> samples = cast_samples(layout, camera, options);
    const Lens& lens = camera.lens();
    const std::vector<float> weights = blur_weights(options.blur_sigma_px);
    const int half = kBorder * kSide;
    // Blur along x at the pixels' columns, then along y at their rows.
    Image<float> across(lens.width_px, samples.height());
    for (int y = 0; y < samples.height(); ++y) {
        for (int x = 0; x < lens.width_px; ++x) {
            const int middle = (x + kBorder) * kSide + kSide / 2;
            float sum = 0.0F;
            for (int i = -half; i <= half; ++i) {
                sum += weights[static_cast<std::size_t>(i + half)] * samples.view()(middle + i, y);
            }
            across.view()(x, y) = sum;
        }
    }
    Image<float> counts(lens.width_px, lens.height_px);
    std::mt19937_64 engine(options.seed);
    std::normal_distribution<double> normal;
    for (int y = 0; y < lens.height_px; ++y) {
        for (int x = 0; x < lens.width_px; ++x) {
            const int middle = (y + kBorder) * kSide + kSide / 2;
            float sum = 0.0F;
            for (int i = -half; i <= half; ++i) {
                sum += weights[static_cast<std::size_t>(i + half)] * across.view()(x, middle + i);
            }
            const double noisy =
                static_cast<double>(sum) + (options.noise > 0.0 ? options.noise * normal(engine) : 0.0);
            counts.view()(x, y) = static_cast<float>(std::round(noisy));
        }
    }
    return counts;
}

Lens small_lens() {
    Lens lens;
    lens.width_px = 320;
    lens.height_px = 256;
    lens.focal_px = 17.0 / 0.03;
    lens.principal_point_px = {159.5, 127.5};
    return lens;
}

FramePose looking_down(double east, double north, double height_m) {
    FramePose pose;
    pose.position_in_site = {east, north, height_m};
    return pose;
}

}  // namespace heatrow::test
