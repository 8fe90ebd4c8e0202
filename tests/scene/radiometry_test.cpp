// What the picture shows against what was put in.
#include "fault_truth.hpp"
#include "frame_renderer.hpp"
#include "lens.hpp"
#include "module_sheet.hpp"
#include "scene_fixture.hpp"

#include <catch2/catch.hpp>

#include <cmath>

namespace {

using namespace scene;

// A camera still over one module, close enough for many pixels a cell.
SceneSpec close_scene() {
    SceneSpec spec = scene_test::quiet_scene();
    spec.camera.width_px = 600;
    spec.camera.height_px = 480;
    spec.camera.principal_point_px = {299.5, 239.5};
    spec.flights.front().height_m = 3.0;
    spec.flights.front().wobble_deg = 0.0;
    spec.flights.front().yaw_wobble_deg = 0.0;
    spec.flights.front().frame_spacing_m = 0.5;
    return spec;
}

// Temperature of glass that shows this apparent temperature: emissivity and mirrored sky taken out, from the
// definition.
double glass_temperature(const World& world, const Shot& shot, const Eigen::Vector2d& pixel, double apparent_c) {
    const Face& face = world.plant.tables.front().face;
    const Eigen::Vector2d ray = ray_of_pixel(world.true_camera, pixel);
    const Eigen::Vector3d sight = (site_from_camera(shot.pose) * Eigen::Vector3d(ray.x(), ray.y(), 1.0)).normalized();
    const Eigen::Vector3d mirrored = sight - 2.0 * sight.dot(face.normal) * face.normal;
    const double emissivity = world.glass.at(-sight.dot(face.normal));
    const WeatherNow now = world.weather.at(shot.time_s);
    // A grey layer that lets through a share of what is behind it, once for each air mass (1/cosine, high up).
    const double zenith = integrate_band_radiance(now.air_c - world.spec.sky.zenith_below_air_k + 273.15);
    const double layer = integrate_band_radiance(now.air_c - world.spec.sky.horizon_below_air_k + 273.15);
    const double sky = layer * (1.0 - std::pow(1.0 - zenith / layer, 1.0 / mirrored.z()));
    const double seen = integrate_band_radiance(apparent_c + 273.15);
    return world.band.apparent_celsius((seen - (1.0 - emissivity) * sky) / emissivity);
}

}  // namespace

TEST_CASE("band radiance: table values of 7.5 to 14 micrometres, and the inverse", "[scene]") {
    // check: series and Simpson integration, computed apart from this code.
    CHECK(integrate_band_radiance(293.15) == Approx(53.1607).epsilon(1e-5));
    CHECK(integrate_band_radiance(333.15) == Approx(95.0509).epsilon(1e-5));
    CHECK(integrate_band_radiance(253.15) == Approx(25.2161).epsilon(1e-5));
    const BandRadiance band;
    for (double t = -50.0; t < 150.0; t += 7.3) {
        CHECK(band.of_celsius(t) == Approx(integrate_band_radiance(t + 273.15)).epsilon(1e-6));
        CHECK(band.apparent_celsius(integrate_band_radiance(t + 273.15)) == Approx(t).margin(2e-4));
    }
}

TEST_CASE("glass: Fresnel emissivity of soda-lime glass over the band", "[scene]") {
    // Computed from Rubin's n and k, Planck-weighted at 323.15 K.
    const GlassEmissivity glass;
    CHECK(glass.at(1.0) == Approx(0.886).margin(0.0015));
    CHECK(glass.at(std::cos(45.0 * 0.01745329252)) == Approx(0.862).margin(0.0015));
    CHECK(glass.at(0.5) == Approx(0.796).margin(0.0015));
}

TEST_CASE("picture: a black flat target reads its temperature", "[scene]") {
    SceneSpec spec = scene_test::quiet_scene();
    spec.slabs.push_back({.centre_m = {3.0, 2.0, 4.0},
                          .width_m = 60.0,
                          .length_m = 60.0,
                          .above_air_k = 15.0,
                          .emissivity = 1.0,
                          .texture_k = 0.0});
    spec.camera.blur_sigma_px = 0.5;
    const World world(spec, 3);
    const FrameRenderer renderer(world);
    const auto picture = renderer.apparent_temperature(1);
    const WeatherNow now = world.weather.at(world.shots[1].time_s);
    const double expected = now.air_c + 15.0 * now.irradiance_felt_w_m2 / 1000.0;
    for (const float value : picture.pixels()) {
        REQUIRE(static_cast<double>(value) == Approx(expected).margin(2e-3));
    }
    const auto readings = renderer.render(1);
    for (const float reading : readings.pixels()) {
        REQUIRE(static_cast<double>(reading) == Approx(expected).margin(2e-3));
    }
}

TEST_CASE("picture: glass shows emissivity and mirrored sky, a hot cell its true difference", "[scene]") {
    const World world(close_scene(), 3);
    const FrameRenderer renderer(world);
    const int panel = world.plant.find_panel("R1-T1-A02");
    // The shot that is nearest over the hot cell.
    const PanelType& type = world.plant.type_of(panel);
    const int hot_cell = 3 * type.columns + 2;
    const auto hot_box = type.cell_box(hot_cell);
    const Eigen::Vector3d hot_at =
        world.plant.point_in_site(panel, 0.5 * (hot_box.left + hot_box.right), 0.5 * (hot_box.top + hot_box.bottom));
    int nearest = 0;
    for (int i = 0; i < static_cast<int>(world.shots.size()); ++i) {
        const auto distance = [&](int shot) {
            return (world.shots[static_cast<std::size_t>(shot)].pose.position_in_site - hot_at).norm();
        };
        nearest = distance(i) < distance(nearest) ? i : nearest;
    }
    const Shot& shot = world.shots[static_cast<std::size_t>(nearest)];
    const auto picture = renderer.apparent_temperature(nearest);
    const auto axes = site_from_camera(shot.pose);

    // Mean over a cell, at points in the cell's plane, of the temperature that the picture stands for.
    const auto cell_mean = [&](int cell) {
        const auto box = type.cell_box(cell);
        double sum = 0.0;
        int count = 0;
        constexpr int kPoints = 30;
        for (int iy = 0; iy < kPoints; ++iy) {
            for (int ix = 0; ix < kPoints; ++ix) {
                const Eigen::Vector3d at =
                    world.plant.point_in_site(panel,
                                              box.left + (ix + 0.5) / kPoints * (box.right - box.left),
                                              box.top + (iy + 0.5) / kPoints * (box.bottom - box.top));
                const auto pixel =
                    pixel_of_point(world.true_camera, axes.transpose() * (at - shot.pose.position_in_site));
                REQUIRE(pixel);
                const int x = static_cast<int>(std::lround(pixel->x()));
                const int y = static_cast<int>(std::lround(pixel->y()));
                REQUIRE(picture.view().contains(x, y));
                sum += glass_temperature(world, shot, *pixel, static_cast<double>(picture.view()(x, y)));
                ++count;
            }
        }
        return sum / count;
    };
    const WeatherNow now = world.weather.at(shot.time_s);
    const double healthy = cell_mean(hot_cell + 3 * type.columns);
    CHECK(healthy == Approx(now.air_c + now.rise_k).margin(0.02));
    const double difference = cell_mean(hot_cell) - healthy;
    // 20 K at 1000 W/m2 and mean wind, at the rise of this moment.
    CHECK(difference == Approx(20.0 * now.rise_k / world.weather.reference_rise_k()).epsilon(0.01));
}

TEST_CASE("truth: differences follow the conventions and the energy balance", "[scene]") {
    const World world(scene_test::quiet_scene(), 3);
    std::vector<std::vector<ViewTruth>> views;
    for (int shot = 0; shot < static_cast<int>(world.shots.size()); ++shot) {
        views.push_back(true_views(world, shot));
    }
    const auto faults = true_faults(world, views);
    REQUIRE(faults.size() == 3);
    CHECK(faults[0].delta_t_1000_k == Approx(20.0).epsilon(0.05));
    CHECK(faults[0].delta_t_1000_k / faults[0].delta_t_k == Approx(1000.0 / 900.0).epsilon(0.05));
    // (T_mod - T_air) eta / (alpha - eta) at 1000 W/m2 and 2 m/s: 25.85 K x 0.168 / 0.732, eta over the whole outline.
    // The power is lost in the cells alone, 7 % less area than the outline, and some of its heat flows to their
    // borders.
    const double eta = 275.0 / (1000.0 * 0.992 * 1.650);
    const double expected = 1000.0 / (25.0 + 6.84 * 2.0) * eta / (0.9 - eta);
    CHECK(faults[2].delta_t_1000_k > expected);
    const double in_cells = 275.0 / (60.0 * cell_area_m2(world.plant.types.front(), world.spec.heat));  // W/m2
    CHECK(faults[2].delta_t_1000_k < 1000.0 / (25.0 + 6.84 * 2.0) * in_cells / (900.0 - in_cells));
    // Next to a warm substring lies a cool one: the medians come a little closer.
    CHECK(faults[1].delta_t_1000_k < faults[2].delta_t_1000_k);
    CHECK(faults[1].delta_t_1000_k > 0.85 * faults[2].delta_t_1000_k);
    CHECK(faults[2].fault.panel == -1);
}

TEST_CASE("picture: an edge passes half of its height where it is, smear or not", "[scene]") {
    SceneSpec spec = scene_test::quiet_scene();
    spec.camera.blur_sigma_px = 0.5;
    spec.flights.front().yaw_wobble_deg = 0.0;  // so that the edge runs along a row of pixels
    spec.flights.front().speed_m_s = 5.0;
    // A warm sheet over everything west of 3 m; the flight goes east, across its edge.
    spec.slabs.push_back({.centre_m = {-27.0, 2.0, 4.0},
                          .width_m = 60.0,
                          .length_m = 60.0,
                          .above_air_k = 10.0,
                          .emissivity = 1.0,
                          .texture_k = 0.0});
    spec.slabs.push_back({.centre_m = {33.0, 2.0, 4.0},
                          .width_m = 60.0,
                          .length_m = 60.0,
                          .above_air_k = 0.0,
                          .emissivity = 1.0,
                          .texture_k = 0.0});
    SceneSpec still = spec;
    still.camera.time_constant_ms = 0.0;
    for (const SceneSpec& scene_spec : {spec, still}) {
        const World world(scene_spec, 3);
        const FrameRenderer renderer(world);
        int edges = 0;
        for (int shot = 0; shot < static_cast<int>(world.shots.size()); ++shot) {
            const Shot& at = world.shots[static_cast<std::size_t>(shot)];
            const auto edge = pixel_of_point(
                world.true_camera,
                site_from_camera(at.pose).transpose() *
                    (Eigen::Vector3d(3.0, at.pose.position_in_site.y(), 4.0) - at.pose.position_in_site));
            if (!edge || edge->y() < 10.0 || edge->y() > world.true_camera.height_px - 10.0) {
                continue;
            }
            // One time constant at 5 m/s is 5 cm.
            const double smear = renderer.smear_px(shot).norm();
            CHECK((scene_spec.camera.time_constant_ms > 0.0 ? smear > 1.4 : smear < 1e-9));
            const auto picture = renderer.apparent_temperature(shot);
            const int x = static_cast<int>(std::lround(edge->x()));
            const auto value = [&](int y) { return static_cast<double>(picture.view()(x, y)); };
            const int middle = static_cast<int>(std::lround(edge->y()));
            const double half = 0.5 * (value(middle - 8) + value(middle + 8));
            int y = middle - 8;
            while ((value(y) - half) * (value(y + 1) - half) > 0.0) {
                ++y;
            }
            const double crossing = y + (half - value(y)) / (value(y + 1) - value(y));
            // Straight lines between pixels miss the crossing by up to 0.1 px; with smear, the optics' own spread draws
            // it another 0.1 px back. Were the mean of the answer stamped, it would lie 0.4 px further forward.
            CHECK(crossing == Approx(edge->y()).margin(smear > 0.5 ? 0.25 : 0.12));
            ++edges;
        }
        CHECK(edges >= 2);
    }
}
