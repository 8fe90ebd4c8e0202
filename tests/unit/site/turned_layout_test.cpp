#include "heatrow/site/turned_layout.hpp"

#include "heatrow/site/layout_index.hpp"

#include <Eigen/Geometry>
#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;
using Eigen::Vector3d;

namespace {

// Two tiers of four modules of 1 x 2 m on one table about an axis, flat, top edge to the right of the axis' azimuth.
Layout flat_table(double axis_azimuth_deg, double axis_tilt_deg = 0.0) {
    Layout layout;
    ModuleType type;
    type.width = Metres(1.0);
    type.height = Metres(2.0);
    layout.types.push_back(type);
    const double azimuth = degrees(axis_azimuth_deg).value();
    const double tilt = degrees(axis_tilt_deg).value();
    const Vector3d along(std::sin(azimuth) * std::cos(tilt), std::cos(azimuth) * std::cos(tilt), -std::sin(tilt));
    const Vector3d across(std::cos(azimuth), -std::sin(azimuth), 0.0);
    const Vector3d middle(10.0, 5.0, 1.5);
    Table table{"T1", {}};
    for (int tier = 0; tier < 2; ++tier) {
        for (int i = 0; i < 4; ++i) {
            Module module;
            module.table = 0;
            const Vector3d low = middle + 1.02 * i * along + (tier == 0 ? -2.01 : 0.01) * across;
            // seen from above with `across` up, the axis runs to the left
            module.corners_in_site = {low + 2.0 * across + along, low + 2.0 * across, low, low + along};
            table.modules.push_back(static_cast<int>(layout.modules.size()));
            layout.modules.push_back(module);
        }
    }
    layout.tables.push_back(table);
    return layout;
}

TableAxes axis_of(double azimuth_deg, double tilt_deg = 0.0) {
    TableAxis axis;
    axis.azimuth = degrees(azimuth_deg);
    axis.tilt = degrees(tilt_deg);
    return {axis};
}

Layout turned(const Layout& layout, const TableAxes& axes, double rotation_deg) {
    const std::vector<Radians> rotation{degrees(rotation_deg)};
    return turned_layout(layout, axes, rotation);
}

}  // namespace

TEST_CASE("turned layout: about an axis towards south a positive rotation faces west", "[site]") {
    const Layout flat = flat_table(180.0);
    const TableAxes axes = axis_of(180.0);
    CHECK(flat.modules[0].normal_in_site().z() == Approx(1.0));
    CHECK(rotation_of(flat, 0, *axes[0]).value() == Approx(0.0).margin(1e-12));
    CHECK(width_across(flat, 0, *axes[0]).value() == Approx(4.02));
    const Layout west = turned(flat, axes, 40.0);
    CHECK(in_degrees(west.modules[0].tilt) == Approx(40.0));
    CHECK(in_degrees(west.modules[0].azimuth) == Approx(270.0));
    CHECK(in_degrees(rotation_of(west, 0, *axes[0])) == Approx(40.0));
    const Layout east = turned(flat, axes, -25.0);
    CHECK(in_degrees(east.modules[0].azimuth) == Approx(90.0));
    // the axis stays where it is: the middle of the table's width
    const auto middle = [](const Layout& layout) {
        return Vector3d(0.5 * (layout.modules[0].centre_in_site() + layout.modules[4].centre_in_site()));
    };
    CHECK((middle(west) - middle(flat)).norm() < 1e-12);
    CHECK((middle(east) - middle(flat)).norm() < 1e-12);
    // the tier to the west goes down when the table faces west
    CHECK(west.modules[4].centre_in_site().z() < west.modules[0].centre_in_site().z() - 1.0);
}

TEST_CASE("turned layout: turns add up, shapes stay, and turning back undoes", "[site]") {
    const double tilt = 6.0;
    const TableAxes axes = axis_of(20.0, tilt);
    const Layout flat = flat_table(20.0, tilt);
    const Layout twice = turned(turned(flat, axes, 35.0), axes, -12.0);
    const Layout once = turned(flat, axes, -12.0);
    const Layout back = turned(twice, axes, 0.0);
    for (std::size_t m = 0; m < flat.modules.size(); ++m) {
        for (std::size_t c = 0; c < 4; ++c) {
            CHECK((twice.modules[m].corners_in_site[c] - once.modules[m].corners_in_site[c]).norm() < 1e-9);
            CHECK((back.modules[m].corners_in_site[c] - flat.modules[m].corners_in_site[c]).norm() < 1e-9);
            const auto& before = flat.modules[m].corners_in_site;
            const auto& after = once.modules[m].corners_in_site;
            CHECK((after[c] - after[(c + 1) % 4]).norm() == Approx((before[c] - before[(c + 1) % 4]).norm()));
        }
    }
}

TEST_CASE("turned layout: an axis below the modules carries them aside", "[site]") {
    TableAxes axes = axis_of(180.0);
    axes[0]->below = Metres(0.2);
    const Layout flat = flat_table(180.0);
    const Layout west = turned(flat, axes, 90.0);
    const Vector3d moved = 0.5 * (west.modules[0].centre_in_site() + west.modules[4].centre_in_site()) -
                           0.5 * (flat.modules[0].centre_in_site() + flat.modules[4].centre_in_site());
    CHECK((moved - Vector3d(-0.2, 0.0, -0.2)).norm() < 1e-9);
}

TEST_CASE("turned layout: a table that leans along its axis does not turn about it; unknown angles leave it",
          "[site]") {
    const Layout flat = flat_table(180.0);
    CHECK(std::isnan(rotation_of(flat, 0, *axis_of(180.0, 5.0)[0]).value()));
    const std::vector<Radians> unknown{Radians(kNaN)};
    const Layout same = turned_layout(flat, axis_of(180.0), unknown);
    CHECK(same.modules[3].corners_in_site[1] == flat.modules[3].corners_in_site[1]);
}

TEST_CASE("layout index: modules of a curved and stepped row are neighbours, and the pitch is the module's", "[site]") {
    // A row on a circle of 60 m, every module a little higher than the one before: 1.02 m and 1 degree each, 8 mm up.
    Layout layout;
    ModuleType type;
    type.width = Metres(1.0);
    type.height = Metres(2.0);
    type.frame_width = Metres(0.01);
    layout.types.push_back(type);
    constexpr int kModules = 20;
    const double tilt = degrees(25.0).value();
    for (int i = 0; i < kModules; ++i) {
        const double turn = 1.02 / 60.0 * i;
        const Vector3d right(std::cos(turn), -std::sin(turn), 0.0);
        const Vector3d up =
            std::cos(tilt) * Vector3d(std::sin(turn), std::cos(turn), 0.0) + std::sin(tilt) * Vector3d::UnitZ();
        const Vector3d centre(60.0 * std::sin(turn), 60.0 * std::cos(turn), 1.0 + 0.008 * i);
        Module module;
        module.corners_in_site = {
            centre - 0.5 * right + up, centre + 0.5 * right + up, centre + 0.5 * right - up, centre - 0.5 * right - up};
        layout.modules.push_back(module);
    }
    const LayoutIndex index(layout);
    int shared = 0;
    for (const BandEdge& edge : index.edges()) {
        shared += edge.neighbour >= 0 ? 1 : 0;
    }
    CHECK(shared == kModules - 1);
    CHECK(index.pitch_along().norm() == Approx(1.02).margin(0.01));
}
