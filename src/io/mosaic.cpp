#include "heatrow/io/mosaic.hpp"

#include "gdal_guard.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/io/site_crs.hpp"
#include "heatrow/io/site_projection.hpp"

#include <Eigen/Geometry>
#include <Eigen/LU>
#include <fmt/format.h>
#include <gdal_priv.h>
#include <ogr_spatialref.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace heatrow {
namespace {

using Eigen::Matrix2d;
using Eigen::Vector2d;
using Eigen::Vector3d;

constexpr std::string_view kFailed = "cannot use the orthomosaic";
constexpr const char* kDrivers[] = {"GTiff", nullptr};
constexpr int kTilePx = 640;
constexpr double kSquare = 0.01;  // the sides of a pixel agree to this share, and its corners are right to this (rad)

[[noreturn]] void fail(const std::filesystem::path& file, const std::string& why, const std::string& remedy) {
    throw Error(ErrorKind::input, kFailed, file.string(), why, remedy);
}

struct Raster {
    int width = 0;
    int height = 0;
    std::array<double, 6> map_from_pixel{};
    std::string crs;
    std::optional<double> nodata;
};

Raster read_head(const std::filesystem::path& file) {
    const detail::GdalGuard gdal;
    if (!std::filesystem::exists(file)) {
        fail(file, "no such file", "Correct frames.mosaic in survey.toml");
    }
    const GDALDatasetUniquePtr dataset(
        GDALDataset::Open(file.c_str(), GDAL_OF_RASTER | GDAL_OF_READONLY, kDrivers, nullptr, nullptr));
    if (!dataset) {
        fail(file, gdal.why("it is no GeoTIFF that can be read"), "Export the orthomosaic as a GeoTIFF");
    }
    if (dataset->GetRasterCount() != 1) {
        fail(file,
             fmt::format("it has {} bands", dataset->GetRasterCount()),
             "Export the temperatures as a single band, no picture of colours");
    }
    Raster raster;
    raster.width = dataset->GetRasterXSize();
    raster.height = dataset->GetRasterYSize();
    if (dataset->GetGeoTransform(raster.map_from_pixel.data()) != CE_None) {
        fail(file, "it does not say where on earth it lies", "Export it with its georeference");
    }
    const OGRSpatialReference* crs = dataset->GetSpatialRef();
    if (crs == nullptr) {
        fail(file, "it has no coordinate reference system", "Export it with its CRS");
    }
    char* text = nullptr;
    const char* const options[] = {"FORMAT=WKT2_2019", nullptr};
    crs->exportToWkt(&text, options);
    raster.crs = text != nullptr ? text : "";
    CPLFree(text);
    int has_nodata = 0;
    const double nodata = dataset->GetRasterBand(1)->GetNoDataValue(&has_nodata);
    if (has_nodata != 0) {
        raster.nodata = nodata;
    }
    return raster;
}

// Pixels to site metres, to the east and north.
class Ground {
  public:
    Ground(const Raster& raster, const std::filesystem::path& file, const Layout& layout)
        : raster_(raster),
          file_(file.filename().string()),
          projection_(layout.origin),
          crs_(raster.crs, projection_, std::string(kFailed), "frames.mosaic"),
          height_(layout.origin.height) {}

    [[nodiscard]] Vector2d at(const Vector2d& pixel) const {
        // The raster counts from the outer corner of its first pixel.
        const double column = pixel.x() + 0.5;
        const double row = pixel.y() + 0.5;
        const std::array<double, 6>& m = raster_.map_from_pixel;
        return crs_
            .to_site(m[0] + column * m[1] + row * m[2], m[3] + column * m[4] + row * m[5], height_, file_)
            .head<2>();
    }
    // About a pixel: metres to the east and north (rows) for a pixel to the right and down (columns).
    [[nodiscard]] Matrix2d metres_by_pixel(const Vector2d& pixel) const {
        constexpr double kStep = 100.0;
        const Vector2d here = at(pixel);
        Matrix2d m;
        m.col(0) = (at(pixel + Vector2d(kStep, 0.0)) - here) / kStep;
        m.col(1) = (at(pixel + Vector2d(0.0, kStep)) - here) / kStep;
        return m;
    }

  private:
    const Raster& raster_;
    std::string file_;
    SiteProjection projection_;
    SiteCrs crs_;
    Metres height_;
};

void require_square_pixels(const std::filesystem::path& file, const Matrix2d& metres_by_pixel) {
    const double across = metres_by_pixel.col(0).norm();
    const double down = metres_by_pixel.col(1).norm();
    if (!(across > 0.0 && down > 0.0) || std::abs(across / down - 1.0) > kSquare ||
        std::abs(metres_by_pixel.col(0).dot(metres_by_pixel.col(1))) > kSquare * across * down) {
        fail(file,
             fmt::format("its pixels are no squares: {:.4f} m to the right, {:.4f} m down", across, down),
             "Export it in a projected CRS (UTM, a national grid) with square pixels, not in degrees");
    }
    if (metres_by_pixel.determinant() > 0.0) {
        fail(file, "it is mirrored", "Export it with rows that run downwards");
    }
}

// Tiles along one side of the raster.
struct Stretch {
    int from = 0;
    double own_from = 0.0;  // px of the raster
    double own_to = 0.0;
};
std::vector<Stretch> cut(int length, int tile, int overlap) {
    const int last = length - tile;
    std::vector<Stretch> stretches;
    for (int from = 0;; from += tile - overlap) {
        stretches.push_back({std::min(from, last)});
        if (from >= last) {
            break;
        }
    }
    stretches.front().own_from = -std::numeric_limits<double>::infinity();
    stretches.back().own_to = std::numeric_limits<double>::infinity();
    for (std::size_t i = 0; i + 1 < stretches.size(); ++i) {
        // The middle of what two tiles share.
        const double border = 0.5 * (stretches[i].from + tile - 1 + stretches[i + 1].from);
        stretches[i].own_to = border;
        stretches[i + 1].own_from = border;
    }
    return stretches;
}

double longest_diagonal_m(const Layout& layout) {
    double longest = 0.0;
    for (const ModuleType& type : layout.types) {
        longest = std::max(longest, std::hypot(type.width.value(), type.height.value()));
    }
    return longest;
}

// Of the modules' centres, the place in the raster, px.
std::vector<Vector2d> module_pixels(const Raster& raster, const Ground& ground, const Layout& layout) {
    const Vector2d middle(0.5 * (raster.width - 1), 0.5 * (raster.height - 1));
    const Vector2d middle_in_site = ground.at(middle);
    const Matrix2d pixel_by_metres = ground.metres_by_pixel(middle).inverse();
    std::vector<Vector2d> pixels;
    for (const Module& module : layout.modules) {
        pixels.emplace_back(middle + pixel_by_metres * (module.centre_in_site().head<2>() - middle_in_site));
    }
    return pixels;
}

double mean_height_m(const Layout& layout) {
    double sum = 0.0;
    for (const Module& module : layout.modules) {
        sum += module.centre_in_site().z();
    }
    return sum / static_cast<double>(layout.modules.size());
}

}  // namespace

bool Mosaic::is_own(std::size_t tile, const Vector2d& centre_px) const {
    const MosaicTile& own = tiles[tile];
    return (centre_px.array() >= own.own_from.array()).all() && (centre_px.array() < own.own_to.array()).all();
}

Mosaic plan_mosaic(const std::filesystem::path& file, const Layout& layout, double reach_m) {
    const Raster raster = read_head(file);
    const Ground ground(raster, file, layout);
    const Matrix2d metres_by_pixel = ground.metres_by_pixel({0.5 * (raster.width - 1), 0.5 * (raster.height - 1)});
    require_square_pixels(file, metres_by_pixel);
    Mosaic mosaic;
    mosaic.nodata = raster.nodata;
    mosaic.pixel_m = std::sqrt(std::abs(metres_by_pixel.determinant()));
    // A module whose middle lies in a tile's own part must lie wholly in the tile; more overlap ties tiles better.
    const int margin = static_cast<int>(std::ceil((0.5 * longest_diagonal_m(layout) + 0.5) / mosaic.pixel_m));
    const int side = std::max(kTilePx, 6 * margin);
    Lens& lens = mosaic.lens;
    lens.width_px = std::min(side, raster.width);
    lens.height_px = std::min(side, raster.height);
    lens.focal_px = Mosaic::kHeight_m / mosaic.pixel_m;
    lens.principal_point_px = {0.5 * (lens.width_px - 1), 0.5 * (lens.height_px - 1)};
    const int overlap = std::max(2 * margin, side / 3);
    const double reach_px = reach_m / mosaic.pixel_m + margin;
    const std::vector<Vector2d> modules = module_pixels(raster, ground, layout);
    const double height_m = layout.modules.empty() ? 0.0 : mean_height_m(layout);
    for (const Stretch& down : cut(raster.height, lens.height_px, overlap)) {
        for (const Stretch& across : cut(raster.width, lens.width_px, overlap)) {
            const Vector2d corner(across.from, down.from);
            const Vector2d end = corner + Vector2d(lens.width_px, lens.height_px);
            const bool may_show = std::any_of(modules.begin(), modules.end(), [&](const Vector2d& module) {
                return (module.array() > corner.array() - reach_px).all() &&
                       (module.array() < end.array() + reach_px).all();
            });
            if (!may_show) {
                continue;
            }
            MosaicTile tile;
            tile.window = {across.from, down.from, lens.width_px, lens.height_px};
            const Vector2d middle = corner + lens.principal_point_px;
            tile.pose.position_in_site << ground.at(middle), height_m + Mosaic::kHeight_m;
            const Vector2d top = -ground.metres_by_pixel(middle).col(1);
            tile.pose.yaw = Radians(std::atan2(top.x(), top.y()));
            tile.own_from = Vector2d(across.own_from, down.own_from) - corner;
            tile.own_to = Vector2d(across.own_to, down.own_to) - corner;
            mosaic.files.push_back(
                {fmt::format("{}-x{}-y{}", file.filename().string(), across.from, down.from), file, tile.window, {}});
            mosaic.tiles.push_back(tile);
        }
    }
    if (mosaic.tiles.empty()) {
        const Vector2d middle = ground.at({0.5 * raster.width, 0.5 * raster.height});
        fail(file,
             fmt::format("it shows nothing of the layout: its middle lies {:.0f} m from the nearest module",
                         distance_from_layout(layout, middle)),
             "Check the CRS of the orthomosaic and of the layout");
    }
    return mosaic;
}

}  // namespace heatrow
