#include "dirt.hpp"

#include "random.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace scene {

Dirt::Dirt(const Eigen::Vector2d& middle, double size_m, std::uint64_t seed)
    : middle_(middle), radius_m_(0.5 * size_m) {
    Random random(seed, Stream::fault_details, 5);
    turn_ = random.uniform(0.0, std::numbers::pi);
    stretch_ = random.uniform(1.0, 1.8);
    opacity_ = random.uniform(0.5, 0.95);
    for (std::size_t i = 0; i < kWaves; ++i) {
        amplitude_[i] = 0.3 * random.uniform() / (1.0 + 0.5 * static_cast<double>(i));
        phase_[i] = random.uniform(0.0, 2.0 * std::numbers::pi);
    }
}

double Dirt::cover(double x, double y) const {
    const Eigen::Vector2d from = Eigen::Vector2d(x, y) - middle_;
    const double along = (from.x() * std::cos(turn_) + from.y() * std::sin(turn_)) / stretch_;
    const double across = from.y() * std::cos(turn_) - from.x() * std::sin(turn_);
    const double angle = std::atan2(across, along);
    double edge = 1.0;
    for (std::size_t i = 0; i < kWaves; ++i) {
        edge += amplitude_[i] * std::sin(static_cast<double>(2 + i) * angle + phase_[i]);
    }
    return opacity_ * std::clamp((edge * radius_m_ - std::hypot(along, across)) / 0.02 + 0.5, 0.0, 1.0);
}

std::vector<double> Dirt::light_on_cells(const PanelType& type) const {
    constexpr int kPoints = 12;
    std::vector<double> kept;
    for (int cell = 0; cell < type.cell_count(); ++cell) {
        const auto box = type.cell_box(cell);
        double covered = 0.0;
        for (int iy = 0; iy < kPoints; ++iy) {
            for (int ix = 0; ix < kPoints; ++ix) {
                covered += cover(box.left + (ix + 0.5) / kPoints * (box.right - box.left),
                                 box.top + (iy + 0.5) / kPoints * (box.bottom - box.top));
            }
        }
        kept.push_back(1.0 - covered / (kPoints * kPoints));
    }
    return kept;
}

}  // namespace scene
