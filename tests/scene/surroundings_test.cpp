// Sun, sky, air and what the glass mirrors.
#include "air_path.hpp"
#include "heatrow/core/error.hpp"
#include "scene_fixture.hpp"
#include "shader.hpp"
#include "sun_direction.hpp"

#include <Eigen/Geometry>
#include <catch2/catch.hpp>

#include <cmath>
#include <numbers>

namespace {

using namespace scene;

constexpr double kDegree = std::numbers::pi / 180.0;

Sky sky_of(const SkySpec& spec, const CloudLayer& clouds, const BandRadiance& band) {
    return {spec, clouds, band, 0.0, 20.0, 0.0, 1.0};
}

// A ray onto the middle of the first module, and what it brings.
struct Look {
    World world;
    Eigen::Vector3d at;
    Eigen::Vector3d ray;
    explicit Look(const SceneSpec& spec, const Eigen::Vector3d& mirrored) : world(spec, 3) {
        const PanelType& type = world.plant.type_of(0);
        at = world.plant.point_in_site(0, 0.45 * type.width_m, 0.45 * type.height_m);
        const Eigen::Vector3d& normal = world.plant.tables.front().face.normal;
        ray = mirrored - 2.0 * mirrored.dot(normal) * normal;  // reversed twice: the mirror works both ways
    }
    [[nodiscard]] double radiance(const Shot& shot) const {
        const Eigen::Vector3d from = at - 5.0 * ray;
        std::vector<int> faces;
        for (int i = 0; i < world.caster.face_count(); ++i) {
            faces.push_back(i);
        }
        const Hit hit = world.caster.cast(world.caster.viewpoint(from), ray, faces);
        REQUIRE(hit.kind == Hit::Kind::glass);
        return Shader(world, shot).look(hit, from, ray).radiance;
    }
    [[nodiscard]] double radiance() const { return radiance(world.shots.front()); }
    [[nodiscard]] double reflectance() const {
        return 1.0 - world.glass.at(-ray.dot(world.plant.tables.front().face.normal));
    }
};

SceneSpec no_sun() {
    SceneSpec spec = scene_test::quiet_scene();
    spec.sky.sun_azimuth_deg = 0.0;  // behind the rows
    spec.sky.sun_elevation_deg = 20.0;
    return spec;
}

}  // namespace

TEST_CASE("sun: the worked example of Reda and Andreas, without refraction", "[scene]") {
    // 2003-10-17 12:30:30 at UTC-7; topocentric zenith 50.1116 with 0.0163 of refraction; V1.
    const auto parsed = heatrow::parse_iso8601("2003-10-17T19:30:30");
    REQUIRE(parsed);
    const auto sun = sun_direction(heatrow::UtcTime(parsed->written.time_since_epoch()), -105.1786, 39.742476);
    CHECK(sun.azimuth_deg == Approx(194.3402).margin(0.02));
    CHECK(sun.elevation_deg == Approx(90.0 - 50.1116 - 0.0163).margin(0.02));
}

TEST_CASE("sun: a scene without its own sun takes it from time and place", "[scene]") {
    const SceneSpec spec = scene_test::read_scene_text(scene_test::small_scene_text());
    const auto sun = sun_direction(spec.start, spec.longitude_deg, spec.latitude_deg);
    CHECK(spec.sky.sun_elevation_deg == sun.elevation_deg);
    CHECK(sun.elevation_deg > 60.0);  // June, an hour before noon
    CHECK(std::abs(sun.azimuth_deg - 180.0) < 45.0);
}

TEST_CASE("air path: transmittance of the two-term model", "[scene]") {
    // Table computed from the published constants (check).
    CHECK(AirPath(0.5, 20.0).transmittance(30.0) == Approx(0.96629).margin(2e-5));
    CHECK(AirPath(0.8, 30.0).transmittance(100.0) == Approx(0.88868).margin(2e-5));
    CHECK(AirPath(0.3, 0.0).transmittance(1.0) == Approx(0.99688).margin(2e-5));
    CHECK(AirPath(0.0, 30.0).transmittance(100.0) == 1.0);
}

TEST_CASE("air path: distant glass looks nearer to the air's temperature", "[scene]") {
    const SceneSpec dry = no_sun();
    SceneSpec humid = dry;
    humid.air.relative_humidity = 0.8;
    const Eigen::Vector3d mirrored = direction_of(180.0, 65.0);
    const Look clear(dry, mirrored);
    const Look hazy(humid, mirrored);
    const double air = clear.world.band.of_celsius(clear.world.weather.at(clear.world.shots[0].time_s).air_c);
    const double through = AirPath(0.8, clear.world.weather.at(clear.world.shots[0].time_s).air_c).transmittance(5.0);
    CHECK(hazy.radiance() == Approx(through * clear.radiance() + (1.0 - through) * air).epsilon(1e-6));
    CHECK(hazy.radiance() < clear.radiance());
}

TEST_CASE("sky: colder overhead than at the horizon, air mass as published", "[scene]") {
    CHECK(Sky::air_mass(1.0) == Approx(1.0).margin(0.001));
    CHECK(Sky::air_mass(0.5) == Approx(1.9943).margin(0.001));  // formula of Kasten and Young 1989, worked by hand
    CHECK(Sky::air_mass(0.0) == Approx(37.92).margin(0.05));    // published: 37.92 at the horizon
    const BandRadiance band;
    SkySpec spec;
    const CloudLayer none(spec, 1);
    const Sky sky = sky_of(spec, none, band);
    CHECK(band.apparent_celsius(sky.at({0, 0, 1})) == Approx(20.0 - spec.zenith_below_air_k).margin(0.1));
    CHECK(band.apparent_celsius(sky.at(direction_of(77.0, 0.01))) ==
          Approx(20.0 - spec.horizon_below_air_k).margin(0.1));
    double last = 0.0;
    for (double elevation = 90.0; elevation > 0.0; elevation -= 2.0) {
        const double now = sky.at(direction_of(10.0, elevation));
        CHECK(now > last);
        last = now;
    }
}

TEST_CASE("sky: the hidden draw moves the zenith by as much", "[scene]") {
    const BandRadiance band;
    const SkySpec spec;
    const CloudLayer none(spec, 1);
    const Sky drawn(spec, none, band, 7.0, 20.0, 0.0, 1.0);
    CHECK(band.apparent_celsius(drawn.at({0, 0, 1})) == Approx(20.0 - spec.zenith_below_air_k + 7.0).margin(0.1));
}

TEST_CASE("clouds: the layer covers the stated share, softly, and drifts", "[scene]") {
    for (const double cover : {0.15, 0.5, 0.8}) {
        SkySpec spec;
        spec.cloud_cover = cover;
        const CloudLayer layer(spec, 5);
        double sum = 0.0;
        int between = 0;
        int count = 0;
        // Over the whole pattern, which repeats after 16 cloud lengths.
        for (double x = 0.0; x < 16.0; x += 0.1) {
            for (double y = 0.0; y < 16.0; y += 0.1) {
                const Eigen::Vector2d drift(x * spec.cloud_size_m, y * spec.cloud_size_m);
                const double opacity = layer.opacity({0, 0, 1}, drift);
                sum += opacity;
                between += opacity > 0.05 && opacity < 0.95 ? 1 : 0;
                ++count;
            }
        }
        CHECK(sum / count == Approx(cover).margin(0.04));
        CHECK(between > count / 20);
    }
}

TEST_CASE("clouds: a patch of sky is mirrored warm, with a soft border", "[scene]") {
    SceneSpec spec = no_sun();
    const Look clear(spec, direction_of(180.0, 60.0));
    CloudSpec cloud;
    cloud.azimuth_deg = 180.0;
    cloud.elevation_deg = 60.0;
    cloud.width_deg = 10.0;
    cloud.edge_deg = 4.0;
    spec.sky.clouds.push_back(cloud);
    const auto excess = [&](double elevation) {
        const Eigen::Vector3d mirrored = direction_of(180.0, elevation);
        return Look(spec, mirrored).radiance() - Look(no_sun(), mirrored).radiance();
    };
    const double inside = excess(60.0);
    const double air_c = clear.world.weather.at(clear.world.shots[0].time_s).air_c;
    const BandRadiance& band = clear.world.band;
    const double zenith = band.of_celsius(air_c - spec.sky.zenith_below_air_k);
    const double layer = band.of_celsius(air_c - spec.sky.horizon_below_air_k);
    const double behind = layer * (1.0 - std::pow(1.0 - zenith / layer, 1.0 / std::sin(60.0 * kDegree)));
    CHECK(inside == Approx(clear.reflectance() * (band.of_celsius(air_c - cloud.below_air_k) - behind)).epsilon(0.01));
    const double edge = excess(65.0);
    CHECK((edge > 0.3 * inside && edge < 0.7 * inside));
    CHECK(std::abs(excess(67.5)) < 1e-9);
}

TEST_CASE("glint: the mirrored sun's height follows from lobe and reflectance", "[scene]") {
    SceneSpec spec = scene_test::quiet_scene();
    spec.sky.sun_azimuth_deg = 180.0;
    spec.sky.sun_elevation_deg = 55.0;
    const Eigen::Vector3d to_sun = direction_of(180.0, 55.0);
    double last = 1e9;
    for (const double lobe : {1.0, 3.0, 10.0}) {
        spec.sky.glint_lobe_deg = lobe;
        const Look at_sun(spec, to_sun);
        SceneSpec dark = spec;
        dark.sky.sun_elevation_deg = -5.0;
        const double excess = at_sun.radiance() - Look(dark, to_sun).radiance();
        // 0.53 degrees of a black body of 5772 K through the clear sky, spread over the lobe's solid angle.
        const BandRadiance& band = at_sun.world.band;
        const double air_c = at_sun.world.weather.at(at_sun.world.shots[0].time_s).air_c;
        const double through = 1.0 - band.of_celsius(air_c - spec.sky.zenith_below_air_k) /
                                         band.of_celsius(air_c - spec.sky.horizon_below_air_k);
        const double sun = integrate_band_radiance(5772.0) * std::numbers::pi * 0.004652 * 0.004652 *
                           std::pow(through, 1.0 / std::sin(55.0 * kDegree));
        const double share =
            (at_sun.world.weather.at(at_sun.world.shots[0].time_s).irradiance_w_m2 / 900.0 - 0.3) / 0.7;
        const double variance = std::pow(lobe * kDegree / 2.3548, 2.0) + std::pow(0.133 * kDegree, 2.0);
        CHECK(excess == Approx(at_sun.reflectance() * std::min(share, 1.0) * sun / (2.0 * std::numbers::pi * variance))
                            .epsilon(0.01));
        CHECK(excess < last);
        last = excess;
        // Half of the height at half of the width, but for the sun's own disc.
        const Look aside(spec, direction_of(180.0, 55.0 - 0.5 * lobe));
        SceneSpec dark_aside = dark;
        const double half = aside.radiance() - Look(dark_aside, direction_of(180.0, 55.0 - 0.5 * lobe)).radiance();
        CHECK(half / excess == Approx(0.5).margin(lobe > 2.0 ? 0.03 : 0.1));
    }
}

TEST_CASE("mirror: a wall in front of the row shows in the glass, the sky above it does not", "[scene]") {
    SceneSpec spec = no_sun();
    const Eigen::Vector3d low = direction_of(180.0, 12.0);
    const Eigen::Vector3d high = direction_of(180.0, 50.0);
    const double open_low = Look(spec, low).radiance();
    const double open_high = Look(spec, high).radiance();
    SlabSpec wall;
    wall.centre_m = {3.0, -6.0, 2.5};
    wall.width_m = 60.0;
    wall.length_m = 5.0;
    wall.tilt_deg = 90.0;
    wall.azimuth_deg = 0.0;
    wall.above_air_k = 30.0;
    wall.emissivity = 1.0;
    wall.texture_k = 0.0;
    spec.slabs.push_back(wall);
    spec.sky.glint_lobe_deg = 0.5;
    const Look walled(spec, low);
    const WeatherNow now = walled.world.weather.at(walled.world.shots[0].time_s);
    const double wall_radiance = walled.world.band.of_celsius(now.air_c + 30.0 * now.irradiance_felt_w_m2 / 1000.0);
    const double zenith = walled.world.band.of_celsius(now.air_c - spec.sky.zenith_below_air_k);
    const double layer = walled.world.band.of_celsius(now.air_c - spec.sky.horizon_below_air_k);
    const double behind = layer * (1.0 - std::pow(1.0 - zenith / layer, Sky::air_mass(low.z())));
    CHECK(walled.radiance() - open_low == Approx(walled.reflectance() * (wall_radiance - behind)).epsilon(0.01));
    CHECK(Look(spec, high).radiance() == Approx(open_high).epsilon(1e-9));
}

TEST_CASE("mirror: the row in front is mirrored in the row behind", "[scene]") {
    std::string text = scene_test::small_scene_text();
    text.replace(text.find("rows = 1"), 8, "rows = 2\nrow_pitch_m = 5.0\ntilt_deg = 60.0");
    text.replace(text.find("string = \"R1-S2\""), 16, "string = \"R1-S2\"");
    SceneSpec spec = scene_test::read_scene_text(text);
    const World world(spec, 3);
    // The second row stands behind (north of) the first and mirrors its back.
    const int table = world.plant.tables.size() > 2 ? 2 : 1;
    const Face& face = world.plant.tables[static_cast<std::size_t>(table)].face;
    const Eigen::Vector3d at = face.at(0.5, 0.3);
    const Hit back = world.caster.cast_from(table, at, direction_of(180.0, 5.0));
    CHECK(back.kind == Hit::Kind::back);
    CHECK(world.caster.cast_from(table, at, direction_of(180.0, 60.0)).kind == Hit::Kind::nothing);
    CHECK(world.caster.may_meet(table, at, direction_of(180.0, 5.0), 0.0));
    CHECK_FALSE(world.caster.may_meet(table, at, direction_of(180.0, 75.0), 0.02));
}

TEST_CASE("mirror: who holds the camera shows where the glass is met at a right angle", "[scene]") {
    std::string text = scene_test::small_scene_text();
    const auto from = text.find("[flight]");
    text.replace(from,
                 text.find("[scope]") - from,
                 "[handheld]\nposition_wobble_m = 0.0\naim_wobble_deg = 0.0\n[[handheld.station]]\n"
                 "position_m = [1.5, -1.5, 3.5]\ntarget_m = [1.5, 0.8, 1.2]\n");
    SceneSpec spec = scene_test::read_scene_text(text);
    spec.hidden = HiddenSpec::none();
    spec.sky.glint_lobe_deg = 0.5;
    spec.sky.module_lean_deg = 0.0;
    spec.sky.sun_elevation_deg = -5.0;
    SceneSpec alone = spec;
    alone.person.present = false;
    const World world(spec, 3);
    const Eigen::Vector3d camera = world.shots.front().pose.position_in_site;
    const Person person(spec.person, camera, (Eigen::Vector3d(1.5, 0.8, 1.2) - camera).normalized());
    CHECK(person.meet(camera + Eigen::Vector3d(0, 3, 0), {0, -1, 0}) == Person::Part::skin);
    CHECK(person.meet(camera + Eigen::Vector3d(0, 3, -0.8), {0, -1, 0}) == Person::Part::clothes);
    CHECK(person.meet(camera + Eigen::Vector3d(1.0, 3, 0), {0, -1, 0}) == Person::Part::none);
    // A ray that leaves the module for the trunk, seen by an eye on the way of its mirror.
    const Eigen::Vector3d target = world.plant.point_in_site(0, 0.45, 0.8);
    const Eigen::Vector3d to_trunk = (camera + Eigen::Vector3d(0, -0.3, -0.7) - target).normalized();
    const Look seen(spec, to_trunk);
    const Look without(alone, to_trunk);
    const double gain = seen.radiance() - without.radiance();
    CHECK(gain > 0.5);  // W/m2sr: warm clothes instead of cold sky, a tenth of it mirrored
}
