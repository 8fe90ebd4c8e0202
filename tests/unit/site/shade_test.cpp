#include "heatrow/site/shade.hpp"

#include <catch2/catch.hpp>

#include <algorithm>
#include <array>
#include <cmath>

using namespace heatrow;

namespace {

constexpr double kTilt = 30.0;
constexpr double kHeight = 1.7;

ModuleType make_type() {
    ModuleType type;
    type.width = Metres(1.0);
    type.height = Metres(kHeight);
    type.rows = 17;  // of 0.1 m, so that edges are told finely
    type.columns = 10;
    type.cell_area_width = type.width;
    type.cell_area_height = type.height;
    type.substring_of_cell.assign(170, 1);
    return type;
}

// Rows of `places` modules that face south, row 0 the southernmost, one table a row.
Layout make_rows(int rows, int places, double pitch_m) {
    Layout layout;
    layout.types.push_back(make_type());
    const double tilt = degrees(kTilt).value();
    for (int row = 0; row < rows; ++row) {
        for (int place = 0; place < places; ++place) {
            Module module;
            module.id = std::to_string(row) + "-" + std::to_string(place);
            module.table = row;
            module.tilt = Radians(tilt);
            module.azimuth = degrees(180.0);
            const auto at = [&](double across, double along) {
                return Eigen::Vector3d(1.02 * place + across,
                                       pitch_m * row + along * std::cos(tilt),
                                       0.5 + along * std::sin(tilt));
            };
            module.corners_in_site = {at(0.0, kHeight), at(1.0, kHeight), at(1.0, 0.0), at(0.0, 0.0)};
            layout.modules.push_back(module);
        }
        layout.tables.push_back({"T" + std::to_string(row), {}});
    }
    return layout;
}

Eigen::Vector3d sun_at(double azimuth_deg, double elevation_deg) {
    const double azimuth = degrees(azimuth_deg).value();
    const double elevation = degrees(elevation_deg).value();
    return {std::sin(azimuth) * std::cos(elevation), std::cos(azimuth) * std::cos(elevation), std::sin(elevation)};
}

int count(const ModuleShade& shade, CellLight light) {
    return static_cast<int>(std::count(shade.cells.begin(), shade.cells.end(), light));
}

}  // namespace

TEST_CASE("shade: rows shade the share that the geometry of infinite rows gives", "[shade]") {
    // Standard geometry of parallel rows: of a collector of length L the part p sin(a) / sin(a + b) below its top
    // edge is lit, a the profile angle, b the tilt, p the pitch (Appelbaum & Bany 1979, Solar Energy 23, from memory).
    const double pitch = 2.6;
    const auto layout = make_rows(2, 41, pitch);
    const LayoutIndex site(layout);
    const ShadeFinder finder(site, {}, ShadeOptions{});
    const int middle = 41 + 20;
    for (const double azimuth : {180.0, 150.0, 225.0}) {
        for (const double elevation : {12.0, 18.0, 25.0, 60.0}) {
            const double profile =
                std::atan(std::tan(degrees(elevation).value()) / std::cos(degrees(azimuth - 180.0).value()));
            const double lit_m =
                std::min(kHeight, pitch * std::sin(profile) / std::sin(profile + degrees(kTilt).value()));
            const auto shade = finder.on_module(middle, std::array{sun_at(azimuth, elevation)});
            int lit_rows = 0;
            for (int row = 0; row < 17; ++row) {
                lit_rows += shade.cells.empty() || shade.cells[static_cast<std::size_t>(row * 10 + 5)] == CellLight::lit;
            }
            INFO("azimuth " << azimuth << ", elevation " << elevation);
            CHECK(std::abs(0.1 * lit_rows - lit_m) <= 0.1 + 1e-9);  // whole rows that nothing touches
            CHECK((shade.cells.empty() || shade.table == 0));
        }
    }
}

TEST_CASE("shade: the strip of doubt is as wide as the edge is uncertain", "[shade]") {
    const auto layout = make_rows(2, 41, 2.6);
    const LayoutIndex site(layout);
    const auto at = [&](double edge_m) {
        return ShadeFinder(site, {}, {Metres(edge_m), Radians(0.0), Metres(40.0)})
            .on_module(41 + 20, std::array{sun_at(180.0, 18.0)});
    };
    const auto sharp = at(0.0);
    const auto soft = at(0.2);
    CHECK(count(sharp, CellLight::edge) <= 10);  // one row of cells, cut by the edge
    CHECK(count(soft, CellLight::edge) >= 40);
    CHECK(count(soft, CellLight::edge) <= 60);
    CHECK(count(soft, CellLight::shaded) < count(sharp, CellLight::shaded));
    CHECK(count(soft, CellLight::lit) < count(sharp, CellLight::lit));
}

TEST_CASE("shade: a wandering sun shades for sure only what it shades all the time", "[shade]") {
    const auto layout = make_rows(2, 41, 2.6);
    const LayoutIndex site(layout);
    const ShadeFinder finder(site, {}, ShadeOptions{});
    const auto low = finder.on_module(61, std::array{sun_at(180.0, 14.0)});
    const auto high = finder.on_module(61, std::array{sun_at(180.0, 24.0)});
    const auto both = finder.on_module(61, std::array{sun_at(180.0, 14.0), sun_at(180.0, 24.0)});
    CHECK(count(both, CellLight::shaded) == count(high, CellLight::shaded));
    CHECK(count(both, CellLight::lit) == count(low, CellLight::lit));
}

TEST_CASE("shade: neither the own table, nor rows behind, nor a sun behind the module shades", "[shade]") {
    const auto layout = make_rows(3, 11, 2.6);
    const LayoutIndex site(layout);
    const ShadeFinder finder(site, {}, ShadeOptions{});
    CHECK(finder.on_module(5, std::array{sun_at(180.0, 14.0)}).cells.empty());    // the front row
    CHECK(finder.on_module(16, std::array{sun_at(180.0, 60.0)}).cells.empty());   // sun high
    CHECK(finder.on_module(16, std::array{sun_at(0.0, 20.0)}).cells.empty());     // behind
    CHECK(finder.on_module(16, std::array{sun_at(180.0, -5.0)}).cells.empty());   // below the horizon
}

TEST_CASE("shade: an obstacle's shadow falls where similar triangles put it", "[shade]") {
    const auto layout = make_rows(1, 11, 2.6);
    const LayoutIndex site(layout);
    // A wall 2 m south of the lower edge (0.5 m up), 2.5 m high, before modules 0 to 4; sun at 45 deg: its shadow
    // reaches 2.5 - 2.0 = 0.5 m at the lower edge, so it just touches it; 3 m high it climbs further.
    const auto wall = [](double top_m) {
        return Obstacle{"wall", {{0.0, -2.1}, {4.0, -2.1}, {4.0, -2.0}, {0.0, -2.0}}, 0.0, top_m};
    };
    const auto shade_of = [&](double top_m, int module) {
        const std::vector<Obstacle> obstacles = {wall(top_m)};
        return ShadeFinder(site, obstacles, ShadeOptions{}).on_module(module, std::array{sun_at(180.0, 45.0)});
    };
    CHECK(shade_of(2.4, 2).cells.empty());
    const auto shade = shade_of(3.0, 2);
    REQUIRE_FALSE(shade.cells.empty());
    CHECK(shade.obstacle == 0);
    CHECK(shade.table == -1);
    // Up the slope by s the edge is met where 0.5 + s sin 30 = 3.0 - (2.0 + s cos 30): s = 0.5 / (sin 30 + cos 30).
    const double climbed = 0.5 / (std::sin(degrees(30.0).value()) + std::cos(degrees(30.0).value()));
    const int shaded = count(shade, CellLight::shaded) / 10;
    CHECK(std::abs(0.1 * shaded - climbed) <= 0.1);
    CHECK(shade_of(3.0, 8).cells.empty());
}
