#include "ground.hpp"

#include "random.hpp"
#include "smooth_noise.hpp"

#include <tbb/parallel_for.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace scene {
namespace {

// Is the point inside the four-sided figure, its corners in turn?
bool inside(const std::array<Eigen::Vector2d, 4>& figure, const Eigen::Vector2d& point) {
    int left = 0;
    for (std::size_t i = 0; i < 4; ++i) {
        const Eigen::Vector2d edge = figure[(i + 1) % 4] - figure[i];
        const Eigen::Vector2d to = point - figure[i];
        left += edge.x() * to.y() - edge.y() * to.x() >= 0.0 ? 1 : 0;
    }
    return left == 0 || left == 4;
}

}  // namespace

Ground::Ground(const SceneSpec& scene, const Plant& plant, std::uint64_t seed)
    : terrain_(scene.terrain), beyond_(scene.ground.above_air_k) {
    constexpr double kMargin = 25.0;
    constexpr double kMostNodes = 8e6;
    Eigen::Vector2d low(1e9, 1e9);
    Eigen::Vector2d high(-1e9, -1e9);
    for (const PanelTable& table : plant.tables) {
        for (const double u : {0.0, table.face.width_m}) {
            for (const double v : {0.0, table.face.height_m}) {
                const Eigen::Vector2d at = table.face.at(u, v).head<2>();
                low = low.cwiseMin(at);
                high = high.cwiseMax(at);
            }
        }
    }
    const Eigen::Vector2d size = high - low + Eigen::Vector2d::Constant(2.0 * kMargin);
    node_ = std::max(0.05, std::sqrt(size.x() * size.y() / kMostNodes));
    west_ = low.x() - kMargin;
    south_ = low.y() - kMargin;
    nx_ = static_cast<int>(size.x() / node_) + 1;
    ny_ = static_cast<int>(size.y() / node_) + 1;
    values_.assign(static_cast<std::size_t>(nx_) * static_cast<std::size_t>(ny_), static_cast<float>(beyond_));
    add_texture(scene.ground, seed);
    add_shade(scene, plant);
    for (const DecoySpec& decoy : scene.decoys) {
        if (decoy.kind != "box") {  // boxes stand up: they are slabs
            add_decoy(decoy, seed);
        }
    }
}

void Ground::add_texture(const GroundSpec& spec, std::uint64_t seed) {
    const std::uint64_t base = Random(seed, Stream::ground).bits();
    // Patches of metres, tufts of decimetres; the weights give about the stated standard deviation.
    constexpr std::array<std::pair<double, double>, 3> kOctaves{{{4.0, 1.4}, {0.9, 1.1}, {0.2, 0.8}}};
    tbb::parallel_for(0, ny_, [&](int iy) {
        for (int ix = 0; ix < nx_; ++ix) {
            double sum = 0.0;
            std::uint64_t octave = 0;
            for (const auto& [length, weight] : kOctaves) {
                sum += weight * smooth_noise(base + octave++, ix * node_ / length, iy * node_ / length);
            }
            values_[static_cast<std::size_t>(iy) * static_cast<std::size_t>(nx_) + static_cast<std::size_t>(ix)] +=
                static_cast<float>(spec.texture_k * sum);
        }
    });
}

void Ground::add_shade(const SceneSpec& scene, const Plant& plant) {
    const double azimuth = scene.sky.sun_azimuth_deg * std::numbers::pi / 180.0;
    const double cot = 1.0 / std::tan(std::max(5.0, scene.sky.sun_elevation_deg) * std::numbers::pi / 180.0);
    const Eigen::Vector2d away(-std::sin(azimuth) * cot, -std::cos(azimuth) * cot);  // shadow of one metre of height
    std::vector<float> shade(values_.size(), 0.0F);
    for (const PanelTable& table : plant.tables) {
        const auto fall = [&](double u, double v) {
            const Eigen::Vector3d at = table.face.at(u, v);
            return Eigen::Vector2d(meet(at, {away.x(), away.y(), -1.0}).head<2>());
        };
        const double w = table.face.width_m;
        const double h = table.face.height_m;
        const std::array<Eigen::Vector2d, 4> figure{fall(0, 0), fall(w, 0), fall(w, h), fall(0, h)};
        Eigen::Vector2d low = figure[0];
        Eigen::Vector2d high = figure[0];
        for (const auto& corner : figure) {
            low = low.cwiseMin(corner);
            high = high.cwiseMax(corner);
        }
        const int x0 = std::max(0, static_cast<int>((low.x() - west_) / node_));
        const int x1 = std::min(nx_ - 1, static_cast<int>((high.x() - west_) / node_) + 1);
        const int y0 = std::max(0, static_cast<int>((low.y() - south_) / node_));
        const int y1 = std::min(ny_ - 1, static_cast<int>((high.y() - south_) / node_) + 1);
        for (int iy = y0; iy <= y1; ++iy) {
            for (int ix = x0; ix <= x1; ++ix) {
                if (inside(figure, {west_ + ix * node_, south_ + iy * node_})) {
                    shade[static_cast<std::size_t>(iy) * static_cast<std::size_t>(nx_) + static_cast<std::size_t>(ix)] =
                        1.0F;
                }
            }
        }
    }
    // Soil conducts: the shade has soft edges of about 20 cm (two passes of a running mean each way).
    const int reach = std::max(1, static_cast<int>(std::lround(0.15 / node_)));
    const auto soften = [reach](float* line, int count, std::ptrdiff_t stride) {
        std::vector<double> sums(static_cast<std::size_t>(count) + 1, 0.0);
        for (int i = 0; i < count; ++i) {
            sums[static_cast<std::size_t>(i) + 1] =
                sums[static_cast<std::size_t>(i)] + static_cast<double>(line[i * stride]);
        }
        for (int i = 0; i < count; ++i) {
            const int from = std::max(0, i - reach);
            const int to = std::min(count, i + reach + 1);
            line[i * stride] = static_cast<float>(
                (sums[static_cast<std::size_t>(to)] - sums[static_cast<std::size_t>(from)]) / (to - from));
        }
    };
    for (int pass = 0; pass < 2; ++pass) {
        tbb::parallel_for(
            0, ny_, [&](int iy) { soften(shade.data() + static_cast<std::ptrdiff_t>(iy) * nx_, nx_, 1); });
        tbb::parallel_for(0, nx_, [&](int ix) { soften(shade.data() + ix, ny_, nx_); });
    }
    for (std::size_t i = 0; i < values_.size(); ++i) {
        values_[i] -= static_cast<float>(scene.ground.shade_k) * shade[i];
    }
}

void Ground::add_decoy(const DecoySpec& decoy, std::uint64_t seed) {
    const std::uint64_t base = Random(seed, Stream::ground, 1).bits();
    const bool animal = decoy.kind == "animal";
    const double length = decoy.size_m;  // along a slanting axis
    const double width = animal ? 0.45 * length : length;
    const Eigen::Vector2d axis = Eigen::Vector2d(2.0, 1.0).normalized();
    for (int iy = 0; iy < ny_; ++iy) {
        for (int ix = 0; ix < nx_; ++ix) {
            const Eigen::Vector2d d(west_ + ix * node_ - decoy.position_m.x(),
                                    south_ + iy * node_ - decoy.position_m.y());
            if (d.squaredNorm() > length * length) {
                continue;
            }
            const double along = d.dot(axis) / (0.5 * length);
            const double across = (d.y() * axis.x() - d.x() * axis.y()) / (0.5 * width);
            const double r = std::sqrt(along * along + across * across);
            // An animal is round and even; gravel is ragged and mottled.
            const double ragged = animal ? 0.0 : 0.25 * smooth_noise(base, d.x() / 0.3, d.y() / 0.3);
            const double share = std::clamp((1.0 + ragged - r) / 0.25, 0.0, 1.0);
            const double mottle = animal ? 1.0 : 1.0 + 0.25 * smooth_noise(base + 1, d.x() / 0.08, d.y() / 0.08);
            float& value =
                values_[static_cast<std::size_t>(iy) * static_cast<std::size_t>(nx_) + static_cast<std::size_t>(ix)];
            value += static_cast<float>(share) * (static_cast<float>(decoy.above_air_k * mottle) - value);
        }
    }
}

}  // namespace scene
