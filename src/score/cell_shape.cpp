#include "cell_shape.hpp"

#include "evidence_text.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

namespace heatrow {
namespace {

// Where the figures turn, and the width over which their odds do: from whole cells of 5 px under a blur of 0.5 px,
// seeds 1 to 12 of tests/scenes/patterns.
struct Turn {
    double at;
    double width;
    [[nodiscard]] double probability_above(double figure) const {
        return 1.0 / (1.0 + std::exp((at - figure) / width));
    }
};
// Evenly hot cells: close to the hottest pixel on average, and nowhere in the middle much cooler. fill + low.
constexpr Turn kEven{1.24, 0.02};
// A part fills more of the cell than a point or a line, or lies to one side. fill + off_centre / 2.
constexpr Turn kPart{0.533, 0.012};
// A line along the ribbons: its core is longer along the columns than across them. along / across.
constexpr Turn kLine{1.15, 0.03};

constexpr double kEvenFill = 0.75;  // fill of evenly hot cells, of the same seeds

// What three pixels see over the cell's mean, both through blur and as the pixels fall, against the same of the true
// temperatures on those seeds: 1.01 +/- 0.04 for parts, 1.02 +/- 0.11 for points, 1.07 +/- 0.14 for lines.
constexpr double kPartRatio_u = 0.05;
constexpr double kPointRatio_u = 0.13;

std::string words_of(Pattern pattern) {
    switch (pattern) {
        case Pattern::cell_interconnect:
            return "a line along the ribbons";
        case Pattern::part_of_cell:
            return "a part of the cell";
        case Pattern::hot_point:
            return "a point";
        default:
            return "evenly hot";
    }
}

}  // namespace

const CellLook* look_at(const ModuleState& module, const Profile& profile, int cell, double rise_k) {
    constexpr double kWholeAspect = 1.3;  // of a cell's sides; halves have 2
    constexpr int kFewestViews = 2;
    const auto corners = module.type->cell_corners(module.type->cell_at(cell));
    const Eigen::Vector2d side = corners[2] - corners[0];
    const auto& looks = module.input->looks;
    const auto found =
        std::find_if(looks.begin(), looks.end(), [&](const CellLook& look) { return look.cell == cell; });
    const bool serves = found != looks.end() && found->views >= kFewestViews &&
                        module.type->technology == ModuleType::Technology::crystalline &&
                        side.maxCoeff() <= kWholeAspect * side.minCoeff();
    // What healthy cells differ by is in the pixels, and shapes a weakly warm cell: its hottest pixel must stand out as
    // that of an evenly hot cell does.
    return serves && rise_k / found->fill >= profile.shape_least_k.value / kEvenFill ? &*found : nullptr;
}

CellShape shape_of(const CellLook& look) {
    const double even = kEven.probability_above(look.fill + look.low);
    const double part = (1.0 - even) * kPart.probability_above(look.fill + 0.5 * look.off_centre);
    const double line = (1.0 - even - part) * kLine.probability_above(look.along_m / look.across_m);
    std::array<std::pair<double, Pattern>, 4> shapes{std::pair(even, Pattern::hot_cell),
                                                     std::pair(part, Pattern::part_of_cell),
                                                     std::pair(line, Pattern::cell_interconnect),
                                                     std::pair(1.0 - even - part - line, Pattern::hot_point)};
    std::stable_sort(shapes.begin(), shapes.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
    CellShape shape;
    shape.pattern = shapes[0].second;
    shape.second = shapes[1].second;
    shape.probability = shapes[0].first;
    shape.point_ratio = look.point_ratio;
    shape.point_ratio_u = (shape.pattern == Pattern::part_of_cell ? kPartRatio_u : kPointRatio_u) * look.point_ratio;
    shape.words = words_of(shape.pattern) + " by its pixels: on average " + number_words(100.0 * look.fill, 0) +
                  " % of the hottest one, in its coolest part " + number_words(100.0 * look.low, 0) +
                  " %, the hot core " + number_words(100.0 * look.along_m, 1) + " cm wide along and " +
                  number_words(100.0 * look.across_m, 1) + " cm across the ribbons, its middle " +
                  number_words(100.0 * look.off_centre, 0) + " % of a side off (" + count_words(look.views, "view") +
                  ")";
    return shape;
}

}  // namespace heatrow
