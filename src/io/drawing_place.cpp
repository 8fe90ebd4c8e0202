#include "drawing_place.hpp"

#include "drawing_csv.hpp"
#include "gdal_guard.hpp"
#include "heatrow/core/error.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace heatrow::detail {
namespace {

constexpr std::array<std::pair<double, std::string_view>, 5> kUnits{
    {{1.0, "m"}, {0.01, "cm"}, {0.001, "mm"}, {0.3048, "ft"}, {0.0254, "in"}}};
constexpr double kScaleTolerance = 0.01;

[[noreturn]] void fail_usage(const std::string& name, const std::string& why, std::string_view remedy) {
    throw Error(ErrorKind::usage, "cannot place the drawing", name, why, remedy);
}

Eigen::Vector2d middle_of(const Drawing& drawing) {
    Eigen::Vector2d low = drawing.outlines.front().ring.front();
    Eigen::Vector2d high = low;
    for (const DrawnOutline& outline : drawing.outlines) {
        for (const Eigen::Vector2d& point : outline.ring) {
            low = low.cwiseMin(point);
            high = high.cwiseMax(point);
        }
    }
    return 0.5 * (low + high);
}

}  // namespace

DrawingPlace::DrawingPlace(const Drawing& drawing, const ImportOptions& options)
    : name_(drawing.name), transformation_(nullptr, OGRCoordinateTransformation::DestroyCT) {
    const GdalGuard gdal;
    std::string crs = options.crs.empty() ? drawing.crs : options.crs;
    if (crs.empty() && options.points.empty()) {
        fail_usage(
            name_,
            "the drawing does not say where it lies",
            "Give its coordinate system (--crs EPSG:25832), or two or three points: --fit X,Y=LONGITUDE,LATITUDE");
    }
    if (!options.points.empty() && options.crs.empty()) {
        crs = "EPSG:4326";
    }
    OGRSpatialReference from;
    if (from.SetFromUserInput(crs.c_str()) != OGRERR_NONE) {
        fail_usage(name_, fmt::format("'{}' is no coordinate system", crs), "Write it as EPSG:25832, say");
    }
    from.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    OGRSpatialReference to;
    to.SetWellKnownGeogCS("WGS84");
    to.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    transformation_.reset(OGRCreateCoordinateTransformation(&from, &to));
    if (transformation_ == nullptr) {
        fail_usage(name_, fmt::format("'{}' cannot be related to WGS 84", crs), "Use another coordinate system");
    }
    const Eigen::Vector2d reference = options.points.empty() ? middle_of(drawing) : options.points.front().in_site;
    const Eigen::Vector2d origin = to_geographic(reference, "middle of the drawing");
    projection_.emplace(SiteOrigin{origin.x(), origin.y(), Metres(0.0)});
    if (!options.points.empty()) {
        fit_points(options.points);
        require_unit(options.unit_m);
    }
}

Eigen::Vector2d DrawingPlace::to_geographic(const Eigen::Vector2d& point, const std::string& entity) const {
    double x = point.x();
    double y = point.y();
    const bool placed = transformation_->Transform(1, &x, &y) != 0;
    if (!placed || !(std::abs(x) <= 360.0) || !(std::abs(y) <= 90.0)) {
        fail_drawing(
            name_,
            entity,
            fmt::format("({:.10g}, {:.10g}) has no place on earth in its coordinate system", point.x(), point.y()),
            "Check --crs, and that east (or longitude) comes first");
    }
    return {x, y};
}

Eigen::Vector2d DrawingPlace::to_site(const Eigen::Vector2d& in_drawing, const std::string& entity) const {
    if (fit_) {
        return fit_->to_site(in_drawing);
    }
    const Eigen::Vector2d place = to_geographic(in_drawing, entity);
    return projection_->to_site(place.x(), place.y(), Metres(0.0)).head<2>();
}

void DrawingPlace::fit_points(const std::vector<PointPair>& points) {
    if (points.size() < 2) {
        fail_usage(
            name_, "one point fits a drawing in any direction", "Give two points far apart, better three: --fit again");
    }
    std::vector<PointPair> pairs;
    for (const PointPair& pair : points) {
        const Eigen::Vector2d place = to_geographic(pair.in_site, "--fit");
        pairs.push_back({pair.in_drawing, projection_->to_site(place.x(), place.y(), Metres(0.0)).head<2>()});
    }
    const auto fit = fit_drawing(pairs);
    if (!fit) {
        fail_usage(name_, fit.error(), "Check the points of --fit: X,Y=LONGITUDE,LATITUDE");
    }
    fit_ = *fit;
    constexpr double kLargestResidual_m = 1.0;
    const auto worst = std::ranges::max_element(fit_->residuals_m);
    if (*worst > kLargestResidual_m) {
        const auto number = static_cast<std::size_t>(worst - fit_->residuals_m.begin());
        fail_usage(name_,
                   fmt::format("the points do not fit: point {} is {:.2f} m off, 1 m is the most", number + 1, *worst),
                   "Check its coordinates in the drawing and on site, and that longitude (or east) comes first");
    }
}

// A scale that is no unit of length speaks of wrong points.
void DrawingPlace::require_unit(const std::optional<double>& unit_m) const {
    const auto near = [this](double unit) { return std::abs(fit_->scale / unit - 1.0) <= kScaleTolerance; };
    if (unit_m ? near(*unit_m) : std::ranges::any_of(kUnits, [&](const auto& unit) { return near(unit.first); })) {
        return;
    }
    fail_usage(name_,
               fmt::format("by the points one unit of the drawing is {:.6g} m, which is {}",
                           fit_->scale,
                           unit_m ? fmt::format("not the {:g} m of --units", *unit_m)
                                  : std::string("no m, cm, mm, foot or inch")),
               "Check the points, and that longitude (or east) comes first; a drawing in a unit of its own needs "
               "--units METRES");
}

}  // namespace heatrow::detail
