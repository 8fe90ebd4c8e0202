#include "cell_look.hpp"

#include "heatrow/core/homography.hpp"
#include "heatrow/core/median.hpp"

#include <Eigen/Geometry>

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

using Eigen::Vector2d;

// Reach of the areas around the middle of a cell, in its sides.
constexpr double kInside = 0.4;
constexpr double kCell = 0.5;
constexpr double kHeat = 0.85;  // with what blur carries over the border
constexpr double kRingFrom = 1.0;
constexpr double kRingTo = 2.0;
// Of the hottest pixel: less is taken for the surroundings', and less for what blur, motion and a cell that exports
// nothing add around a core.
constexpr double kFloor = 0.12;
constexpr double kCoreFloor = 0.5;
constexpr double kLowShare = 0.15;  // of the inner pixels are cooler than `CellLook::low`
constexpr std::size_t kFewestPixels = 16;

struct CellPixel {
    Vector2d at;          // from the middle of the cell, in its sides
    Vector2d in_plane_m;  // of the module
    double rise_k = 0.0;
    double template_k = 0.0;  // of what was taken out of it
    int x = 0;
    int y = 0;
    [[nodiscard]] double reach() const { return at.cwiseAbs().maxCoeff(); }
};

// The pixels of the cell and around it, above the median of a ring that reaches from the middle of the cells beside it
// to the middle of those behind.
struct CellPixels {
    std::vector<CellPixel> near;  // up to kHeat
    double base_c = kNaN;
    double hottest_k = 0.0;
    Vector2d side_m;
};

std::optional<Eigen::Matrix3d> pixel_from_plane_of(const ModuleType& type, const OutlineCorners& corners_px) {
    const double width = type.width.value();
    const double height = type.height.value();
    return homography({{0.0, 0.0}, {width, 0.0}, {width, height}, {0.0, height}},
                      {corners_px.begin(), corners_px.end()});
}

// Between the four pixels around; NaN beyond the picture.
double temperature_at(CountView counts, const TemperatureEncoding& encoding, const Vector2d& at) {
    const int x = static_cast<int>(std::floor(at.x()));
    const int y = static_cast<int>(std::floor(at.y()));
    if (x < 0 || y < 0 || x + 1 >= counts.width() || y + 1 >= counts.height()) {
        return kNaN;
    }
    const auto value = [&](int i, int j) { return exported_temperature(double{counts(i, j)}, encoding).value(); };
    const double right = at.x() - x;
    const double down = at.y() - y;
    return (1.0 - down) * ((1.0 - right) * value(x, y) + right * value(x + 1, y)) +
           down * ((1.0 - right) * value(x, y + 1) + right * value(x + 1, y + 1));
}

// Takes out of each pixel how far the same places of like modules are from their own rings, median over the modules.
void take_out_template(CountView counts,
                       const TemperatureEncoding& encoding,
                       const ModuleType& type,
                       std::span<const OutlineCorners> like,
                       const std::vector<Vector2d>& ring_m,
                       std::vector<CellPixel>& pixels) {
    std::vector<std::vector<double>> differences_k(pixels.size());
    for (const OutlineCorners& corners_px : like) {
        const auto pixel_from_plane = pixel_from_plane_of(type, corners_px);
        if (!pixel_from_plane) {
            continue;
        }
        const auto seen_at = [&](const Vector2d& in_plane) {
            return temperature_at(counts, encoding, (*pixel_from_plane * in_plane.homogeneous()).hnormalized());
        };
        std::vector<double> ring_c;
        for (const Vector2d& in_plane : ring_m) {
            ring_c.push_back(seen_at(in_plane));
        }
        const double base_c = take_median(ring_c);
        for (std::size_t i = 0; i < pixels.size(); ++i) {
            differences_k[i].push_back(seen_at(pixels[i].in_plane_m) - base_c);
        }
    }
    for (std::size_t i = 0; i < pixels.size(); ++i) {
        pixels[i].template_k = take_median(differences_k[i]);
    }
}

// Leaves out what lies beyond the cells, rims and the ground between modules, and across the cell from there, so that
// the middle of the heat of an evenly hot cell stays in its middle.
std::optional<CellPixels> pixels_around(CountView counts,
                                        const TemperatureEncoding& encoding,
                                        const ModuleType& type,
                                        const OutlineCorners& corners_px,
                                        int cell,
                                        std::span<const OutlineCorners> like) {
    const auto pixel_from_plane = pixel_from_plane_of(type, corners_px);
    if (!pixel_from_plane) {
        return std::nullopt;
    }
    const Eigen::Matrix3d plane_from_pixel = pixel_from_plane->inverse();
    const auto corners = type.cell_corners(type.cell_at(cell));
    const Vector2d middle = 0.5 * (corners[0] + corners[2]);
    CellPixels pixels;
    pixels.side_m = corners[2] - corners[0];
    Eigen::AlignedBox2d reach_px;
    for (const double right : {-kRingTo, kRingTo}) {
        for (const double down : {-kRingTo, kRingTo}) {
            const Vector2d corner = middle + pixels.side_m.cwiseProduct(Vector2d(right, down));
            reach_px.extend((*pixel_from_plane * corner.homogeneous()).hnormalized());
        }
    }
    const Vector2d cells_low(type.cell_area_left.value(), type.cell_area_top.value());
    const Vector2d cells_size(type.cell_area_width.value(), (type.cell_area_height + type.middle_gap).value());
    const Eigen::AlignedBox2d cells(cells_low, cells_low + cells_size);
    // A pixel short of the picture's edge, so that 3 x 3 fit around each.
    const int left = std::max(1, static_cast<int>(std::floor(reach_px.min().x())));
    const int top = std::max(1, static_cast<int>(std::floor(reach_px.min().y())));
    const int right = std::min(counts.width() - 2, static_cast<int>(std::ceil(reach_px.max().x())));
    const int bottom = std::min(counts.height() - 2, static_cast<int>(std::ceil(reach_px.max().y())));
    const Eigen::AlignedBox2d picture(Vector2d(1.0, 1.0), Vector2d(counts.width() - 2, counts.height() - 2));
    for (const Vector2d& corner : corners) {
        if (!picture.contains((*pixel_from_plane * corner.homogeneous()).hnormalized())) {
            return std::nullopt;
        }
    }
    std::vector<double> ring;
    std::vector<Vector2d> ring_m;
    for (int y = top; y <= bottom; ++y) {
        for (int x = left; x <= right; ++x) {
            const Vector2d in_plane = (plane_from_pixel * Eigen::Vector3d(x, y, 1.0)).hnormalized();
            if (!cells.contains(in_plane)) {
                continue;
            }
            const double value = exported_temperature(double{counts(x, y)}, encoding).value();
            const CellPixel pixel{(in_plane - middle).cwiseQuotient(pixels.side_m), in_plane, value, 0.0, x, y};
            if (pixel.reach() < kHeat && cells.contains(2.0 * middle - in_plane)) {
                pixels.near.push_back(pixel);
            } else if (pixel.reach() > kRingFrom && pixel.reach() < kRingTo) {
                ring.push_back(value);
                ring_m.push_back(in_plane);
            }
        }
    }
    if (pixels.near.size() < kFewestPixels || ring.size() < kFewestPixels) {
        return std::nullopt;
    }
    pixels.base_c = take_median(ring);
    if (like.size() >= kFewestLike) {
        take_out_template(counts, encoding, type, like, ring_m, pixels.near);
    }
    for (CellPixel& pixel : pixels.near) {
        pixel.rise_k -= pixels.base_c + pixel.template_k;
        if (!std::isfinite(pixel.rise_k)) {
            return std::nullopt;
        }
        pixels.hottest_k = std::max(pixels.hottest_k, pixel.rise_k);
    }
    return pixels;
}

double mean_around_c(CountView counts, const TemperatureEncoding& encoding, const CellPixel& pixel) {
    double sum = 0.0;
    for (int dy = -1; dy <= 1; ++dy) {
        for (int dx = -1; dx <= 1; ++dx) {
            sum += exported_temperature(double{counts(pixel.x + dx, pixel.y + dy)}, encoding).value();
        }
    }
    return sum / 9.0;
}

struct Heat {
    Vector2d centre = Vector2d::Zero();  // as CellPixel::at
    Vector2d spread = Vector2d::Zero();  // standard deviation, in sides
};

// Of what pixels rise above this floor. NaN where none does.
Heat heat_above(const std::vector<CellPixel>& pixels, double floor_k) {
    Heat heat;
    double sum = 0.0;
    Vector2d squares = Vector2d::Zero();
    for (const CellPixel& pixel : pixels) {
        const double weight = std::max(0.0, pixel.rise_k - floor_k);
        sum += weight;
        heat.centre += weight * pixel.at;
        squares += weight * pixel.at.cwiseAbs2();
    }
    heat.centre /= sum;
    heat.spread = (squares / sum - heat.centre.cwiseAbs2()).cwiseMax(0.0).cwiseSqrt();
    return heat;
}

}  // namespace

std::optional<CellLook> look_at_cell(CountView counts,
                                     const TemperatureEncoding& encoding,
                                     const ModuleType& type,
                                     const OutlineCorners& corners_px,
                                     int cell,
                                     std::span<const OutlineCorners> like) {
    const CellIndex place = type.cell_at(cell);
    const bool at_rim =
        place.row == 0 || place.column == 0 || place.row + 1 == type.rows || place.column + 1 == type.columns;
    if (at_rim && like.size() < kFewestLike) {
        return std::nullopt;
    }
    const auto pixels = pixels_around(counts, encoding, type, corners_px, cell, like);
    if (!pixels) {
        return std::nullopt;
    }
    const Heat all = heat_above(pixels->near, kFloor * pixels->hottest_k);
    const Heat core = heat_above(pixels->near, kCoreFloor * pixels->hottest_k);
    double sum_k = 0.0;
    int count = 0;
    double hottest_3x3_k = 0.0;
    std::vector<double> inner;
    for (const CellPixel& pixel : pixels->near) {
        if (pixel.reach() < kInside) {
            inner.push_back(pixel.rise_k);
        }
        if (pixel.reach() < kCell) {
            sum_k += pixel.rise_k;
            ++count;
            hottest_3x3_k =
                std::fmax(hottest_3x3_k, mean_around_c(counts, encoding, pixel) - pixels->base_c - pixel.template_k);
        }
    }
    if (!(pixels->hottest_k > 0.0) || !(sum_k > 0.0) || inner.empty()) {
        return std::nullopt;
    }
    const auto low = inner.begin() + static_cast<std::ptrdiff_t>(kLowShare * static_cast<double>(inner.size() - 1));
    std::nth_element(inner.begin(), low, inner.end());
    const double mean_k = sum_k / count;
    CellLook look;
    look.cell = cell;
    look.fill = mean_k / pixels->hottest_k;
    look.low = *low / pixels->hottest_k;
    look.across_m = core.spread.x() * pixels->side_m.x();
    look.along_m = core.spread.y() * pixels->side_m.y();
    look.off_centre = all.centre.norm();
    look.point_ratio = hottest_3x3_k / mean_k;
    look.views = 1;
    return look;
}

CellLook median_look(const std::vector<CellLook>& views) {
    CellLook look;
    look.cell = views.front().cell;
    look.views = static_cast<int>(views.size());
    for (const auto figure : {&CellLook::fill,
                              &CellLook::low,
                              &CellLook::across_m,
                              &CellLook::along_m,
                              &CellLook::off_centre,
                              &CellLook::point_ratio}) {
        std::vector<double> values;
        for (const CellLook& view : views) {
            values.push_back(view.*figure);
        }
        look.*figure = take_median(values);
    }
    return look;
}

}  // namespace heatrow
