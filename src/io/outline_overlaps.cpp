#include "outline_overlaps.hpp"

#include <ogrsf_frmts.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <memory>

namespace heatrow::detail {
namespace {

struct Box {
    Eigen::Vector2d low;
    Eigen::Vector2d high;
};

Box box_of(const PlanOutline& outline) {
    Box box{Eigen::Vector2d::Constant(std::numeric_limits<double>::max()),
            Eigen::Vector2d::Constant(std::numeric_limits<double>::lowest())};
    for (const Eigen::Vector2d& point : outline.ring) {
        box.low = box.low.cwiseMin(point);
        box.high = box.high.cwiseMax(point);
    }
    return box;
}

OGRPolygon polygon_of(const PlanOutline& outline) {
    OGRLinearRing ring;
    for (const Eigen::Vector2d& point : outline.ring) {
        ring.addPoint(point.x(), point.y());
    }
    ring.closeRings();
    OGRPolygon polygon;
    polygon.addRing(&ring);
    return polygon;
}

double common_area(const OGRPolygon& a, const OGRPolygon& b) {
    const std::unique_ptr<OGRGeometry> common(a.Intersection(&b));
    if (common == nullptr || common->IsEmpty() != 0) {
        return 0.0;
    }
    const OGRwkbGeometryType type = wkbFlatten(common->getGeometryType());
    return type == wkbPolygon        ? common->toPolygon()->get_Area()
           : type == wkbMultiPolygon ? common->toMultiPolygon()->get_Area()
                                     : 0.0;
}

}  // namespace

std::vector<Overlap> find_overlaps(const std::vector<PlanOutline>& outlines) {
    constexpr double kLeastShare = 0.01;
    constexpr double kStorey_m = 1.0;
    std::vector<Box> boxes;
    std::vector<OGRPolygon> polygons;
    for (const PlanOutline& outline : outlines) {
        boxes.push_back(box_of(outline));
        polygons.push_back(polygon_of(outline));
    }
    // A sweep from west to east: only outlines that are still open can meet the next one.
    std::vector<std::size_t> order(outlines.size());
    for (std::size_t i = 0; i < order.size(); ++i) {
        order[i] = i;
    }
    std::stable_sort(
        order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return boxes[a].low.x() < boxes[b].low.x(); });
    std::vector<Overlap> found;
    std::vector<std::size_t> open;
    for (const std::size_t here : order) {
        std::erase_if(open, [&](std::size_t other) { return boxes[other].high.x() <= boxes[here].low.x(); });
        for (const std::size_t other : open) {
            const bool apart = boxes[other].low.y() >= boxes[here].high.y() ||
                               boxes[other].high.y() <= boxes[here].low.y() ||
                               std::abs(outlines[other].height_m - outlines[here].height_m) > kStorey_m;
            if (apart) {
                continue;
            }
            const double area = common_area(polygons[here], polygons[other]);
            const double smaller = std::min(polygons[here].get_Area(), polygons[other].get_Area());
            if (area > kLeastShare * smaller) {
                found.push_back({std::min(here, other), std::max(here, other), area, area / smaller});
            }
        }
        open.push_back(here);
    }
    std::sort(found.begin(), found.end(), [](const Overlap& a, const Overlap& b) {
        return std::pair(a.first, a.second) < std::pair(b.first, b.second);
    });
    return found;
}

}  // namespace heatrow::detail
