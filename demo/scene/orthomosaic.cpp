#include "orthomosaic.hpp"

#include "geographic.hpp"
#include "heatrow/core/error.hpp"
#include "lens.hpp"
#include "output_folder.hpp"

#include <Eigen/Geometry>
#include <Eigen/LU>
#include <gdal_priv.h>
#include <ogr_spatialref.h>
#include <tbb/parallel_for.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <memory>
#include <optional>
#include <string>

namespace scene {
namespace {

using Eigen::Matrix2d;
using Eigen::Vector2d;
using Eigen::Vector3d;

constexpr double kBorder_m = 4.0;

[[noreturn]] void refuse(const std::filesystem::path& file, const std::string& why) {
    throw heatrow::Error(heatrow::ErrorKind::output,
                         "Could not write the orthomosaic",
                         file.string(),
                         why,
                         "Check free space and permissions.");
}

// Site metres to metres of the UTM zone, as one affine map about the origin: a site is small.
struct UtmMap {
    OGRSpatialReference crs;
    Vector2d origin;
    Matrix2d by_metre;

    explicit UtmMap(const SceneSpec& spec) {
        const int zone = static_cast<int>(std::floor((spec.longitude_deg + 180.0) / 6.0)) + 1;
        crs.importFromEPSG((spec.latitude_deg >= 0.0 ? 32600 : 32700) + zone);
        crs.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
        OGRSpatialReference degrees;
        degrees.importFromEPSG(4326);
        degrees.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
        const std::unique_ptr<OGRCoordinateTransformation> to_utm(OGRCreateCoordinateTransformation(&degrees, &crs));
        const Geographic geographic(spec.longitude_deg, spec.latitude_deg);
        const auto at = [&](double east, double north) {
            const LongitudeLatitude place = geographic.from_site(east, north);
            double x = place.longitude_deg;
            double y = place.latitude_deg;
            to_utm->Transform(1, &x, &y);
            return Vector2d(x, y);
        };
        constexpr double kStep_m = 50.0;
        origin = at(0.0, 0.0);
        by_metre.col(0) = (at(kStep_m, 0.0) - origin) / kStep_m;
        by_metre.col(1) = (at(0.0, kStep_m) - origin) / kStep_m;
    }
    [[nodiscard]] Vector2d to_utm(const Vector2d& in_site) const { return origin + by_metre * in_site; }
    [[nodiscard]] Vector2d to_site(const Vector2d& in_utm) const { return by_metre.inverse() * (in_utm - origin); }
};

// Where the raster lies, and what it is wrong by.
class Grid {
  public:
    Grid(const World& world, const UtmMap& map) : map_(map), spec_(*world.spec.mosaic) {
        low_ = Vector2d::Constant(1e300);
        Vector2d high = -low_;
        Vector2d sum = Vector2d::Zero();
        for (int panel = 0; panel < static_cast<int>(world.plant.panels.size()); ++panel) {
            for (const Vector3d& corner : world.plant.corners_in_site(panel)) {
                const Vector2d place = map_.to_utm(corner.head<2>());
                low_ = low_.cwiseMin(place);
                high = high.cwiseMax(place);
                sum += 0.25 * corner.head<2>();
            }
        }
        low_.array() -= kBorder_m + spec_.offset_m.norm();
        high.array() += kBorder_m + spec_.offset_m.norm();
        centre_ = sum / static_cast<double>(world.plant.panels.size());
        turn_ = Eigen::Rotation2Dd(spec_.turn_deg * M_PI / 180.0).toRotationMatrix();
        width_ = static_cast<int>(std::ceil((high.x() - low_.x()) / spec_.pixel_m));
        height_ = static_cast<int>(std::ceil((high.y() - low_.y()) / spec_.pixel_m));
    }

    [[nodiscard]] int width() const { return width_; }
    [[nodiscard]] int height() const { return height_; }
    [[nodiscard]] std::array<double, 6> geotransform() const {
        return {low_.x(), spec_.pixel_m, 0.0, low_.y() + height_ * spec_.pixel_m, 0.0, -spec_.pixel_m};
    }
    // What a pixel shows, site metres, and the reverse.
    [[nodiscard]] Vector2d place_of(const Vector2d& pixel) const {
        const Vector2d in_utm = low_ + spec_.pixel_m * Vector2d(pixel.x() + 0.5, height_ - pixel.y() - 0.5);
        return centre_ + spec_.scale * (turn_ * (map_.to_site(in_utm) - centre_)) + spec_.offset_m;
    }
    [[nodiscard]] Vector2d pixel_of(const Vector2d& place) const {
        const Vector2d said = centre_ + turn_.transpose() * (place - spec_.offset_m - centre_) / spec_.scale;
        const Vector2d steps = (map_.to_utm(said) - low_) / spec_.pixel_m;
        return {steps.x() - 0.5, height_ - steps.y() - 0.5};
    }

  private:
    const UtmMap& map_;
    const MosaicSpec& spec_;
    Vector2d low_;
    Vector2d centre_;
    Matrix2d turn_;
    int width_ = 0;
    int height_ = 0;
};

// The surface over a place: tables as closed planes, since no surface model resolves the gaps between modules; the ground
// is flat, at 0.
Vector3d surface_at(const World& world, const Vector2d& place) {
    double up = 0.0;
    for (const PanelTable& table : world.plant.tables) {
        const Face& face = table.face;
        Matrix2d plan;
        plan << face.right.head<2>(), face.up.head<2>();
        const Vector2d uv = plan.inverse() * (place - face.origin.head<2>());
        if (uv.x() >= 0.0 && uv.y() >= 0.0 && uv.x() <= face.width_m && uv.y() <= face.height_m) {
            up = std::max(up, face.at(uv.x(), uv.y()).z());
        }
    }
    return {place.x(), place.y(), up};
}

// Bilinear; nothing near the border.
std::optional<double> reading_at(const heatrow::Image<float>& readings_c, const Vector2d& pixel) {
    constexpr double kMargin_px = 6.0;
    if (!(pixel.x() >= kMargin_px && pixel.y() >= kMargin_px && pixel.x() < readings_c.width() - 1 - kMargin_px &&
          pixel.y() < readings_c.height() - 1 - kMargin_px)) {
        return std::nullopt;
    }
    const int x = static_cast<int>(pixel.x());
    const int y = static_cast<int>(pixel.y());
    const double u = pixel.x() - x;
    const double v = pixel.y() - y;
    const float* upper = readings_c.view().row(y) + x;
    const float* lower = readings_c.view().row(y + 1) + x;
    return (1.0 - v) * ((1.0 - u) * static_cast<double>(upper[0]) + u * static_cast<double>(upper[1])) +
           v * ((1.0 - u) * static_cast<double>(lower[0]) + u * static_cast<double>(lower[1]));
}

// Of the frame taken nearest to overhead that sees it.
std::optional<double> reading_of(const World& world,
                                 const std::vector<heatrow::Image<float>>& readings_c,
                                 const std::vector<Eigen::Matrix3d>& axes,
                                 const Vector3d& point) {
    std::optional<double> reading;
    double nearest = HUGE_VAL;
    for (std::size_t shot = 0; shot < world.shots.size(); ++shot) {
        const Vector3d& camera = world.shots[shot].pose.position_in_site;
        const double distance = (camera - point).head<2>().norm();
        if (distance >= nearest) {
            continue;
        }
        const auto pixel = pixel_of_point(world.true_camera, axes[shot].transpose() * (point - camera));
        if (const auto found = pixel ? reading_at(readings_c[shot], *pixel) : std::nullopt) {
            reading = found;
            nearest = distance;
        }
    }
    return reading;
}

struct CloseDataset {
    void operator()(GDALDataset* dataset) const { GDALClose(dataset); }
};

void write_raster(const std::filesystem::path& file,
                  const Grid& grid,
                  const UtmMap& map,
                  std::vector<std::uint16_t>& counts) {
    GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("GTiff");
    std::array<std::string, 3> texts{"COMPRESS=DEFLATE", "TILED=YES", "PREDICTOR=2"};
    std::array<char*, 4> options{texts[0].data(), texts[1].data(), texts[2].data(), nullptr};
    std::unique_ptr<GDALDataset, CloseDataset> dataset(
        driver->Create(file.c_str(), grid.width(), grid.height(), 1, GDT_UInt16, options.data()));
    if (!dataset) {
        refuse(file, CPLGetLastErrorMsg());
    }
    std::array<double, 6> transform = grid.geotransform();
    dataset->SetGeoTransform(transform.data());
    dataset->SetSpatialRef(&map.crs);
    dataset->GetRasterBand(1)->SetNoDataValue(0.0);
    if (dataset->GetRasterBand(1)->RasterIO(GF_Write,
                                            0,
                                            0,
                                            grid.width(),
                                            grid.height(),
                                            counts.data(),
                                            grid.width(),
                                            grid.height(),
                                            GDT_UInt16,
                                            0,
                                            0,
                                            nullptr) != CE_None) {
        refuse(file, CPLGetLastErrorMsg());
    }
    dataset.reset();
    if (CPLGetLastErrorType() >= CE_Failure) {
        refuse(file, CPLGetLastErrorMsg());
    }
}

}  // namespace

std::vector<ViewTruth> write_mosaic(const World& world,
                                    const std::vector<heatrow::Image<float>>& readings_c,
                                    const std::filesystem::path& file) {
    CPLErrorReset();
    const UtmMap map(world.spec);
    const Grid grid(world, map);
    std::vector<Eigen::Matrix3d> axes;
    for (const Shot& shot : world.shots) {
        axes.push_back(site_from_camera(shot.pose));
    }
    const auto width = static_cast<std::size_t>(grid.width());
    std::vector<std::uint16_t> counts(width * static_cast<std::size_t>(grid.height()), 0);
    tbb::parallel_for(0, grid.height(), [&](int y) {
        for (int x = 0; x < grid.width(); ++x) {
            const Vector3d point = surface_at(world, grid.place_of(Vector2d(x, y)));
            if (const auto reading = reading_of(world, readings_c, axes, point)) {
                counts[static_cast<std::size_t>(y) * width + static_cast<std::size_t>(x)] =
                    static_cast<std::uint16_t>(encoded(world.spec.camera.encoding, *reading));
            }
        }
    });
    write_raster(file, grid, map, counts);
    std::vector<ViewTruth> outlines;
    for (int panel = 0; panel < static_cast<int>(world.plant.panels.size()); ++panel) {
        if (world.plant.panels[static_cast<std::size_t>(panel)].absent) {
            continue;
        }
        ViewTruth view;
        view.panel = panel;
        view.visible_share = 1.0;
        const auto corners = world.plant.corners_in_site(panel);
        for (std::size_t i = 0; i < corners.size(); ++i) {
            view.corners_px[i] = grid.pixel_of(corners[i].head<2>());
        }
        outlines.push_back(view);
    }
    return outlines;
}

}  // namespace scene
